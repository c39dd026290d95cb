//! The part on two staves: bars, voices, ties, accidentals and beams.

use super::value::{Cut, EIGHTH, Stretch, cut};
use song::Quarters;
use std::collections::HashMap;
use theory::{Hand, Key};
use voicing::{Event, Part};

/// A measure of the page.
pub(super) struct Measure {
    /// Index of its bar; `None` for the one that holds a first push.
    pub bar: Option<usize>,
    pub start: Quarters,
    pub length: Quarters,
    /// The upper staff, then the lower.
    pub staves: [Staff; 2],
}

/// One staff of a measure: its voices, each of which fills it. A voice without signs is not there; the first always is.
pub(super) struct Staff {
    pub voices: Vec<Vec<Sign>>,
}

/// A chord, a note or a rest.
pub(super) struct Sign {
    pub cut: Cut,
    pub notes: Vec<Note>,
    /// A rest that fills the measure.
    pub whole_measure: bool,
    /// Per beam, from the first.
    pub beams: Vec<Beam>,
}

/// One note of a chord.
#[derive(Clone, Copy)]
pub(super) struct Note {
    /// Index in [`Part::events`].
    pub event: usize,
    /// It goes on from before, or after this.
    pub tied_from: bool,
    pub tied_to: bool,
    /// The accidental that has to be written.
    pub accidental: Option<i8>,
}

/// What a beam does at a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Beam {
    Begin,
    Continue,
    End,
    ForwardHook,
    BackwardHook,
}

/// Notes of a hand that are struck together and end together, and stay together from measure to measure.
type Group = (Hand, Quarters, Quarters);
/// The voices that groups have which go on after a measure: many readers follow ties within a voice only.
type Voices = HashMap<Group, usize>;

/// A group, or a part of one, within a measure.
struct Piece {
    group: Group,
    start: Quarters,
    end: Quarters,
    notes: Vec<Note>,
}

/// Lays out a whole part.
pub(super) fn layout(part: &Part) -> Vec<Measure> {
    let mut measures = Vec::with_capacity(part.bars.len() + 1);
    let early = part.events.iter().map(|event| event.start).min().filter(|start| *start < Quarters::ZERO);
    let mut spans: Vec<(Option<usize>, Quarters, Quarters)> = Vec::new();
    spans.extend(early.map(|start| (None, start, Quarters::ZERO - start)));
    let bars = part.bars.iter().enumerate();
    spans.extend(bars.map(|(index, bar)| (Some(index), bar.played.start, bar.played.meter.length())));
    let end = spans.last().map_or(Quarters::ZERO, |last| last.1 + last.2);
    let mut open: Vec<usize> = Vec::new();
    let mut next = 0;
    let mut voices = Voices::new();
    for (bar, start, length) in spans {
        let measure_end = start + length;
        while part.events.get(next).is_some_and(|event| event.start < measure_end) {
            open.push(next);
            next += 1;
        }
        let staves =
            Hand::BOTH.map(|hand| staff(part, hand, &open, bar, (start, measure_end), end, &mut voices));
        open.retain(|event| ends(&part.events[*event]).min(end) > measure_end);
        measures.push(Measure { bar, start, length, staves });
    }
    measures
}

fn ends(event: &Event) -> Quarters {
    event.start + event.length
}

fn staff(
    part: &Part,
    hand: Hand,
    open: &[usize],
    bar: Option<usize>,
    (start, end): Stretch,
    song_end: Quarters,
    voices: &mut Voices,
) -> Staff {
    let played = &part.bars[bar.unwrap_or(0)].played;
    let mut pieces: Vec<Piece> = Vec::new();
    for &index in open.iter().filter(|index| part.events[**index].hand == hand) {
        let event = &part.events[index];
        let stop = ends(event).min(song_end);
        let (from, to) = (event.start.max(start), stop.min(end));
        if from >= to {
            continue;
        }
        let note =
            Note { event: index, tied_from: event.start < start, tied_to: stop > end, accidental: None };
        let (from, to) = (from - start, to - start);
        let group = (hand, event.start, stop);
        match pieces.iter_mut().find(|piece| piece.group == group) {
            Some(piece) => piece.notes.push(note),
            None => pieces.push(Piece { group, start: from, end: to, notes: vec![note] }),
        }
    }
    let length = end - start;
    let beat = played.beat.length;
    let signs = |(index, voice): (usize, Vec<Piece>)| match voice.is_empty() && index > 0 {
        true => Vec::new(),
        false => signs(voice, beat, length),
    };
    let mut voices: Vec<Vec<Sign>> = share(pieces, part, voices).into_iter().enumerate().map(signs).collect();
    put_accidentals(&mut voices, played.key, part);
    Staff { voices }
}

