//! What is said about fingers holds: each claim is worked out again from the part alone, the handbooks' forms and the
//! published spans.

use crate::finger_contract::{Fingers, fingerings, handbook, possible};
use crate::print::{part_of, song_text};
use crate::properties::random_song;
use expect_test::expect;
use proptest::prelude::*;
use song::Quarters;
use std::collections::BTreeSet;
use theory::{Finger, Hand, Pitch};
use voicing::{Claim, Event, FingerReason, HeldNote, Part, Reach, Role, Settings, plan};

/// A chord of the part by bar and slot.
pub type Place = (usize, usize);

fn numbers(fingers: &[Finger]) -> Fingers {
    fingers.iter().map(|finger| finger.number()).collect()
}

/// What a hand does at a chord.
struct Scene<'a> {
    part: &'a Part,
    place: Place,
    hand: Hand,
}

impl<'a> Scene<'a> {
    fn notes(&self) -> &'a [HeldNote] {
        &self.part.bars[self.place.0].chords[self.place.1].hand(self.hand).notes
    }

    fn is_rolled(&self) -> bool {
        self.part.bars[self.place.0].chords[self.place.1].hand(self.hand).rolled
    }

    fn events(&self) -> impl Iterator<Item = &'a Event> {
        let (place, hand) = (self.place, self.hand);
        self.part.events.iter().filter(move |e| (e.bar, e.slot) == place && e.hand == hand)
    }

    /// The notes that are struck here, or come in from before.
    fn played(&self) -> Vec<&'a HeldNote> {
        let begin = self.events().map(|e| e.start).chain([self.begin()]).min().unwrap();
        let from_before = |note: &HeldNote| {
            let mut all = self.part.events.iter().filter(|e| e.hand == self.hand && e.role == Role::Chord);
            all.any(|e| e.key == note.key && (e.bar, e.slot) < self.place && e.start + e.length > begin)
        };
        let struck = |i: usize| self.events().any(|e| usize::from(e.place) == i);
        let notes = self.notes().iter().enumerate();
        notes.filter(|(i, note)| struck(*i) || from_before(note)).map(|(_, note)| note).collect()
    }

    fn fingers(&self) -> Fingers {
        self.played().iter().map(|note| note.substitute.unwrap_or(note.finger).number()).collect()
    }

    /// As the keys are struck, before any finger changes.
    fn struck(&self) -> Fingers {
        self.played().iter().map(|note| note.finger.number()).collect()
    }

    /// As the hand leaves the chord for another that begins at a time, or as it comes to it.
    fn fingers_at(&self, leaving: Option<Quarters>) -> Fingers {
        let last = |note: &&HeldNote| {
            let strikes = self.events().filter(|e| e.key == note.key && e.role == Role::Chord);
            strikes.last().map(|e| {
                let mut changes = e.substitutions.iter().rev();
                let change = changes.find(|change| leaving.is_some_and(|at| change.at < at));
                change.map_or(e.finger, |change| change.finger).number()
            })
        };
        let played = self.played();
        let shown = played.iter().zip(self.fingers());
        let leaving = leaving.is_some();
        shown.map(|(note, shown)| if leaving { last(note).unwrap_or(shown) } else { shown }).collect()
    }

    fn begin(&self) -> Quarters {
        let bar = &self.part.bars[self.place.0].played;
        bar.start + bar.slots[self.place.1].start
    }

    fn keys(&self) -> Vec<u8> {
        self.played().iter().map(|note| note.key.number()).collect()
    }

    /// The chord before or after at which the hand plays something.
    fn other(&self, before: bool) -> Option<Scene<'a>> {
        let slots = |bar: usize| (0..self.part.bars[bar].chords.len()).map(move |slot| (bar, slot));
        let all: Vec<Place> = (0..self.part.bars.len()).flat_map(slots).collect();
        let at = all.iter().position(|place| *place == self.place).unwrap();
        let scene = |&place: &Place| Scene { part: self.part, place, hand: self.hand };
        let plays = |scene: &Scene<'_>| {
            let slot = &self.part.bars[scene.place.0].played.slots[scene.place.1];
            matches!(slot.kind, song::SlotKind::Chord { .. }) && !scene.played().is_empty()
        };
        match before {
            true => all[..at].iter().rev().map(scene).find(plays),
            false => all[at + 1..].iter().map(scene).find(plays),
        }
    }

    fn gains(&self, usual: &Fingers, played: &Fingers, why: &FingerReason) -> bool {
        let keys = self.keys();
        let at = |note: &Pitch| keys.iter().position(|&key| i32::from(key) == note.semitones());
        match why {
            FingerReason::Stays { note, finger, before } => {
                let (Some(i), Some(other)) = (at(note), self.other(*before)) else { return false };
                let there = other.played().into_iter().zip(other.fingers_at(before.then(|| self.begin())));
                let stays = there.into_iter().any(|(n, f)| n.key.number() == keys[i] && f == finger.number());
                stays && played[i] == finger.number() && usual[i] != finger.number()
            }
            FingerReason::Outer { before } => self.other(*before).is_some_and(|other| {
                let theirs = other.fingers_at(before.then(|| self.begin()));
                let kept = |fingers: &Fingers| {
                    usize::from(theirs.first() == fingers.first())
                        + usize::from(theirs.last() == fingers.last())
                };
                theirs.len() > 1 && kept(played) > kept(usual)
            }),
            FingerReason::Neighbour { note, finger } => {
                let mut events = self.events().filter(|e| e.role == Role::Passing);
                let key = note.key().unwrap().number();
                // In the usual form no finger lies between those on either side of the neighbour.
                let in_order = |other: u8| {
                    let beside =
                        |(&k, &f): (&u8, &u8)| (k < key) == ((f < other) == (self.hand == Hand::Right));
                    !usual.contains(&other) && keys.iter().zip(usual).all(beside)
                };
                !(1..=5).any(in_order) && events.any(|e| e.pitch == *note && e.finger == *finger)
            }
            FingerReason::NeighbourNearer { note, finger } => {
                let mut events = self.events().filter(|e| e.role == Role::Passing);
                let apart = |f: &u8| f.abs_diff(finger.number());
                let others = played.iter().zip(usual).any(|(a, b)| apart(a) != apart(b));
                others && events.any(|e| e.pitch == *note && e.finger == *finger)
            }
            FingerReason::Span { low, high } => {
                let (Some(i), Some(j)) = (at(low), at(high)) else { return false };
                let reach = self.part.settings.reach_of(self.hand).semitones();
                !possible(usual[i], usual[j], keys[j] - keys[i], reach)
            }
            FingerReason::Black { note, finger } => at(note).is_some_and(|i| {
                note.key().unwrap().is_black()
                    && matches!(finger.number(), 1 | 5)
                    && usual[i] == finger.number()
                    && played[i] != finger.number()
            }),
            FingerReason::Room { note } => {
                let whole: Vec<u8> = self.notes().iter().map(|n| n.key.number()).collect();
                let reach = self.part.settings.reach_of(self.hand).semitones();
                let lies_on = |fingers: &Fingers| {
                    let there = |key: &u8| whole.iter().position(|k| k == key).unwrap();
                    keys.iter().zip(usual).all(|(key, finger)| fingers[there(key)] == *finger)
                };
                at(note).is_none()
                    && self.notes().iter().any(|n| n.pitch == *note)
                    && !fingerings(&whole, self.hand, reach, self.is_rolled()).iter().any(lies_on)
            }
            FingerReason::AsElsewhere => {
                let source = |place: Place| self.part.bars[place.0].played.slots[place.1].source;
                let slots = |bar: usize| (0..self.part.bars[bar].chords.len()).map(move |slot| (bar, slot));
                let mut others = (0..self.part.bars.len()).flat_map(slots).filter(|&p| p != self.place);
                others.any(|place| {
                    let other = Scene { part: self.part, place, hand: self.hand };
                    source(place) == source(self.place) && other.notes() == self.notes()
                })
            }
            _ => false,
        }
    }
}

