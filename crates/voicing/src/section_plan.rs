//! The whole song planned at once, as it is played; the same place of a section is one choice at every return.

use crate::Proof;
use crate::candidate::Wish;
use crate::graph::Graph;
use crate::planner::{Planner, Stop, Voiced};
use crate::transpose::moved_stop;
use song::{HandStyle, PlayedBar, PlayedSong, Slot, SlotKind};
use std::collections::HashMap;
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

/// Chooses both hands for every chord of the song; with the proof that it is the cheapest in the written key.
pub(crate) fn choose(planner: &mut Planner<'_>, versions: Versions<'_>) -> (Choices, Proof) {
    let tour = Tour::of(planner, versions.written);
    let stops: Vec<Stop> = tour.places.iter().map(|place| Stop::Open(place.pair)).collect();
    let (written, proof) = tour.solve(planner, &stops);
    let night = tour.for_the_night(planner, versions, written);
    (tour.choices(versions.written, &night), proof)
}

/// Where a slot was written, so that the same place in another pass is found: section, exception, bar as written, bar and
/// slot of its text; and its pair table: where that is equal, so are the chord and what the hands are asked for.
type PlaceKey = (usize, Option<usize>, Option<u32>, u32, u32, usize);

/// A place of the song that is voiced once, however often it is played.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    /// Pair table in the written key.
    pub pair: usize,
    /// Bar and slot where it first comes.
    pub at: (usize, usize),
}

/// The way through the song, from place to place.
pub(crate) struct Tour {
    pub places: Vec<Place>,
    /// In playing order: bar, slot, which place.
    pub visits: Vec<(usize, usize, usize)>,
}

impl Tour {
    pub fn of(planner: &mut Planner<'_>, song: &PlayedSong) -> Tour {
        let mut tour = Tour { places: Vec::new(), visits: Vec::new() };
        let mut numbers: HashMap<PlaceKey, usize> = HashMap::new();
        for (bar, played) in song.bars.iter().enumerate() {
            for (index, slot) in played.slots.iter().enumerate() {
                let SlotKind::Chord { chord, .. } = &slot.kind else { continue };
                let source = slot.source;
                let pair = pair_for(planner, chord, played, slot);
                let key =
                    (played.section, source.exception, played.written_bar, source.bar, source.slot, pair);
                let number = *numbers.entry(key).or_insert_with(|| {
                    tour.places.push(Place { pair, at: (bar, index) });
                    tour.places.len() - 1
                });
                tour.visits.push((bar, index, number));
            }
        }
        tour
    }

    /// The cheapest shape for every place, from what is open there.
    pub fn solve(&self, planner: &Planner<'_>, stops: &[Stop]) -> (Vec<Voiced>, Proof) {
        let steps = stops.iter().map(|stop| planner.step(*stop)).collect();
        let graph = Graph::of(steps, self.visits.iter().map(|visit| visit.2));
        let solved = graph.solve(&planner.ground());
        let chosen = graph.nodes.iter().zip(&solved.chosen);
        let voiced = chosen.map(|(node, &(right, left))| Voiced { pair: node.step.pair, right, left });
        (voiced.collect(), Proof { cost: solved.cost, gap: solved.gap })
    }

    /// The shapes in the key of the night.
    pub fn for_the_night(
        &self,
        planner: &mut Planner<'_>,
        versions: Versions<'_>,
        written: Vec<Voiced>,
    ) -> Vec<Voiced> {
        // A key that sounds alike is still spelled otherwise: only the very same key is done with.
        if versions.night.key == versions.written.key {
            return written;
        }
        let mut stops = Vec::with_capacity(written.len());
        for (place, voiced) in self.places.iter().zip(written) {
            let bar = &versions.night.bars[place.at.0];
            let slot = &bar.slots[place.at.1];
            stops.push(match &slot.kind {
                SlotKind::Chord { chord, .. } => {
                    let pair = pair_for(planner, chord, bar, slot);
                    moved_stop(planner, versions.shift, voiced, chord, pair)
                }
                // Both versions hold chords in the same slots.
                _ => Stop::Fixed(voiced),
            });
        }
        self.solve(planner, &stops).0
    }

    fn choices(&self, song: &PlayedSong, voiced: &[Voiced]) -> Choices {
        let mut choices: Choices = song.bars.iter().map(|bar| vec![None; bar.slots.len()]).collect();
        for &(bar, slot, place) in &self.visits {
            choices[bar][slot] = Some(voiced[place]);
        }
        choices
    }
}

/// The pair table of a slot.
fn pair_for(planner: &mut Planner<'_>, chord: &Chord, bar: &PlayedBar, slot: &Slot) -> usize {
    let near = |style: &HandStyle| style.near.map(|pitch| pitch.semitones());
    let floor = bar.bass.then_some(planner.floor);
    let (right, left) = (&slot.right, &slot.left);
    let right = Wish { hold: &right.hold, written: right.written.hold, near: near(right), floor: None };
    let left = Wish { hold: &left.hold, written: left.written.hold, near: near(left), floor };
    planner.pair_for(chord, right, left)
}
