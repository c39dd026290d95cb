//! JSON values of the right type, or a message that says what belongs there.

use super::Reader;
use super::fields::{holds, nearest};
use crate::Spanned;
use crate::json::{self, Array, Object, Text, Value};
use crate::report::quoted;
use std::collections::HashSet;
use std::ops::RangeInclusive;

impl Reader<'_, '_> {
    /// An object whose fields are among the known ones, each once. `what` names it for messages.
    pub(super) fn object<'v, 'a>(
        &mut self,
        value: &'v Value<'a>,
        field: &str,
        known: &[&str],
    ) -> Option<&'v Object<'a>> {
        let Some(object) = value.as_object() else {
            return self.wrong_type(value, field);
        };
        self.known_fields(object, known);
        Some(object)
    }

    pub(super) fn known_fields(&mut self, object: &Object<'_>, known: &[&str]) {
        let mut seen = HashSet::new();
        for property in &object.properties {
            let name = property.name.as_str();
            let span = json::span(&property.name);
            if !seen.insert(name) {
                let what = format!("{} is written twice in one object", quoted(name));
                self.error(span, what, "keep one of them");
            } else if !known.contains(&name) {
                let hint = elsewhere(name, known).unwrap_or_else(|| nearest(name, known.iter().copied()));
                self.error(span, format!("there is no field {} here", quoted(name)), hint);
            }
        }
    }

    /// Complains that a required field is missing.
    pub(super) fn missing(&mut self, object: &Object<'_>, field: &str, what: &str) {
        let start = json::span(object).0;
        self.error(
            (start, start + 1),
            format!("{what} has no {field}"),
            format!("{field} is {}", holds(field)),
        );
    }

    pub(super) fn text<'a>(&mut self, object: &Object<'a>, field: &str) -> Option<Text<'a>> {
        let value = json::get(object, field)?;
        self.as_text(value, field)
    }

    pub(super) fn as_text<'a>(&mut self, value: &Value<'a>, field: &str) -> Option<Text<'a>> {
        match value.as_string_lit() {
            Some(literal) => Some(Text::new(literal, self.text)),
            None => self.wrong_type(value, field),
        }
    }

    pub(super) fn string(&mut self, object: &Object<'_>, field: &str) -> Option<String> {
        self.text(object, field).map(|text| text.value.into_owned())
    }

    pub(super) fn boolean(&mut self, object: &Object<'_>, field: &str) -> Option<bool> {
        let value = json::get(object, field)?;
        match value.as_boolean_lit() {
            Some(literal) => Some(literal.value),
            None => self.wrong_type(value, field),
        }
    }

    pub(super) fn number(&mut self, object: &Object<'_>, field: &str) -> Option<Spanned<f64>> {
        let value = json::get(object, field)?;
        let Some(literal) = value.as_number_lit() else { return self.wrong_type(value, field) };
        match literal.value.parse() {
            Ok(number) => Some(Spanned::new(number, json::span(value))),
            Err(_) => self.wrong_type(value, field),
        }
    }

    /// A whole number in a range.
    pub(super) fn whole(
        &mut self,
        object: &Object<'_>,
        field: &str,
        range: RangeInclusive<u32>,
    ) -> Option<Spanned<u32>> {
        let number = self.number(object, field)?;
        let whole = number.value as u32;
        if f64::from(whole) == number.value && range.contains(&whole) {
            return Some(Spanned::new(whole, number.span));
        }
        let what = if number.value.fract() != 0.0 {
            format!("{field} is a whole number")
        } else if *range.end() == u32::MAX {
            format!("{field} is at least {}", range.start())
        } else {
            format!("{field} is from {} to {}", range.start(), range.end())
        };
        self.error(number.span, what, "");
        None
    }

    pub(super) fn list<'v, 'a>(&mut self, object: &'v Object<'a>, field: &str) -> Option<&'v Array<'a>> {
        let value = json::get(object, field)?;
        match value.as_array() {
            Some(list) => Some(list),
            None => self.wrong_type(value, field),
        }
    }

    pub(super) fn wrong_type<T>(&mut self, value: &Value<'_>, field: &str) -> Option<T> {
        self.error(json::span(value), format!("{field} is {}", holds(field)), "");
        None
    }
}

/// A field that exists, though not here.
fn elsewhere(name: &str, known: &[&str]) -> Option<String> {
    let right = known.contains(&"notes");
    let hint = match name {
        "shape" if right => "shape is for the left hand; the right hand has notes and tones",
        "notes" if known.contains(&"shape") => {
            "notes is for the right hand; the left hand has shape and tones"
        }
        "key" | "tempo" | "meter" | "count" | "feel" | "level" | "bass" | "pedal"
            if known.contains(&"replaces") =>
        {
            "an exception has no such field; give the section its own, or make a section of it"
        }
        _ => return None,
    };
    Some(hint.to_string())
}
