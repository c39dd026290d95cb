//! How a hand plays one slot, after all precedence; and what of the song had a part in it.

use super::level::Level;
use crate::{Beat, ChordShape, Figure, HandStyle, Hold, LeftShape, Quarters, Restart, Span, Spanned};
use std::collections::{HashMap, HashSet};
use theory::{Hand, NumberChord};

/// What was used while the song was unfolded.
#[derive(Default)]
pub(crate) struct Used {
    /// Places of the `shapes` entries that gave a chord its tones.
    pub shapes: HashSet<Span>,
    /// Exceptions that reached a bar or chord: section and number.
    pub exceptions: HashSet<(usize, usize)>,
    /// Sections that were played, by whom they were written.
    pub sections: HashSet<usize>,
    /// Figures that met a bar whose beat is of another kind, with the lengths of both.
    pub other_beat: HashMap<Span, (Quarters, Quarters)>,
    /// Figures that name a note the shape does not have: the note, how many there are, and whether both stand at the
    /// same level.
    pub no_such_note: HashMap<Span, (u8, u8, bool)>,
}

/// How a hand plays a chord, from levels in order of precedence, the innermost last.
pub(super) fn style(
    levels: &[&Level<'_>],
    hand: Hand,
    chord: Option<&NumberChord>,
    bar: Beat,
    used: &mut Used,
) -> HandStyle {
    let (hold, hold_level) = hold(levels, hand, chord, used);
    let figure =
        levels.iter().enumerate().rev().find_map(|(i, level)| Some((i, level.hand(hand).figure.as_ref()?)));
    if let (Some((at, figure)), Some(_)) = (figure, chord) {
        note_figure(figure, levels[at].beat, bar, &hold, hold_level == Some(at), used);
    }
    let find = |get: fn(&crate::HandSettings) -> Option<Restart>| {
        levels.iter().rev().find_map(|level| get(level.hand(hand)))
    };
    HandStyle {
        hold,
        near: levels.iter().rev().find_map(|level| level.hand(hand).near).map(|near| near.value),
        figure: figure.map_or_else(Figure::held, |(_, figure)| figure.value.clone()),
        restart: find(|h| h.restart).unwrap_or_default(),
        figure_beat: figure.map_or(bar.length, |(at, _)| levels[at].beat),
    }
}

/// What is held, and the level that says so: the innermost that says anything.
fn hold(
    levels: &[&Level<'_>],
    hand: Hand,
    chord: Option<&NumberChord>,
    used: &mut Used,
) -> (Hold, Option<usize>) {
    for (at, level) in levels.iter().enumerate().rev() {
        if let Some(tones) = level.tones(hand, chord) {
            let by_chord: Option<&ChordShape> = chord.and_then(|chord| level.shape_of(hand, chord));
            used.shapes.extend(by_chord.map(|shape| shape.key_span));
            return (Hold::Tones(tones.clone()), Some(at));
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

/// Remembers what a figure meets that it was not written for.
fn note_figure(
    figure: &Spanned<Figure>,
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
