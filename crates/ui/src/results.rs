//! How it went, in words: how many of how many, lead or lag, unsteadiness, and the bars to work on.

use crate::pages::{heading, say};
use crate::plain::Word;
use crate::reasons::sentence;
use crate::stage::Stage;
use crate::{Command, Page, bar_names, fonts, laps, whole_lines};
use egui::{Rect, Ui, UiBuilder, pos2, vec2};
use practice::{
    BarScore, ExtraKind, Hands, Lap, LoopBars, Remark, Score, Speed, Timeline, judge_pedal, remarks,
};

/// So many stretches are offered at most.
const OFFERED: usize = 6;

/// Draws the column of words.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let Some(lap) = stage.lap() else {
        ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
            say(ui, "Nothing was played along yet.", fonts::serif(stage.px(22.0)), stage.palette.ink);
            let text = "Choose Play along, start, and come back here. Earlier takes: F7.";
            say(ui, text, fonts::sans(stage.px(16.0)), stage.palette.quiet);
        });
        return;
    };
    let score = &*lap.score;
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        ui.spacing_mut().item_spacing = vec2(0.0, stage.px(5.0));
        whole_lines::column(ui, stage, "results", |ui, stage| {
            let count = format!("{} of {} notes", score.matched, score.expected);
            say(ui, &count, fonts::serif(stage.px(27.0)), stage.palette.ink);
            say(ui, &what(stage, lap), fonts::sans(stage.px(14.5)), stage.palette.quiet);
            laps::show(ui, stage);
            for text in words(score) {
                say(ui, &text, fonts::sans(stage.px(16.0)), stage.palette.ink);
            }
            hear(ui, stage);
            pedal(ui, stage, lap);
            work(ui, stage, lap);
        });
    });
}

/// What the result is of: `Lift, bars 1–2, right hand, at 60 %`; the song and its key where the page shows another.
pub(crate) fn what(stage: &Stage<'_>, lap: &Lap) -> String {
    let (part, take) = (&lap.part, &lap.take);
    let mut said = Vec::new();
    said.extend(stage.model.take.map(str::to_owned));
    let shown = stage.model.part;
    if shown.is_none_or(|shown| shown.title != part.title) {
        said.push(part.title.clone());
    }
    if shown.is_none_or(|shown| shown.key != part.key) {
        said.push(format!("in {}", part.key.pretty()));
    }
    said.push(bar_names::place_name(part, take.bars));
    said.push(match take.hands {
        Hands::Both => "both hands".into(),
        one => format!("{} hand", one.name()),
    });
    said.push(format!("at {:.0} %", take.speed.percent()));
    said.extend(take.until.map(|_| "stopped before the end".into()));
    crate::reasons::capital(&said.join(", "))
}

/// The pass can be heard again.
fn hear(ui: &mut Ui, stage: &mut Stage<'_>) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(28.0)));
    let mut at = pos2(rect.left(), rect.top() + stage.px(20.0));
    let offers = if stage.model.replay.is_some() {
        vec![("stop", "Stop what is heard", Command::StopReplay)]
    } else {
        let hear = |with_part| Command::Hear { with_part };
        vec![
            ("hear it", "Hear it again", hear(false)),
            ("with the part", "Hear it again with the part", hear(true)),
        ]
    };
    let takes = ("all takes", "Takes that are kept (F7)", Command::Show(Page::Takes));
    for (text, name, command) in offers.into_iter().chain([takes]) {
        let word = Word::new(text, stage.px(16.0)).named(name);
        at.x = stage.offering(ui, at, &word, command).rect.right() + stage.px(16.0);
    }
}

/// How the pedal was used, bar by bar, where that is asked for.
fn pedal(ui: &mut Ui, stage: &Stage<'_>, lap: &Lap) {
    if !stage.model.session.settings.pedal {
        return;
    }
    heading(ui, stage, "Pedal");
    let timeline = Timeline::new(&lap.part);
    let judged = judge_pedal(&lap.part, &timeline, &lap.take, &lap.score);
    let (font, ink) = (fonts::sans(stage.px(15.5)), stage.palette.ink);
    if lap.take.controls.is_empty() {
        say(ui, "No pedal was used in this take.", font, ink);
        return;
    }
    if let Some(remark) = judged.remark() {
        say(ui, &sentence(remark), font.clone(), ink);
    }
    let mut told = 0;
    for bar in lap.score.bars.iter().map(|bar| bar.bar) {
        if let Some(words) = judged.words(bar) {
            let name = bar_names::stretch(&lap.part, LoopBars::new(bar, bar));
            say(ui, &sentence(&format!("{name}: {words}")), font.clone(), ink);
            told += 1;
        }
    }
    if told == 0 {
        say(ui, "Changed with every chord, in time.", font, ink);
    }
}

/// The score in sentences; what is said of chords and of time is worded by the practice crate.
pub(crate) fn words(score: &Score) -> Vec<String> {
    let said = remarks(score);
    let of = |test: fn(&Remark) -> bool| said.iter().copied().filter(test).map(|r| sentence(&r.text()));
    let mut words = Vec::new();
    let in_time = score.notes.iter().filter(|n| n.in_time).count();
    if score.matched > 0 {
        words.push(format!("{in_time} of them in time."));
    }
    words.extend(of(|r| matches!(r, Remark::OtherPosition(_) | Remark::NotTogether(_))));
    let wrong = score.extras.iter().filter(|extra| extra.kind == ExtraKind::Wrong).count();
    match wrong {
        _ if score.steady_shift.is_some() => {}
        0 => {}
        1 => words.push("1 key not in the part.".into()),
        wrong => words.push(format!("{wrong} keys not in the part.")),
    }
    words.extend(of(|r| r.is_of_time()));
    words
}

