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

    /// Cues that were handed out no longer hold: begin again from the moment that changed them.
    fn notice(&mut self, now: Stamp) {
        let generation = (self.place, self.session().view(now).cue_generation);
        if std::mem::replace(&mut self.sounding, generation) != generation {
            self.afresh = true;
            self.asked_until = Some(now);
        }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::DEMOS;
    use practice::{CueKind, LoopBars, Mode};

    fn part() -> Arc<Part> {
        let song = song::read(DEMOS[0].text).song.unwrap();
        Arc::new(voicing::plan(&song.play(), song.key, &voicing::Settings::default()).unwrap())
    }

    fn ms(ms: f64) -> Stamp {
        Stamp::from_ms(ms)
    }

    fn listening() -> Stand {
        let mut stand = Stand::default();
        stand.apply(Change::SongPart(part()), ms(0.0));
        stand.apply(Change::Do(SessionCommand::SetMode(Mode::Listen)), ms(0.0));
        stand.cues(ms(0.0), 100.0);
        stand
    }

    #[test]
    fn a_start_between_two_looks_loses_no_cue() {
        let mut stand = listening();
        stand.cues(ms(500.0), 100.0);
        stand.apply(Change::Do(SessionCommand::SetCountIn(false)), ms(510.0));
        stand.apply(Change::Do(SessionCommand::Start), ms(510.0));
        // The thread wakes late, when the first notes should already sound.
        let cues = stand.cues(ms(700.0), 100.0).cues;
        assert!(
            cues.iter().any(|c| matches!(c.kind, CueKind::NoteOn { .. }) && c.at < ms(700.0)),
            "{cues:?}"
        );
    }

    #[test]
    fn each_cue_is_handed_out_once() {
        let mut stand = listening();
        stand.apply(Change::Do(SessionCommand::Start), ms(0.0));
        let mut cues = Vec::new();
        for now in (0..8000).step_by(10) {
            cues.extend(stand.cues(ms(f64::from(now)), 100.0).cues);
        }
        assert!(cues.len() > 20 && cues.is_sorted_by_key(|cue| cue.at), "{cues:?}");
        for (at, cue) in cues.iter().enumerate() {
            assert!(!cues[at + 1..].contains(cue), "{cue:?} comes twice");
        }
    }

    #[test]
    fn stopping_silences_what_was_handed_out() {
        let mut stand = listening();
        stand.apply(Change::Do(SessionCommand::Start), ms(0.0));
        stand.cues(ms(10.0), 100.0);
        assert!(!stand.cues(ms(20.0), 100.0).afresh);
        stand.apply(Change::Do(SessionCommand::Stop), ms(30.0));
        let sounding = stand.cues(ms(40.0), 100.0);
        assert!(sounding.afresh && sounding.cues.is_empty(), "{sounding:?}");
        assert!(!stand.cues(ms(50.0), 100.0).afresh, "once is enough");
    }

    #[test]
    fn the_scale_room_has_a_session_of_its_own() {
        let mut stand = listening();
        let bars = Some(LoopBars::new(4, 7));
        stand.apply(Change::Do(SessionCommand::SetLoop(bars)), ms(0.0));
        stand.apply(Change::Do(SessionCommand::Start), ms(0.0));
        stand.apply(Change::RoomPart(Arc::new(ui::exercise(&ui::Room::default()))), ms(5.0));
        stand.apply(Change::Go(Place::Room), ms(10.0));
        assert!(!stand.running());
        assert_eq!(stand.view(ms(10.0)).settings.loop_bars, None);
        assert!(stand.cues(ms(20.0), 100.0).afresh, "the song that was heard is silenced");
        stand.apply(Change::Go(Place::Song), ms(30.0));
        assert!(!stand.running(), "the song was stopped when one left it");
        assert_eq!(stand.view(ms(30.0)).settings.loop_bars, bars);
    }

    #[test]
    fn a_take_is_told_once() {
        let mut stand = listening();
        stand.apply(Change::Do(SessionCommand::SetMode(Mode::PlayAlong)), ms(0.0));
        stand.apply(Change::Do(SessionCommand::SetCountIn(false)), ms(0.0));
        stand.apply(Change::Do(SessionCommand::Start), ms(0.0));
        // The song begins with the left hand's D3.
        stand.note(ms(130.0), MidiKey::new(50).unwrap(), NoteChange::On { velocity: 70 });
        stand.tick(ms(2000.0));
        assert_eq!(stand.finished_take(ms(2000.0)), None);
        stand.apply(Change::Do(SessionCommand::Stop), ms(3000.0));
        let (take, _) = stand.finished_take(ms(3000.0)).unwrap();
        assert_eq!(take.notes.len(), 1);
        assert_eq!(stand.finished_take(ms(3010.0)), None);
    }
}
