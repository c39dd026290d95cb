//! How a hand plays, as one level says it.

use super::{Reader, fields};
use crate::chart::byte_of;
use crate::figure::words;
use crate::json::{self, Object, Text};
use crate::limits;
use crate::report::quoted;
use crate::{ChordShape, Figure, HandSettings, LeftShape, Restart, Span, Spanned, Tones};
use std::collections::HashMap;
use theory::{Member, NumberChord, Pitch};

impl Reader<'_, '_> {
    pub(super) fn right(&mut self, parent: &Object<'_>) -> HandSettings {
        let Some(hand) = self.hand_object(parent, "right", fields::RIGHT) else {
            return HandSettings::default();
        };
        HandSettings { notes: self.small(hand, "notes", limits::NOTES), ..self.hand(hand) }
    }

    pub(super) fn left(&mut self, parent: &Object<'_>) -> HandSettings {
        let Some(hand) = self.hand_object(parent, "left", fields::LEFT) else {
            return HandSettings::default();
        };
        HandSettings { shape: self.shape(hand), ..self.hand(hand) }
    }

    fn hand_object<'v, 'a>(
        &mut self,
        parent: &'v Object<'a>,
        field: &str,
        known: &[&str],
    ) -> Option<&'v Object<'a>> {
        let value = json::get(parent, field)?;
        self.object(value, field, known)
    }

    /// What both hands may say.
    fn hand(&mut self, hand: &Object<'_>) -> HandSettings {
        HandSettings {
            notes: None,
            shape: None,
            tones: self.text(hand, "tones").and_then(|text| self.tones(&text)),
            shapes: self.shapes(hand),
            near: self.near(hand),
            figure: self.figure(hand),
            restart: self.choice(hand, "restart", &[("bar", Restart::Bar), ("chord", Restart::Chord)]),
        }
    }

    fn shape(&mut self, hand: &Object<'_>) -> Option<Spanned<LeftShape>> {
        let text = self.text(hand, "shape")?;
        let written: Vec<&str> = text.value.split_whitespace().collect();
        let written = written.join(" ");
        let shape = LeftShape::ALL.into_iter().find(|shape| shape.name() == written);
        if shape.is_none() {
            let what = format!("there is no left-hand shape {}", quoted(&text.value));
            let hint = fields::nearest(&written, LeftShape::ALL.iter().map(|shape| shape.name()));
            self.error_in(&text, (0, text.value.len()), what, hint);
        }
        shape.map(|shape| Spanned::new(shape, text.span))
    }

    fn tones(&mut self, text: &Text<'_>) -> Option<Spanned<Tones>> {
        let mut members = Vec::new();
        let mut places: Vec<Span> = Vec::new();
        for (at, word) in words(&text.value).take(limits::TONES + 1) {
            let span = (at, at + word.len());
            members.push(self.member(text, word, span)?);
            places.push(span);
        }
        if members.is_empty() {
            let what = "these tones are empty";
            self.error_in(text, (0, text.value.len()), what, "write members from the lowest up: \"3 5 1\"");
            return None;
        }
        if members.len() > limits::TONES {
            let what = format!("a hand has {} fingers, and here are more tones", limits::TONES);
            self.error_in(text, places[limits::TONES], what, "leave some out");
            return None;
        }
        self.twice(text, &members, &places)?;
        Some(Spanned::new(Tones(members), text.span))
    }

    fn member(&mut self, text: &Text<'_>, word: &str, span: Span) -> Option<Member> {
        let member = word.parse().ok().filter(|_| !word.starts_with('+')).and_then(Member::new);
        if member.is_none() {
            let what = format!("{} is no member of a chord", quoted(word));
            self.error_in(
                text,
                span,
                what,
                "write 1 3 5 6 7 9 11 13, or 2 and 4 in suspended and added chords",
            );
        }
        member
    }

    /// A member twice is a mistake, but for the octave `1 1`.
    fn twice(&mut self, text: &Text<'_>, members: &[Member], places: &[Span]) -> Option<()> {
        let octave = members.len() == 2 && members.iter().all(|member| member.number() == 1);
        let again = (1..members.len()).find(|i| members[..*i].contains(&members[*i]));
        let Some(again) = again.filter(|_| !octave) else { return Some(()) };
        let what = format!("{} is in these tones twice", members[again].number());
        self.error_in(text, places[again], what, "name each member once; only \"1 1\" is an octave");
        None
    }

    fn shapes(&mut self, hand: &Object<'_>) -> Vec<ChordShape> {
        let Some(value) = json::get(hand, "shapes") else { return Vec::new() };
        let Some(object) = value.as_object() else {
            self.wrong_type::<()>(value, "shapes");
            return Vec::new();
        };
        let mut seen: HashMap<NumberChord, String> = HashMap::new();
        let mut shapes = Vec::new();
        for property in &object.properties {
            let key_span = json::span(&property.name);
            let tones = self.as_text(&property.value, "tones").and_then(|text| self.tones(&text));
            let name = property.name.as_str();
            let Some(chord) = self.shape_key(&property.name, name) else { continue };
            if let Some(other) = seen.insert(chord, name.to_string()) {
                let what = format!("{} and {} are the same chord", quoted(&other), quoted(name));
                self.error(key_span, what, "keep one of them");
            } else if let Some(tones) = tones {
                shapes.push(ChordShape { chord, key_span, tones });
            }
        }
        shapes
    }

    fn shape_key(
        &mut self,
        property: &jsonc_parser::ast::ObjectPropName<'_>,
        name: &str,
    ) -> Option<NumberChord> {
        let error = match name.trim().parse() {
            Ok(chord) => return Some(chord),
            Err(e) => e as theory::ParseChordError,
        };
        let message = format!("{} is no chord: {}", quoted(name), error.message);
        match property {
            jsonc_parser::ast::ObjectPropName::String(literal) => {
                let text = Text::new(literal, self.text);
                let (from, to) = (byte_of(name, error.at), byte_of(name, error.at + error.length.max(1)));
                self.error_in(&text, (from, to), message, "");
            }
            jsonc_parser::ast::ObjectPropName::Word(_) => self.error(json::span(property), message, ""),
        }
        None
    }

    fn near(&mut self, hand: &Object<'_>) -> Option<Spanned<Pitch>> {
        let text = self.text(hand, "near")?;
        let pitch = text.value.trim().parse::<Pitch>().ok().filter(|pitch| pitch.key().is_some());
        if pitch.is_none() {
            let what = format!("{} is no note of a keyboard", quoted(&text.value));
            let hint = "write letter, # or b, and octave; middle C is C4, e.g. \"A4\"";
            self.error_in(&text, (0, text.value.len()), what, hint);
        }
        pitch.map(|pitch| Spanned::new(pitch, text.span))
    }

    fn figure(&mut self, hand: &Object<'_>) -> Option<Spanned<std::sync::Arc<Figure>>> {
        let text = self.text(hand, "figure")?;
        match Figure::parse(&text.value) {
            Ok(figure) => Some(Spanned::new(figure.into(), text.span)),
            Err(e) => {
                self.error_in(&text, e.span, e.message, e.hint);
                None
            }
        }
    }
}
