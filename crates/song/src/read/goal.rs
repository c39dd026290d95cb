//! Goals, and the sections and bars they name.

use super::links::Names;
use super::{Reader, fields};
use crate::json::{self, Object, Value};
use crate::report::quoted;
use crate::{Day, Goal, Section, Spanned, limits};

impl Reader<'_, '_> {
    /// All goals, each with the place of its bars, or else its own.
    pub(super) fn goals(&mut self, song: &Object<'_>, sections: &[Section]) -> Vec<Spanned<Goal>> {
        let Some(list) = self.list(song, "goals") else { return Vec::new() };
        if list.elements.len() > limits::GOALS {
            let place = json::span(&list.elements[limits::GOALS]);
            let what = format!("a song has at most {} goals", limits::GOALS);
            self.error(place, what, "take away those that are past");
        }
        let names = Names::new(sections);
        let goals = list.elements.iter().take(limits::GOALS);
        goals.filter_map(|value| self.goal(value, &names)).collect()
    }

    fn goal(&mut self, value: &Value<'_>, names: &Names<'_>) -> Option<Spanned<Goal>> {
        let Some(object) = value.as_object() else {
            let what = "a goal is an object, e.g. { \"section\": \"Chorus\", \"speed\": 90, \"day\": \"2026-12-04\" }";
            self.error(json::span(value), what, "");
            return None;
        };
        self.known_fields(object, fields::GOAL);
        let named = self.text(object, "section");
        let section = named.as_ref().and_then(|name| names.find(&name.value));
        if let (Some(name), None) = (&named, section) {
            self.no_section(&name.value, name.span, names);
        }
        let bars = self.selector(object, "bar").ok()?;
        if let (Some(bars), false) = (&bars, json::get(object, "section").is_some()) {
            let what = "the bars of a goal are those of a section";
            self.error(bars.span, what, "add \"section\", e.g. \"section\": \"Chorus\"");
            return None;
        }
        // With a wrong section it would mean the whole song.
        let known = section.is_some() || json::get(object, "section").is_none();
        let goal = Goal {
            section,
            speed: self
                .small(object, "speed", limits::GOAL_SPEED)
                .map_or(Goal::FULL_SPEED, |speed| speed.value),
            day: self.day(object),
            note: self.string(object, "note"),
            bars: bars.as_ref().map(|bars| bars.value.clone()),
        };
        let span = bars.map_or(json::span(object), |bars| bars.span);
        known.then(|| Spanned::new(goal, span))
    }

    fn day(&mut self, goal: &Object<'_>) -> Option<Day> {
        let text = self.text(goal, "day")?;
        let day = Day::parse(&text.value);
        if day.is_none() {
            let what = format!("{} is no day", quoted(&text.value));
            self.error_in(&text, (0, text.value.len()), what, "write year, month and day: \"2026-12-04\"");
        }
        day
    }
}
