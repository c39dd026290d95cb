//! Practising: what is played next is set up, what was played is taken in.

use super::{Shell, waker};
use crate::session;
use crate::storage::{self, PracticeSettings, SetList};
use crate::window::dialog::Wanted;
use crate::window::keeper::Order;
use crate::window::practice_keeper::{Known, Playing, PracticeOrder, PracticeTold, Question};
use crate::window::practice_memory;
use practice::history::{About, Guess, Help, Marks, PassRecord, Purpose};
use practice::learn::{Excerpt, Heard, first_day, guessed, help_after, readiness};
use practice::session_plan::{NextPass, Outcome, PlanSong, Sitting, Task, Wish, plan};
use practice::{Hands, Mode, SessionCommand, Speed};
use std::path::{Path, PathBuf};
use std::sync::{Arc, PoisonError};
use std::time::Instant;
use ui::{ItemShown, NowShown, Practice, PracticeCommand, SongShown, Subject, Trigger, TriggerDeed};
use voicing::Part;

/// What is said once a day before practising, and with rests; short, and it defers to those who know the player.
const HANDS_AND_EARS: &str = "Rest a few minutes in every half hour, keep headphones moderate, and stop at pain, \
                              numbness or tingling: then ask a teacher or a clinician.";
/// What a pass takes besides its music, in seconds: breathing, and being told.
const AROUND_A_PASS: f64 = 4.0;

/// What is practised.
#[derive(Debug)]
pub(super) struct Desk {
    pub(super) shown: Practice,
    /// The day that the player chose.
    pub(super) by: Option<i64>,
    /// The stand knows what means something on the keyboard.
    means: bool,
    /// What is known of the song that is open.
    known: Option<Known>,
    /// The part that this was asked for.
    asked: Option<Arc<Part>>,
    pub(super) sitting: Sitting,
    /// What is set up, and the stretch of the song for it.
    pass: Option<NextPass>,
    /// Passes of the stretch in hand: whether they were clean.
    clean: Vec<bool>,
    help: Help,
    /// A pass whose verdict waits for the player's guess.
    waiting: Option<PassRecord>,
    /// The set list, and which of its songs is open.
    pub(super) set: Option<SetInHand>,
    /// What is asked for once more before it is done.
    confirm: Option<PracticeCommand>,
    /// The day on which the caution was acknowledged.
    cautioned: Option<i64>,
    /// Since when the time of a rest or a warm-up was not counted yet.
    pub(super) since: Option<Instant>,
}

/// A set list in hand.
#[derive(Debug)]
pub(super) struct SetInHand {
    /// Its file.
    pub path: PathBuf,
    /// Its songs.
    pub list: SetList,
    /// Which of them is open.
    pub at: usize,
    /// What was remembered was compared with the song that is open.
    pub compared: bool,
}

impl SetInHand {
    /// The set that was open the last time, if it can still be read.
    fn remembered(path: &Path) -> Option<SetInHand> {
        let list = storage::read_set(path).ok()?;
        Some(SetInHand { path: path.to_path_buf(), list, at: 0, compared: false })
    }
}

impl Desk {
    /// As the player left it the last time.
    pub fn remembering(kept: &PracticeSettings) -> Desk {
        let shown = practice_memory::shown(kept);
        Desk {
            by: shown.by.as_ref().map(|(day, _)| *day),
            shown,
            means: false,
            known: None,
            asked: None,
            sitting: Sitting::new(Default::default()),
            pass: None,
            clean: Vec::new(),
            help: Help::Full,
            waiting: None,
            set: kept.set.as_deref().and_then(SetInHand::remembered),
            confirm: None,
            cautioned: kept.cautioned.as_deref().and_then(storage::day_of),
            since: None,
        }
    }

    /// Keeps what was chosen.
    pub fn keep(&self, kept: &mut PracticeSettings) {
        practice_memory::keep(kept, &self.shown, self.by, self.cautioned);
        kept.set = self.set.as_ref().map(|set| set.path.clone());
    }

    /// What is shown of it.
    pub fn shown(&self) -> &Practice {
        &self.shown
    }

    fn today(&self) -> f64 {
        storage::now().day()
    }