/// Pieces shared among voices, none over another in one voice. What goes on from before keeps its voice. There is always a
/// first voice.
fn share(mut pieces: Vec<Piece>, part: &Part, kept: &mut Voices) -> Vec<Vec<Piece>> {
    let top = |piece: &Piece| piece.notes.iter().map(|note| part.events[note.event].key).max();
    pieces
        .sort_by_key(|piece| (piece.start, !kept.contains_key(&piece.group), std::cmp::Reverse(top(piece))));
    let mut voices: Vec<Vec<Piece>> = vec![Vec::new()];
    for mut piece in pieces {
        piece.notes.sort_by_key(|note| part.events[note.event].key);
        let free = |voice: &Vec<Piece>| voice.last().is_none_or(|last| last.end <= piece.start);
        let first_free = || voices.iter().position(free).unwrap_or(voices.len());
        let voice = kept.get(&piece.group).copied().unwrap_or_else(first_free);
        kept.insert(piece.group, voice);
        if !piece.notes.iter().any(|note| note.tied_to) {
            kept.remove(&piece.group);
        }
        if voices.len() <= voice {
            voices.resize_with(voice + 1, Vec::new);
        }
        voices[voice].push(piece);
    }
    voices
}

/// A voice with its rests, cut into note values.
fn signs(voice: Vec<Piece>, beat: Quarters, length: Quarters) -> Vec<Sign> {
    if voice.is_empty() {
        let whole = Cut { start: Quarters::ZERO, length, value: None, tuplet: None };
        return vec![Sign { cut: whole, notes: Vec::new(), whole_measure: true, beams: Vec::new() }];
    }
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut contents: Vec<Vec<Note>> = Vec::new();
    let mut at = Quarters::ZERO;
    for piece in voice {
        if piece.start > at {
            stretches.push((at, piece.start));
            contents.push(Vec::new());
        }
        stretches.push((piece.start, piece.end));
        at = piece.end;
        contents.push(piece.notes);
    }
    if at < length {
        stretches.push((at, length));
        contents.push(Vec::new());
    }
    let cuts = cut(&stretches, beat, length);
    let mut signs: Vec<Sign> = Vec::with_capacity(cuts.len());
    for (position, &(index, cut)) in cuts.iter().enumerate() {
        let first = position == 0 || cuts[position - 1].0 != index;
        let last = cuts.get(position + 1).is_none_or(|next| next.0 != index);
        let tied = |note: &Note| Note {
            tied_from: note.tied_from || !first,
            tied_to: note.tied_to || !last,
            ..*note
        };
        let notes = contents[index].iter().map(tied).collect();
        signs.push(Sign { cut, notes, whole_measure: false, beams: Vec::new() });
    }
    put_beams(&mut signs, beat);
    signs
}

/// Accidentals where the key, or an earlier one in the measure, says otherwise.
fn put_accidentals(voices: &mut [Vec<Sign>], key: Key, part: &Part) {
    let mut notes: Vec<&mut Note> = Vec::new();
    let mut signs: Vec<&mut Sign> = voices.iter_mut().flatten().collect();
    signs.sort_by_key(|sign| sign.cut.start);
    for sign in signs {
        notes.extend(&mut sign.notes);
    }
    let signature: HashMap<_, _> = key.scale().map(|name| (name.letter, name.alter)).into_iter().collect();
    let mut state: HashMap<(theory::Letter, i8), i8> = HashMap::new();
    for note in notes {
        let pitch = part.events[note.event].pitch;
        let (letter, alter) = (pitch.name.letter, pitch.name.alter);
        let before = state.get(&(letter, pitch.octave)).copied();
        let before = before.or_else(|| signature.get(&letter).copied()).unwrap_or(0);
        if note.tied_from {
            continue;
        }
        if before != alter {
            note.accidental = Some(alter);
        }
        state.insert((letter, pitch.octave), alter);
    }
}

/// Beams over the notes of a beat that have flags.
fn put_beams(signs: &mut [Sign], beat: Quarters) {
    let quarter = Quarters::new(1, 1);
    let beat = if beat == Quarters::new(3, 2) { beat } else { quarter };
    let flags = |sign: &Sign| match (sign.notes.is_empty(), sign.cut.value) {
        (false, Some(value)) => (value.index + 1).saturating_sub(EIGHTH),
        _ => 0,
    };
    let mut from = 0;
    while from < signs.len() {
        let cell = signs[from].cut.start.div_floor(beat);
        let same = |sign: &&Sign| flags(sign) > 0 && sign.cut.start.div_floor(beat) == cell;
        let count = signs[from..].iter().take_while(same).count();
        if count > 1 {
            let group: Vec<usize> = signs[from..from + count].iter().map(flags).collect();
            for (at, sign) in signs[from..from + count].iter_mut().enumerate() {
                sign.beams = (1..=group[at]).map(|level| beam(&group, at, level)).collect();
            }
        }
        from += count.max(1);
    }
}

fn beam(flags: &[usize], at: usize, level: usize) -> Beam {
    let has = |at: Option<usize>| at.and_then(|at| flags.get(at)).is_some_and(|flags| *flags >= level);
    match (has(at.checked_sub(1)), has(Some(at + 1))) {
        (false, true) => Beam::Begin,
        (true, true) => Beam::Continue,
        (true, false) => Beam::End,
        (false, false) if at == 0 => Beam::ForwardHook,
        (false, false) => Beam::BackwardHook,
    }
}
