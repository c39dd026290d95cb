//! Key, meter, tempo, count-in, feel, level, band, pedal and passes: of the song, and of a section where it has its own.

use super::field::{Field as Line, wrong};
use super::line::{Offer, field, label, offers, side};
use super::state::{Scope, Side, SideCommand, place_in_words};
use crate::stage::Stage;
use crate::{Command, FilesCommand, Writing};
use egui::Ui;
use song::edit::{Field, Place};
use song::{Feel, Meter, SectionKey, Settings, Tempo};
use theory::{Key, Mode};

/// Draws the topic.
pub(crate) fn show(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing) {
    let chosen = stage.model.view.writing.chosen;
    let state = &stage.model.view.writing.side;
    // A bar or a pass has no settings; its section has.
    let scope = state.scope.min(Scope::Section);
    let place = Side { scope, ..Side::default() }.place(chosen);
    if let Some(section) = chosen.section() {
        let of = [(Scope::Song, Place::Song), (Scope::Section, Place::Section(section))];
        let words = of.map(|(scope, is)| {
            let text = place_in_words(writing, is);
            let name = format!("Settings of {text}");
            Offer::of(text, name, is == place, side(SideCommand::Scope(scope)))
        });
        offers(ui, stage, "of", words.into());
    }
    let about = About { writing, place, of: place_in_words(writing, place) };
    key(ui, stage, &about);
    meter(ui, stage, &about);
    tempo(ui, stage, &about);
    if place == Place::Song {
        count_in(ui, stage, &about);
    }
    feel(ui, stage, &about);
    level(ui, stage, &about);
    flags(ui, stage, &about);
    match place {
        Place::Section(section) => passes(ui, stage, &about, section),
        _ => title(ui, stage, &about),
    }
}

/// The song's title, and where its file is.
fn title(ui: &mut Ui, stage: &mut Stage<'_>, about: &About<'_>) {
    label(ui, stage, "title");
    let name = about.name("Title");
    let typed = Line::line(&name, &about.writing.song.title, "").done(ui, stage);
    let typed = typed.filter(|typed| !typed.trim().is_empty());
    take(ui, stage, &name, about.place, typed.map(|typed| Ok(Field::Title(typed.trim().to_owned()))));
    let silent = stage.model.view.writing.side.silent;
    let words = [("heard at once", true), ("silent", false)].map(|(text, on)| {
        Offer::of(text, format!("What is typed is {text}"), silent != on, side(SideCommand::Sound(on)))
    });
    offers(ui, stage, "what is typed", words.into());
    let keep = Command::Files(FilesCommand::KeepElsewhere);
    let words = vec![Offer::deed("keep it elsewhere", "Keep the song's file elsewhere", keep)];
    let file = stage.model.file;
    offers(ui, stage, file, words);
}

/// What the settings are of.
struct About<'a> {
    writing: &'a Writing,
    place: Place,
    of: String,
}

impl About<'_> {
    fn own(&self) -> &Settings {
        match self.place {
            Place::Section(section) => &self.writing.song.sections[section].plays,
            _ => &self.writing.song.plays,
        }
    }

    fn section(&self) -> Option<usize> {
        if let Place::Section(section) = self.place { Some(section) } else { None }
    }

    /// What holds there: the first of its bars as played.
    fn holds(&self) -> Option<&song::PlayedBar> {
        let section = self.section().unwrap_or_default();
        self.writing.pass(section, 1).next()
    }

    fn name(&self, what: &str) -> String {
        format!("{what} of {}", self.of)
    }

    /// What is said where a section says nothing of its own.
    fn unsaid(&self) -> &'static str {
        if self.section().is_some() { "as the song" } else { "as usual" }
    }
}

fn key(ui: &mut Ui, stage: &mut Stage<'_>, about: &About<'_>) {
    label(ui, stage, "key");
    let song = about.writing.song.key;
    let (text, hint) = match about.section() {
        None => (song.to_string(), "D major".to_owned()),
        Some(section) => {
            let own = about.writing.song.sections[section].key.map(|key| section_key(key.value));
            (own.unwrap_or_default(), format!("{song}, or +2 for two semitones higher"))
        }
    };
    let name = about.name("Key");
    let typed = Line::line(&name, &text, &hint).done(ui, stage);
    let read = typed.as_ref().map(|typed| match about.section() {
        None => key_named(typed, song.mode()).map(Field::Key),
        Some(_) => own_key(typed, song.mode()).map(Field::OwnKey),
    });
    take(ui, stage, &name, about.place, read);
}

/// `+2`, or its name.
fn section_key(key: SectionKey) -> String {
    match key {
        SectionKey::Named(key) => key.to_string(),
        SectionKey::Shift(semitones) => format!("{semitones:+}"),
    }
}

