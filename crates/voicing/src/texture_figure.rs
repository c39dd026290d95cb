//! The rhythms of the levels, for every meter.

use song::{Beat, Figure, FigureNote, FigurePlace, FigureSign, Meter, Quarters};
use std::sync::Arc;
use theory::Hand;

/// The figure of one hand at a level, over so many keys.
///
/// Up to level 3 both hands hold. At 4 the right hand plays the strong beats and the left breaks its shape beat by beat;
/// at 5 the right hand plays every beat and the left breaks its shape in halves of it (in thirds where the beat is
/// dotted). Bars are felt in groups: 2 as 2, 3 as 3, 4 as 2 + 2, 5 as 3 + 2, 6 as 3 + 3, 7 as 4 + 3.
pub(crate) fn figure(hand: Hand, level: u8, bar: (Meter, Beat), keys: u8) -> Arc<Figure> {
    let (meter, beat) = bar;
    let count = usize::from(beat.count);
    let dotted = is_dotted(meter, beat);
    let groups = groups(count);
    let (strike, hold) = (FigureSign::Strike, FigureSign::Hold);
    let beats = match (hand, level) {
        (_, ..=3) => held(count),
        (Hand::Right, 4) if !dotted => groups.iter().flat_map(|&n| strong(n)).collect(),
        (Hand::Right, 5..) if dotted => vec![vec![strike.clone(), hold, strike]; count],
        (Hand::Right, _) => vec![vec![strike]; count],
        (Hand::Left, 4) if dotted => rocking(count, keys),
        (Hand::Left, level) => broken(&groups, split(level, bar), keys),
    };
    Arc::new(named(beats))
}

/// Whether a beat of a bar, from 0, is none that a group begins with.
pub(crate) fn is_weak(beats: usize, beat: usize) -> bool {
    let mut start = 0;
    groups(beats).into_iter().all(|group| {
        let begins = beat == start;
        start += group;
        !begins
    })
}

fn is_dotted(meter: Meter, beat: Beat) -> bool {
    meter.lower() == 8 && beat.count < meter.upper()
}

/// Dotted beats in turn: lowest and second, then highest and second.
fn rocking(count: usize, keys: u8) -> Vec<Vec<FigureSign>> {
    let beat = |first: u8| match keys {
        0 | 1 => vec![note(1), FigureSign::Hold, FigureSign::Hold],
        _ => vec![note(first.min(keys)), FigureSign::Hold, note(2)],
    };
    (0..count).map(|at| beat(if at % 2 == 0 || keys < 3 { 1 } else { 3 })).collect()
}

fn held(count: usize) -> Vec<Vec<FigureSign>> {
    let mut beats = vec![vec![FigureSign::Hold]; count.max(1)];
    beats[0] = vec![FigureSign::Strike];
    beats
}

/// A group's strong beats: its first, and in a group of three the last leads on.
fn strong(beats: usize) -> Vec<Vec<FigureSign>> {
    let struck = |beat: usize| beat == 0 || (beats == 3 && beat == 2);
    (0..beats).map(|beat| vec![if struck(beat) { FigureSign::Strike } else { FigureSign::Hold }]).collect()
}

/// Signs to a beat of the left hand.
fn split(level: u8, bar: (Meter, Beat)) -> usize {
    let (meter, beat) = bar;
    match level {
        _ if is_dotted(meter, beat) => 3,
        // Halves of an eighth would be a study in speed.
        4 => 1,
        _ if beat.length <= Quarters::EIGHTH => 1,
        _ => 2,
    }
}

/// The shape note by note, the lowest again where a group is long enough to have a wave of its own.
fn broken(groups: &[usize], split: usize, keys: u8) -> Vec<Vec<FigureSign>> {
    let own_wave = if keys > 2 { 4 } else { 2 };
    let mut signs = Vec::new();
    let mut from = 0;
    for group in groups {
        let length = group * split;
        if length >= own_wave {
            from = signs.len();
        }
        for at in signs.len()..signs.len() + length {
            signs.push(wave(keys, at - from, length));
        }
    }
    signs.chunks(split.max(1)).map(<[FigureSign]>::to_vec).collect()
}