fn work(ui: &mut Ui, stage: &mut Stage<'_>, lap: &Lap) {
    let score = &*lap.score;
    // All of it lies beside the beat: no bar is worse than another.
    if score.steady_shift.is_some() {
        return;
    }
    let stretches = to_work_on(score);
    if stretches.is_empty() {
        heading(ui, stage, "Nothing to work on here");
        let clean = score.bars.iter().all(|bar| bar.clean);
        let text = if clean { "Every bar was clean." } else { "Every bar was clean for time." };
        say(ui, text, fonts::sans(stage.px(16.0)), stage.palette.ink);
        return;
    }
    let speed = slower(score.speed);
    heading(ui, stage, &format!("Bars to work on, at {:.0} %", speed.percent()));
    for stretch in stretches.iter().take(OFFERED) {
        offer(ui, stage, lap, stretch, speed);
    }
    let caution = "Rest a few minutes in every half hour; stop at pain or tingling.";
    ui.add_space(stage.px(8.0));
    say(ui, caution, fonts::sans(stage.px(13.5)), stage.palette.quiet);
}

/// A step slower than it was played, in fives.
fn slower(speed: Speed) -> Speed {
    Speed::clamped((speed.percent() * 0.8 / 5.0).round() * 5.0)
}

/// Bars that belong together because they follow one another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Stretch {
    /// First and last bar.
    pub bars: (usize, usize),
    /// Notes missed, early, late or wrong in them, roughly: missed plus extra, at least one.
    pub faults: usize,
}

/// The stretches with most to do, the worst first. A right chord in another inversion or octave is nothing to work on.
pub(crate) fn to_work_on(score: &Score) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    for bar in score.bars.iter().filter(|bar| !bar.clean_in_time && bar.expected > 0) {
        match stretches.last_mut() {
            Some(last) if last.bars.1 + 1 == bar.bar && bar.bar - last.bars.0 < 4 => grow(last, bar),
            _ => {
                let mut stretch = Stretch { bars: (bar.bar, bar.bar), faults: 0 };
                grow(&mut stretch, bar);
                stretches.push(stretch);
            }
        }
    }
    stretches.sort_by_key(|s| std::cmp::Reverse(s.faults));
    stretches
}

fn grow(stretch: &mut Stretch, bar: &BarScore) {
    stretch.bars.1 = bar.bar;
    stretch.faults += (bar.expected - bar.matched + bar.extra).max(1);
}

/// How these bars went, in the fewest words: the count, or where that is full, what else was amiss.
pub(crate) fn how(score: &Score, (first, last): (usize, usize)) -> String {
    let within = |bar: usize| (first..=last).contains(&bar);
    let sum = |of: fn(&BarScore) -> usize| score.bars.iter().filter(|b| within(b.bar)).map(of).sum::<usize>();
    let (matched, expected) = (sum(|b| b.matched), sum(|b| b.expected));
    if matched < expected {
        return format!("{matched} of {expected}");
    }
    if sum(|b| b.extra) > 0 {
        return "wrong keys too".into();
    }
    let off = score.notes.iter().filter(|n| within(n.bar) && !n.in_time).filter_map(|n| n.error);
    let (late, early): (Vec<_>, Vec<_>) = off.partition(|error| error.ms() > 0.0);
    match (late.is_empty(), early.is_empty()) {
        (false, true) => "late",
        (true, false) => "early",
        (false, false) => "early and late",
        (true, true) => "not together",
    }
    .into()
}

fn offer(ui: &mut Ui, stage: &mut Stage<'_>, lap: &Lap, stretch: &Stretch, speed: Speed) {
    let bars = LoopBars::new(stretch.bars.0, stretch.bars.1);
    let text = bar_names::stretch(&lap.part, bars);
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(29.0)));
    let at = pos2(rect.left(), rect.top() + stage.px(20.0));
    let score = how(&lap.score, stretch.bars);
    let end = pos2(rect.right() - stage.px(10.0), at.y);
    let beside = crate::plain::width(ui.painter(), &score, &fonts::sans(stage.px(15.0)));
    let room = rect.width() - beside - stage.px(30.0);
    let text = crate::plain::elided(ui.painter(), &text, &fonts::sans(stage.px(16.5)), room);
    let name = format!("Loop {text} at {:.0} percent", speed.percent());
    let word = Word::new(&text, stage.px(16.5)).named(&name).strong();
    // Bars of another song than the one on the page cannot be gone to.
    if stage.lap_of_page().is_some() {
        stage.offering(ui, at, &word, Command::Practise { bars, speed });
    } else {
        stage.text(ui, at, &text, 16.5, stage.palette.ink);
    }
    crate::plain::baseline_right(ui.painter(), end, &score, fonts::sans(stage.px(15.0)), stage.palette.quiet);
}