    /// The days left until it is played: the player's date, or the coach's.
    fn date(&self) -> Option<i64> {
        let today = storage::now().date();
        let goal = || self.known.as_ref().and_then(|known| first_day(&known.goals, today));
        self.by.or_else(goal).filter(|day| *day >= today)
    }

    /// A plan for the minutes there are.
    fn plan_anew(&mut self, minutes: f64) -> practice::session_plan::SessionPlan {
        let (today, now) = (self.today(), storage::now().date());
        let Some(known) = &self.known else { return Default::default() };
        let goals: Vec<usize> = known.goals.iter().flat_map(|goal| goal.bars.clone()).collect();
        let song = PlanSong { part: &known.part, coach: &known.coach, hard: &known.hard, goals: &goals };
        plan(&[song], &Wish { minutes, today, days_left: self.date().map(|day| day - now) })
    }

    /// What is shown is made anew.
    pub(super) fn show(&mut self) {
        let today = self.today();
        self.shown.today = today.floor() as i64;
        self.shown.by = self.date().map(|day| (day, storage::weekday_words(day)));
        self.shown.by_typed = self.date().map_or_else(String::new, storage::date_text);
        let date = self.date().map(|day| day as f64 + today.fract());
        self.shown.song = self.known.as_ref().map(|known| SongShown {
            title: known.part.title.clone(),
            ready: readiness(&known.part, &known.coach, today, date),
            hard: known.hard.clone(),
            days: known.days.clone(),
            progress: known.progress.clone(),
            passes: known.passes,
            elsewhere: known.elsewhere,
        });
        let item = |item: &practice::session_plan::PlanItem| ItemShown {
            text: item.task.text(),
            minutes: item.minutes,
            is_rest: item.task == Task::Rest,
        };
        self.shown.items = self.sitting.items().iter().map(item).collect();
        self.shown.at = self.sitting.at();
        self.shown.now = NowShown {
            text: self.in_hand(),
            minutes_left: self.sitting.minutes_left(),
            help: self.help,
            marks: self.marks(),
            asked: self.waiting.is_some(),
            lead: Vec::new(),
            warm_up: self.shown.running
                && self
                    .sitting
                    .item()
                    .is_some_and(|item| matches!(item.task, Task::Scale(_) | Task::Chords(_))),
        };
        let cautioned = self.cautioned == Some(self.shown.today);
        self.shown.caution = (self.shown.running && !cautioned).then_some(HANDS_AND_EARS);
    }

    /// What is in hand, in a few words.
    fn in_hand(&self) -> String {
        let Some(item) = self.sitting.item() else { return "That is all for today.".to_owned() };
        let what = item.task.text();
        match self.pass {
            Some(pass) => {
                let hands = match pass.hands {
                    Hands::Both => "both hands",
                    Hands::Right => "right hand",
                    Hands::Left => "left hand",
                };
                format!("{what}; {hands}, {:.0} %", pass.speed.percent())
            }
            None => what,
        }
    }

