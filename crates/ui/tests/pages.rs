//! The pages that open on demand, and what is said in passing.

use crate::stand::{asked, window};
use crate::support::fixture::{self, Stand};
use egui::Key;
use egui_kittest::kittest::Queryable;
use practice::{LoopBars, SessionCommand};
use theory::Hand;
use ui::{Command, Page, Question, Room, Subject};
use voicing::Reach;

fn on(page: Page) -> Stand {
    let mut stand = Stand::new(fixture::LANTERNS);
    stand.view.page = page;
    stand
}

#[test]
fn the_first_start_begins_with_space() {
    let mut shown = window(on(Page::FirstStart), [1280.0, 800.0]);
    shown.key_press(Key::Space);
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Begin]);
    assert_eq!(shown.state().stand.view.page, Page::Song);
}

#[test]
fn a_song_of_the_list_opens_by_its_place() {
    let mut shown = window(on(Page::Songs), [1280.0, 800.0]);
    shown.get_by_label("Open Frost on the Sluice").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::OpenSong(2)]);
}

#[test]
fn settings_set() {
    let mut shown = window(on(Page::More), [1280.0, 800.0]);
    shown.get_by_label("Pad").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::MidiPort(Some("Pad".into()))]);
    shown.get_by_label("a ninth").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Reach(Reach::new(14).unwrap())]);
    assert!(shown.query_by_label_contains("Never force a stretch").is_some());
}

#[test]
fn mistakes_stand_over_the_last_good_song() {
    let mut stand = on(Page::Song);
    let text = fixture::LANTERNS.replacen("3/4: 1.. 5. | 6\"", "3/4: 1.. 5.. | 6\"", 1);
    stand.diagnostics = song::read(&text).diagnostics;
    assert!(!stand.diagnostics.is_empty());
    let place = format!("{}:{}:", stand.diagnostics[0].line, stand.diagnostics[0].column);
    let mut shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label_contains(&place).is_some(), "the place is told");
    assert!(shown.query_by_label("Intro, bar 1: 1 5").is_some(), "the last good state stays");
    shown.get_by_label("All mistakes of the song file").click();
    shown.run();
    assert!(shown.query_by_label_contains(&format!("line {}", place.split(':').next().unwrap())).is_some());
}

#[test]
fn bars_to_work_on_are_named_as_players_name_them() {
    let mut stand = on(Page::Results);
    let second = fixture::bar_of(&stand.part, "Lift", 1);
    stand.has_played_late(second, 110.0);
    let shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label_contains("1st Lift").is_some(), "the song has two Lifts");
}

#[test]
fn no_midi_is_one_quiet_line() {
    let mut stand = on(Page::Song);
    stand.devices.message = Some("No MIDI input is connected.".into());
    let shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label("No MIDI input is connected.").is_some());
}

#[test]
fn reach_is_asked_after_playing_and_can_be_left() {
    let mut stand = on(Page::Song);
    stand.has_played();
    let mut shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label("How far does your hand reach?").is_some());
    shown.get_by_label("Leave it as it is").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Answered(Question::Reach)]);
    assert!(shown.query_by_label("How far does your hand reach?").is_none());
}

#[test]
fn results_count_and_offer_bars_slower() {
    let mut stand = on(Page::Results);
    stand.has_played();
    let score = stand.session.score.clone().unwrap();
    let worst = score.bars.iter().position(|bar| !bar.clean).unwrap();
    let mut shown = window(stand, [1280.0, 800.0]);
    let count = format!("{} of {} notes", score.matched, score.expected);
    assert!(shown.query_by_label(&count).is_some(), "{count}");
    let offers: Vec<_> = shown.query_all_by_label_contains("at 80 percent").map(|node| node.rect()).collect();
    assert!(!offers.is_empty() && worst < score.bars.len());
    shown.get_all_by_label_contains("at 80 percent").next().unwrap().click();
    shown.run();
    let Some(Command::Practise { bars, speed }) = asked(&mut shown).pop() else {
        panic!("nothing was asked")
    };
    assert_eq!(speed.percent(), 80.0);
    let unclean = |bars: LoopBars| (bars.from()..=bars.to()).all(|bar| !score.bars[bar].clean);
    assert!(unclean(bars));
}

