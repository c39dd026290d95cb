//! Practising: what is played next is set up, what was played is taken in.

mod desk;
mod repertoire;

pub(super) use desk::Desk;
pub(super) use repertoire::Repertoire;

use super::{Shell, waker};
use crate::session;
use crate::storage;
use crate::window::dialog::Wanted;
use crate::window::keeper::Order;
use crate::window::playing::Playing;
use crate::window::practice_keeper::{Known, PracticeOrder, PracticeTold, Question};
use practice::history::{About, Guess, Help, Marks, PassRecord, Purpose};
use practice::learn::{Excerpt, guessed};
use practice::session_plan::{NextPass, Sitting, Task};
use practice::{Hands, Mode, SessionCommand, Speed};
use std::sync::{Arc, PoisonError};
use ui::{PracticeCommand, Subject, Trigger, TriggerDeed};

impl Shell {
    /// While a pass listens, or waits for what the player says, its marks are not shown; from memory no keys are.
    pub(super) fn hide_marks(&self, session: &mut practice::SessionView) {
        let now = &self.practice.shown.now;
        if !self.practice.shown.running {
            return;
        }
        if now.asked || now.marks == Marks::After && session.running {
            session.marks.fill(practice::Mark::Open);
            session.wrong.clear();
            session.held.iter_mut().for_each(|held| held.verdict = practice::KeyVerdict::Neutral);
            (session.score, session.laps) = (None, Arc::default());
        }
        if now.help != Help::Full {
            (session.slot, session.next) = (None, None);
        }
    }

    /// Takes in what there is to take in: another song, time that goes by.
    pub(super) fn look_after_practice(&mut self) {
        self.look_after_triggers();
        self.let_time_pass();
        self.look_after_the_set();
        self.look_after_the_song();
        self.take_breath();
    }

    /// What is known of the song that is open is asked for.
    fn look_after_the_song(&mut self) {
        let Some((part, song)) = self.document.part().cloned().zip(self.document.song().cloned()) else {
            return;
        };
        if self.practice.asked.as_ref().is_some_and(|known| Arc::ptr_eq(known, &part)) {
            return;
        }
        if self.practice.shown.running && !self.is_of_the_plan(&part.title) {
            self.stop_practising();
        }
        self.practice.asked = Some(part.clone());
        self.practice.joins = false;
        let place = self.practice.open_of_set();
        if let Some(known) = self.practice.songs.opened(place, &part) {
            self.know(known, false);
            self.practice.show();
        }
        let source = self.document.source().to_remember();
        self.keeper.ask(Order::Practice(PracticeOrder::Recall(Question { source, song, part })));
    }

    /// Whether the song that was opened is the one that the plan goes on with.
    fn is_of_the_plan(&self, title: &str) -> bool {
        let desk = &self.practice;
        match desk.songs.whole {
            true => desk.open_of_set().is_some() && desk.open_of_set() == desk.song_in_hand(),
            false => desk.songs.open.as_ref().is_some_and(|known| known.part.title == title),
        }
    }

    /// What the keeper has to tell of practice.
    pub(super) fn hear_of_practice(&mut self, told: PracticeTold) {
        match told {
            PracticeTold::Known(known) => self.hear_of_song_in_hand(*known),
            PracticeTold::KnownOfSet(of_set, known) => self.hear_of_set(of_set, known),
            PracticeTold::Changed(told) => {
                self.practice.shown.told = Some(told);
                // What was known is asked again.
                (self.practice.asked, self.practice.songs.open) = (None, None);
                self.read_the_set_again();
            }
            PracticeTold::Passed(records, waits) => self.passed(records, waits),
        }
        self.practice.show();
    }

    fn hear_of_song_in_hand(&mut self, known: Known) {
        let is = |part: &Arc<voicing::Part>| Arc::ptr_eq(part, &known.part);
        if !self.practice.asked.as_ref().is_some_and(is) {
            return;
        }
        if !known.told.is_empty() {
            self.practice.shown.told = Some(known.told.join(" "));
        }
        let place = self.practice.open_of_set();
        match self.practice.songs.open.as_ref().is_some_and(|open| is(&open.part)) {
            true => self.practice.songs.refresh(place, &known),
            false => self.know(known, !self.practice.songs.whole || place.is_some()),
        }
    }

