//! How a hand plays one slot, after all precedence; and what of the song had a part in it.

use super::level::Level;
use crate::{
    Beat, ChordShape, Figure, HandStyle, Hold, LeftShape, Quarters, Restart, Span, Spanned, Tones, Written,
};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;
use theory::{Chord, Hand};

/// What was used while the song was unfolded.
#[derive(Default)]
pub(crate) struct Used {
    /// Places of the `shapes` entries that gave a chord its tones.
    pub shapes: HashSet<Span>,
    /// Exceptions that came into play: the section they are written in and their number there.
    pub exceptions: HashSet<(usize, usize)>,
    /// By section played: which of the exceptions that it has or inherits reached a bar or chord.
    pub reached: HashMap<usize, Vec<bool>>,
    /// Sections that were played, by whom they were written.
    pub sections: HashSet<usize>,
    /// Figures that met a bar whose beat is of another kind, with the lengths of both.
    pub other_beat: HashMap<Span, (Quarters, Quarters)>,
    /// Right-hand tones that name a member which a chord does not have: the member and the chord.
    pub no_such_member: HashMap<Span, (u8, String)>,
    /// Figures that name a note the shape does not have: the note, how many there are, and whether both stand at the
    /// same level.
    pub no_such_note: HashMap<Span, (u8, u8, bool)>,
}

/// How a hand plays a slot (its chord, the beat of its bar, and whether it is played with a figure), from levels in
/// order of precedence, the innermost last.
pub(super) fn style(
    levels: &[&Level<'_>],
    hand: Hand,
    slot: (Option<&Chord>, Beat, bool),
    used: &mut Used,
) -> HandStyle {
    let (chord, bar, struck) = slot;
    let (hold, hold_level) = hold(levels, hand, chord, used);
    let figure =
        levels.iter().enumerate().rev().find_map(|(i, level)| Some((i, level.hand(hand).figure.as_ref()?)));
    if let (Some((at, figure)), true) = (figure, struck) {
        note_figure(figure, levels[at].beat, bar, &hold, hold_level == Some(at), used);
    }
    let find = |get: fn(&crate::HandSettings) -> Option<Restart>| {
        levels.iter().rev().find_map(|level| get(level.hand(hand)))
    };
    let restart = find(|h| h.restart);
    let written =
        Written { hold: hold_level.is_some(), figure: figure.is_some(), restart: restart.is_some() };
    HandStyle {
        hold,
        near: levels.iter().rev().find_map(|level| level.hand(hand).near).map(|near| near.value),
        figure: figure.map_or_else(|| Figure::held().into(), |(_, figure)| figure.value.clone()),
        restart: restart.unwrap_or_default(),
        figure_beat: figure.map_or(bar.length, |(at, _)| levels[at].beat),
        written,
    }
}

/// What is held, and the level that says so: the innermost that says anything.
fn hold(levels: &[&Level<'_>], hand: Hand, chord: Option<&Chord>, used: &mut Used) -> (Hold, Option<usize>) {
    let written = chord.map(|chord| &chord.written);
    for (at, level) in levels.iter().enumerate().rev() {
        if let Some(tones) = level.tones(hand, written) {
            let by_chord: Option<&ChordShape> = written.and_then(|chord| level.shape_of(hand, chord));
            used.shapes.extend(by_chord.map(|shape| shape.key_span));
            // The left hand's tones are intervals of the key, and every degree has all of them.
            if let (Some(chord), Hand::Right) = (chord, hand) {
                note_members(tones, chord, used);
            }
            return (Hold::Tones(tones.value.clone()), Some(at));
        }
        let says = level.hand(hand);
        let plain = match hand {
            Hand::Right => says.notes.map(|notes| Hold::Notes(notes.value)),
            Hand::Left => says.shape.map(|shape| Hold::Shape(shape.value)),
        };
        if let Some(plain) = plain {
            return (plain, Some(at));
        }
    }
    let default = match hand {
        Hand::Right => Hold::Notes(3),
        Hand::Left => Hold::Shape(LeftShape::default()),
    };
    (default, None)
}

/// Remembers tones that a chord does not have.
fn note_members(tones: &Spanned<Tones>, chord: &Chord, used: &mut Used) {
    if let Some(missing) = tones.value.0.iter().find(|member| chord.member(**member).is_none()) {
        let entry = || (missing.number(), chord.written.to_string());
        used.no_such_member.entry(tones.span).or_insert_with(entry);
    }
}

/// Remembers what a figure meets that it was not written for.
fn note_figure(
    figure: &Spanned<Arc<Figure>>,
    beat: Quarters,
    bar: Beat,
    hold: &Hold,
    same_level: bool,
    used: &mut Used,
) {
    if beat != bar.length {
        used.other_beat.entry(figure.span).or_insert((beat, bar.length));
    }
    let (highest, keys) = (figure.value.highest_note(), hold.keys());
    if highest > keys && keys > 0 {
        let entry = used.no_such_note.entry(figure.span).or_insert((highest, keys, same_level));
        entry.2 |= same_level;
    }
}
