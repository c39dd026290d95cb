//! A figure as cells that are clicked or typed into.

use super::cell::{self, DIVISIONS, Pen};
use super::hands::About;
use super::line::{Offer, hand, offers, side};
use super::state::SideCommand;
use crate::stage::Stage;
use crate::{fonts, plain};
use egui::{Event, Rect, Sense, Stroke, StrokeKind, Ui, vec2};
use song::edit::HandField;
use song::{Figure, FigureSign};

/// Units.
const CELL: f32 = 28.0;
const HIGH: f32 = 30.0;
/// Between two beats.
const GAP: f32 = 9.0;

/// Draws the cells beat by beat, what a click puts in, and how the chosen beat is divided.
pub(crate) fn show(ui: &mut Ui, stage: &mut Stage<'_>, about: &About, figure: &Figure) {
    let state = &stage.model.view.writing.side;
    let chosen = state.beat.min(figure.beats.len().saturating_sub(1));
    let pen = state.pen;
    let mut set: Option<Figure> = None;
    cells(ui, stage, figure, chosen, pen, &mut set);
    let pens = Pen::ALL.map(|one| {
        let text = match one {
            Pen::Hold => "hold".to_owned(),
            Pen::Silent => "silent".to_owned(),
            other => other.sign().to_owned(),
        };
        let name = format!("A click puts in: {} ({})", one.name(), one.sign());
        Offer::of(text, name, one == pen, side(SideCommand::Pen(one)))
    });
    offers(ui, stage, "put in", pens.into());
    let count = figure.beats.get(chosen).map_or(1, Vec::len);
    let tells = |figure: Figure| hand(about.place, about.hand, HandField::Figure(Some(figure)));
    let mut words: Vec<Offer> = DIVISIONS
        .map(|cells| {
            let name = format!("Beat {} in {cells}", chosen + 1);
            let command = tells(cell::divided(figure, chosen, cells));
            Offer::of(cells.to_string(), name, cells == count, command)
        })
        .into();
    let alike = tells(cell::all_like(figure, chosen));
    words.push(Offer::deed("every beat so", format!("Every beat like beat {}", chosen + 1), alike));
    offers(ui, stage, &format!("beat {} in", chosen + 1), words);
    beats(ui, stage, figure, &tells);
    if let Some(figure) = set {
        stage.out.push(tells(figure));
    }
}

/// A beat more or less: a bar's rhythm may be longer or shorter than it is drawn.
fn beats(ui: &mut Ui, stage: &mut Stage<'_>, figure: &Figure, tells: &impl Fn(Figure) -> crate::Command) {
    let count = figure.beats.len();
    let mut words = Vec::new();
    if count > 1 {
        let fewer = tells(cell::over_beats(figure, count - 1));
        words.push(Offer::deed("one less", "One beat less", fewer));
    }
    if count < song::limits::FIGURE_BEATS {
        words.push(Offer::deed("one more", "One beat more", tells(cell::over_beats(figure, count + 1))));
    }
    let text = if count == 1 { "1 beat".to_owned() } else { format!("{count} beats") };
    offers(ui, stage, &text, words);
}

/// The cells, in as many lines as they take.
fn cells(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    figure: &Figure,
    chosen: usize,
    pen: Pen,
    set: &mut Option<Figure>,
) {
    let (wide, high, gap) = (stage.px(CELL), stage.px(HIGH), stage.px(GAP));
    ui.add_space(stage.px(4.0));
    let (_, mut line) = ui.allocate_space(vec2(ui.available_width(), high + stage.px(6.0)));
    let mut x = line.left();
    for (beat, signs) in figure.beats.iter().enumerate() {
        // A beat of more cells than there is room for has narrower ones.
        let cell = wide.min(line.width() / signs.len() as f32);
        let length = cell * signs.len() as f32;
        if x + length > line.right() + 0.5 && x > line.left() {
            (_, line) = ui.allocate_space(vec2(ui.available_width(), high + stage.px(6.0)));
            x = line.left();
        }
        for (at, sign) in signs.iter().enumerate() {
            let place = Rect::from_min_size(egui::pos2(x + cell * at as f32, line.top()), vec2(cell, high));
            if let Some(sign) = one(ui, stage, place, (beat, at, signs.len()), sign, pen) {
                *set = Some(cell::with_sign(figure, beat, at, sign));
                stage.out.push(side(SideCommand::Beat(beat)));
            }
        }
        let whole = Rect::from_min_size(egui::pos2(x, line.top()), vec2(length, high));
        let weight = if beat == chosen { 2.0 } else { 1.0 };
        let edge = if beat == chosen { stage.palette.ink } else { stage.palette.line };
        let stroke = Stroke::new(stage.px(weight), edge);
        ui.painter().rect_stroke(whole, stage.px(3.0), stroke, StrokeKind::Inside);
        x += length + gap;
    }
}

/// A cell; what it becomes, if it was clicked or typed into.
fn one(
    ui: &mut Ui,
    stage: &Stage<'_>,
    place: Rect,
    (beat, at, of): (usize, usize, usize),
    sign: &FigureSign,
    pen: Pen,
) -> Option<FigureSign> {
    let name = match of {
        1 => format!("Beat {}: {}", beat + 1, cell::in_words(sign)),
        _ => format!("Beat {}, {} of {of}: {}", beat + 1, at + 1, cell::in_words(sign)),
    };
    let id = ui.scope_id().with(("cell", beat, at));
    let response = ui.interact(place, id, Sense::click());
    let enabled = ui.is_enabled();
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, enabled, &name));
    draw(ui, stage, place, at, sign);
    plain::focus_ring(ui, &response, stage.palette);
    if response.has_focus() {
        super::keys::cell_has_focus(ui, response.id);
    }
    let typed = response.has_focus().then(|| typed(ui)).flatten();
    match typed {
        Some(pen) => Some(pen.click(sign)).filter(|new| new != sign),
        None => response.clicked().then(|| pen.click(sign)),
    }
}

/// The sign that was typed in this frame.
fn typed(ui: &Ui) -> Option<Pen> {
    ui.input(|input| {
        input.events.iter().find_map(|event| match event {
            Event::Text(text) => text.chars().next().and_then(Pen::of_sign),
            _ => None,
        })
    })
}

fn draw(ui: &Ui, stage: &Stage<'_>, place: Rect, at: usize, sign: &FigureSign) {
    let palette = stage.palette;
    let sounds = matches!(sign, FigureSign::Strike | FigureSign::Notes(_));
    if sounds {
        ui.painter().rect_filled(place.shrink(stage.px(2.0)), stage.px(2.0), palette.here);
    }
    if at > 0 {
        let y = place.shrink(stage.px(5.0)).y_range();
        ui.painter().vline(place.left(), y, Stroke::new(1.0, palette.rule));
    }
    let text = sign.to_string();
    let of_size = |size: f32| if sounds { fonts::bold(size) } else { fonts::sans(size) };
    let sizes = [15.0, 12.5, 10.5, 9.0].map(|size| stage.px(size));
    let (text, font) = plain::fitted(
        ui.painter(),
        text.trim_matches(['[', ']']),
        of_size,
        &sizes,
        place.width() - stage.px(5.0),
    );
    let color = if sounds { palette.ink } else { palette.quiet };
    plain::baseline_centred(
        ui.painter(),
        egui::pos2(place.center().x, place.center().y + stage.px(5.5)),
        &text,
        font,
        color,
    );
}
