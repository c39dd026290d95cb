//! Number chords: what is written and what it reads as.

use proptest::prelude::*;
use theory::{Degree, Extension, NumberChord, Quality};

fn read(text: &str) -> NumberChord {
    text.parse().unwrap_or_else(|error| panic!("{text}: {error}"))
}

#[test]
fn other_signs_read_as_the_canonical_text() {
    for (text, canonical) in [
        ("1", "1"),
        ("2-", "2m"),
        ("7°", "7dim"),
        ("5+", "5aug"),
        ("♭7", "b7"),
        ("♯4°(dim7)", "#4dim(dim7)"),
        ("5(7♭9)", "5(7b9)"),
        ("1sus2/5", "1sus2/5"),
        ("5M(7)/#7", "5M(7)/#7"),
        ("6-(7)/♭3", "6m(7)/b3"),
        ("bb7", "bb7"),
    ] {
        assert_eq!(read(text).to_string(), canonical);
    }
}

#[test]
fn every_part_is_read() {
    let chord = read("b6m(maj9)/#5");
    assert_eq!(chord.root, Degree::new(6, -1).unwrap());
    assert_eq!(chord.quality, Some(Quality::Minor));
    assert_eq!(chord.extension, Some(Extension::MajorNinth));
    assert_eq!(chord.under, Degree::new(5, 1));
}

fn any_degree() -> impl Strategy<Value = Degree> {
    (1u8..=7, -3i8..=3).prop_map(|(number, alter)| Degree::new(number, alter).unwrap())
}

proptest! {
    #[test]
    fn what_is_written_reads_back(
        root in any_degree(),
        quality in proptest::option::of(proptest::sample::select(&Quality::ALL[..])),
        extension in proptest::option::of(proptest::sample::select(&Extension::ALL[..])),
        under in proptest::option::of(any_degree()),
    ) {
        prop_assume!(root.alter() <= 0 || quality.is_some());
        let chord = NumberChord { root, quality, extension, under };
        prop_assert_eq!(chord.to_string().parse(), Ok(chord));
        prop_assert_eq!(chord.to_string().replace('b', "♭").replace('#', "♯").parse(), Ok(chord));
    }

    #[test]
    fn a_degree_reads_back(degree in any_degree()) {
        prop_assert_eq!(degree.to_string().parse(), Ok(degree));
        prop_assert_eq!(degree.pretty().parse(), Ok(degree));
    }
}
