//! What stands on the music stand: the song's session, or that of the scale room. Without clock or thread.

use super::Tapping;
use super::triggers::{Trigger, Triggers};
use practice::clock::ClockLoss;
use practice::{
    Cue, Lap, NoteChange, Replay, Session, SessionCommand, SessionSettings, SessionView, Stamp, Take,
};
use std::sync::Arc;
use theory::MidiKey;
use ui::TapTo;
use voicing::Part;

/// So long in a run the clock may be lost without a word, in milliseconds: some six stumbles of the sound, which are heard
/// anyway (a choice).
const BRIDGED_MS: f64 = 250.0;

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
    /// Hear a take again, alone or with its part.
    Replay(Lap, bool),
    /// Tap a row.
    Tap(TapTo),
    /// No longer hear a take, no longer tap.
    Quiet,
    /// These keys and pedals mean something and are not played.
    Triggers(Vec<Trigger>),
    /// The next key or pedal is told and not played; or no longer.
    LearnTrigger(bool),
    /// So much later than it is asked for the sound is heard, in milliseconds, beyond what the device says of itself.
    SoundDelay(f64),
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
    told: Option<Arc<Take>>,
    replay: Option<Replay>,
    tapping: Option<Tapping>,
    tapped: Option<Tapping>,
    sound_delay_ms: f64,
    device_says_ms: Option<f64>,
    clock_trouble: Option<ClockLoss>,
    /// In this run, altogether.
    clock_lost_ms: f64,
    triggers: Triggers,
}

impl Default for Stand {
    fn default() -> Self {
        let nothing = Arc::new(nothing());
        let song = Session::new(nothing.clone());
        let mut room = Session::new(nothing);
        // Scales with one hand are practised with that hand alone.
        room.apply(SessionCommand::SetOtherHand(false), Stamp::default());
        Stand {
            room,
            song,
            place: Place::Song,
            asked_until: None,
            sounding: (Place::Song, 0),
            afresh: false,
            told: None,
            replay: None,
            tapping: None,
            tapped: None,
            sound_delay_ms: 0.0,
            device_says_ms: None,
            clock_trouble: None,
            clock_lost_ms: 0.0,
            triggers: Triggers::default(),
        }
    }
}

impl Stand {
    /// Carries out a change.
    pub fn apply(&mut self, change: Change, now: Stamp) {
        match change {
            Change::Do(command) => {
                if starts(command) {
                    self.be_quiet(now);
                }
                let ran = self.session().is_running();
                self.in_hand().apply(command, now);
                if !ran && self.session().is_running() {
                    (self.clock_trouble, self.clock_lost_ms) = (None, 0.0);
                }
            }
            Change::SongPart(part) => self.song.set_part(part, now),
            Change::RoomPart(part) => self.room.set_part(part, now),
            Change::Go(place) if place == self.place => {}
            Change::Go(place) => {
                self.be_quiet(now);
                self.in_hand().apply(SessionCommand::Stop, now);
                self.place = place;
            }
            Change::Replay(lap, with_part) => {
                self.make_room(now);
                self.replay = Some(Replay::start(&lap, with_part, now));
            }
            Change::Tap(to) => {
                self.make_room(now);
                self.tapping = Some(Tapping::start(to, now));
            }
            Change::Quiet => self.be_quiet(now),
            Change::Triggers(triggers) => self.triggers.mean(triggers),
            Change::LearnTrigger(on) => self.triggers.learn(on),
            Change::SoundDelay(ms) => {
                self.sound_delay_ms = ms;
                self.song.ask_ahead(ms);
                self.room.ask_ahead(ms);
            }
        }
        self.notice(now);
    }

    /// A key of the player's went down or came up.
    pub fn note(&mut self, at: Stamp, key: MidiKey, change: NoteChange) {
        let down = matches!(change, NoteChange::On { velocity: 1.. });
        if self.triggers.takes(Trigger::Key(key), down) {
            return;
        }
        if let Some(tapping) = &mut self.tapping {
            if matches!(change, NoteChange::On { .. }) {
                tapping.tap(at);
            }
            return;
        }
        self.in_hand().note(at, key, change);
    }

    /// A pedal of the player's moved.
    pub fn control(&mut self, at: Stamp, controller: u8, value: u8) {
        if self.triggers.takes(Trigger::Pedal(controller), value >= 64) {
            return;
        }
        if self.tapping.is_none() {
            self.in_hand().control(at, controller, value);
        }
    }

