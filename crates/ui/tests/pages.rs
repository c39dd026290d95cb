//! The pages that open on demand, and what is said in passing.

use crate::stand::{asked, window};
use crate::support::fixture::{self, Stand};
use egui::Key;
use egui_kittest::kittest::Queryable;
use practice::{Between, ClickBars, ClickStyle, LoopBars, SessionCommand};
use theory::Hand;
use ui::{
    Command, Instrument, Page, Question, Room, Subject, Tab, TakeDeed, TapDeed, TapTo, Tapping, Touch, Voice,
};
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
fn a_new_player_sees_the_keys_of_one_hand() {
    // Squares of the left hand, in the colour that only they have on white keys.
    let squares = |page: Page| {
        let mut stand = on(page);
        stand.is_guided();
        let mut shown = window(stand, [1280.0, 800.0]);
        let image = shown.render().unwrap();
        let left = ui::key_mark(Hand::Left, false).0;
        (0..1280)
            .flat_map(|x| (625..780).map(move |y| (x, y)))
            .filter(|(x, y)| crate::support::raster::pixel(&image, *x, *y) == left)
            .count()
    };
    assert!(squares(Page::Song) > 100, "on the song's page the program's hand is seen as well");
    assert_eq!(squares(Page::FirstStart), 0);
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
    let mut stand = on(Page::More);
    stand.view.tab = Tab::Part;
    let mut shown = window(stand, [1280.0, 800.0]);
    shown.get_by_label("a ninth").click();
    shown.run();
    let ninth = voicing::Settings::default().with_reach(Reach::new(14).unwrap());
    assert_eq!(asked(&mut shown), [Command::Player(ninth)]);
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
    assert!(shown.query_by_label_contains(&place).is_some(), "the place in the file is told");
    assert!(shown.query_by_label_contains("Intro, bar 1, ").is_some(), "and in the song");
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
fn what_is_asked_in_passing_leads_to_where_it_is_set() {
    for (tab, set) in [(Tab::Part, "a ninth"), (Tab::Playing, "61 keys, C2 to C7")] {
        let mut stand = on(Page::Song);
        stand.has_played();
        stand.view.asked_reach = tab == Tab::Playing;
        let mut shown = window(stand, [1280.0, 800.0]);
        shown.get_by_label("Answer in the settings").click();
        shown.run();
        assert_eq!(asked(&mut shown), [Command::Tab(tab)]);
        assert!(shown.query_by_label(set).is_some(), "{set}");
    }
}

#[test]
fn every_page_is_found_with_the_mouse() {
    let mut shown = window(on(Page::More), [1280.0, 800.0]);
    for (name, page) in [
        ("practise: what is played next (F11)", Page::Practice),
        ("how ready the song is (F12)", Page::Ready),
        ("the chart alone, for the stage (Shift+F11)", Page::Stage),
        ("write the song (Ctrl+E)", Page::Writing),
        ("earlier versions of the song (Ctrl+H)", Page::Versions),
        ("all keys and signs (F1)", Page::Keys),
    ] {
        shown.get_by_label(name).click();
        shown.run();
        assert_eq!(asked(&mut shown), [Command::Show(page)]);
        shown.state_mut().stand.view.page = Page::More;
        shown.run();
    }
}

#[test]
fn reach_has_one_home() {
    for tab in [Tab::Playing, Tab::Part, Tab::Devices, Tab::Screen] {
        let mut stand = on(Page::More);
        stand.view.tab = tab;
        let shown = window(stand, [1280.0, 800.0]);
        let reaches = shown.query_all_by_label_contains("reaches").count();
        assert_eq!(reaches > 0, tab == Tab::Part, "{tab:?}");
    }
}

#[test]
fn results_count_and_offer_bars_slower() {
    let mut stand = on(Page::Results);
    stand.has_played();
    let score = stand.session.laps[0].score.clone();
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
    let room = Room { scale: "D major".parse().unwrap(), ..Room::default() };
    let mut stand = Stand::of_part(ui::exercise(&room, None, voicing::KeyRange::FULL));
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
    let room = Room { scale: "F major".parse().unwrap(), ..Room::default() };
    let part = ui::exercise(&room, None, voicing::KeyRange::FULL);
    let of = |hand: Hand| -> Vec<u8> {
        part.events.iter().filter(|e| e.hand == hand).map(|e| e.finger.number()).collect()
    };
    // F major, Hanon, part 2: right 1 2 3 4 1 2 3 4, left 5 4 3 2 1 3 2 1, and back.
    assert_eq!(of(Hand::Right), [1, 2, 3, 4, 1, 2, 3, 4, 3, 2, 1, 4, 3, 2, 1]);
    assert_eq!(of(Hand::Left), [5, 4, 3, 2, 1, 3, 2, 1, 2, 3, 1, 2, 3, 4, 5]);
}

#[test]
fn harmonic_minor_has_its_own_chords() {
    let room =
        Room { scale: "A harmonic minor".parse().unwrap(), subject: Subject::Chords, ..Room::default() };
    let part = ui::exercise(&room, None, voicing::KeyRange::FULL);
    let mut names: Vec<String> = part
        .bars
        .iter()
        .map(|bar| match &bar.played.slots[0].kind {
            song::SlotKind::Chord { chord, .. } => chord.name(),
            other => panic!("{other:?}"),
        })
        .collect();
    // Up one bar and down another.
    names.dedup();
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

#[test]
fn devices_are_chosen_by_name() {
    let mut stand = on(Page::More);
    stand.view.tab = Tab::Devices;
    let mut shown = window(stand, [1280.0, 800.0]);
    for (name, command) in [
        ("MIDI keyboard: Pad", Command::MidiPort(Some("Pad".into()))),
        ("MIDI keyboard: every one there is", Command::EveryMidiPort),
        ("MIDI channel: 10", Command::Channel(Some(10))),
        ("Sound device: USB box, headphones", Command::SoundOutput(Some("USB box, headphones".into()))),
        ("Frames in a block of sound: 256", Command::Buffer(256)),
        ("Touch: every strike alike", Command::Touch(Touch::Same)),
        ("Instrument: Lock organ.sf2", Command::Instrument(Instrument::Bank(1))),
        ("another SoundFont bank", Command::Instrument(Instrument::File)),
    ] {
        shown.get_by_label(name).click();
        shown.run();
        assert_eq!(asked(&mut shown), [command], "{name}");
    }
    shown.get_by_label("click louder").focus();
    shown.run();
    shown.key_press(Key::Enter);
    shown.run();
    assert_eq!(asked(&mut shown), [Command::VolumeOf(Voice::Click, 0.85)]);
    let bar = shown.get_by_label("volume of the program").rect();
    shown.drag_at(bar.center());
    shown.run();
    shown.drop_at(bar.center());
    assert_eq!(asked(&mut shown)[0], Command::VolumeOf(Voice::Part, 0.5));
}

#[test]
fn the_click_is_set_by_name() {
    let mut shown = window(on(Page::More), [1280.0, 800.0]);
    let plain = ClickStyle::default();
    for (name, style) in [
        ("The click sounds in: every other bar", ClickStyle { bars: ClickBars::EveryOther, ..plain }),
        ("Between the beats: no clicks", ClickStyle { between: Between::Never, ..plain }),
        ("first beat accented", ClickStyle { accents: false, ..plain }),
    ] {
        shown.get_by_label(name).click();
        shown.run();
        assert_eq!(asked(&mut shown), [Command::Session(SessionCommand::SetClickStyle(style))], "{name}");
    }
}

#[test]
fn the_end_of_a_run_says_how_many_and_where_to_look() {
    let mut stand = on(Page::Song);
    stand.has_played();
    let score = stand.session.laps[0].score.clone();
    let line = format!("{} of {} notes.", score.matched, score.expected);
    let mut shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label(&line).is_some(), "{line}");
    shown.get_by_label("Show how it went").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Show(Page::Results)]);
    let mut stepping = on(Page::Song);
    stepping.has_played();
    stepping.session.settings.mode = practice::Mode::Step;
    let shown = window(stepping, [1280.0, 800.0]);
    assert!(shown.query_by_label(&line).is_none(), "who steps has left the run behind");
}