// A right chord in another octave is said, and is neither a wrong key nor a bar to work on.
#[test]
fn results_tell_a_right_chord_elsewhere_from_a_wrong_one() {
    let mut stand = Stand::new(&fixture::song("Two Bars", "C major", &[("Only", &["1 | 4"])]));
    stand.view.page = Page::Results;
    stand.has_played_an_octave_up(Hand::Right, 0);
    let shown = window(stand, [1280.0, 800.0]);
    // Each of the bar's four beats is a strike.
    for text in ["4 chords right, in another octave or inversion.", "Every bar was clean for time."] {
        assert!(shown.query_by_label(text).is_some(), "{text}");
    }
    assert!(shown.query_by_label_contains("not in the part").is_none());
}

#[test]
fn the_scale_room_tells_crossings_before_they_come() {
    // D major, right hand 1 2 3 1 2 3 4 5: Hanon, The Virtuoso Pianist, part 2.
    let room = Room { scale: "D major".parse().unwrap(), octaves: 1, subject: Subject::Scale };
    let mut stand = Stand::of_part(ui::exercise(&room));
    stand.view.page = Page::Room;
    stand.view.room = room;
    let mut shown = window(stand, [1280.0, 800.0]);
    let coming = "Right hand: after 2 more notes the thumb passes under finger 3, on to G.";
    assert!(shown.query_by_label(coming).is_some());
    shown.state_mut().stand.does(&[SessionCommand::Advance, SessionCommand::Advance], 0.0);
    shown.run();
    let now = "Right hand: now the thumb passes under finger 3, on to G.";
    assert!(shown.query_by_label(now).is_some());
    shown.get_by_label("tonic: A").click();
    shown.run();
    let a = Room { scale: "A major".parse().unwrap(), ..room };
    assert_eq!(asked(&mut shown), [Command::Room(a)]);
}

#[test]
fn exercises_have_the_fingers_of_the_tables() {
    let room = Room { scale: "F major".parse().unwrap(), octaves: 1, subject: Subject::Scale };
    let part = ui::exercise(&room);
    let of = |hand: Hand| -> Vec<u8> {
        part.events.iter().filter(|e| e.hand == hand).map(|e| e.finger.number()).collect()
    };
    // F major, Hanon, part 2: right 1 2 3 4 1 2 3 4, left 5 4 3 2 1 3 2 1, and back.
    assert_eq!(of(Hand::Right), [1, 2, 3, 4, 1, 2, 3, 4, 3, 2, 1, 4, 3, 2, 1]);
    assert_eq!(of(Hand::Left), [5, 4, 3, 2, 1, 3, 2, 1, 2, 3, 1, 2, 3, 4, 5]);
}

#[test]
fn harmonic_minor_has_its_own_chords() {
    let room = Room { scale: "A harmonic minor".parse().unwrap(), octaves: 1, subject: Subject::Chords };
    let part = ui::exercise(&room);
    let names: Vec<String> = part
        .bars
        .iter()
        .map(|bar| match &bar.played.slots[0].kind {
            song::SlotKind::Chord { chord, .. } => chord.name(),
            other => panic!("{other:?}"),
        })
        .collect();
    // Triads on the degrees of harmonic minor: minor, diminished, augmented, minor, major, major, diminished
    // (theory textbooks).
    assert_eq!(names.join(" "), "Am Bdim Caug Dm E F G#dim");
}

#[test]
fn keys_name_what_hands_and_fingers_do() {
    let shown = window(on(Page::Song), [1280.0, 800.0]);
    let part = &shown.state().stand.part;
    let first = &part.bars[0].chords[0];
    let note = &first.right.notes[0];
    let told = format!("right hand: {} finger {}", note.pitch, note.finger.number());
    assert!(shown.query_by_label_contains(&told).is_some(), "{told}");
}
