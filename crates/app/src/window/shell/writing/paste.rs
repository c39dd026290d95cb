//! What is pasted on the page of writing: bars that were copied here, or a chart that somebody sent.

use crate::window::shell::Shell;
use song::edit::{Change, Field, Place};
use song::paste::{Doubt, Pasted};
use theory::Key;
use ui::{Chosen, PastedChart, Writing};

/// A chart that was pasted: while its key is not confirmed it can still be read in another.
#[derive(Debug)]
pub(super) struct Chart {
    text: String,
    section: usize,
    shown: PastedChart,
    /// The song with the chart in it: once it is written on, the chart can no longer be read in another key.
    song: String,
    /// For each thing that is not certain and has its bar: the section's name and what stands there.
    places: Vec<Option<(String, String)>>,
}

impl Chart {
    /// What the page shows of it beside a song.
    pub fn shown(&self, writing: &Writing) -> Option<PastedChart> {
        let mut shown = self.shown.clone();
        if writing.text != self.song {
            shown.keys.clear();
        }
        // A bar that was written anew, or is gone, is no longer that of which something was not certain.
        let mut places = self.places.iter();
        let begin = shown.begin;
        shown.doubts.retain(|doubt| places.next().is_some_and(|was| *was == place(doubt, begin, writing)));
        (!shown.keys.is_empty() || !shown.doubts.is_empty()).then_some(shown)
    }
}

/// So many keys are proposed.
const KEYS: usize = 4;

impl Shell {
    /// What was copied here goes in with what is said about it; other text is read as a chart.
    pub(super) fn paste(&mut self, section: usize, at: u32, text: &str) {
        if let Some(clip) = self.table.clip.clone().filter(|clip| clip.bars() == text) {
            let count = clip.len();
            let last = (count > 1).then_some(at + count - 1);
            let mut changes = vec![Change::PasteBars { section, at, clip }];
            // A bar with nothing in it yet gives way.
            let empty = |bar: u32| {
                let writing = self.table.shown();
                writing.and_then(|writing| writing.bar_text(section, bar)).is_some_and(|text| text.is_empty())
            };
            if empty(at) {
                changes.push(Change::RemoveBars { section, from: at + count, to: at + count + 1 });
            }
            self.write_changes(&changes);
            self.view.writing.chosen = Chosen { last, ..Chosen::bar(section, at) };
            return;
        }
        self.paste_chart(section, text, None);
    }

    /// The chart that was pasted is read in another key, or as it is for good.
    pub(super) fn key_of_pasted(&mut self, key: Option<Key>) {
        let Some(mut chart) = self.table.pasted.take() else { return };
        let as_pasted = self.document.text() == Some(chart.song.as_str());
        let asked = as_pasted && !chart.shown.keys.is_empty();
        if key.is_none() && asked && !chart.shown.doubts.is_empty() {
            // The key is right; what else is not certain stays marked.
            chart.shown.keys.clear();
            self.table.pasted = Some(chart);
            return self.write_down();
        }
        if let Some(key) = key.filter(|key| as_pasted && *key != chart.shown.key)
            && let Some(step) = self.document.undo()
        {
            self.keep_step(step);
            self.write_down();
            self.paste_chart(chart.section, &chart.text, Some(key));
        }
        self.write_down();
    }

    /// A chart that somebody sent: its sections go behind the chosen one; into an empty song it goes as a whole.
    fn paste_chart(&mut self, section: usize, text: &str, key: Option<Key>) {
        let Some(writing) = self.table.shown() else { return };
        let song = &writing.song;
        let empty = song.sections.is_empty();
        let pasted = song::paste::read(text, key.or((!empty).then_some(song.key)));
        if pasted.song.sections.is_empty() {
            return self.say_of_writing("There is no chord in what was pasted.".to_owned());
        }
        let taken: Vec<String> = song.sections.iter().map(|section| section.name.clone()).collect();
        let begin = if empty { 0 } else { (section + 1).min(taken.len()) };
        let key = pasted.song.key.parse().unwrap_or(song.key);
        let changes = changes(&pasted, taken, begin, empty);
        self.write_changes(&changes);
        let told = match pasted.doubts.len() {
            0 => "Read without a doubt.".to_owned(),
            1 => format!("One thing is not certain: {}.", pasted.doubts[0].in_song()),
            n => format!(
                "{n} things are not certain; they are marked here and stand in the note. The first: {}.",
                pasted.doubts[0].in_song()
            ),
        };
        let mut keys: Vec<Key> =
            pasted.keys.iter().map(|guess| guess.key).filter(|other| *other != key).collect();
        keys.truncate(KEYS - 1);
        keys.insert(0, key);
        let by_letter = !pasted.keys.is_empty();
        if !by_letter {
            keys.clear();
        }
        let asks = by_letter || !pasted.doubts.is_empty();
        let shown = PastedChart { key, keys, doubts: pasted.doubts, begin };
        self.write_down();
        self.table.pasted = self.table.shown().filter(|_| asks).map(|writing| Chart {
            text: text.to_owned(),
            section,
            places: shown.doubts.iter().map(|doubt| place(doubt, begin, writing)).collect(),
            shown,
            song: writing.text.clone(),
        });
        self.say_of_writing(told);
        self.view.writing.chosen = Chosen::bar(begin, 0);
        self.view.writing.line = None;
        self.write_down();
    }
}

