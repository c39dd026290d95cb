//! What is typed is heard at once: the chord that was just written, as the part now has it.

use super::Shell;
use crate::session;
use crate::window::shell::choose::heard;
use song::edit::Change;
use song::{Slot, SlotKind};
use std::sync::Arc;
use theory::MidiKey;
use ui::Page;
use voicing::{Part, PartBar};

/// The part that was seen last while one writes, and whether something was typed since.
#[derive(Debug, Default)]
pub(super) struct Ear {
    seen: Option<Arc<Part>>,
    typed: bool,
}

impl Ear {
    /// Chords or how hands play them were written.
    pub fn take_in(&mut self, changes: &[Change]) {
        let sounds = |change: &Change| {
            matches!(
                change,
                Change::Row { .. }
                    | Change::InsertRow { .. }
                    | Change::Bar { .. }
                    | Change::PutIn { .. }
                    | Change::Hand { .. }
            )
        };
        self.typed |= changes.iter().any(sounds);
    }
}

impl Shell {
    /// Sounds what was typed as soon as it is planned, unless something sounds already.
    pub(super) fn sound_what_is_typed(&mut self) {
        let Some(part) = self.document.part().filter(|_| self.view.page == Page::Writing).cloned() else {
            self.table.ear = Ear::default();
            return;
        };
        if self.table.ear.seen.as_ref().is_some_and(|seen| Arc::ptr_eq(seen, &part)) {
            return;
        }
        let before = self.table.ear.seen.replace(part.clone());
        let typed = std::mem::take(&mut self.table.ear.typed) && !self.view.writing.side.silent;
        let runs = {
            let stand = self.session.stand();
            stand.running() && stand.replay().is_none()
        };
        let Some(before) = before.filter(|_| typed && !runs) else { return };
        let keys = written(&before, &part);
        if !keys.is_empty() {
            self.change_session(session::Change::Replay(heard(&part, &keys), false));
        }
    }
}

/// The keys of the chord that one part has and another had not: what is written otherwise first, else what is held
/// otherwise.
fn written(before: &Part, now: &Part) -> Vec<MidiKey> {
    let by = |alike: fn(Option<&PartBar>, &PartBar, usize) -> bool| {
        let unlike = |(at, bar): (usize, &PartBar)| {
            let old = before.bars.get(at);
            let same = old.is_some_and(|old| old.chords.len() == bar.chords.len());
            let unlike = |slot: &usize| sounds(&bar.played.slots[*slot]) && !alike(old, bar, *slot);
            let slot = (0..bar.chords.len()).rev().find(unlike);
            // A bar with a chord more or less whose other chords are as they were.
            slot.or_else(|| bar.played.slots.iter().rposition(sounds).filter(|_| !same))
                .map(|slot| (at, slot))
        };
        now.bars.iter().enumerate().find_map(unlike)
    };
    let found = if rewritten(before, now) { by(written_alike) } else { by(held_alike) };
    found.map(|(bar, slot)| keys(&now.bars[bar], slot)).unwrap_or_default()
}

/// Whether anything in the chart is another than it was.
fn rewritten(before: &Part, now: &Part) -> bool {
    let text = |part: &Part| -> Vec<String> { part.bars.iter().map(|bar| bar.played.text.clone()).collect() };
    text(before) != text(now)
}

fn sounds(slot: &Slot) -> bool {
    !slot.continued && matches!(slot.kind, SlotKind::Chord { .. })
}

fn written_alike(old: Option<&PartBar>, bar: &PartBar, slot: usize) -> bool {
    let symbol = |bar: &PartBar| bar.played.slots.get(slot).map(|slot| slot.symbol.clone());
    old.is_some_and(|old| symbol(old) == symbol(bar))
}

fn held_alike(old: Option<&PartBar>, bar: &PartBar, slot: usize) -> bool {
    old.is_some_and(|old| old.chords.len() > slot && keys(old, slot) == keys(bar, slot))
}

fn keys(bar: &PartBar, slot: usize) -> Vec<MidiKey> {
    let chord = &bar.chords[slot];
    chord.left.notes.iter().chain(&chord.right.notes).map(|note| note.key).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use voicing::Settings;

    fn part(row: &str, right: &str) -> Part {
        let text = format!(
            r#"{{ "format": 1, "title": "T", "key": "D major", "tempo": 72, "right": {{ {right} }},
              "sections": [ {{ "name": "Verse", "passes": 2, "bars": ["{row}"] }} ] }}"#
        );
        let song = song::read(&text).song.unwrap().play();
        voicing::plan(&song, song.key, &Settings::default()).unwrap()
    }

    /// Pitch classes of what is heard, the lowest key first.
    fn classes(keys: &[MidiKey]) -> Vec<u8> {
        keys.iter().map(|key| key.number() % 12).collect()
    }

    #[test]
    fn the_chord_that_was_written_is_heard_and_no_other() {
        let two = r#""notes": 3"#;
        let before = part("1 | 5", two);
        let lowest = |row: &str| classes(&written(&before, &part(row, two))).first().copied();
        // In D the left hand stands on G for 4, on C sharp for 5/7, on B for 6.
        assert_eq!(lowest("1 | 5 | 4"), Some(7), "a bar more");
        assert_eq!(lowest("1 | 5 6"), Some(11), "a chord more in its bar");
        assert_eq!(lowest("1 | 5/7"), Some(1), "a chord written on");
        assert_eq!(lowest("1 | 5"), None, "nothing was written");
        assert_eq!(lowest("1 | ~"), None, "a tie strikes nothing");
        let held = written(&before, &part("1 | 5", r#""tones": "1 1""#));
        assert_eq!(classes(&held)[held.len() - 2..], [2, 2], "an octave of D in the right hand");
    }
}
