//! The map of a key: its signature, its notes on the keys with their numbers, its chords with theirs.

use crate::keyboard::mix;
use crate::stage::{Stage, degree_of};
use crate::{fonts, plain};
use egui::{Color32, Painter, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Ui, pos2, vec2};
use theory::{Chord, Key, Letter, NoteName, Scale, ScaleKind};

/// Draws the map: heading and signature, the keys, and beside or below them the chords. Returns what it leaves free beside
/// the keys where the chords are a line of text.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &Stage<'_>) -> Option<Rect> {
    let map = Map::new(stage);
    let painter = ui.painter();
    let wide = rect.width() > 1.6 * rect.height();
    // Where the room is low the chords are a line of text.
    let low = rect.height() < stage.px(150.0);
    heading(painter, rect, stage, &map);
    if low {
        let font = fonts::sans(stage.px(14.0));
        let text = plain::elided(painter, &map.chords_told(), &font, rect.width());
        let at = pos2(rect.left(), rect.top() + stage.px(61.0));
        plain::baseline(painter, at, &text, font, stage.palette.ink);
    }
    let top = rect.top() + stage.px(if low { 70.0 } else { 52.0 });
    let keys = vec2(
        stage.px(252.0).min(rect.width()),
        stage.px(92.0).min(rect.bottom() - top - if wide { 0.0 } else { stage.px(60.0) }),
    );
    let keys = Rect::from_min_size(pos2(rect.left(), top), keys);
    keyboard(painter, keys, stage, &map);
    let chords = if wide {
        Rect::from_min_max(pos2(keys.right() + stage.px(22.0), top), rect.max)
    } else {
        Rect::from_min_max(pos2(rect.left(), keys.bottom() + stage.px(14.0)), rect.max)
    };
    if !low {
        chord_list(painter, chords, stage, &map);
    }
    let response = ui.interact(rect, ui.scope_id().with("key map"), Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Label, true, map.spoken()));
    low.then_some(chords)
}

/// What the map shows.
struct Map {
    title: String,
    signature: String,
    /// The notes of the scale with their numbers.
    notes: Vec<(NoteName, String)>,
    chords: Vec<Chord>,
}

impl Map {
    fn new(stage: &Stage<'_>) -> Map {
        let room = stage.model.view.room;
        let of_song =
            stage.model.part.map(|part| part.key).filter(|_| room.subject == crate::Subject::SongChords);
        let scale = of_song.map_or(room.scale, Scale::from);
        let key = scale.key();
        let number = |name: NoteName| degree_of(key, name).map_or(String::new(), |degree| degree.pretty());
        let chords = if room.sevenths { scale.seventh_chords() } else { scale.chords() };
        Map {
            title: scale.pretty(),
            signature: format!("{}{}", signature(scale.signature()), relation(scale, key)),
            notes: scale.notes().into_iter().map(|name| (name, number(name))).collect(),
            chords,
        }
    }

    fn spoken(&self) -> String {
        let notes: Vec<String> =
            self.notes.iter().map(|(name, n)| format!("{n} {}", name.pretty())).collect();
        let chords = self.chords_told();
        format!("Key map: {}, {}. Notes: {}. Chords: {chords}", self.title, self.signature, notes.join(", "))
    }

    fn chords_told(&self) -> String {
        let chords = self.chords.iter().map(|c| format!("{} {}", numbered(c), c.pretty_name()));
        chords.collect::<Vec<_>>().join(", ")
    }
}

/// `2 sharps: F♯ C♯`, in the order of the circle of fifths.
pub(crate) fn signature(accidentals: i8) -> String {
    const ORDER: [Letter; 7] = [Letter::F, Letter::C, Letter::G, Letter::D, Letter::A, Letter::E, Letter::B];
    let count = usize::from(accidentals.unsigned_abs());
    let names: Vec<String> = match accidentals {
        0 => return "no sharps or flats".into(),
        1.. => ORDER[..count].iter().map(|letter| NoteName::new(*letter, 1).pretty()).collect(),
        _ => ORDER.iter().rev().take(count).map(|letter| NoteName::new(*letter, -1).pretty()).collect(),
    };
    let sign = if accidentals > 0 { "sharp" } else { "flat" };
    let s = if count == 1 { "" } else { "s" };
    format!("{count} {sign}{s}: {}", names.join(" "))
}

/// What it shares its signature with, or the key that its numbers are of.
fn relation(scale: Scale, key: Key) -> String {
    let same = |mode: theory::Mode| {
        Key::all().find(|other| other.mode() == mode && other.signature() == scale.signature())
    };
    let other = match scale.kind() {
        ScaleKind::Major => same(theory::Mode::Minor).map(|key| format!("as {}", key.pretty())),
        ScaleKind::NaturalMinor => same(theory::Mode::Major).map(|key| format!("as {}", key.pretty())),
        ScaleKind::HarmonicMinor | ScaleKind::MelodicMinor => None,
        ScaleKind::MajorPentatonic | ScaleKind::MinorPentatonic | ScaleKind::Blues => {
            Some(format!("chords of {}", key.pretty()))
        }
        _ => same(theory::Mode::Major)
            .map(|major| format!("the notes of {}; numbered in {}", major.pretty(), key.pretty())),
    };
    other.map(|other| format!(", {other}")).unwrap_or_default()
}