    /// The clock of the sound was not to be trusted for so many milliseconds up to now. A single stumble is bridged; what
    /// went wrong first for longer in a run is told until the next.
    pub fn lose_the_clock(&mut self, why: ClockLoss, ms: f64) {
        if self.session().is_running() {
            self.clock_lost_ms += ms;
            if why == ClockLoss::Silent || self.clock_lost_ms > BRIDGED_MS {
                self.clock_trouble.get_or_insert(why);
            }
        }
    }

    /// What is to be said of the clock, in one line.
    pub fn clock_trouble(&self) -> Option<String> {
        self.clock_trouble.map(|why| {
            let text = why.text();
            let (first, rest) = text.split_at_checked(1).unwrap_or((text, ""));
            format!("{}{rest}.", first.to_uppercase())
        })
    }

    /// Time went by.
    pub fn tick(&mut self, now: Stamp) {
        self.in_hand().tick(now);
        self.tapped = self.tapping.take_if(|tapping| tapping.is_over(now)).or(self.tapped.take());
        self.replay.take_if(|replay| replay.is_over(now));
        self.notice(now);
    }

    /// A tap on the computer keyboard.
    pub fn tap(&mut self, at: Stamp) {
        if let Some(tapping) = &mut self.tapping {
            tapping.tap(at);
        }
    }

    /// The row that is being tapped.
    pub fn tapping(&self) -> Option<&Tapping> {
        self.tapping.as_ref()
    }

    /// The row that was tapped to its end since the last call.
    pub fn tapped(&mut self) -> Option<Tapping> {
        self.tapped.take()
    }

    /// The keys and pedals that were pressed for what they mean since the last call.
    pub fn pressed(&mut self) -> Vec<Trigger> {
        self.triggers.pressed()
    }

    /// The key or pedal that was to be learned, once it was pressed.
    pub fn learned(&mut self) -> Option<Trigger> {
        self.triggers.learned()
    }

    /// The take that is being heard.
    pub fn replay(&self) -> Option<&Replay> {
        self.replay.as_ref()
    }

    /// By how much sooner cues are to leave than they are to be heard. While taps measure it, it is left out.
    pub fn sound_delay_ms(&self) -> f64 {
        if self.tapping.is_some() { 0.0 } else { self.sound_delay_ms }
    }

    /// How late its sound leaves it, as the device says, in milliseconds; it is taken off where cues are placed.
    pub fn device_says(&mut self, ms: Option<f64>) {
        self.device_says_ms = ms;
    }

    /// The same, to be shown.
    pub fn device_says_ms(&self) -> Option<f64> {
        self.device_says_ms
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
        self.session().is_running() || self.replay.is_some() || self.tapping.is_some()
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
        let cues = if from < until { self.due(from, until) } else { Vec::new() };
        self.asked_until = Some(until.max(from));
        Sounding { afresh: std::mem::take(&mut self.afresh), cues }
    }

    /// The passes through the song that were finished since the last call.
    pub fn finished(&mut self, now: Stamp) -> Vec<Lap> {
        let laps = self.song.view(now).laps;
        let known = |told: &Arc<Take>| laps.iter().position(|lap| Arc::ptr_eq(&lap.take, told));
        let first = self.told.as_ref().and_then(known).map_or(0, |last| last + 1);
        self.told = laps.last().map(|lap| lap.take.clone());
        laps[first..].to_vec()
    }

    /// The settings of the song's session, whichever is in hand.
    pub fn song_settings(&self) -> SessionSettings {
        *self.song.settings()
    }

    fn due(&mut self, from: Stamp, until: Stamp) -> Vec<Cue> {
        let mut cues = self.in_hand().cues(from, until);
        cues.extend(self.replay.iter().flat_map(|replay| replay.cues(from, until)));
        cues.extend(self.tapping.iter().flat_map(|tapping| tapping.cues(from, until)));
        cues.sort_by_key(|cue| cue.at);
        cues
    }

    /// Nothing else sounds beside a take that is heard again or a row of taps.
    fn make_room(&mut self, now: Stamp) {
        self.in_hand().apply(SessionCommand::Stop, now);
        self.be_quiet(now);
        self.silence(now);
    }

    fn be_quiet(&mut self, now: Stamp) {
        if self.replay.take().is_some() | self.tapping.take().is_some() {
            self.silence(now);
        }
    }

