//! `like`: names to sections, and no circles.

use super::Reader;
use crate::limits::LIKE_CHAIN;
use crate::report::quoted;
use crate::{Section, Song, Span, Spanned};
use std::collections::HashMap;

/// A `like` as read: the section it stands in, the name, the place.
pub(super) struct Link {
    pub section: usize,
    pub name: String,
    pub span: Span,
}

/// Sections by name.
pub(super) struct Names<'s> {
    sections: &'s [Section],
    index: HashMap<&'s str, usize>,
}

impl<'s> Names<'s> {
    pub fn new(sections: &'s [Section]) -> Self {
        let mut index = HashMap::new();
        for (i, section) in sections.iter().enumerate() {
            index.entry(section.name.as_str()).or_insert(i);
        }
        Self { sections, index }
    }

    pub fn find(&self, name: &str) -> Option<usize> {
        self.index.get(name).copied()
    }

    pub fn all(&self) -> impl Iterator<Item = &'s str> + Clone + use<'s> {
        self.sections.iter().map(|s| s.name.as_str())
    }
}

impl Reader<'_, '_> {
    /// Puts the indices in. A link that leads nowhere or round in a circle is reported and left out.
    pub(super) fn link(&mut self, song: &mut Song, links: &[Link]) {
        let found: Vec<Option<usize>> = {
            let names = Names::new(&song.sections);
            links
                .iter()
                .map(|link| {
                    let found = names.find(&link.name);
                    if found.is_none() {
                        self.no_section(&link.name, link.span, &names);
                    }
                    found
                })
                .collect()
        };
        for (link, target) in links.iter().zip(found) {
            song.sections[link.section].like = target.map(|target| Spanned::new(target, link.span));
        }
        for link in links {
            self.check_chain(song, link);
        }
    }

    fn check_chain(&mut self, song: &mut Song, link: &Link) {
        let mut at = link.section;
        for _ in 0..LIKE_CHAIN {
            let Some(next) = song.sections[at].like else { return };
            at = next.value;
            if at == link.section {
                let what = format!("{} is like itself in the end", quoted(&song.sections[at].name));
                self.error(link.span, what, "give one section of the circle its bars");
                song.sections[link.section].like = None;
                return;
            }
        }
        let what = format!("this like leads through more than {LIKE_CHAIN} sections, or into a circle");
        self.error(link.span, what, "name the section that has the bars");
        song.sections[link.section].like = None;
    }
}
