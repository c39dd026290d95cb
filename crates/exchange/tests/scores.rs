//! Scores and MIDI files of parts are read back to the same chords, meters and keys; lead sheets of others to songs.

use exchange::{Imported, midi_chart, musicxml, notes_part, read_midi, write_part};
use practice::Hands;
use proptest::prelude::*;
use song::{PlayedSong, SlotKind};
use std::collections::BTreeSet;
use theory::Key;
use voicing::{Part, Settings};

fn song_of(imported: &Imported) -> PlayedSong {
    song::read(&imported.song.to_text()).sound().unwrap().play()
}

fn planned(text: &str) -> Part {
    let song = song::read(text).sound().unwrap().play();
    voicing::plan(&song, song.key, &Settings::default()).unwrap()
}

/// Per bar its meter, its key, and each chord: where, root, notes, bass.
fn outline<'a>(bars: impl Iterator<Item = &'a song::PlayedBar>) -> Vec<String> {
    let chord = |slot: &song::Slot| match &slot.kind {
        SlotKind::Chord { chord, .. } => {
            let classes: BTreeSet<u8> = chord.names().map(|name| name.pitch_class()).collect();
            let (n, d) = slot.start.fraction();
            Some(format!("{n}/{d} {} {classes:?} {}", chord.root(), chord.bass))
        }
        _ => None,
    };
    let bar = |bar: &song::PlayedBar| {
        let chords: Vec<String> = bar.slots.iter().filter_map(chord).collect();
        format!("{} {} {}", bar.meter, bar.key, chords.join("; "))
    };
    bars.map(bar).collect()
}

fn chord() -> impl Strategy<Value = String> {
    let root = prop_oneof![6 => (1..=7u8).prop_map(|n| n.to_string()), 1 => Just("b7M".to_owned()), 1 => Just("#4dim".to_owned())];
    let extension = prop_oneof![
        5 => Just(""), 1 => Just("(7)"), 1 => Just("(maj7)"), 1 => Just("(9)"), 1 => Just("(6)"), 1 => Just("(add9)"),
        1 => Just("(7b9)"), 1 => Just("(11)"), 1 => Just("(13)"),
    ];
    let under = prop_oneof![4 => Just(""), 1 => Just("/5"), 1 => Just("/3"), 1 => Just("/b7")];
    (root, extension, under).prop_map(|(root, extension, under)| format!("{root}{extension}{under}"))
}

fn bar() -> impl Strategy<Value = String> {
    prop_oneof![
        6 => chord(),
        3 => (chord(), chord()).prop_map(|(a, b)| format!("{a} {b}")),
        2 => (chord(), chord()).prop_map(|(a, b)| format!("{a}... {b}.")),
        1 => (chord(), chord()).prop_map(|(a, b)| format!("3/4: {a}.. ^{b}.")),
        1 => (chord(), chord()).prop_map(|(a, b)| format!("6/8: {a} <{b}>")),
        1 => chord().prop_map(|a| format!("{a} ~")),
        1 => chord().prop_map(|a| format!("^{a} N")),
    ]
}

