//! What the hands hold: chart in, shapes out. Each expected shape was read against the song format.

use crate::print::{part_of, shapes, song_text};
use expect_test::{Expect, expect};

fn check(key: &str, head: &str, bars: &str, expected: Expect) {
    expected.assert_eq(&shapes(&part_of(&song_text(key, head, bars))));
}

#[test]
fn plain_triads_move_least() {
    check(
        "C major",
        "",
        "1 | 6 | 4 | 5",
        expect![[r#"
            1.1 C: C3/5 G3/1 | E4/1 G4/2 C5/5
            2.1 Am: A2/5 E3/1 | E4/1 A4/2 C5/4
            3.1 F: F2/5 C3/1 | F4/1 A4/3 C5/5
            4.1 G: G2/5 D3/1 | D4/1 G4/3 B4/5
        "#]],
    );
}

#[test]
fn two_notes_keep_the_third_and_what_moves_least() {
    check(
        "D major",
        r#""right": { "notes": 2 },"#,
        "1 | 5 | 6 | 4 | 5sus4 5 | 5(7) | 2(9)",
        expect![[r#"
            1.1 D: D3/5 A3/1 | F#4/1 D5/5
            2.1 A: A2/5 E3/1 | E4/1 C#5/5
            3.1 Bm: B2/5 F#3/1 | D4/1 B4/5
            4.1 G: G2/5 D3/1 | D4/1 B4/5
            5.1 Asus4: A2/5 E3/1 | D4/1 A4/5
            5.2 A: A2/5 E3/1 | C#4/1 A4/5
            6.1 A7: A2/5 E3/1 | C#4/1 G4/4
            7.1 Em9: E2/5 B2/1 | F#4/3 G4/4
        "#]],
    );
}

#[test]
fn one_note_is_the_third_the_suspension_or_the_seventh() {
    check(
        "C major",
        r#""right": { "notes": 1 },"#,
        "1 | 5sus4 | 5(7) | 1",
        expect![[r#"
            1.1 C: C3/5 G3/1 | E4/4
            2.1 Gsus4: G2/5 D3/1 | C4/2
            3.1 G7: G2/5 D3/1 | B3/1
            4.1 C: C3/5 G3/1 | E4/3
        "#]],
    );
}

#[test]
fn four_notes_of_a_triad_double_the_root() {
    check(
        "G major",
        r#""right": { "notes": 4 },"#,
        "1 | 4 | 5",
        expect![[r#"
        1.1 G: G2/5 D3/1 | G3/1 B3/2 D4/3 G4/5
        2.1 C: C3/5 G3/1 | C4/1 E4/2 G4/3 C5/5
        3.1 D: D3/5 A3/1 | D4/1 F#4/2 A4/3 D5/5
    "#]],
    );
}

#[test]
fn the_third_may_go_where_it_rubs_with_the_bass() {
    // E would rub with F in the first chord: there the two notes are G and C; over G the third is back.
    check(
        "C major",
        r#""right": { "notes": 2 },"#,
        "1/4 | 1/5",
        expect![[r#"
            1.1 C/F: F3/5 C4/1 | G4/1 C5/5
            2.1 C/G: G3/5 C4/1 | E4/1 C5/5
        "#]],
    );
}

#[test]
fn left_hand_shapes() {
    let shape = |shape: &str| format!(r#""left": {{ "shape": "{shape}" }},"#);
    let bars = "1 | 7 | 1/3 | 1/4 | 5/4";
    check(
        "C major",
        &shape("root"),
        bars,
        expect![[r#"
            1.1 C: C3/4 | E4/1 G4/2 C5/5
            2.1 Bdim: B2/5 | D4/1 F4/2 B4/5
            3.1 C/E: E3/3 | E4/1 G4/2 C5/5
            4.1 C/F: F3/2 | E4/1 G4/2 C5/5
            5.1 G/F: F3/2 | D4/1 G4/3 B4/5
        "#]],
    );
    check(
        "C major",
        &shape("octave"),
        bars,
        expect![[r#"
        1.1 C: C3/5 C4/1 | E4/1 G4/2 C5/5
        2.1 Bdim: B2/5 B3/1 | D4/1 F4/2 B4/5
        3.1 C/E: E2/5 E3/1 | E4/1 G4/2 C5/5
        4.1 C/F: F2/5 F3/1 | E4/1 G4/2 C5/5
        5.1 G/F: F2/5 F3/1 | D4/1 G4/3 B4/5
    "#]],
    );
    check(
        "C major",
        &shape("root fifth"),
        bars,
        expect![[r#"
        1.1 C: C3/5 G3/1 | G4/1 C5/3 E5/5
        2.1 Bdim: B2/5 B3/1 | F4/1 B4/3 D5/5
        3.1 C/E: E3/5 C4/1 | G4/1 C5/3 E5/5
        4.1 C/F: F3/5 C4/1 | G4/1 C5/3 E5/5
        5.1 G/F: F3/5 F4/1 | G4/1 B4/3 D5/5
    "#]],
    );
    check(
        "C major",
        &shape("root fifth octave"),
        bars,
        expect![[r#"
            1.1 C: C3/5 G3/2 C4/1 | E4/1 G4/2 C5/5
            2.1 Bdim: B2/5 B3/1 | D4/1 F4/2 B4/5
            3.1 C/E: E2/5 C3/2 E3/1 | E4/1 G4/2 C5/5
            4.1 C/F: F2/5 C3/2 F3/1 | E4/1 G4/2 C5/5
            5.1 G/F: F2/5 F3/1 | D4/1 G4/3 B4/5
        "#]],
    );
    check(
        "C major",
        &shape("triad"),
        bars,
        expect![[r#"
        1.1 C: C3/5 E3/3 G3/1 | G4/1 C5/3 E5/5
        2.1 Bdim: B2/5 D3/3 F3/1 | F4/1 B4/3 D5/5
        3.1 C/E: E3/5 G3/3 C4/1 | G4/1 C5/3 E5/5
        4.1 C/F: F3/5 C4/2 E4/1 | G4/1 C5/3 E5/5
        5.1 G/F: F3/5 B3/2 D4/1 | G4/1 B4/3 D5/5
    "#]],
    );
    check(
        "C major",
        &shape("root fifth tenth"),
        bars,
        expect![[r#"
            1.1 C: C3/5 G3/2 E4/1 rolled | G4/1 C5/3 E5/5
            2.1 Bdim: B2/5 D4/1 rolled | F4/1 B4/3 D5/5
            3.1 C/E: E2/5 C3/2 G3/1 rolled | G4/1 C5/3 E5/5
            4.1 C/F: F2/5 C3/2 G3/1 rolled | G4/1 C5/3 E5/5
            5.1 G/F: F2/5 G3/1 rolled | G4/1 B4/3 D5/5
        "#]],
    );
    check(
        "C major",
        &shape("none"),
        "1",
        expect![[r#"
        1.1 C: - | E4/1 G4/2 C5/5
    "#]],
    );
}

#[test]
fn written_tones_are_obeyed_and_stacked_close() {
    let head = r#""right": { "tones": "3 1" }, "left": { "tones": "1 5 3" },"#;
    check(
        "D major",
        head,
        "1 | 4 | 5/7 | 5M",
        expect![[r#"
        1.1 D: D2/5 A2/2 F#3/1 rolled | F#4/1 D5/5
        2.1 G: G2/5 D3/2 B3/1 rolled | B4/1 G5/5
        3.1 A/C#: C#3/5 G3/2 E4/1 rolled | C#5/1 A5/5
        4.1 A: A2/5 E3/2 C#4/1 rolled | C#5/1 A5/5
    "#]],
    );
}

#[test]
fn written_left_tones_take_the_chords_altered_notes_without_a_slash() {
    // The dominant of A minor has G# for its third; over a slash the key's own G stands.
    check(
        "A minor",
        r#""left": { "tones": "1 3" },"#,
        "5M | 5M/5",
        expect![[r#"
            1.1 E: E3/5 G#3/3 | E4/1 G#4/3 B4/5
            2.1 E: E3/5 G3/3 | E4/1 G#4/3 B4/5
        "#]],
    );
}

#[test]
fn near_puts_the_lowest_key_as_close_as_it_can() {
    let head = r#""right": { "near": "A4" }, "left": { "near": "A2" },"#;
    check(
        "D major",
        head,
        "1 | 4 | 5",
        expect![[r#"
        1.1 D: D3/5 A3/1 | A4/1 D5/3 F#5/5
        2.1 G: G2/5 D3/1 | B4/1 D5/2 G5/5
        3.1 A: A2/5 E3/1 | A4/1 C#5/3 E5/5
    "#]],
    );
}

#[test]
fn the_left_hand_goes_down_an_octave_where_the_hands_would_meet() {
    let head = r#""right": { "tones": "1 3 5", "near": "C4" }, "left": { "shape": "octave" },"#;
    check(
        "C major",
        head,
        "1 | 4 | 5",
        expect![[r#"
        1.1 C: C2/5 C3/1 | C4/1 E4/3 G4/5
        2.1 F: F2/5 F3/1 | F4/1 A4/3 C5/5
        3.1 G: G1/5 G2/1 | G3/1 B3/3 D4/5
    "#]],
    );
}

#[test]
fn ties_keep_the_keys_and_rests_have_none() {
    check(
        "C major",
        "",
        "1 | ~ | N",
        expect![[r#"
        1.1 C: C3/5 G3/1 | E4/1 G4/2 C5/5
        2.1 ~: C3/5 G3/1 | E4/1 G4/2 C5/5
        3.1 N: - | -
    "#]],
    );
}

/// The pinned chord is planned around in the whole song; the other chords have one voicing for all passes.
#[test]
fn an_exception_changes_its_own_chord_and_no_other_between_passes() {
    let text = r#"{ "format": 1, "title": "Test", "key": "C major", "tempo": 90, "sections": [
        { "name": "A", "bars": ["1 | 4 | 5 | 1"], "passes": 3,
          "except": [ { "pass": 2, "bar": 2, "right": { "tones": "1 5 3" } } ] } ] }"#;
    let part = part_of(text);
    let hands = |bar: usize| (&part.bars[bar].chords[0].right.notes, &part.bars[bar].chords[0].left.notes);
    let keys = |bar: usize| hands(bar).0.iter().map(|n| n.key.number() % 12).collect::<Vec<_>>();
    for bar in 0..4 {
        assert_eq!(hands(bar), hands(8 + bar), "the first and the last pass are alike");
        assert_eq!(hands(bar) == hands(4 + bar), bar != 1, "bar {bar}");
    }
    assert_eq!(keys(5), [5, 0, 9], "F, C and A from the lowest up, as written");
}

#[test]
fn a_section_is_voiced_alike_wherever_it_comes_back() {
    let text = r#"{ "format": 1, "title": "Test", "key": "C major", "tempo": 90, "sections": [
        { "name": "A", "bars": ["1 | 6"] }, { "name": "B", "bars": ["4/6 | 5"] } ],
        "order": ["A", "B", "A", "B", "B", "A"] }"#;
    let part = part_of(text);
    for place in [4, 10] {
        assert_eq!(part.bars[0].chords[0].right, part.bars[place].chords[0].right);
        assert_eq!(part.bars[1].chords[0].left, part.bars[place + 1].chords[0].left);
    }
    assert_eq!(part.bars[2].chords[0].right, part.bars[8].chords[0].right);
}

/// 49 keys from C3: `near` would lay the right hand on keys of a left hand that can go no lower. Its lowest key is as close
/// to `near` as it can be.
#[test]
fn near_gives_way_where_the_hands_would_share_keys() {
    let head = r#""right": { "notes": 3, "near": "G3" }, "left": { "shape": "octave" },"#;
    let song = song::read(&song_text("C major", head, "5 | 6 | 1")).sound().unwrap().play();
    let key = |number| theory::MidiKey::new(number).unwrap();
    let keys = voicing::KeyRange::new(key(48), key(96)).unwrap();
    let settings = voicing::Settings { keys, ..voicing::Settings::default() };
    // The left hand's octaves end on G4, A4 and C4: the first of the chord's notes above them are B4, C5 and E4.
    expect![[r#"
        1.1 G: G3/5 G4/1 | B4/1 D5/2 G5/5
        2.1 Am: A3/5 A4/1 | C5/1 E5/2 A5/5
        3.1 C: C3/5 C4/1 | E4/1 G4/2 C5/5
    "#]]
    .assert_eq(&shapes(&voicing::plan(&song, song.key, &settings).unwrap()));
}
