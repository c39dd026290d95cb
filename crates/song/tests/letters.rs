//! Chords by letter, against names that publishers use and reference data; numbers and back in all thirty keys.

use proptest::prelude::*;
use song::letters::{self, LetterChord, propose_key, read, to_letters, to_numbers};
use song::{ItemKind, parse_line};
use theory::{Chord, Extension, Key, NumberChord, Quality};

fn chord(text: &str) -> LetterChord {
    read(text).unwrap_or_else(|e| panic!("{text}: {e}")).chord.unwrap()
}

fn key(text: &str) -> Key {
    text.parse().unwrap()
}

/// Names as publishers write them, each line one chord (common practice, no source). The first is the program's own.
#[test]
fn the_usual_ways_of_writing_a_chord_are_read() {
    const SAME: &[&str] = &[
        "G Gmaj GM",
        "Gm Gmin G- Gmi G−",
        "Gdim G° Go",
        "Gaug G+ G(#5)",
        "Gsus4 Gsus",
        "Gsus2",
        "G5 Gno3 G(no3) Gomit3",
        "G6 Gadd6",
        "Gm6 G-6 Gmin6",
        "G7",
        "Gmaj7 GM7 GΔ7 Gma7 G^7",
        "Gm7 Gmin7 G-7",
        "Gm7b5 Gø Gø7 Gm7(b5) Gm7♭5 G-7b5",
        "Gdim7 G°7 Go7",
        "Gm(maj7) GmM7 Gmmaj7 G-Δ7 Gm(M7)",
        "G7#5 Gaug7 G+7 G7(#5) G7+5",
        "G7sus4 G7sus Gsus7",
        "G9",
        "Gmaj9 GM9",
        "Gm9 G-9",
        "Gadd9 G(add9) Gadd2",
        "Gm(add9) Gmadd9",
        "Gadd4 Gadd11",
        "G11",
        "Gm11",
        "G13",
        "G13sus4 Gsus13",
        "G7b9 G7(b9) G7♭9 G7-9",
        "G7#9 G7(#9) G7♯9 G7+9",
        "G9sus4 Gsus9",
        "Gmaj7#5 Gaug(maj7)",
    ];
    for line in SAME {
        let names: Vec<&str> = line.split(' ').collect();
        for name in &names {
            let letter = read(name).unwrap();
            assert_eq!(letter.unsure, None, "{name}");
            assert_eq!(letter.chord.unwrap().to_string(), names[0], "{name}");
        }
    }
    for none in ["N.C.", "NC", "n.c.", "N.C", "N"] {
        assert_eq!(read(none).unwrap().chord, None);
    }
    assert_eq!(chord("B♭/D").to_string(), "Bb/D");
    assert_eq!(chord("Bbb♭").root.alter, -3);
}

#[test]
fn what_number_charts_cannot_say_is_told() {
    let told = |text: &str| read(text).unwrap().unsure.unwrap_or_default();
    assert_eq!(told("G6/9"), "number charts have no 9 beside the 6: read as G6");
    assert_eq!(told("Gmaj7#11/B"), "number charts have no #11: read as Gmaj7/B");
    assert_eq!(told("G7alt"), "number charts have no alt: read as G7");
    assert_eq!(told("G7b5"), "number charts have no b5: read as G7");
    assert_eq!(told("G7b9#9"), "number charts have no #9: read as G7b9");
    assert_eq!(told("G2"), "“G2” is read as an added ninth");
    assert_eq!(told("G4"), "“G4” is read as a suspended fourth");
    assert_eq!(told("Hm"), "H is read as B: Bm");
    let error = |text: &str| read(text).map_err(|e| (e.span, e.message)).unwrap_err();
    assert_eq!(error("Gxy").0, (1, 3));
    assert_eq!(error("G7/Q"), ((3, 4), "one note stands under the slash, as in D/F#".into()));
    assert_eq!(error("am").0, (0, 2));
    assert_eq!(error("").0, (0, 0));
}

/// Chords of the reference data: read by name, they have the degree that it says and the notes that it says.
#[test]
fn reference_chords_are_found_by_their_names() {
    let text = include_str!("../../../tests/reference/chords.json");
    let all: Vec<serde_json::Value> = serde_json::from_str(text).unwrap();
    let mut checked = 0;
    for row in &all {
        let is = |field: &str| row[field].as_str().unwrap();
        let name = format!("{}{}", is("root"), is("quality"));
        let Ok(key) = format!("{} {}", is("key"), is("mode")).parse::<Key>() else { continue };
        let number = chord(&name).number(key);
        let names: Vec<String> = Chord::in_key(number, key).names().map(|name| name.to_string()).collect();
        let wanted: Vec<&str> =
            row["names"].as_array().unwrap().iter().map(|n| n.as_str().unwrap()).collect();
        let (degree, alter) = (row["degree"].as_u64().unwrap() as u8, row["alter"].as_i64().unwrap() as i8);
        assert_eq!((number.root.number(), number.root.alter()), (degree, alter), "{name} in {key}");
        assert_eq!(names, wanted, "{name} in {key}");
        checked += 1;
    }
    assert!(checked > 500, "{checked}");
}

#[test]
fn rows_keep_their_signs() {
    let turned = to_numbers("G | D/F# | Em7 . C | G13", key("G major"));
    assert_eq!(turned.text, "1 | 5/7 | 6(7) . 4 | 1(13)");
    let turned = to_numbers("E | B/D♯ | C♯m | F♯7sus4.. A..", key("E major"));
    assert_eq!(turned.text, "1 | 5/7 | 6 | 2sus4(7).. 4..");
    let turned = to_numbers("6/8:<^Am>|~ % N.C.|F#m7b5... E7...", key("A minor"));
    assert_eq!(turned.text, "6/8:<^1>|~ % N|#6dim(7)... 5M(7)...");
    assert!(turned.doubts.is_empty());
}

