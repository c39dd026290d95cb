//! Draws every page of the window to PNG files, without a window: `cargo run -p ui --example pictures -- DIRECTORY`.
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::disallowed_methods, missing_docs)]

#[path = "../tests/support/fixture.rs"]
mod fixture;
#[path = "support/practised.rs"]
mod practised;
#[path = "../tests/support/raster.rs"]
#[allow(dead_code)]
mod raster;

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fixture::Stand;
use practice::SessionCommand;
use practice::history::Help;
use ui::{Drill, KeyboardView, Labels, Motion, Page, Room, Subject, Tab, TapTo, Tapping, Theme};

fn main() {
    let directory = std::env::args().nth(1).unwrap_or_else(|| "target/pictures".into());
    let only = std::env::args().nth(2);
    std::fs::create_dir_all(&directory).unwrap();
    for (name, stand) in scenes() {
        for (size, label) in [([1280.0, 800.0], "1280"), ([1920.0, 1080.0], "1920")] {
            for theme in [Theme::Day, Theme::Night] {
                let file = format!("{name}-{label}-{theme:?}.png").to_lowercase();
                if only.as_ref().is_some_and(|only| !file.contains(only.as_str())) {
                    continue;
                }
                let mut stand = stand();
                stand.view.theme = theme;
                draw(&stand, size, &format!("{directory}/{file}"));
                println!("{file}");
            }
        }
    }
}

fn draw(stand: &Stand, size: [f32; 2], path: &str) {
    let mut harness = Harness::builder()
        .with_size(size)
        .renderer(raster::Raster::default())
        .with_context_setup(ui::install)
        .build_ui(|ui| {
            ui::show(ui, &stand.model());
        });
    harness.run_steps(3);
    if path.contains("menu") {
        harness.get_by_label("Key of the song, D major").click();
        harness.run_steps(4);
    }
    harness.render().unwrap().save(path).unwrap();
}

/// A song on the page of writing, with a place of it chosen.
fn writing(text: &str, chosen: ui::Chosen) -> Stand {
    let mut stand = page(Page::Writing);
    stand.writing = ui::Writing::of(text);
    stand.view.writing.chosen = chosen;
    stand
}

/// The same with a topic open at the side.
fn at_the_side(text: &str, chosen: ui::Chosen, topic: ui::Topic) -> Stand {
    let part = Stand::new(text);
    let mut stand = Stand { view: writing(text, chosen).view, writing: ui::Writing::of(text), ..part };
    stand.view.writing.side.topic = Some(topic);
    stand
}

