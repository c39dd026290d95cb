//! Pins: a hand's shape written into the song, as an exception with tones; and the shape that a player holds, recognised.

use crate::{Part, PartChord};
use song::edit::{Change, HandField, Place};
use song::{Hold, LeftShape, PlayedSong, SlotKind, Tones};
use theory::{Chord, Hand, Letter, Member, MidiKey, NoteName, Pitch};

/// A bar of the song as played and a slot in it, both from 0.
pub type At = (usize, usize);

/// What a pin writes: members from the lowest up, so that they survive transposition, and where they lie.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pin {
    /// The hand.
    pub hand: Hand,
    /// Tones, or in the left hand a shape that has a name.
    pub hold: Hold,
    /// The lowest note, in the written key.
    pub near: Pitch,
}

/// Where a pin holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PinScope {
    /// In every pass of its section.
    EveryPass,
    /// In this pass alone.
    ThisPass,
}

impl Pin {
    /// The edits that write it into the song, to be made in one step: an exception at its bar, or at its beat where the
    /// bar has several chords. `None` where no written bar stands behind the bar played.
    ///
    /// ```
    /// use voicing::{PinScope, Settings, as_held, plan};
    /// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
    ///   "sections": [ { "name": "A", "bars": ["1 | 4"] } ] }"#;
    /// let song = song::read(text).sound().unwrap().play();
    /// let part = plan(&song, song.key, &Settings::default()).unwrap();
    /// let keys = [62, 67, 71].map(|n| theory::MidiKey::new(n).unwrap());
    /// let held = as_held(&song, &part, (1, 0), theory::Hand::Right, &keys).unwrap();
    /// let changes = held.pin.unwrap().changes(&song, (1, 0), PinScope::EveryPass).unwrap();
    /// let edited = song::edit::apply_all(text, &changes).unwrap();
    /// assert!(edited.text.contains(r#""right": { "tones": "5 1 3", "near": "D4" }"#));
    /// ```
    pub fn changes(&self, song: &PlayedSong, at: At, scope: PinScope) -> Option<Vec<Change>> {
        let pass = (scope == PinScope::ThisPass).then_some(song.bars.get(at.0)?.pass);
        let place = place_of(song, at, pass)?;
        let tell = |field| Change::Hand { place, hand: self.hand, field };
        let mut changes = match &self.hold {
            Hold::Tones(tones) => vec![tell(HandField::Tones(Some(tones.clone())))],
            Hold::Shape(shape) => vec![tell(HandField::Shape(Some(*shape)))],
            Hold::Notes(notes) => vec![tell(HandField::Notes(Some(*notes)))],
        };
        changes.push(tell(HandField::Near(Some(self.near))));
        Some(changes)
    }
}

/// The edits that take out what is pinned at a chord, in both hands; none where nothing is. `text` is that of the song file.
/// Pins for every pass go on for the others where `scope` is one pass.
///
/// ```
/// use voicing::{PinScope, unpin};
/// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72, "sections": [ { "name": "A",
///   "bars": ["1 | 4"], "except": [ { "bar": 2, "right": { "tones": "5 1 3", "near": "D4" } } ] } ] }"#;
/// let song = song::read(text).sound().unwrap().play();
/// assert!(unpin(text, &song, (0, 0), PinScope::EveryPass).is_empty());
/// let changes = unpin(text, &song, (1, 0), PinScope::EveryPass);
/// assert!(!song::edit::apply_all(text, &changes).unwrap().text.contains("except"));
/// ```
pub fn unpin(text: &str, song: &PlayedSong, at: At, scope: PinScope) -> Vec<Change> {
    let Some(bar) = song.bars.get(at.0) else { return Vec::new() };
    let mut taken = Taken { text: text.to_owned(), changes: Vec::new() };
    for hand in Hand::BOTH {
        let of_hand =
            |slot: &song::Slot| if hand == Hand::Right { slot.right.written } else { slot.left.written };
        let written = |bar: &song::PlayedBar| bar.slots.get(at.1).is_some_and(|slot| of_hand(slot).hold);
        let passes: Vec<Option<u32>> = match scope {
            _ if !written(bar) && scope == PinScope::ThisPass => Vec::new(),
            _ if bar.passes <= 1 => vec![None],
            PinScope::ThisPass => vec![Some(bar.pass)],
            PinScope::EveryPass => {
                let same = |other: &&song::PlayedBar| {
                    (other.place, other.written_bar) == (bar.place, bar.written_bar) && written(other)
                };
                let all: Vec<&song::PlayedBar> = song.bars.iter().filter(same).collect();
                let own = all.iter().filter(|bar| bar.unlike.is_anything()).map(|bar| Some(bar.pass));
                let every = (!all.is_empty()).then_some(None);
                every.into_iter().chain(own).collect()
            }
        };
        for place in passes.into_iter().filter_map(|pass| place_of(song, at, pass)) {
            let hold = [HandField::Tones(None), HandField::Shape(None), HandField::Notes(None)];
            let held = hold.into_iter().map(|field| taken.takes(Change::Hand { place, hand, field }));
            // All of them, and by itself a place is no pin.
            if held.filter(|taken| *taken).count() > 0 {
                taken.takes(Change::Hand { place, hand, field: HandField::Near(None) });
            }
        }
    }
    taken.changes
}

