//! From the song as played to the two-hand part.

use crate::candidate::{Candidate, CandidateSet};
use crate::planner::{Planner, Voiced};
use crate::section_plan::{Choices, Versions, choose};
use crate::{Costs, FingerCosts, HeldNote, Part, PartBar, PartChord, Settings, Shape};
use song::{OtherMode, PlayedSong, SlotKind};
use theory::{Chord, Finger, Hand, Key, Member, MidiKey, Pitch, Quality};

/// The two-hand part of a song in the key of the night.
///
/// The song comes in its written key: shapes are chosen there and then moved by at most a tritone, so that members and
/// inversions stay what they are; only what leaves the keyboard or a low limit is chosen anew.
///
/// ```
/// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
///   "sections": [ { "name": "Intro", "bars": ["1 | 5/7 | 6 | 4"] } ] }"#;
/// let song = song::read(text).sound().unwrap().play();
/// let part = voicing::plan(&song, song.key, &voicing::Settings::default()).unwrap();
/// assert_eq!(part.bars.len(), 4);
/// // A over C#: the fifth above C# is not in the chord, so the left hand's second note is the root.
/// let left: Vec<String> = part.bars[1].chords[0].left.notes.iter().map(|n| n.pitch.to_string()).collect();
/// assert_eq!(left, ["C#3", "A3"]);
/// ```
///
/// # Errors
/// If `to` is of the other mode.
pub fn plan(song: &PlayedSong, to: Key, settings: &Settings) -> Result<Part, OtherMode> {
    plan_with(song, to, settings, &Costs::default())
}

/// [`plan`] with costs of one's own.
///
/// # Errors
/// If `to` is of the other mode.
pub fn plan_with(song: &PlayedSong, to: Key, settings: &Settings, costs: &Costs) -> Result<Part, OtherMode> {
    let mut written = song.clone();
    crate::texture::fill_in(&mut written, settings);
    let night = if to == song.key { None } else { Some(written.transposed(to)?) };
    let shift = song.key.semitones_to(to);
    let mut planner = Planner::new(settings, costs);
    let versions = Versions { written: &written, night: night.as_ref().unwrap_or(&written), shift };
    let (choices, proof) = choose(&mut planner, versions);
    let night = night.unwrap_or(written);
    let mut part = assemble(&planner, night, &choices, *settings);
    part.proof = proof;
    part.events = crate::event::events(&part);
    let fingers = crate::finger_part::put_fingers(&mut part, &FingerCosts::default());
    crate::why::explain(&mut part);
    crate::finger_why::tell(&mut part, fingers);
    Ok(part)
}

fn assemble(planner: &Planner<'_>, night: PlayedSong, choices: &Choices, settings: Settings) -> Part {
    let mut sounding = PartChord::default();
    let mut bars = Vec::with_capacity(night.bars.len());
    for (played, choices) in night.bars.into_iter().zip(choices) {
        let mut chords = Vec::with_capacity(played.slots.len());
        for (slot, choice) in played.slots.iter().zip(choices) {
            sounding = match (&slot.kind, choice) {
                (SlotKind::Chord { chord, .. }, Some(voiced)) => part_chord(planner, chord, *voiced),
                (SlotKind::Tie { .. }, _) => sounding,
                _ => PartChord::default(),
            };
            chords.push(sounding.clone());
        }
        bars.push(PartBar { played, chords });
    }
    Part {
        title: night.title,
        key: night.key,
        sections: night.sections,
        note: night.note,
        words: night.words,
        count_in: night.count_in,
        settings,
        bars,
        events: Vec::new(),
        proof: crate::Proof::default(),
    }
}

fn part_chord(planner: &Planner<'_>, chord: &Chord, voiced: Voiced) -> PartChord {
    let [right, left] = Hand::BOTH.map(|hand| {
        let (set, candidate) = planner.shape(voiced, hand);
        shape(chord, set, candidate)
    });
    PartChord { right, left, why: Vec::new() }
}

/// A shape before fingers are put on it: all notes wait under the thumb.
fn shape(chord: &Chord, set: &CandidateSet, candidate: &Candidate) -> Shape {
    let places = candidate.keys().iter().zip(candidate.names());
    let notes: Vec<HeldNote> = places
        .filter_map(|(&key, &name)| {
            let ingredient = set.palette.get(usize::from(name))?;
            let key = MidiKey::new(key)?;
            let pitch = Pitch::spelled(ingredient.name, key).unwrap_or(key.pitch());
            Some(HeldNote { pitch, key, member: ingredient.member, finger: Finger::THUMB, substitute: None })
        })
        .collect();
    let holds = |class: u8| notes.iter().any(|n| n.key.number() % 12 == class);
    let omitted = if notes.is_empty() {
        Vec::new()
    } else {
        chord.tones.iter().filter(|t| !holds(t.name.pitch_class())).map(|t| t.member).collect()
    };
    Shape { inversion: inversion(chord, &notes), omitted, rolled: candidate.rolled, notes }
}

/// By the lowest member; none for single notes, bare octaves and chords without a third.
fn inversion(chord: &Chord, notes: &[HeldNote]) -> Option<u8> {
    let lowest = notes.first()?;
    let bare = notes.iter().all(|n| n.key.number() % 12 == lowest.key.number() % 12);
    if bare || chord.quality() == Quality::NoThird {
        return None;
    }
    Member::inversion(lowest.member)
}
