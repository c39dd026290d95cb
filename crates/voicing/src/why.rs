//! What there is to say about each chord of a part. Everything is read off the keys, the chart and the settings.

use crate::candidate_left::LOWEST_NOTE;
use crate::pair::below_limit;
use crate::{
    Claim, Level, Part, PartChord, Reason, Role, SecondNote, Settings, Shape, movement, second_note,
};
use song::{Hold, LeftShape, PlayedBar, Slot, SlotKind};
use std::collections::HashMap;
use theory::{Chord, Degree, Hand, MidiKey, Pitch};

/// At most so many sentences a hand.
const SENTENCES: usize = 3;

/// Puts the reasons into a part, right hand first.
pub(crate) fn explain(part: &mut Part) {
    let settings = part.settings;
    let mut passing = passing_notes(part);
    let mut before: Option<(Shape, Shape)> = None;
    for (number, bar) in part.bars.iter_mut().enumerate() {
        let (level, bass) = (bar.played.level, bar.played.bass);
        let several = bar.played.slots.len() > 1;
        for (index, (slot, chord)) in bar.played.slots.iter().zip(&mut bar.chords).enumerate() {
            let mut why = Vec::with_capacity(8);
            match &slot.kind {
                SlotKind::Chord { chord: harmony, .. } => {
                    let view =
                        View { slot, harmony, here: chord, before: before.as_ref(), settings, level, bass };
                    let moving = passing.remove(&(number, index));
                    why.extend(moving.map(|claim| Reason { hand: Some(Hand::Right), claim }));
                    view.both(&mut why);
                    if several {
                        why.extend(beats(slot, &bar.played));
                    }
                    before = Some((chord.right.clone(), chord.left.clone()));
                }
                SlotKind::Tie { sounding } => why.push(plain(Claim::Tie { chord: sounding.written })),
                SlotKind::Rest => why.push(plain(Claim::Rest)),
            }
            chord.why = why;
        }
    }
}

fn plain(claim: Claim) -> Reason {
    Reason { hand: None, claim }
}

/// A slot that an exception cut in two has other beats than its dots or its share say; then nothing is said.
fn beats(slot: &Slot, bar: &PlayedBar) -> Option<Reason> {
    let beats = slot.length.div_floor(bar.beat.length);
    let whole = bar.beat.length.times(beats) == slot.length;
    let even = bar.slots.iter().all(|other| other.length == slot.length && !other.continued);
    let told = if slot.dots == 0 { even } else { i64::from(slot.dots) == beats };
    let beats = u8::try_from(beats).ok().filter(|_| whole && told)?;
    Some(plain(Claim::Beats { beats, of: bar.beat.count, dots: slot.dots }))
}

/// A chord with what was struck before it.
struct View<'a> {
    slot: &'a Slot,
    harmony: &'a Chord,
    here: &'a PartChord,
    /// Right and left.
    before: Option<&'a (Shape, Shape)>,
    settings: Settings,
    level: u8,
    bass: bool,
}

