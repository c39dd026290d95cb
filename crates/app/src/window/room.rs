//! The exercise that the scale room works on, kept until another one is asked for.

use std::sync::Arc;
use ui::{Room, Sheet};
use voicing::Part;

/// An exercise with what it was made from.
#[derive(Debug)]
pub struct Exercise {
    made_of: Room,
    /// The part.
    pub part: Arc<Part>,
    /// Arranged as a page.
    pub sheet: Sheet,
}

impl Exercise {
    /// The exercise of a room.
    pub fn new(room: &Room) -> Exercise {
        let part = Arc::new(ui::exercise(room));
        Exercise { made_of: *room, sheet: Sheet::new(&part), part }
    }

    /// Whether it was made from this.
    pub fn is_of(&self, room: &Room) -> bool {
        self.made_of == *room
    }
}
