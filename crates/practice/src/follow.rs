//! Following a player who plays along: every strike is judged at once, on its own time.
//!
//! These marks are for the eye while playing. What counts is the score of the whole take, which may pair differently what
//! came later.

use crate::windows::{Windows, windows};
use crate::{ChartTime, Expected, Mark, Speed, Window};
use std::collections::HashMap;
use std::sync::Arc;
use theory::MidiKey;

/// What a strike was heard as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heard {
    /// An expected note, by its place in [`Expected::notes`].
    Note(usize),
    /// A key that is not expected now.
    Wrong,
}

/// Follows one pass through the expected notes.
///
/// Marks are as played: at 50 % a strike that is 20 ms of the chart late is 40 ms late.
#[derive(Clone, Debug)]
pub struct Follower {
    expected: Arc<Expected>,
    windows: Vec<Windows>,
    marks: Vec<Mark>,
    /// Notes before this one have had their time.
    passed: usize,
}

impl Follower {
    /// Follows from the beginning.
    pub fn new(expected: Arc<Expected>, speed: Speed) -> Follower {
        let windows = windows(&expected, Window::ByStrike, speed);
        let marks = vec![Mark::Open; expected.notes.len()];
        Follower { expected, windows, marks, passed: 0 }
    }

    /// Something else is expected from here on; what was marked and is expected still keeps its mark, if events are the
    /// same ones.
    pub(crate) fn expect(&mut self, expected: Arc<Expected>, speed: Speed, same_events: bool) {
        let known: HashMap<usize, Mark> =
            self.expected.notes.iter().map(|n| n.event).zip(self.marks.iter().copied()).collect();
        *self = Follower::new(expected, speed);
        if same_events {
            let mark = |n: &crate::ExpectedNote| known.get(&n.event).copied().unwrap_or_default();
            self.marks = self.expected.notes.iter().map(mark).collect();
        }
    }

    /// The open note that a strike would be, the nearest in time, if any is in reach.
    pub fn would_be(&self, at: ChartTime, key: MidiKey) -> Option<usize> {
        let notes = &self.expected.notes;
        let widest = ChartTime::from_ms(WIDEST_MS);
        let from = notes.partition_point(|n| n.at < at - widest);
        let near = notes[from..].iter().take_while(|n| n.at <= at + widest).enumerate();
        near.map(|(i, n)| (from + i, n))
            .filter(|(i, n)| {
                n.key == key && self.is_open(*i) && (at - n.at).abs() <= self.windows[*i].counted
            })
            .min_by_key(|(i, n)| ((at - n.at).abs(), *i))
            .map(|(i, _)| i)
    }

    /// A strike.
    pub fn strike(&mut self, at: ChartTime, key: MidiKey, speed: Speed) -> Heard {
        let Some(index) = self.would_be(at, key) else { return Heard::Wrong };
        let error = at - self.expected.notes[index].at;
        let ms = speed.stretch_ms(error.ms());
        self.marks[index] = match error {
            e if e.abs() <= self.windows[index].narrow => Mark::Hit(ms),
            e if e < ChartTime::ZERO => Mark::Early(ms),
            _ => Mark::Late(ms),
        };
        Heard::Note(index)
    }

    /// Time went by: what can no longer be struck is missed.
    pub fn pass(&mut self, now: ChartTime) {
        for (i, note) in self.expected.notes.iter().enumerate().skip(self.passed) {
            if note.at > now {
                break;
            }
            if note.at + ChartTime::from_ms(WIDEST_MS) < now {
                self.passed = i + 1;
            }
            if self.marks[i] == Mark::Open && note.at + self.windows[i].counted < now {
                self.marks[i] = Mark::Missed;
            }
        }
    }

    /// The mark of every expected note.
    pub fn marks(&self) -> &[Mark] {
        &self.marks
    }

    /// What is expected.
    pub fn expected(&self) -> &Arc<Expected> {
        &self.expected
    }

    /// How far the last note that was struck lies in the song.
    pub fn last_struck(&self) -> Option<ChartTime> {
        let struck =
            self.marks.iter().rposition(|m| matches!(m, Mark::Hit(_) | Mark::Early(_) | Mark::Late(_)))?;
        Some(self.expected.notes[struck].at)
    }

    fn is_open(&self, index: usize) -> bool {
        matches!(self.marks[index], Mark::Open | Mark::Missed)
    }
}

/// No counted window is wider, in chart milliseconds: 150 ms as played, at the fastest speed.
pub(crate) const WIDEST_MS: f64 = 195.0;
