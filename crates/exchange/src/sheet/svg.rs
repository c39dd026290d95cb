//! A page as SVG 1.1: the letters as outlines, so that it looks the same everywhere, and over them the same text unseen, so
//! that it can be searched, copied and read out.

use super::page::{Block, Ink, Item, Mark, Page, Role, Run, Step, Words};
use super::{Face, Point};
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{GlyphId, MetadataProvider};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// A page as a document of its own; several pages are several documents.
pub fn svg(page: &Page) -> String {
    let (w, h) = (page.width, page.height);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"{w}pt\" \
         height=\"{h}pt\" viewBox=\"0 0 {w} {h}\" xml:lang=\"en-GB\">\n"
    );
    let title: Vec<&str> =
        page.blocks.iter().filter(|block| block.role == Role::Title).flat_map(says).collect();
    put(&mut out, format_args!("<title>{}</title>\n", escaped(title.join(" ").trim())));
    definitions(&mut out, page);
    put(&mut out, format_args!("<rect width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>\n"));
    page.blocks.iter().for_each(|block| write_block(&mut out, block));
    out.push_str("</svg>\n");
    out
}

/// Writing into a string cannot fail.
fn put(out: &mut String, text: std::fmt::Arguments<'_>) {
    let _ = out.write_fmt(text);
}

fn says(block: &Block) -> impl Iterator<Item = &str> {
    block.items.iter().filter_map(|item| match item {
        Item::Words(words) => Some(words.says.trim()),
        Item::Mark(_) => None,
    })
}

fn write_block(out: &mut String, block: &Block) {
    match &block.role {
        Role::Picture(shows) => {
            put(out, format_args!("<g role=\"img\" aria-label=\"{}\">\n", escaped(shows)));
        }
        Role::Ornament => out.push_str("<g aria-hidden=\"true\">\n"),
        _ => out.push_str("<g>\n"),
    }
    for item in &block.items {
        match item {
            Item::Words(words) => write_words(out, words),
            Item::Mark(mark) => write_mark(out, mark),
        }
    }
    out.push_str("</g>\n");
}

fn write_words(out: &mut String, words: &Words) {
    for run in &words.runs {
        write_run(out, run);
    }
    let Some(first) = words.runs.first() else { return };
    let Some(area) = words.ink_area() else { return };
    let size = words.runs.iter().map(|run| run.size).fold(0.0, f32::max);
    put(
        out,
        format_args!(
            "<text x=\"{:.2}\" y=\"{:.2}\" font-size=\"{size:.2}\" fill-opacity=\"0\" textLength=\"{:.2}\" \
             lengthAdjust=\"spacingAndGlyphs\">{}</text>\n",
            area.left,
            first.at.y,
            (area.right - area.left).max(0.1),
            escaped(words.says.trim())
        ),
    );
}

fn write_run(out: &mut String, run: &Run) {
    put(out, format_args!("<g fill=\"{}\" aria-hidden=\"true\">", colour(run.ink)));
    let mut pen = run.at.x;
    for glyph in run.glyphs.iter() {
        let (x, y) = (pen + run.size * glyph.x_offset, run.at.y - run.size * glyph.y_offset);
        pen += run.size * glyph.advance;
        if has_outline(run.face, glyph.id) {
            let scale = run.size / run.face.em();
            let name = name(run.face, glyph.id);
            put(
                out,
                format_args!(
                    "<use xlink:href=\"#{name}\" transform=\"translate({x:.2} {y:.2}) scale({scale:.6} -{scale:.6})\"/>"
                ),
            );
        }
    }
    out.push_str("</g>\n");
}

fn write_mark(out: &mut String, mark: &Mark) {
    put(
        out,
        format_args!(
            "<path d=\"{}\" fill=\"{}\"",
            data(&mark.steps),
            mark.fill.map_or("none".into(), colour)
        ),
    );
    if let Some((width, ink)) = mark.stroke {
        put(
            out,
            format_args!(" stroke=\"{}\" stroke-width=\"{width:.2}\" stroke-linecap=\"round\"", colour(ink)),
        );
    }
    out.push_str("/>\n");
}

fn data(steps: &[Step]) -> String {
    let mut data = String::new();
    for step in steps {
        match step {
            Step::Move(p) => put(&mut data, format_args!("M{:.2} {:.2}", p.x, p.y)),
            Step::Line(p) => put(&mut data, format_args!("L{:.2} {:.2}", p.x, p.y)),
            Step::Curve(a, b, c) => {
                let [a, b, c] = [a, b, c].map(|p: &Point| format!("{:.2} {:.2}", p.x, p.y));
                put(&mut data, format_args!("C{a} {b} {c}"));
            }
            Step::Close => data.push('Z'),
        }
    }
    data
}

/// Each letter that the page uses, once.
fn definitions(out: &mut String, page: &Page) {
    let runs = page.words().flat_map(|words| &words.runs);
    let used: BTreeSet<(Face, u32)> =
        runs.flat_map(|run| run.glyphs.iter().map(|glyph| (run.face, glyph.id))).collect();
    out.push_str("<defs>\n");
    for (face, id) in used {
        let outline = outline(face, id);
        if !outline.is_empty() {
            put(out, format_args!("<path id=\"{}\" d=\"{outline}\"/>\n", name(face, id)));
        }
    }
    out.push_str("</defs>\n");
}

fn name(face: Face, id: u32) -> String {
    let face = match face {
        Face::Sans => "sans",
        Face::Bold => "bold",
        Face::Serif => "serif",
        Face::Italic => "italic",
    };
    format!("{face}-{id}")
}

fn has_outline(face: Face, id: u32) -> bool {
    let metrics = face.font().glyph_metrics(Size::unscaled(), LocationRef::default());
    metrics.bounds(GlyphId::new(id)).is_some_and(|ink| ink.x_max > ink.x_min)
}

/// The outline of a glyph in units of its font, y upwards.
fn outline(face: Face, id: u32) -> String {
    let mut pen = Pen(String::new());
    if let Some(glyph) = face.font().outline_glyphs().get(GlyphId::new(id)) {
        // A glyph that cannot be drawn leaves an empty outline.
        let _ = glyph.draw(DrawSettings::unhinted(Size::unscaled(), LocationRef::default()), &mut pen);
    }
    pen.0
}

struct Pen(String);

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        put(&mut self.0, format_args!("M{x} {y}"));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        put(&mut self.0, format_args!("L{x} {y}"));
    }
    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        put(&mut self.0, format_args!("Q{cx} {cy} {x} {y}"));
    }
    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        put(&mut self.0, format_args!("C{ax} {ay} {bx} {by} {x} {y}"));
    }
    fn close(&mut self) {
        self.0.push('Z');
    }
}

fn colour(ink: Ink) -> String {
    let [red, green, blue] = ink.rgb();
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// As XML 1.0 has it: no control characters, and `& < > "` written out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\u{FFFE}' | '\u{FFFF}' => {}
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
