//! Chords in all their inversions: a column for each chord, a row for each place, up and back down.

use crate::stage::Stage;
use crate::{fonts, plain, room, room_map, room_words};
use egui::{Label, Painter, Rect, RichText, Role, Sense, Stroke, StrokeKind, Ui, UiBuilder, pos2, vec2};
use song::SlotKind;
use theory::{Chord, Hand};
use voicing::{Part, PartChord};

/// So many columns are drawn; of more chords, those around the one in hand.
const COLUMNS: usize = 7;

/// A chord with its places, in order of playing.
struct Column<'a> {
    chord: &'a Chord,
    /// The slot of the first place, counted over the whole exercise.
    first: usize,
    /// Up through some octaves and back.
    places: Vec<&'a PartChord>,
}

/// Draws the table.
pub(crate) fn show(ui: &mut Ui, card: Rect, stage: &mut Stage<'_>) {
    let Some(part) = stage.model.part else { return };
    let at = room::at(stage);
    let columns = columns(part);
    let now = columns.iter().rposition(|column| column.first <= at).unwrap_or(0);
    let rows = columns.iter().map(|column| column.chord.tones.len() + 1).max().unwrap_or(0);
    if rows == 0 {
        return;
    }
    let table = Rect::from_min_max(
        card.min + vec2(stage.px(138.0), stage.px(8.0)),
        card.max - vec2(stage.px(10.0), stage.px(40.0)),
    );
    let head = stage.px(50.0);
    let most = columns.len().saturating_sub(COLUMNS);
    let first = now.saturating_sub(COLUMNS / 2).min(most);
    let size = vec2(table.width() / COLUMNS as f32, (table.height() - head) / rows as f32);
    for row in 0..rows {
        let y = table.top() + head + (row as f32 + 0.5) * size.y + stage.px(5.0);
        let font = fonts::italic(stage.px(14.0));
        let at = pos2(card.left() + stage.px(14.0), y);
        plain::baseline(ui.painter(), at, place_name(row, rows - 1), font, stage.palette.quiet);
    }
    for (n, column) in columns.iter().skip(first).take(COLUMNS).enumerate() {
        let left = table.left() + n as f32 * size.x;
        heading(ui.painter(), stage, pos2(left + 0.5 * size.x, table.top()), column.chord, size.x);
        let here = column.here(at);
        for place in 0..=column.size() {
            // The octave stands in the last row, also where a chord beside it has more inversions.
            let row = if place == column.size() { rows - 1 } else { place };
            let min = pos2(left, table.top() + head + row as f32 * size.y);
            let cell = Rect::from_min_size(min, size).shrink(stage.px(3.0));
            let held = column.places[here.map_or(0, |(octave, _)| octave) * column.size() + place];
            position(ui.painter(), stage, cell, held, here.is_some_and(|(_, row)| row == place));
        }
    }
    more(ui.painter(), card, stage, first, columns.len());
    let said = columns.get(now).and_then(|column| column.spoken(at)).unwrap_or_default();
    let response = ui.interact(card, ui.scope_id().with("chords"), Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(Role::Label, true, &said));
    let octaves = columns.first().map(Column::octaves);
    let too_wide = octaves.and_then(|octaves| room_words::too_wide(stage, octaves as u8));
    caution(ui, card, stage, too_wide);
}

impl Column<'_> {
    /// How many positions the chord has in an octave.
    fn size(&self) -> usize {
        self.chord.tones.len()
    }

    /// Through how many octaves it goes.
    fn octaves(&self) -> usize {
        self.places.len() / 2 / self.size()
    }

    /// The octave and the row in it that are in hand, going up or coming down.
    fn here(&self, at: usize) -> Option<(usize, usize)> {
        let (last, top) = (self.places.len() - 1, self.places.len() / 2);
        let place = at.checked_sub(self.first).filter(|place| *place <= last)?;
        let up = if place > top { last - place } else { place };
        // The highest is the end of the last octave.
        Some(if up == top {
            (up / self.size() - 1, self.size())
        } else {
            (up / self.size(), up % self.size())
        })
    }

    fn spoken(&self, at: usize) -> Option<String> {
        let (octave, row) = self.here(at)?;
        let name = format!("{}, {}", self.chord.pretty_name(), place_name(row, self.size()));
        let octaves = self.octaves();
        Some(if octaves > 1 { format!("{name}, octave {} of {octaves}", octave + 1) } else { name })
    }
}

