//! An empty window of the same size and renderer, to compare the start of the program with.
#![allow(missing_docs)]

struct Empty {
    frames: u32,
}

impl eframe::App for Empty {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.frames += 1;
        match self.frames {
            1 => ui.ctx().request_repaint(),
            // The second frame is asked for once the first is on the screen.
            2 => {
                if let Some(path) = std::env::var_os("OVERHAND_FIRST_FRAME") {
                    std::fs::write(path, b"painted\n")
                        .expect("whoever measures names a file that can be written");
                }
            }
            _ => {}
        }
    }
}

fn main() -> eframe::Result {
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default().with_inner_size([1280.0, 800.0]),
        renderer: eframe::Renderer::Glow,
        system_font_fallback: false,
        ..eframe::NativeOptions::default()
    };
    eframe::run_native("empty window", options, Box::new(|_| Ok(Box::new(Empty { frames: 0 }))))
}