/// Whether a claim about fingers is true.
pub fn holds(part: &Part, place: Place, hand: Hand, claim: &Claim) -> bool {
    let scene = Scene { part, place, hand };
    match claim {
        Claim::Fingers { usual, played, why } => {
            let gaps: Vec<u8> = scene.keys().windows(2).map(|w| w[1] - w[0]).collect();
            let (usual, played) = (numbers(usual), numbers(played));
            handbook(&gaps, hand).first() == Some(&usual)
                && played != usual
                && (scene.fingers() == played || scene.struck() == played)
                && scene.gains(&usual, &played, why)
        }
        Claim::Substitution { note, from, to } => {
            let bar = &part.bars[place.0].played;
            let slot = &bar.slots[place.1];
            let (start, end) = (bar.start + slot.start, bar.start + slot.start + slot.length);
            let mut on_key = part
                .events
                .iter()
                .filter(|e| e.hand == hand && e.key.pitch().semitones() == note.semitones());
            on_key.any(|e| {
                let fingers = e.substitutions.iter().map(|change| change.finger);
                let before = std::iter::once(e.finger).chain(fingers);
                let inside = e.substitutions.iter().map(|change| start <= change.at && change.at < end);
                before.zip(&e.substitutions).zip(inside).any(|((before, change), inside)| {
                    before == *from && change.finger == *to && inside && e.start < change.at
                })
            })
        }
        _ => false,
    }
}

