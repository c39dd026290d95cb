//! A line or a few to type in. What is typed is kept while one types, and told when it can be taken.

use crate::stage::Stage;
use crate::{Page, fonts, pages};
use egui::{Id, Key, Margin, Response, RichText, TextEdit, Ui};

/// A place to type in.
pub(crate) struct Field<'a> {
    /// What assistive technology reads.
    pub name: &'a str,
    /// What stands there in the song.
    pub text: &'a str,
    /// What is shown where nothing stands: what holds without it, or an example.
    pub hint: &'a str,
    /// How many lines.
    pub rows: usize,
    /// How wide, in units; `None`: as wide as there is room.
    pub wide: Option<f32>,
}

impl<'a> Field<'a> {
    /// One line of the full width.
    pub fn line(name: &'a str, text: &'a str, hint: &'a str) -> Field<'a> {
        Field { name, text, hint, rows: 1, wide: None }
    }

    /// Of a width, in units.
    pub fn wide(self, wide: f32) -> Field<'a> {
        Field { wide: Some(wide), ..self }
    }

    /// Of so many lines.
    pub fn rows(self, rows: usize) -> Field<'a> {
        Field { rows, ..self }
    }

    /// Draws it. What is typed is told at every stroke.
    pub fn live(self, ui: &mut Ui, stage: &Stage<'_>) -> Option<String> {
        let (response, typed) = self.draw(ui, stage);
        response.changed().then_some(typed)
    }

    /// Draws it. What is typed is told when it is done: with Enter, or when one goes elsewhere. Escape leaves what was.
    /// Where a song is written the cursor stays after Enter, so that Tab goes on from there.
    pub fn done(self, ui: &mut Ui, stage: &Stage<'_>) -> Option<String> {
        let was = self.text.to_owned();
        let (response, typed) = self.draw(ui, stage);
        let [given_up, entered] =
            ui.input(|input| [Key::Escape, Key::Enter].map(|key| input.key_pressed(key)));
        let left = response.lost_focus();
        if left && entered && stage.model.view.page == Page::Writing {
            response.request_focus();
        }
        (left && !given_up && typed.trim() != was.trim()).then_some(typed)
    }

    fn draw(self, ui: &mut Ui, stage: &Stage<'_>) -> (Response, String) {
        let id = Id::unique(("written at the side", self.name));
        let kept: Option<String> = ui.data(|data| data.get_temp(id));
        let begun = kept.is_some();
        let mut text = kept.unwrap_or_else(|| self.text.to_owned());
        let line =
            if self.rows > 1 { TextEdit::multiline(&mut text) } else { TextEdit::singleline(&mut text) };
        let wide = self.wide.map_or(ui.available_width(), |wide| stage.px(wide));
        let edge = Margin::symmetric(stage.px(6.0) as i8, stage.px(3.0) as i8);
        let edit = line
            .id(id)
            .font(fonts::sans(stage.px(16.0)))
            .text_color(stage.palette.ink)
            .background_color(stage.palette.page)
            .hint_text(RichText::new(self.hint).font(fonts::italic(stage.px(15.0))))
            .desired_rows(self.rows)
            .desired_width(wide - 2.0 * stage.px(6.0))
            .margin(edge);
        let response = ui.add(edit);
        ui.ctx().accesskit_node_builder(response.id, |node| node.set_label(self.name.to_owned()));
        crate::plain::focus_ring(ui, &response, stage.palette);
        if super::keys::first_line(ui) {
            response.request_focus();
        }
        let typing = response.has_focus();
        if typing {
            super::keys::typing(ui);
        }
        // As long as nothing is typed, the song's own words stand there, whatever becomes of them.
        ui.data_mut(|data| match typing {
            true if begun || response.changed() => drop(data.insert_temp(id, text.clone())),
            true => {}
            false => data.remove::<String>(id),
        });
        (response, text)
    }
}

/// What is wrong with what was typed, under it.
pub(crate) fn wrong(ui: &mut Ui, stage: &Stage<'_>, id: &str, error: Option<String>, asked: bool) {
    let id = Id::unique(("wrong at the side", id));
    if asked {
        ui.data_mut(|data| match &error {
            Some(error) => drop(data.insert_temp(id, error.clone())),
            None => data.remove::<String>(id),
        });
    }
    if let Some(error) = ui.data(|data| data.get_temp::<String>(id)) {
        pages::say(ui, &error, fonts::bold(stage.px(14.0)), stage.palette.ink);
    }
}
