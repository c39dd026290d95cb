//! The song as a tree to be changed: its sections, and which of them play whose bars.

use super::EditError;
use super::tree::{List, Node, Object};
use crate::json;
use crate::limits::LIKE_CHAIN;
use crate::limits::fields::SONG;

/// A song's text taken apart.
pub(super) struct Document {
    lead: String,
    root: Object,
    tail: String,
}

impl Document {
    pub fn parse(text: &str) -> Result<Document, EditError> {
        let value = json::document(text).ok_or(EditError::NotJson)?;
        let span = json::span(&value);
        let Node::Object(root) = Node::of(&value, text) else { return Err(EditError::NotJson) };
        Ok(Document { lead: text[..span.0].into(), root, tail: text[span.1..].into() })
    }

    pub fn print(self) -> String {
        let mut out = self.lead;
        Node::Object(self.root).print(&mut out);
        out + &self.tail
    }

    pub fn song_mut(&mut self) -> &mut Object {
        &mut self.root
    }

    pub fn sections(&self) -> impl Iterator<Item = &Object> {
        let list = self.root.get("sections").and_then(Node::as_list);
        list.into_iter().flat_map(|list| &list.items).filter_map(|item| item.value.as_object())
    }

    pub fn section_count(&self) -> usize {
        self.sections().count()
    }

    pub fn section(&self, index: usize) -> Result<&Object, EditError> {
        self.sections().nth(index).ok_or(EditError::NoSection(index + 1, self.section_count()))
    }

    pub fn section_mut(&mut self, index: usize) -> Result<&mut Object, EditError> {
        let count = self.section_count();
        let list = self.root.get_mut("sections").and_then(Node::as_list_mut);
        let mut objects =
            list.into_iter().flat_map(|list| &mut list.items).filter_map(|item| item.value.as_object_mut());
        objects.nth(index).ok_or(EditError::NoSection(index + 1, count))
    }

    /// The list of sections, made where there is none.
    pub fn section_list(&mut self) -> &mut List {
        if self.root.get("sections").and_then(Node::as_list).is_none() {
            self.root.set("sections", Node::list([]), SONG);
        }
        self.root.get_mut("sections").and_then(Node::as_list_mut).expect("it was just made a list")
    }

    /// Where in the list of sections the section of that number stands.
    pub fn place_in_list(&self, section: usize) -> usize {
        let list = self.root.get("sections").and_then(Node::as_list);
        let items = list.into_iter().flat_map(|list| list.items.iter().enumerate());
        let mut objects = items.filter(|(_, item)| item.value.as_object().is_some()).map(|(i, _)| i);
        objects.nth(section).unwrap_or_else(|| list.map_or(0, |list| list.items.len()))
    }

    pub fn name(&self, section: usize) -> String {
        self.sections().nth(section).and_then(|s| s.get("name")?.as_text()).unwrap_or_default()
    }

    pub fn named(&self, name: &str) -> Option<usize> {
        self.sections().position(|s| s.get("name").and_then(Node::as_text).as_deref() == Some(name))
    }

    /// The section that this one is like.
    pub fn like(&self, section: usize) -> Option<usize> {
        let name = self.sections().nth(section)?.get("like")?.as_text()?;
        self.named(&name)
    }

    /// The sections that one takes after, from itself outwards; the last has the bars.
    pub fn lineage(&self, section: usize) -> Vec<usize> {
        let mut line = vec![section];
        while let Some(like) = self.like(line[line.len() - 1]) {
            if line.len() > LIKE_CHAIN || line.contains(&like) {
                break;
            }
            line.push(like);
        }
        line
    }

    /// The section that has the bars that this one plays.
    pub fn source(&self, section: usize) -> usize {
        self.lineage(section).pop().unwrap_or(section)
    }

    /// All sections that play the bars of this one, itself among them.
    pub fn players(&self, source: usize) -> Vec<usize> {
        (0..self.section_count()).filter(|section| self.source(*section) == source).collect()
    }

    /// How often a section is played at each place of the order.
    pub fn passes(&self, section: usize) -> u32 {
        let own = |from: &usize| self.sections().nth(*from)?.get("passes")?.as_number();
        self.lineage(section).iter().find_map(own).unwrap_or(1)
    }
}