    /// This is known of the song that is open, and is new to the plan or not; what is of it can be set up now.
    fn know(&mut self, known: Known, is_new: bool) {
        let desk = &mut self.practice;
        desk.songs.know(desk.open_of_set(), known);
        match desk.shown.running {
            true if desk.is_of_a_song() => self.set_up(),
            true => {}
            false if is_new => self.plan_again(),
            false => {}
        }
    }

    /// A plan for the minutes there are, once all songs of it were read.
    pub(super) fn plan_again(&mut self) {
        if self.practice.songs.whole && !self.is_set_read() {
            return;
        }
        let minutes = f64::from(self.practice.shown.minutes);
        let wish = self.practice.wish(minutes);
        self.practice.sitting = Sitting::new(self.practice.songs.plan(&wish));
    }

    /// Carries out what the player asked for.
    pub(super) fn carry_out_practice(&mut self, command: PracticeCommand) {
        let desk = &mut self.practice;
        let confirmed = desk.confirm.take().as_ref() == Some(&command);
        match command {
            // A plan that is under way goes on as it was made.
            PracticeCommand::Minutes(_) | PracticeCommand::MinutesTyped(_) if desk.shown.running => {}
            PracticeCommand::Minutes(minutes) => {
                desk.shown.minutes = minutes.clamp(1, 600);
                self.plan_again();
            }
            PracticeCommand::MinutesTyped(text) => match text.trim().parse() {
                Ok(minutes) => self.carry_out_practice(PracticeCommand::Minutes(minutes)),
                Err(_) => {
                    let text = text.trim();
                    desk.shown.told =
                        Some(format!("\"{text}\" are no minutes; write a number from 1 to 600."));
                }
            },
            PracticeCommand::By(day) => self.be_ready_by(day),
            PracticeCommand::ByTyped(text) => self.be_ready_by_typed(&text),
            PracticeCommand::Begin => self.begin_practising(),
            PracticeCommand::Again => {
                desk.turned = None;
                self.set_up();
            }
            PracticeCommand::Next => self.step(Sitting::skip),
            PracticeCommand::Before => self.step(Sitting::back),
            PracticeCommand::GoTo(place) => self.step(|sitting| sitting.go_to(place)),
            PracticeCommand::Move { from, to } => self.move_item(from, to),
            PracticeCommand::Stop => self.stop_practising(),
            PracticeCommand::Feedback(feedback) => desk.shown.feedback = feedback,
            PracticeCommand::AskMe(on) => desk.shown.asks = on,
            PracticeCommand::Guess(guess) => self.guessed(guess),
            PracticeCommand::FromMemory(on) => {
                (desk.shown.from_memory, desk.help) = (on, Help::Full);
            }
            PracticeCommand::Read => self.read_it(),
            PracticeCommand::DeleteSong if confirmed => {
                if let Some(name) = desk.songs.open.as_ref().map(|known| known.name.clone()) {
                    self.keeper.ask(Order::Practice(PracticeOrder::Delete(name)));
                }
            }
            PracticeCommand::DeleteAll if confirmed => {
                self.keeper.ask(Order::Practice(PracticeOrder::DeleteAll))
            }
            PracticeCommand::Export => self.export_history(),
            PracticeCommand::Trigger(deed, trigger) => self.mean(deed, trigger),
            PracticeCommand::LearnTrigger(deed) => {
                desk.shown.learning = Some(deed);
                self.change_session(session::Change::LearnTrigger(true));
            }
            PracticeCommand::OpenSet => self.dialog.ask(Wanted::Set, waker(&self.ctx)),
            PracticeCommand::SetSong(by) => self.turn_the_set(by),
            PracticeCommand::SetSongAt(place) => self.go_to_song(place),
            PracticeCommand::SetJoin => self.ask_for_join(),
            PracticeCommand::Whole(on) => self.practise_the_whole(on),
            PracticeCommand::ReadyOfSet(on) => self.show_ready_of_set(on),
            PracticeCommand::ReadSet => self.read_the_list_again(),
            PracticeCommand::CloseSet => self.close_set(),
            PracticeCommand::DeleteSong | PracticeCommand::DeleteAll => {
                let what = "Once more deletes it; it cannot be brought back.";
                (desk.confirm, desk.shown.told) = (Some(command), Some(what.to_owned()));
            }
        }
        self.practice.show();
    }

