//! The page of the sheet to print: choices at the left, the paper at the right.

use crate::menus::entry;
use crate::pages::{frame, heading, say};
use crate::paper_keys as keys;
use crate::reasons::notes;
use crate::stage::Stage;
use crate::{
    Command, Labels, PaperChoice, PaperCommand, PaperFace, PaperFile, PaperMark, PaperPage, PaperSize,
    SheetKind, fonts,
};
use egui::{
    Color32, FontId, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, UiBuilder, WidgetInfo,
    pos2, vec2,
};

/// The width of the column of choices, in units.
const CHOICES: f32 = 300.0;
/// Room for the words that lead back, and for files under them, in units.
const WAY_BACK: f32 = 190.0;

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "Sheet to print");
    let column = Rect::from_min_max(body.min, pos2(body.left() + stage.px(CHOICES), body.bottom()));
    ui.scope_builder(UiBuilder::new().max_rect(column), |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        choices(ui, stage);
    });
    // Between the choices and the way back.
    let right = body.right() - stage.px(WAY_BACK);
    let paper = Rect::from_min_max(
        pos2(column.right() + stage.px(16.0), rect.top() + stage.px(14.0)),
        pos2(right, rect.bottom() - stage.px(14.0)),
    );
    sheet(ui, paper, stage);
    let files = Rect::from_min_max(
        pos2(body.right() - stage.px(WAY_BACK - 12.0), rect.top() + stage.px(80.0)),
        pos2(body.right(), rect.bottom() - stage.px(14.0)),
    );
    crate::paper_files::show(ui, files, stage);
}

fn choices(ui: &mut Ui, stage: &mut Stage<'_>) {
    let choice = stage.model.view.paper;
    head(ui, stage, "Sheet", keys::KIND);
    for kind in SheetKind::ALL {
        choose(ui, stage, kind.words(), kind == choice.kind, PaperChoice { kind, ..choice });
    }
    head(ui, stage, "Paper", keys::SIZE);
    for size in PaperSize::ALL {
        choose(ui, stage, size.words(), size == choice.size, PaperChoice { size, ..choice });
    }
    head(ui, stage, "Chords as", keys::LABELS);
    for (words, labels) in
        [("numbers", Labels::Numbers), ("letters", Labels::Names), ("numbers and letters", Labels::Both)]
    {
        choose(ui, stage, words, labels == choice.labels, PaperChoice { labels, ..choice });
    }
    if choice.kind != SheetKind::Lesson {
        head(ui, stage, "Sections that go round", keys::PASSES);
        for (words, written_out) in [("once, with what differs", false), ("every pass in full", true)] {
            choose(
                ui,
                stage,
                words,
                written_out == choice.written_out,
                PaperChoice { written_out, ..choice },
            );
        }
    }
    turn(ui, stage);
    ui.add_space(stage.px(8.0));
    for (words, key, file) in
        [("save as PDF", keys::PDF, PaperFile::Pdf), ("save as SVG", keys::SVG, PaperFile::Svg)]
    {
        if entry(ui, stage, &format!("{words} ({key})"), None, None).clicked() {
            stage.out.push(Command::Paper(PaperCommand::Save(file)));
        }
    }
    if let Some(told) = &stage.model.paper.told {
        ui.add_space(stage.px(6.0));
        say(ui, told, fonts::sans(stage.px(14.0)), stage.palette.quiet);
    }
}

fn head(ui: &mut Ui, stage: &Stage<'_>, words: &str, key: &str) {
    heading(ui, stage, &format!("{words} ({key})"));
}

fn choose(ui: &mut Ui, stage: &mut Stage<'_>, words: &str, chosen: bool, choice: PaperChoice) {
    if entry(ui, stage, words, None, Some(chosen)).clicked() {
        stage.out.push(Command::Paper(PaperCommand::Choose(choice)));
    }
}

/// Which page of how many, where there are several.
fn turn(ui: &mut Ui, stage: &mut Stage<'_>) {
    let count = stage.model.paper.pages.len();
    if count < 2 {
        return;
    }
    let page = stage.model.view.paper_page.min(count - 1);
    heading(ui, stage, &format!("Page {} of {count}", page + 1));
    for (words, to) in
        [("the next page (Page Down)", page + 1), ("the page before (Page Up)", page.wrapping_sub(1))]
    {
        if to < count && entry(ui, stage, words, None, None).clicked() {
            stage.out.push(Command::Paper(PaperCommand::Turn(to)));
        }
    }
}

/// The paper, as large as there is room.
fn sheet(ui: &mut Ui, rect: Rect, stage: &Stage<'_>) {
    if notes::alone(stage) {
        let below = Rect::from_min_max(rect.min + vec2(0.0, stage.px(60.0)), rect.max);
        return notes::nothing_here(ui, below, stage, notes::NOTHING_TO_PRINT);
    }
    let pages = &stage.model.paper.pages;
    let Some(page) = pages.get(stage.model.view.paper_page.min(pages.len().saturating_sub(1))) else {
        stage.text(
            ui,
            rect.center_top() + vec2(0.0, stage.px(60.0)),
            "The sheet is being set.",
            16.0,
            stage.palette.quiet,
        );
        return;
    };
    let scale = (rect.width() / page.width).min(rect.height() / page.height);
    let size = scale * vec2(page.width, page.height);
    let paper = Rect::from_center_size(rect.center(), size);
    let response = ui.interact(paper, ui.scope_id().with("paper"), Sense::hover());
    let at = stage.model.view.paper_page.min(pages.len() - 1) + 1;
    let name = format!("Page {at} of {}: {}", pages.len(), page.says);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &name));
    let painter = ui.painter_at(paper.expand(1.0));
    painter.rect(paper, 0.0, Color32::WHITE, Stroke::new(1.0, stage.palette.line), StrokeKind::Outside);
    draw(&painter, page, paper.min, scale);
}

fn draw(painter: &Painter, page: &PaperPage, origin: Pos2, scale: f32) {
    let place = |at: &[f32; 2]| origin + scale * vec2(at[0], at[1]);
    for mark in &page.marks {
        match mark {
            PaperMark::Text { at, text, face, size, color } => {
                crate::plain::baseline(painter, place(at), text, font(*face, scale * size), ink(*color));
            }
            PaperMark::Shape { points, closed, fill, stroke } => {
                let points: Vec<Pos2> = points.iter().map(place).collect();
                let line = stroke
                    .map_or(Stroke::NONE, |(width, color)| Stroke::new((scale * width).max(0.5), ink(color)));
                painter.add(match (fill, closed) {
                    (Some(fill), _) => Shape::convex_polygon(points, ink(*fill), line),
                    (None, true) => Shape::closed_line(points, line),
                    (None, false) => Shape::line(points, line),
                });
            }
        }
    }
}

fn font(face: PaperFace, size: f32) -> FontId {
    match face {
        PaperFace::Sans => fonts::sans(size),
        PaperFace::Bold => fonts::bold(size),
        PaperFace::Serif => fonts::serif(size),
        PaperFace::Italic => fonts::italic(size),
    }
}

fn ink([red, green, blue]: [u8; 3]) -> Color32 {
    Color32::from_rgb(red, green, blue)
}
