//! The desk of practice: what is planned, what is in hand, and what is shown of it.

use super::repertoire::{Repertoire, is_of};
use crate::storage::{self, PracticeSettings};
use crate::window::practice_memory;
use crate::window::shell::set_in_hand::SetInHand;
use practice::history::{Help, Marks, PassRecord, Purpose};
use practice::learn::{HeardPass, help_after, readiness};
use practice::session_plan::{NextPass, Outcome, PlanItem, Sitting, Task, Wish};
use practice::{Hands, LoopBars};
use std::sync::Arc;
use std::time::{Duration, Instant};
use ui::{ItemShown, NowShown, Practice, PracticeCommand, SetShown, SongShown};
use voicing::Part;

/// What is said once a day before practising, and with rests; short, and it defers to those who know the player.
const HANDS_AND_EARS: &str = "Rest a few minutes in every half hour, keep headphones moderate, and stop at pain, \
                              numbness or tingling: then ask a teacher or a clinician.";

/// How ready the songs are is not forecast further ahead than so many days.
const YEAR: f64 = 366.0;
/// Hands find their place in another song, and eyes theirs.
const BREATH: Duration = Duration::from_secs(4);
/// What a pass takes besides its music, in seconds: breathing, and being told.
const AROUND_A_PASS: f64 = 4.0;

/// What is practised.
#[derive(Debug)]
pub struct Desk {
    /// What is shown of it.
    pub shown: Practice,
    /// The day that the player chose.
    pub by: Option<i64>,
    /// The stand knows what means something on the keyboard.
    pub means: bool,
    /// What is known of the songs.
    pub songs: Repertoire,
    /// The part that this was asked for.
    pub asked: Option<Arc<Part>>,
    pub sitting: Sitting,
    /// What is set up, and the stretch of the song for it.
    pub pass: Option<NextPass>,
    /// Passes of the stretch in hand: whether they were clean.
    pub clean: Vec<bool>,
    pub help: Help,
    /// A pass whose verdict waits for the player's guess, for each song it is of.
    pub waiting: Vec<PassRecord>,
    /// The set list.
    pub set: Option<SetInHand>,
    /// The player has asked for a join: it is on the stand.
    pub joins: bool,
    /// What is asked for once more before it is done.
    pub confirm: Option<PracticeCommand>,
    /// The day on which the caution was acknowledged.
    pub cautioned: Option<i64>,
    /// Since when the time of a rest or a warm-up was not counted yet.
    pub since: Option<Instant>,
    /// When the plan turned to another song: what is of it is counted in only after a breath.
    pub turned: Option<Instant>,
    /// It is set up, and waits for that.
    pub to_count_in: bool,
    /// So long is that breath.
    pub breath: Duration,
}

impl Desk {
    /// As the player left it the last time.
    pub fn remembering(kept: &PracticeSettings) -> Desk {
        let set = kept.set.as_deref().map(SetInHand::remembered);
        let songs = set.as_ref().map_or(0, |set| set.songs().len());
        let mut shown = practice_memory::shown(kept);
        shown.told = set.as_ref().and_then(SetInHand::trouble).map(str::to_owned);
        Desk {
            by: shown.by.as_ref().map(|(day, _)| *day),
            shown,
            means: false,
            songs: Repertoire { open: None, set: vec![None; songs], whole: songs > 0 && !kept.song_alone },
            asked: None,
            sitting: Sitting::new(Default::default()),
            pass: None,
            clean: Vec::new(),
            help: Help::Full,
            waiting: Vec::new(),
            set,
            joins: false,
            confirm: None,
            cautioned: kept.cautioned.as_deref().and_then(storage::day_of),
            since: None,
            turned: None,
            to_count_in: false,
            breath: BREATH,
        }
    }

    /// Keeps what was chosen.
    pub fn keep(&self, kept: &mut PracticeSettings) {
        practice_memory::keep(kept, &self.shown, self.by, self.cautioned);
        kept.set = self.set.as_ref().map(|set| set.path.clone());
        if !self.songs.set.is_empty() {
            kept.song_alone = !self.songs.whole;
        }
    }

    /// What is shown of it.
    pub fn shown(&self) -> &Practice {
        &self.shown
    }

    pub fn today(&self) -> f64 {
        storage::now().day()
    }