    /// Something means this from now on, and nothing else; or nothing does.
    fn mean(&mut self, deed: TriggerDeed, trigger: Option<Trigger>) {
        for (of, means) in &mut self.practice.shown.triggers {
            if *of == deed {
                *means = trigger;
            } else if *means == trigger {
                *means = None;
            }
        }
        self.practice.shown.learning = None;
        self.change_session(session::Change::LearnTrigger(false));
        self.tell_the_stand();
    }

    fn tell_the_stand(&mut self) {
        self.practice.means = true;
        let all = self.practice.shown.triggers.iter().filter_map(|(_, trigger)| *trigger).collect();
        self.change_session(session::Change::Triggers(all));
    }

    /// What was pressed on the keyboard for what it means.
    fn look_after_triggers(&mut self) {
        if !self.practice.means {
            self.tell_the_stand();
        }
        let (learned, pressed) = {
            let mut stand = self.session.stand();
            (stand.learned(), stand.pressed())
        };
        if let Some((deed, trigger)) = self.practice.shown.learning.zip(learned) {
            self.mean(deed, Some(trigger));
        }
        let deed = |pressed: &Trigger| {
            let means =
                self.practice.shown.triggers.iter().find(|(_, trigger)| trigger.as_ref() == Some(pressed));
            means.map(|(deed, _)| *deed)
        };
        let deeds: Vec<TriggerDeed> = pressed.iter().filter_map(deed).collect();
        deeds.into_iter().for_each(|deed| self.pressed(deed));
    }

    /// While one practises by the plan these go through it; else they stop and start what is on the stand.
    pub(super) fn pressed(&mut self, deed: TriggerDeed) {
        let running = self.practice.shown.running;
        let on_stage = self.view.page == ui::Page::Stage;
        match deed {
            TriggerDeed::Next if on_stage => self.carry_out_practice(PracticeCommand::SetSong(1)),
            TriggerDeed::Again if on_stage => self.carry_out_practice(PracticeCommand::SetSong(-1)),
            TriggerDeed::Stop if running => self.carry_out_practice(PracticeCommand::Stop),
            TriggerDeed::Next if running => self.carry_out_practice(PracticeCommand::Next),
            TriggerDeed::Next => self.carry_out_practice(PracticeCommand::Begin),
            TriggerDeed::Again if running => self.carry_out_practice(PracticeCommand::Again),
            TriggerDeed::Again => {
                self.ask_session(SessionCommand::Stop);
                self.ask_session(SessionCommand::Start);
            }
            TriggerDeed::Stop => self.ask_session(SessionCommand::Toggle),
        }
    }

    fn read_it(&mut self) {
        let desk = &mut self.practice;
        if desk.shown.told.take().is_none() {
            desk.cautioned = Some(storage::now().date());
        }
    }

    /// Beside the songs' own folder: a file of the day.
    fn export_history(&mut self) {
        let Some(places) = storage::Places::of_this_user() else { return };
        let name = format!("practice-{}.json", storage::date_text(storage::now().date()));
        let path = storage::free_path(&places.songs(), &name);
        self.keeper.ask(Order::Practice(PracticeOrder::Export(path)));
    }

    pub(super) fn begin_practising(&mut self) {
        if self.waits_for_the_set() {
            return;
        }
        if self.practice.sitting.item().is_none() {
            self.plan_again();
        }
        self.practice.shown.running = self.practice.sitting.item().is_some();
        self.set_up();
    }

