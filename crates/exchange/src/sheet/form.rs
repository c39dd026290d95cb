//! The song as it is to be written: its places, its passes folded together or written out, what differs in each.

use super::Passes;
use song::PlayedBar;
use std::ops::Range;
use voicing::{Part, PartBar, Shape};

/// A place in the song's order.
pub(crate) struct Place {
    /// Index of the section in the part.
    pub section: usize,
    /// Its passes, each a range of bars.
    pub passes: Vec<Range<usize>>,
}

/// A section or pass that is written in full.
pub(crate) struct Stretch {
    /// Index of the section in the part.
    pub section: usize,
    /// Its bars.
    pub bars: Range<usize>,
    /// Which pass of how many it is, where passes are written out.
    pub pass: Option<(u32, u32)>,
    /// How often it is played, where passes are folded.
    pub times: usize,
    /// What other passes do otherwise.
    pub differences: Vec<Difference>,
}

/// What certain passes do otherwise.
#[derive(PartialEq)]
pub(crate) struct Difference {
    /// Which passes, from 1.
    pub passes: Vec<u32>,
    /// Bars with another chart, or in a sheet with hands with other hands.
    pub bars: Vec<usize>,
    /// Bars left out, from 1 as written.
    pub left_out: Vec<u32>,
    /// Bars whose chart is the same but not the hands, in a sheet without hands.
    pub hands: Vec<usize>,
    /// Bars with words of their own.
    pub words: Vec<usize>,
}

/// The places of the song's order.
pub(crate) fn places(part: &Part) -> Vec<Place> {
    let mut places: Vec<Place> = Vec::new();
    let mut last: Option<&PlayedBar> = None;
    for (index, bar) in part.bars.iter().map(|bar| &bar.played).enumerate() {
        let new_place = last.is_none_or(|last| last.place != bar.place);
        let new_pass = new_place || last.is_none_or(|last| last.pass != bar.pass);
        if new_place {
            places.push(Place { section: bar.section, passes: Vec::new() });
        }
        if let Some(place) = places.last_mut() {
            match place.passes.last_mut() {
                Some(pass) if !new_pass => pass.end = index + 1,
                _ => place.passes.push(index..index + 1),
            }
        }
        last = Some(bar);
    }
    places
}

/// The order in a line: `Intro, Verse ×4, Lift`. A section that comes several times in a row is said once.
pub(crate) fn order(part: &Part, places: &[Place]) -> String {
    let mut order: Vec<(usize, usize)> = Vec::new();
    for place in places {
        match order.last_mut() {
            Some((section, times)) if *section == place.section => *times += place.passes.len(),
            _ => order.push((place.section, place.passes.len())),
        }
    }
    let item = |(section, times): &(usize, usize)| {
        let name = part.sections.get(*section).map_or("", String::as_str);
        if *times > 1 { format!("{name} ×{times}") } else { name.to_owned() }
    };
    order.iter().map(item).collect::<Vec<_>>().join(" – ")
}

/// What is written, in order.
pub(crate) fn stretches(part: &Part, passes: Passes, with_hands: bool) -> Vec<Stretch> {
    let places = places(part);
    match passes {
        Passes::WrittenOut => places.iter().flat_map(written_out).collect(),
        Passes::Folded => {
            let first = |(index, place): &(usize, &Place)| {
                places[..*index].iter().all(|earlier| earlier.section != place.section)
            };
            let firsts = places.iter().enumerate().filter(first);
            firsts.filter_map(|(_, place)| folded(part, place, with_hands)).collect()
        }
    }
}

fn written_out(place: &Place) -> Vec<Stretch> {
    let count = place.passes.len() as u32;
    let one = |(pass, bars): (u32, &Range<usize>)| Stretch {
        section: place.section,
        bars: bars.clone(),
        pass: (count > 1).then_some((pass, count)),
        times: 1,
        differences: Vec::new(),
    };
    (1..).zip(&place.passes).map(one).collect()
}

fn folded(part: &Part, place: &Place, with_hands: bool) -> Option<Stretch> {
    let first = place.passes.first()?.clone();
    let mut differences: Vec<Difference> = Vec::new();
    let mut seen: Vec<Range<usize>> = vec![first.clone()];
    for (pass, bars) in (2..).zip(place.passes.iter().skip(1)) {
        let difference = difference(part, &first, bars, pass, with_hands);
        if difference.is_nothing() {
            continue;
        }
        match seen[1..].iter().position(|other| same_all(part, other, bars)) {
            Some(at) => differences[at].passes.push(pass),
            None => {
                differences.push(difference);
                seen.push(bars.clone());
            }
        }
    }
    Some(Stretch { section: place.section, bars: first, pass: None, times: place.passes.len(), differences })
}