/// Up from the lowest note and to and fro above it; two notes in turn, the second again where it would not come out even.
fn wave(keys: u8, at: usize, length: usize) -> FigureSign {
    let last_of_odd = length % 2 == 1 && at + 1 == length;
    match (keys, at) {
        (_, 0) => note(1),
        (0 | 1, at) if at % 2 == 0 && !last_of_odd => note(1),
        (0 | 1, _) => FigureSign::Hold,
        (2, at) if at % 2 == 0 && !last_of_odd => note(1),
        (2, _) => note(2),
        (_, at) => note(2 + (at as u8 + 1) % 2),
    }
}

/// How the beats of a bar are felt together.
fn groups(beats: usize) -> Vec<usize> {
    match beats {
        0 | 1 => vec![1],
        2 => vec![2],
        3 => vec![3],
        5 => vec![3, 2],
        6 => vec![3, 3],
        7 => vec![4, 3],
        n if n % 2 == 0 => vec![2; n / 2],
        n => std::iter::once(3).chain(std::iter::repeat_n(2, (n - 3) / 2)).collect(),
    }
}

fn note(n: u8) -> FigureSign {
    FigureSign::Notes(vec![FigureNote { which: FigurePlace::FromLowest(n), neighbour: 0 }])
}

fn named(beats: Vec<Vec<FigureSign>>) -> Figure {
    let mut figure = Figure { text: String::new(), beats };
    figure.text = figure.to_string();
    figure
}

#[cfg(test)]
mod tests {
    use super::*;
    use expect_test::expect;

    /// All levels in all meters, each line read: common practice, no source.
    #[test]
    fn every_level_has_a_figure_for_every_meter() {
        let mut table = String::new();
        for meter in ["4/4", "3/4", "2/4", "5/4", "6/8", "12/8", "7/8"] {
            let meter = Meter::parse(meter).unwrap();
            for level in 3..=5 {
                let text = |hand, keys| figure(hand, level, (meter, meter.beat(false)), keys).text.clone();
                table += &format!(
                    "{meter} {level}: {} | {} | {} | {}\n",
                    text(Hand::Right, 3),
                    text(Hand::Left, 3),
                    text(Hand::Left, 2),
                    text(Hand::Left, 1)
                );
            }
        }
        expect![[r#"
            4/4 3: x - - - | x - - - | x - - - | x - - -
            4/4 4: x - x - | 1 2 3 2 | 1 2 1 2 | 1 - 1 -
            4/4 5: x x x x | 12 32 12 32 | 12 12 12 12 | 1- 1- 1- 1-
            3/4 3: x - - | x - - | x - - | x - -
            3/4 4: x - x | 1 2 3 | 1 2 2 | 1 - -
            3/4 5: x x x | 12 32 32 | 12 12 12 | 1- 1- 1-
            2/4 3: x - | x - | x - | x -
            2/4 4: x - | 1 2 | 1 2 | 1 -
            2/4 5: x x | 12 32 | 12 12 | 1- 1-
            5/4 3: x - - - - | x - - - - | x - - - - | x - - - -
            5/4 4: x - x x - | 1 2 3 2 3 | 1 2 2 1 2 | 1 - - 1 -
            5/4 5: x x x x x | 12 32 32 12 32 | 12 12 12 12 12 | 1- 1- 1- 1- 1-
            6/8 3: x - | x - | x - | x -
            6/8 4: x x | 1-2 3-2 | 1-2 1-2 | 1-- 1--
            6/8 5: x-x x-x | 123 232 | 121 212 | 1-1 -1-
            12/8 3: x - - - | x - - - | x - - - | x - - -
            12/8 4: x x x x | 1-2 3-2 1-2 3-2 | 1-2 1-2 1-2 1-2 | 1-- 1-- 1-- 1--
            12/8 5: x-x x-x x-x x-x | 123 232 123 232 | 121 212 121 212 | 1-1 -1- 1-1 -1-
            7/8 3: x - - - - - - | x - - - - - - | x - - - - - - | x - - - - - -
            7/8 4: x - - - x - x | 1 2 3 2 3 2 3 | 1 2 1 2 1 2 2 | 1 - 1 - 1 - -
            7/8 5: x x x x x x x | 1 2 3 2 3 2 3 | 1 2 1 2 1 2 2 | 1 - 1 - 1 - -
        "#]]
        .assert_eq(&table);
    }
}
