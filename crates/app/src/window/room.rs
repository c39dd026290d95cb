//! The exercise that the scale room works on, kept until another one is asked for.

use practice::{Hands, SessionCommand, SessionSettings};
use std::sync::Arc;
use ui::{Room, Sheet, Subject};
use voicing::{KeyRange, Part};

/// An exercise with what it was made from.
#[derive(Debug)]
pub struct Exercise {
    room: Room,
    keys: KeyRange,
    /// The song whose chords it has, if it has those of a song.
    song: Option<Arc<Part>>,
    /// The part.
    pub part: Arc<Part>,
    /// Arranged as a page.
    pub sheet: Sheet,
}

impl Exercise {
    /// The exercise of a room, on the player's keys; `song` is the one on the stand.
    pub fn new(room: &Room, song: Option<&Arc<Part>>, keys: KeyRange) -> Exercise {
        let song = song_of(room, song);
        let part = Arc::new(ui::exercise(room, song.as_deref(), keys));
        Exercise { room: *room, keys, sheet: Sheet::new(&part), song, part }
    }

    /// Whether it was made from this.
    pub fn is_of(&self, room: &Room, song: Option<&Arc<Part>>, keys: KeyRange) -> bool {
        let same_song = match (&self.song, song_of(room, song)) {
            (None, None) => true,
            (Some(own), Some(other)) => Arc::ptr_eq(own, &other),
            _ => false,
        };
        self.room == *room && self.keys == keys && same_song
    }

    /// What the session has to be told so that the exercise can be played: a drill of one hand is no use to a player who
    /// took the other.
    pub fn asks(&self, settings: &SessionSettings) -> Option<SessionCommand> {
        let hand = self.room.drill?.hand;
        (!settings.hands.has(hand)).then_some(SessionCommand::SetHands(Hands::Both))
    }
}

/// The song, where its chords are asked for.
fn song_of(room: &Room, song: Option<&Arc<Part>>) -> Option<Arc<Part>> {
    song.filter(|_| room.subject == Subject::SongChords).cloned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use theory::Hand;
    use ui::Drill;

    #[test]
    fn only_the_chords_of_a_song_change_with_the_song() {
        let song = |title: &str| {
            Arc::new(Part { title: title.into(), ..ui::exercise(&Room::default(), None, KeyRange::FULL) })
        };
        let (one, other) = (song("One"), song("Other"));
        let scale = Room::default();
        let exercise = Exercise::new(&scale, Some(&one), KeyRange::FULL);
        assert!(exercise.is_of(&scale, Some(&other), KeyRange::FULL));
        let chords = Room { subject: Subject::SongChords, ..scale };
        let exercise = Exercise::new(&chords, Some(&one), KeyRange::FULL);
        assert_eq!(exercise.part.title, "Chords of One");
        assert!(exercise.is_of(&chords, Some(&one), KeyRange::FULL));
        assert!(!exercise.is_of(&chords, Some(&other), KeyRange::FULL));
    }

    #[test]
    fn a_drill_gives_its_hand_to_the_player() {
        let room = Room { drill: Some(Drill { hand: Hand::Left, crossing: 0 }), ..Room::default() };
        let exercise = Exercise::new(&room, None, KeyRange::FULL);
        let with = |hands| SessionSettings { hands, ..SessionSettings::default() };
        assert_eq!(exercise.asks(&with(Hands::Right)), Some(SessionCommand::SetHands(Hands::Both)));
        assert_eq!(exercise.asks(&with(Hands::Left)), None);
    }
}
