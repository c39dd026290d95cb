//! The demo songs, carried in the program so that it finds them wherever it runs.

/// An invented song that comes with the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Demo {
    /// Its file name, as in `demo-songs/`.
    pub file: &'static str,
    /// The song file.
    pub text: &'static str,
}

macro_rules! demo {
    ($file:literal) => {
        Demo { file: $file, text: include_str!(concat!("../../../../demo-songs/", $file)) }
    };
}

/// All demo songs; the first is where a new player begins.
pub const DEMOS: [Demo; 5] = [
    demo!("lanterns-at-the-lock.json"),
    demo!("the-long-pound.json"),
    demo!("frost-on-the-sluice.json"),
    demo!("saturday-quay.json"),
    demo!("heron-waltz.json"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_demo_song_of_the_tree_is_carried() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-songs");
        let mut there: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter(|name| name.ends_with(".json"))
            .collect();
        let mut carried: Vec<&str> = DEMOS.iter().map(|demo| demo.file).collect();
        there.sort();
        carried.sort();
        assert_eq!(there, carried);
    }
}
