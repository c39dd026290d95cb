//! The key of the night: what was chosen in the written key moves as it is.

use crate::print::shapes;
use expect_test::expect;
use proptest::prelude::*;
use song::PlayedSong;
use theory::{Hand, Key, Member};
use voicing::{KeyRange, Part, Settings, low_interval_limit, plan};

fn demo(name: &str) -> PlayedSong {
    let text = match name {
        "ballad" => include_str!("../../../demo-songs/lanterns-at-the-lock.json"),
        "minor" => include_str!("../../../demo-songs/frost-on-the-sluice.json"),
        "waltz" => include_str!("../../../demo-songs/heron-waltz.json"),
        _ => include_str!("../../../demo-songs/the-long-pound.json"),
    };
    song::read(text).sound().unwrap().play()
}

fn hand_keys(part: &Part, hand: Hand) -> Vec<Vec<i32>> {
    let chords = part.bars.iter().flat_map(|bar| &bar.chords);
    chords.map(|c| c.hand(hand).notes.iter().map(|n| i32::from(n.key.number())).collect()).collect()
}

/// Whether an interval of the shape lies below the low limits.
fn is_low(keys: &[i32]) -> bool {
    keys.windows(2).any(|pair| {
        low_interval_limit((pair[1] - pair[0]) as u8).is_some_and(|limit| pair[0] < i32::from(limit))
    })
}

