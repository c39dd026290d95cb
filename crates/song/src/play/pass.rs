//! The bars of one pass: what is written, and what exceptions put in its place.

use super::resolve::{Exceptional, Resolved, WrittenBar, written_bars};
use super::style::Used;

/// A bar of a pass.
pub(crate) struct Placed<'a> {
    pub bar: WrittenBar<'a>,
    /// The bar as written, from 0, if it is that.
    pub written: Option<u32>,
    /// The written bar itself, or the one whose place it takes.
    pub in_place_of: Option<u32>,
    /// The exception that put it in: its number in [`Resolved::exceptions`].
    pub put_in_by: Option<usize>,
    pub row: u32,
}

/// A stretch of written bars that gives way to an exception's.
struct Stretch {
    from: u32,
    to: u32,
    exception: usize,
}

/// The bars of a pass, from 1. Exceptions whose bars are among them, or that take bars out, are noted as used.
pub(super) fn bars<'a>(resolved: &Resolved<'a>, pass: u32, used: &mut Used) -> Vec<Placed<'a>> {
    let mut all = Vec::new();
    let mut at = 0;
    let count = resolved.bars.len() as u32;
    let stretches = stretches(resolved, pass);
    used.exceptions.extend(stretches.iter().map(|stretch| resolved.exceptions[stretch.exception].origin));
    let mut stretches = stretches.into_iter().peekable();
    while at < count || stretches.peek().is_some() {
        match stretches.next_if(|stretch| stretch.from <= at) {
            Some(stretch) => {
                put_in(resolved, &stretch, &mut all);
                at = stretch.to;
            }
            None => {
                let bar = resolved.bars[at as usize];
                let written = Some(at);
                all.push(Placed { bar, written, in_place_of: written, put_in_by: None, row: bar.row });
                at += 1;
            }
        }
    }
    all
}

/// The exceptions that are for a pass, by number.
pub(super) fn exceptions(resolved: &Resolved<'_>, pass: u32) -> Vec<usize> {
    let all = resolved.exceptions.iter().enumerate();
    all.filter(|(_, e)| e.in_pass(pass, resolved.passes)).map(|(number, _)| number).collect()
}

/// Those of a pass's exceptions that reach one of its bars.
pub(super) fn reaching(resolved: &Resolved<'_>, in_pass: &[usize], placed: &Placed<'_>) -> Vec<usize> {
    let last = resolved.bars.len() as u32;
    let reaches = |number: &usize| {
        let bars = &resolved.exceptions[*number].exception.bar.value;
        let selected = placed.in_place_of.is_some_and(|bar| bars.contains(bar + 1, last));
        selected || placed.put_in_by == Some(*number)
    };
    in_pass.iter().copied().filter(reaches).collect()
}

/// How many bars a pass has.
pub(super) fn length(resolved: &Resolved<'_>, pass: u32) -> u64 {
    let change = |stretch: &Stretch| {
        let put_in =
            resolved.exceptions[stretch.exception].exception.bars.as_ref().map_or(0, |bars| bars.len());
        put_in as i64 - i64::from(stretch.to - stretch.from)
    };
    let changes: i64 = stretches(resolved, pass).iter().map(change).sum();
    (resolved.bars.len() as i64 + changes).max(0) as u64
}

impl Exceptional<'_> {
    /// Whether it is for this pass.
    pub fn in_pass(&self, pass: u32, passes: u32) -> bool {
        self.exception.pass.as_ref().is_none_or(|selector| selector.value.contains(pass, passes))
    }
}

/// The stretches of a pass in order, none within another: later in the list wins.
fn stretches(resolved: &Resolved<'_>, pass: u32) -> Vec<Stretch> {
    let count = resolved.bars.len() as u32;
    let mut kept = std::collections::BTreeMap::<(u32, u32), usize>::new();
    // Bars that give way already, so that most of what comes too late is seen at once.
    let mut taken = vec![false; count as usize];
    for (number, exceptional) in resolved.exceptions.iter().enumerate().rev() {
        let Some(bars) = &exceptional.exception.bars else { continue };
        if !exceptional.in_pass(pass, resolved.passes) {
            continue;
        }
        for bar in exceptional.exception.bar.value.numbers(count) {
            let from = bar - 1;
            let to = from.saturating_add(bars.gives_way()).min(count);
            if to > from && taken[from as usize] {
                continue;
            }
            // None of those kept lies within another, so only those beside it can want the same bars.
            let before = kept.range(..(from, 0)).next_back();
            let mut beside = before.into_iter().chain(kept.range((from, 0)..=(to, to)));
            if !beside.any(|(other, _)| clash(*other, (from, to))) {
                kept.insert((from, to), number);
                taken[from as usize..to as usize].fill(true);
            }
        }
    }
    kept.into_iter().map(|((from, to), exception)| Stretch { from, to, exception }).collect()
}

/// Whether two stretches want the same bars, or put bars in at the same place.
fn clash(a: (u32, u32), b: (u32, u32)) -> bool {
    a == b || (a.0 < b.1 && b.0 < a.1 && a.0 != a.1 && b.0 != b.1) || inside(a, b.0, b) || inside(b, a.0, a)
}

/// Whether bars put in without taking any away would fall inside a stretch that gives way.
fn inside(stretch: (u32, u32), point: u32, insertion: (u32, u32)) -> bool {
    insertion.0 == insertion.1 && stretch.0 < point && point < stretch.1
}

fn put_in<'a>(resolved: &Resolved<'a>, stretch: &Stretch, all: &mut Vec<Placed<'a>>) {
    let Some(bars) = &resolved.exceptions[stretch.exception].exception.bars else { return };
    let before = stretch.from.checked_sub(1).map(|i| resolved.bars[i as usize]);
    let last_row = resolved.bars.last().map_or(0, |bar| bar.row);
    for bar in written_bars(&bars.rows, resolved.meter, resolved.count_eighths, before) {
        let stands_for = stretch.from + bar.index;
        let in_place_of = (stands_for < stretch.to).then_some(stands_for);
        let beside = resolved.bars.get(stands_for.min(stretch.to.max(stretch.from + 1) - 1) as usize);
        all.push(Placed {
            bar,
            written: None,
            in_place_of,
            put_in_by: Some(stretch.exception),
            row: beside.map_or(last_row, |bar| bar.row),
        });
    }
}