    /// The day it is played: the player's date, or the coach's.
    pub fn date(&self) -> Option<i64> {
        let today = storage::now().date();
        self.by.or_else(|| self.songs.first_day(today)).filter(|day| *day >= today)
    }

    /// What is wished for, with so many minutes.
    pub fn wish(&self, minutes: f64) -> Wish {
        let now = storage::now().date();
        Wish { minutes, today: self.today(), days_left: self.date().map(|day| day - now) }
    }

    /// Which song of the set is open.
    pub fn open_of_set(&self) -> Option<usize> {
        self.set.as_ref().and_then(|set| set.at)
    }

    /// The song of the set that what is in hand is of, or that comes after it: it is to be open.
    pub fn song_in_hand(&self) -> Option<usize> {
        let items = self.sitting.items().get(self.sitting.at()..).unwrap_or_default();
        items.iter().find_map(|item| item.task.song())
    }

    /// Whether what is in hand is played from a song.
    pub fn is_of_a_song(&self) -> bool {
        self.sitting.item().is_some_and(|item| item.task.song().is_some())
    }

    /// Items of songs that cannot be read are passed by.
    pub fn pass_by_what_cannot_be_read(&mut self) {
        while let Some(item) = self.sitting.item() {
            let is_lost = |place| match item.task {
                Task::SongJoin { .. } => self.songs.join(place).is_none(),
                _ => self.songs.song(place).is_none(),
            };
            if !item.task.song().is_some_and(is_lost) {
                return;
            }
            self.sitting.skip();
        }
    }

    /// What is to be played next is set up; what was thought of another stretch goes.
    pub fn next_pass(&mut self) {
        let before = (self.stretch(), self.join());
        let day = self.today();
        self.pass = self.sitting.next_pass(&self.songs.coaches(), day);
        if before != (self.stretch(), self.join()) {
            (self.clean, self.help) = (Vec::new(), Help::Full);
        }
    }

    /// The bars that a pass goes over: another pass of them is of the same stretch.
    fn stretch(&self) -> Option<(usize, LoopBars, Option<usize>, Hands)> {
        self.pass.map(|pass| (pass.song, pass.bars, pass.change, pass.hands))
    }

    /// The song whose join into the next is in hand.
    fn join(&self) -> Option<usize> {
        match self.sitting.item()?.task {
            Task::SongJoin { song } => Some(song),
            _ => None,
        }
    }

    /// Whether a pass that is over is one of what is in hand: it may have been over only after that was turned.
    pub fn is_in_hand(&self, records: &[PassRecord]) -> bool {
        if records.iter().any(|record| record.stopped) {
            return false;
        }
        match (self.pass, records) {
            (Some(pass), [record]) => {
                let bars = record.bars.iter().map(|bar| bar.bar);
                let mut within = bars.chain(record.changes.iter().map(|change| change.bar));
                // A change alone has no bars.
                let kind = pass.change.is_none() || record.bars.is_empty();
                let within = kind && within.all(|bar| pass.bars.contains(bar)) && record.hands == pass.hands;
                let song = self.songs.song(pass.song).is_some_and(|known| is_of(record, known));
                record.about.purpose == pass.purpose && within && song
            }
            (None, [ends, _]) => ends.about.purpose == Purpose::Join && self.join().is_some(),
            _ => false,
        }
    }

    /// A pass of what is in hand is over.
    pub fn take_in(&mut self, records: &[PassRecord]) {
        let day = self.today();
        let clean = records.iter().all(PassRecord::is_clean);
        self.clean.push(clean);
        self.help = if self.shown.from_memory { help_after(self.help, clean) } else { Help::Full };
        let seconds = records.iter().map(|record| record.seconds).sum::<f64>() + AROUND_A_PASS;
        let (Some(pass), [record]) = (self.pass, records) else {
            records.iter().for_each(|record| self.songs.hear(record, None));
            self.sitting.waited(seconds);
            return;
        };
        let Some(coach) = self.songs.coach_mut(pass.song) else { return };
        let heard = HeardPass::of(record, coach);
        let outcome = self.sitting.heard_pass(&pass, &heard, seconds, coach, day);
        self.songs.hear(record, Some(pass.song));
        self.shown.told = self.told(outcome, &pass);
        if pass.purpose == Purpose::Survey {
            self.plan_on(pass.song);
        }
    }

