//! Whether every bar adds up in the meter it stands in, and `%` has a bar to repeat.

use super::start_of;
use crate::chart::check_bar;
use crate::play::{Resolved, WrittenBar, written_bars};
use crate::report::{Report, quoted};
use crate::{BarContent, Song};

pub(super) fn check(song: &Song, resolved: &Resolved<'_>, report: &mut Report) {
    if resolved.source == resolved.section {
        resolved.bars.iter().for_each(|bar| written(bar, report));
    } else {
        inherited(song, resolved, report);
    }
    for exception in &song.sections[resolved.section].exceptions {
        let Some(put_in) = &exception.bars else { continue };
        let first = exception.bar.value.first(resolved.bars.len() as u32);
        let before = first.and_then(|first| resolved.bars.get((first as usize).checked_sub(2)?)).copied();
        let bars = written_bars(&put_in.rows, resolved.meter, resolved.count_eighths, before);
        bars.iter().for_each(|bar| written(bar, report));
    }
}

/// A bar of the section's own text.
fn written(bar: &WrittenBar<'_>, report: &mut Report) {
    if bar.itself.content == BarContent::Repeat {
        let nothing = std::ptr::eq(bar.content, bar.itself);
        if nothing {
            let what = "there is no written bar before this %";
            report.error(bar.itself.span, what, "write the bar out");
        } else if bar.itself.meter.is_some_and(|own| bar.content.meter.is_none_or(|m| m.value != own.value)) {
            mistake(bar, bar.itself.span, "", report);
        }
        return;
    }
    mistake(bar, bar.itself.span, "", report);
}

/// Bars taken over are checked where they are written; a meter of its own may not suit them.
fn inherited(song: &Song, resolved: &Resolved<'_>, report: &mut Report) {
    let section = &song.sections[resolved.section];
    let changed = section.plays.meter.map(|meter| meter.span);
    let counted = section.plays.count_eighths.map(|_| start_of(section.span));
    let Some(place) = changed.or(counted) else { return };
    let source = quoted(&song.sections[resolved.source].name);
    for bar in &resolved.bars {
        let whose = format!("in this meter bar {} of {source} does not fit: ", bar.index + 1);
        if mistake(bar, place, &whose, report) {
            return;
        }
    }
}

fn mistake(bar: &WrittenBar<'_>, place: crate::Span, whose: &str, report: &mut Report) -> bool {
    let Some(mistake) = check_bar(bar.content, bar.meter, bar.beat) else { return false };
    report.error(place, format!("{whose}{}", mistake.message), mistake.hint);
    true
}
