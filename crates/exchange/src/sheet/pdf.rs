//! Pages as PDF: tagged, with language and title, as PDF/UA-1 (ISO 14289-1) asks for; faces embedded as subsets.

use super::page::{Block, Ink, Item, Mark, Page, Role, Run, Step, Words};
use super::{Face, Meta};
use crate::ExchangeError;
use krilla::color::rgb;
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point};
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, LineCap, LineJoin, Stroke};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, Identifier, SpanTag, Tag, TagGroup, TagTree};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document, SerializeSettings};
use std::num::NonZeroU16;

/// Pages as a PDF document.
///
/// # Errors
/// Where the document would not be what the standard asks for; this should not come about.
pub fn pdf(pages: &[Page], meta: &Meta) -> Result<Vec<u8>, ExchangeError> {
    let mut writer = Writer::new()?;
    for (index, page) in pages.iter().enumerate() {
        writer.page(index, page)?;
    }
    writer.finish(meta)
}

struct Writer {
    document: Document,
    fonts: [Font; 4],
    tags: TagTree,
    outline: Outline,
}

impl Writer {
    fn new() -> Result<Writer, ExchangeError> {
        let accessible = ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1);
        let configuration = accessible.finish().map_err(|error| refused(&error))?;
        let document =
            Document::new_with(SerializeSettings { configuration, ..SerializeSettings::default() });
        let font =
            |face: Face| Font::new(face.file().into(), 0).expect("the crate carries whole TrueType files");
        Ok(Writer { document, fonts: Face::ALL.map(font), tags: TagTree::new(), outline: Outline::new() })
    }

    fn page(&mut self, index: usize, page: &Page) -> Result<(), ExchangeError> {
        let size = PageSettings::from_wh(page.width, page.height);
        let settings = size.ok_or_else(|| refused(&"a page without a size"))?;
        let mut sheet = self.document.start_page_with(settings);
        let mut surface = sheet.surface();
        for block in &page.blocks {
            if let Some(group) = write_block(&mut surface, &self.fonts, block) {
                self.tags.push(group);
            }
            if let (Role::Title | Role::Heading(_), Some(top)) = (&block.role, top(block)) {
                let text = heading(block);
                let place = XyzDestination::new(index, Point::from_xy(0.0, (top - 12.0).max(0.0)));
                self.outline.push_child(OutlineNode::new(text, place));
            }
        }
        surface.finish();
        sheet.finish();
        Ok(())
    }

    fn finish(mut self, meta: &Meta) -> Result<Vec<u8>, ExchangeError> {
        let title = if meta.title.trim().is_empty() { "Song".to_owned() } else { clean(&meta.title) };
        let data =
            Metadata::new().title(title).language(meta.language.clone()).creator("Overhand".to_owned());
        self.document.set_metadata(data);
        self.document.set_outline(self.outline);
        self.document.set_tag_tree(self.tags);
        self.document.finish().map_err(|error| refused(&error))
    }
}

fn refused(error: &impl std::fmt::Debug) -> ExchangeError {
    ExchangeError::Sheet(format!("{error:?}"))
}

fn top(block: &Block) -> Option<f32> {
    let tops = block.items.iter().filter_map(|item| match item {
        Item::Words(words) => words.ink_area().map(|area| area.top),
        Item::Mark(_) => None,
    });
    tops.reduce(f32::min)
}

fn heading(block: &Block) -> String {
    match &block.role {
        Role::Heading(text) => clean(text),
        _ => {
            let all = block.items.iter().filter_map(|item| match item {
                Item::Words(words) => Some(words.says.trim()),
                Item::Mark(_) => None,
            });
            clean(&all.collect::<Vec<_>>().join(" "))
        }
    }
}

