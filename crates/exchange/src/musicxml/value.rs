//! Note values: stretches of time cut into what notes and rests can be, with tuplets where beats are divided otherwise than
//! in halves.

use song::Quarters;

/// A stretch that one note or rest can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Cut {
    pub start: Quarters,
    pub length: Quarters,
    /// The note value, without tuplet, if there is one.
    pub value: Option<Value>,
    pub tuplet: Option<Tuplet>,
}

/// A note value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Value {
    /// Index in [`NAMES`].
    pub index: usize,
    pub dotted: bool,
}

/// So many in the time of so many others, over a beat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Tuplet {
    pub actual: i64,
    pub normal: i64,
    /// The value of which these are so many.
    pub unit: usize,
    /// It begins, or ends, with this note.
    pub begins: bool,
    pub ends: bool,
}

/// Note values of MusicXML 4.0 ("note-type-value") from the longest.
pub(super) const NAMES: [&str; 12] = [
    "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th",
    "1024th",
];
/// Index of the eighth, from which on notes have flags.
pub(super) const EIGHTH: usize = 4;

/// The length of a value, in quarters.
fn length(index: usize) -> Quarters {
    Quarters::new(8, 1 << index)
}

/// A stretch of a voice: where it starts and ends in the bar.
pub(super) type Stretch = (Quarters, Quarters);

/// Cuts the stretches of a voice, which fill a bar without gaps, into note values. `beat` is the length of a beat; the
/// number with each cut is that of its stretch.
pub(super) fn cut(stretches: &[Stretch], beat: Quarters, bar: Quarters) -> Vec<(usize, Cut)> {
    let cells = cells(stretches, beat, bar);
    let mut cuts = Vec::new();
    for (index, &(start, end)) in stretches.iter().enumerate() {
        let mut at = start;
        while at < end {
            let cell = cells.iter().find(|cell| cell.start <= at && at < cell.end);
            let next_tuplet = cells.iter().find(|cell| cell.parts.is_some() && cell.start > at);
            let limit = next_tuplet.map_or(end, |next| end.min(next.start));
            let cut = match cell.and_then(|cell| cell.parts.map(|parts| (cell, parts))) {
                Some((cell, parts)) => in_tuplet(at, end.min(cell.end), cell, parts),
                None => plain(at, limit, cell),
            };
            at += cut.length;
            cuts.push((index, cut));
        }
    }
    mark_ends(&mut cuts, &cells);
    cuts
}

/// A beat, with how many parts it is divided in, where that is a tuplet.
struct Cell {
    start: Quarters,
    end: Quarters,
    parts: Option<i64>,
}

impl Cell {
    /// It is three of some value, and no tuplet divides it.
    fn is_dotted(&self) -> bool {
        self.parts.is_none() && (self.end - self.start).fraction().0 % 3 == 0
    }
}

fn cells(stretches: &[Stretch], beat: Quarters, bar: Quarters) -> Vec<Cell> {
    let mut cells = Vec::new();
    let mut start = Quarters::ZERO;
    while start < bar {
        let end = (start + beat).min(bar);
        let within = |at: &Quarters| start < *at && *at < end;
        let edges = stretches.iter().flat_map(|(from, to)| [*from, *to]).filter(within);
        let mut parts = 1;
        let mut even = true;
        for edge in edges {
            even &= is_power_of_two(edge.fraction().1);
            parts = lcm(parts, ratio(edge - start, end - start).1);
        }
        cells.push(Cell { start, end, parts: (!even).then_some(parts) });
        start = end;
    }
    cells
}

/// The longest plain value from a place up to a limit. Within a beat it goes no further than the beat.
fn plain(at: Quarters, limit: Quarters, cell: Option<&Cell>) -> Cut {
    let on_beat = cell.is_none_or(|cell| cell.start == at);
    let end = match cell {
        Some(cell) if !on_beat => limit.min(cell.end),
        _ => limit,
    };
    let longest = end - at;
    // Where beats are dotted, what is longer than one is whole beats.
    let beat = cell.filter(|cell| cell.is_dotted() && end > cell.end).map(|cell| cell.end - cell.start);
    let fits = |length: Quarters| length <= longest && beat.is_none_or(|beat| ratio(length, beat).1 == 1);
    for index in 0..NAMES.len() {
        let whole = length(index);
        for (length, dotted) in [(whole + whole.split(2), true), (whole, false)] {
            if fits(length) {
                return Cut { start: at, length, value: Some(Value { index, dotted }), tuplet: None };
            }
        }
    }
    Cut { start: at, length: longest, value: None, tuplet: None }
}

