//! Ten songs invented for the tests, in different keys and meters: the whole part of each as an approved text, read note by
//! note at the keyboard.

use crate::print::page;
use expect_test::expect_file;
use song::SlotKind;
use theory::Hand;
use voicing::{Claim, KeyRange, Part, Reach, Settings, plan};

/// The songs by name, and the player of each.
fn songs() -> [(&'static str, &'static str, Settings); 10] {
    let small = Settings::new(Reach::new(10).unwrap(), KeyRange::of_size(49).unwrap());
    let usual = Settings::default();
    [
        ("kiln-yard", include_str!("songs/kiln-yard.json"), usual),
        ("mill-wheel", include_str!("songs/mill-wheel.json"), usual),
        ("heron-reach", include_str!("songs/heron-reach.json"), usual),
        ("night-ferry", include_str!("songs/night-ferry.json"), usual),
        ("cold-lantern", include_str!("songs/cold-lantern.json"), usual),
        ("five-steps", include_str!("songs/five-steps.json"), usual),
        ("quay-march", include_str!("songs/quay-march.json"), usual),
        ("rope-and-tar", include_str!("songs/rope-and-tar.json"), usual),
        ("blue-barge", include_str!("songs/blue-barge.json"), usual),
        ("small-hands", include_str!("songs/small-hands.json"), small),
    ]
}

/// Each line of each text was read through as a teacher would: what was objected to was mended in the planner.
#[test]
fn the_parts_of_ten_songs_are_as_approved() {
    for (name, text, settings) in songs() {
        let song = song::read(text).sound().unwrap_or_else(|told| panic!("{name}: {told:?}")).play();
        let part = plan(&song, song.key, &settings).unwrap();
        assert_eq!(part.proof.gap, 0, "{name} is proven to be the cheapest");
        let path = format!("{}/tests/songs/{name}.txt", env!("CARGO_MANIFEST_DIR"));
        expect_file![path].assert_eq(&page(&part));
    }
}

/// "No leap over a fifth unless the chord forces it": in none of these songs, nor in the demo songs, is there one, in three
/// keys. Where tones and places that a song writes make one, a teacher would write others.
#[test]
fn no_top_line_leaps_beyond_a_fifth() {
    let demos = crate::finger_reasons::DEMOS.map(|text| (text, Settings::default()));
    for (text, settings) in songs().map(|(_, text, settings)| (text, settings)).into_iter().chain(demos) {
        let song = song::read(text).sound().unwrap().play();
        for shift in [0, 3, -2] {
            let part = plan(&song, song.key.transposed(shift), &settings).unwrap();
            let chords = part.bars.iter().flat_map(|bar| &bar.chords);
            let tops: Vec<_> = chords.filter_map(|chord| chord.hand(Hand::Right).notes.last()).collect();
            for pair in tops.windows(2) {
                let leap = pair[0].key.number().abs_diff(pair[1].key.number());
                assert!(leap <= 7, "{} in {}: {} to {}", part.title, part.key, pair[0].pitch, pair[1].pitch);
            }
        }
    }
}

/// Every song of ours for every hand in every key, on keyboards of all sizes in turn: what the planner chooses lies under the
/// hand, and what is wider was written so, is rolled, and says so.
#[test]
fn every_song_lies_under_every_hand_in_every_key() {
    const SIZES: [u8; 5] = [49, 61, 73, 76, 88];
    let texts = songs().map(|(_, text, _)| text).into_iter().chain(crate::finger_reasons::DEMOS);
    let mut rolled = 0;
    for (number, text) in texts.enumerate() {
        let song = song::read(text).sound().unwrap().play();
        let all = (0..12_u8).flat_map(|shift| (7..=16).map(move |reach| (shift, reach)));
        // A third of them in each song, another third in the next; all were seen through once.
        for (shift, reach) in all.filter(|(shift, reach)| (number + usize::from(shift + reach)) % 3 == 0) {
            let size = SIZES[(number + usize::from(shift)) % SIZES.len()];
            let settings = Settings::new(Reach::new(reach).unwrap(), KeyRange::of_size(size).unwrap());
            let part = plan(&song, song.key.transposed(shift.into()), &settings).unwrap();
            rolled += rolled_and_told(&part);
        }
    }
    assert!(rolled > 100, "wide shapes are written in some songs: {rolled}");
}

/// How many shapes are rolled, after looking at every shape.
fn rolled_and_told(part: &Part) -> usize {
    let (settings, mut rolled) = (&part.settings, 0);
    for (bar, held) in part.bars.iter().flat_map(|bar| bar.chords.iter().enumerate().map(move |c| (bar, c))) {
        let (index, chord) = held;
        let slot = &bar.played.slots[index];
        for hand in Hand::BOTH {
            let (shape, reach) = (chord.hand(hand), settings.reach_of(hand).semitones());
            let place =
                || format!("{} in {}, {} hand, {}", part.title, part.key, hand.name(), bar.played.text);
            assert!(shape.notes.iter().all(|note| settings.keys.contains(note.key)), "{}", place());
            let Some((low, high)) = shape.notes.first().zip(shape.notes.last()) else { continue };
            let span = high.key.number() - low.key.number();
            assert_eq!(shape.rolled, span > reach, "{}: {span} for {reach}", place());
            let style = if hand == Hand::Right { &slot.right } else { &slot.left };
            assert!(!shape.rolled || style.written.hold, "{}: nobody wrote {span}", place());
            if shape.rolled && matches!(slot.kind, SlotKind::Chord { .. }) {
                let told = chord.why.iter().any(|why| {
                    why.hand == Some(hand) && why.claim == Claim::Rolled { semitones: span, reach }
                });
                assert!(told, "{}: {:?}", place(), chord.why);
                rolled += 1;
            }
        }
    }
    rolled
}