#[test]
fn every_lap_can_be_looked_at() {
    let mut stand = on(Page::Results);
    stand.loops_five_times();
    let counts: Vec<String> = stand
        .session
        .laps
        .iter()
        .map(|lap| format!("{} of {} notes", lap.score.matched, lap.score.expected))
        .collect();
    let mut shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label(&counts[4]).is_some(), "the last one first");
    shown.get_by_label(&format!("Lap 2: {}", counts[1])).click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Lap(Some(1))]);
    assert!(shown.query_by_label(&counts[1]).is_some());
    assert!(shown.query_by_label("Intro, bars 1–2, right hand, at 100 %").is_some());
    shown.get_by_label("Hear it again with the part").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Hear { with_part: true }]);
}

#[test]
fn results_stay_when_the_key_changes_and_say_what_they_are_of() {
    let mut played = on(Page::Results);
    played.has_played();
    let mut stand = Stand::of_part(fixture::part_in(fixture::LANTERNS, "Eb major"));
    stand.session.laps = played.session.laps.clone();
    stand.view.page = Page::Results;
    let shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label("In D major, the whole song, both hands, at 100 %").is_some());
}

#[test]
fn right_keys_half_a_beat_late_are_told_so() {
    let mut stand = on(Page::Results);
    stand.has_played_beside_the_beat();
    let shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label("The right keys, steadily half a beat late.").is_some());
    assert!(shown.query_by_label_contains("Bars to work on").is_none(), "no bar is worse than another");
}

