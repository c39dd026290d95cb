//! How fast a take was played, found from the take itself.

use practice::{Expected, Score, ScoreOptions, Speed};

/// How much of the take the first, coarse search looks at.
const NOTES_AT_FIRST: usize = 60;

/// Of all speeds, the one that matches most notes, then has the least spread, then lies nearest to the chart's own tempo:
/// whole percents over the beginning, then tenths around the best over everything. `score` scores so many notes of the
/// take at a speed.
pub fn find_speed(expected: &Expected, score: impl Fn(Speed, usize) -> Score) -> Speed {
    if expected.notes.is_empty() {
        return Speed::FULL;
    }
    let coarse = (30..=130).map(f64::from).filter_map(Speed::new);
    let near = best(coarse, |speed| score(speed, NOTES_AT_FIRST)).percent();
    let fine = (-10..=10).filter_map(|tenth| Speed::new(near + f64::from(tenth) / 10.0));
    best(fine, |speed| score(speed, usize::MAX))
}

fn best(speeds: impl Iterator<Item = Speed>, score: impl Fn(Speed) -> Score) -> Speed {
    let rated = speeds.map(|speed| {
        let score = score(speed);
        let spread = score.spread_ms.unwrap_or(f64::MAX);
        (score.matched, spread, (speed.percent() - 100.0).abs(), speed)
    });
    let better = |a: &(usize, f64, f64, Speed), b: &(usize, f64, f64, Speed)| {
        a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)).then(b.2.total_cmp(&a.2))
    };
    rated.max_by(better).map_or(Speed::FULL, |rated| rated.3)
}

/// The options with another speed.
pub fn at_speed(options: &ScoreOptions, speed: Speed) -> ScoreOptions {
    ScoreOptions { speed, ..*options }
}
