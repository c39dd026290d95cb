//! From what is played to where an edit about it is written.

use super::{Change, HandField, Place};
use crate::{PlayedBar, Quarters, SlotKind, Song, Tones};
use theory::Hand;

/// Which passes an edit is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Scope {
    /// The pass that is played alone.
    ThisPass,
    /// Every pass of the section.
    EveryPass,
}

/// The place of an edit about one chord as it is played: its bar, and its beat unless it fills the bar. Where an
/// exception puts in more bars than it takes out, a bar without a place of its own: that exception.
///
/// ```
/// use song::edit::{Place, Scope, place_of};
/// let song = song::read(r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
///   "sections": [ { "name": "Intro", "passes": 2, "bars": ["1.. 5.. | 6"] } ] }"#).sound().unwrap();
/// let played = song.play();
/// assert_eq!(
///     place_of(&song, &played.bars[2], 1, Scope::ThisPass),
///     Place::Bar { section: 0, bar: 0, pass: Some(2), beat: Some(3) }
/// );
/// ```
pub fn place_of(song: &Song, bar: &PlayedBar, slot: usize, scope: Scope) -> Place {
    let Some(written) = bar.written_bar.or(bar.in_place_of) else {
        return exception_of(song, bar, slot);
    };
    let pass = (scope == Scope::ThisPass && bar.passes > 1).then_some(bar.pass);
    Place::Bar { section: bar.section, bar: written, pass, beat: beat_of(bar, slot) }
}

/// The edit that pins what a hand holds at one chord as it is played; with no tones, the one that takes the pin out.
///
/// ```
/// use song::edit::{Scope, apply, pin};
/// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
///   "sections": [ { "name": "Intro", "bars": ["1.. 5.. | 6"] } ] }"#;
/// let song = song::read(text).sound().unwrap();
/// let tones = song::Tones(vec![theory::Member::THIRD, theory::Member::ROOT]);
/// let hand = theory::Hand::Right;
/// let pin = pin(&song, &song.play().bars[0], 1, Scope::EveryPass, hand, Some(tones));
/// let pinned = apply(text, &pin).unwrap().text;
/// assert!(pinned.contains(r#""except": [ { "bar": 1, "beat": 3, "right": { "tones": "3 1" } } ]"#));
/// ```
pub fn pin(
    song: &Song,
    bar: &PlayedBar,
    slot: usize,
    scope: Scope,
    hand: Hand,
    tones: Option<Tones>,
) -> Change {
    let place = place_of(song, bar, slot, scope);
    let chord = match bar.slots.get(slot).map(|slot| &slot.kind) {
        Some(SlotKind::Chord { chord, .. } | SlotKind::Tie { sounding: chord }) => Some(chord.written),
        _ => None,
    };
    let field = match (place, chord) {
        (Place::Exception { .. }, Some(chord)) => HandField::ChordTones(chord, tones),
        _ => HandField::Tones(tones),
    };
    Change::Hand { place, hand, field }
}

/// The beat at which a chord begins, from 1; nothing if it fills the bar.
fn beat_of(bar: &PlayedBar, slot: usize) -> Option<u8> {
    let start = bar.slots.get(slot)?.start;
    let goes_on = |slot: &crate::Slot| matches!(slot.kind, SlotKind::Tie { .. });
    let fills = start == Quarters::ZERO && bar.slots[slot + 1..].iter().all(goes_on);
    let beat = start.div_floor(bar.beat.length) + 1;
    if fills { None } else { u8::try_from(beat).ok() }
}

/// The exception that put a bar in.
fn exception_of(song: &Song, bar: &PlayedBar, slot: usize) -> Place {
    let mut left = bar.slots.get(slot).and_then(|slot| slot.source.exception).unwrap_or(0);
    for section in song.lineage(bar.section) {
        let own = song.sections[section].exceptions.len();
        if left < own {
            return Place::Exception { section, exception: left };
        }
        left -= own;
    }
    Place::Section(bar.section)
}
