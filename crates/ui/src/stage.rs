//! What every view needs while it draws: the model, the colours, the scale, and where commands go.

use crate::keys::Ask;
use crate::plain::{self, Word};
use crate::{Command, Labels, Model, Page, Palette};
use egui::{Pos2, Rect, Response, Stroke, StrokeKind, Ui};
use practice::Lap;
use theory::{Capo, Chord, Degree, Key, NoteName};

/// The desk a view draws on.
pub(crate) struct Stage<'a> {
    /// What there is to show.
    pub model: Model<'a>,
    /// The colours.
    pub palette: &'static Palette,
    /// The scale: 1 in a window of 1280 by 800.
    pub unit: f32,
    /// What the player asked for.
    pub out: Vec<Command>,
}

impl<'a> Stage<'a> {
    /// A desk for a window of a size.
    pub fn new(model: Model<'a>, size: egui::Vec2) -> Stage<'a> {
        let unit = (size.x / 1280.0).min(size.y / 800.0).clamp(0.6, 2.5);
        Stage { model, palette: model.view.theme.palette(), unit, out: Vec::new() }
    }

    /// The pass whose result is shown: the one that was chosen, else the last.
    pub fn lap(&self) -> Option<&'a Lap> {
        let laps = self.model.laps;
        self.model.view.lap.and_then(|at| laps.get(at)).or(laps.last())
    }

    /// That pass, if it was played to bars that look like those of the page: the same song, in whatever key.
    pub fn lap_of_page(&self) -> Option<&'a Lap> {
        let part = self.model.part?;
        self.lap().filter(|lap| lap.part.title == part.title && lap.part.bars.len() == part.bars.len())
    }

    /// The capo that a guitarist reads beside the player, if it is asked for.
    pub fn capo(&self) -> Option<Capo> {
        let wanted = self.model.view.capo.filter(|_| self.model.view.page != Page::Room)?;
        let ways = Capo::ways(self.model.part?.key);
        ways.get(wanted).or(ways.last()).copied()
    }

    /// How chords are named: whoever reads shapes sees them.
    pub fn labels(&self) -> Labels {
        match self.model.view.labels {
            Labels::Numbers if self.capo().is_some() => Labels::Both,
            labels => labels,
        }
    }

    /// A chord as its name is read: behind a capo its shape.
    pub fn read(&self, chord: &Chord) -> Chord {
        self.capo().map_or_else(|| chord.clone(), |capo| capo.shape(chord))
    }

    /// A length in the window's scale.
    pub fn px(&self, length: f32) -> f32 {
        length * self.unit
    }

    /// A card to draw on.
    pub fn card(&self, ui: &Ui, rect: Rect) {
        let stroke = Stroke::new(1.0, self.palette.rule);
        ui.painter().rect(rect, self.px(4.0), self.palette.page, stroke, StrokeKind::Inside);
    }

    /// A word that asks for what its shortcut stands for; returns its response.
    pub fn asking(&mut self, ui: &mut Ui, at: Pos2, word: &Word<'_>, ask: Ask) -> Response {
        let response = word.show(ui, at, self.palette);
        if response.clicked() {
            self.out.extend(crate::ask::command(ask, &self.model));
        }
        response
    }

    /// A word that asks for a command.
    pub fn offering(&mut self, ui: &mut Ui, at: Pos2, word: &Word<'_>, command: Command) -> Response {
        let response = word.show(ui, at, self.palette);
        if response.clicked() {
            self.out.push(command);
        }
        response
    }

    /// Text on a baseline in the sans of a size (in units).
    pub fn text(&self, ui: &Ui, at: Pos2, text: &str, size: f32, color: egui::Color32) -> Rect {
        plain::baseline(ui.painter(), at, text, crate::fonts::sans(self.px(size)), color)
    }
}

/// The degree of a note in a key: F♯ in D major is 3, F is ♭3.
pub(crate) fn degree_of(key: Key, name: NoteName) -> Option<Degree> {
    let scale = key.scale();
    let at = scale.iter().position(|own| own.letter == name.letter)?;
    Degree::new(at as u8 + 1, name.alter - scale[at].alter)
}
