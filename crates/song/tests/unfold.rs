//! Passes, exceptions, ties, repeats, meters, tempo: each rule of the song format by itself.

use crate::show::{bars, right, song, told};
use song::{Quarters, SlotKind};

/// One section `A` with these fields, as bars.
fn section(fields: &str) -> String {
    bars(&song(&format!(r#""sections": [ {{ "name": "A", {fields} }} ]"#)).play())
}

#[test]
fn a_repeat_copies_meter_chords_dots_and_marks() {
    assert_eq!(
        section(r#""bars": ["3/4: ^1.. <5>. | %", "% | 4"]"#),
        "A 1/1.1 @0 3/4: ^1(2) <5(1)\nA 1/1.2 @3 3/4: ^1(2) <5(1)\nA 1/1.3 @6 3/4: ^1(2) <5(1)\nA 1/1.4 @9 4/4 4(4)\n"
    );
}

#[test]
fn a_repeat_copies_the_written_bar_and_no_exception() {
    assert_eq!(
        section(r#""bars": ["1 | %"], "except": [ { "bar": 1, "bars": "6", "right": { "notes": 1 } } ]"#),
        "A 1/1.1* @0 4/4 6(4)\nA 1/1.2 @4 4/4 1(4)\n"
    );
}

#[test]
fn bars_put_in_may_be_more_or_fewer_than_give_way() {
    let bars = r#""bars": ["1 | 4 | 5 | 1"]"#;
    assert_eq!(
        section(&format!(r#"{bars}, "except": [ {{ "bar": 2, "bars": "2/4: 6 | 3", "replaces": 1 }} ]"#)),
        "A 1/1.1 @0 4/4 1(4)\nA 1/1.2* @4 2/4: 6(2)\nA 1/1.3* @6 4/4 3(4)\nA 1/1.4 @10 4/4 5(4)\nA 1/1.5 @14 4/4 1(4)\n"
    );
    assert_eq!(
        section(&format!(r#"{bars}, "except": [ {{ "bar": 2, "bars": "6", "replaces": 3 }} ]"#)),
        "A 1/1.1 @0 4/4 1(4)\nA 1/1.2* @4 4/4 6(4)\n"
    );
    assert_eq!(
        section(&format!(r#"{bars}, "except": [ {{ "bar": 2, "bars": "6 | 2" }} ]"#)),
        "A 1/1.1 @0 4/4 1(4)\nA 1/1.2* @4 4/4 6(4)\nA 1/1.3* @8 4/4 2(4)\nA 1/1.4 @12 4/4 1(4)\n"
    );
    assert_eq!(
        section(&format!(r#"{bars}, "except": [ {{ "bar": 4, "bars": "%", "replaces": 0 }} ]"#)),
        "A 1/1.1 @0 4/4 1(4)\nA 1/1.2 @4 4/4 4(4)\nA 1/1.3 @8 4/4 5(4)\nA 1/1.4* @12 4/4 5(4)\nA 1/1.5* @16 4/4 1(4)\n"
    );
    assert_eq!(
        section(&format!(r#"{bars}, "except": [ {{ "bar": 2, "bars": [], "replaces": 2 }} ]"#)),
        "A 1/1.1 @0 4/4 1(4)\nA 1/1.2 @4 4/4 1(4)\n"
    );
}

#[test]
fn bar_numbers_stay_those_of_the_written_section() {
    assert_eq!(
        section(
            r#""bars": ["1 | 4 | 5"], "except": [ { "bar": 1, "bars": "1 | 6", "replaces": 1 }, { "bar": 3, "bars": "2" } ]"#
        ),
        "A 1/1.1* @0 4/4 1(4)\nA 1/1.2* @4 4/4 6(4)\nA 1/1.3 @8 4/4 4(4)\nA 1/1.4* @12 4/4 2(4)\n"
    );
}

#[test]
fn hands_of_an_exception_hold_for_the_bars_it_puts_in() {
    let played = song(
        r#""sections": [ { "name": "A", "bars": ["1 | 4"], "except": [
            { "bar": 1, "bars": "6 | 2", "replaces": 1, "right": { "notes": 1 } } ] } ]"#,
    )
    .play();
    let held: Vec<String> = (0..3).map(|bar| right(&played, bar, 0)).collect();
    assert_eq!(held, ["1 notes, x - - -, Bar", "1 notes, x - - -, Bar", "3 notes, x - - -, Bar"]);
}

#[test]
fn passes_are_counted_anew_at_each_place() {
    let song = song(
        r#""sections": [ { "name": "A", "passes": 2, "bars": ["1"], "except": [ { "pass": "last", "bar": 1, "bars": "5" } ] } ],
        "order": ["A", "A"]"#,
    );
    assert_eq!(bars(&song.play()).matches("A 2/2.1*").count(), 2);
    let places: Vec<usize> = song.play().bars.iter().map(|bar| bar.place).collect();
    assert_eq!(places, [0, 0, 1, 1]);
}

#[test]
fn an_exception_with_a_beat_reaches_to_the_next_chord() {
    let text = |beat: u8| {
        format!(
            r#""sections": [ {{ "name": "A", "bars": ["1.. 4. ~. | 5"], "except": [ {{ "bar": 1, "beat": {beat}, "right": {{ "notes": 1 }} }} ] }} ]"#
        )
    };
    let held = |beat| {
        let played = song(&text(beat)).play();
        let slots = played.bars.iter().flat_map(|bar| &bar.slots);
        slots
            .map(|s| format!("{} {}", crate::show::slot(s), &crate::show::hand(&s.right)[..1]))
            .collect::<Vec<_>>()
    };
    assert_eq!(held(1), ["1(2) 1", "4(1) 3", "~4(1) 3", "5(4) 3"]);
    assert_eq!(held(2), ["1(1) 3", "..1(1) 1", "4(1) 3", "~4(1) 3", "5(4) 3"]);
    assert_eq!(held(3), ["1(2) 3", "4(1) 1", "~4(1) 1", "5(4) 3"]);
}

#[test]
fn a_tie_keeps_the_old_chord_over_a_change_of_key() {
    let played = song(
        r#""sections": [ { "name": "A", "bars": ["5"] }, { "name": "B", "key": "Eb major", "bars": ["~ | ~ 1"] } ]"#,
    )
    .play();
    let SlotKind::Tie { sounding } = &played.bars[1].slots[0].kind else { panic!("a tie") };
    assert_eq!((sounding.name(), played.bars[1].key.to_string()), ("A".into(), "Eb major".into()));
    assert_eq!(played.bars[2].slots[0].symbol, "5");
    let SlotKind::Chord { chord, .. } = &played.bars[2].slots[1].kind else { panic!("a chord") };
    assert_eq!(chord.name(), "Eb");
}

#[test]
fn a_tie_at_the_start_of_a_section_needs_something_before_it_each_time() {
    let sections = r#""sections": [ { "name": "A", "bars": ["~ | 1"] }, { "name": "B", "bars": ["4"] } ]"#;
    assert!(told(&format!(r#"{sections}, "order": ["B", "A", "A"]"#)).is_empty());
    assert_eq!(told(&format!(r#"{sections}, "order": ["A", "B"]"#)).len(), 1);
}

#[test]
fn a_tie_may_hold_a_chord_that_only_an_exception_puts_there() {
    let bars = r#"{ "name": "A", "bars": ["1 | N | ~"], "except": [ { "bar": 2, "bars": "4" } ] }"#;
    assert!(told(&format!(r#""sections": [ {bars} ]"#)).is_empty());
}

/// The beat of 6/8 is a dotted quarter and a tempo of 54 fixes 81 quarters a minute, which a bar in 4/4 keeps.
#[test]
fn tempo_counts_the_beat_of_the_meter_where_it_is_written() {
    let text = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 54, "meter": "6/8",
      "sections": [ { "name": "A", "bars": ["1 | 4/4: 1"] },
        { "name": "B", "meter": "2/2", "bars": ["1"] },
        { "name": "C", "meter": "2/2", "tempo": 60, "bars": ["1"] },
        { "name": "D", "like": "C", "meter": "4/4" },
        { "name": "E", "count": "eighths", "tempo": 162, "bars": ["1"] } ] }"#;
    let played = song::read(text).sound().unwrap().play();
    let tempi: Vec<f64> = played.bars.iter().map(|bar| bar.quarters_per_minute).collect();
    assert_eq!(tempi, [81.0, 81.0, 81.0, 120.0, 120.0, 81.0]);
    assert_eq!(played.bars[0].beat.length, Quarters::new(3, 2));
    assert_eq!((played.bars[5].beat.length, played.bars[5].beat.count), (Quarters::EIGHTH, 6));
}

#[test]
fn a_figure_keeps_the_beat_it_was_written_for() {
    let played = song(
        r#""right": { "figure": "x x x x" },
        "sections": [ { "name": "A", "bars": ["1 | 6/8: 1 | 3/8: 5"], "except": [
            { "bar": 2, "right": { "figure": "x-- x--" } } ] } ]"#,
    )
    .play();
    let beats: Vec<Quarters> = played.bars.iter().map(|bar| bar.slots[0].right.figure_beat).collect();
    assert_eq!(beats, [Quarters::new(1, 1), Quarters::new(3, 2), Quarters::new(1, 1)]);
    // The default is read in any beat.
    assert_eq!(played.bars[1].slots[0].left.figure_beat, Quarters::new(3, 2));
}

#[test]
fn the_longest_chord_is_offered_the_beats_that_are_missing() {
    let told = told(r#""sections": [ { "name": "A", "bars": ["1. 5.. | 1. 5...."] } ]"#);
    assert!(told[0].ends_with("its dots add up to 3; write 1. 5... or put 3/4: before it"), "{told:?}");
    assert!(told[1].ends_with("its dots add up to 5; write 1. 5... or put 5/4: before it"), "{told:?}");
}

#[test]
fn a_bar_carries_its_text() {
    let played = song(r#""sections": [ { "name": "A", "bars": ["3/4:^1..  <5>. | % | 4"] } ]"#).play();
    let texts: Vec<&str> = played.bars.iter().map(|bar| bar.text.as_str()).collect();
    assert_eq!(texts, ["3/4: ^1.. <5>.", "3/4: ^1.. <5>.", "4"]);
}

/// Of two exceptions that want the same bars the later has them; the earlier one gives way as a whole, wherever the later
/// one begins.
#[test]
fn an_earlier_exception_gives_way_to_a_later_one_that_takes_some_of_its_bars() {
    let played = |first: &str, second: &str| {
        let fields = format!(
            r#""sections": [ {{ "name": "A", "bars": ["1 | 2 | 3 | 4 | 5"], "except": [ {first}, {second} ] }} ]"#
        );
        let bars = song(&fields).play().bars;
        bars.iter().map(|bar| bar.text.clone()).collect::<Vec<_>>().join(" ")
    };
    let from_2_to_4 = r#"{ "bar": 2, "bars": "6", "replaces": 3 }"#;
    for (later, expected) in [
        (r#"{ "bar": 3, "bars": "7" }"#, "1 2 7 4 5"),
        (r#"{ "bar": 2, "bars": "7" }"#, "1 7 3 4 5"),
        (r#"{ "bar": 1, "bars": "7", "replaces": 2 }"#, "7 3 4 5"),
        (r#"{ "bar": 3, "bars": "7", "replaces": 0 }"#, "1 2 7 3 4 5"),
        (r#"{ "bar": 2, "bars": "7", "replaces": 0 }"#, "1 7 6 5"),
        (r#"{ "bar": 5, "bars": "7", "replaces": 0 }"#, "1 6 7 5"),
        (r#"{ "bar": 5, "bars": "7" }"#, "1 6 7"),
    ] {
        assert_eq!(played(from_2_to_4, later), expected, "{later}");
    }
    let before_3 = |chord: u8| format!(r#"{{ "bar": 3, "bars": "{chord}", "replaces": 0 }}"#);
    assert_eq!(played(&before_3(6), &before_3(7)), "1 2 7 3 4 5");
}

/// Where passes of a section of two passes are unlike: `2.1 chords, right hand`.
fn unlike(except: &str) -> Vec<String> {
    let fields = format!(
        r#""sections": [ {{ "name": "A", "passes": 2, "bars": ["1 | 4 5"], "except": [ {except} ] }} ],
        "order": ["A", "A"]"#
    );
    let said = |bar: &song::PlayedBar| format!("{}.{} {}", bar.pass, bar.bar_in_section, bar.unlike);
    song(&fields).play().unlike(0).map(said).collect()
}

#[test]
fn a_bar_is_unlike_where_its_pass_alone_has_it_so() {
    assert_eq!(unlike(r#"{ "pass": 2, "bar": 1, "bars": "6" }"#), ["2.1 chords"]);
    assert_eq!(unlike(r#"{ "pass": 1, "bar": 2, "beat": 3, "right": { "notes": 1 } }"#), ["1.2 right hand"]);
    assert_eq!(
        unlike(r#"{ "pass": "last", "bar": 2, "left": { "shape": "root" }, "cue": "the bell" }"#),
        ["2.2 left hand, words"]
    );
    assert_eq!(
        unlike(r#"{ "pass": 1, "bar": 1, "bars": "6" }, { "pass": 2, "bar": 1, "bars": "2" }"#),
        ["1.1 chords", "2.1 chords"],
        "no pass is the usual one"
    );
    assert_eq!(
        unlike(r#"{ "pass": 2, "bar": 2, "bars": "4 5 | 1", "replaces": 1 }"#),
        ["2.3 chords"],
        "a bar that the other pass does not have"
    );
}

#[test]
fn a_bar_that_an_exception_gives_to_every_pass_is_unlike_in_none() {
    assert_eq!(unlike(r#"{ "bar": 1, "right": { "tones": "5 1", "near": "A4" } }"#), [""; 0]);
    assert_eq!(unlike(r#"{ "pass": "1-2", "bar": 1, "bars": "6" }"#), [""; 0]);
    assert_eq!(unlike(r#"{ "pass": 2, "bar": 1, "bars": "1" }"#), [""; 0], "it says what is written anyway");
    assert_eq!(
        unlike(r#"{ "bar": 1, "bars": "6" }, { "pass": 2, "bar": 1, "bars": "6" }"#),
        [""; 0],
        "both come to the same"
    );
}