type Scene = (&'static str, fn() -> Stand);

fn scenes() -> Vec<Scene> {
    vec![
        ("step", || {
            let mut stand = Stand::new(fixture::LANTERNS);
            let lift = fixture::bar_of(&stand.part, "Lift", 0);
            stand.does(&[SessionCommand::GoToBar(lift + 1)], 0.0);
            stand.holds(&[64, 69, 57], &[66]);
            stand
        }),
        ("menu", || page(Page::Song)),
        ("strike", || {
            let mut stand = Stand::new(fixture::POUND);
            stand.does(&fixture::by_strike(9), 0.0);
            stand
        }),
        ("playing", || {
            let mut stand = Stand::new(fixture::LANTERNS);
            stand.does(&fixture::along(12), 2500.0);
            stand
        }),
        ("frost", || {
            let mut stand = Stand::new(fixture::FROST);
            stand.does(&[SessionCommand::GoToBar(6)], 0.0);
            stand
        }),
        ("waltz", || {
            let mut stand = Stand::new(fixture::WALTZ);
            stand.does(&[SessionCommand::GoToBar(24)], 0.0);
            stand
        }),
        ("quay", || {
            let mut stand = Stand::new(fixture::QUAY);
            stand.does(&[SessionCommand::SetHands(practice::Hands::Right), SessionCommand::GoToBar(5)], 0.0);
            stand.view.keyboard = KeyboardView::Full;
            stand
        }),
        ("crowded", || {
            let mut stand = Stand::new(&fixture::crowded());
            stand.diagnostics = song::read("{ \"format\": 1, \"title\": 3, \"kee\": 2 }").diagnostics;
            stand.devices.message = Some("No MIDI input is connected; mouse and letters play.".into());
            stand
        }),
        ("names", || {
            let mut stand = Stand::new(&fixture::crowded());
            stand.view.labels = Labels::Names;
            stand
        }),
        ("long", || {
            let mut stand = Stand::new(&fixture::long(12));
            stand.does(&[SessionCommand::GoToBar(60)], 0.0);
            stand.view.labels = Labels::Numbers;
            stand
        }),
        ("results", || {
            let mut stand = page(Page::Results);
            stand.has_played();
            stand
        }),
        ("after", || {
            let mut stand = page(Page::Song);
            stand.has_played();
            stand
        }),
        ("laps", || {
            let mut stand = page(Page::Results);
            stand.loops_five_times();
            stand
        }),
        ("shifted", || {
            let mut stand = page(Page::Results);
            stand.has_played_beside_the_beat();
            stand
        }),
        ("other-key", || {
            let mut stand = page(Page::Results);
            stand.loops_five_times();
            let played = stand.session.laps.clone();
            stand = Stand::of_part(fixture::part_in(fixture::LANTERNS, "Eb major"));
            stand.session.laps = played;
            stand.view.page = Page::Results;
            stand
        }),
        ("write-row", || writing(fixture::LANTERNS, ui::Chosen::bar(2, 1))),
        ("write-wrong", || {
            let wrong = fixture::LANTERNS.replace("4 | 4... 5. | 6 | ~", "4 | 4... 5.. | Bm | ~");
            writing(&wrong, ui::Chosen::bar(3, 1))
        }),
        ("write-section", || writing(fixture::WALTZ, song::edit::Place::Section(0).into())),
        ("write-pass", || {
            let place = song::edit::Place::Bar { section: 1, bar: 3, pass: Some(3), beat: None };
            writing(fixture::LANTERNS, place.into())
        }),
        ("write-side-settings", || at_the_side(fixture::WALTZ, ui::Chosen::bar(1, 1), ui::Topic::Settings)),
        ("write-side-passes", || {
            let place = song::edit::Place::Bar { section: 1, bar: 3, pass: Some(3), beat: None };
            at_the_side(fixture::LANTERNS, place.into(), ui::Topic::Passes)
        }),
        ("write-side-hands", || {
            let place = song::edit::Place::Bar { section: 2, bar: 3, pass: None, beat: None };
            at_the_side(fixture::LANTERNS, place.into(), ui::Topic::Hands)
        }),
        ("write-side-notes", || {
            let place = song::edit::Place::Bar { section: 2, bar: 3, pass: None, beat: Some(3) };
            at_the_side(fixture::LANTERNS, place.into(), ui::Topic::Notes)
        }),
        ("write-side-goals", || at_the_side(fixture::FROST, ui::Chosen::bar(1, 1), ui::Topic::Goals)),
        ("capo", || {
            let mut stand = Stand::of_part(fixture::part_in(fixture::LANTERNS, "Eb major"));
            stand.view.capo = Some(1);
            stand
        }),
        ("new-song", || page(Page::NewSong)),
        ("write-find", || {
            let mut stand = writing(fixture::LANTERNS, ui::Chosen::bar(2, 1));
            stand.view.writing.find = Some("5/7".into());
            stand
        }),
        ("write-new", || {
            let blank = r#"{ "format": 1, "title": "New", "key": "C major", "tempo": 90, "sections": [] }"#;
            let mut stand = writing(blank, song::edit::Place::Song.into());
            stand.view.writing.line = Some(ui::NewLine { section: 0, row: 0 });
            stand
        }),
        ("ways", || {
            let mut stand = page(Page::Ways);
            let lift = fixture::bar_of(&stand.part, "Verse", 1);
            stand.does(&[SessionCommand::GoToBar(lift)], 0.0);
            stand.looks_for_ways(fixture::LANTERNS);
            stand.view.way = Some(1);
            stand.choices.told =
                Some("Right hand: 3 5 1. G♯4 is foreign to the chord. Nothing is pinned.".into());
            stand.choices.holding = [54, 61, 68].map(|n| theory::MidiKey::new(n).unwrap()).into();
            stand.choices.undo = Some("a chord chosen otherwise".into());
            stand
        }),
        ("part", || {
            let mut stand = page(Page::More);
            stand.view.tab = Tab::Part;
            let voice = [48, 72].map(|n| theory::MidiKey::new(n).unwrap());
            stand.settings.voice = voicing::KeySpan::new(voice[0], voice[1]);
            stand
        }),
        ("quiet", || {
            let mut stand = page(Page::Song);
            stand.devices.midi_port = None;
            stand.devices.sound = None;
            stand.devices.message =
                Some("No MIDI keyboard and no sound device: mouse and letters play, in silence.".into());
            stand
        }),
        ("takes", || {
            let mut stand = page(Page::Takes);
            stand.has_takes();
            stand
        }),
        ("songs", || page(Page::Songs)),
        ("versions", || {
            let mut stand = page(Page::Versions);
            stand.files = fixture::files();
            stand
        }),
        ("no-versions", || {
            let mut stand = page(Page::Versions);
            stand.files.versions = Some(Vec::new());
            stand
        }),
        ("clash", || {
            let mut stand = page(Page::Song);
            stand.files.asks =
                Some(ui::FileQuestion::Clash(vec!["bar 2 of Verse".into(), "the tempo".into()]));
            stand
        }),
        ("no-takes", || page(Page::Takes)),
        ("heard-again", || {
            let mut stand = page(Page::Results);
            stand.has_played();
            stand.take = Some("Take of 25 Nov 2026, 18:40".into());
            stand.replay = Some(31.5);
            stand
        }),
        ("devices", || {
            let mut stand = page(Page::More);
            stand.view.tab = Tab::Devices;
            stand.devices.bank = Some("GrandAndMore.sf2".into());
            stand.devices.presets = (1..=40).map(|n| format!("{n:03} Preset of the bank")).collect();
            stand.devices.preset = Some(3);
            stand
        }),
        ("screen", || {
            let mut stand = page(Page::More);
            stand.view.tab = Tab::Screen;
            stand
        }),
        ("timing", || {
            let mut stand = page(Page::Timing);
            stand.taps.tapping = Some(Tapping { to: TapTo::Light, beat: 9, of: 24, lit: true });
            stand.taps.click = Some("24 taps, 31 ms before the click on the whole.".into());
            stand.taps.has_click = true;
            stand
        }),
        ("timed", || {
            let mut stand = page(Page::Timing);
            stand.taps = fixture::taps();
            stand
        }),
        ("scale", || {
            room(Room { scale: "E harmonic minor".parse().unwrap(), octaves: 2, ..Room::default() })
        }),
        ("scale-blues", || {
            let scale = "Eb blues".parse().unwrap();
            room(Room { scale, octaves: 4, accents: 3, notes_a_beat: 3, ..Room::default() })
        }),
        ("scale-contrary", || {
            let scale = "Db major".parse().unwrap();
            room(Room { scale, octaves: 3, motion: Motion::Contrary, accents: 2, ..Room::default() })
        }),
        ("scale-arpeggio", || {
            let scale = "Bb mixolydian".parse().unwrap();
            let room_of = Room { subject: Subject::Arpeggio, scale, octaves: 2, ..Room::default() };
            room(room_of.with_broken(theory::ArpeggioKind::DominantSeventh))
        }),
        ("scale-drill", || {
            let scale = "D major".parse().unwrap();
            let drill = Some(Drill { hand: theory::Hand::Right, crossing: 0 });
            room(Room { scale, drill, notes_a_beat: 4, ..Room::default() })
        }),
        ("scale-even", || {
            let scale = "C major".parse().unwrap();
            let mut stand = room(Room { scale, octaves: 2, ..Room::default() });
            stand.has_run(6, 24.0);
            stand
        }),
        ("chords", || {
            let scale = "Eb major".parse().unwrap();
            room(Room { scale, subject: Subject::Chords, ..Room::default() })
        }),
        ("chords-sevenths", || {
            let scale = "A harmonic minor".parse().unwrap();
            room(Room { scale, subject: Subject::Chords, sevenths: true, ..Room::default() })
        }),
        ("chords-song", || {
            let song = fixture::part(fixture::FROST);
            let room = Room { scale: song.key.into(), subject: Subject::SongChords, ..Room::default() };
            let part = ui::exercise(&room, Some(&song), voicing::KeyRange::FULL);
            let mut stand = Stand::of_part(part);
            stand.view.page = Page::Room;
            stand.view.room = room;
            stand.does(&[SessionCommand::GoToBar(11)], 0.0);
            stand
        }),
        ("practice-plan", || practised::planned(Page::Practice)),
        ("practice-under-way", practised::under_way),
        ("practice-asked", practised::asked),
        ("practice-rest", practised::rest),
        ("practice-memory-numbers", || practised::from_memory(Help::Numbers)),
        ("practice-memory-sections", || practised::from_memory(Help::Sections)),
        ("practice-memory-nothing", || practised::from_memory(Help::Nothing)),
        ("practice-warm-up", practised::warm_up),
        ("practice-set", || practised::in_a_set(Page::Practice)),
        ("practice-set-ready", || practised::in_a_set(Page::Ready)),
        ("practice-set-lost", practised::lost_set),
        ("practice-hard-bars", || practised::planned(Page::Song)),
        ("practice-ready", || practised::planned(Page::Ready)),
        ("practice-unheard", practised::unheard),
        ("practice-stage", || practised::in_a_set(Page::Stage)),
        ("practice-stage-long", || {
            let mut stand = Stand::new(&fixture::long(12));
            stand.view.page = Page::Stage;
            stand
        }),
        ("keys", || page(Page::Keys)),
        ("more", || page(Page::More)),
        ("paper", || {
            let mut stand = page(Page::Paper);
            stand.paper.pages =
                vec![ui::PaperPage { width: 595.0, height: 842.0, marks: Vec::new(), says: "a page".into() }];
            stand.paper.told = Some("Saved as songs/lanterns.mid.".into());
            stand.paper.writing = Some(0.42);
            stand
        }),
        ("songs", || page(Page::Songs)),
        ("first", || {
            let mut stand = page(Page::FirstStart);
            stand.is_guided();
            stand
        }),
        ("pedal", || {
            let mut stand = Stand::new(fixture::POUND);
            stand.does(&[SessionCommand::SetPedal(true), SessionCommand::GoToBar(9)], 0.0);
            stand
        }),
        ("mistakes", || {
            let mut stand = page(Page::Mistakes);
            stand.diagnostics = song::read("{ \"format\": 1, \"title\": 3, \"kee\": 2 }").diagnostics;
            stand
        }),
    ]
}

fn page(page: Page) -> Stand {
    let mut stand = Stand::new(fixture::LANTERNS);
    stand.view.page = page;
    stand
}

fn room(room: Room) -> Stand {
    let mut stand = Stand::of_part(ui::exercise(&room, None, voicing::KeyRange::FULL));
    stand.view.page = Page::Room;
    stand.view.room = room;
    stand.does(&[SessionCommand::Advance, SessionCommand::Advance], 0.0);
    stand
}
