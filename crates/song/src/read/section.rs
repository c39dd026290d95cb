//! Sections and their lines of bars.

use super::links::Link;
use super::{Reader, fields};
use crate::chart::parse_line;
use crate::json::{self, Object, Text, Value};
use crate::limits;
use crate::report::quoted;
use crate::{ChartBar, Row, Section, Span};
use std::collections::HashSet;

impl Reader<'_, '_> {
    /// All sections, and their `like` links by name.
    pub(super) fn sections(&mut self, song: &Object<'_>) -> (Vec<Section>, Vec<Link>) {
        let (mut sections, mut links) = (Vec::new(), Vec::new());
        let Some(list) = self.list(song, "sections") else { return (sections, links) };
        if list.elements.is_empty() {
            self.error(
                json::span(list),
                "the song has no sections",
                format!("sections is {}", fields::holds("sections")),
            );
        }
        let mut names = HashSet::new();
        for element in &list.elements {
            let Some(object) = element.as_object() else {
                let what = "a section is an object, e.g. { \"name\": \"Verse\", \"bars\": [\"1 | 4\"] }";
                self.error(json::span(element), what, "");
                continue;
            };
            self.known_fields(object, fields::SECTION);
            let section = self.section(object, sections.len(), &mut links);
            self.unique(object, &section, &mut names);
            sections.push(section);
        }
        (sections, links)
    }

    fn section(&mut self, object: &Object<'_>, index: usize, links: &mut Vec<Link>) -> Section {
        let like = self.text(object, "like");
        let rows = self.section_bars(object, like.as_ref());
        if let Some(like) = like {
            links.push(Link { section: index, name: like.value.into_owned(), span: like.span });
        }
        Section {
            name: self.string(object, "name").unwrap_or_default(),
            span: json::span(object),
            note: self.string(object, "note"),
            cue: self.string(object, "cue"),
            like: None,
            rows,
            passes: self.whole(object, "passes", limits::PASSES).map(|passes| passes.value),
            exceptions: self.exceptions(object),
            key: self.section_key(object),
            plays: self.settings(object),
        }
    }

    fn unique(&mut self, object: &Object<'_>, section: &Section, names: &mut HashSet<String>) {
        let Some(value) = json::get(object, "name") else {
            return self.missing(object, "name", "this section");
        };
        let span = json::span(value);
        if value.as_string_lit().is_some() && section.name.trim().is_empty() {
            self.error(span, "this section's name is empty", "give it a name to be called by in the order");
        } else if !names.insert(section.name.clone()) {
            let what = format!("there are two sections {}", quoted(&section.name));
            self.error(span, what, "give each its own name; to play one again, name it again in the order");
        }
    }

    fn section_bars(&mut self, object: &Object<'_>, like: Option<&Text<'_>>) -> Vec<Row> {
        let bars = json::get(object, "bars");
        match (bars, like) {
            (None, None) if json::get(object, "like").is_none() => {
                let start = json::span(object).0;
                let what = "this section has neither bars nor like";
                self.error((start, start + 1), what, format!("bars is {}", fields::holds("bars")));
                Vec::new()
            }
            (None, _) => Vec::new(),
            (Some(bars), Some(like)) => {
                let what = format!("this section has bars and is like {} as well", quoted(&like.value));
                self.error(like.span, what, "take one of them away");
                self.rows(bars);
                Vec::new()
            }
            (Some(bars), None) => self.rows(bars),
        }
    }

    fn rows(&mut self, value: &Value<'_>) -> Vec<Row> {
        let Some(list) = value.as_array() else {
            self.wrong_type::<()>(value, "bars");
            return Vec::new();
        };
        if list.elements.is_empty() {
            self.error(
                json::span(list),
                "this section has no bars",
                format!("bars is {}", fields::holds("bars")),
            );
        }
        self.lines(&list.elements)
    }

    /// Each text of a list read as a row of bars.
    pub(super) fn lines(&mut self, elements: &[Value<'_>]) -> Vec<Row> {
        elements
            .iter()
            .filter_map(|element| {
                let Some(literal) = element.as_string_lit() else {
                    self.error(json::span(element), "a line of bars is a text, e.g. \"1 | 4 | 5 | 1\"", "");
                    return None;
                };
                let text = Text::new(literal, self.text);
                Some(self.line(&text))
            })
            .collect()
    }

    pub(super) fn line(&mut self, text: &Text<'_>) -> Row {
        let (bars, mistakes) = parse_line(&text.value);
        for mistake in mistakes {
            self.error_in(text, mistake.span, mistake.message, mistake.hint);
        }
        let place = |span: Span| text.place(span);
        let bars = bars.into_iter().map(|bar| bar.moved(&place)).collect();
        Row { bars, span: text.span }
    }
}

impl ChartBar {
    /// The bar with its places led back to the file.
    fn moved(mut self, place: &impl Fn(Span) -> Span) -> ChartBar {
        self.span = place(self.span);
        if let Some(meter) = &mut self.meter {
            meter.span = place(meter.span);
        }
        if let crate::BarContent::Items(items) = &mut self.content {
            items.iter_mut().for_each(|item| item.span = place(item.span));
        }
        self
    }
}
