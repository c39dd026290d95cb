//! Exceptions and the passes and bars they select.

use super::{Reader, fields};
use crate::json::{self, Object, Text, Value};
use crate::report::quoted;
use crate::{Choice, Exception, PutIn, Selector, Span, Spanned};

impl Reader<'_, '_> {
    pub(super) fn exceptions(&mut self, section: &Object<'_>) -> Vec<Exception> {
        let Some(list) = self.list(section, "except") else { return Vec::new() };
        list.elements.iter().filter_map(|element| self.exception(element)).collect()
    }

    fn exception(&mut self, value: &Value<'_>) -> Option<Exception> {
        let Some(object) = value.as_object() else {
            let what = "an exception is an object, e.g. { \"pass\": \"last\", \"bar\": 4, \"bars\": \"6\" }";
            self.error(json::span(value), what, "");
            return None;
        };
        self.known_fields(object, fields::EXCEPTION);
        let pass = self.selector(object, "pass");
        let bar = self.selector(object, "bar");
        if json::get(object, "bar").is_none() {
            self.missing(object, "bar", "this exception");
        }
        let exception = Exception {
            span: json::span(object),
            pass: pass.clone().ok().flatten(),
            pass_places: places(object, "pass"),
            bar_places: places(object, "bar"),
            bar: bar
                .clone()
                .ok()
                .flatten()
                .unwrap_or(Spanned::new(Selector { parts: vec![] }, json::span(object))),
            beat: self.small(object, "beat", 1..=32),
            bars: self.put_in(object),
            right: self.right(object),
            left: self.left(object),
            note: self.string(object, "note"),
            cue: self.string(object, "cue"),
        };
        // Without its bars an exception means nothing; with a wrong pass it would mean every pass.
        (matches!(bar, Ok(Some(_))) && pass.is_ok()).then_some(exception)
    }

    fn put_in(&mut self, object: &Object<'_>) -> Option<PutIn> {
        let replaces = self.whole(object, "replaces", 0..=u32::MAX);
        let Some(value) = json::get(object, "bars") else {
            if let Some(replaces) = replaces {
                let what = "replaces counts the bars that give way, and no bars are put in";
                self.error(replaces.span, what, "add \"bars\", e.g. \"bars\": \"6\"");
            }
            return None;
        };
        let rows = match value {
            Value::StringLit(literal) => vec![self.line(&Text::new(literal, self.text))],
            Value::Array(list) => self.lines(&list.elements),
            _ => {
                let what = "the bars of an exception are a text, e.g. \"6 | 4\", or a list of lines";
                self.error(json::span(value), what, "");
                return None;
            }
        };
        if rows.is_empty() && replaces.is_none_or(|n| n.value == 0) {
            let what = "no bars are put in and none give way";
            self.error(json::span(value), what, "say with replaces how many bars are left out");
        }
        Some(PutIn { rows, replaces, span: json::span(value) })
    }

    /// `Ok(None)` if the field is not there, `Err` if it cannot be read.
    pub(super) fn selector(
        &mut self,
        object: &Object<'_>,
        field: &str,
    ) -> Result<Option<Spanned<Selector>>, ()> {
        let Some(value) = json::get(object, field) else { return Ok(None) };
        let parts = match value {
            Value::Array(list) if list.elements.is_empty() => {
                self.error(json::span(value), format!("this list of {} is empty", many(field)), "");
                return Err(());
            }
            Value::Array(list) => list.elements.iter().map(|part| self.choice_part(part, field)).collect(),
            single => self.choice_part(single, field).map(|part| vec![part]),
        };
        let parts: Option<Vec<Choice>> = parts;
        parts.map(|parts| Some(Spanned::new(Selector { parts }, json::span(value)))).ok_or(())
    }

    fn choice_part(&mut self, value: &Value<'_>, field: &str) -> Option<Choice> {
        match value {
            Value::NumberLit(literal) => {
                let number = literal.value.parse::<f64>().ok().filter(|n| n.fract() == 0.0 && *n >= 1.0);
                let number = number.filter(|n| *n <= f64::from(u32::MAX)).map(|n| Choice::One(n as u32));
                if number.is_none() {
                    self.error(json::span(value), format!("{} are counted 1, 2, 3", many(field)), "");
                }
                number
            }
            Value::StringLit(literal) => self.choice_text(&Text::new(literal, self.text), field),
            _ => self.wrong_type(value, field),
        }
    }

    fn choice_text(&mut self, text: &Text<'_>, field: &str) -> Option<Choice> {
        let written = text.value.trim();
        if written == "last" {
            return Some(Choice::Last);
        }
        let ends: Option<Vec<u32>> = written.split('-').map(|end| whole_number(end.trim())).collect();
        match ends.as_deref() {
            Some([one]) => return Some(Choice::One(*one)),
            Some([from, to]) if from <= to => return Some(Choice::Range(*from, *to)),
            Some([from, to]) => {
                let what = format!("the range {from}-{to} runs backwards");
                self.error_in(text, (0, text.value.len()), what, format!("write \"{to}-{from}\""));
            }
            _ => {
                let what = format!("{} does not say which {}", quoted(&text.value), many(field));
                let hint = format!("{field} is {}", fields::holds(field));
                self.error_in(text, (0, text.value.len()), what, hint);
            }
        }
        None
    }
}

/// Where the parts of a selector stand.
fn places(object: &Object<'_>, field: &str) -> Vec<Span> {
    match json::get(object, field) {
        Some(Value::Array(list)) => list.elements.iter().map(json::span).collect(),
        Some(single) => vec![json::span(single)],
        None => Vec::new(),
    }
}

fn many(field: &str) -> &'static str {
    if field == "pass" { "passes" } else { "bars" }
}

fn whole_number(text: &str) -> Option<u32> {
    let digits = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    text.parse().ok().filter(|n| digits && *n >= 1)
}
