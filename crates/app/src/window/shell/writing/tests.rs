//! The whole window without a screen: songs typed by their printed charts, through accessible names and keys.

use super::*;
use crate::storage::{DEMOS, Places, VersionKind, Versions};
use egui::{Event, Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::path::Path;
use std::time::Duration;

type Window = Harness<'static, Option<Shell>>;

fn window(home: &Path, source: Source) -> Window {
    let places = Places::under(home);
    let frame = move |ui: &mut egui::Ui, shell: &mut Option<Shell>| {
        let shell = shell.get_or_insert_with(|| {
            let mut shell = Shell::at(ui.ctx(), Some(source.clone()), Some(places.clone())).unwrap();
            shell.frames = 2;
            shell
        });
        shell.frame(ui);
    };
    let mut window = Harness::builder().with_size([1280.0, 800.0]).build_ui_state(frame, None);
    wait(&mut window, "the song is read", |shell| shell.document.part().is_some());
    window
}

fn shell(window: &Window) -> &Shell {
    window.state().as_ref().unwrap()
}

fn wait(window: &mut Window, what: &str, is_so: impl Fn(&Shell) -> bool) {
    for _ in 0..2000 {
        window.step();
        if is_so(shell(window)) {
            return;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("it never came about that {what}: {:?}", shell(window).table.shown().and_then(|w| w.told.clone()));
}

/// Somebody at the computer keyboard, who counts the keys.
struct Typist {
    window: Window,
    /// Keys pressed, Shift among them.
    keys: usize,
}

impl Typist {
    fn on(home: &Path, source: Source) -> Typist {
        Typist { window: window(home, source), keys: 0 }
    }

    /// Types; a new line is Enter. What needs Shift on a common keyboard is two keys.
    fn types(&mut self, text: &str) -> &mut Self {
        for c in text.chars() {
            if c == '\n' {
                self.presses(Modifiers::NONE, Key::Enter);
                continue;
            }
            let key = Key::from_name(&c.to_uppercase().to_string());
            let shift = c.is_uppercase() || "|<>^~():%#×+_\"?{}&*!@$".contains(c);
            let modifiers = if shift { Modifiers::SHIFT } else { Modifiers::NONE };
            self.keys += 1 + usize::from(shift);
            let press =
                |key: Key, pressed| Event::Key { key, physical_key: None, pressed, repeat: false, modifiers };
            self.window.input_mut().events.extend(key.map(|key| press(key, true)));
            self.window.input_mut().events.push(Event::Text(c.to_string()));
            self.window.step();
            self.window.input_mut().events.extend(key.map(|key| press(key, false)));
        }
        self
    }

    fn presses(&mut self, modifiers: Modifiers, key: Key) -> &mut Self {
        self.keys +=
            1 + usize::from(modifiers.command) + usize::from(modifiers.shift) + usize::from(modifiers.alt);
        self.window.key_press_modifiers(modifiers, key);
        self.window.run_steps(2);
        self
    }

    fn clicks(&mut self, name: &str) -> &mut Self {
        self.window.run_steps(2);
        let Some(node) = self.window.query_by_label(name) else { panic!("nothing is called {name}") };
        node.click_accesskit();
        self.window.run_steps(3);
        self
    }

    /// Types into a line at the side, in place of what is there.
    fn fills(&mut self, name: &str, text: &str) -> &mut Self {
        self.window.run_steps(2);
        let Some(node) = self.window.query_by_label(name) else { panic!("nothing is called {name}") };
        node.focus();
        self.window.run_steps(2);
        self.presses(Modifiers::COMMAND, Key::A);
        self.types(text);
        self.types("\n");
        self.window.run_steps(2);
        self
    }

    /// A bar of the page, or another control, by the beginning of its name.
    fn clicks_on_bar(&mut self, begin: &str) -> &mut Self {
        self.window.run_steps(2);
        let Some(node) = self.window.query_all_by_label_contains(begin).next() else {
            panic!("no bar {begin}")
        };
        node.click_accesskit();
        self.window.run_steps(3);
        self
    }

    /// Goes somewhere and writes words to the player there.
    fn notes(&mut self, place: &str, name: &str, text: &str) {
        self.clicks(place);
        let Some(node) = self.window.query_by_label(name) else { panic!("nothing is called {name}") };
        node.focus();
        self.window.run_steps(2);
        self.types(text);
        self.window.run_steps(2);
    }

    fn text(&self) -> &str {
        shell(&self.window).document.text().unwrap()
    }

    fn song(&self) -> song::Song {
        song::read(self.text()).song.unwrap()
    }

    /// A new song with nothing in it.
    fn begins(&mut self) -> &mut Self {
        self.presses(Modifiers::COMMAND, Key::N);
        self.clicks_on_bar("Empty: nothing yet: type, or paste a chart");
        wait(&mut self.window, "the new song is there", |shell| {
            shell.table.shown().is_some_and(|writing| writing.song.title == "New song")
        });
        self.window.run_steps(3);
        self
    }
}

/// A song as it is played, without the places in its file.
fn as_played(song: &song::Song) -> song::PlayedSong {
    let mut played = song.play();
    for slot in played.bars.iter_mut().flat_map(|bar| &mut bar.slots) {
        slot.source = song::SlotSource { section: 0, exception: None, bar: 0, slot: 0, span: (0, 0) };
    }
    played
}

fn demo(file: &str) -> song::Song {
    let demo = DEMOS.iter().find(|demo| demo.file == file).unwrap();
    song::read(demo.text).sound().unwrap()
}

/// The chart as it is printed: names and rows.
fn printed(song: &song::Song) -> String {
    let mut text = String::new();
    for (number, section) in song.sections.iter().enumerate() {
        text += &section.name;
        if section.like.is_none() {
            for row in song.rows(number) {
                text += &song::print_line(&row.bars);
            }
        }
    }
    text
}

/// Types the chart of Lanterns at the Lock, into a new song.
fn types_the_chart(typist: &mut Typist) {
    typist.begins();
    let before = typist.keys;
    typist.types("title: Lanterns at the Lock\nkey: D\ntempo: 72\nmeter: 4/4\n");
    typist.types("Intro\n3/4: 1.. 5. | 6\n3/4: 1.. 5. | 6.. 1/6..\n");
    typist.types("Verse like Intro x4\n");
    typist.types("Lift\n1/4 | 1/5 | 1/6 | 1sus2/5.. 5..\n");
    typist.types("Chorus\n4 | 4... 5. | 6 | ~\n4 | 5/7 | 5sus4 5 | <1>\nLift\nChorus\nChorus\n");
    typist.types("Last light\n4/1 | 4no3/1 | 1/5 5 | <1>");
    let chart = printed(&demo("lanterns-at-the-lock.json"));
    let (keys, characters) = (typist.keys - before, chart.chars().count());
    let each = keys as f64 / characters as f64;
    println!("{keys} keys for a printed chart of {characters} characters: {each:.2} each");
    assert!(each < 2.2, "{each}");
}

#[test]
fn a_chart_is_typed_with_fewer_than_two_keys_and_a_fifth_a_character() {
    let home = tempfile::tempdir().unwrap();
    let mut typist = Typist::on(home.path(), Source::Demo(DEMOS[1]));
    types_the_chart(&mut typist);
    let (song, wanted) = (typist.song(), demo("lanterns-at-the-lock.json"));
    assert_eq!(song::read(typist.text()).diagnostics, [], "{}", typist.text());
    assert_eq!((&song.title, song.key), (&wanted.title, wanted.key));
    assert_eq!(song.playing_order(), wanted.playing_order());
    let names =
        |song: &song::Song| song.sections.iter().map(|s| (s.name.clone(), s.passes)).collect::<Vec<_>>();
    assert_eq!(names(&song), names(&wanted));
    assert_eq!(printed(&song), printed(&wanted));
}

/// Everything about Lanterns at the Lock that is no chart, at the side of the page.
fn sets_the_rest(typist: &mut Typist) {
    let topic = |typist: &mut Typist, key: Key| {
        typist.presses(Modifiers::COMMAND, key);
    };
    topic(typist, Key::Num3);
    typist.clicks("Set for the song");
    hands(typist, "the song", Some("2"), "x x x x", "root fifth", "12 12 12 12");
    typist.clicks("Place 3 of the order, Lift").clicks("Set for Lift").clicks("Tell the right hand");
    typist.fills("Right hand's tones for Lift", "5 1");
    typist.fills("Right hand's figure for Lift", "[v12]1-- x x x");
    typist.clicks("Right hand's figure begins again at each chord for Lift");
    typist.fills("Right hand's lowest key near for Lift", "A4");
    typist.clicks("Place 4 of the order, Chorus");
    hands(typist, "Chorus", Some("3"), "x x x x", "root fifth octave", "[12] 3 2 32");
    typist.clicks("Tell the right hand");
    typist.fills("Right hand's tones of one more chord for Chorus", "5/7: 5 1");
    typist.clicks("Place 8 of the order, Last light");
    hands(typist, "Last light", Some("3"), "x - x -", "octave", "[12] - - -");
    topic(typist, Key::Num1);
    typist.clicks("Place 4 of the order, Chorus").clicks("How full in Chorus: 4");
    topic(typist, Key::Num4);
    typist.notes(
        "Place 1 of the order, Intro",
        "Note for Intro",
        "Count the three, then the four: 1 2 3, 1 2 3 4.",
    );
    typist.notes(
        "Place 3 of the order, Lift",
        "Note for Lift",
        "Left hand takes the number under the slash.",
    );
    typist.notes("Place 8 of the order, Last light", "Cue for Last light", "the drums stop");
    let words = "Invented song of the invented Fourth Lock Band. Slow and even; the left hand rocks, the right hand hardly \
                 moves.";
    typist.notes("Set for the song", "Note for the song", words);
}

fn hands(typist: &mut Typist, of: &str, keys: Option<&str>, right: &str, shape: &str, left: &str) {
    typist.clicks("Tell the right hand");
    if let Some(keys) = keys {
        typist.clicks(&format!("Right hand's keys: {keys} for {of}"));
    }
    typist.fills(&format!("Right hand's figure for {of}"), right);
    typist.clicks("Tell the left hand").clicks(&format!("Left hand's shape: {shape} for {of}"));
    typist.fills(&format!("Left hand's figure for {of}"), left);
}

/// What differs in the passes of the verse.
fn sets_the_passes(typist: &mut Typist) {
    typist.clicks("Place 2 of the order, Verse").clicks_on_bar("Verse, bar 4:");
    typist.presses(Modifiers::COMMAND, Key::Num2);
    typist.fills("Chords of Verse, bar 4 in pass 3", "6");
    typist.fills("Chords of Verse, bar 4 in pass 4", "6");
    typist.clicks("In pass 3 alone").presses(Modifiers::COMMAND, Key::Num3);
    typist.clicks("Set for Verse, bar 4 in pass 3").clicks("Tell the right hand");
    typist.fills("Right hand's figure for Verse, bar 4 in pass 3", "x x x -");
    typist.clicks("In pass 4 alone");
    typist.fills("Right hand's figure for Verse, bar 4 in pass 4", "x x x -");
    typist.clicks("In pass 2 alone").clicks("1/6, on beat 3");
    typist.fills("Right hand's pinned tones for Verse, bar 4, beat 3 in pass 2", "1 3");
    typist.presses(Modifiers::COMMAND, Key::Num4);
    typist.notes("In pass 2 alone", "Note for Verse, bar 4, beat 3 in pass 2", "Only here the top moves up.");
    for bar in [1, 3] {
        typist.clicks_on_bar(&format!("Verse, bar {bar}:")).clicks("In pass 4 alone");
        let cue = format!("Cue for Verse, bar {bar} in pass 4");
        typist.notes("In pass 4 alone", &cue, "the singer holds 'water'");
    }
}

/// The bar of the chorus that lies through the one behind it.
fn sets_the_held_bar(typist: &mut Typist) {
    typist.clicks("Place 4 of the order, Chorus").clicks_on_bar("Chorus, bar 3:");
    typist.presses(Modifiers::COMMAND, Key::Num3);
    typist.clicks("Set for Chorus, bar 3").clicks("Tell the left hand");
    typist.fills("Left hand's figure for Chorus, bar 3", "x - - -");
    typist.presses(Modifiers::COMMAND, Key::Num4);
    let words = "Let it lie through the held bar, and count it.";
    typist.notes("Set for Chorus, bar 3", "Note for Chorus, bar 3", words);
}

#[test]
fn a_demo_song_is_written_heard_kept_opened_again_and_transposed_and_equals_it() {
    let home = tempfile::tempdir().unwrap();
    let mut typist = Typist::on(home.path(), Source::Demo(DEMOS[1]));
    types_the_chart(&mut typist);
    sets_the_rest(&mut typist);
    sets_the_passes(&mut typist);
    sets_the_held_bar(&mut typist);
    let wanted = as_played(&demo("lanterns-at-the-lock.json"));
    let written = as_played(&typist.song());
    for (written, wanted) in written.bars.iter().zip(&wanted.bars) {
        assert_eq!(written, wanted, "{}", typist.text());
    }
    assert_eq!(written, wanted);
    // Heard from the bar where one writes.
    typist.presses(Modifiers::COMMAND, Key::Enter);
    assert!(shell(&typist.window).session.stand().running());
    typist.presses(Modifiers::COMMAND, Key::Enter);
    // Kept in its file, which is called after its title, with all its versions.
    wait(&mut typist.window, "the file has the song's name", |shell| {
        shell.document.source().file_name() == "lanterns-at-the-lock.json"
    });
    let path = shell(&typist.window).document.source().to_remember();
    assert!(!path.with_file_name("new-song.json").exists(), "it was moved, not copied");
    let text = typist.text().to_owned();
    wait(&mut typist.window, "the file has it", |_| {
        std::fs::read_to_string(&path).is_ok_and(|kept| kept == text)
    });
    drop(typist);
    let versions = Versions::of(&Places::under(home.path()), &path).list();
    assert_eq!(versions.last().unwrap().kind, VersionKind::Found, "the song as it was found went along");
    // Opened again, and played a semitone higher.
    let mut again = Typist::on(home.path(), Source::File(path));
    assert_eq!(as_played(&again.song()), wanted);
    again.presses(Modifiers::NONE, Key::Period);
    wait(&mut again.window, "it is in E flat", |shell| {
        shell.document.part().is_some_and(|part| part.key.to_string() == "Eb major")
    });
    assert_eq!(again.text(), text, "the written key stays");
}

#[test]
fn a_chart_by_letter_is_pasted_in_another_key_as_long_as_nothing_else_was_typed() {
    let home = tempfile::tempdir().unwrap();
    let mut typist = Typist::on(home.path(), Source::Demo(DEMOS[1]));
    typist.begins();
    let chart = "Verse\nG | D/F# wobble | Em | C\n";
    typist.window.input_mut().events.push(Event::Paste(chart.to_owned()));
    typist.window.run_steps(3);
    let rows = |typist: &Typist| song::print_line(&typist.song().rows(0)[0].bars);
    assert_eq!(
        (rows(&typist).as_str(), typist.song().key.to_string()),
        ("1 | 5/7 | 6 | 4", "G major".into())
    );
    let doubts = |typist: &Typist| typist.window.query_all_by_label_contains("Not certain: ").count();
    assert_eq!(doubts(&typist), 1, "at the first bar of the row that has something uncertain");
    assert!(typist.song().note.is_some_and(|note| note.contains("Verse, bars 1–4: “wobble”")));
    let keys = shell(&typist.window).table.shown().unwrap().pasted.as_ref().unwrap().keys.clone();
    let other = keys[1];
    let numbers = song::letters::to_numbers("G | D/F# | Em | C", other).text;
    typist.clicks(&format!("Letters in {}", other.pretty()));
    assert_eq!((rows(&typist), typist.song().key), (numbers.clone(), other));
    assert_eq!(typist.song().sections.len(), 1, "in place of the first reading");
    // Once it is written on, another key is no longer offered, and what is uncertain stays marked until it is right.
    typist.clicks_on_bar("Verse, bar 4:");
    typist.presses(Modifiers::NONE, Key::End).types(" | 5");
    typist.window.run_steps(2);
    assert!(typist.window.query_by_label(&format!("Letters in {}", keys[0].pretty())).is_none());
    assert_eq!((doubts(&typist), rows(&typist)), (1, format!("{numbers} | 5")));
    typist.clicks("It is right");
    assert_eq!(doubts(&typist), 0);
}

#[test]
fn bars_once_more_come_with_their_pins() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("weir.json");
    let song = r#"{ "format": 1, "title": "Weir", "key": "D major", "tempo": 72, "sections": [
        { "name": "Verse", "bars": ["1 | 4 | 5"], "except": [ { "bar": 2, "right": { "tones": "3 1" } } ] } ] }"#;
    std::fs::write(&path, song).unwrap();
    let mut window = window(home.path(), Source::File(path));
    let shell = window.state_mut().as_mut().unwrap();
    shell.carry_out_writing(WritingCommand::Double { section: 0, from: 1, to: 2 });
    let text = shell.document.text().unwrap();
    assert!(text.contains(r#""bars": ["1 | 4 | 4 | 5"]"#), "{text}");
    for bar in [2, 3] {
        assert!(text.contains(&format!(r#"{{ "bar": {bar}, "right": {{ "tones": "3 1" }} }}"#)), "{text}");
    }
}
