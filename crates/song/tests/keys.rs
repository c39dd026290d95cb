//! Keys of sections and the key of the night.

use crate::show::song;
use song::PlayedSong;

fn two_keys() -> song::Song {
    song(
        r#""right": { "near": "A4" }, "sections": [ { "name": "A", "bars": ["1"] },
        { "name": "B", "key": "+2", "bars": ["5"] }, { "name": "C", "key": "B minor", "bars": ["~ 1/b7"] } ]"#,
    )
}

fn keys(played: &PlayedSong) -> Vec<String> {
    played.bars.iter().map(|bar| bar.key.to_string()).collect()
}

#[test]
fn a_relative_key_is_spelled_as_a_key_with_a_signature() {
    assert_eq!(keys(&two_keys().play()), ["D major", "E major", "B minor"]);
    let up = |semitones: &str, key: &str| {
        let text = format!(
            r#"{{ "format": 1, "title": "T", "key": "{key}", "tempo": 72,
              "sections": [ {{ "name": "A", "key": "{semitones}", "bars": ["1"] }} ] }}"#
        );
        keys(&song::read(&text).sound().unwrap().play())[0].clone()
    };
    // Key signatures of up to seven signs are the common circle of fifths; fewer signs are chosen.
    assert_eq!(up("+1", "D major"), "Eb major");
    assert_eq!(up("-1", "D major"), "Db major");
    assert_eq!(up("+2", "F# minor"), "G# minor");
    assert_eq!(up("+1", "B major"), "C major");
}

#[test]
fn inner_keys_move_alike() {
    let song = two_keys();
    let played = song.play_in("Bb major".parse().unwrap()).unwrap();
    assert_eq!(keys(&played), ["Bb major", "C major", "G minor"]);
    assert_eq!(
        (played.key.to_string(), played.written_key.to_string()),
        ("Bb major".into(), "D major".into())
    );
}

#[test]
fn the_songs_own_key_is_spelled_as_it_was_asked_for() {
    for name in ["C# major", "Db major", "F# major", "Gb major", "Cb major"] {
        assert_eq!(keys(&two_keys().play_in(name.parse().unwrap()).unwrap())[0], name);
    }
}

#[test]
fn near_moves_by_at_most_a_tritone() {
    let near = |key: &str| {
        let played = two_keys().play_in(key.parse().unwrap()).unwrap();
        played.bars[0].slots[0].right.near.unwrap().to_string()
    };
    assert_eq!(near("E major"), "B4");
    assert_eq!(near("Bb major"), "F4");
    assert_eq!(near("C major"), "G4");
    assert_eq!(near("Ab major"), "Eb5");
    assert_eq!(near("A major"), "E4");
    assert_eq!(near("G major"), "D5");
}

#[test]
fn a_key_of_the_other_mode_is_refused_with_the_reason() {
    let error = two_keys().play_in("B minor".parse().unwrap()).unwrap_err();
    assert_eq!(error.to_string(), "the song is in D major and cannot be moved to B minor; name a major key");
}

#[test]
fn there_and_back_is_the_same_song() {
    let played = two_keys().play();
    for key in theory::Key::all().filter(|key| key.mode() == theory::Mode::Major) {
        let back = played.transposed(key).unwrap().transposed(played.key).unwrap();
        for (bar, home) in back.bars.iter().zip(&played.bars) {
            assert_eq!((bar.key, &bar.slots[0].kind), (home.key, &home.slots[0].kind), "{key}");
            let near = |bar: &song::PlayedBar| bar.slots[0].right.near.unwrap().semitones();
            assert_eq!(near(bar), near(home), "{key}");
        }
    }
}