/// All claims about fingers in a part.
fn claims(part: &Part) -> Vec<(Place, Hand, &Claim)> {
    let mut all = Vec::new();
    for (bar, b) in part.bars.iter().enumerate() {
        for (slot, chord) in b.chords.iter().enumerate() {
            for reason in &chord.why {
                if let Claim::Fingers { .. } | Claim::Substitution { .. } = reason.claim {
                    all.push(((bar, slot), reason.hand.unwrap(), &reason.claim));
                }
            }
        }
    }
    all
}

/// The demo songs.
pub const DEMOS: [&str; 5] = [
    include_str!("../../../demo-songs/frost-on-the-sluice.json"),
    include_str!("../../../demo-songs/heron-waltz.json"),
    include_str!("../../../demo-songs/lanterns-at-the-lock.json"),
    include_str!("../../../demo-songs/saturday-quay.json"),
    include_str!("../../../demo-songs/the-long-pound.json"),
];

/// The demo songs' parts.
pub fn demo_parts() -> Vec<Part> {
    DEMOS.map(part_of).into()
}

#[test]
fn what_the_demo_songs_say_about_fingers_holds() {
    let mut sentences = BTreeSet::new();
    for part in demo_parts() {
        for (place, hand, claim) in claims(&part) {
            let text = voicing::Reason { hand: Some(hand), claim: claim.clone() }.text();
            assert!(holds(&part, place, hand, claim), "{} {place:?} {hand:?}: {text}", part.title);
            sentences.insert(text);
        }
    }
    // Read through.
    expect![[r#"
        1-2-4 instead of 1-2-5: finger 5 is then free for the F♯5 that follows.
        1-2-4 instead of 1-3-5: finger 5 is then free for the D♭5 that follows.
        1-3-5 instead of 1-2-5: finger 3 stays on A4.
        1-3-5 instead of 1-2-5: finger 3 stays on A♭4.
        1-3-5 instead of 1-2-5: finger 3 stays on B♭4.
        5-2 instead of 5-1: a finger stays free for C4.
        5-2 instead of 5-1: a finger stays free for D4.
        5-2 instead of 5-1: a finger stays free for E♭3.
        5-2 instead of 5-1: a finger stays free for E♭4.
        5-2 instead of 5-1: a finger stays free for G3."#]]
    .assert_eq(&sentences.into_iter().collect::<Vec<_>>().join("\n"));
}

#[test]
fn what_one_chord_says_about_fingers_does_not_hold_for_others() {
    let part =
        part_of(&song_text("C major", r#""right": { "notes": 3, "figure": "x - ^t t" },"#, "1 | 4 | 5 | 2"));
    let all = claims(&part);
    assert!(all.len() > 2);
    for (place, hand, claim) in &all {
        for (other, other_hand, _) in all.iter().filter(|(other, ..)| other != place) {
            assert!(
                !holds(&part, *other, *other_hand, claim),
                "{claim:?} of {place:?} at {other:?}, {hand:?}"
            );
        }
    }
}

/// Every shape that is not fingered as the handbooks have it says so, except thirds, fourths and tritones in another
/// common pair.
fn silent_about_fingers(part: &Part) -> Option<(Place, Hand)> {
    let told = claims(part);
    for (bar, b) in part.bars.iter().enumerate() {
        for (slot, s) in b.played.slots.iter().enumerate() {
            for hand in Hand::BOTH {
                let scene = Scene { part, place: (bar, slot), hand };
                let (keys, fingers) = (scene.keys(), scene.fingers());
                let gaps: Vec<u8> = keys.windows(2).map(|w| w[1] - w[0]).collect();
                let forms = handbook(&gaps, hand);
                let narrow = gaps.len() == 1 && gaps[0] <= 6 && forms.contains(&fingers);
                let usual = forms.first().is_none_or(|form| *form == fingers);
                // Struck as the handbooks have it, fingers that change later are told as that.
                let changes = forms.first() == Some(&scene.struck());
                let says = told.iter().any(|(p, h, c)| {
                    let here = (*p, *h) == ((bar, slot), hand);
                    here && match c {
                        Claim::Fingers { .. } => true,
                        Claim::Substitution { .. } => changes,
                        _ => false,
                    }
                });
                let chord = matches!(s.kind, song::SlotKind::Chord { .. });
                if chord && !usual && !narrow && !says {
                    return Some(((bar, slot), hand));
                }
            }
        }
    }
    None
}

/// Found by the songs at random: a key that is held over three bars changes its finger in the last of them.
#[test]
fn a_finger_that_changes_later_stays_until_then() {
    let text = r#"{ "format": 1, "title": "Held", "key": "E minor", "tempo": 90,
        "right": { "notes": 1, "figure": "x - - -" },
        "left": { "shape": "octave", "figure": "[v12]1-- x x x" },
        "sections": [ { "name": "A", "bars": ["6/8: 5"], "passes": 2,
                        "except": [ { "pass": 2, "bar": 1, "bars": "1" } ] },
                      { "name": "B", "bars": ["5sus4 ~ | 6/8: 4/5"] } ],
        "order": ["A", "B", "A", "B"] }"#;
    let song = song::read(text).song.unwrap().play();
    let part = plan(&song, song.key, &Settings::default().with_reach(Reach::new(7).unwrap())).unwrap();
    let held = part.events.iter().find(|e| !e.substitutions.is_empty()).unwrap();
    assert!(held.bar == 2 && held.substitutions[0].at == part.bars[4].played.start, "{held:?}");
    let told = claims(&part);
    assert!(told.iter().any(|(place, ..)| *place == (3, 0)), "{told:?}");
    for (place, hand, claim) in told {
        assert!(holds(&part, place, hand, claim), "{place:?} {hand:?}: {claim:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_said_about_fingers_holds(song in random_song(), reach in 7u8..=16) {
        let settings = Settings::default().with_reach(Reach::new(reach).unwrap());
        let part = plan(&song, song.key, &settings).unwrap();
        for (place, hand, claim) in claims(&part) {
            prop_assert!(holds(&part, place, hand, claim), "{:?} {:?}: {:?}", place, hand, claim);
        }
        prop_assert_eq!(silent_about_fingers(&part), None);
    }
}