impl View<'_> {
    fn both(&self, why: &mut Vec<Reason>) {
        for hand in Hand::BOTH {
            let mut claims = Vec::with_capacity(6);
            match hand {
                Hand::Right => self.right(&mut claims),
                Hand::Left => self.left(&mut claims),
            }
            let told = why.iter().filter(|reason| reason.hand == Some(hand)).count();
            claims.truncate(SENTENCES - told);
            why.extend(claims.into_iter().map(|claim| Reason { hand: Some(hand), claim }));
        }
        why.push(plain(Claim::Chord { chord: self.harmony.written, key: self.harmony.key }));
        let degree = self.harmony.written.root;
        if let SlotKind::Chord { push, diamond, .. } = self.slot.kind {
            why.extend(push.then_some(plain(Claim::Push { degree })));
            why.extend(diamond.then_some(plain(Claim::Diamond { degree })));
        }
    }

    /// What is out of the ordinary first, then how the hand gets there, then what the shape is.
    fn right(&self, claims: &mut Vec<Claim>) {
        let shape = &self.here.right;
        let Some(low) = shape.notes.first() else { return };
        self.asked_for(Hand::Right, claims);
        let before = self.before.map(|(right, _)| right);
        self.movement(before, shape, claims);
        claims.extend(self.root_position_instead(before));
        if shape.notes.len() > 1 {
            claims.push(Claim::Lowest { note: low.pitch, member: low.member, inversion: shape.inversion });
        }
        claims.extend(self.left_out(shape, &self.here.left));
    }

    fn left(&self, claims: &mut Vec<Claim>) {
        let shape = &self.here.left;
        let Some(low) = shape.notes.first() else { return };
        self.asked_for(Hand::Left, claims);
        claims.extend(self.octave_down());
        if low.pitch.name.pitch_class() == self.harmony.bass.pitch_class() {
            claims.push(self.bass(low.pitch));
        }
        claims.extend(self.second(shape));
        claims.extend(self.muddy(shape));
        self.movement(self.before.map(|(_, left)| left), shape, claims);
    }

    /// What the song writes for the hand, and what the reach makes of it.
    fn asked_for(&self, hand: Hand, claims: &mut Vec<Claim>) {
        let shape = self.here.hand(hand);
        let style = if hand == Hand::Right { &self.slot.right } else { &self.slot.left };
        if let Hold::Tones(tones) = &style.hold {
            claims.push(Claim::Written { tones: tones.0.clone() });
        }
        if let (Some(near), Some(low)) = (style.near, shape.notes.first()) {
            claims.push(Claim::Near { wanted: near, lowest: low.pitch });
        }
        let (held, reach) = (shape.notes.len() as u8, self.settings.reach_of(hand).semitones());
        if shape.rolled {
            claims.push(Claim::Rolled { semitones: span(shape), reach });
        }
        let beside_bass = hand == Hand::Left && matches!(style.hold, Hold::Notes(_));
        let asked = match beside_bass {
            true => asked_notes(&style.hold, self.harmony).min(without_bass(self.harmony)),
            false => asked_notes(&style.hold, self.harmony),
        };
        if held < asked {
            claims.push(Claim::Fewer { asked, held, reach });
        }
        let bass = self.harmony.bass;
        if beside_bass && self.bass && shape.notes.iter().all(|n| n.pitch.name != bass) {
            claims.push(Claim::BassPlayer { note: bass, floor: self.settings.left_floor.pitch() });
        } else if !style.written.hold && self.level != Level::MIDDLE.number() {
            claims.push(Claim::Level { level: self.level, keys: held });
        }
    }

    fn movement(&self, before: Option<&Shape>, shape: &Shape, claims: &mut Vec<Claim>) {
        let Some(before) = before.filter(|b| !b.notes.is_empty()) else { return };
        let same_size = before.notes.len() == shape.notes.len();
        // In shapes of one size a voice stays, in others a key does.
        let stays: Vec<Pitch> = (shape.notes.iter().enumerate())
            .filter(|(i, n)| match same_size {
                true => before.notes[*i].key == n.key,
                false => before.notes.iter().any(|b| b.key == n.key),
            })
            .map(|(_, n)| n.pitch)
            .collect();
        if same_size && stays.len() == shape.notes.len() {
            claims.push(Claim::NothingMoves { lowest: shape.notes[0].pitch });
            return;
        }
        if !stays.is_empty() {
            claims.push(Claim::Stays { notes: stays });
        }
        if same_size {
            let voices = before.notes.iter().zip(&shape.notes);
            let voices: Vec<(Pitch, Pitch)> =
                voices.filter(|(a, b)| a.key != b.key).map(|(a, b)| (a.pitch, b.pitch)).collect();
            let semitones = movement(&keys(before), &keys(shape));
            claims.push(Claim::Moves { voices, semitones });
        }
    }

    /// The nearest root position of the same notes, where it would have cost more.
    fn root_position_instead(&self, before: Option<&Shape>) -> Option<Claim> {
        let shape = &self.here.right;
        let before = before.filter(|b| b.notes.len() == shape.notes.len())?;
        if shape.inversion.is_none_or(|inversion| inversion == 0) {
            return None;
        }
        let root = shape.notes.iter().find(|n| n.member.number() == 1)?.key.number();
        let mut above: Vec<u8> = shape.notes.iter().map(|n| (n.key.number() + 120 - root) % 12).collect();
        above.sort_unstable();
        let from = keys(before);
        let at = |octave: u8| {
            above.iter().map(|step| MidiKey::new(root % 12 + 12 * octave + step)).collect::<Option<Vec<_>>>()
        };
        let semitones = (0..10).filter_map(at).map(|there| movement(&from, &there)).min()?;
        let played = movement(&from, &keys(shape));
        (semitones > played).then_some(Claim::RootPositionInstead { semitones, played })
    }

    fn left_out<'a>(&'a self, shape: &'a Shape, other: &'a Shape) -> impl Iterator<Item = Claim> + 'a {
        shape.omitted.iter().filter_map(|&member| {
            let name = self.harmony.member(member)?.name;
            let covered = other.notes.iter().any(|n| n.key.number() % 12 == name.pitch_class());
            Some(Claim::LeftOut { member, name, covered })
        })
    }

    fn bass(&self, note: Pitch) -> Claim {
        let written = self.harmony.written;
        let degree: Degree = written.under.unwrap_or(written.root);
        Claim::Bass { degree, note, under_slash: written.under.is_some() }
    }

    /// Only where a shape chooses the second note, and it came to stand there.
    fn second(&self, shape: &Shape) -> Option<Claim> {
        let Hold::Shape(kind) = self.slot.left.hold else { return None };
        let chooses =
            matches!(kind, LeftShape::RootFifth | LeftShape::RootFifthOctave | LeftShape::RootFifthTenth);
        let [low, second, ..] = &shape.notes[..] else { return None };
        let (name, why) = second_note(self.harmony);
        let stands = second.key.number() % 12 == name.pitch_class();
        let plain = why == SecondNote::OwnFifth;
        (chooses && stands && !plain).then_some(Claim::Second { lowest: low.pitch.name, note: name, why })
    }

    /// Below its home because an octave higher it would meet the right hand.
    fn octave_down(&self) -> Option<Claim> {
        let (left, right) = (&self.here.left, &self.here.right);
        let (low, high) = (left.notes.first()?, left.notes.last()?);
        let right = right.notes.first()?;
        let up = |octaves: u8| high.key.number() + 12 * octaves >= right.key.number();
        let wanted = match self.slot.left.near {
            Some(near) => near.semitones() - 6,
            None => LOWEST_NOTE.0,
        };
        let octaves = (wanted - i32::from(low.key.number()) + 11).div_euclid(12);
        let octaves = u8::try_from(octaves).ok().filter(|&n| n > 0 && up(1))?;
        let highest = Pitch::new(high.pitch.name, high.pitch.octave + octaves as i8);
        Some(Claim::OctaveDown { octaves, highest, right: right.pitch })
    }

    fn muddy(&self, shape: &Shape) -> Option<Claim> {
        shape.notes.windows(2).find_map(|pair| {
            let below = below_limit(pair[0].key.number(), pair[1].key.number());
            (below > 0).then_some(Claim::Muddy { low: pair[0].pitch, high: pair[1].pitch, below })
        })
    }
}