    fn silence(&mut self, now: Stamp) {
        self.afresh = true;
        self.asked_until = Some(now);
    }

    /// Cues that were handed out no longer hold: begin again from the moment that changed them.
    fn notice(&mut self, now: Stamp) {
        let generation = (self.place, self.session().view(now).cue_generation);
        if std::mem::replace(&mut self.sounding, generation) != generation {
            self.silence(now);
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

/// Whether a command makes something sound.
fn starts(command: SessionCommand) -> bool {
    use SessionCommand::{Advance, Start, StartIn, Toggle};
    matches!(command, Start | StartIn(_) | Toggle | Advance)
}

/// A part without bars, before the first song is read.
fn nothing() -> Part {
    Part {
        title: String::new(),
        key: "C major".parse().expect("C major is a key"),
        sections: Vec::new(),
        note: None,
        words: Vec::new(),
        count_in: None,
        settings: voicing::Settings::default(),
        bars: Vec::new(),
        events: Vec::new(),
        proof: voicing::Proof::default(),
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

    /// What leaves long before it is heard, as for wireless headphones, is not struck twice nor left out where speed and
    /// hands change.
    #[test]
    fn changes_hold_behind_what_has_left_for_a_late_sound() {
        let mut stand = listening();
        stand.apply(Change::SoundDelay(400.0), ms(0.0));
        stand.apply(Change::Do(SessionCommand::SetMode(Mode::PlayAlong)), ms(0.0));
        stand.apply(Change::Do(SessionCommand::SetCountIn(false)), ms(0.0));
        stand.apply(Change::Do(SessionCommand::Start), ms(0.0));
        let mut beats = Vec::new();
        for now in (0..12_000).step_by(10) {
            let change = match now {
                3000 => Some(SessionCommand::SetSpeed(practice::Speed::clamped(80.0))),
                5000 => Some(SessionCommand::SetHands(practice::Hands::Right)),
                7500 => Some(SessionCommand::SetSpeed(practice::Speed::clamped(110.0))),
                _ => None,
            };
            if let Some(command) = change {
                stand.apply(Change::Do(command), ms(f64::from(now)));
            }
            let sounding = stand.cues(ms(f64::from(now)), 500.0);
            assert!(now == 0 || !sounding.afresh, "nothing is taken back");
            let clicks = sounding.cues.iter().filter(|c| matches!(c.kind, CueKind::Click(_)));
            beats.extend(clicks.map(|c| c.at));
        }
        // 72 beats a minute: 833 ms at full speed, 1042 at 80 %, 758 at 110 %.
        let gaps: Vec<f64> = beats.windows(2).map(|pair| pair[1].ms_since(pair[0])).collect();
        assert!(gaps.len() > 10 && gaps.iter().all(|gap| (757.0..1042.0).contains(gap)), "{gaps:?}");
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
        stand.apply(
            Change::RoomPart(Arc::new(ui::exercise(&ui::Room::default(), None, voicing::KeyRange::FULL))),
            ms(5.0),
        );
        stand.apply(Change::Go(Place::Room), ms(10.0));
        assert!(!stand.running());
        assert_eq!(stand.view(ms(10.0)).settings.loop_bars, None);
        assert!(stand.cues(ms(20.0), 100.0).afresh, "the song that was heard is silenced");
        stand.apply(Change::Go(Place::Song), ms(30.0));
        assert!(!stand.running(), "the song was stopped when one left it");
        assert_eq!(stand.view(ms(30.0)).settings.loop_bars, bars);
    }

    /// A take of one key, in a lap.
    fn lap(stand: &mut Stand) -> Lap {
        stand.apply(Change::Do(SessionCommand::SetMode(Mode::PlayAlong)), ms(0.0));
        stand.apply(Change::Do(SessionCommand::SetCountIn(false)), ms(0.0));
        stand.apply(Change::Do(SessionCommand::Start), ms(0.0));
        stand.note(ms(130.0), MidiKey::new(50).unwrap(), NoteChange::On { velocity: 70 });
        stand.note(ms(900.0), MidiKey::new(50).unwrap(), NoteChange::Off);
        stand.apply(Change::Do(SessionCommand::Stop), ms(3000.0));
        stand.view(ms(3000.0)).laps[0].clone()
    }

    #[test]
    fn a_take_is_heard_to_its_end_or_until_something_starts() {
        let mut stand = listening();
        let lap = lap(&mut stand);
        stand.apply(Change::Replay(lap.clone(), false), ms(5000.0));
        assert!(stand.running() && stand.cues(ms(5000.0), 100.0).afresh);
        let cues: Vec<Cue> =
            (501..700).flat_map(|n| stand.cues(ms(f64::from(n) * 10.0), 100.0).cues).collect();
        let heard: Vec<CueKind> = cues.iter().map(|cue| cue.kind).collect();
        let key = MidiKey::new(50).unwrap();
        assert_eq!(heard, [CueKind::TakeOn { key, velocity: 70 }, CueKind::TakeOff { key }]);
        stand.tick(ms(9000.0));
        assert!(!stand.running());
        stand.apply(Change::Replay(lap, true), ms(9000.0));
        stand.cues(ms(9010.0), 100.0);
        stand.apply(Change::Do(SessionCommand::Toggle), ms(9050.0));
        assert!(stand.replay().is_none() && stand.cues(ms(9060.0), 100.0).afresh);
    }

    #[test]
    fn taps_are_no_notes_of_the_song_and_are_told_once_over() {
        let mut stand = listening();
        stand.apply(Change::SoundDelay(40.0), ms(0.0));
        stand.apply(Change::Tap(TapTo::Click), ms(0.0));
        assert_eq!(stand.sound_delay_ms(), 0.0, "what is measured must not be taken off already");
        for n in 0..24 {
            stand.note(
                ms(900.0 + 700.0 * f64::from(n) + 12.0),
                MidiKey::MIDDLE_C,
                NoteChange::On { velocity: 9 },
            );
        }
        assert!(stand.view(ms(17_000.0)).held.is_empty());
        stand.tick(ms(18_000.0));
        assert_eq!(stand.tapped().unwrap().measure().unwrap().median_ms, 12.0);
        assert!(stand.tapped().is_none() && !stand.running());
        assert_eq!(stand.sound_delay_ms(), 40.0);
    }

    #[test]
    fn pedals_go_into_the_take() {
        let mut stand = listening();
        stand.apply(Change::Do(SessionCommand::SetMode(Mode::PlayAlong)), ms(0.0));
        stand.apply(Change::Do(SessionCommand::SetCountIn(false)), ms(0.0));
        stand.apply(Change::Do(SessionCommand::Start), ms(0.0));
        stand.note(ms(130.0), MidiKey::new(50).unwrap(), NoteChange::On { velocity: 70 });
        stand.control(ms(200.0), 64, 127);
        stand.control(ms(900.0), 64, 0);
        stand.apply(Change::Do(SessionCommand::Stop), ms(3000.0));
        let take = &stand.finished(ms(3000.0))[0].take;
        let values: Vec<(u8, u8)> = take.controls.iter().map(|c| (c.controller, c.value)).collect();
        assert_eq!(values, [(64, 127), (64, 0)]);
    }

    #[test]
    fn a_clock_that_was_lost_is_told_once_a_run_and_only_of_a_run() {
        let mut stand = listening();
        stand.lose_the_clock(ClockLoss::Silent, 10.0);
        assert_eq!(stand.clock_trouble(), None, "nothing runs");
        stand.apply(Change::Do(SessionCommand::Start), ms(0.0));
        stand.lose_the_clock(ClockLoss::Jumped, 40.0);
        assert_eq!(stand.clock_trouble(), None, "one stumble is bridged");
        stand.lose_the_clock(ClockLoss::Jumped, 240.0);
        stand.lose_the_clock(ClockLoss::Silent, 10.0);
        let told = stand.clock_trouble().unwrap();
        assert!(told.starts_with("The sound stumbled") && told.ends_with("help."), "{told}");
        stand.apply(Change::Do(SessionCommand::Stop), ms(900.0));
        assert!(stand.clock_trouble().is_some(), "it is still to be read after the run");
        stand.apply(Change::Do(SessionCommand::Start), ms(1000.0));
        assert_eq!(stand.clock_trouble(), None);
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
        assert_eq!(stand.finished(ms(2000.0)), []);
        stand.apply(Change::Do(SessionCommand::Stop), ms(3000.0));
        let laps = stand.finished(ms(3000.0));
        assert_eq!((laps.len(), laps[0].take.notes.len()), (1, 1));
        assert_eq!(stand.finished(ms(3010.0)), []);
    }
}
