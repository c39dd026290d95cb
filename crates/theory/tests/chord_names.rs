//! Names in the trade's form, qualities, warnings.

use crate::reference::key;
use theory::{Chord, Key, Mode, NumberChord};

fn chord(written: &str, in_key: &str) -> Chord {
    Chord::in_key(written.parse().unwrap(), key(in_key))
}

/// Names as lead sheets have them (common practice, no source; publishers differ).
#[test]
fn chords_have_the_names_of_the_trade() {
    for (in_key, names) in [
        ("D major", "1=D 2=Em 6(7)=Bm7 3(7)=F#m7 5sus4=Asus4 4(maj7)=Gmaj7 7=C#dim 1no3=D5 5/7=A/C#"),
        ("Bb major", "1/3=Bb/D 1=Bb 1/1=Bb 5(9)=F9 5(13)=F13 1(maj9)=Bbmaj9 4(6)=Eb6 1aug=Bbaug"),
        ("C major", "7(7)=Bm7b5 1(add9)=Cadd9 5sus4(7)=G7sus4 5(7b9)=G7b9 5(7#9)=G7#9 b7=Bb b3(maj7)=Ebmaj7"),
        (
            "C major",
            "1(add4)=Cadd4 6(add9)=Am(add9) 6(maj7)=Am(maj7) 5no3(7)=G7(no3) 1+(7)=C7#5 7(6)=Bdim(6)",
        ),
        ("C major", "6(6)=Am6 1sus2(add9)=Csus2(add9) 1M(dim7)=C(dim7) 7(9)=Bm9b5 1+(6)=Caug(6) 2(11)=Dm11"),
        (
            "E minor",
            "1=Em 5=Bm 5M=B 5M(7)=B7 5M/#7=B/D# 7=D #7dim(dim7)=D#dim7 2(7)=F#m7b5 1m(maj7)=Em(maj7)",
        ),
        ("Ab major", "#4dim=Ddim #4dim(dim7)=Ddim7 1/b7=Ab/Gb b6=Fb"),
    ] {
        for pair in names.split(' ') {
            let (written, name) = pair.split_once('=').unwrap();
            assert_eq!(chord(written, in_key).name(), name, "{written} in {in_key}");
        }
    }
}

#[test]
fn printed_names_have_printed_signs() {
    assert_eq!(chord("1/3", "Bb major").pretty_name(), "B♭/D");
    assert_eq!(chord("3dim(7)", "D major").pretty_name(), "F♯m7♭5");
    assert_eq!(chord("b7sus2", "Eb major").pretty_name(), "D♭sus2");
}

/// The triads of the degrees (handbook table, from memory).
#[test]
fn the_key_gives_each_degree_its_triad() {
    for key in Key::all() {
        let expected = match key.mode() {
            Mode::Major => "major minor minor major major minor diminished",
            Mode::Minor => "minor diminished major minor minor major major",
        };
        let found: Vec<&str> = key.chords().iter().map(|c| c.quality().name()).collect();
        assert_eq!(found.join(" "), expected, "{key}");
        assert!(key.chords().iter().zip(1..).all(|(c, n)| c.written.to_string() == n.to_string()));
    }
}

fn warnings(written: &str, in_key: &str) -> Vec<String> {
    let chord: NumberChord = written.parse().unwrap();
    chord.warnings(key(in_key)).iter().map(|w| w.to_string()).collect()
}

#[test]
fn lowering_what_is_low_in_minor_is_warned_of() {
    assert_eq!(
        warnings("b7", "E minor"),
        ["b7 in a minor key lowers what is low already: write 7 for the key's own D"]
    );
    assert_eq!(
        warnings("1/b6", "C minor"),
        ["b6 in a minor key lowers what is low already: write 6 for the key's own A♭"]
    );
    assert_eq!(warnings("b7", "E major"), [""; 0]);
    assert_eq!(warnings("b2", "E minor"), [""; 0]);
    assert_eq!(warnings("5M/#7", "E minor"), [""; 0]);
}

#[test]
fn an_extension_that_leaves_the_key_is_warned_of() {
    assert_eq!(
        warnings("1(7)", "D major"),
        ["(7) brings C, which is not in D major; (maj7) would stay in the key"]
    );
    // Over the third degree either ninth is outside: nothing is proposed.
    assert_eq!(warnings("3(9)", "C major"), ["(9) brings F♯, which is not in C major"]);
    assert_eq!(warnings("6(6)", "C major"), ["(6) brings F♯, which is not in C major"]);
    assert_eq!(warnings("5(7b9)", "C major"), ["(7b9) brings A♭, which is not in C major"]);
    for quiet in ["5(7)", "2(7)", "7(7)", "1(maj7)", "4(maj9)", "5(13)", "1(add9)", "5sus4(7)", "5(9)"] {
        assert_eq!(warnings(quiet, "Db major"), [""; 0], "{quiet}");
    }
    assert_eq!(warnings("5M(7)", "E minor"), [""; 0]);
}
