//! The exercise that the scale room works on, kept until another one is asked for.

use std::sync::Arc;
use ui::{Room, Sheet};
use voicing::{Part, Settings};

/// An exercise with what it was made from.
#[derive(Debug)]
pub struct Exercise {
    made_of: (Room, Settings),
    /// The part.
    pub part: Arc<Part>,
    /// Arranged as a page.
    pub sheet: Sheet,
}

impl Exercise {
    /// The exercise of a room for a player.
    pub fn new(room: &Room, player: &Settings) -> Exercise {
        let part: Arc<Part> = todo!("{room:?} {player:?}");
        Exercise { made_of: (*room, *player), sheet: Sheet::new(&part), part }
    }

    /// Whether it was made from these.
    pub fn is_of(&self, room: &Room, player: &Settings) -> bool {
        self.made_of == (*room, *player)
    }
}