impl Difference {
    fn is_nothing(&self) -> bool {
        self.bars.is_empty() && self.left_out.is_empty() && self.hands.is_empty() && self.words.is_empty()
    }
}

fn difference(part: &Part, base: &Range<usize>, pass: &Range<usize>, number: u32, with_hands: bool) -> Difference {
    let mut found =
        Difference { passes: vec![number], bars: vec![], left_out: vec![], hands: vec![], words: vec![] };
    let (base, other) = (by_anchor(part, base), by_anchor(part, pass));
    for (anchor, bars) in &other {
        let usual = base.iter().find(|(at, _)| at == anchor).map_or(&[][..], |(_, bars)| bars);
        let pairs = || usual.iter().zip(bars).map(|(a, b)| (&part.bars[*a], &part.bars[*b], *b));
        let chart = usual.len() == bars.len() && pairs().all(|(a, b, _)| same_chart(&a.played, &b.played));
        if !chart {
            found.bars.extend(bars);
        } else {
            let otherwise = pairs().filter(|(a, b, _)| !same_hands(a, b)).map(|(_, _, at)| at);
            if with_hands { found.bars.extend(otherwise) } else { found.hands.extend(otherwise) }
        }
        let says = |(a, b, at): (&PartBar, &PartBar, usize)| {
            let new = (&a.played.note, &a.played.cue) != (&b.played.note, &b.played.cue);
            (new && (b.played.note.is_some() || b.played.cue.is_some())).then_some(at)
        };
        if usual.len() == bars.len() {
            found.words.extend(pairs().filter_map(says));
        } else {
            found.words.extend(bars.iter().copied().filter(|at| has_words(&part.bars[*at].played)));
        }
    }
    let missing = base.iter().filter(|(anchor, _)| other.iter().all(|(at, _)| at != anchor));
    found.left_out.extend(missing.map(|(anchor, _)| anchor + 1));
    // What is said in words need not be hinted at as well.
    found.hands.retain(|at| !found.words.contains(at));
    found
}

/// Whether the coach says anything about a bar.
pub(crate) fn has_words(bar: &PlayedBar) -> bool {
    bar.note.is_some() || bar.cue.is_some()
}

/// The bars of a pass by the written bar they stand for, or come behind.
fn by_anchor(part: &Part, pass: &Range<usize>) -> Vec<(u32, Vec<usize>)> {
    let mut groups: Vec<(u32, Vec<usize>)> = Vec::new();
    let mut anchor = 0;
    for index in pass.clone() {
        let bar = &part.bars[index].played;
        anchor = bar.written_bar.or(bar.in_place_of).unwrap_or(anchor);
        match groups.last_mut() {
            Some((last, bars)) if *last == anchor => bars.push(index),
            _ => groups.push((anchor, vec![index])),
        }
    }
    groups
}

fn same_all(part: &Part, a: &Range<usize>, b: &Range<usize>) -> bool {
    let same = |(a, b): (&PartBar, &PartBar)| {
        same_chart(&a.played, &b.played)
            && same_hands(a, b)
            && (&a.played.note, &a.played.cue) == (&b.played.note, &b.played.cue)
    };
    a.len() == b.len() && part.bars[a.clone()].iter().zip(&part.bars[b.clone()]).all(same)
}

fn same_chart(a: &PlayedBar, b: &PlayedBar) -> bool {
    (&a.text, a.meter, a.own_meter, a.key) == (&b.text, b.meter, b.own_meter, b.key)
}

/// The same keys and figures; fingers may be others where the way there is another.
fn same_hands(a: &PartBar, b: &PartBar) -> bool {
    let keys = |shape: &Shape| shape.notes.iter().map(|note| note.key).collect::<Vec<_>>();
    let chords = a.chords.iter().zip(&b.chords);
    let slots = a.played.slots.iter().zip(&b.played.slots);
    a.chords.len() == b.chords.len()
        && chords.into_iter().all(|(a, b)| keys(&a.right) == keys(&b.right) && keys(&a.left) == keys(&b.left))
        && slots.into_iter().all(|(a, b)| a.right.figure == b.right.figure && a.left.figure == b.left.figure)
}
