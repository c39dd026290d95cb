//! Writing a song: its text is edited in memory, read at once, planned, and kept.

use super::Shell;
use crate::document::Step;
use practice::{Mode, SessionCommand};
use song::edit::{Change, Clip, Field, Place};
use ui::{Chosen, Page, Writing, WritingCommand};

/// The shell's side of writing.
#[derive(Debug, Default)]
pub(super) struct Table {
    /// The song as it is now, while its page is shown.
    writing: Option<Writing>,
    /// The bars that were copied last.
    clip: Option<Clip>,
    /// What was not certain in the chart that was pasted last.
    doubts: Vec<song::paste::Doubt>,
}

impl Table {
    /// What the page shows.
    pub fn shown(&self) -> Option<&Writing> {
        self.writing.as_ref()
    }
}

impl Shell {
    /// The page of writing follows the text.
    pub(super) fn write_down(&mut self) {
        if self.view.page != Page::Writing {
            self.table.writing = None;
            return;
        }
        let Some(text) = self.document.text() else { return };
        let clip = self.table.clip.as_ref().map(Clip::bars);
        if let Some(writing) = self.table.writing.as_mut().filter(|writing| writing.text == text) {
            writing.clip = clip;
            return;
        }
        let told = self.table.writing.take().and_then(|writing| writing.told);
        self.table.writing = Writing::of(text).map(|writing| Writing { told, clip, ..writing });
    }

    /// Carries out what the page of writing asks for.
    pub(super) fn carry_out_writing(&mut self, command: WritingCommand) {
        match command {
            WritingCommand::Change(changes) => self.write_changes(&changes),
            WritingCommand::Choose(chosen) => {
                self.document.pause();
                self.go_to_chosen(chosen);
            }
            WritingCommand::Hear => {
                self.ask_session(SessionCommand::SetMode(Mode::Listen));
                self.go_to_chosen(self.view.writing.chosen);
                self.ask_session(SessionCommand::Start);
            }
            WritingCommand::Copy { section, from, to } => {
                let clip = self.document.text().and_then(|text| Clip::of(text, section, from, to).ok());
                self.table.clip = clip.or(self.table.clip.take());
            }
            WritingCommand::Paste { section, at, text } => self.paste(section, at, &text),
            WritingCommand::Tell(told) => self.say_of_writing(told),
            WritingCommand::Line(_) | WritingCommand::Find(_) | WritingCommand::Side(_) => {}
        }
    }

    /// Makes edits as one step.
    pub(super) fn write_changes(&mut self, changes: &[Change]) {
        match self.document.change(changes) {
            Ok(Some(step)) => self.keep_written(step),
            Ok(None) => self.say_of_writing("The song has not been read yet.".to_owned()),
            Err(error) => self.say_of_writing(format!("That cannot be done: {error}.")),
        }
        self.write_down();
    }

    /// What was copied here goes in with what is said about it; other text is read as a chart.
    fn paste(&mut self, section: usize, at: u32, text: &str) {
        if let Some(clip) = self.table.clip.clone().filter(|clip| clip.bars() == text) {
            let last = (clip.len() > 1).then_some(at + clip.len() - 1);
            self.write_changes(&[Change::PasteBars { section, at, clip }]);
            self.view.writing.chosen = Chosen { last, ..Chosen::bar(section, at) };
            return;
        }
        self.paste_chart(section, text);
    }

    /// A chart that somebody sent: its sections go behind the chosen one; into an empty song it goes as a whole.
    fn paste_chart(&mut self, section: usize, text: &str) {
        let Some(writing) = &self.table.writing else { return };
        let song = &writing.song;
        let empty = song.sections.is_empty();
        let pasted = song::paste::read(text, (!empty).then_some(song.key));
        let mut changes = Vec::new();
        if empty {
            let says = |field| Change::Field { place: Place::Song, field };
            let key = pasted.song.key.parse().ok().map(Field::Key);
            let tempo = song::Tempo::new(pasted.song.tempo).map(|tempo| Field::Tempo(Some(tempo)));
            let meter = pasted.song.meter.as_deref().and_then(song::Meter::parse);
            let title = (pasted.song.title != "Untitled").then(|| Field::Title(pasted.song.title.clone()));
            let note = pasted.song.note.clone().map(|note| Field::Note(Some(note)));
            let meter = meter.map(|meter| Field::Meter(Some(meter)));
            changes.extend([key, tempo, meter, title, note].into_iter().flatten().map(says));
        }
        let mut names: Vec<String> = song.sections.iter().map(|section| section.name.clone()).collect();
        let begin = if empty { 0 } else { (section + 1).min(names.len()) };
        for (number, new) in pasted.song.sections.iter().enumerate() {
            let at = begin + number;
            let name = free_name(&names, &new.name);
            names.push(name.clone());
            let rows = new.bars.clone().unwrap_or_default();
            changes.push(Change::InsertSection { at, name, rows });
            let place = Place::Section(at);
            let passes = new.passes.map(|passes| Field::Passes(Some(passes)));
            let note = new.note.clone().map(|note| Field::Note(Some(note)));
            changes.extend([passes, note].into_iter().flatten().map(|field| Change::Field { place, field }));
        }
        let told = match pasted.doubts.len() {
            0 => "Read without a doubt.".to_owned(),
            1 => format!("One thing is not certain: {}", pasted.doubts[0]),
            n => format!("{n} things are not certain, the first: {}", pasted.doubts[0]),
        };
        self.write_changes(&changes);
        self.table.doubts = pasted.doubts;
        self.say_of_writing(told);
    }

    /// Has a step kept and planned.
    fn keep_written(&mut self, step: Step) {
        let told = self.keep_step(step);
        self.say_of_writing(told.trim_start().to_owned());
    }

    fn say_of_writing(&mut self, told: String) {
        let told = Some(told).filter(|told| !told.is_empty());
        match &mut self.table.writing {
            Some(writing) => writing.told = told,
            None => self.told = told.or(self.told.take()),
        }
    }

    /// The session stands where one writes, so that the keyboard shows that chord and listening begins there.
    fn go_to_chosen(&mut self, chosen: Chosen) {
        let (Some(section), Some(song)) = (chosen.section(), self.document.song()) else { return };
        let bar = chosen.bars().map_or(0, |bars| bars.start);
        let pass = chosen.pass().unwrap_or(1);
        let here = |played: &song::PlayedBar| {
            let written = played.written_bar.or(played.in_place_of);
            played.section == section && played.pass == pass && written == Some(bar)
        };
        if let Some(at) = song.bars.iter().position(here) {
            self.ask_session(SessionCommand::GoToBar(at));
        }
    }
}

/// A name that no section has.
fn free_name(taken: &[String], name: &str) -> String {
    let numbered = (2..).map(|number| format!("{name} {number}"));
    let mut names = std::iter::once(name.to_owned()).chain(numbered);
    names.find(|name| !taken.contains(name)).expect("the numbers go on")
}