fn in_tuplet(at: Quarters, end: Quarters, cell: &Cell, parts: i64) -> Cut {
    let beat = cell.end - cell.start;
    let unit = beat.split(parts);
    let count = (end - at).div_floor(unit).max(1);
    // The values of which a whole number fills the beat, that number no larger than the parts where it can be.
    let fills = |index: &usize| ratio(beat, length(*index)).1 == 1;
    let normal = |index: usize| ratio(beat, length(index)).0;
    let unit_index = (0..NAMES.len()).filter(fills).rfind(|index| normal(*index) <= parts);
    let unit_index = unit_index.or_else(|| (0..NAMES.len()).find(fills)).unwrap_or(NAMES.len() - 1);
    let tuplet =
        Tuplet { actual: parts, normal: normal(unit_index), unit: unit_index, begins: false, ends: false };
    // Of so many units, what one note can be: the largest power of two, or one and a half of it.
    let power = 1i64 << (63 - count.leading_zeros());
    let longer = power + power / 2;
    let (units, dotted) = if power > 1 && longer <= count { (longer, true) } else { (power, false) };
    let value = unit_index.checked_sub(power.trailing_zeros() as usize).map(|index| Value { index, dotted });
    Cut { start: at, length: unit.times(units), value, tuplet: Some(tuplet) }
}

fn mark_ends(cuts: &mut [(usize, Cut)], cells: &[Cell]) {
    for (_, cut) in cuts {
        let Some(tuplet) = &mut cut.tuplet else { continue };
        let cell = cells.iter().find(|cell| cell.start <= cut.start && cut.start < cell.end);
        tuplet.begins = cell.is_some_and(|cell| cell.start == cut.start);
        tuplet.ends = cell.is_some_and(|cell| cell.end == cut.start + cut.length);
    }
}

/// One length in another, as a fraction in lowest terms.
fn ratio(a: Quarters, b: Quarters) -> (i64, i64) {
    let ((an, ad), (bn, bd)) = (a.fraction(), b.fraction());
    let (n, d) = (an * bd, ad * bn);
    let common = gcd(n, d).max(1);
    (n / common, d / common)
}

pub(super) fn lcm(a: i64, b: i64) -> i64 {
    a / gcd(a, b).max(1) * b
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}

fn is_power_of_two(n: i64) -> bool {
    n & (n - 1) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn q(n: i64, d: i64) -> Quarters {
        Quarters::new(n, d)
    }

    fn shown(stretches: &[Stretch], beat: Quarters, bar: Quarters) -> String {
        let cuts = cut(stretches, beat, bar);
        let name = |(index, cut): &(usize, Cut)| {
            let value = cut
                .value
                .map_or("?".into(), |v| format!("{}{}", NAMES[v.index], if v.dotted { "." } else { "" }));
            let tuplet = cut.tuplet.map_or(String::new(), |t| format!(" {}:{}", t.actual, t.normal));
            format!("{index} {value}{tuplet}")
        };
        cuts.iter().map(name).collect::<Vec<_>>().join(", ")
    }

    // Written out by hand, as notation has it.
    #[test]
    fn stretches_become_note_values() {
        let bar = q(4, 1);
        assert_eq!(shown(&[(q(0, 1), q(4, 1))], q(1, 1), bar), "0 whole");
        assert_eq!(shown(&[(q(0, 1), q(3, 1)), (q(3, 1), bar)], q(1, 1), bar), "0 half., 1 quarter");
        assert_eq!(
            shown(&[(q(0, 1), q(1, 2)), (q(1, 2), q(3, 2)), (q(3, 2), bar)], q(1, 1), bar),
            "0 eighth, 1 eighth, 1 eighth, 2 eighth, 2 half"
        );
        assert_eq!(shown(&[(q(0, 1), q(3, 4)), (q(3, 4), q(1, 1))], q(1, 1), q(1, 1)), "0 eighth., 1 16th");
    }

    // As engravers write six eighths: no note over the middle of the bar unless it fills it.
    #[test]
    fn in_compound_meters_notes_show_the_beats() {
        let (beat, bar) = (q(3, 2), q(3, 1));
        assert_eq!(
            shown(&[(q(0, 1), q(5, 2)), (q(5, 2), bar)], beat, bar),
            "0 quarter., 0 quarter, 1 eighth"
        );
        assert_eq!(
            shown(&[(q(0, 1), q(1, 1)), (q(1, 1), bar)], beat, bar),
            "0 quarter, 1 eighth, 1 quarter."
        );
        assert_eq!(shown(&[(q(0, 1), bar)], beat, bar), "0 half.");
        assert_eq!(shown(&[(q(0, 1), q(9, 2))], beat, q(9, 2)), "0 half., 0 quarter.");
    }

    #[test]
    fn beats_in_thirds_are_tuplets() {
        let beat = q(1, 1);
        assert_eq!(
            shown(&[(q(0, 1), q(2, 3)), (q(2, 3), q(1, 1)), (q(1, 1), q(2, 1))], beat, q(2, 1)),
            "0 quarter 3:2, 1 eighth 3:2, 2 quarter"
        );
        assert_eq!(shown(&[(q(0, 1), q(4, 5)), (q(4, 5), q(1, 1))], beat, beat), "0 quarter 5:4, 1 16th 5:4");
        // Half of a dotted quarter is a dotted eighth, and needs no tuplet.
        assert_eq!(
            shown(&[(q(0, 1), q(3, 4)), (q(3, 4), q(3, 2))], q(3, 2), q(3, 2)),
            "0 eighth., 1 eighth."
        );
        assert_eq!(
            shown(&[(q(0, 1), q(6, 5)), (q(6, 5), q(3, 2))], q(3, 2), q(3, 2)),
            "0 half 5:3, 1 eighth 5:3"
        );
    }
}
