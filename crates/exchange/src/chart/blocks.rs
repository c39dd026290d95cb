//! Stretches of bars that are always played together: the sections of the song.

use super::Sheet;
use std::collections::{BTreeSet, HashMap, HashSet};
use std::ops::Range;

/// Sections and the order in which they are played.
pub(super) struct Blocks {
    /// Bars as written, without those that are never played.
    pub bars: Vec<Range<usize>>,
    /// The heading each stands under; endings say so.
    pub headings: Vec<String>,
    /// Indices of `bars` in playing order.
    pub order: Vec<usize>,
}

/// Cuts the bars wherever one can come from elsewhere or go elsewhere, a section begins, or key, tempo or feel change.
pub(super) fn blocks(sheet: &Sheet) -> Blocks {
    let cuts = cuts(sheet);
    let starts: Vec<usize> = cuts.iter().copied().collect();
    let ends = starts.iter().skip(1).copied().chain([sheet.bars.len()]);
    let all: Vec<Range<usize>> = starts.iter().copied().zip(ends).map(|(from, to)| from..to).collect();
    let played: HashSet<usize> = sheet.order.iter().copied().collect();
    let bars: Vec<Range<usize>> =
        all.into_iter().filter(|block| !block.is_empty() && played.contains(&block.start)).collect();
    let index: HashMap<usize, usize> = bars.iter().enumerate().map(|(at, block)| (block.start, at)).collect();
    let order = sheet.order.iter().filter_map(|bar| index.get(bar).copied()).collect();
    let headings = headings(sheet, &bars);
    Blocks { bars, headings, order }
}

fn cuts(sheet: &Sheet) -> BTreeSet<usize> {
    let mut cuts = BTreeSet::from([0]);
    for pair in sheet.order.windows(2) {
        if pair[1] != pair[0] + 1 {
            cuts.extend([pair[0] + 1, pair[1]]);
        }
    }
    cuts.extend(sheet.order.first());
    cuts.extend(sheet.order.last().map(|last| last + 1));
    for at in 1..sheet.bars.len() {
        let (before, bar) = (&sheet.bars[at - 1], &sheet.bars[at]);
        let changes = bar.key != before.key || bar.tempo != before.tempo || bar.feel != before.feel;
        if changes || bar.section.is_some() {
            cuts.insert(at);
        }
    }
    cuts.retain(|cut| *cut < sheet.bars.len());
    cuts
}

/// As the page names them.
fn headings(sheet: &Sheet, blocks: &[Range<usize>]) -> Vec<String> {
    let marked = sheet.bars.iter().any(|bar| bar.section.is_some());
    let mut current = if marked { "Beginning".to_owned() } else { String::new() };
    let mut letters = ('A'..='Z').map(String::from);
    let heading = |block: &Range<usize>| {
        let bar = &sheet.bars[block.start];
        if let Some(section) = &bar.section {
            current.clone_from(section);
        } else if !marked && (bar.ending.is_none() || current.is_empty()) {
            current = letters.next().unwrap_or_else(|| "Z".to_owned());
        }
        match bar.ending {
            Some(pass) => format!("{current}, ending {pass}"),
            None => current.clone(),
        }
    };
    blocks.iter().map(heading).collect()
}
