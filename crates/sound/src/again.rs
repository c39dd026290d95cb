//! What has just been struck, so that the same stroke, handed over once more, is not struck twice.
//!
//! Whoever sends the part may take back what waits and send it anew from that moment on. A device is given its sound a
//! little before it is heard, so the first of what is sent anew may sound already.

use crate::{Key, SampleRate};

/// Strokes whose frames differ by less than so many seconds are the same one: no two of a part follow so closely.
const SAME: f64 = 0.015;

/// The frames for which the part's keys and the click were meant when they were struck last.
pub(crate) struct Again {
    keys: [Option<u64>; Key::COUNT],
    click: Option<u64>,
    same: u64,
}

impl Again {
    pub(crate) fn new(rate: SampleRate) -> Again {
        Again { keys: [None; Key::COUNT], click: None, same: rate.frames(SAME) }
    }

    /// Notes a stroke of a key; `true` if it is the last one once more.
    pub(crate) fn key(&mut self, key: Key, meant: u64) -> bool {
        is_same(&mut self.keys[usize::from(key.midi())], meant, self.same)
    }

    /// The same for the click.
    pub(crate) fn click(&mut self, meant: u64) -> bool {
        is_same(&mut self.click, meant, self.same)
    }
}

fn is_same(last: &mut Option<u64>, meant: u64, same: u64) -> bool {
    last.replace(meant).is_some_and(|before| before.abs_diff(meant) < same)
}
