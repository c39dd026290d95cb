//! The page of writing, on which edits are made to the text as the application makes them.

use super::fixture::Stand;
use super::raster::Raster;
use egui_kittest::Harness;
use song::edit::Clip;
use ui::{Chosen, Command, Page, Topic, Writing, WritingCommand};

/// A song being written.
pub struct Desk {
    pub stand: Stand,
    pub text: String,
    /// Why edits could not be made.
    pub refused: Vec<String>,
    pub asked: Vec<Command>,
}

pub type Shown = Harness<'static, Desk>;

impl Desk {
    pub fn carry_out(&mut self, command: Command) {
        self.stand.view.apply(&command);
        match &command {
            Command::Writing(WritingCommand::Change(changes)) => {
                match song::edit::apply_all(&self.text, changes) {
                    Ok(edited) => {
                        assert_eq!(edited.undo.apply(&edited.text), self.text);
                        self.text = edited.text;
                        self.stand.writing = Writing::of(&self.text);
                    }
                    Err(error) => self.refused.push(error.to_string()),
                }
            }
            Command::Writing(WritingCommand::Copy { section, from, to }) => {
                let clip = Clip::of(&self.text, *section, *from, *to).expect("the bars are there");
                self.stand.writing.as_mut().expect("a song is being written").clip = Some(clip.bars());
            }
            _ => {}
        }
        self.asked.push(command);
    }
}

/// A text is written, beside the part of the song it comes from; with a place chosen, and a topic open at the side.
pub fn desk(song: &str, text: &str, chosen: Chosen, topic: Option<Topic>) -> Shown {
    let mut stand = Stand::new(song);
    stand.writing = Writing::of(text);
    stand.view.page = Page::Writing;
    stand.view.writing.chosen = chosen;
    stand.view.writing.side.topic = topic;
    let desk = Desk { stand, text: text.into(), refused: Vec::new(), asked: Vec::new() };
    Harness::builder()
        .with_size([1280.0, 800.0])
        .renderer(Raster::default())
        .with_context_setup(ui::install)
        .build_ui_state(
            |ui, desk: &mut Desk| {
                for command in ui::show(ui, &desk.stand.model()) {
                    desk.carry_out(command);
                }
            },
            desk,
        )
}