fn heading(painter: &Painter, rect: Rect, stage: &Stage<'_>, map: &Map) {
    let at = pos2(rect.left(), rect.top() + stage.px(19.0));
    plain::baseline(painter, at, &map.title, fonts::serif(stage.px(19.0)), stage.palette.ink);
    let font = fonts::sans(stage.px(14.0));
    let text = plain::elided(painter, &map.signature, &font, rect.width());
    plain::baseline(painter, at + vec2(0.0, stage.px(22.0)), &text, font, stage.palette.quiet);
}

/// An octave of keys from C, the scale's with their numbers.
fn keyboard(painter: &Painter, rect: Rect, stage: &Stage<'_>, map: &Map) {
    let colors = stage.model.view.theme.keys();
    let wide = rect.width() / 7.0;
    let number_of = |class: u8| map.notes.iter().find(|(name, _)| name.pitch_class() == class).map(|n| &n.1);
    let tonic = map.notes[0].0.pitch_class();
    painter.rect_filled(rect.expand(1.0), stage.px(3.0), colors.edge);
    for (index, class) in [0, 2, 4, 5, 7, 9, 11].into_iter().enumerate() {
        let min = pos2(rect.left() + index as f32 * wide, rect.top());
        let key = Rect::from_min_size(min, vec2(wide, rect.height())).shrink2(vec2(0.5, 0.0));
        painter.rect_filled(key, stage.px(3.0), colors.white);
        if let Some(number) = number_of(class) {
            let at = pos2(key.center().x, key.bottom() - stage.px(17.0));
            degree(painter, stage, at, number, colors.white, colors.text, class == tonic);
        }
    }
    for (index, class) in [(1, 1), (2, 3), (4, 6), (5, 8), (6, 10)] {
        let middle = rect.left() + index as f32 * wide;
        let size = vec2(0.66 * wide, 0.58 * rect.height());
        let key = Rect::from_min_size(pos2(middle - 0.5 * size.x, rect.top()), size);
        painter.rect_filled(key, stage.px(2.0), colors.black);
        if let Some(number) = number_of(class) {
            let at = pos2(key.center().x, key.bottom() - stage.px(15.0));
            degree(painter, stage, at, number, colors.black, colors.white, class == tonic);
        }
    }
}

/// A number on its key; the first has a ring.
fn degree(
    painter: &Painter,
    stage: &Stage<'_>,
    at: Pos2,
    number: &str,
    ground: Color32,
    ink: Color32,
    first: bool,
) {
    let radius = stage.px(11.0);
    painter.circle_filled(at, radius, mix(ground, ink, 0.14));
    if first {
        painter.circle_stroke(at, radius, Stroke::new(stage.px(1.6), ink));
    }
    let size = stage.px(if number.chars().count() > 1 { 13.0 } else { 15.0 });
    plain::baseline_centred(painter, at + vec2(0.0, 0.36 * size), number, fonts::bold(size), ink);
}

/// The chords, four in a row (three where numbers are long), each a number with its name under it.
fn chord_list(painter: &Painter, rect: Rect, stage: &Stage<'_>, map: &Map) {
    let long = map.chords.iter().any(|chord| numbered(chord).chars().count() > 6);
    let columns = if long && rect.width() < stage.px(320.0) { 3 } else { 4 };
    let size = vec2(rect.width() / columns as f32, stage.px(45.0));
    for (index, chord) in map.chords.iter().enumerate() {
        let corner = vec2((index % columns) as f32 * size.x, (index / columns) as f32 * size.y);
        let cell = Rect::from_min_size(rect.min + corner, size).shrink(stage.px(2.0));
        if cell.bottom() > rect.bottom() + stage.px(4.0) {
            break;
        }
        painter.rect_stroke(cell, stage.px(4.0), Stroke::new(1.0, stage.palette.rule), StrokeKind::Inside);
        let room = cell.width() - stage.px(6.0);
        let x = cell.center().x;
        let sizes = [18.0, 15.0, 13.0, 11.5].map(|size| stage.px(size));
        let (text, font) = plain::fitted(painter, &numbered(chord), fonts::serif, &sizes, room);
        plain::baseline_centred(
            painter,
            pos2(x, cell.top() + stage.px(19.0)),
            &text,
            font,
            stage.palette.ink,
        );
        let sizes = [13.0, 12.0, 11.0].map(|size| stage.px(size));
        let (name, font) = plain::fitted(painter, &chord.pretty_name(), fonts::sans, &sizes, room);
        plain::baseline_centred(
            painter,
            pos2(x, cell.top() + stage.px(35.0)),
            &name,
            font,
            stage.palette.quiet,
        );
    }
}

/// The number as a chart has it, with printed signs.
pub(crate) fn numbered(chord: &Chord) -> String {
    chord.written.to_string().replace('b', "♭").replace('#', "♯")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Order of sharps F C G D A E B, of flats the reverse (theory textbooks).
    #[test]
    fn signatures_are_told_in_their_order() {
        assert_eq!(signature(3), "3 sharps: F♯ C♯ G♯");
        assert_eq!(signature(-1), "1 flat: B♭");
        assert_eq!(signature(-7), "7 flats: B♭ E♭ A♭ D♭ G♭ C♭ F♭");
        assert_eq!(signature(0), "no sharps or flats");
    }

    #[test]
    fn a_mode_tells_whose_notes_it_has() {
        let scale: Scale = "D dorian".parse().expect("D dorian is a scale");
        assert_eq!(relation(scale, scale.key()), ", the notes of C major; numbered in D minor");
        let minor: Scale = "A minor".parse().expect("A minor is a scale");
        assert_eq!(relation(minor, minor.key()), ", as C major");
    }
}
