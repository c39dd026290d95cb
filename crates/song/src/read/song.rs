//! The top of the file.

use super::{Reader, fields};
use crate::json::{self, Object, Value};
use crate::limits;
use crate::report::quoted;
use crate::{Section, Song, Span, Spanned};
use theory::{Key, Letter, Mode, NoteName};

impl Reader<'_, '_> {
    pub(super) fn song(&mut self, value: &Value<'_>) -> Option<Song> {
        let Some(object) = value.as_object() else {
            let hint = "write { \"format\": 1, \"title\": … }";
            self.error(json::span(value), "a song is an object", hint);
            return None;
        };
        self.known_fields(object, fields::SONG);
        self.format(object);
        for field in ["title", "key", "tempo", "sections"] {
            if json::get(object, field).is_none() {
                self.missing(object, field, "the song");
            }
        }
        let (sections, links) = self.sections(object);
        let mut song = Song {
            id: self.string(object, "id"),
            title: self.string(object, "title").unwrap_or_default(),
            note: self.string(object, "note"),
            key: self.song_key(object),
            count_in: self.small(object, "count_in", limits::COUNT_IN).map(|bars| bars.value),
            plays: self.settings(object),
            sections,
            order: None,
            goals: Vec::new(),
        };
        self.link(&mut song, &links);
        song.order = self.order(object, &song.sections);
        song.goals = self.goals(object, &song.sections);
        Some(song)
    }

    fn format(&mut self, object: &Object<'_>) {
        if json::get(object, "format").is_none() {
            return self.missing(object, "format", "the song");
        }
        let Some(format) = self.number(object, "format") else { return };
        if format.value != f64::from(limits::FORMAT) {
            let what = format!("this program reads format {} and not {}", limits::FORMAT, format.value);
            self.error(format.span, what, "write \"format\": 1, or get a newer program");
        }
    }

    /// The key of the song; C major stands in for one that cannot be read, so that reading can go on.
    fn song_key(&mut self, object: &Object<'_>) -> Key {
        let stand_in =
            || Key::new(NoteName::new(Letter::C, 0), Mode::Major).expect("C major has a key signature");
        let Some(text) = self.text(object, "key") else { return stand_in() };
        text.value.parse().unwrap_or_else(|e: theory::ParseKeyError| {
            self.error_in(&text, (0, text.value.len()), e.message, "");
            stand_in()
        })
    }

    /// The order as indices; names that no section has are reported and left out.
    fn order(&mut self, object: &Object<'_>, sections: &[Section]) -> Option<Vec<Spanned<usize>>> {
        let list = self.list(object, "order")?;
        let names = super::links::Names::new(sections);
        let mut order = Vec::new();
        for element in &list.elements {
            let Some(text) = self.as_text(element, "order") else { continue };
            match names.find(&text.value) {
                Some(index) => order.push(Spanned::new(index, text.span)),
                None => self.no_section(&text.value, text.span, &names),
            }
        }
        if list.elements.is_empty() {
            self.error(
                json::span(list),
                "the order is empty",
                "name sections, or leave order out to play each once",
            );
            return None;
        }
        Some(order)
    }

    pub(super) fn no_section(&mut self, name: &str, span: Span, names: &super::links::Names<'_>) {
        let hint = fields::nearest(name, names.all());
        self.error(span, format!("there is no section {}", quoted(name)), hint);
    }
}
