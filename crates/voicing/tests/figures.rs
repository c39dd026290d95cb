//! Figures become strikes: chart and figure in, strikes out. The expected strikes were read off the song format by hand.

use crate::print::{part_of, song_text, strikes};
use expect_test::{Expect, expect};
use theory::Hand;

/// Both hands hold C E G and C3 G3 where the chart says 1 in C major, unless `head` says otherwise.
fn check(hand: Hand, head: &str, bars: &str, expected: Expect) {
    let part = part_of(&song_text("C major", head, bars));
    expected.assert_eq(&strikes(&part, hand));
}

/// A right hand that holds root position everywhere.
fn right(figure: &str, bars: &str, expected: Expect) {
    let head = format!(r#""right": {{ "tones": "1 3 5", "near": "C4", "figure": "{figure}" }},"#);
    check(Hand::Right, &head, bars, expected);
}

#[test]
fn struck_once_and_held_unless_told_otherwise() {
    check(
        Hand::Left,
        "",
        "1",
        expect![[r#"
        0 C3:4/5 G3:4/1
    "#]],
    );
}

#[test]
fn the_signs_of_a_beat_split_it_evenly() {
    right(
        "xx x-- .x -",
        "1",
        expect![[r#"
        0 C4:0.5/1 E4:0.5/3 G4:0.5/5
        0.5 C4:0.5/1 E4:0.5/3 G4:0.5/5
        1 C4:1/1 E4:1/3 G4:1/5
        2.5 C4:1.5/1 E4:1.5/3 G4:1.5/5
    "#]],
    );
}

#[test]
fn single_notes_ring_until_they_are_struck_again_or_the_shape_changes() {
    right(
        "1 2 t 2",
        "1 | 4",
        expect![[r#"
        0 C4:4/1
        1 E4:2/3
        2 G4:2/5
        3 E4:1/3
        4 F4:4/1
        5 A4:2/3
        6 C5:2/5
        7 A4:1/3
    "#]],
    );
}

#[test]
fn a_note_the_shape_does_not_have_is_its_highest() {
    let text = r#"{ "format": 1, "title": "Test", "key": "C major", "tempo": 90,
        "right": { "figure": "1 3 - -" },
        "sections": [ { "name": "A", "bars": ["1"], "right": { "tones": "1 5", "near": "C4" } } ] }"#;
    expect![[r#"
        0 C4:4/1
        1 G4:3/5
    "#]]
    .assert_eq(&strikes(&part_of(text), Hand::Right));
}

#[test]
fn a_new_chord_on_a_hold_strikes_the_whole_shape() {
    right(
        "x - - x",
        "1 4",
        expect![[r#"
        0 C4:2/1 E4:2/3 G4:2/5
        2 F4:1/1 A4:1/3 C5:1/5
        3 F4:1/1 A4:1/3 C5:1/5
    "#]],
    );
}

#[test]
fn a_new_chord_on_a_strike_is_that_strike_and_in_the_left_hand_its_lowest_note() {
    right(
        "x x 2 x",
        "1 4",
        expect![[r#"
        0 C4:1/1 E4:1/3 G4:1/5
        1 C4:1/1 E4:1/3 G4:1/5
        2 A4:1/3
        3 F4:1/1 A4:1/3 C5:1/5
    "#]],
    );
    check(
        Hand::Left,
        r#""left": { "figure": "1 2 2 2" },"#,
        "1 4",
        expect![[r#"
        0 C3:2/5
        1 G3:1/1
        2 F3:2/5 C4:1/1
        3 C4:1/1
    "#]],
    );
}

#[test]
fn a_hand_whose_keys_do_not_change_goes_on() {
    // D under D minor and under F/D: the left hand stays on it.
    let head = r#""left": { "shape": "root", "figure": "1 - - -" },"#;
    check(
        Hand::Left,
        head,
        "2 4/2",
        expect![[r#"
        0 D3:4/5
    "#]],
    );
    // C G under C and under Em/C: on a strike it is that strike alone.
    let head = r#""left": { "figure": "1 2 2 -" },"#;
    check(
        Hand::Left,
        head,
        "1 3/1",
        expect![[r#"
        0 C3:4/5
        1 G3:1/1
        2 G3:2/1
    "#]],
    );
}

#[test]
fn silence_ends_what_sounds() {
    right(
        "x . x .",
        "1",
        expect![[r#"
        0 C4:1/1 E4:1/3 G4:1/5
        2 C4:1/1 E4:1/3 G4:1/5
    "#]],
    );
}

#[test]
fn a_neighbour_takes_the_place_of_its_note_until_the_next_strike() {
    right(
        "[v12]1-- x [^3]3 x",
        "1",
        expect![[r#"
            0 ~B3:0.25/1 E4:1/2
            0.25 C4:0.75/1
            1 C4:2/1 E4:2/2 G4:1/4
            2 ~A4:0.5/5
            2.5 G4:0.5/4
            3 C4:1/1 E4:1/2 G4:1/4
        "#]],
    );
}

#[test]
fn a_neighbour_without_resolution_is_held_instead() {
    right(
        "x - - v1",
        "1 | 4",
        expect![[r#"
        0 C4:4/1 E4:4/3 G4:4/5
        4 F4:4/1 A4:4/3 C5:4/5
    "#]],
    );
    // Where the same keys go on, the next bar resolves it.
    right(
        "x - - v1",
        "1 | 1",
        expect![[r#"
        0 C4:3/1 E4:4/3 G4:4/5
        3 ~B3:1/1
        4 C4:4/1 E4:4/3 G4:4/5
    "#]],
    );
}

#[test]
fn silence_cuts_a_resolution_off() {
    right(
        "x v1 . 1",
        "1",
        expect![[r#"
            0 C4:2/1 E4:2/3 G4:2/5
            3 C4:1/1
        "#]],
    );
}

#[test]
fn a_neighbour_is_a_step_of_the_key_with_the_chords_altered_notes() {
    // Under C the step below C is B, under C7 it is B flat.
    right(
        "v1 1 ^t t",
        "1 | 1(7)",
        expect![[r#"
            0 ~B3:1/2
            1 C4:3/1
            2 ~A4:1/5
            3 G4:3/4
            4 ~Bb3:1/1
            5 C4:3/1
            6 ~A4:1/5
            7 G4:1/4
        "#]],
    );
}

#[test]
fn shorter_bars_cut_the_figure_and_longer_ones_start_it_again() {
    right(
        "x - xx x",
        "2/4: 1 | 6/4: 1",
        expect![[r#"
        0 C4:2/1 E4:2/3 G4:2/5
        2 C4:2/1 E4:2/3 G4:2/5
        4 C4:0.5/1 E4:0.5/3 G4:0.5/5
        4.5 C4:0.5/1 E4:0.5/3 G4:0.5/5
        5 C4:1/1 E4:1/3 G4:1/5
        6 C4:2/1 E4:2/3 G4:2/5
    "#]],
    );
}

#[test]
fn the_figure_begins_again_at_each_chord_if_asked() {
    let head = r#""right": { "tones": "1 3 5", "near": "C4", "figure": "x 2 - -", "restart": "chord" },"#;
    check(
        Hand::Right,
        head,
        "1.. 4..",
        expect![[r#"
        0 C4:2/1 E4:1/3 G4:2/5
        1 E4:1/3
        2 F4:2/1 A4:1/3 C5:2/5
        3 A4:1/3
    "#]],
    );
}

#[test]
fn a_bar_with_another_kind_of_beat_is_held() {
    right(
        "x x x x",
        "6/8: 1 4 | 1",
        expect![[r#"
        0 C4:1.5/1 E4:1.5/3 G4:1.5/5
        1.5 F4:1.5/1 A4:1.5/3 C5:1.5/5
        3 C4:1/1 E4:1/3 G4:1/5
        4 C4:1/1 E4:1/3 G4:1/5
        5 C4:1/1 E4:1/3 G4:1/5
        6 C4:1/1 E4:1/3 G4:1/5
    "#]],
    );
}

#[test]
fn a_tie_is_one_event_of_the_full_length() {
    right(
        "x x x x",
        "1 | ~ | 1",
        expect![[r#"
        0 C4:1/1 E4:1/3 G4:1/5
        1 C4:1/1 E4:1/3 G4:1/5
        2 C4:1/1 E4:1/3 G4:1/5
        3 C4:5/1 E4:5/3 G4:5/5
        8 C4:1/1 E4:1/3 G4:1/5
        9 C4:1/1 E4:1/3 G4:1/5
        10 C4:1/1 E4:1/3 G4:1/5
        11 C4:1/1 E4:1/3 G4:1/5
    "#]],
    );
}

#[test]
fn a_diamond_is_struck_once_in_both_hands() {
    let head = r#""right": { "tones": "1 3 5", "near": "C4", "figure": "x x x x" },
                 "left": { "figure": "1 2 1 2" },"#;
    check(
        Hand::Right,
        head,
        "1 | <1>",
        expect![[r#"
        0 C4:1/1 E4:1/3 G4:1/5
        1 C4:1/1 E4:1/3 G4:1/5
        2 C4:1/1 E4:1/3 G4:1/5
        3 C4:1/1 E4:1/3 G4:1/5
        4 C4:4/1 E4:4/3 G4:4/5
    "#]],
    );
    check(
        Hand::Left,
        head,
        "1 | <1>",
        expect![[r#"
        0 C3:2/5
        1 G3:2/1
        2 C3:2/5
        3 G3:1/1
        4 C3:4/5 G3:4/1
    "#]],
    );
}

#[test]
fn a_push_comes_an_eighth_early_and_takes_it_from_what_is_before() {
    right(
        "x x x xx",
        "1 | ^4",
        expect![[r#"
        0 C4:1/1 E4:1/3 G4:1/5
        1 C4:1/1 E4:1/3 G4:1/5
        2 C4:1/1 E4:1/3 G4:1/5
        3 C4:0.5/1 E4:0.5/3 G4:0.5/5
        3.5 F4:1.5/1 A4:1.5/3 C5:1.5/5
        5 F4:1/1 A4:1/3 C5:1/5
        6 F4:1/1 A4:1/3 C5:1/5
        7 F4:0.5/1 A4:0.5/3 C5:0.5/5
        7.5 F4:0.5/1 A4:0.5/3 C5:0.5/5
    "#]],
    );
    // Its own first strike is tied over; a tie before it gives way as well.
    check(
        Hand::Left,
        r#""left": { "figure": "1 2 1 2" },"#,
        "1 ~ | ^4",
        expect![[r#"
        0 C3:3.5/5
        1 G3:2.5/1
        3.5 F3:2.5/5 C4:1.5/1
        5 C4:2/1
        6 F3:2/5
        7 C4:1/1
    "#]],
    );
}

#[test]
fn the_first_push_of_a_song_lies_before_its_first_bar() {
    right(
        "x - x -",
        "^1 | 4",
        expect![[r#"
        -0.5 C4:2.5/1 E4:2.5/3 G4:2.5/5
        2 C4:2/1 E4:2/3 G4:2/5
        4 F4:2/1 A4:2/3 C5:2/5
        6 F4:2/1 A4:2/3 C5:2/5
    "#]],
    );
}

#[test]
fn a_pushed_diamond_rings_from_its_early_strike() {
    right(
        "x x x x",
        "1 | <^4>",
        expect![[r#"
        0 C4:1/1 E4:1/3 G4:1/5
        1 C4:1/1 E4:1/3 G4:1/5
        2 C4:1/1 E4:1/3 G4:1/5
        3 C4:0.5/1 E4:0.5/3 G4:0.5/5
        3.5 F4:4.5/1 A4:4.5/3 C5:4.5/5
    "#]],
    );
}

#[test]
fn a_rest_silences_both_hands() {
    right(
        "x x x x",
        "1 N | 1",
        expect![[r#"
        0 C4:1/1 E4:1/3 G4:1/5
        1 C4:1/1 E4:1/3 G4:1/5
        4 C4:1/1 E4:1/3 G4:1/5
        5 C4:1/1 E4:1/3 G4:1/5
        6 C4:1/1 E4:1/3 G4:1/5
        7 C4:1/1 E4:1/3 G4:1/5
    "#]],
    );
}

#[test]
fn bars_of_a_loop_include_the_push_into_the_first_of_them() {
    let part = part_of(&song_text("C major", r#""left": { "shape": "none" },"#, "1 | ^4 | 5 | ^1"));
    let starts: Vec<f64> = part.events_of_bars(1..3).map(|event| event.start.to_f64()).collect();
    assert_eq!(starts, [3.5, 3.5, 3.5, 8.0, 8.0, 8.0]);
    assert!(part.starts_with_push(1) && !part.starts_with_push(2));
}
