//! The example song of the song format, unfolded. The expectation was worked out by hand from the format's text.

use crate::show::{bars, left, right};
use song::Quarters;

const EXAMPLE: &str = r#"{
  "format": 1,
  "title": "Lanterns at the Lock",
  "key": "D major",
  "tempo": 72,
  "meter": "4/4",
  "right": { "notes": 2, "figure": "x x x x", "shapes": { "5/7": "5 1" } },
  "left":  { "shape": "root fifth", "figure": "12 12 12 12" },
  "sections": [
    { "name": "Intro",
      "bars": ["3/4: 1.. 5. | 6", "3/4: 1.. 5. | 6.. 1/6.."] },
    { "name": "Verse", "like": "Intro", "passes": 4,
      "except": [ { "pass": [3, "last"], "bar": 4, "bars": "6", "right": { "figure": "x x x -" } } ] },
    { "name": "Lift", "bars": ["1/4 | 1/5 | 1/6 | 1sus2/5.. 5.."],
      "right": { "tones": "5 1", "figure": "[v12]1-- x x x", "restart": "chord", "near": "A4" },
      "note": "Left hand takes the number under the slash." },
    { "name": "Chorus", "bars": ["4 | 4... 5. | 6 | ~", "4 | 5/3 | 5sus4 5 | <1>"] }
  ],
  "order": ["Intro", "Verse", "Lift", "Chorus", "Lift", "Chorus", "Chorus"]
}
"#;

fn played() -> song::PlayedSong {
    song::read(EXAMPLE).sound().expect("the example of the format is a song").play()
}

#[test]
fn example_has_no_mistake() {
    assert_eq!(song::read(EXAMPLE).diagnostics.iter().filter(|d| d.is_error()).count(), 0);
}

#[test]
fn example_is_52_bars_of_198_quarters() {
    let played = played();
    // 4 + 4 * 4 + 4 + 8 + 4 + 8 + 8 bars; 14 + 4 * 14 + 16 + 32 + 16 + 32 + 32 quarters.
    assert_eq!(played.bars.len(), 52);
    let last = played.bars.last().unwrap();
    assert_eq!(last.start + last.meter.length(), Quarters::new(198, 1));
}

#[test]
fn example_bar_by_bar() {
    let text = bars(&played());
    let lines: Vec<&str> = text.lines().collect();
    let expected = [
        (0, "Intro 1/1.1 @0 3/4: 1(2) 5(1)"),
        (1, "Intro 1/1.2 @3 4/4 6(4)"),
        (2, "Intro 1/1.3 @7 3/4: 1(2) 5(1)"),
        (3, "Intro 1/1.4 @10 4/4 6(2) 1/6(2)"),
        (4, "Verse 1/4.1 @14 3/4: 1(2) 5(1)"),
        (7, "Verse 1/4.4 @24 4/4 6(2) 1/6(2)"),
        (11, "Verse 2/4.4 @38 4/4 6(2) 1/6(2)"),
        (15, "Verse 3/4.4* @52 4/4 6(4)"),
        (19, "Verse 4/4.4* @66 4/4 6(4)"),
        (20, "Lift 1/1.1 @70 4/4 1/4(4)"),
        (23, "Lift 1/1.4 @82 4/4 1sus2/5(2) 5(2)"),
        (25, "Chorus 1/1.2 @90 4/4 4(3) 5(1)"),
        (27, "Chorus 1/1.4 @98 4/4 ~6(4)"),
        (30, "Chorus 1/1.7 @110 4/4 5sus4(2) 5(2)"),
        (31, "Chorus 1/1.8 @114 4/4 <1(4)"),
        (32, "Lift 1/1.1 @118 4/4 1/4(4)"),
        (51, "Chorus 1/1.8 @194 4/4 <1(4)"),
    ];
    for (index, line) in expected {
        assert_eq!(lines[index], line);
    }
}

#[test]
fn example_hands() {
    let played = played();
    assert_eq!(right(&played, 0, 0), "2 notes, x x x x, Bar");
    assert_eq!(left(&played, 0, 0), "root fifth, 12 12 12 12, Bar");
    assert_eq!(right(&played, 15, 0), "2 notes, x x x -, Bar");
    assert_eq!(left(&played, 15, 0), "root fifth, 12 12 12 12, Bar");
    assert_eq!(right(&played, 20, 0), "tones 5 1, [v12]1-- x x x near A4, Chord");
    assert_eq!(right(&played, 24, 0), "2 notes, x x x x, Bar");
}

#[test]
fn example_places_on_the_page() {
    let song = song::read(EXAMPLE).sound().unwrap();
    let played = song.play();
    let place = |i: usize| (played.bars[i].section, played.bars[i].row, played.bars[i].written_bar);
    assert_eq!(place(0), (0, 0, Some(0)));
    assert_eq!(place(6), (1, 1, Some(2)));
    assert_eq!((place(15), played.bars[15].in_place_of), ((1, 1, None), Some(3)));
    // The span of a slot leads back to its number in the file.
    let source = played.bars[6].slots[1].source;
    assert_eq!((source.section, &EXAMPLE[source.span.0..source.span.1]), (0, "5."));
    let source = played.bars[15].slots[0].source;
    assert_eq!((source.section, source.exception, &EXAMPLE[source.span.0..source.span.1]), (1, Some(0), "6"));
    assert_eq!(played.words[2].note.as_deref(), Some("Left hand takes the number under the slash."));
}