/// A key by its name; without a mode, in that of the song.
pub(crate) fn key_named(text: &str, mode: Mode) -> Result<Key, String> {
    let text = crate::reasons::capital(text.trim());
    let short = format!("{text} {}", mode.name());
    short
        .parse::<Key>()
        .or_else(|_| text.parse::<Key>())
        .map_err(|error| format!("{}.", crate::reasons::capital(&error.message)))
}

fn own_key(text: &str, mode: Mode) -> Result<Option<SectionKey>, String> {
    let text = text.trim().replace('−', "-");
    if text.is_empty() {
        return Ok(None);
    }
    if text.starts_with(['+', '-']) {
        let far = i8::try_from(song::limits::KEY_SHIFT).unwrap_or(i8::MAX);
        let shift = text.parse::<i8>().ok().filter(|shift| (-far..=far).contains(shift));
        return shift
            .map(|shift| Some(SectionKey::Shift(shift)))
            .ok_or_else(|| format!("Write +1 to +{far} or -1 to -{far} semitones, or a key."));
    }
    key_named(&text, mode).map(|key| Some(SectionKey::Named(key)))
}

fn meter(ui: &mut Ui, stage: &mut Stage<'_>, about: &About<'_>) {
    label(ui, stage, "meter");
    let own = about.own().meter.map(|meter| meter.value.to_string()).unwrap_or_default();
    let holds = about.holds().map_or("4/4".to_owned(), |bar| bar.meter.to_string());
    let name = about.name("Meter");
    let typed = Line::line(&name, &own, &holds).wide(120.0).done(ui, stage);
    let read = typed.as_ref().map(|typed| match typed.trim() {
        "" => Ok(Field::Meter(None)),
        text => Meter::parse(text)
            .map(|meter| Field::Meter(Some(meter)))
            .ok_or_else(|| "Write 1 to 32 over 1, 2, 4, 8, 16 or 32, e.g. 3/4.".to_owned()),
    });
    take(ui, stage, &name, about.place, read);
    let meter = about.own().meter.map(|meter| meter.value).or(about.holds().map(|bar| bar.meter));
    if meter.is_some_and(|meter| meter.lower() == 8 && meter.upper().is_multiple_of(3)) {
        let eighths = about.own().count_eighths == Some(true);
        let words = [("dotted quarters", false), ("eighths", true)].map(|(text, count)| {
            let command = field(about.place, Field::CountEighths(count));
            Offer::of(text, format!("Count {text} in {}", about.of), eighths == count, command)
        });
        offers(ui, stage, "count", words.into());
    }
}

fn tempo(ui: &mut Ui, stage: &mut Stage<'_>, about: &About<'_>) {
    label(ui, stage, "tempo, in beats a minute");
    let own = about.own().tempo.map(|tempo| tempo.value.beats_per_minute().to_string()).unwrap_or_default();
    let holds = about.holds().map_or("72".to_owned(), |bar| {
        let beats = bar.quarters_per_minute / bar.beat.length.to_f64();
        format!("{}", (beats * 10.0).round() / 10.0)
    });
    let name = about.name("Tempo");
    let typed = Line::line(&name, &own, &holds).wide(120.0).done(ui, stage);
    let read = typed.as_ref().map(|typed| match typed.trim().replace(',', ".") {
        text if text.is_empty() && about.section().is_some() => Ok(Field::Tempo(None)),
        text => text
            .parse()
            .ok()
            .and_then(Tempo::new)
            .map(|tempo| Field::Tempo(Some(tempo)))
            .ok_or_else(|| "A tempo is from 20 to 300 beats a minute.".to_owned()),
    });
    take(ui, stage, &name, about.place, read);
    taps(ui, stage, about);
}

/// The tempo tapped on a word, by mouse or with Space while it has the focus.
fn taps(ui: &mut Ui, stage: &mut Stage<'_>, about: &About<'_>) {
    let taps = &stage.model.view.writing.side.taps;
    let now = ui.input(|input| input.time);
    let mut words = vec![Offer::deed("tap it", "Tap the tempo", side(SideCommand::Tap(now)))];
    let tapped = taps.tempo();
    let read = match (tapped, taps.count()) {
        (Some(tempo), _) => format!("{} tapped", tempo.beats_per_minute()),
        (None, 0) => String::new(),
        (None, _) => "go on tapping".into(),
    };
    let set = tapped.map(|tempo| {
        let text = format!("set {}", tempo.beats_per_minute());
        let name = format!("Set the tempo of {} to {}", about.of, tempo.beats_per_minute());
        Offer::deed(text, name, field(about.place, Field::Tempo(Some(tempo))))
    });
    words.extend(set);
    offers(ui, stage, &read, words);
    // What was tapped is taken once it is set.
    let is_set = tapped.is_some() && tapped == about.own().tempo.map(|tempo| tempo.value);
    if is_set {
        stage.out.push(side(SideCommand::TapsDone));
    }
}