fn place(doubt: &Doubt, begin: usize, writing: &Writing) -> Option<(String, String)> {
    let place = doubt.place.as_ref()?;
    let (section, (bar, _)) = (place.section + begin, place.bars?);
    Some((writing.song.sections.get(section)?.name.clone(), writing.bar_text(section, bar)?))
}

/// All edits that put a chart in.
fn changes(pasted: &Pasted, mut names: Vec<String>, begin: usize, empty: bool) -> Vec<Change> {
    let mut changes = Vec::new();
    let says = |field| Change::Field { place: Place::Song, field };
    let song = &pasted.song;
    if empty {
        let key = song.key.parse().ok().map(Field::Key);
        let tempo = song::Tempo::new(song.tempo).map(|tempo| Field::Tempo(Some(tempo)));
        let meter = song.meter.as_deref().and_then(song::Meter::parse).map(|meter| Field::Meter(Some(meter)));
        let title = (song.title != "Untitled").then(|| Field::Title(song.title.clone()));
        changes.extend([key, tempo, meter, title].into_iter().flatten().map(says));
    }
    for (number, new) in song.sections.iter().enumerate() {
        let at = begin + number;
        let name = free_name(&names, &new.name);
        names.push(name.clone());
        changes.push(Change::InsertSection { at, name, rows: new.bars.clone().unwrap_or_default() });
        let passes = new.passes.map(|passes| Field::Passes(Some(passes)));
        // In a song that was there before, what is not certain stands with the first section that came.
        let uncertain = if number == 0 && !empty { note(pasted) } else { None };
        let words: Vec<String> = new.note.iter().cloned().chain(uncertain).collect();
        let note = (!words.is_empty()).then(|| Field::Note(Some(words.join("\n"))));
        let said = [passes, note].into_iter().flatten();
        changes.extend(said.map(|field| Change::Field { place: Place::Section(at), field }));
    }
    if empty && let Some(order) = &song.order {
        let at = |name: &String| song.sections.iter().position(|section| section.name == *name);
        changes.push(Change::Order(Some(order.iter().filter_map(at).collect())));
    }
    if empty && let Some(note) = note(pasted) {
        changes.push(says(Field::Note(Some(note))));
    }
    changes
}

/// The words of the chart, and what is not certain in it: nothing is thrown away.
fn note(pasted: &Pasted) -> Option<String> {
    let doubts: Vec<String> = pasted.doubts.iter().map(Doubt::in_song).collect();
    let doubts = (!doubts.is_empty()).then(|| format!("Not certain: {}.", doubts.join("; ")));
    let all: Vec<String> = pasted.song.note.clone().into_iter().chain(doubts).collect();
    (!all.is_empty()).then(|| all.join("\n"))
}

/// A name that no section has.
fn free_name(taken: &[String], name: &str) -> String {
    let numbered = (2..).map(|number| format!("{name} {number}"));
    let mut names = std::iter::once(name.to_owned()).chain(numbered);
    names.find(|name| !taken.contains(name)).expect("the numbers go on")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_certain_is_kept_in_a_song_that_has_sections_as_well() {
        let pasted = song::paste::read("Verse\nG D wobble Em C\n", Some("G major".parse().unwrap()));
        assert!(!pasted.doubts.is_empty());
        let all = changes(&pasted, vec!["Verse".to_owned()], 1, false);
        let kept = all.iter().any(|change| {
            let Change::Field { place: Place::Section(1), field: Field::Note(Some(note)) } = change else {
                return false;
            };
            pasted.doubts.iter().all(|doubt| note.contains(&doubt.in_song()))
        });
        assert!(kept, "{all:?}");
    }
}
