//! What the program writes down for those who test it from outside: when its first frame was painted, which words stand
//! in the window, and where a run is. Only where the environment asks for it.

use std::path::PathBuf;
use std::sync::Mutex;
use std::time::SystemTime;

/// Names the file that is made once the first frame has been painted.
const FIRST_FRAME: &str = "OVERHAND_FIRST_FRAME";
/// Names the file that holds, line by line, the texts painted in the newest frame.
const SHOWN: &str = "OVERHAND_SHOWN";

/// Names the file that holds how many frames were drawn.
const FRAMES: &str = "OVERHAND_FRAMES";

/// Names the file that holds where a run is: a moment as microseconds of the system's clock, and the place in quarters
/// from the first bar line at that moment.
const PLACE: &str = "OVERHAND_PLACE";

/// Writes down where a run is just now. A second process can then play to its beat, however slowly frames are drawn.
pub fn place(session: &practice::SessionView) {
    if let Some(path) = std::env::var_os(PLACE).filter(|_| session.running) {
        let now = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
        let place = format!("{} {}\n", now.as_micros(), session.position.quarters);
        // As below.
        let _ = crate::storage::write_whole(&PathBuf::from(path), place.as_bytes());
    }
}

/// Writes down how many frames were drawn.
pub fn frame_drawn(count: u64) {
    if let Some(path) = std::env::var_os(FRAMES) {
        // As below.
        let _ = std::fs::write(path, count.to_string());
    }
}

/// Says that the first frame is on the screen.
pub fn first_frame_painted() {
    if let Some(path) = std::env::var_os(FIRST_FRAME) {
        // Whoever asked for the file misses it; there is nobody else to tell.
        let _ = std::fs::write(path, b"painted\n");
    }
}

/// From now on, writes down the texts that are painted.
pub fn write_down_what_is_shown(ctx: &egui::Context) {
    let Some(path) = std::env::var_os(SHOWN).map(PathBuf::from) else { return };
    let last = Mutex::new(String::new());
    ctx.on_end_pass(
        "texts painted",
        std::sync::Arc::new(move |ui: &mut egui::Ui| {
            let shown = texts(ui.ctx()).join("\n") + "\n";
            let mut last = last.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
            if *last != shown {
                // As above.
                let _ = crate::storage::write_whole(&path, shown.as_bytes());
                *last = shown;
            }
        }),
    );
}

/// All texts that this pass has painted, layer by layer.
fn texts(ctx: &egui::Context) -> Vec<String> {
    let mut texts = Vec::new();
    let layers: Vec<egui::LayerId> = ctx.memory(|memory| memory.layer_ids().collect());
    ctx.graphics(|graphics| {
        for layer in layers {
            for clipped in graphics.get(layer).into_iter().flat_map(egui::layers::PaintList::all_entries) {
                collect(&clipped.shape, &mut texts);
            }
        }
    });
    texts
}

fn collect(shape: &egui::Shape, texts: &mut Vec<String>) {
    match shape {
        egui::Shape::Text(text) => texts.push(text.galley.text().to_owned()),
        egui::Shape::Vec(shapes) => shapes.iter().for_each(|shape| collect(shape, texts)),
        _ => {}
    }
}
