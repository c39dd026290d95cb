//! Levels, the band and the feel: what the hands do where the song writes nothing, and that what it writes stays.

use crate::print::song_text;
use proptest::prelude::*;
use song::{PlayedSong, Quarters, SlotKind};
use std::collections::HashMap;
use theory::{Hand, Interval, Member, MidiKey};
use voicing::{KeyRange, KeySpan, Level, Part, Reach, Role, Settings, Shape, plan};

fn played(text: &str) -> PlayedSong {
    song::read(text).sound().unwrap_or_else(|_| panic!("{text}")).play()
}

fn at_level(text: &str, level: u8) -> Part {
    let song = played(text);
    plan(&song, song.key, &Settings { level: Level::new(level), ..Settings::default() }).unwrap()
}

fn keys(shape: &Shape) -> Vec<u8> {
    shape.notes.iter().map(|n| n.key.number()).collect()
}

fn strikes_in_bar(part: &Part, hand: Hand) -> usize {
    part.strikes().filter(|together| together.iter().any(|e| e.hand == hand)).count() / part.bars.len()
}

#[test]
fn from_level_to_level_the_hands_play_fuller() {
    let text = song_text("C major", "", "1 | 4 | 5 | 1");
    let notes = |level: u8| {
        let part = at_level(&text, level);
        let chord = &part.bars[1].chords[0];
        (chord.right.notes.len(), chord.left.notes.len(), strikes_in_bar(&part, Hand::Left))
    };
    // Read against the table of levels.
    assert_eq!(notes(1), (2, 1, 1));
    assert_eq!(notes(2), (2, 2, 1));
    assert_eq!(notes(3), (3, 2, 1));
    assert_eq!(notes(4), (3, 3, 4));
    assert_eq!(notes(5), (4, 3, 8));
}