/// Without control characters.
fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// Writes a block; its group in the tree of tags, unless nothing of it is read out.
fn write_block(surface: &mut Surface<'_>, fonts: &[Font; 4], block: &Block) -> Option<TagGroup> {
    let level = |level: u16| NonZeroU16::new(level).expect("1 and 2 are not 0");
    let mut group = match &block.role {
        Role::Title => TagGroup::new(Tag::Hn(level(1), Some(heading(block)))),
        Role::Heading(text) => TagGroup::new(Tag::Hn(level(2), Some(clean(text)))),
        Role::Text => TagGroup::new(Tag::P),
        Role::Picture(shows) => {
            let mut group = TagGroup::new(Tag::Figure(Some(clean(shows))));
            group.push(tagged(surface, ContentTag::Other, |surface| {
                block.items.iter().for_each(|item| write_item(surface, fonts, item));
            }));
            return Some(group);
        }
        Role::Ornament => {
            artifact(surface, |surface| block.items.iter().for_each(|item| write_item(surface, fonts, item)));
            return None;
        }
    };
    let mut read = false;
    for words in block.items.iter().filter_map(words) {
        let says = clean(&words.says);
        let actual = (says != words.shown()).then_some(says.as_str());
        let tag = ContentTag::Span(SpanTag::empty().with_actual_text(actual));
        group.push(tagged(surface, tag, |surface| write_words(surface, fonts, words)));
        read = true;
    }
    let mut marks = block.items.iter().filter_map(mark).peekable();
    if marks.peek().is_some() {
        artifact(surface, |surface| marks.for_each(|mark| write_mark(surface, mark)));
    }
    read.then_some(group)
}

fn words(item: &Item) -> Option<&Words> {
    match item {
        Item::Words(words) => Some(words),
        Item::Mark(_) => None,
    }
}

fn mark(item: &Item) -> Option<&Mark> {
    match item {
        Item::Mark(mark) => Some(mark),
        Item::Words(_) => None,
    }
}

fn tagged(surface: &mut Surface<'_>, tag: ContentTag<'_>, draw: impl FnOnce(&mut Surface<'_>)) -> Identifier {
    let identifier = surface.start_tagged(tag);
    draw(surface);
    surface.end_tagged();
    identifier
}

fn artifact(surface: &mut Surface<'_>, draw: impl FnOnce(&mut Surface<'_>)) {
    tagged(surface, ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)), draw);
}

fn write_item(surface: &mut Surface<'_>, fonts: &[Font; 4], item: &Item) {
    match item {
        Item::Words(words) => write_words(surface, fonts, words),
        Item::Mark(mark) => write_mark(surface, mark),
    }
}

fn write_words(surface: &mut Surface<'_>, fonts: &[Font; 4], words: &Words) {
    words.runs.iter().for_each(|run| write_run(surface, &fonts[run.face as usize], run));
}

fn write_run(surface: &mut Surface<'_>, font: &Font, run: &Run) {
    let glyph = |glyph: &super::Glyph| {
        let id = GlyphId::new(glyph.id);
        KrillaGlyph::new(id, glyph.advance, glyph.x_offset, glyph.y_offset, 0.0, glyph.bytes.clone(), None)
    };
    let glyphs: Vec<KrillaGlyph> = run.glyphs.iter().map(glyph).collect();
    surface.set_stroke(None);
    surface.set_fill(Some(Fill { paint: colour(run.ink).into(), ..Fill::default() }));
    let at = Point::from_xy(run.at.x, run.at.y);
    surface.draw_glyphs(at, &glyphs, font.clone(), &run.text, run.size, false);
}

fn write_mark(surface: &mut Surface<'_>, mark: &Mark) {
    let Some(path) = path(&mark.steps) else { return };
    surface.set_fill(mark.fill.map(|ink| Fill { paint: colour(ink).into(), ..Fill::default() }));
    surface.set_stroke(mark.stroke.map(|(width, ink)| Stroke {
        paint: colour(ink).into(),
        width,
        line_cap: LineCap::Round,
        line_join: LineJoin::Miter,
        ..Stroke::default()
    }));
    surface.draw_path(&path);
}

fn path(steps: &[Step]) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for step in steps {
        match step {
            Step::Move(p) => builder.move_to(p.x, p.y),
            Step::Line(p) => builder.line_to(p.x, p.y),
            Step::Curve(a, b, c) => builder.cubic_to(a.x, a.y, b.x, b.y, c.x, c.y),
            Step::Close => builder.close(),
        }
    }
    builder.finish()
}

fn colour(ink: Ink) -> rgb::Color {
    let [red, green, blue] = ink.rgb();
    rgb::Color::new(red, green, blue)
}
