//! One frame of the window.

use crate::layout::SongPage;
use crate::stage::Stage;
use crate::{
    Command, Model, Page, Theme, bar_in_hand, chart, choice_panel, controls, early_late, keyboard, keys,
    keys_page, layout, mistakes, pages, reasons, results, room, settings, takes, theme, timing, writing,
};
use egui::Ui;
use practice::SessionCommand;
use practice::history::Help;
use std::time::Duration;

/// Sets the typefaces and the look of egui's own widgets. Call it once, before the first frame.
pub fn install(ctx: &egui::Context) {
    ctx.set_fonts(crate::fonts());
    for (dark, of) in [(egui::Theme::Light, Theme::Day), (egui::Theme::Dark, Theme::Night)] {
        ctx.set_visuals_of(dark, theme::visuals(of));
    }
    ctx.all_styles_mut(|style| style.override_font_id = Some(crate::fonts::sans(16.0)));
}

/// A frame while the clock runs: 60 a second suffice, and a machine without a display's own beat is not burnt up.
const FRAME: Duration = Duration::from_millis(16);

/// Draws a frame over the whole window and returns what the player asked for in it, in order. Asks for the next frame
/// only while the session runs.
pub fn show(ui: &mut Ui, model: &Model<'_>) -> Vec<Command> {
    let window = ui.ctx().content_rect();
    ui.set_clip_rect(window);
    let mut stage = Stage::new(*model, window.size());
    style(ui, &stage);
    ui.painter().rect_filled(window, 0.0, stage.palette.ground);
    let mut asked = Vec::new();
    keys::handle(ui, model, &mut asked);
    stage.out = asked;
    let pedal = model.session.settings.pedal
        && model.view.page == Page::Song
        && model.sheet.is_some_and(|sheet| !sheet.pedal.is_empty());
    let asked = crate::file_strip::lines(model);
    let strip = if asked > 0 { asked } else { mistakes::lines(model, model.view.page) };
    let page = layout::song_page(window, stage.unit, strip, pedal);
    if model.view.page == Page::Stage {
        crate::practice::on_stage::show(ui, window, &mut stage);
        go_on(ui, model);
        return stage.out;
    }
    controls::show(ui, page.controls, &mut stage);
    if let Some(strip) = page.strip {
        match asked {
            0 => mistakes::strip(ui, strip, &mut stage),
            _ => crate::file_strip::show(ui, strip, &mut stage),
        }
    }
    match model.view.page {
        Page::Song => song(ui, page, &mut stage),
        Page::Ways => ways(ui, page, &mut stage),
        Page::Writing => writing::show(ui, page, &mut stage),
        Page::NewSong => writing::new_song::show(ui, page.rest(), &mut stage),
        Page::Practice => practising(ui, page, &mut stage),
        Page::Ready => crate::practice::ready::show(ui, page.rest(), &mut stage),
        Page::Stage => {}
        Page::Results => after(ui, page, &mut stage),
        Page::Room => scales(ui, page, &mut stage),
        Page::Songs => crate::songs::show(ui, page.rest(), &mut stage),
        Page::Versions => crate::versions::show(ui, page.rest(), &mut stage),
        Page::Paper => crate::paper_page::show(ui, page.rest(), &mut stage),
        Page::Takes => takes::show(ui, page.rest(), &mut stage),
        Page::Timing => timing::show(ui, page.rest(), &mut stage),
        Page::More => settings::show(ui, page.rest(), &mut stage),
        Page::Keys => keys_page::show(ui, page.rest(), &mut stage),
        Page::Mistakes => pages::all_mistakes(ui, page.rest(), &mut stage),
        Page::FirstStart => {
            pages::first_start(ui, page.above_keyboard(), &mut stage);
            keyboard::show(ui, page.keyboard, &mut stage);
        }
    }
    go_on(ui, model);
    back_to_play(model, &mut stage.out);
    stage.out
}

/// Asks for the next frame where something moves by itself.
fn go_on(ui: &Ui, model: &Model<'_>) {
    if model.session.running || model.replay.is_some() || model.taps.tapping.is_some() {
        ui.ctx().request_repaint_after(FRAME);
    }
}

/// Whoever starts from a page without bars and keys wants to see what to play.
fn back_to_play(model: &Model<'_>, out: &mut Vec<Command>) {
    let starts = |command: &Command| {
        matches!(command, Command::Session(SessionCommand::Toggle | SessionCommand::Advance))
    };
    let without = matches!(
        model.view.page,
        Page::Results
            | Page::Ready
            | Page::Songs
            | Page::Paper
            | Page::Versions
            | Page::Takes
            | Page::More
            | Page::Keys
            | Page::Mistakes
    );
    // Whoever plays is judged again, and hears what was chosen.
    let plays = |command: &Command| *command == Command::Session(SessionCommand::Toggle);
    let chosen = model.view.page == Page::Ways && out.iter().any(plays);
    if chosen || without && !model.session.running && out.iter().any(starts) {
        out.push(Command::Show(Page::Song));
    }
}

/// egui's own widgets in the colours and sizes of this window.
fn style(ui: &mut Ui, stage: &Stage<'_>) {
    // Menus and tooltips are made from the context's own style.
    let wanted = match stage.model.view.theme {
        Theme::Day => egui::Theme::Light,
        Theme::Night => egui::Theme::Dark,
    };
    if ui.ctx().theme() != wanted {
        ui.ctx().set_theme(wanted);
    }
    let visuals = theme::visuals(stage.model.view.theme);
    let style = ui.style_mut();
    style.visuals = visuals;
    style.override_font_id = Some(crate::fonts::sans(16.0 * stage.unit));
    style.spacing.slider_width = stage.px(200.0);
    style.spacing.scroll = egui::style::ScrollStyle::thin();
    style.spacing.scroll.fade.strength = 0.0;
}

fn song(ui: &mut Ui, page: SongPage, stage: &mut Stage<'_>) {
    chart::show(ui, page.chart, stage);
    reasons::show(ui, page.reasons, stage);
    bar_in_hand::show(ui, page.bar, stage);
    keyboard::show(ui, page.keyboard, stage);
}

fn practising(ui: &mut Ui, page: SongPage, stage: &mut Stage<'_>) {
    let help = stage.model.practice.now.help;
    match help {
        Help::Full | Help::Numbers => chart::show(ui, page.chart, stage),
        Help::Sections | Help::Nothing => crate::practice::memory::show(ui, page.chart, stage, help),
    }
    crate::practice::panel::show(ui, page.reasons, stage);
    if help == Help::Full {
        bar_in_hand::show(ui, page.bar, stage);
    }
    keyboard::show(ui, page.keyboard, stage);
}

fn ways(ui: &mut Ui, page: SongPage, stage: &mut Stage<'_>) {
    chart::show(ui, page.chart, stage);
    choice_panel::show(ui, page.reasons, stage);
    bar_in_hand::show(ui, page.bar, stage);
    keyboard::show(ui, page.keyboard, stage);
}

fn after(ui: &mut Ui, page: SongPage, stage: &mut Stage<'_>) {
    chart::show(ui, page.chart, stage);
    results::show(ui, page.reasons, stage);
    early_late::show(ui, page.foot(), stage);
}

fn scales(ui: &mut Ui, page: SongPage, stage: &mut Stage<'_>) {
    room::show(ui, page.above_keyboard(), stage);
    keyboard::show(ui, page.keyboard, stage);
}