/// How many notes the song asks for; 0 where it does not count them.
fn asked_notes(hold: &Hold, chord: &Chord) -> u8 {
    match hold {
        Hold::Notes(asked) => *asked,
        Hold::Shape(LeftShape::Octave | LeftShape::RootFifth) => 2,
        Hold::Shape(LeftShape::RootFifthOctave) if second_note(chord).1.is_octave() => 2,
        Hold::Shape(LeftShape::RootFifthOctave) => 3,
        Hold::Shape(_) | Hold::Tones(_) => 0,
    }
}

/// How many of the chord's notes the bass player leaves.
fn without_bass(chord: &Chord) -> u8 {
    chord.names().filter(|name| name.pitch_class() != chord.bass.pitch_class()).count() as u8
}

/// The passing and neighbour notes that the levels put on top, by bar and slot.
fn passing_notes(part: &Part) -> HashMap<(usize, usize), Claim> {
    let passing = part.events.iter().filter(|e| e.role == Role::Passing && e.hand == Hand::Right);
    let found = passing.filter_map(|event| {
        let at = (event.bar, event.slot);
        let bar = &part.bars[at.0];
        if bar.played.slots[at.1].right.written.figure {
            return None;
        }
        let top = |chord: &PartChord| Some(chord.right.notes.last()?.pitch);
        let from = top(&bar.chords[at.1])?;
        let next = bar.chords.get(at.1 + 1).or_else(|| part.bars.get(at.0 + 1)?.chords.first())?;
        let (to, through) = (top(next)?, event.pitch);
        Some(match to == from {
            true => (at, Claim::NeighbourNote { note: from, neighbour: through }),
            false => (at, Claim::PassingNote { from, through, to }),
        })
    });
    found.collect()
}

fn keys(shape: &Shape) -> Vec<MidiKey> {
    shape.notes.iter().map(|n| n.key).collect()
}

fn span(shape: &Shape) -> u8 {
    match (shape.notes.first(), shape.notes.last()) {
        (Some(low), Some(high)) => high.key.number() - low.key.number(),
        _ => 0,
    }
}