    fn told(&self, outcome: Outcome, pass: &NextPass) -> Option<String> {
        let of = |bar: usize| match self.songs.song(pass.song).filter(|_| self.songs.whole) {
            Some(known) => format!("{}, bar {}", known.part.title, bar + 1),
            None => format!("Bar {}", bar + 1),
        };
        let percent = pass.speed.percent();
        match outcome {
            Outcome::Clean(bar) => {
                Some(format!("{} is clean at {percent:.0} %. It is asked again tomorrow.", of(bar)))
            }
            Outcome::NoBetter(bar, advice) => Some(format!("{}: {advice}.", of(bar))),
            Outcome::GoesOn | Outcome::Done => None,
        }
    }

    /// What is left to do takes another form, now that a song was heard.
    fn plan_on(&mut self, song: usize) {
        let left = self.sitting.items().get(self.sitting.at()..).unwrap_or_default();
        let rest = self.songs.plan_on(song, left, self.wish(0.0));
        self.sitting.replan(rest);
    }

    /// What is shown is made anew.
    pub fn show(&mut self) {
        let today = self.today();
        self.shown.today = today.floor() as i64;
        self.shown.by = self.date().map(|day| (day, storage::weekday_words(day)));
        self.shown.by_typed = self.date().map_or_else(String::new, storage::date_text);
        let date = self.date().map(|day| day as f64 + today.fract()).map(|date| date.min(today + YEAR));
        self.shown.song = self.songs.open.as_ref().map(|known| SongShown {
            title: known.part.title.clone(),
            ready: readiness(&known.part, &known.coach, today, date),
            hard: known.hard.clone(),
            days: known.days.clone(),
            progress: known.progress.clone(),
            passes: known.passes,
            elsewhere: known.elsewhere,
        });
        let set = self.set.as_ref().map(|set| set.shown(&self.songs, today, date));
        self.shown.set = set.map(|set| SetShown { joins: self.joins, ..set });
        self.shown.items = self.sitting.items().iter().map(|item| self.item_shown(item)).collect();
        self.shown.at = self.sitting.at();
        self.shown.now = NowShown {
            text: self.in_hand(),
            minutes_left: self.sitting.minutes_left(),
            help: self.help,
            marks: self.marks(),
            asked: !self.waiting.is_empty(),
            lead: Vec::new(),
            turns: self.turned.is_some(),
            warm_up: self.shown.running
                && self
                    .sitting
                    .item()
                    .is_some_and(|item| matches!(item.task, Task::Scale(_) | Task::Chords(_))),
        };
        let cautioned = self.cautioned == Some(self.shown.today);
        self.shown.caution = (self.shown.running && !cautioned).then_some(HANDS_AND_EARS);
    }

    fn item_shown(&self, item: &PlanItem) -> ItemShown {
        let song = item.task.song().filter(|_| self.songs.whole).and_then(|place| self.songs.song(place));
        ItemShown {
            text: self.text(&item.task),
            song: song.map(|known| known.part.title.clone()),
            minutes: item.minutes,
            is_rest: item.task == Task::Rest,
        }
    }

    fn text(&self, task: &Task) -> String {
        match task {
            Task::SongJoin { song } => match self.songs.join(*song) {
                Some((_, next)) => format!("from its end into {}", next.part.title),
                None => task.text(),
            },
            _ => task.text(),
        }
    }

    /// What is in hand, in a few words; of a set with the song.
    fn in_hand(&self) -> String {
        let Some(item) = self.sitting.item() else { return "That is all for today.".to_owned() };
        let ItemShown { text, song, .. } = self.item_shown(item);
        let what = song.map_or(text.clone(), |song| format!("{song}: {text}"));
        let Some(pass) = self.pass else {
            let join = self.join().and_then(|place| self.songs.join(place));
            let speed = join.map(|(ends, begins)| self.songs.speed_of_join(ends, begins, self.today()));
            return speed
                .map_or(what.clone(), |speed| format!("{what}; both hands, {:.0} %", speed.percent()));
        };
        let hands = match pass.hands {
            Hands::Both => "both hands",
            Hands::Right => "right hand",
            Hands::Left => "left hand",
        };
        let change =
            pass.change.map_or_else(String::new, |slot| format!(", only the change into chord {}", slot + 1));
        format!("{what}{change}; {hands}, {:.0} %", pass.speed.percent())
    }

    /// When the marks of the next pass are shown.
    pub fn marks(&self) -> Marks {
        self.shown.feedback.next(&self.clean)
    }
}