fn song_text() -> impl Strategy<Value = String> {
    let keys: Vec<Key> = Key::all().collect();
    let bars = || prop::collection::vec(bar(), 1..5).prop_map(|bars| bars.join(" | "));
    let figures = prop_oneof![Just("x - - -"), Just("x x x x"), Just("x xx xxx -"), Just(". x . x")];
    let feel = prop_oneof![Just("straight"), Just("swing")];
    (0..keys.len(), bars(), bars(), 1..3u32, figures, feel, 40..200u32).prop_map(
        move |(key, verse, chorus, passes, figure, feel, tempo)| {
            format!(
                r#"{{ "format": 1, "title": "Lock & <Quay>", "key": "{}", "tempo": {tempo}, "feel": "{feel}", "pedal": true,
                  "right": {{ "figure": "{figure}" }},
                  "sections": [ {{ "name": "Verse", "bars": ["{verse}"], "passes": {passes} }},
                    {{ "name": "Chorus", "bars": ["{chorus}"], "key": "+2", "tempo": {} }} ],
                  "order": ["Verse", "Chorus", "Verse"] }}"#,
                keys[key],
                tempo + 4
            )
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn what_is_written_is_read_back(text in song_text()) {
        let part = planned(&text);
        let expected = outline(part.bars.iter().map(|bar| &bar.played));
        let score = musicxml::write(&part);
        let packed = musicxml::write_compressed(&part);
        prop_assert!(musicxml::looks_like(&score) && musicxml::looks_like(&packed));
        for (kind, imported) in [
            ("musicxml", musicxml::read(&score, "").unwrap()),
            ("mxl", musicxml::read(&packed, "").unwrap()),
            ("mid", midi_chart(&read_midi(&write_part(&part, Hands::Both, true)).unwrap(), "").unwrap().unwrap()),
        ] {
            prop_assert_eq!(&imported.song.title, "Lock & <Quay>");
            let song = song_of(&imported);
            prop_assert_eq!(outline(song.bars.iter()), expected.clone(), "by way of {}", kind);
            let tempi = |bars: &mut dyn Iterator<Item = f64>| bars.map(|t| (t * 1e3).round()).collect::<Vec<_>>();
            prop_assert_eq!(
                tempi(&mut song.bars.iter().map(|bar| bar.quarters_per_minute)),
                tempi(&mut part.bars.iter().map(|bar| bar.played.quarters_per_minute))
            );
        }
    }
}

/// A song in minor and one in major with meters of its own, in all fifteen keys of each mode.
#[test]
fn songs_in_every_key_are_read_back_to_the_same_chords_meters_and_keys() {
    for text in [
        include_str!("../../../demo-songs/frost-on-the-sluice.json"),
        include_str!("../../../demo-songs/heron-waltz.json"),
    ] {
        let song = song::read(text).sound().unwrap().play();
        for key in Key::all().filter(|key| key.mode() == song.key.mode()) {
            let part = voicing::plan(&song, key, &Settings::default()).unwrap();
            let expected = outline(part.bars.iter().map(|bar| &bar.played));
            let score = musicxml::read(&musicxml::write(&part), "").unwrap();
            assert_eq!(outline(song_of(&score).bars.iter()), expected, "{key}");
            let file = read_midi(&write_part(&part, Hands::Both, false)).unwrap();
            let chart = midi_chart(&file, "").unwrap().unwrap();
            assert_eq!(outline(song_of(&chart).bars.iter()), expected, "{key}");
        }
    }
}

#[test]
fn a_midi_file_holds_the_notes_of_the_part() {
    let part = planned(
        r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72, "right": { "figure": "x xxx x -" },
          "sections": [ { "name": "Intro", "bars": ["^1 | 5/7 | 6.. 4.. | <1>"] } ] }"#,
    );
    let file = read_midi(&write_part(&part, Hands::Both, false)).unwrap();
    // The push before the first bar line has a bar of four quarters before it.
    let lead = song::Quarters::new(4, 1);
    let mut written: Vec<_> = part.events.iter().map(|e| (e.start + lead, e.key, Some(e.hand))).collect();
    let mut read: Vec<_> = file.notes().iter().map(|n| (n.start, n.key, n.hand)).collect();
    let order = |note: &(song::Quarters, theory::MidiKey, Option<theory::Hand>)| {
        (note.0, note.1, note.2.map(|h| h as u8))
    };
    written.sort_by_key(order);
    read.sort_by_key(order);
    assert_eq!(read, written);
    assert_eq!(file.track_names(), ["Lock", "Right Hand", "Left Hand"]);
}