#[test]
fn shapes_move_as_they_are_by_at_most_a_tritone() {
    for name in ["ballad", "minor", "waltz", "six-eight"] {
        let song = demo(name);
        let written = plan(&song, song.key, &Settings::default()).unwrap();
        for to in Key::all().filter(|key| key.mode() == song.key.mode()) {
            let part = plan(&song, to, &Settings::default()).unwrap();
            let shift = song.key.semitones_to(to);
            assert!((-6..=6).contains(&shift));
            for hand in Hand::BOTH {
                for (here, there) in hand_keys(&written, hand).iter().zip(hand_keys(&part, hand)) {
                    let moved: Vec<i32> = here.iter().map(|key| key + shift).collect();
                    // Only what would come to lie below a low limit may differ.
                    assert!(
                        moved == there || (is_low(&moved) && !is_low(&there)),
                        "{name} {to}: {here:?} {there:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn members_and_names_move_along() {
    let song = demo("ballad");
    let written = plan(&song, song.key, &Settings::default()).unwrap();
    let part = plan(&song, "Bb major".parse().unwrap(), &Settings::default()).unwrap();
    let members = |part: &Part| -> Vec<Member> {
        let chords = part.bars.iter().flat_map(|bar| &bar.chords);
        chords.flat_map(|c| c.right.notes.iter().map(|n| n.member)).collect()
    };
    assert_eq!(members(&written), members(&part));
    let scale = part.key.scale();
    let inner_key = |bar: &voicing::PartBar| bar.played.key == part.key;
    for note in part.bars.iter().filter(|b| inner_key(b)).flat_map(|b| &b.chords).flat_map(|c| &c.right.notes)
    {
        assert!(scale.contains(&note.pitch.name), "{}", note.pitch);
        assert_eq!(note.pitch.key(), Some(note.key));
    }
}

#[test]
fn what_leaves_the_keyboard_is_chosen_anew() {
    // 37 keys from C3: the left hand on C3 has nowhere to go when the song moves down.
    let text = crate::print::song_text("C major", r#""left": { "shape": "root" },"#, "1 | 4 | 1");
    let song = song::read(&text).sound().unwrap().play();
    let key = |number| theory::MidiKey::new(number).unwrap();
    let settings = Settings { keys: KeyRange::new(key(48), key(84)).unwrap(), ..Settings::default() };
    expect![[r#"
        1.1 C: C3/5 | E4/1 G4/2 C5/5
        2.1 F: F3/2 | F4/1 A4/2 C5/4
        3.1 C: C3/5 | E4/1 G4/2 C5/5
    "#]]
    .assert_eq(&shapes(&plan(&song, song.key, &settings).unwrap()));
    expect![[r#"
        1.1 Bb: Bb3/2 | D4/1 F4/2 Bb4/5
        2.1 Eb: Eb3/5 | Eb4/1 G4/2 Bb4/4
        3.1 Bb: Bb3/2 | D4/1 F4/2 Bb4/5
    "#]]
    .assert_eq(&shapes(&plan(&song, "Bb major".parse().unwrap(), &settings).unwrap()));
}

/// A key that sounds the same is spelled in its own letters, and a neighbour is a step of that key.
#[test]
fn a_key_that_sounds_alike_has_its_own_names() {
    let head = r#""right": { "notes": 1, "figure": "v11 - - -" }, "left": { "shape": "root" },"#;
    for (written, asked) in [("F# major", "Gb major"), ("Ab minor", "G# minor"), ("C# major", "Db major")] {
        let text = crate::print::song_text(written, head, "1 | 4 | 5");
        let song = song::read(&text).sound().unwrap().play();
        let part = |key: &str| plan(&song, key.parse().unwrap(), &Settings::default()).unwrap();
        let (here, there) = (part(written), part(asked));
        let keys = |part: &Part| part.events.iter().map(|e| (e.start, e.key, e.role)).collect::<Vec<_>>();
        assert_eq!(keys(&here), keys(&there), "{asked} sounds like {written}");
        let scale = there.key.scale();
        for note in there.bars.iter().flat_map(|b| &b.chords).flat_map(|c| [&c.left, &c.right]) {
            assert!(note.notes.iter().all(|n| scale.contains(&n.pitch.name)), "{asked}: {:?}", note.notes);
        }
    }
}

/// 49 keys from C2: moved down a semitone, the left hand's octave on C2 has to be taken an octave higher, where the right
/// hand lay; the hands share no key all the same.
#[test]
fn a_hand_chosen_anew_does_not_land_on_the_other() {
    let key = |number| theory::MidiKey::new(number).unwrap();
    let settings = Settings { keys: KeyRange::new(key(36), key(84)).unwrap(), ..Settings::default() };
    for shape in ["octave", "root fifth octave", "root fifth tenth"] {
        let head = format!(r#""left": {{ "shape": "{shape}" }},"#);
        let text = crate::print::song_text("C major", &head, "1 2 3 4 | 5 6 7 1/3");
        let song = song::read(&text).sound().unwrap().play();
        for to in Key::all().filter(|key| key.mode() == song.key.mode()) {
            let part = plan(&song, to, &settings).unwrap();
            for (left, right) in hand_keys(&part, Hand::Left).iter().zip(hand_keys(&part, Hand::Right)) {
                assert!(left.last() < right.first(), "{shape} in {to}: {left:?} under {right:?}");
            }
        }
    }
}

#[test]
fn a_key_of_the_other_mode_is_an_error() {
    let song = demo("ballad");
    assert!(plan(&song, "D minor".parse().unwrap(), &Settings::default()).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Up and down again is the same part: the plan is always that of the written key.
    #[test]
    fn there_and_back_is_the_same_part(song in crate::properties::random_song(), steps in 0i32..12) {
        let there = song.key.transposed(steps);
        let settings = Settings::default();
        let written = plan(&song, song.key, &settings).unwrap();
        let away = plan(&song, there, &settings).unwrap();
        let lower = |part: &Part, by: i32| -> Vec<Vec<i32>> {
            hand_keys(part, Hand::Right).into_iter().map(|keys| keys.iter().map(|k| k - by).collect()).collect()
        };
        let by = song.key.semitones_to(there);
        prop_assert_eq!(lower(&away, by), hand_keys(&written, Hand::Right));
        prop_assert_eq!(plan(&song, song.key, &settings).unwrap(), written);
    }
}
