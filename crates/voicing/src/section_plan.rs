//! A section planned once, and its passes where exceptions change them.

use crate::candidate::Wish;
use crate::planner::{Planner, Stop, Voiced};
use crate::transpose::moved_stop;
use song::{HandStyle, PlayedBar, PlayedSong, Slot, SlotKind};
use std::collections::HashMap;
use std::ops::Range;
use theory::Chord;

/// The song in the key it is written in and in that of the night, bar by bar alike.
#[derive(Clone, Copy)]
pub(crate) struct Versions<'a> {
    pub written: &'a PlayedSong,
    pub night: &'a PlayedSong,
    /// Semitones from the one to the other.
    pub shift: i32,
}

/// What is chosen for each slot of each bar; `None` where nothing new is struck (ties, rests).
pub(crate) type Choices = Vec<Vec<Option<Voiced>>>;

/// Chooses both hands for every chord of the song.
pub(crate) fn choose(planner: &mut Planner<'_>, versions: Versions<'_>) -> Choices {
    let mut choices: Choices = versions.written.bars.iter().map(|bar| vec![None; bar.slots.len()]).collect();
    for passes in passes_by_section(versions.written) {
        let passes: Vec<Pass> = passes.into_iter().map(|bars| Pass::read(planner, versions, bars)).collect();
        plan_section(planner, versions, &passes, &mut choices);
    }
    choices
}

/// The bars of each pass, section by section in the order of their first appearance.
fn passes_by_section(song: &PlayedSong) -> Vec<Vec<Range<usize>>> {
    let mut sections: Vec<(usize, Vec<Range<usize>>)> = Vec::new();
    let mut numbers: HashMap<usize, usize> = HashMap::new();
    let same_pass =
        |a: &PlayedBar, b: &PlayedBar| (a.section, a.place, a.pass) == (b.section, b.place, b.pass);
    let mut start = 0;
    for pass in song.bars.chunk_by(same_pass) {
        let section = pass[0].section;
        let number = *numbers.entry(section).or_insert_with(|| {
            sections.push((section, Vec::new()));
            sections.len() - 1
        });
        sections[number].1.push(start..start + pass.len());
        start += pass.len();
    }
    sections.into_iter().map(|(_, passes)| passes).collect()
}

/// Where a slot was written, so that the same place in another pass is found.
type SlotPlace = (Option<usize>, Option<u32>, u32, u32);

/// A chord slot of a pass with what its candidates are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
struct ChordSlot {
    place: SlotPlace,
    /// Pair table in the written key; where equal, so are chord and what the hands are asked for.
    pair: usize,
}

/// One pass of a section.
struct Pass {
    /// The chord slots, in order: bar, slot in the bar.
    at: Vec<(usize, usize)>,
    slots: Vec<ChordSlot>,
    exceptions: usize,
}

impl Pass {
    fn read(planner: &mut Planner<'_>, versions: Versions<'_>, bars: Range<usize>) -> Pass {
        let mut pass = Pass { at: Vec::new(), slots: Vec::new(), exceptions: 0 };
        for bar in bars {
            let played = &versions.written.bars[bar];
            for (index, slot) in played.slots.iter().enumerate() {
                pass.exceptions += usize::from(slot.source.exception.is_some());
                if let SlotKind::Chord { chord, .. } = &slot.kind {
                    let source = slot.source;
                    pass.at.push((bar, index));
                    pass.slots.push(ChordSlot {
                        place: (source.exception, played.written_bar, source.bar, source.slot),
                        pair: pair_for(planner, chord, played, slot),
                    });
                }
            }
        }
        pass
    }
}

