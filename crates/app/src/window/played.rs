//! For tests: parts of demo songs, and passes through them as they are written.

use crate::storage::DEMOS;
use practice::{Expected, ExpectedNote, Hands, Lap, PlayedNote, Speed, Take, Timeline};
use std::sync::Arc;
use voicing::Part;

/// The part of a demo song in its own key.
pub fn part(demo: usize) -> Arc<Part> {
    let song = song::read(DEMOS[demo].text).song.unwrap();
    Arc::new(voicing::plan(&song.play(), song.key, &voicing::Settings::default()).unwrap())
}

/// Every note of a part when it is due.
pub fn played(part: &Arc<Part>, speed: Speed, hands: Hands) -> Lap {
    let timeline = Timeline::new(part);
    let expected = Expected::of_part(part, &timeline, hands, None);
    let note = |n: &ExpectedNote| PlayedNote { at: n.at, length: None, key: n.key, velocity: 70 };
    let take = Take::new(expected.notes.iter().map(note).collect(), speed, hands, None);
    let score = take.score(part, &timeline);
    Lap { part: part.clone(), take: Arc::new(take), score: Arc::new(score) }
}
