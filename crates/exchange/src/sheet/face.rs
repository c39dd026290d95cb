//! The typefaces of a sheet, and text measured in them.
//!
//! The faces are DejaVu's, as in the window: serif for music, sans for the rest. The crate `dejavu` carries the files.

use harfrust::{ShapeOptions, ShaperData, UnicodeBuffer};
use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, GlyphId, MetadataProvider};
use std::collections::HashMap;
use std::ops::Range;
use std::sync::{Arc, LazyLock, Mutex, PoisonError};

/// A typeface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Face {
    /// DejaVu Sans: words, note names, fingers.
    Sans,
    /// DejaVu Sans Bold: fingers in filled marks, headings.
    Bold,
    /// DejaVu Serif: numbers and titles.
    Serif,
    /// DejaVu Serif Italic: names of sections and the coach's words.
    Italic,
}

/// A glyph of a run, in parts of the type size.
#[derive(Clone, Debug, PartialEq)]
pub struct Glyph {
    /// Its number in the face.
    pub id: u32,
    /// How far it moves the pen.
    pub advance: f32,
    /// Beside the pen.
    pub x_offset: f32,
    /// Above the pen.
    pub y_offset: f32,
    /// The bytes of the text it stands for.
    pub bytes: Range<usize>,
}

/// Ink of a text in parts of the type size, y downwards from the baseline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Extent {
    pub left: f32,
    pub right: f32,
    pub top: f32,
    pub bottom: f32,
}

/// What stands in for a character that no face has.
pub(crate) const UNKNOWN: char = '\u{FFFD}';

struct Loaded {
    font: FontRef<'static>,
    shaper: ShaperData,
    em: f32,
}

type Known = HashMap<(Face, String), Arc<[Glyph]>>;

/// Short texts that were shaped before: digits, names, words. A song has few of them, many times.
static KNOWN: LazyLock<Mutex<Known>> = LazyLock::new(Mutex::default);
/// No longer text is kept, in bytes.
const LONGEST_KNOWN: usize = 24;
/// No more texts are kept.
const MOST_KNOWN: usize = 20_000;

static FACES: LazyLock<[Loaded; 4]> = LazyLock::new(|| Face::ALL.map(Loaded::new));

impl Face {
    /// All of them.
    pub const ALL: [Face; 4] = [Face::Sans, Face::Bold, Face::Serif, Face::Italic];

    /// Its font file, TrueType.
    pub fn file(self) -> &'static [u8] {
        match self {
            Face::Sans => dejavu::sans::regular(),
            Face::Bold => dejavu::sans::bold(),
            Face::Serif => dejavu::serif::regular(),
            Face::Italic => dejavu::serif::italic(),
        }
    }

    /// Whether it can draw a character.
    pub(crate) fn has(self, character: char) -> bool {
        self.loaded().font.charmap().map(character).is_some_and(|glyph| glyph != GlyphId::NOTDEF)
    }

    /// The glyphs of a text that the face can draw, from the left.
    pub(crate) fn shape(self, text: &str) -> Arc<[Glyph]> {
        if text.len() > LONGEST_KNOWN {
            return self.shape_anew(text).into();
        }
        let known = || KNOWN.lock().unwrap_or_else(PoisonError::into_inner);
        let asked = (self, text.to_owned());
        if let Some(glyphs) = known().get(&asked) {
            return glyphs.clone();
        }
        let glyphs: Arc<[Glyph]> = self.shape_anew(text).into();
        let mut known = known();
        if known.len() < MOST_KNOWN {
            known.insert(asked, glyphs.clone());
        }
        glyphs
    }

    fn shape_anew(self, text: &str) -> Vec<Glyph> {
        let loaded = self.loaded();
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        let shaper = loaded.shaper.shaper(&loaded.font).build();
        let shaped = shaper.shape(buffer, ShapeOptions::new());
        let starts: Vec<usize> = shaped.glyph_infos().iter().map(|info| info.cluster as usize).collect();
        let places = shaped.glyph_infos().iter().zip(shaped.glyph_positions());
        let glyph = |(info, place): (&harfrust::GlyphInfo, &harfrust::GlyphPosition)| Glyph {
            id: info.glyph_id,
            advance: place.x_advance as f32 / loaded.em,
            x_offset: place.x_offset as f32 / loaded.em,
            y_offset: place.y_offset as f32 / loaded.em,
            bytes: cluster(info.cluster as usize, &starts, text.len()),
        };
        places.map(glyph).collect()
    }

    /// The ink of some glyphs; `None` where they leave none.
    pub(crate) fn extent(self, glyphs: &[Glyph]) -> Option<Extent> {
        let loaded = self.loaded();
        let metrics = loaded.font.glyph_metrics(Size::unscaled(), LocationRef::default());
        let mut pen = 0.0;
        let mut all: Option<Extent> = None;
        for glyph in glyphs {
            if let Some(ink) = metrics.bounds(GlyphId::new(glyph.id)).filter(|ink| ink.x_max > ink.x_min) {
                let x = pen + glyph.x_offset;
                let one = Extent {
                    left: x + ink.x_min / loaded.em,
                    right: x + ink.x_max / loaded.em,
                    top: -glyph.y_offset - ink.y_max / loaded.em,
                    bottom: -glyph.y_offset - ink.y_min / loaded.em,
                };
                all = Some(all.map_or(one, |all| all.with(one)));
            }
            pen += glyph.advance;
        }
        all
    }

    /// The face as a font of the library that reads outlines.
    pub(crate) fn font(self) -> &'static FontRef<'static> {
        &self.loaded().font
    }

    /// Units of the font file in one type size.
    pub(crate) fn em(self) -> f32 {
        self.loaded().em
    }

    fn loaded(self) -> &'static Loaded {
        &FACES[self as usize]
    }
}

impl Extent {
    fn with(self, other: Extent) -> Extent {
        Extent {
            left: self.left.min(other.left),
            right: self.right.max(other.right),
            top: self.top.min(other.top),
            bottom: self.bottom.max(other.bottom),
        }
    }
}

impl Loaded {
    fn new(face: Face) -> Loaded {
        let font = FontRef::new(face.file()).expect("the crate carries whole TrueType files");
        let shaper = ShaperData::new(&font);
        let metrics = font.metrics(Size::unscaled(), LocationRef::default());
        Loaded { shaper, em: f32::from(metrics.units_per_em), font }
    }
}

/// From the start of a cluster to the next one behind it in the text.
fn cluster(start: usize, starts: &[usize], end: usize) -> Range<usize> {
    start..starts.iter().copied().filter(|other| *other > start).min().unwrap_or(end)
}