/// The pair table of a slot.
fn pair_for(planner: &mut Planner<'_>, chord: &Chord, bar: &PlayedBar, slot: &Slot) -> usize {
    let wish = |style: &'_ HandStyle| (style.near.map(|pitch| pitch.semitones()), style.written.hold);
    let ((right_near, right_written), (left_near, left_written)) = (wish(&slot.right), wish(&slot.left));
    let floor = bar.bass.then_some(planner.floor);
    let right = Wish { hold: &slot.right.hold, written: right_written, near: right_near, floor: None };
    let left = Wish { hold: &slot.left.hold, written: left_written, near: left_near, floor };
    planner.pair_for(chord, right, left)
}

/// What was chosen in the written key and for the night, slot by slot.
#[derive(Clone, Copy)]
struct Chosen {
    written: Voiced,
    night: Voiced,
}

/// The plainest pass is planned freely; where another pass has the same chord at the same place, it keeps that shape.
fn plan_section(planner: &mut Planner<'_>, versions: Versions<'_>, passes: &[Pass], choices: &mut Choices) {
    let Some(base) = plainest(passes) else { return };
    let plan = plan_pass(planner, versions, base, &vec![None; base.slots.len()]);
    // Of places that come twice (a repeated bar) the first.
    let at_place: HashMap<ChordSlot, Chosen> =
        base.slots.iter().copied().zip(plan.iter().copied()).rev().collect();
    let mut planned: HashMap<&[ChordSlot], Vec<Chosen>> = HashMap::new();
    planned.insert(&base.slots, plan);
    for pass in passes {
        if !planned.contains_key(&pass.slots[..]) {
            let kept: Vec<Option<Chosen>> =
                pass.slots.iter().map(|slot| at_place.get(slot).copied()).collect();
            let chosen = plan_pass(planner, versions, pass, &kept);
            planned.insert(&pass.slots, chosen);
        }
        for (&(bar, slot), chosen) in pass.at.iter().zip(&planned[&pass.slots[..]]) {
            choices[bar][slot] = Some(chosen.night);
        }
    }
}

/// The pass with the fewest exceptions; of those the one that comes most often, then the first.
fn plainest(passes: &[Pass]) -> Option<&Pass> {
    let mut often: HashMap<&[ChordSlot], usize> = HashMap::new();
    for pass in passes {
        *often.entry(&pass.slots).or_default() += 1;
    }
    passes.iter().min_by_key(|pass| (pass.exceptions, std::cmp::Reverse(often[&pass.slots[..]])))
}

fn plan_pass(
    planner: &mut Planner<'_>,
    versions: Versions<'_>,
    pass: &Pass,
    kept: &[Option<Chosen>],
) -> Vec<Chosen> {
    let stops: Vec<Stop> = pass
        .slots
        .iter()
        .zip(kept)
        .map(|(slot, kept)| kept.map_or(Stop::Open(slot.pair), |kept| Stop::Fixed(kept.written)))
        .collect();
    let (written, _) = planner.path(&stops);
    // A key that sounds alike is still spelled otherwise: only the very same key is done with.
    let night = if versions.night.key == versions.written.key {
        written.clone()
    } else {
        for_the_night(planner, versions, pass, kept, &written)
    };
    written.iter().zip(&night).map(|(&written, &night)| Chosen { written, night }).collect()
}

fn for_the_night(
    planner: &mut Planner<'_>,
    versions: Versions<'_>,
    pass: &Pass,
    kept: &[Option<Chosen>],
    written: &[Voiced],
) -> Vec<Voiced> {
    let mut stops = Vec::with_capacity(written.len());
    for ((&(bar, slot), &voiced), kept) in pass.at.iter().zip(written).zip(kept) {
        let bar = &versions.night.bars[bar];
        let slot = &bar.slots[slot];
        stops.push(match (kept, &slot.kind) {
            (Some(kept), _) => Stop::Fixed(kept.night),
            (None, SlotKind::Chord { chord, .. }) => {
                let pair = pair_for(planner, chord, bar, slot);
                moved_stop(planner, versions.shift, voiced, chord, pair)
            }
            // Both versions hold chords in the same slots.
            (None, _) => Stop::Fixed(voiced),
        });
    }
    planner.path(&stops).0
}
