//! What stands on the music stand: the song's session, or that of the scale room. Without clock or thread.

use practice::{Cue, NoteChange, Session, SessionCommand, SessionView, Stamp, Take};
use std::sync::Arc;
use theory::MidiKey;
use voicing::Part;

/// Which of the two is in hand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Place {
    /// The song.
    #[default]
    Song,
    /// Scales and chords.
    Room,
}

/// What can be asked of the stand.
#[derive(Clone, Debug)]
pub enum Change {
    /// What the session in hand does.
    Do(SessionCommand),
    /// Another part of the song.
    SongPart(Arc<Part>),
    /// Another exercise.
    RoomPart(Arc<Part>),
    /// Turn to the song or to the scale room.
    Go(Place),
}

/// What is to be sounded from now on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sounding {
    /// What was handed out before no longer holds: silence what sounds and drop what waits, then play these.
    pub afresh: bool,
    /// The cues by time.
    pub cues: Vec<Cue>,
}

/// Both sessions. They change in [`Stand::apply`], [`Stand::note`] and [`Stand::tick`] alone.
#[derive(Debug)]
pub struct Stand {
    song: Session,
    room: Session,
    place: Place,
    asked_until: Option<Stamp>,
    sounding: (Place, u64),
    afresh: bool,
    take: Option<Arc<Take>>,
}

impl Default for Stand {
    fn default() -> Self {
        let nothing = Arc::new(nothing());
        let song = Session::new(nothing.clone());
        Stand {
            room: Session::new(nothing),
            song,
            place: Place::Song,
            asked_until: None,
            sounding: (Place::Song, 0),
            afresh: false,
            take: None,
        }
    }
}

impl Stand {
    /// Carries out a change.
    pub fn apply(&mut self, change: Change, now: Stamp) {
        match change {
            Change::Do(command) => self.in_hand().apply(command, now),
            Change::SongPart(part) => self.song.set_part(part, now),
            Change::RoomPart(part) => self.room.set_part(part, now),
            Change::Go(place) if place == self.place => {}
            Change::Go(place) => {
                self.in_hand().apply(SessionCommand::Stop, now);
                self.place = place;
            }
        }
        self.notice(now);
    }

    /// A key of the player's went down or came up.
    pub fn note(&mut self, at: Stamp, key: MidiKey, change: NoteChange) {
        self.in_hand().note(at, key, change);
    }

    /// Time went by.
    pub fn tick(&mut self, now: Stamp) {
        self.in_hand().tick(now);
        self.notice(now);
    }

    /// What the screen shows.
    pub fn view(&self, now: Stamp) -> SessionView {
        self.session().view(now)
    }

    /// Which of the two is in hand.
    pub fn place(&self) -> Place {
        self.place
    }

    /// Whether time runs.
    pub fn running(&self) -> bool {
        self.session().is_running()
    }

    /// What was handed out is lost: the stream it went to is gone.
    pub fn sound_again(&mut self) {
        self.asked_until = None;
    }

    /// Cues that were handed out no longer hold: begin again from the moment that changed them.
    fn notice(&mut self, now: Stamp) {
        let generation = (self.place, self.session().view(now).cue_generation);
        if std::mem::replace(&mut self.sounding, generation) != generation {
            self.afresh = true;
            self.asked_until = Some(now);
        }
    }

    /// What is to be sounded and was not handed out yet: up to a moment ahead while time runs, else up to now.
    pub fn cues(&mut self, now: Stamp, ahead_ms: f64) -> Sounding {
        self.notice(now);
        let until = if self.running() { now.plus_ms(ahead_ms) } else { now };
        let from = self.asked_until.unwrap_or(now);
        let cues = if from < until { self.in_hand().cues(from, until) } else { Vec::new() };
        self.asked_until = Some(until.max(from));
        Sounding { afresh: std::mem::take(&mut self.afresh), cues }
    }

    /// The take that was finished since the last call, if it is one of the song.
    pub fn finished_take(&mut self, now: Stamp) -> Option<(Arc<Take>, Arc<Part>)> {
        let take = self.song.view(now).take?;
        let known = self.take.as_ref().is_some_and(|last| Arc::ptr_eq(last, &take));
        self.take = Some(take.clone());
        (!known).then(|| (take, self.song.part().clone()))
    }

    fn session(&self) -> &Session {
        match self.place {
            Place::Song => &self.song,
            Place::Room => &self.room,
        }
    }

    fn in_hand(&mut self) -> &mut Session {
        match self.place {
            Place::Song => &mut self.song,
            Place::Room => &mut self.room,
        }
    }
}

/// A part without bars, before the first song is read.
fn nothing() -> Part {
    Part {
        title: String::new(),
        key: "C major".parse().expect("C major is a key"),
        sections: Vec::new(),
        note: None,
        words: Vec::new(),
        settings: voicing::Settings::default(),
        bars: Vec::new(),
        events: Vec::new(),
    }
}
