//! Goals: what is to go well, how fast, and by when. They stand in the song file, for whoever plays it.

use super::field::{Field as Line, wrong};
use super::head::nothing;
use super::line::{Offer, change, label, offers};
use crate::stage::Stage;
use crate::{Writing, fonts, pages};
use egui::Ui;
use song::edit::{Change, Place};
use song::{Choice, Day, Goal, Selector};

/// Draws the topic.
pub(crate) fn show(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing) {
    let goals = &writing.song.goals;
    if goals.is_empty() {
        nothing(ui, stage, "No goal is set. Choose bars, a section or the song, and set one.");
    }
    for (at, goal) in goals.iter().enumerate() {
        one(ui, stage, writing, at, &goal.value);
    }
    let fresh = of_chosen(stage, writing);
    let text = format!("a goal for {}", about(writing, &fresh));
    let command = change(vec![Change::Goal { at: goals.len(), goal: Some(fresh) }]);
    ui.add_space(stage.px(8.0));
    offers(ui, stage, "", vec![Offer::deed(text.clone(), format!("Set {text}"), command)]);
}

/// A goal at the chart's tempo for what is chosen.
fn of_chosen(stage: &Stage<'_>, writing: &Writing) -> Goal {
    let chosen = stage.model.view.writing.chosen;
    let bars = chosen.bars().map(|bars| match bars.end - bars.start {
        1 => Choice::One(bars.start + 1),
        _ => Choice::Range(bars.start + 1, bars.end),
    });
    let section = chosen.section().filter(|section| *section < writing.song.sections.len());
    Goal {
        bars: bars.filter(|_| section.is_some()).map(|bars| Selector { parts: vec![bars] }),
        section,
        speed: Goal::FULL_SPEED,
        day: None,
        note: None,
    }
}

/// `Chorus, bars 2-3`.
pub(crate) fn about(writing: &Writing, goal: &Goal) -> String {
    let Some(section) = goal.section else { return "the whole song".into() };
    let name = super::state::place_in_words(writing, Place::Section(section));
    let Some(bars) = &goal.bars else { return name };
    let parts: Vec<String> = bars.parts.iter().map(ToString::to_string).collect();
    let one = matches!(bars.parts[..], [Choice::One(_) | Choice::Last]);
    format!("{name}, {} {}", if one { "bar" } else { "bars" }, parts.join(", ").replace('-', "–"))
}

fn one(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing, at: usize, goal: &Goal) {
    let of = about(writing, goal);
    let number = at + 1;
    ui.add_space(stage.px(6.0));
    pages::say(ui, &crate::reasons::capital(&of), fonts::bold(stage.px(16.0)), stage.palette.ink);
    let set = |goal: Option<Goal>| change(vec![Change::Goal { at, goal }]);
    label(ui, stage, "speed, in percent of the tempo");
    let name = format!("Speed of goal {number}");
    let typed = Line::line(&name, &goal.speed.to_string(), "100").wide(90.0).done(ui, stage);
    let speed = typed.map(|typed| speed(&typed).map(|speed| Goal { speed, ..goal.clone() }));
    take(ui, stage, &name, speed, &set);
    label(ui, stage, "by the day");
    let name = format!("Day of goal {number}");
    let day_text = goal.day.map(|day| day.to_string()).unwrap_or_default();
    let typed = Line::line(&name, &day_text, "e.g. 2026-12-04").wide(150.0).done(ui, stage);
    let day = typed.map(|typed| day(&typed).map(|day| Goal { day, ..goal.clone() }));
    take(ui, stage, &name, day, &set);
    label(ui, stage, "in your words");
    let name = format!("Words to goal {number}");
    let text = goal.note.clone().unwrap_or_default();
    if let Some(typed) = Line::line(&name, &text, "e.g. so that it carries the singer").done(ui, stage) {
        let note = (!typed.trim().is_empty()).then_some(typed);
        stage.out.push(set(Some(Goal { note, ..goal.clone() })));
    }
    let away = Offer::deed("take it away", format!("Take goal {number} away"), set(None));
    offers(ui, stage, "", vec![away]);
}

fn speed(typed: &str) -> Result<u8, String> {
    let range = song::limits::GOAL_SPEED;
    let speed = typed.trim().trim_end_matches('%').trim().parse().ok().filter(|speed| range.contains(speed));
    speed.ok_or_else(|| format!("A speed is from {} to {} percent.", range.start(), range.end()))
}

fn day(typed: &str) -> Result<Option<Day>, String> {
    match typed.trim() {
        "" => Ok(None),
        text => Day::parse(text).map(Some).ok_or_else(|| "Write year, month and day: 2026-12-04.".to_owned()),
    }
}

fn take(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    id: &str,
    read: Option<Result<Goal, String>>,
    set: &impl Fn(Option<Goal>) -> crate::Command,
) {
    let asked = read.is_some();
    let error = match read {
        Some(Ok(goal)) => {
            stage.out.push(set(Some(goal)));
            None
        }
        Some(Err(error)) => Some(error),
        None => None,
    };
    wrong(ui, stage, id, error, asked);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_speed_and_a_day_are_read_as_people_write_them() {
        assert_eq!((speed("90"), speed(" 85 % ")), (Ok(90), Ok(85)));
        assert!(speed("20").is_err() && speed("fast").is_err());
        assert_eq!(day(""), Ok(None));
        assert_eq!(day("2026-12-04"), Ok(Day::new(2026, 12, 4)));
        assert!(day("4 December").unwrap_err().contains("2026-12-04"));
    }
}