/// A text and the edits that led to it.
struct Taken {
    text: String,
    changes: Vec<Change>,
}

impl Taken {
    /// Makes an edit, if there is anything to make.
    fn takes(&mut self, change: Change) -> bool {
        let Ok(edited) = song::edit::apply(&self.text, &change) else { return false };
        let other = edited.text != self.text;
        if other {
            self.text = edited.text;
            self.changes.push(change);
        }
        other
    }
}

/// Where a pin of a chord stands: at its bar, or at its beat where the bar has several chords.
fn place_of(song: &PlayedSong, at: At, pass: Option<u32>) -> Option<Place> {
    let bar = song.bars.get(at.0)?;
    let slot = bar.slots.get(at.1)?;
    let beat = slot.start.div_floor(bar.beat.length);
    let on_beat = bar.beat.length.times(beat) == slot.start;
    let beat = (bar.slots.len() > 1 && on_beat).then(|| u8::try_from(beat + 1).ok()).flatten();
    Some(Place::Bar { section: bar.section, bar: bar.written_bar.or(bar.in_place_of)?, pass, beat })
}

/// What a player holds in one hand, against the chord.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AsHeld {
    /// The hand.
    pub hand: Hand,
    /// Its notes from the lowest up.
    pub notes: Vec<Recognised>,
    /// The pin that writes it, or why the song file cannot say it.
    pub pin: Result<Pin, CannotPin>,
}

/// A held note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Recognised {
    /// The note, spelled in the key.
    pub pitch: Pitch,
    /// Which member it is (in the left hand: counted from the note that the hand takes); `None` for a note that no number
    /// of the key or the chord names.
    pub member: Option<Member>,
    /// Whether it is foreign to the chord.
    pub foreign: bool,
}

/// Why a shape cannot be pinned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CannotPin {
    /// Nothing is held.
    #[error("hold the notes you want, then pin them")]
    NothingHeld,
    /// A note is neither in the chord nor in the key.
    #[error("{} is neither in the chord nor in the key; write another chord for it", .0.pretty())]
    NotInKey(Pitch),
    /// Tones are stacked as close as they go, so that no gap of an octave can be written.
    #[error("{} and {} lie an octave or more apart; move one of them closer", .0.pretty(), .1.pretty())]
    TooFarApart(Pitch, Pitch),
    /// A member is there twice, and is not a bare octave.
    #[error("the {} is there twice; let one of them go", .0.name())]
    Twice(Member),
    /// More notes than a hand's tones may have.
    #[error("that is more notes than one hand holds; share them between the hands")]
    TooMany,
}

impl AsHeld {
    /// In words: `Right hand: 5 1 3. F♯4 is foreign to the chord.`
    pub fn text(&self) -> String {
        let hand = if self.hand == Hand::Right { "Right hand" } else { "Left hand" };
        let name = |n: &Recognised| n.member.map_or_else(|| n.pitch.pretty(), |m| m.to_string());
        let names: Vec<String> = self.notes.iter().map(name).collect();
        let foreign: Vec<String> =
            self.notes.iter().filter(|n| n.foreign).map(|n| n.pitch.pretty()).collect();
        let strange = match &foreign[..] {
            [] => String::new(),
            [one] => format!(" {one} is foreign to the chord."),
            many => format!(" {} are foreign to the chord.", many.join(" and ")),
        };
        format!("{hand}: {}.{strange}", names.join(" "))
    }
}

/// Recognises what a hand holds at a chord. Keys are those of the night, `song` is in its written key. `None` where no
/// chord is struck.
pub fn as_held(song: &PlayedSong, part: &Part, at: At, hand: Hand, keys: &[MidiKey]) -> Option<AsHeld> {
    let chord_of = |kind: &SlotKind| match kind {
        SlotKind::Chord { chord, .. } => Some(chord.clone()),
        SlotKind::Tie { .. } | SlotKind::Rest => None,
    };
    let chord = chord_of(&part.bars.get(at.0)?.played.slots.get(at.1)?.kind)?;
    let written = chord_of(&song.bars.get(at.0)?.slots.get(at.1)?.kind)?;
    let mut keys = keys.to_vec();
    keys.sort_unstable();
    keys.dedup();
    let notes: Vec<Recognised> = keys.iter().map(|&key| recognised(&chord, hand, key)).collect();
    let shift = song.key.semitones_to(part.key);
    let pin = pin_of(hand, &notes, &written, shift);
    Some(AsHeld { hand, notes, pin })
}

