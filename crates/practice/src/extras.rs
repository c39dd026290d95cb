//! Notes that were played and not expected: wrong keys, and brushes.

use crate::{ChartTime, Expected, ExtraKind, ExtraNote, NoteScore, PlayedNote, Speed};

/// An extra note with its place in the take.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Extra {
    pub note: ExtraNote,
    pub played: usize,
}

/// Shorter than this, as played, a neighbouring key was brushed, in milliseconds.
const BRUSH_MS: f64 = 30.0;
/// Softer than this it was brushed.
const BRUSH_VELOCITY: u8 = 15;
/// A brush lies so many semitones from the right key at most: the key beside it, of either colour.
const BRUSH_REACH: u8 = 2;
/// A brush comes so long before or after its right key at most, as played, in milliseconds.
const BRUSH_NEAR_MS: f64 = 150.0;

/// All that has no pair, by time, then by key; each belongs to the bar that its time lies in.
pub(crate) fn extras(
    expected: &Expected,
    played: &[PlayedNote],
    mates: Vec<Option<usize>>,
    offset: ChartTime,
) -> Vec<Extra> {
    let mut free = vec![true; played.len()];
    mates.into_iter().flatten().for_each(|m| free[m] = false);
    let extra = |(index, note): (usize, &PlayedNote)| {
        let played_at = note.at - offset;
        let bar = expected.bar_at(played_at).map_or(0, |b| expected.bars[b].bar);
        Extra { note: ExtraNote { bar, key: note.key, played_at, kind: ExtraKind::Wrong }, played: index }
    };
    let mut extras: Vec<Extra> = played.iter().enumerate().filter(|(i, _)| free[*i]).map(extra).collect();
    extras.sort_by_key(|e| (e.note.played_at, e.note.key));
    extras
}

/// Marks extras that are short or soft and lie beside a right key.
pub(crate) fn mark_brushes(extras: &mut [Extra], notes: &[NoteScore], played: &[PlayedNote], speed: Speed) {
    let light = |extra: &Extra| {
        let note = &played[extra.played];
        let short = note.length.is_some_and(|l| speed.stretch_ms(l.ms()) < BRUSH_MS);
        extra.note.kind == ExtraKind::Wrong && (short || note.velocity < BRUSH_VELOCITY)
    };
    let mut light: Vec<&mut Extra> = extras.iter_mut().filter(|e| light(e)).collect();
    if light.is_empty() {
        return;
    }
    let mut right: Vec<(ChartTime, u8)> =
        notes.iter().filter_map(|n| n.played_at.map(|at| (at, n.key.number()))).collect();
    right.sort_unstable();
    let near = ChartTime::from_ms(speed.shrink_ms(BRUSH_NEAR_MS));
    for extra in &mut light {
        let at = extra.note.played_at;
        let from = right.partition_point(|r| r.0 < at - near);
        let mut around = right[from..].iter().take_while(|r| r.0 <= at + near);
        if around.any(|r| (1..=BRUSH_REACH).contains(&r.1.abs_diff(extra.note.key.number()))) {
            extra.note.kind = ExtraKind::Brush;
        }
    }
}
