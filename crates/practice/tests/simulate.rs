//! Simulated learners practise twenty minutes a day, each in three ways: as the coach says; (a) the song from the top again
//! and again; (b) each bar equally often. Measured are the minutes until the whole song is clean at the chart's tempo every
//! other time, which the simulation knows and no way of practising is told.

use crate::learner::{Learner, Model};
use practice::learn::{Coach, Heard, Ladder, LadderStep, Why};
use practice::{LoopBars, Speed};

/// How a learner practises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    Coached,
    FromTheTop,
    EachBar,
}

/// The song: so many bars of two seconds each at its tempo.
pub const BARS: usize = 24;
const BAR_SECONDS: f64 = 2.0;
/// The last beat before a drilled bar and the first after it.
const LEAD_SECONDS: f64 = 1.0;
/// To begin again takes so long.
const BREAK_SECONDS: f64 = 3.0;
const DAY_SECONDS: f64 = 20.0 * 60.0;
/// Given up after so many days.
const DAYS: usize = 40;

/// What one learner came to.
pub struct Outcome {
    /// Minutes; those of all days where it was not reached.
    pub minutes: f64,
    pub reached: bool,
    /// What was forecast of bars, at the chart's tempo, and whether they were clean when next played at it.
    pub forecasts: Vec<(f64, bool)>,
}

/// A learner under way.
struct Room {
    learner: Learner,
    seconds: f64,
    day: usize,
    forecasts: Vec<(f64, bool)>,
}

impl Room {
    /// Plays some bars; gives how each went.
    fn play(&mut self, bars: LoopBars, speed: Speed) -> Vec<Heard> {
        let whole = bars.to() > bars.from();
        let lead = if whole { 0.0 } else { LEAD_SECONDS };
        let count = (bars.to() - bars.from() + 1) as f64;
        self.seconds += (count * BAR_SECONDS + lead) / speed.ratio() + BREAK_SECONDS;
        let play = |bar| Heard { bar, clean: self.learner.play(bar, speed.ratio()) };
        (bars.from()..=bars.to()).map(play).collect()
    }

    /// Minutes so far; a night goes by where a day is full.
    fn time(&mut self) -> f64 {
        if self.seconds >= (self.day + 1) as f64 * DAY_SECONDS {
            self.day += 1;
            self.learner.sleep();
        }
        self.seconds / 60.0
    }

    fn is_there(&self) -> bool {
        self.learner.whole_song() >= 0.5
    }

    fn now(&self) -> f64 {
        self.day as f64 + 0.5 * (self.seconds / DAY_SECONDS).fract()
    }
}

/// One learner practises in one way.
pub fn practise(model: Model, seed: u64, way: Way) -> Outcome {
    let learner = Learner::new(model, seed, BARS);
    let mut room = Room { learner, seconds: 0.0, day: 0, forecasts: Vec::new() };
    let mut step = steps(way);
    while room.day < DAYS && !room.is_there() {
        step(&mut room);
        room.time();
    }
    let (minutes, reached) = (room.seconds / 60.0, room.is_there());
    Outcome { minutes, reached, forecasts: room.forecasts }
}

fn steps(way: Way) -> Box<dyn FnMut(&mut Room)> {
    match way {
        Way::Coached => {
            let mut coach = Coach::new(BARS, Speed::FULL);
            Box::new(move |room| {
                let day = room.now();
                let advice = coach.next(day).expect("the song has bars");
                let asked = advice.speed == Speed::FULL && advice.why != Why::Hard;
                let chances = if asked { coach.chances(day) } else { Vec::new() };
                let heard = room.play(advice.bars, advice.speed);
                let forecast = |h: &Heard| chances.get(h.bar).map(|c| (c.mean, h.clean));
                room.forecasts.extend(heard.iter().filter_map(forecast));
                coach.heard(&advice, &heard, day);
            })
        }
        Way::FromTheTop => {
            let mut speed = Speed::clamped(60.0);
            Box::new(move |room| {
                let heard = room.play(LoopBars::new(0, BARS - 1), speed);
                // A little faster as soon as two bars in three go well.
                if heard.iter().filter(|h| h.clean).count() * 3 >= 2 * BARS {
                    speed = Speed::clamped((speed.percent() + 5.0).min(100.0));
                }
            })
        }
        Way::EachBar => {
            let mut ladders = vec![Ladder::new(Speed::clamped(60.0), Speed::FULL); BARS];
            let mut passes = 0;
            Box::new(move |room| {
                // Three passes of each, one bar after the other, each up its own ladder.
                let bar = passes / 3 % BARS;
                passes += 1;
                let heard = room.play(LoopBars::new(bar, bar), ladders[bar].speed());
                if ladders[bar].heard(heard[0].clean) == LadderStep::Done {
                    ladders[bar] = Ladder::new(Speed::FULL, Speed::FULL);
                }
            })
        }
    }
}

