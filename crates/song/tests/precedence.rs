//! Song, inherited section, own section, inherited exceptions, own exceptions; later in a list wins; field by field.
//! Each rule of the song format by itself.

use crate::show::{bars, left, right, song};

#[test]
fn nothing_written_is_three_notes_and_root_and_fifth_struck_once() {
    let played = song(r#""sections": [ { "name": "A", "bars": ["1"] } ]"#).play();
    assert_eq!(right(&played, 0, 0), "3 notes, x - - -, Bar");
    assert_eq!(left(&played, 0, 0), "root fifth, x - - -, Bar");
    assert_eq!((played.bars[0].level, played.bars[0].bass, played.bars[0].pedal), (3, false, false));
}

#[test]
fn a_section_goes_over_the_song_field_by_field() {
    let played = song(
        r#""level": 2, "bass": true, "right": { "notes": 2, "figure": "x x x x", "near": "A4" },
        "sections": [ { "name": "A", "level": 4, "bars": ["1"], "right": { "figure": "x - x -" } } ]"#,
    )
    .play();
    assert_eq!(right(&played, 0, 0), "2 notes, x - x - near A4, Bar");
    assert_eq!((played.bars[0].level, played.bars[0].bass), (4, true));
}

#[test]
fn the_own_section_goes_over_the_inherited_one() {
    let played = song(
        r#""sections": [
          { "name": "A", "bars": ["1"], "passes": 2, "level": 1, "right": { "notes": 1, "figure": "x x - -" } },
          { "name": "B", "like": "A", "right": { "notes": 4 } },
          { "name": "C", "like": "B", "passes": 1, "right": { "near": "D4" } } ]"#,
    )
    .play();
    assert_eq!(right(&played, 2, 0), "4 notes, x x - -, Bar");
    assert_eq!((played.bars[2].passes, played.bars[2].level), (2, 1));
    assert_eq!((right(&played, 4, 0), played.bars.len()), ("4 notes, x x - - near D4, Bar".into(), 5));
}

#[test]
fn like_takes_everything_but_name_and_note() {
    let song = song(
        r#""sections": [
          { "name": "A", "bars": ["1"], "key": "E major", "tempo": 60, "meter": "3/4", "feel": "swing", "pedal": true,
            "note": "own words", "cue": "drums", "left": { "shape": "root" } },
          { "name": "B", "like": "A" } ]"#,
    );
    let played = song.play();
    let (a, b) = (&played.bars[0], &played.bars[1]);
    assert_eq!((b.key, b.meter, b.feel, b.pedal), (a.key, a.meter, a.feel, a.pedal));
    assert_eq!(b.quarters_per_minute, 60.0);
    assert_eq!(left(&played, 1, 0), "root, x - - -, Bar");
    assert_eq!((played.words[1].note.as_deref(), played.words[1].cue.as_deref()), (None, Some("drums")));
}

#[test]
fn exceptions_go_over_sections_and_own_over_inherited_ones() {
    let played = song(
        r#""sections": [
          { "name": "A", "bars": ["1 | 4"], "right": { "notes": 1 },
            "except": [ { "bar": 1, "right": { "notes": 2, "figure": "x x x x" } } ] },
          { "name": "B", "like": "A", "right": { "notes": 3 },
            "except": [ { "bar": 1, "right": { "notes": 4 } } ] } ]"#,
    )
    .play();
    assert_eq!(right(&played, 0, 0), "2 notes, x x x x, Bar");
    assert_eq!(right(&played, 2, 0), "4 notes, x x x x, Bar");
    assert_eq!(right(&played, 3, 0), "3 notes, x - - -, Bar");
}

#[test]
fn an_inherited_exception_goes_over_the_own_section() {
    let played = song(
        r#""sections": [
          { "name": "A", "bars": ["1"], "except": [ { "bar": 1, "right": { "notes": 2 } } ] },
          { "name": "B", "like": "A", "right": { "notes": 4 } } ]"#,
    )
    .play();
    assert_eq!(right(&played, 1, 0), "2 notes, x - - -, Bar");
}

#[test]
fn later_in_the_list_wins() {
    let played = song(
        r#""sections": [ { "name": "A", "passes": 2, "bars": ["1 | 4"], "except": [
          { "bar": 1, "right": { "notes": 1 }, "bars": "2", "note": "first" },
          { "bar": 1, "pass": 2, "right": { "notes": 2 }, "note": "second" },
          { "bar": 1, "pass": 2, "bars": "3", "cue": "third" } ] } ]"#,
    )
    .play();
    assert_eq!(
        bars(&played),
        "A 1/2.1* @0 4/4 2(4)\nA 1/2.2 @4 4/4 4(4)\nA 2/2.1* @8 4/4 3(4)\nA 2/2.2 @12 4/4 4(4)\n"
    );
    assert_eq!(right(&played, 2, 0), "2 notes, x - - -, Bar");
    assert_eq!(
        (played.bars[2].note.as_deref(), played.bars[2].cue.as_deref()),
        (Some("second"), Some("third"))
    );
}

#[test]
fn in_one_level_shapes_go_over_tones_over_notes() {
    let played = song(
        r#""right": { "notes": 1, "tones": "5 1", "shapes": { "4": "1 5" } },
        "left": { "shape": "root", "tones": "1 5", "shapes": { "1/3": "1" } },
        "sections": [ { "name": "A", "bars": ["1 | 4 | 1/3"] } ]"#,
    )
    .play();
    assert_eq!(right(&played, 0, 0), "tones 5 1, x - - -, Bar");
    assert_eq!(right(&played, 1, 0), "tones 1 5, x - - -, Bar");
    assert_eq!(left(&played, 0, 0), "tones 1 5, x - - -, Bar");
    assert_eq!(left(&played, 2, 0), "tones 1, x - - -, Bar");
}

#[test]
fn the_innermost_level_that_says_anything_decides_what_is_held() {
    let played = song(
        r#""right": { "shapes": { "1": "5 1", "4": "5 1" } },
        "sections": [
          { "name": "A", "bars": ["1 | 4"], "right": { "shapes": { "4": "1 5" } } },
          { "name": "B", "bars": ["1 | 4"], "right": { "notes": 2 }, "except": [ { "bar": 2, "right": { "tones": "3" } } ] } ]"#,
    )
    .play();
    // Section A says nothing about 1, so the song does; section B says two notes of every chord.
    assert_eq!(
        [right(&played, 0, 0), right(&played, 1, 0)],
        ["tones 5 1, x - - -, Bar", "tones 1 5, x - - -, Bar"]
    );
    assert_eq!(
        [right(&played, 2, 0), right(&played, 3, 0)],
        ["2 notes, x - - -, Bar", "tones 3, x - - -, Bar"]
    );
}

#[test]
fn shapes_are_keyed_by_the_chord_and_not_by_its_letters() {
    let played = song(
        r#""right": { "shapes": { "2-(7)": "3 7" } }, "sections": [ { "name": "A", "bars": ["2m(7) | 2(7) | ^2-(7)"] } ]"#,
    )
    .play();
    let held: Vec<String> = (0..3).map(|bar| right(&played, bar, 0)).collect();
    assert_eq!(held, ["tones 3 7, x - - -, Bar", "3 notes, x - - -, Bar", "tones 3 7, x - - -, Bar"]);
}