/// The chords of the exercise, one after another.
fn columns(part: &Part) -> Vec<Column<'_>> {
    let slots: Vec<(&Chord, &PartChord)> = part
        .bars
        .iter()
        .flat_map(|bar| bar.played.slots.iter().zip(&bar.chords))
        .filter_map(|(slot, held)| match &slot.kind {
            SlotKind::Chord { chord, .. } => Some((chord, held)),
            _ => None,
        })
        .collect();
    let mut columns = Vec::new();
    let mut first = 0;
    for same in slots.chunk_by(|a, b| a.0 == b.0) {
        columns.push(Column {
            chord: same[0].0,
            first,
            places: same.iter().map(|(_, held)| *held).collect(),
        });
        first += same.len();
    }
    // A part that is no exercise of chords, while the exercise is being made, has columns of other lengths.
    let whole = |column: &Column<'_>| {
        let steps = column.places.len() - 1;
        steps > 0 && steps.is_multiple_of(2 * column.size())
    };
    if columns.iter().all(whole) { columns } else { Vec::new() }
}

fn place_name(row: usize, octave: usize) -> &'static str {
    match row {
        0 => "root position",
        _ if row == octave => "an octave up",
        1 => "first inversion",
        2 => "second inversion",
        3 => "third inversion",
        _ => "fourth inversion",
    }
}

/// Chords beyond the edges are told.
fn more(painter: &Painter, card: Rect, stage: &Stage<'_>, first: usize, all: usize) {
    if all <= COLUMNS {
        return;
    }
    let last = (first + COLUMNS).min(all);
    let text = format!("chords {} to {last} of {all}", first + 1);
    let at = pos2(card.left() + stage.px(14.0), card.top() + stage.px(26.0));
    plain::baseline(painter, at, &text, fonts::italic(stage.px(13.0)), stage.palette.quiet);
}

/// What is missing, and the caution.
fn caution(ui: &mut Ui, card: Rect, stage: &Stage<'_>, too_wide: Option<String>) {
    let place = Rect::from_min_max(
        pos2(card.left() + stage.px(14.0), card.bottom() - stage.px(38.0)),
        card.max - vec2(stage.px(10.0), 0.0),
    );
    ui.scope_builder(UiBuilder::new().max_rect(place), |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for text in too_wide.iter().map(String::as_str).chain([room::CAUTION]) {
            let text = RichText::new(text).font(fonts::sans(stage.px(12.5))).color(stage.palette.quiet);
            ui.add(Label::new(text).wrap());
        }
    });
}

fn heading(painter: &Painter, stage: &Stage<'_>, top: egui::Pos2, chord: &Chord, width: f32) {
    let sizes = [24.0, 19.0, 16.0, 13.0].map(|size| stage.px(size));
    let (number, font) =
        plain::fitted(painter, &room_map::numbered(chord), fonts::serif, &sizes, width - 6.0);
    let at = pos2(top.x, top.y + stage.px(24.0));
    plain::baseline_centred(painter, at, &number, font, stage.palette.ink);
    let at = pos2(top.x, top.y + stage.px(43.0));
    let font = fonts::sans(stage.px(14.0));
    let name = plain::elided(painter, &chord.pretty_name(), &font, width);
    plain::baseline_centred(painter, at, &name, font, stage.palette.quiet);
}

/// One chord in one position: its notes, and both hands' fingers in their colours.
fn position(painter: &Painter, stage: &Stage<'_>, cell: Rect, held: &PartChord, here: bool) {
    let palette = stage.palette;
    if here {
        let stroke = Stroke::new(stage.px(1.7), palette.ink);
        painter.rect(cell, stage.px(6.0), palette.here, stroke, StrokeKind::Inside);
    } else {
        painter.rect_stroke(cell, stage.px(6.0), Stroke::new(1.0, palette.rule), StrokeKind::Inside);
    }
    let names: Vec<String> = held.right.notes.iter().map(|n| n.pitch.name.pretty()).collect();
    let gap = if names.len() > 3 { " " } else { "  " };
    let centre = cell.center();
    let font = fonts::sans(stage.px(if names.len() > 3 { 14.5 } else { 16.0 }));
    let at = centre - vec2(0.0, stage.px(3.0));
    plain::baseline_centred(painter, at, &names.join(gap), font, palette.ink);
    let size = stage.px(if names.len() > 3 { 13.5 } else { 14.0 });
    for (hand, x, from) in [(Hand::Right, -0.24, &held.right), (Hand::Left, 0.24, &held.left)] {
        let fingers: Vec<String> = from.notes.iter().map(|n| n.finger.to_string()).collect();
        let at = centre + vec2(x * cell.width(), stage.px(16.0));
        let apart = if fingers.len() > 3 { "" } else { " " };
        plain::baseline_centred(painter, at, &fingers.join(apart), fonts::bold(size), palette.hand(hand));
    }
}