/// A misspelled chord sounds as it is written: G# in Db major is the flat fifth's neighbour, Ab.
#[test]
fn chords_spelled_far_from_the_key_are_spelled_near_it() {
    let number = |text: &str, of: &str| chord(text).number(key(of)).to_string();
    assert_eq!(number("G#", "Db major"), "5");
    assert_eq!(number("A#m", "Gb major"), "3");
    assert_eq!(number("Gb", "D major"), "b4");
    assert_eq!(number("A#", "C major"), "#6M");
}

#[test]
fn keys_are_proposed_from_progressions() {
    // Common progressions and the keys that players call them (common practice, no source).
    for (row, wanted) in [
        ("G | D/F# | Em | C", "G major"),
        ("C G Am F", "C major"),
        ("Am F C G", "A minor"),
        ("Am G F E7", "A minor"),
        ("Dm7 G7 Cmaj7", "C major"),
        ("F#m D A E", "F# minor"),
        ("Bb F/A Gm Eb F", "Bb major"),
        ("E A E B7 E", "E major"),
        ("G F C G", "G major"),
        ("Em C G D Em", "E minor"),
        ("Db Ab/C Bbm Gb", "Db major"),
        ("C Fm C", "C major"),
    ] {
        let guess = propose_key(&letters::chords(row))[0];
        assert_eq!(guess.key.to_string(), wanted, "{row}: {:?}", &propose_key(&letters::chords(row))[..3]);
    }
    let sure = |row: &str| propose_key(&letters::chords(row))[0].sureness;
    assert!(sure("G C D7 G Em Am D7 G") > sure("G C"));
    let none = propose_key(&[]);
    assert_eq!(none.len(), 30);
    assert!(none.iter().all(|guess| (guess.sureness - 1.0 / 30.0).abs() < 1e-9));
}

/// The demo songs, written out by letter, are found to be in their own keys.
#[test]
fn keys_of_the_demo_songs_are_found() {
    for text in crate::demos::SONGS {
        let song = song::read(text).song.unwrap();
        let mut all = Vec::new();
        for row in song.sections.iter().filter(|s| s.key.is_none()).flat_map(|section| &section.rows) {
            let letters = to_letters(&song::print_line(&row.bars), song.key);
            all.extend(letters::chords(&letters.text));
        }
        let guess = propose_key(&all)[0];
        assert_eq!(guess.key, song.key, "{:?}", &propose_key(&all)[..3]);
        assert!(guess.sureness > 0.5, "{} {}", song.title, guess.sureness);
    }
}

fn number() -> impl Strategy<Value = NumberChord> {
    let degree =
        || (1..=7u8, -1..=1i8).prop_map(|(number, alter)| theory::Degree::new(number, alter).unwrap());
    let quality = prop_oneof![1 => Just(None), 2 => prop::sample::select(&Quality::ALL[..]).prop_map(Some)];
    let extension =
        prop_oneof![1 => Just(None), 2 => prop::sample::select(&Extension::ALL[..]).prop_map(Some)];
    (degree(), quality, extension, prop::option::of(degree())).prop_map(
        |(root, quality, extension, under)| {
            let quality = if root.alter() > 0 { quality.or(Some(Quality::Major)) } else { quality };
            // Nobody means a diminished seventh over another triad, so by letter it makes the triad diminished.
            let diminished = extension == Some(Extension::DiminishedSeventh);
            let quality = if diminished { Some(Quality::Diminished) } else { quality };
            NumberChord { root, quality, extension, under }
        },
    )
}

/// What a chord is, apart from how it is written.
fn sound(chord: NumberChord, key: Key) -> (Vec<String>, String) {
    let chord = Chord::in_key(chord, key);
    (chord.names().map(|name| name.to_string()).collect(), chord.bass.to_string())
}

proptest! {
    #[test]
    fn numbers_become_letters_and_the_same_numbers_again(number in number(), which in 0..30usize) {
        let key = Key::all().nth(which).unwrap();
        let letters = LetterChord::of(&Chord::in_key(number, key));
        let again = chord(&letters.to_string());
        prop_assert_eq!(again, letters);
        prop_assert_eq!(sound(again.number(key), key), sound(number, key), "{} {}", number, letters);
        // Written the short way, the text itself comes back.
        let short = again.number(key);
        let text = short.to_string();
        let row = format!("3/4: {text}.. ^{text}. | <{text}> | ~ | %");
        let turned = to_letters(&row, key);
        prop_assert_eq!(to_numbers(&turned.text, key).text, row);
    }

    #[test]
    fn rows_turned_never_panic_and_say_where(text in "[A-Ha-z0-9#b♭♯°øΔ()/.|<>^~%N: é+-]{0,40}", which in 0..30usize) {
        let key = Key::all().nth(which).unwrap();
        let turned = to_numbers(&text, key);
        for doubt in &turned.doubts {
            prop_assert!(text.get(doubt.span.0..doubt.span.1).is_some(), "{:?}", doubt);
        }
        let again = to_letters(&turned.text, key);
        let rests = |row: &str| {
            let items: Vec<_> = parse_line(row).0.iter().flat_map(|bar| bar.items().to_vec()).collect();
            items.iter().filter(|item| item.kind == ItemKind::Rest).count()
        };
        prop_assert_eq!(rests(&again.text), rests(&turned.text));
        letters::chords(&text);
        letters::is_letter_row(&text);
    }
}