#[test]
fn the_program_is_named_where_it_plays_a_hand() {
    let mut stand = on(Page::Song);
    stand.is_guided();
    let shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label_contains("left hand, played by the program:").is_some());
    assert!(shown.query_by_label("Loop, Intro 1–2").is_some(), "bars are named as in the chart");
}

#[test]
fn the_pedal_line_is_shown_when_asked_for() {
    let told = |on: bool| {
        let mut stand = Stand::new(fixture::POUND);
        stand.does(&[SessionCommand::SetPedal(on), SessionCommand::GoToBar(1)], 0.0);
        window(stand, [1280.0, 800.0]).query_by_label_contains("pedal changes at beat 1.00").is_some()
    };
    assert!(told(true) && !told(false));
}

#[test]
fn takes_are_heard_kept_and_deleted_by_name() {
    let mut stand = on(Page::Takes);
    stand.has_takes();
    let mut shown = window(stand, [1280.0, 800.0]);
    let about = "25 Nov 2026, 18:40 of Lanterns at the Lock, 698 of 758 notes";
    for (name, deed) in [
        (format!("Show how the take of {about} went"), TakeDeed::Open),
        (format!("Hear: the take of {about}"), TakeDeed::Hear),
        (format!("With the part: the take of {about}"), TakeDeed::HearWithPart),
        (format!("Keep: the take of {about}"), TakeDeed::Keep),
    ] {
        shown.get_by_label(&name).click();
        shown.run();
        assert_eq!(asked(&mut shown), [Command::Take(0, deed)], "{name}");
    }
    shown.get_by_label(&format!("Delete: the take of {about}")).click();
    shown.run();
    assert_eq!(asked(&mut shown), [], "it is asked once more");
    shown.get_by_label(&format!("Delete it: the take of {about}")).click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Take(0, TakeDeed::Delete)]);
    shown.get_by_label_contains("Kept: the take of").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Take(1, TakeDeed::LetGo)]);
    shown.get_by_label_contains("Stop: the take of").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::StopReplay]);
}

#[test]
fn the_space_bar_taps_and_no_delay_is_set_unasked() {
    let mut stand = on(Page::Timing);
    stand.taps.tapping = Some(Tapping { to: TapTo::Click, beat: 3, of: 24, lit: false });
    let mut shown = window(stand, [1280.0, 800.0]);
    shown.key_press(Key::Space);
    shown.step();
    assert_eq!(asked(&mut shown), [Command::Taps(TapDeed::Tap)]);
    shown.state_mut().stand.taps = fixture::taps();
    shown.run();
    assert_eq!(asked(&mut shown), []);
    assert!(shown.query_by_label_contains("The sound seems 44 ms later than the light").is_some());
    shown.get_by_label("take the sound to come 44 ms later than the light").click();
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Taps(TapDeed::SetDelay(44.0))]);
}
