//! A window over a stand: events in, commands out.

use crate::support::fixture::Stand;
use crate::support::raster::Raster;
use egui_kittest::Harness;
use ui::Command;

/// The stand and what was asked for so far.
pub struct Window {
    pub stand: Stand,
    pub asked: Vec<Command>,
}

pub type Shown = Harness<'static, Window>;

/// A window of a size. View commands are carried out, so that pages open.
pub fn window(stand: Stand, size: [f32; 2]) -> Shown {
    Harness::builder()
        .with_size(size)
        .renderer(Raster::default())
        .with_context_setup(ui::install)
        .build_ui_state(
            |ui, window: &mut Window| {
                let asked = ui::show(ui, &window.stand.model());
                for command in &asked {
                    window.stand.view.apply(command);
                }
                window.asked.extend(asked);
            },
            Window { stand, asked: Vec::new() },
        )
}

/// Another size of a window that is open. Its letters are drawn already, so this is quicker than another window.
pub fn resize(shown: &mut Shown, size: [f32; 2]) {
    shown.set_size(size.into());
    shown.run();
}

/// What a shown window asked for since the last call.
pub fn asked(shown: &mut Shown) -> Vec<Command> {
    std::mem::take(&mut shown.state_mut().asked)
}