#[test]
fn the_notes_of_a_midi_file_become_a_part_to_practise() {
    let part = planned(
        r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72, "right": { "figure": "x xxx x -" },
          "left": { "figure": "1 - 2 -" },
          "sections": [ { "name": "Intro", "bars": ["1 | 3/4: 5/7 | 6.. 4.. | <1>"] } ] }"#,
    );
    let file = read_midi(&write_part(&part, Hands::Both, true)).unwrap();
    let notes = notes_part(&file, "", None, part.settings).unwrap();
    let strikes = |part: &Part| -> Vec<_> {
        let strike =
            |e: &voicing::Event| (e.start, e.key.number(), e.hand as u8, e.length, e.pitch.to_string());
        let mut strikes: Vec<_> = part.events.iter().map(strike).collect();
        strikes.sort();
        strikes
    };
    assert_eq!(strikes(&notes), strikes(&part), "all keys, where they were, spelled in the file's key");
    let bars = |part: &Part| -> Vec<_> {
        let bar = |bar: &voicing::PartBar| {
            (
                bar.played.meter,
                bar.played.start,
                bar.played.key,
                (bar.played.quarters_per_minute * 1e3).round(),
            )
        };
        part.bars.iter().map(bar).collect()
    };
    assert_eq!(bars(&notes), bars(&part));
    for bar in &notes.bars {
        let chordless = |slot: &song::Slot| slot.kind == SlotKind::Rest && slot.continued;
        assert!(bar.played.slots.iter().all(chordless), "there is no chart");
        let lengths = bar.played.slots.iter().map(|slot| slot.length);
        assert_eq!(lengths.fold(song::Quarters::ZERO, |sum, l| sum + l), bar.played.meter.length());
        assert_eq!(bar.chords.len(), bar.played.slots.len());
    }
    let up = notes_part(&file, "", Some("E major".parse().unwrap()), part.settings).unwrap();
    assert_eq!(up.key.to_string(), "E major");
    let higher = part.events.iter().map(|e| e.key.number() + 2).collect::<Vec<_>>();
    assert_eq!(up.events.iter().map(|e| e.key.number()).collect::<Vec<_>>(), higher);
}

