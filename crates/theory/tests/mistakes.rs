//! Mistakes in chords, keys and scales: where they are and what is said.

use theory::{Key, NumberChord, Scale};

/// Text, first wrong character, how many, what is said.
const CHORDS: &[(&str, usize, usize, &str)] = &[
    ("", 0, 1, "the degree is missing: write a number from 1 to 7"),
    ("b", 1, 1, "the degree is missing: write a number from 1 to 7"),
    ("8", 0, 1, "8 is no scale degree: write 1, the octave is the same degree"),
    ("0", 0, 1, "0 is no scale degree: write a number from 1 to 7"),
    ("#4", 0, 2, "a sharp root must state its quality: #4dim or #4M"),
    ("#4(7)/1", 0, 2, "a sharp root must state its quality: #4dim(7) or #4M(7)"),
    ("#b4", 0, 2, "flats and sharps before one degree: write only one kind"),
    ("bbbb4", 0, 4, "too many accidentals: write at most 3 before a degree"),
    ("G", 0, 1, "G is a note name: write the number of its degree in the key, 1 to 7"),
    ("x", 0, 1, "“x” stands where a degree should be: write a number from 1 to 7"),
    ("57", 1, 1, "put the extension in brackets: 5(7)"),
    ("2m7", 1, 2, "put the extension in brackets: 2m(7)"),
    ("7°7", 1, 2, "put the extension in brackets: 7dim(7)"),
    ("4maj7", 1, 4, "put the extension in brackets: 4(maj7)"),
    ("45", 1, 1, "“5” is no quality: write 4no3"),
    ("41", 1, 1, "“1” right behind 4: put a space between two chords, or an extension in brackets"),
    ("1maj", 1, 3, "“maj” is no quality: write 1M"),
    ("5sus", 1, 3, "“sus” is no quality: write 5sus4"),
    ("7ø", 1, 1, "“ø” is no quality: write 7dim(7)"),
    ("1foo/3", 1, 3, "“foo” is no quality: write one of M, m, dim, aug, sus2, sus4, no3"),
    ("5(7", 1, 2, "the bracket is not closed: write (7)"),
    ("5(7/1", 1, 2, "the bracket is not closed: write (7)"),
    ("5()", 2, 1, "“” is no extension: write one of 6, 7, maj7, dim7, 9, maj9, add9, add4, 11, 13, 7b9, 7#9"),
    ("1(M7)", 2, 2, "“M7” is no extension: write (maj7)"),
    ("5(sus4)", 2, 4, "a quality stands without brackets: write sus4 right behind the degree"),
    ("5)", 1, 1, "“)”: a bracket closes that was not opened"),
    ("5(7)sus4", 4, 4, "“sus4” stands behind the bracket: the quality comes before it, as in 5sus4(7)"),
    ("5(7)(9)", 4, 3, "one bracket is enough: write one extension, as in 5(7)"),
    ("1/", 2, 1, "the degree is missing: write a number from 1 to 7"),
    ("1/9", 2, 1, "9 is no scale degree: write 2, or put a ninth in brackets: 2(9)"),
    ("1/4m", 3, 1, "“m” stands behind the degree under the slash: the left hand takes one degree, as in 1/4"),
    ("1/4/5", 3, 2, "one slash is enough: the right hand's chord before it, the left hand's degree after it"),
];

#[test]
fn a_mistake_in_a_chord_is_placed_and_says_what_to_write() {
    for &(text, at, length, message) in CHORDS {
        let error = text.parse::<NumberChord>().unwrap_err();
        assert_eq!((error.at, error.length, error.message.as_str()), (at, length, message), "{text}");
    }
}

#[test]
fn what_a_message_proposes_can_be_written() {
    for &(_, _, _, message) in CHORDS {
        let proposal = message.rsplit_once(": ").unwrap().1;
        for word in proposal.split_once("write ").map_or(proposal, |(_, rest)| rest).split(" or ") {
            if word.starts_with(['#', '1', '2', '4', '5', '7']) && !word.contains(' ') {
                assert!(word.parse::<NumberChord>().is_ok(), "{word}");
            }
        }
    }
}

#[test]
fn a_mistake_in_a_key_says_what_to_write() {
    for (text, message) in [
        ("D", "“D” has no mode: write “D major” or “D minor”"),
        ("Dm", "“Dm” is no key: write tonic and mode, as in “Bb major” or “F# minor”"),
        ("", "“” is no key: write tonic and mode, as in “Bb major” or “F# minor”"),
        ("H major", "“H” is no note name: write A to G and # or b behind it, as in “Bb major”"),
        (
            "G# major",
            "G# major has no key signature of up to seven accidentals: write Ab major, which sounds the same",
        ),
        (
            "Db minor",
            "Db minor has no key signature of up to seven accidentals: write C# minor, which sounds the same",
        ),
    ] {
        assert_eq!(text.parse::<Key>().unwrap_err().message, message);
    }
    assert_eq!(
        "D dorik".parse::<Scale>().unwrap_err().message,
        "“D dorik” is no scale: write a tonic and a kind, as in “D major”; the kinds are major, minor, harmonic minor, \
         melodic minor, dorian, phrygian, lydian, mixolydian, locrian, major pentatonic, minor pentatonic, blues"
    );
}
