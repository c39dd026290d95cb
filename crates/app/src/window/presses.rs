//! Key presses one a frame, so that each acts on what the one before it did: two quick `↑` are two steps of speed, and
//! `2` then `Space` starts in the new mode, however slow the frames are.

use egui::Event;
use std::collections::VecDeque;

/// Events that wait for the next frame.
#[derive(Debug, Default)]
pub(super) struct Presses {
    waiting: VecDeque<Event>,
}

impl Presses {
    /// Leaves in `events` what came before the second key press, and keeps the rest for the next call. Returns whether
    /// anything waits, so that another frame is wanted.
    pub fn one_at_a_time(&mut self, events: &mut Vec<Event>) -> bool {
        self.waiting.extend(events.drain(..));
        let mut pressed = false;
        while let Some(event) = self.waiting.pop_front() {
            let press = matches!(event, Event::Key { pressed: true, .. });
            if press && pressed {
                self.waiting.push_front(event);
                break;
            }
            pressed |= press;
            events.push(event);
        }
        !self.waiting.is_empty()
    }

    /// Everything at once: chords played on letters must not be spread over frames.
    pub fn all(&mut self, events: &mut Vec<Event>) {
        self.waiting.extend(events.drain(..));
        events.extend(self.waiting.drain(..));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Key, Modifiers};

    fn key(key: Key, pressed: bool) -> Event {
        Event::Key { key, physical_key: None, pressed, repeat: false, modifiers: Modifiers::NONE }
    }

    #[test]
    fn a_second_press_waits_for_the_next_frame_with_all_behind_it() {
        let mut presses = Presses::default();
        let typed = [
            key(Key::Num2, true),
            Event::Text("2".into()),
            key(Key::Num2, false),
            key(Key::Space, true),
            key(Key::Space, false),
        ];
        let mut events = typed.to_vec();
        assert!(presses.one_at_a_time(&mut events));
        assert_eq!(events, typed[..3]);
        let mut next = vec![key(Key::ArrowUp, true)];
        assert!(presses.one_at_a_time(&mut next));
        assert_eq!(next, typed[3..]);
        let mut last = Vec::new();
        assert!(!presses.one_at_a_time(&mut last));
        assert_eq!(last, [key(Key::ArrowUp, true)]);
    }

    #[test]
    fn letters_that_play_notes_come_all_at_once() {
        let mut presses = Presses::default();
        let chord = [key(Key::Z, true), key(Key::C, true), key(Key::B, true)];
        let mut events = chord.to_vec();
        assert!(presses.one_at_a_time(&mut events));
        let mut rest = Vec::new();
        presses.all(&mut rest);
        assert_eq!(rest, chord[1..]);
    }
}
