//! A chord as players print it: a large serif number, quality raised, the left hand's number smaller under the slash.

use crate::fonts;
use crate::theme::Palette;
use egui::{Color32, FontId, Painter, Pos2, Rect, Stroke, pos2, vec2};
use theory::Chord;

/// How a chord is drawn.
#[derive(Clone, Copy)]
pub(crate) struct SymbolStyle<'a> {
    /// Names in place of numbers.
    pub names: bool,
    /// The size of its number.
    pub size: f32,
    /// Whether its number stands in a diamond.
    pub diamond: bool,
    /// Colours.
    pub palette: &'a Palette,
}

struct Run {
    text: String,
    font: FontId,
    /// Above the baseline, in parts of the size.
    rise: f32,
    color: Color32,
    /// Part of the root, which a diamond goes round.
    root: bool,
}

/// Room at either side of a number in a diamond, in parts of the size.
const DIAMOND: f32 = 0.34;

/// The width of a chord.
pub(crate) fn width(painter: &Painter, chord: &Chord, style: SymbolStyle<'_>) -> f32 {
    let rhombus = if style.diamond { 2.0 * DIAMOND * style.size } else { 0.0 };
    let of = |run: &Run| crate::plain::width(painter, &run.text, &run.font);
    rhombus + runs(chord, style).iter().map(of).sum::<f32>()
}

/// Draws a chord with its left end on a baseline; returns the box of the whole and that of the root alone.
pub(crate) fn draw(painter: &Painter, at: Pos2, chord: &Chord, style: SymbolStyle<'_>) -> (Rect, Rect) {
    let beside = if style.diamond { DIAMOND * style.size } else { 0.0 };
    let mut x = at.x + 0.4 * beside;
    let mut root = Rect::NOTHING;
    let mut whole = Rect::NOTHING;
    let runs = runs(chord, style);
    let roots = runs.iter().filter(|run| run.root).count();
    for (index, run) in runs.into_iter().enumerate() {
        let place = pos2(x, at.y - run.rise * style.size);
        let drawn = crate::plain::baseline(painter, place, &run.text, run.font, run.color);
        x = drawn.right() + if index + 1 == roots { beside } else { 0.0 };
        whole |= drawn;
        if run.root {
            root |= drawn;
        }
    }
    (whole, root)
}

/// The rhombus of a diamond, round the box of a root.
pub(crate) fn diamond(painter: &Painter, root: Rect, size: f32, ink: Color32) -> Rect {
    let centre = pos2(root.center().x, root.top() + 0.60 * size);
    let (wide, high) = (0.36 * root.width() + 0.44 * size, 0.74 * size);
    let corners = vec![
        centre - vec2(0.0, high),
        centre + vec2(wide, 0.0),
        centre + vec2(0.0, high),
        centre - vec2(wide, 0.0),
    ];
    painter.add(egui::Shape::closed_line(corners, Stroke::new(0.05 * size, ink)));
    Rect::from_center_size(centre, 2.0 * vec2(wide, high))
}

/// The hat of a push, over the left shoulder of its number.
pub(crate) fn push(painter: &Painter, at: Pos2, size: f32, ink: Color32) {
    let tip = at + vec2(-0.13 * size, -0.98 * size);
    let foot = vec2(0.15 * size, 0.2 * size);
    let points = vec![tip + vec2(-foot.x, foot.y), tip, tip + foot];
    painter.add(egui::Shape::line(points, Stroke::new(0.065 * size, ink)));
}

fn runs(chord: &Chord, style: SymbolStyle<'_>) -> Vec<Run> {
    if style.names { names(chord, style) } else { numbers(chord, style) }
}

fn numbers(chord: &Chord, style: SymbolStyle<'_>) -> Vec<Run> {
    let written = &chord.written;
    let mut runs = degree(written.root, style.size, 0.0, style.palette.ink);
    let quality = written.quality.map(|q| q.symbol().to_owned()).unwrap_or_default();
    let extension = match written.extension {
        Some(e) if quality.is_empty() => e.symbol().to_owned(),
        Some(e) => format!("({})", e.symbol()),
        None => String::new(),
    };
    let raised = quality + &extension;
    runs.extend(superscript(&raised, style));
    if let Some(under) = written.under {
        runs.push(slash(style));
        runs.extend(degree(under, 0.76 * style.size, -0.22, style.palette.left));
    }
    runs
}

fn names(chord: &Chord, style: SymbolStyle<'_>) -> Vec<Run> {
    let name = chord.pretty_name();
    let root = chord.root().pretty();
    let (upper, under) = match name.split_once('/') {
        Some((upper, under)) => (upper, Some(under)),
        None => (name.as_str(), None),
    };
    let mut runs = letter(&root, style.size, 0.0, style.palette.ink);
    runs.extend(superscript(upper.strip_prefix(&root).unwrap_or_default(), style));
    if let Some(under) = under {
        runs.push(slash(style));
        runs.extend(letter(under, 0.76 * style.size, -0.22, style.palette.left));
    }
    runs
}

fn degree(degree: theory::Degree, size: f32, rise: f32, color: Color32) -> Vec<Run> {
    let text = degree.pretty();
    let (signs, digit) = text.split_at(text.len() - 1);
    let mut runs = Vec::new();
    if !signs.is_empty() {
        runs.push(Run {
            text: signs.into(),
            font: fonts::serif(0.72 * size),
            rise: rise + 0.14,
            color,
            root: rise == 0.0,
        });
    }
    runs.push(Run { text: digit.into(), font: fonts::serif(size), rise, color, root: rise == 0.0 });
    runs
}

fn letter(name: &str, size: f32, rise: f32, color: Color32) -> Vec<Run> {
    let (letter, signs) = name.split_at(1);
    let mut runs =
        vec![Run { text: letter.into(), font: fonts::serif(0.92 * size), rise, color, root: rise == 0.0 }];
    if !signs.is_empty() {
        runs.push(Run {
            text: signs.into(),
            font: fonts::serif(0.62 * size),
            rise: rise + 0.22,
            color,
            root: rise == 0.0,
        });
    }
    runs
}

fn superscript(text: &str, style: SymbolStyle<'_>) -> Option<Run> {
    let text = text.replace('b', "♭").replace('#', "♯");
    (!text.is_empty()).then(|| Run {
        text,
        font: fonts::sans(0.44 * style.size),
        rise: 0.40,
        color: style.palette.ink,
        root: false,
    })
}

fn slash(style: SymbolStyle<'_>) -> Run {
    Run {
        text: "/".into(),
        font: fonts::serif(1.1 * style.size),
        rise: -0.06,
        color: style.palette.ink,
        root: false,
    }
}