    pub(super) fn stop_practising(&mut self) {
        let desk = &mut self.practice;
        (desk.shown.running, desk.pass, desk.joins, desk.turned) = (false, None, false, None);
        self.remember_unasked();
        self.ask_session(SessionCommand::Stop);
        self.leave_the_room();
        self.put_on_the_stand(None, About::default());
        self.ask_what_history_tells();
    }

    /// What was played is told with the rest on the page of how ready the song is.
    fn ask_what_history_tells(&mut self) {
        let part = self.practice.songs.open.as_ref().map(|known| known.part.clone());
        let song = self.document.song().cloned();
        if let Some((part, song)) = part.zip(song).filter(|_| self.practice.asked.is_some()) {
            let source = self.document.source().to_remember();
            self.keeper.ask(Order::Practice(PracticeOrder::Recall(Question { source, song, part })));
        }
    }

    /// A pass of which the player did not say how it went is remembered without it.
    fn remember_unasked(&mut self) {
        for record in std::mem::take(&mut self.practice.waiting) {
            self.practice.songs.hear(&record, None);
            self.remember_pass(record);
        }
    }

    fn remember_pass(&self, record: PassRecord) {
        self.keeper.ask(Order::Practice(PracticeOrder::Remember(Box::new(record))));
    }

    pub(super) fn step(&mut self, how: impl FnOnce(&mut Sitting)) {
        how(&mut self.practice.sitting);
        self.practice.clean.clear();
        self.practice.help = Help::Full;
        self.remember_unasked();
        if self.practice.shown.running {
            self.set_up();
        }
    }

    /// Sets up what comes next and counts it in. What is of another song waits until that is open.
    pub(super) fn set_up(&mut self) {
        self.ask_session(SessionCommand::Stop);
        self.leave_the_room();
        let desk = &mut self.practice;
        (desk.joins, desk.to_count_in) = (false, false);
        if !desk.shown.running || !desk.songs.whole && desk.songs.open.is_none() {
            return;
        }
        if desk.songs.whole {
            desk.pass_by_what_cannot_be_read();
        }
        desk.next_pass();
        let is_open = self.turn_to_what_is_in_hand();
        match self.practice.pass {
            Some(pass) if is_open => self.play_pass(pass),
            None if is_open || !self.practice.is_of_a_song() => self.without_a_pass(),
            _ => {}
        }
    }

    fn play_pass(&mut self, pass: NextPass) {
        let Some(part) = self.document.part().cloned() else { return };
        let source = self.document.source().to_remember();
        let stretch = match (pass.purpose, pass.change) {
            (Purpose::Survey | Purpose::RunThrough, _) => None,
            (_, Some(slot)) => Excerpt::of_change(&part, pass.bars.from(), slot),
            (_, None) => Excerpt::of(&part, pass.bars, pass.with_lead),
        };
        let about = self.about(pass.purpose);
        self.put_on_the_stand(stretch.map(|stretch| Playing::stretch(source, part, stretch)), about);
        self.play_it(pass.hands, pass.speed);
    }

    /// What history is to know of the passes in hand.
    pub(super) fn about(&self, purpose: Purpose) -> About {
        let desk = &self.practice;
        let help = if desk.shown.from_memory { desk.help } else { Help::Full };
        About { purpose, help, marks: desk.marks(), guess: None }
    }

    /// What is on the stand is counted in; after a turn to another song in a moment.
    pub(super) fn play_it(&mut self, hands: Hands, speed: Speed) {
        for command in [
            SessionCommand::SetMode(Mode::PlayAlong),
            SessionCommand::SetHands(hands),
            SessionCommand::SetSpeed(speed),
            SessionCommand::SetLoop(None),
            SessionCommand::GoToBar(0),
        ] {
            self.ask_session(command);
        }
        self.practice.to_count_in = self.practice.turned.is_some();
        if !self.practice.to_count_in {
            self.ask_session(SessionCommand::Start);
        }
    }