/// What many learners of a model came to.
pub struct Figures {
    /// Median minutes: coached, from the top, each bar.
    pub minutes: [f64; 3],
    /// The share of learners for whom the coach takes longer than from the top.
    pub worse: f64,
    /// Of learners coached, how many got there.
    pub reached: f64,
}

/// Gives what was forecast as well.
pub fn figures(model: Model, seeds: &[u64]) -> (Figures, Vec<(f64, bool)>) {
    let ways = [Way::Coached, Way::FromTheTop, Way::EachBar];
    let outcomes: Vec<[Outcome; 3]> =
        seeds.iter().map(|seed| ways.map(|way| practise(model, *seed, way))).collect();
    let median = |way: usize| {
        let mut minutes: Vec<f64> = outcomes.iter().map(|o| o[way].minutes).collect();
        minutes.sort_by(f64::total_cmp);
        minutes[minutes.len() / 2]
    };
    let share = |test: fn(&[Outcome; 3]) -> bool| {
        outcomes.iter().filter(|o| test(o)).count() as f64 / outcomes.len() as f64
    };
    let figures = Figures {
        minutes: [median(0), median(1), median(2)],
        worse: share(|o| o[1].reached && o[0].minutes > o[1].minutes),
        reached: share(|o| o[0].reached),
    };
    (figures, outcomes.into_iter().flat_map(|[coached, ..]| coached.forecasts).collect())
}

/// Of the bars forecast within a range, how many there were, what was forecast on the mean and how many were clean.
pub fn calibration(forecasts: &[(f64, bool)], from: f64, to: f64) -> (usize, f64, f64) {
    let within: Vec<&(f64, bool)> = forecasts.iter().filter(|f| (from..to).contains(&f.0)).collect();
    let n = within.len().max(1) as f64;
    let forecast = within.iter().map(|f| f.0).sum::<f64>() / n;
    let clean = within.iter().filter(|f| f.1).count() as f64 / n;
    (within.len(), forecast, clean)
}

/// What is asked of the plan, on a few learners; the bench takes all of them. Power learners practise for weeks and are left
/// to it, and so is the share of learners who would have been there sooner from the top: one in forty.
#[test]
fn the_coach_gets_learners_there_sooner_than_other_ways() {
    for model in [Model::Limit, Model::Wall] {
        let (f, _) = figures(model, &crate::learner::SEEDS[20..25]);
        let [coached, top, each] = f.minutes;
        assert!(coached <= 0.6 * top && coached <= 0.8 * each, "{model:?}: {:?}", f.minutes);
        assert!((f.reached - 1.0).abs() < 1e-9, "{model:?}: {} got there", f.reached);
        assert!(f.worse <= 0.2, "{model:?}: at most one of five is there later than from the top");
    }
}

/// The learner that the model fits and the one that breaks its assumptions; the bench takes all, in narrower ranges.
#[test]
fn forecasts_are_kept_about_as_often_as_they_say() {
    for model in [Model::Limit, Model::Wall] {
        let forecasts = |seed: &u64| practise(model, *seed, Way::Coached).forecasts;
        let forecasts: Vec<(f64, bool)> = crate::learner::SEEDS[30..34].iter().flat_map(forecasts).collect();
        let (bars, forecast, clean) = calibration(&forecasts, 0.75, 0.95);
        assert!(bars > 80, "{model:?}: {bars} bars were forecast around 85 %");
        assert!((clean - forecast).abs() < 0.05, "{model:?}: {clean} clean, {forecast} forecast");
    }
}
