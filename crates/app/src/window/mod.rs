//! The window: eframe around the views of the `ui` crate.

mod chooser;
mod choosing;
mod dialog;
mod earlier;
mod file_kind;
pub mod keeper;
mod library;
mod memory;
#[cfg(test)]
mod played;
mod playing;
mod practice_keeper;
mod practice_memory;
mod presses;
mod proof;
mod rig;
mod room;
mod shell;
pub mod song_keeper;
mod take_file;
mod takes;
mod taps;

pub use shell::Shell;

use crate::cli::Answer;
use crate::document::Source;
use std::path::PathBuf;

/// Opens the window on a song, on the last one, or on a demo song, and returns when it is closed.
///
/// # Errors
/// The answer to print where no window can open.
pub fn open(song: Option<PathBuf>) -> Result<(), Answer> {
    if let Some(path) = &song {
        std::fs::metadata(path).map_err(|error| crate::cli::unreadable(path, &error))?;
    }
    if !has_display() {
        return Err(no_window(
            "there is no display here: neither DISPLAY nor WAYLAND_DISPLAY is set".to_owned(),
        ));
    }
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_title("Overhand")
            .with_app_id("overhand")
            .with_inner_size([1280.0, 800.0])
            .with_min_inner_size([800.0, 500.0])
            .with_drag_and_drop(true),
        renderer: eframe::Renderer::Glow,
        system_font_fallback: false,
        ..eframe::NativeOptions::default()
    };
    let source = song.map(Source::File);
    let made = move |context: &eframe::CreationContext<'_>| {
        Ok(Box::new(Shell::new(&context.egui_ctx, source)?) as Box<dyn eframe::App>)
    };
    eframe::run_native("overhand", options, Box::new(made)).map_err(|error| no_window(error.to_string()))
}

fn no_window(why: String) -> Answer {
    Answer::wrong_input(vec![
        format!("The window cannot open: {why}."),
        "'overhand part SONG' prints the two-hand part in its place; 'overhand --help' lists what else there is."
            .to_owned(),
    ])
}

/// Whether there is a screen to open a window on; other systems than these always have one.
fn has_display() -> bool {
    let is_set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    cfg!(not(all(unix, not(target_os = "macos")))) || is_set("DISPLAY") || is_set("WAYLAND_DISPLAY")
}