fn count_in(ui: &mut Ui, stage: &mut Stage<'_>, about: &About<'_>) {
    let own = about.writing.song.count_in;
    let word = |text: &str, bars: Option<u8>| {
        let name = format!("Count-in: {text}");
        Offer::of(text, name, own == bars, field(Place::Song, Field::CountIn(bars)))
    };
    let mut words = vec![word("as usual", None), word("none", Some(0)), word("1 bar", Some(1))];
    words.extend((2..=*song::limits::COUNT_IN.end()).map(|bars| word(&format!("{bars} bars"), Some(bars))));
    offers(ui, stage, "count-in", words);
}

fn feel(ui: &mut Ui, stage: &mut Stage<'_>, about: &About<'_>) {
    let own = about.own().feel;
    let words = [(about.unsaid(), None), ("straight", Some(Feel::Straight)), ("swing", Some(Feel::Swing))];
    let words = words.map(|(text, feel)| {
        let name = format!("Feel of {}: {text}", about.of);
        Offer::of(text, name, own == feel, field(about.place, Field::Feel(feel)))
    });
    offers(ui, stage, "feel", words.into());
}

fn level(ui: &mut Ui, stage: &mut Stage<'_>, about: &About<'_>) {
    let own = about.own().level;
    let word = |text: String, level: Option<u8>| {
        let name = format!("How full in {}: {text}", about.of);
        Offer::of(text, name, own == level, field(about.place, Field::Level(level)))
    };
    let mut words = vec![word(about.unsaid().into(), None)];
    words.extend(song::limits::LEVEL.map(|level| word(level.to_string(), Some(level))));
    offers(ui, stage, "how full", words);
}

fn flags(ui: &mut Ui, stage: &mut Stage<'_>, about: &About<'_>) {
    let own = about.own();
    type Flag = fn(Option<bool>) -> Field;
    let of: [(&str, Option<bool>, Flag); 2] =
        [("bass player", own.bass, Field::Bass), ("pedal marks", own.pedal, Field::Pedal)];
    for (what, own, make) in of {
        let words = [(about.unsaid(), None), ("yes", Some(true)), ("no", Some(false))].map(|(text, flag)| {
            let name = format!("{} in {}: {text}", crate::reasons::capital(what), about.of);
            Offer::of(text, name, own == flag, field(about.place, make(flag)))
        });
        offers(ui, stage, what, words.into());
    }
}

fn passes(ui: &mut Ui, stage: &mut Stage<'_>, about: &About<'_>, section: usize) {
    label(ui, stage, "passes");
    let own =
        about.writing.song.sections[section].passes.map(|passes| passes.to_string()).unwrap_or_default();
    let name = about.name("Passes");
    let hint = about.writing.passes(section).to_string();
    let typed = Line::line(&name, &own, &hint).wide(120.0).done(ui, stage);
    let read = typed.as_ref().map(|typed| match typed.trim() {
        "" => Ok(Field::Passes(None)),
        text => text
            .parse()
            .ok()
            .filter(|passes| song::limits::PASSES.contains(passes))
            .map(|passes| Field::Passes(Some(passes)))
            .ok_or_else(|| "A section is played from 1 to 99 times.".to_owned()),
    });
    take(ui, stage, &name, about.place, read);
}

/// Asks for what was typed, or says what is wrong with it.
fn take(ui: &mut Ui, stage: &mut Stage<'_>, id: &str, place: Place, read: Option<Result<Field, String>>) {
    let asked = read.is_some();
    let error = match read {
        Some(Ok(value)) => {
            stage.out.push(field(place, value));
            None
        }
        Some(Err(error)) => Some(error),
        None => None,
    };
    wrong(ui, stage, id, error, asked);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_named_in_full_or_by_its_tonic() {
        let named = |text, mode| key_named(text, mode).map(|key| key.to_string());
        assert_eq!(named("Bb", Mode::Major), Ok("Bb major".into()));
        assert_eq!(named(" f# ", Mode::Minor).map(|key| key.to_lowercase()), Ok("f# minor".into()));
        assert_eq!(named("E minor", Mode::Major), Ok("E minor".into()));
        assert!(named("H", Mode::Major).is_err());
    }

    #[test]
    fn a_sections_key_may_be_so_many_semitones_away() {
        let own = |text| own_key(text, Mode::Major);
        assert_eq!(own("+2"), Ok(Some(SectionKey::Shift(2))));
        assert_eq!(own("−3"), Ok(Some(SectionKey::Shift(-3))));
        assert_eq!(own(""), Ok(None));
        assert!(own("+12").unwrap_err().contains("+11"));
        assert!(matches!(own("F"), Ok(Some(SectionKey::Named(key))) if key.to_string() == "F major"));
    }
}
