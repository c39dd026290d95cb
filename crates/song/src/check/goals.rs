//! Whether goals name bars that there are.

use crate::Song;
use crate::report::{Report, quoted};

pub(super) fn check(song: &Song, report: &mut Report) {
    for goal in &song.goals {
        let (Some(section), Some(bars)) = (goal.value.section, &goal.value.bars) else { continue };
        let count: usize = song.rows(section).iter().map(|row| row.bars.len()).sum();
        let Some(number) = bars.largest().filter(|number| *number as usize > count) else { continue };
        let name = quoted(&song.sections[section].name);
        let there_is = if count == 1 { "1 bar".to_string() } else { format!("{count} bars") };
        let what = format!("{name} has {there_is}, and this goal names bar {number}");
        report.error(goal.span, what, format!("bars are counted 1 to {count}; \"last\" is the last"));
    }
}