/// The keys held, shared between the hands as the part has them: at the widest gap between the lowest key of the right
/// hand and the highest of the left, or all to the hand that they lie nearer to.
pub fn share_between_hands(chord: &PartChord, keys: &[MidiKey]) -> (Vec<MidiKey>, Vec<MidiKey>) {
    let mut keys = keys.to_vec();
    keys.sort_unstable();
    let middle = |notes: &[crate::HeldNote]| {
        let ends = notes.first().zip(notes.last());
        ends.map(|(low, high)| (i32::from(low.key.number()) + i32::from(high.key.number())) / 2)
    };
    let (left, right) = (middle(&chord.left.notes).unwrap_or(50), middle(&chord.right.notes).unwrap_or(67));
    let nearer_left = |key: &MidiKey| {
        let key = i32::from(key.number());
        (key - left).abs() < (key - right).abs()
    };
    let split = keys.partition_point(nearer_left);
    let upper = keys.split_off(split);
    (upper, keys)
}

fn recognised(chord: &Chord, hand: Hand, key: MidiKey) -> Recognised {
    let class = key.number() % 12;
    let scale = chord.scale();
    let in_chord = chord.member_sounding(class).map(|tone| tone.name);
    let bass = Some(chord.bass).filter(|name| name.pitch_class() == class);
    let in_key = scale.into_iter().find(|name| name.pitch_class() == class);
    let name = in_chord.or(bass).or(in_key);
    let pitch = name.and_then(|name| Pitch::spelled(name, key)).unwrap_or(key.pitch());
    let foreign = in_chord.is_none() && !(hand == Hand::Left && bass.is_some());
    Recognised { pitch, member: name.and_then(|name| member(chord, hand, name)), foreign }
}

/// The number by which the song file names a note of a hand, if it can.
fn member(chord: &Chord, hand: Hand, name: NoteName) -> Option<Member> {
    let from = if hand == Hand::Right { chord.root() } else { chord.bass };
    let steps = (name.letter.index() - from.letter.index()).rem_euclid(7) as u8;
    if hand == Hand::Right
        && let Some(tone) = chord.tones.iter().find(|tone| tone.name == name)
    {
        return Some(tone.member);
    }
    let named = Member::new(steps + 1)?;
    (tone_name(chord, hand, named) == name).then_some(named)
}

/// The note that written tones mean by a number.
fn tone_name(chord: &Chord, hand: Hand, member: Member) -> NoteName {
    let same_letter = |m: Member| (m.number() - 1) % 7;
    let steps = i32::from(same_letter(member));
    let (from, scale) = match hand {
        Hand::Right => {
            let own = chord.tones.iter().find(|tone| same_letter(tone.member) == same_letter(member));
            if let Some(tone) = own {
                return tone.name;
            }
            (chord.root(), chord.scale())
        }
        Hand::Left if steps == 0 => return chord.bass,
        Hand::Left => (chord.bass, if chord.is_slash() { chord.key.scale() } else { chord.scale() }),
    };
    let letter = Letter::at(from.letter.index() + steps);
    scale.into_iter().find(|name| name.letter == letter).unwrap_or(from)
}

fn pin_of(hand: Hand, notes: &[Recognised], written: &Chord, shift: i32) -> Result<Pin, CannotPin> {
    let lowest = notes.first().ok_or(CannotPin::NothingHeld)?;
    if notes.len() > crate::candidate::MOST_NOTES {
        return Err(CannotPin::TooMany);
    }
    let mut members = Vec::with_capacity(notes.len());
    for note in notes {
        members.push(note.member.ok_or(CannotPin::NotInKey(note.pitch))?);
    }
    let numbers: Vec<u8> = members.iter().map(|m| m.number()).collect();
    let distance = |a: &Recognised, b: &Recognised| b.pitch.semitones() - a.pitch.semitones();
    let wide = notes.windows(2).find(|pair| distance(&pair[0], &pair[1]) > 12);
    let octave_apart = notes.windows(2).find(|pair| distance(&pair[0], &pair[1]) == 12);
    if let Some(pair) = wide.or(octave_apart.filter(|_| numbers != [1, 1])) {
        return Err(CannotPin::TooFarApart(pair[0].pitch, pair[1].pitch));
    }
    let hold = match (hand, &numbers[..]) {
        (Hand::Left, [1, 5, 1]) => Hold::Shape(LeftShape::RootFifthOctave),
        (_, [1, 1]) => Hold::Tones(Tones(members)),
        _ => match (1..members.len()).find(|&at| members[..at].contains(&members[at])) {
            Some(at) => return Err(CannotPin::Twice(members[at])),
            None => Hold::Tones(Tones(members)),
        },
    };
    Ok(Pin { hand, hold, near: near(hand, lowest, written, shift) })
}

/// The lowest note in the written key.
fn near(hand: Hand, lowest: &Recognised, written: &Chord, shift: i32) -> Pitch {
    let there = |key: i32| u8::try_from(key).ok().and_then(MidiKey::new);
    let Some(key) = there(lowest.pitch.semitones() - shift) else { return lowest.pitch };
    let name = lowest.member.map(|member| tone_name(written, hand, member));
    name.and_then(|name| Pitch::spelled(name, key)).unwrap_or(key.pitch())
}