#[test]
fn at_the_fullest_a_hand_that_reaches_a_tenth_plays_it() {
    let song = played(&song_text("C major", r#""level": 5,"#, "1 | 4 | 6 | 1"));
    let wide = Settings { left_reach: Reach::new(16).unwrap(), ..Settings::default() };
    let top = |settings: &Settings| {
        let part = plan(&song, song.key, settings).unwrap();
        let left = keys(&part.bars[0].chords[0].left);
        left.last().unwrap() - left[0]
    };
    assert_eq!(top(&wide), 16, "C to E");
    assert_eq!(top(&Settings::default()), 12);
    assert_eq!(top(&Settings::default().with_reach(Reach::new(10).unwrap())), 7);
}

#[test]
fn what_the_song_writes_is_played_alike_at_every_level() {
    let head = r#""right": { "notes": 3, "figure": "x - x -" }, "left": { "shape": "octave", "figure": "1 2 1 2" },"#;
    let text = song_text("D major", head, "1 | 5/7 | 6 | 4 5");
    let usual = at_level(&text, 3);
    for level in [1, 2, 4, 5] {
        let part = at_level(&text, level);
        assert_eq!(part.events, usual.events, "level {level}");
    }
}

#[test]
fn verses_are_sparser_than_choruses_where_the_song_says_nothing() {
    let sections = |level: &str| {
        let text = format!(
            r#"{{ "format": 1, "title": "T", "key": "C major", "tempo": 90, {level} "sections": [
                {{ "name": "Intro", "bars": ["1"] }}, {{ "name": "Verse 1", "bars": ["1"] }},
                {{ "name": "Last chorus", "bars": ["4"] }} ] }}"#
        );
        played(&text).bars.iter().map(|bar| bar.level).collect::<Vec<_>>()
    };
    assert_eq!(sections(""), [3, 2, 4]);
    assert_eq!(sections(r#""level": 3,"#), [3, 3, 3], "what is written holds for all");
}

#[test]
fn beside_a_bass_player_the_left_hand_leaves_the_bass_note_and_the_depths() {
    for key in ["C major", "Gb major", "E minor", "A major"] {
        for level in 1..=5 {
            let head = format!(r#""bass": true, "level": {level},"#);
            let song = played(&song_text(key, &head, "1 | 5/7 | 6 | 4 5(7) | 7 | 1/5"));
            let floor = MidiKey::new(45).unwrap();
            let part = plan(&song, song.key, &Settings { left_floor: floor, ..Settings::default() }).unwrap();
            for bar in &part.bars {
                for (slot, chord) in bar.played.slots.iter().zip(&bar.chords) {
                    let SlotKind::Chord { chord: harmony, .. } = &slot.kind else { continue };
                    let left = keys(&chord.left);
                    assert!(!left.is_empty() && left[0] >= 45, "{left:?}");
                    assert!(left.iter().all(|k| k % 12 != harmony.bass.pitch_class()), "{left:?}");
                }
            }
        }
    }
}

#[test]
fn without_a_bass_player_the_left_hand_stands_on_the_bass_note() {
    let song = played(&song_text("C major", r#""bass": true,"#, "1 | 5/7 | 6 | 4"));
    let part = plan(&song, song.key, &Settings { bass: Some(false), ..Settings::default() }).unwrap();
    let lowest: Vec<u8> = part.bars.iter().map(|bar| keys(&bar.chords[0].left)[0] % 12).collect();
    assert_eq!(lowest, [0, 11, 9, 5]);
}

#[test]
fn the_right_hand_keeps_out_of_the_singers_range_where_it_can() {
    let song = played(&song_text("C major", "", "1 | 4 | 5 | 6 | 4 | 1"));
    let key = |n| MidiKey::new(n).unwrap();
    let voice = KeySpan::new(key(64), key(72));
    let sung = |settings: &Settings| {
        let part = plan(&song, song.key, settings).unwrap();
        let rights = part.bars.iter().flat_map(|bar| keys(&bar.chords[0].right));
        rights.filter(|k| (64..=72).contains(k)).count()
    };
    let usual = sung(&Settings::default());
    let aside = sung(&Settings { voice, ..Settings::default() });
    assert!(aside * 2 < usual, "{aside} of {usual}");
}

#[test]
fn a_suspension_resolves_to_the_third_in_its_voice() {
    for key in theory::Key::all() {
        let song = played(&song_text(&key.to_string(), "", "1 | 5sus4 5 | 1 | 4sus4 4 | 6sus2 6"));
        let part = plan(&song, song.key, &Settings::default()).unwrap();
        for bar in [1, 3, 4] {
            let [before, after] = [0, 1].map(|slot| keys(&part.bars[bar].chords[slot].right));
            let moved: Vec<u8> =
                before.iter().zip(&after).map(|(a, b)| a.abs_diff(*b)).filter(|d| *d > 0).collect();
            assert!(moved == [1] || moved == [2], "{key}: {before:?} {after:?}");
        }
    }
}

/// Where the shortest way leads elsewhere too: a suspension is worth a detour. The fourth goes down to the third, the second
/// up to it, in the same voice (theory textbooks).
#[test]
fn a_suspension_resolves_where_it_costs_a_detour() {
    let pairs = [("5sus4", "5"), ("6sus4", "6"), ("2sus4", "2"), ("4sus2", "4"), ("6sus2", "6")];
    let around = ["1", "4", "5"].into_iter().flat_map(|after| pairs.map(|(sus, chord)| (sus, chord, after)));
    let around: Vec<_> = around.collect();
    for (before, notes) in ["1", "4", "6", "5", "2"].into_iter().flat_map(|b| [(b, 2), (b, 3), (b, 4)]) {
        for &(suspended, resolved, after) in &around {
            let head = format!(r#""right": {{ "notes": {notes} }},"#);
            let bars = format!("{before} | {suspended} | {resolved} | {after}");
            let song = played(&song_text("C major", &head, &bars));
            let part = plan(&song, song.key, &Settings::default()).unwrap();
            let member = |bar: usize, number: u8| {
                let right = &part.bars[bar].chords[0].right.notes;
                right.iter().filter(move |n| n.member.number() == number).map(|n| i32::from(n.key.number()))
            };
            let fourth = suspended.contains("sus4");
            let steps = if fourth { [-1, -2] } else { [1, 2] };
            for held in member(1, if fourth { 4 } else { 2 }) {
                let steps_on = member(2, 3).any(|third| steps.contains(&(third - held)));
                assert!(steps_on, "{notes} notes: {bars}");
            }
        }
    }
}

#[test]
fn over_the_leading_tone_in_the_bass_the_right_hand_leaves_it_out() {
    // The third of the fifth chord leads to the tonic: over both hands it comes once (Open Music Theory).
    for (key, bars) in [("C major", "1 | 5/7 | 1 | 5(7)/7 | 1"), ("E minor", "1 | 5M/#7 | 1 | 5M(7)/#7 | 1")]
    {
        for level in 1..=3 {
            let text = song_text(key, "", bars);
            let song = played(&text);
            let part = plan(&song, song.key, &Settings { level: Level::new(level), ..Settings::default() });
            for bar in part.unwrap().bars.iter().skip(1).step_by(2) {
                let chord = &bar.chords[0];
                let leading = chord.left.notes[0].key.number() % 12;
                let doubled = keys(&chord.right).iter().any(|key| key % 12 == leading);
                let SlotKind::Chord { chord: harmony, .. } = &bar.played.slots[0].kind else {
                    panic!("a chord")
                };
                // A hand that is asked for the whole chord has the whole chord.
                assert_eq!(
                    doubled,
                    chord.right.notes.len() >= harmony.tones.len(),
                    "{key} {level} {}",
                    harmony.name()
                );
            }
        }
    }
}

/// A line is joined: the top note and the note that it passes through have a finger each. Only an octave under four
/// fingers leaves none, at the fullest level.
#[test]
fn a_passing_note_has_a_finger_of_its_own() {
    const BARS: [&str; 2] =
        ["1 | 4 | 5M | 6 | 4 | 1 | 2 | 5M(7) | 1", "4 | 5M | 6 | 1/3 | 4 | 5M | 4/1 | 1 | 1 | 1/3"];
    let mut found = 0;
    for (key, level) in theory::Key::all().flat_map(|key| [(key, 3), (key, 4)]) {
        let meters = ["4/4", "3/4", "6/8", "12/8", "2/4", "5/4"];
        for (meter, bars) in meters.into_iter().flat_map(|m| BARS.map(|bars| (m, bars))) {
            let head = format!(r#""level": {level}, "meter": "{meter}","#);
            let song = played(&song_text(&key.to_string(), &head, bars));
            let part = plan(&song, song.key, &Settings::default()).unwrap();
            let right: Vec<_> = part.events.iter().filter(|e| e.hand == Hand::Right).collect();
            for (i, event) in right.iter().enumerate().filter(|(_, e)| e.role == Role::Passing) {
                let of_its_voice =
                    |e: &&&voicing::Event| (e.bar, e.slot, e.place) == (event.bar, event.slot, event.place);
                let before = right[..i].iter().rev().find(of_its_voice).unwrap();
                assert_ne!(before.finger, event.finger, "{key}, level {level}, {meter}: {}", event.pitch);
                found += 1;
            }
        }
    }
    assert!(found > 200, "{found}");
}

#[test]
fn swing_puts_second_eighths_and_pushes_on_the_last_third() {
    let head = r#""feel": "swing", "right": { "figure": "xx x - x" }, "left": { "figure": "xxx x - -" },"#;
    let part = crate::print::part_of(&song_text("C major", head, "1 | ^4"));
    let starts = |hand: Hand| {
        let mut starts: Vec<Quarters> =
            part.events.iter().filter(|e| e.hand == hand).map(|e| e.start).collect();
        starts.dedup();
        starts.truncate(5);
        starts
    };
    let q = Quarters::new;
    assert_eq!(starts(Hand::Right), [q(0, 1), q(2, 3), q(1, 1), q(3, 1), q(11, 3)]);
    assert_eq!(starts(Hand::Left), [q(0, 1), q(1, 3), q(2, 3), q(1, 1), q(11, 3)], "triplets stay");
}

/// Passing and neighbour notes by the rule: where the top note moves by a third or comes again after a bar, on a weak beat,
/// of the key, by step, not against a third or leading tone. The strong eighths of a bar: the first beat of each group in
/// which it is felt, 5/4 as 3 + 2 (theory textbooks).
#[test]
fn passing_notes_keep_the_rule_in_every_key_and_meter() {
    const METERS: [(&str, &[i64]); 6] = [
        ("4/4", &[0, 4]),
        ("3/4", &[0]),
        ("6/8", &[0, 3]),
        ("12/8", &[0, 3, 6, 9]),
        ("2/4", &[0]),
        ("5/4", &[0, 6]),
    ];
    for (meter, strong) in METERS {
        for level in 3..=5 {
            let mut found = 0;
            for key in theory::Key::all() {
                let head = format!(r#""level": {level}, "meter": "{meter}","#);
                let song =
                    played(&song_text(&key.to_string(), &head, "1 | 4 | 5M | 6 | 4 | 1 | 2 | 5M(7) | 1"));
                found += check_passing(&plan(&song, song.key, &Settings::default()).unwrap(), strong);
            }
            // At the fullest a dotted beat has no room for one: its last third is struck.
            let dotted = meter.ends_with('8');
            assert_eq!(found > 0, !(dotted && level == 5), "{meter}, level {level}: {found}");
        }
    }
}

fn check_passing(part: &Part, strong: &[i64]) -> usize {
    let passing: Vec<_> = part.events.iter().filter(|e| e.role == Role::Passing).collect();
    for event in &passing {
        let bar = &part.bars[event.bar];
        let SlotKind::Chord { chord, .. } = &bar.played.slots[event.slot].kind else { panic!("a chord") };
        let at = event.start - bar.played.start;
        let strong = strong.iter().any(|&eighth| at == Quarters::EIGHTH.times(eighth));
        assert!(!strong && at > Quarters::ZERO, "{at:?} in {}", bar.played.meter);
        assert!(chord.key.contains(event.pitch.name), "{}", event.pitch);
        let next = part.bars[event.bar + 1].chords[0].right.notes.last().unwrap().pitch;
        let top = bar.chords[0].right.notes.last().unwrap().pitch;
        let moved = (next.above(top).steps.abs(), (next.semitones() - top.semitones()).abs());
        assert!(matches!(moved, (0, 0) | (2, 3 | 4)), "{top} to {next}");
        assert!((next.semitones() - event.pitch.semitones()).abs() <= 2, "by step");
        assert_eq!(
            event.length,
            bar.played.start + bar.played.meter.length() - event.start,
            "into the next chord"
        );
        let third = chord.member(Member::THIRD).unwrap().name.pitch_class();
        let leading = chord.key.tonic().up(Interval::new(6, 11)).pitch_class();
        let right = &bar.chords[0].right.notes;
        for held in right[..right.len() - 1].iter().chain(&bar.chords[0].left.notes) {
            let class = held.key.number() % 12;
            let distance = (event.key.number() + 12 - class) % 12;
            let tender = class == third || class == leading;
            assert!(!(tender && matches!(distance, 1 | 11)), "{} against {}", event.pitch, held.pitch);
        }
    }
    passing.len()
}

#[test]
fn below_level_three_and_in_written_figures_nothing_passes() {
    let bars = "1 | 4 | 5 | 6 | 4 | 1 | 2 | 5(7) | 1";
    let written = song_text("C major", r#""right": { "figure": "x - - -" },"#, bars);
    let plain = song_text("C major", "", bars);
    let passing = |part: &Part| part.events.iter().filter(|e| e.role == Role::Passing).count();
    assert_eq!(passing(&at_level(&plain, 2)), 0);
    assert!(passing(&at_level(&plain, 3)) > 0);
    assert_eq!(passing(&at_level(&written, 5)), 0);
}

/// No leap of the top line over a fifth unless the chord forces it: where a chart says chords alone, none does on a full
/// keyboard.
fn leaps(part: &Part) -> Option<(u8, u8)> {
    let tops: Vec<u8> =
        part.bars.iter().flat_map(|bar| &bar.chords).filter_map(|chord| keys(&chord.right).pop()).collect();
    tops.windows(2).map(|pair| (pair[0], pair[1])).find(|(a, b)| a.abs_diff(*b) > 7)
}

/// A song of which only the chart is written.
fn chart() -> impl Strategy<Value = PlayedSong> {
    let chord = || prop::sample::select(&crate::properties::CHORDS[..]);
    let bar = (chord(), prop::option::of(chord()));
    let keys: Vec<theory::Key> = theory::Key::all().collect();
    // Beats of two chords in a bar, where they cannot share it evenly.
    let meters = prop::sample::select(
        &[
            ("4/4", ["", ""]),
            ("2/4", ["", ""]),
            ("6/8", ["", ""]),
            ("12/8", ["", ""]),
            ("3/4", ["..", "."]),
            ("5/4", ["...", ".."]),
        ][..],
    );
    (prop::sample::select(keys), meters, prop::collection::vec(bar, 1..5), any::<bool>()).prop_map(
        |(key, (meter, [long, short]), bars, bass)| {
            let head = format!(r#""meter": "{meter}", "bass": {bass},"#);
            let text = |(first, second): &(&str, Option<&str>)| match second {
                Some(second) => format!("{first}{long} {second}{short}"),
                None => (*first).to_owned(),
            };
            let bars: Vec<String> = bars.iter().map(text).collect();
            played(&song_text(&key.to_string(), &head, &bars.join(" | ")))
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_shape_fits_every_reach_in_every_key(
        song in chart(), right in 7u8..=16, left in 7u8..=16, level in 1u8..=5,
        size in prop::sample::select(&[49u8, 61, 73, 76, 88][..]),
    ) {
        let settings = Settings {
            reach: Reach::new(right).unwrap(),
            left_reach: Reach::new(left).unwrap(),
            keys: KeyRange::of_size(size).unwrap(),
            level: Level::new(level),
            ..Settings::default()
        };
        let part = plan(&song, song.key, &settings).unwrap();
        for (bar, chord) in part.bars.iter().flat_map(|bar| bar.chords.iter().map(move |chord| (bar, chord))) {
            for hand in Hand::BOTH {
                let keys = keys(chord.hand(hand));
                prop_assert!(!keys.is_empty());
                prop_assert!(keys.iter().all(|k| settings.keys.contains(MidiKey::new(*k).unwrap())));
                let span = keys[keys.len() - 1] - keys[0];
                prop_assert!(span <= settings.reach_of(hand).semitones(), "{hand:?} {keys:?}");
                prop_assert!(!chord.hand(hand).rolled);
            }
            let (right, left) = (keys(&chord.right), keys(&chord.left));
            prop_assert!(left[left.len() - 1] < right[0], "{left:?} {right:?} {}", bar.played.text);
        }
        // What sounds at once in a hand is within its reach, passing notes too.
        let mut down: HashMap<Hand, Vec<(Quarters, u8)>> = HashMap::new();
        for event in &part.events {
            let keys = down.entry(event.hand).or_default();
            keys.retain(|(end, _)| *end > event.start);
            keys.push((event.start + event.length, event.key.number()));
            let (low, high) = (keys.iter().map(|k| k.1).min(), keys.iter().map(|k| k.1).max());
            prop_assert!(high.unwrap() - low.unwrap() <= settings.reach_of(event.hand).semitones());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_chart_makes_the_top_line_leap_over_a_fifth(song in chart(), level in 1u8..=5) {
        let part = plan(&song, song.key, &Settings { level: Level::new(level), ..Settings::default() }).unwrap();
        prop_assert_eq!(leaps(&part), None);
    }
}
