//! Ten songs invented for the tests, in different keys and meters: the whole part of each as an approved text, read note by
//! note at the keyboard.

use crate::print::page;
use expect_test::expect_file;
use voicing::{KeyRange, Reach, Settings, plan};

/// Each line of each text was read through as a teacher would: what was objected to was mended in the planner.
#[test]
fn the_parts_of_ten_songs_are_as_approved() {
    let small = Settings::new(Reach::new(10).unwrap(), KeyRange::of_size(49).unwrap());
    let usual = Settings::default();
    let songs: [(&str, &str, Settings); 10] = [
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
    ];
    for (name, text, settings) in songs {
        let song = song::read(text).sound().unwrap_or_else(|told| panic!("{name}: {told:?}")).play();
        let part = plan(&song, song.key, &settings).unwrap();
        assert_eq!(part.proof.gap, 0, "{name} is proven to be the cheapest");
        let path = format!("{}/tests/songs/{name}.txt", env!("CARGO_MANIFEST_DIR"));
        expect_file![path].assert_eq(&page(&part));
    }
}
