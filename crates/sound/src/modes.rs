//! Many decaying sinusoids at once: the numerical core of a voice.
//!
//! Each mode is a point that turns round the origin by a fixed angle per frame while it shrinks; its height is the
//! sample. Eight modes are turned together, so that the compiler can keep them in vector registers. A group whose
//! points have all come close enough to the origin is left out, long before its numbers could become denormal.

/// Modes turned together.
pub(crate) const LANES: usize = 8;
/// Groups of modes in one voice.
pub(crate) const GROUPS: usize = 13;
/// The longest run of frames computed in one go.
pub(crate) const CHUNK: usize = 64;

/// One value for each mode of a group.
pub(crate) type Lanes = [f32; LANES];
/// One row of lanes for each frame of a chunk.
pub(crate) type LaneRows = [Lanes; CHUNK];

/// -120 dB of full scale, as a squared amplitude.
const INAUDIBLE: f32 = 1e-12;

/// How the modes of a group turn and shrink: real and imaginary part of the factor per frame.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Turn {
    pub(crate) re: Lanes,
    pub(crate) im: Lanes,
}

/// Where the modes of a group are.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Point {
    pub(crate) re: Lanes,
    pub(crate) im: Lanes,
}

/// The modes of one voice.
#[derive(Clone, Debug)]
pub(crate) struct ModeBank {
    turns: [Turn; GROUPS],
    points: [Point; GROUPS],
    /// A bit for each group that still sounds.
    alive: u32,
}

impl ModeBank {
    pub(crate) fn silent() -> ModeBank {
        ModeBank { turns: [Turn::default(); GROUPS], points: [Point::default(); GROUPS], alive: 0 }
    }

    pub(crate) fn silence(&mut self) {
        self.alive = 0;
    }

    /// Sets a group in motion.
    pub(crate) fn start(&mut self, group: usize, turn: Turn, point: Point) {
        self.turns[group] = turn;
        self.points[group] = point;
        self.alive |= 1 << group;
    }

    pub(crate) fn is_silent(&self) -> bool {
        self.alive == 0
    }

    /// Adds the next frames to the rows, and moves on by that many.
    pub(crate) fn add_to(&mut self, rows: &mut [Lanes]) {
        for group in 0..GROUPS {
            if self.alive & (1 << group) != 0 {
                turn_group(&self.turns[group], &mut self.points[group], rows);
                if loudest(&self.points[group]) < INAUDIBLE {
                    self.alive &= !(1 << group);
                }
            }
        }
    }

    /// A measure of how loud the voice is now, to compare voices by: the sum of squared amplitudes.
    pub(crate) fn energy(&self) -> f32 {
        (0..GROUPS)
            .filter(|group| self.alive & (1 << group) != 0)
            .map(|group| {
                let point = &self.points[group];
                (0..LANES).map(|lane| squared(point, lane)).sum::<f32>()
            })
            .sum()
    }
}

fn turn_group(turn: &Turn, point: &mut Point, rows: &mut [Lanes]) {
    let (mut re, mut im) = (point.re, point.im);
    for row in rows {
        for lane in 0..LANES {
            row[lane] += im[lane];
            let turned = re[lane] * turn.re[lane] - im[lane] * turn.im[lane];
            im[lane] = re[lane] * turn.im[lane] + im[lane] * turn.re[lane];
            re[lane] = turned;
        }
    }
    *point = Point { re, im };
}

fn loudest(point: &Point) -> f32 {
    (0..LANES).map(|lane| squared(point, lane)).fold(0.0, f32::max)
}

fn squared(point: &Point, lane: usize) -> f32 {
    point.re[lane] * point.re[lane] + point.im[lane] * point.im[lane]
}