/// Standard MIDI Files 1.0: format 0, 96 ticks a quarter, one track without a name; middle C and the C below it together,
/// then E and G in two ticks of one another, as a hand plays them. Written out byte by byte.
#[test]
fn notes_of_one_track_are_split_at_middle_c_and_what_is_struck_together_is_one_step() {
    let track: &[u8] = &[
        0, 0x90, 48, 90, 0, 0x90, 60, 90, 96, 0x80, 48, 0, 0, 0x80, 60, 0, 0, 0x90, 64, 90, 2, 0x90, 67, 90,
        94, 0x80, 64, 0, 0, 0x80, 67, 0, 0, 0xFF, 0x2F, 0,
    ];
    let head = [b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0".as_slice(), &[track.len() as u8]].concat();
    let file = read_midi(&[&head, track].concat()).unwrap();
    let part = notes_part(&file, "Tide", None, Settings::default()).unwrap();
    assert_eq!((part.title.as_str(), part.key.to_string()), ("Tide", "C major".to_owned()));
    let strike = |e: &voicing::Event| format!("{:?} {} {}", e.hand, e.pitch, e.slot);
    let strikes: Vec<String> = part.events.iter().map(strike).collect();
    assert_eq!(strikes, ["Left C3 0", "Right C4 0", "Right E4 1", "Right G4 1"]);
    // A file that names no tempo goes at 120 (Standard MIDI Files 1.0).
    assert_eq!(part.bars[0].played.quarters_per_minute, 120.0);
}

/// A lead sheet of our own: a pickup, a repeat with endings, chords within the bar, one that number charts cannot write.
const SHEET: &str = r#"<?xml version="1.0"?>
<score-partwise version="4.0"><work><work-title>Lamp on the Lock</work-title></work>
<identification><creator type="composer">nobody</creator></identification>
<part-list><score-part id="P1"><part-name>Voice</part-name></score-part></part-list>
<part id="P1">
<measure number="0" implicit="yes"><attributes><divisions>2</divisions><key><fifths>1</fifths><mode>major</mode></key>
 <time><beats>4</beats><beat-type>4</beat-type></time></attributes>
 <direction><direction-type><rehearsal>Verse</rehearsal></direction-type><sound tempo="96"/></direction>
 <note><pitch><step>D</step><octave>4</octave></pitch><duration>2</duration></note></measure>
<measure number="1"><barline location="left"><repeat direction="forward"/></barline>
 <harmony><root><root-step>G</root-step></root><kind>major-seventh</kind></harmony>
 <note><pitch><step>B</step><octave>4</octave></pitch><duration>4</duration></note>
 <harmony><root><root-step>F</root-step><root-alter>1</root-alter></root><kind>half-diminished</kind></harmony>
 <note><pitch><step>A</step><octave>4</octave></pitch><duration>4</duration></note></measure>
<measure number="2"><barline location="left"><ending number="1" type="start"/></barline>
 <harmony><root><root-step>D</root-step></root><kind>dominant</kind><bass><bass-step>F</bass-step><bass-alter>1</bass-alter></bass>
  <degree><degree-value>11</degree-value><degree-alter>1</degree-alter><degree-type>add</degree-type></degree></harmony>
 <harmony><root><root-step>C</root-step></root><kind>major</kind><offset>6</offset></harmony>
 <note><pitch><step>A</step><octave>4</octave></pitch><duration>8</duration></note>
 <barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline></measure>
<measure number="3"><barline location="left"><ending number="2" type="start"/></barline>
 <harmony><numeral><numeral-root>5</numeral-root></numeral><kind>major</kind></harmony>
 <harmony><function>I</function><kind>major</kind><offset>4</offset></harmony>
 <direction><direction-type><words>dolce</words></direction-type></direction>
 <note><rest/><duration>8</duration></note>
 <barline location="right"><ending number="2" type="stop"/></barline></measure>
<measure number="4"><harmony><root><root-step>G</root-step></root><kind text="N.C.">none</kind></harmony>
 <note><rest/><duration>8</duration></note></measure>
</part></score-partwise>"#;

// Written out by hand from the sheet above.
#[test]
fn a_lead_sheet_becomes_a_song_in_numbers() {
    let imported = musicxml::read(SHEET.as_bytes(), "").unwrap();
    let song = &imported.song;
    assert_eq!((song.title.as_str(), song.key.as_str(), song.tempo), ("Lamp on the Lock", "G major", 96.0));
    let sections: Vec<(&str, String)> =
        song.sections.iter().map(|s| (s.name.as_str(), s.bars.as_ref().unwrap().join(" || "))).collect();
    assert_eq!(
        sections,
        [
            ("Verse", "1/4: N".to_owned()),
            ("Verse 2", "1(maj7) 7(7)".to_owned()),
            ("Verse, ending 1", "5(7)/7... 4.".to_owned()),
            ("Verse, ending 2", "5 1 | N".to_owned()),
        ]
    );
    let order: Vec<&str> = song.order.as_ref().unwrap().iter().map(String::as_str).collect();
    assert_eq!(order, ["Verse", "Verse 2", "Verse, ending 1", "Verse 2", "Verse, ending 2"]);
    let told = imported.told.join("\n");
    assert!(told.contains("bar 3: number charts have no #11: read as D7/F#"), "{told}");
    assert!(told.contains("bar 4: dolce"), "{told}");
    let figures = imported.figures;
    assert_eq!((figures.bars, figures.bars_played, figures.chords), (5, 6, 6));
    assert_eq!((figures.moved, figures.simplified), (0, 1));
    let note = &song.sections[2].except.as_ref().unwrap()[0].note;
    assert_eq!(note.as_deref(), Some("number charts have no #11: read as D7/F#"));
}

#[test]
fn a_score_by_measures_is_read_as_one_by_parts() {
    let timewise = r#"<score-timewise><part-list/><measure number="1"><part id="P1">
      <attributes><divisions>1</divisions><key><fifths>0</fifths></key></attributes>
      <harmony><root><root-step>A</root-step></root><kind>minor</kind></harmony>
      <note><rest/><duration>4</duration></note></part></measure></score-timewise>"#;
    let imported = musicxml::read(timewise.as_bytes(), "Tide").unwrap();
    assert_eq!(imported.song.sections[0].bars.as_ref().unwrap(), &["6"]);
    assert_eq!(imported.song.title, "Tide");
}