    /// The breath after a turn to another song is over once that is on the stand.
    fn take_breath(&mut self) {
        let Some(turned) = self.practice.turned.filter(|_| self.practice.to_count_in) else { return };
        let left = self.practice.breath.saturating_sub(turned.elapsed());
        self.ctx.request_repaint_after(left);
        if left.is_zero() {
            (self.practice.turned, self.practice.to_count_in) = (None, false);
            self.ask_session(SessionCommand::Start);
            self.practice.show();
        }
    }

    /// Scales and chords have a page of their own; a rest needs none; at the end nothing is on the stand but the song.
    fn without_a_pass(&mut self) {
        self.put_on_the_stand(None, About::default());
        match self.practice.sitting.item().map(|item| item.task.clone()) {
            Some(Task::Scale(key)) => self.warm_up(key, Subject::Scale),
            Some(Task::Chords(key)) => self.warm_up(key, Subject::Chords),
            Some(Task::Rest) => self.rest(),
            Some(Task::SongJoin { song }) => {
                let about = self.about(Purpose::Join);
                self.play_join(song, about);
            }
            Some(_) => {}
            None => {
                self.stop_practising();
                self.practice.shown.told =
                    Some("Done. What was played counts; what was learned is asked again.".to_owned());
            }
        }
    }

    /// A stretch of a song, or the song itself, goes on the stand, with what its passes are remembered with.
    pub(super) fn put_on_the_stand(&mut self, stretch: Option<Playing>, about: About) {
        let Some(part) = self.document.part().cloned() else { return };
        // What is over was played to what is on the stand still.
        self.hand_over_passes();
        let song = || Playing::song(self.document.source().to_remember(), part);
        let asks = self.practice.shown.asks && self.practice.shown.running;
        let playing = Playing { about, asks, ..stretch.unwrap_or_else(song) };
        let (on_stand, is_stretch) = (playing.part.clone(), playing.whole_song().is_none());
        let was_stretch = {
            let mut stand = self.song.lock().unwrap_or_else(PoisonError::into_inner);
            let was_stretch = stand.now().is_some_and(|was| was.whole_song().is_none());
            stand.put(playing);
            was_stretch
        };
        if is_stretch || was_stretch {
            self.change_session(session::Change::SongPart(on_stand.clone()));
        }
        self.stretch = is_stretch.then(|| (on_stand.clone(), Arc::new(ui::Sheet::new(&on_stand))));
    }

    /// A pass went into the history, or waits for what the player says of it.
    fn passed(&mut self, records: Vec<PassRecord>, waits: bool) {
        let in_hand = self.practice.shown.running && self.practice.is_in_hand(&records);
        match (in_hand, waits) {
            (true, true) => {
                self.remember_unasked();
                self.practice.waiting = records;
            }
            (true, false) => self.take_in_pass(&records),
            // Played as the player liked, or given up: it counts as well.
            (false, _) => {
                for record in records {
                    self.practice.songs.hear(&record, None);
                    if waits {
                        self.remember_pass(record);
                    }
                }
            }
        }
    }

    fn guessed(&mut self, guess: Guess) {
        let mut records = std::mem::take(&mut self.practice.waiting);
        if records.is_empty() {
            return;
        }
        for record in &mut records {
            record.about.guess = Some(guess);
            self.remember_pass(record.clone());
        }
        let bars = records.iter().flat_map(|record| &record.bars);
        let slips = bars.flat_map(|bar| &bar.strikes).filter(|s| !s.is_good()).count();
        let told = guessed(guess, records.iter().all(PassRecord::is_clean), slips);
        self.take_in_pass(&records);
        let before = self.practice.shown.told.take();
        self.practice.shown.told = Some(before.map_or(told.clone(), |before| format!("{told} {before}")));
    }

    fn take_in_pass(&mut self, records: &[PassRecord]) {
        self.practice.take_in(records);
        self.set_up();
    }
}

#[cfg(test)]
mod tests;
