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
    /// All passes that are folded together, the first one included.
    pub passes: Vec<Range<usize>>,
}

/// Bars that certain passes play in place of a written one.
pub(crate) struct Difference {
    /// Which passes, from 1.
    pub passes: Vec<u32>,
    /// The written bar, from 1.
    pub bar: u32,
    /// What stands there in those passes; nothing if it is left out.
    pub bars: Vec<usize>,
    /// The chart is the same, and the sheet shows no hands: they play it otherwise.
    pub hands: bool,
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
        passes: vec![bars.clone()],
    };
    (1..).zip(&place.passes).map(one).collect()
}

fn folded(part: &Part, place: &Place, with_hands: bool) -> Option<Stretch> {
    let first = place.passes.first()?.clone();
    let base = by_anchor(part, &first);
    let mut differences: Vec<Difference> = Vec::new();
    for (pass, bars) in (2..).zip(place.passes.iter().skip(1)) {
        for found in differing(part, &base, &by_anchor(part, bars), pass, with_hands) {
            let same = |known: &&mut Difference| {
                (known.bar, known.hands) == (found.bar, found.hands)
                    && same_bars(part, &known.bars, &found.bars, with_hands)
            };
            match differences.iter_mut().find(same) {
                Some(known) => known.passes.push(pass),
                None => differences.push(found),
            }
        }
    }
    differences.sort_by_key(|difference| (difference.passes[0], difference.bar));
    let (times, passes) = (place.passes.len(), place.passes.clone());
    Some(Stretch { section: place.section, bars: first, pass: None, times, differences, passes })
}

/// Where a pass is not as the first one.
fn differing(
    part: &Part,
    base: &Anchored,
    pass: &Anchored,
    number: u32,
    with_hands: bool,
) -> Vec<Difference> {
    let mut found = Vec::new();
    let one = |anchor: u32, bars: Vec<usize>, hands: bool| Difference {
        passes: vec![number],
        bar: anchor + 1,
        bars,
        hands,
    };
    for (anchor, bars) in pass {
        let usual = base.iter().find(|(at, _)| at == anchor).map_or(&[][..], |(_, bars)| bars);
        if !same_bars(part, usual, bars, with_hands) {
            found.push(one(*anchor, bars.clone(), false));
        } else if !with_hands
            && !same_bars(part, usual, bars, true)
            && !bars.iter().any(|bar| has_words(&part.bars[*bar].played))
        {
            found.push(one(*anchor, bars.clone(), true));
        }
    }
    let missing = base.iter().filter(|(anchor, _)| pass.iter().all(|(at, _)| at != anchor));
    found.extend(missing.map(|(anchor, _)| one(*anchor, Vec::new(), false)));
    found
}

/// Whether two runs of bars are written alike.
fn same_bars(part: &Part, a: &[usize], b: &[usize], with_hands: bool) -> bool {
    let same = |(a, b): (&usize, &usize)| {
        let (a, b) = (&part.bars[*a], &part.bars[*b]);
        same_chart(&a.played, &b.played) && (!with_hands || same_hands(a, b))
    };
    a.len() == b.len() && a.iter().zip(b).all(same)
}

/// Whether the coach says anything about a bar.
pub(crate) fn has_words(bar: &PlayedBar) -> bool {
    bar.note.is_some() || bar.cue.is_some()
}

/// Written bars, from 0, each with the bars of a pass that stand for it.
type Anchored = Vec<(u32, Vec<usize>)>;

/// The bars of a pass by the written bar they stand for, or come behind.
fn by_anchor(part: &Part, pass: &Range<usize>) -> Anchored {
    let mut groups = Anchored::new();
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