    fn marks(&self) -> Marks {
        self.shown.feedback.next(&self.clean)
    }
}

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
        let Some((part, song)) = self.document.part().cloned().zip(self.document.song().cloned()) else {
            return;
        };
        self.compare_the_set();
        if self.practice.asked.as_ref().is_some_and(|known| Arc::ptr_eq(known, &part)) {
            return;
        }
        let same = self.practice.known.as_ref().is_some_and(|known| known.part.title == part.title);
        if self.practice.shown.running && !same {
            self.stop_practising();
        }
        self.practice.asked = Some(part.clone());
        let source = self.document.source().to_remember();
        self.keeper.ask(Order::Practice(PracticeOrder::Recall(Question { source, song, part })));
    }

    /// What the keeper has to tell of practice.
    pub(super) fn hear_of_practice(&mut self, told: PracticeTold) {
        match told {
            PracticeTold::Known(known) => self.know(*known),
            PracticeTold::Changed(told) => {
                self.practice.shown.told = Some(told);
                // What was known is asked again.
                (self.practice.asked, self.practice.known) = (None, None);
            }
            PracticeTold::Join(excerpt) => self.play_join(*excerpt),
            PracticeTold::Passed(record, waits) => self.passed(*record, waits),
        }
        self.practice.show();
    }

    fn know(&mut self, known: Known) {
        let open = self.practice.asked.as_ref().is_some_and(|part| Arc::ptr_eq(part, &known.part));
        if !open {
            return;
        }
        let running = self.practice.shown.running;
        if !known.told.is_empty() {
            self.practice.shown.told = Some(known.told.join(" "));
        }
        self.practice.known = Some(known);
        match running {
            true => self.set_up(),
            false => self.plan_again(),
        }
    }

    pub(super) fn plan_again(&mut self) {
        let minutes = f64::from(self.practice.shown.minutes);
        self.practice.sitting = Sitting::new(self.practice.plan_anew(minutes));
    }

    /// Carries out what the player asked for.
    pub(super) fn carry_out_practice(&mut self, command: PracticeCommand) {
        let desk = &mut self.practice;
        let confirmed = desk.confirm.take().as_ref() == Some(&command);
        match command {
            PracticeCommand::Minutes(minutes) => {
                desk.shown.minutes = minutes.clamp(1, 600);
                self.plan_again();
            }
            PracticeCommand::By(day) => self.be_ready_by(day),
            PracticeCommand::ByTyped(text) => self.be_ready_by_typed(&text),
            PracticeCommand::Begin => self.begin_practising(),
            PracticeCommand::Again => self.set_up(),
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
                if let Some(name) = desk.known.as_ref().map(|known| known.name.clone()) {
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
            PracticeCommand::SetJoin => self.ask_for_join(),
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
    fn pressed(&mut self, deed: TriggerDeed) {
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

    fn begin_practising(&mut self) {
        if self.practice.sitting.item().is_none() {
            self.plan_again();
        }
        self.practice.shown.running = self.practice.sitting.item().is_some();
        self.set_up();
    }

    fn stop_practising(&mut self) {
        let desk = &mut self.practice;
        (desk.shown.running, desk.pass) = (false, None);
        self.remember_unasked();
        self.ask_session(SessionCommand::Stop);
        self.leave_the_room();
        self.put_on_the_stand(None, About::default());
    }

    /// A pass of which the player did not say how it went is remembered without it.
    fn remember_unasked(&mut self) {
        if let Some(record) = self.practice.waiting.take() {
            self.keeper.ask(Order::Practice(PracticeOrder::Remember(Box::new(record))));
        }
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

    /// Sets up what comes next and counts it in.
    pub(super) fn set_up(&mut self) {
        self.ask_session(SessionCommand::Stop);
        self.leave_the_room();
        let day = self.practice.today();
        let desk = &mut self.practice;
        let Some(known) = desk.known.as_ref().filter(|_| desk.shown.running) else { return };
        let before = desk.pass;
        desk.pass = desk.sitting.next_pass(std::slice::from_ref(&known.coach), day);
        if stretch(before) != stretch(desk.pass) {
            (desk.clean, desk.help) = (Vec::new(), Help::Full);
        }
        let Some(pass) = desk.pass else { return self.without_a_pass() };
        let part = known.part.clone();
        let help = if desk.shown.from_memory { desk.help } else { Help::Full };
        let about = About { purpose: pass.purpose, help, marks: desk.marks(), guess: None };
        let excerpt = match pass.purpose {
            Purpose::Survey | Purpose::RunThrough => None,
            _ => Excerpt::of(&part, pass.bars, pass.with_lead),
        };
        self.put_on_the_stand(excerpt, about);
        for command in [
            SessionCommand::SetMode(Mode::PlayAlong),
            SessionCommand::SetHands(pass.hands),
            SessionCommand::SetSpeed(pass.speed),
            SessionCommand::SetLoop(None),
            SessionCommand::GoToBar(0),
            SessionCommand::Start,
        ] {
            self.ask_session(command);
        }
    }

    /// Scales and chords have a page of their own; a rest needs none; at the end nothing is on the stand but the song.
    fn without_a_pass(&mut self) {
        self.put_on_the_stand(None, About::default());
        match self.practice.sitting.item().map(|item| item.task.clone()) {
            Some(Task::Scale(key)) => self.warm_up(key, Subject::Scale),
            Some(Task::Chords(key)) => self.warm_up(key, Subject::Chords),
            Some(Task::Rest) => self.rest(),
            Some(_) => {}
            None => {
                self.practice.shown.running = false;
                self.practice.shown.told =
                    Some("Done. What was played counts; what was learned is asked again.".to_owned());
            }
        }
    }

    /// A stretch of the song, or the song itself, goes on the stand, with what its passes are remembered with.
    pub(super) fn put_on_the_stand(&mut self, excerpt: Option<Excerpt>, about: About) {
        let Some(part) = self.document.part().cloned() else { return };
        let source = self.document.source().to_remember();
        let excerpt = excerpt.map(Arc::new);
        let on_stand =
            excerpt.as_ref().map_or_else(|| part.clone(), |excerpt| Arc::new(excerpt.part.clone()));
        let was = {
            let mut playing = self.song.lock().unwrap_or_else(PoisonError::into_inner);
            let excerpt = excerpt.clone().map(|excerpt| (part, excerpt));
            let asks = self.practice.shown.asks && self.practice.shown.running;
            std::mem::replace(&mut *playing, Playing { source, about, excerpt, asks })
        };
        if excerpt.is_some() || was.excerpt.is_some() {
            self.change_session(session::Change::SongPart(on_stand.clone()));
        }
        let sheet = excerpt.as_ref().map(|_| (on_stand.clone(), Arc::new(ui::Sheet::new(&on_stand))));
        self.stretch = sheet;
    }

    /// A pass went into the history.
    fn passed(&mut self, record: PassRecord, waits: bool) {
        let desk = &mut self.practice;
        if !desk.shown.running {
            if waits {
                self.keeper.ask(Order::Practice(PracticeOrder::Remember(Box::new(record))));
                return;
            }
            // Played as the player liked: it counts as well.
            if let Some(known) = &mut desk.known {
                let heard: Vec<Heard> =
                    record.bars.iter().map(|b| Heard { bar: b.bar, clean: b.clean_in_time }).collect();
                known.coach.recall(&record, &heard);
            }
            return;
        }
        if waits {
            desk.waiting = Some(record);
        } else {
            self.take_in_pass(&record);
        }
    }

    fn guessed(&mut self, guess: Guess) {
        let Some(mut record) = self.practice.waiting.take() else { return };
        record.about.guess = Some(guess);
        self.keeper.ask(Order::Practice(PracticeOrder::Remember(Box::new(record.clone()))));
        let slips = record.bars.iter().flat_map(|bar| &bar.strikes).filter(|s| !s.is_good()).count();
        self.take_in_pass(&record);
        let told = guessed(guess, record.is_clean(), slips);
        let before = self.practice.shown.told.take();
        self.practice.shown.told = Some(before.map_or(told.clone(), |before| format!("{told} {before}")));
    }

    fn take_in_pass(&mut self, record: &PassRecord) {
        let day = self.practice.today();
        let desk = &mut self.practice;
        let (Some(pass), Some(known)) = (desk.pass, desk.known.as_mut()) else { return };
        if record.stopped {
            return;
        }
        let heard: Vec<Heard> =
            record.bars.iter().map(|b| Heard { bar: b.bar, clean: b.clean_in_time }).collect();
        let clean = record.is_clean();
        desk.clean.push(clean);
        desk.help = if desk.shown.from_memory { help_after(desk.help, clean) } else { Help::Full };
        let seconds = record.seconds + AROUND_A_PASS;
        let outcome = desk.sitting.heard(&pass, &heard, seconds, &mut known.coach, day);
        desk.shown.told = told(outcome, pass.speed);
        if pass.purpose == Purpose::Survey {
            let minutes = desk.sitting.minutes_ahead();
            let rest = desk.plan_anew(minutes);
            desk.sitting.replan(rest);
        }
        self.set_up();
    }
}

fn stretch(pass: Option<NextPass>) -> Option<(usize, practice::LoopBars, Hands)> {
    pass.map(|pass| (pass.song, pass.bars, pass.hands))
}

fn told(outcome: Outcome, speed: Speed) -> Option<String> {
    match outcome {
        Outcome::Clean(bar) => {
            Some(format!("Bar {} is clean at {:.0} %. It is asked again tomorrow.", bar + 1, speed.percent()))
        }
        Outcome::NoBetter(bar, advice) => Some(format!("Bar {}: {advice}.", bar + 1)),
        Outcome::GoesOn | Outcome::Done => None,
    }
}

#[cfg(test)]
mod tests;
