//! Many decaying sinusoids at once: the numerical core of a voice.
//!
//! Each mode is a point that turns round the origin by a fixed angle per frame while it shrinks; its height is the
//! sample. Four modes are turned together, each value in an array of its own, so that the compiler keeps them in vector
//! registers; and four frames are computed from one point, so that only every fourth has to wait for the one before.
//! A group whose points have all come close enough to the origin is left out, long before its numbers could become
//! denormal.

/// Modes turned together.
pub(crate) const LANES: usize = 4;
/// Groups of modes in one voice.
pub(crate) const GROUPS: usize = 34;
/// The longest run of frames computed in one go.
pub(crate) const CHUNK: usize = 64;

/// One value for each mode of a group.
pub(crate) type Lanes = [f32; LANES];
/// One row of lanes for each frame of a chunk.
pub(crate) type LaneRows = [Lanes; CHUNK];

/// -114 dB of full scale, as a squared amplitude.
const INAUDIBLE: f32 = 4e-12;

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
    points: [Point; GROUPS],
    /// A bit for each group that still sounds.
    alive: u64,
}

impl Turn {
    /// The turn with a damper on the string: `damp` is what it takes per frame and mode where it lies on fully.
    pub(crate) fn damped(&self, damp: &Lanes, contact: f32) -> Turn {
        let factor: Lanes = std::array::from_fn(|lane| {
            let share = damp[lane] * contact;
            1.0 - share + 0.5 * share * share
        });
        Turn { re: product(&self.re, &factor), im: product(&self.im, &factor) }
    }

    fn then(&self, other: &Turn) -> Turn {
        let Point { re, im } = Point { re: self.re, im: self.im }.turned(other);
        Turn { re, im }
    }
}

impl Point {
    pub(crate) fn turned(&self, turn: &Turn) -> Point {
        Point {
            re: std::array::from_fn(|at| self.re[at] * turn.re[at] - self.im[at] * turn.im[at]),
            im: self.height_after(turn),
        }
    }

    fn height_after(&self, turn: &Turn) -> Lanes {
        std::array::from_fn(|at| self.re[at] * turn.im[at] + self.im[at] * turn.re[at])
    }

    /// The largest squared amplitude.
    pub(crate) fn loudest(&self) -> f32 {
        self.squares().into_iter().fold(0.0, f32::max)
    }

    /// Whether all of it is too soft to be heard.
    pub(crate) fn is_inaudible(&self) -> bool {
        self.loudest() < INAUDIBLE
    }

    fn squares(&self) -> Lanes {
        std::array::from_fn(|at| self.re[at] * self.re[at] + self.im[at] * self.im[at])
    }
}

impl ModeBank {
    pub(crate) fn silent() -> ModeBank {
        ModeBank { points: [Point::default(); GROUPS], alive: 0 }
    }

    pub(crate) fn silence(&mut self) {
        self.alive = 0;
    }

    /// Sets a group in motion, unless it could not be heard anyway.
    pub(crate) fn start(&mut self, group: usize, point: Point) {
        if !point.is_inaudible() {
            self.points[group] = point;
            self.alive |= 1 << group;
        }
    }

    pub(crate) fn is_silent(&self) -> bool {
        self.alive == 0
    }

    /// Adds the next frames to the rows, and moves on by that many. `turn` gives the turn of a group.
    pub(crate) fn add_to(&mut self, rows: &mut [Lanes], turn: impl Fn(usize) -> Turn) {
        let mut left = self.alive;
        while left != 0 {
            let group = left.trailing_zeros() as usize;
            left &= left - 1;
            let point = &mut self.points[group];
            turn_group(&turn(group), point, rows);
            if point.is_inaudible() {
                self.alive &= !(1 << group);
            }
        }
    }

    /// A measure of how loud the voice is now, to compare voices by: the sum of squared amplitudes.
    pub(crate) fn energy(&self) -> f32 {
        (0..GROUPS)
            .filter(|group| self.alive & (1 << group) != 0)
            .map(|group| self.points[group].squares().iter().sum::<f32>())
            .sum()
    }
}

fn turn_group(turn: &Turn, point: &mut Point, rows: &mut [Lanes]) {
    let twice = turn.then(turn);
    let thrice = twice.then(turn);
    let four_times = twice.then(&twice);
    let mut at = *point;
    let (fours, rest) = rows.as_chunks_mut::<4>();
    for [first, second, third, fourth] in fours {
        add(first, &at.im);
        add(second, &at.height_after(turn));
        add(third, &at.height_after(&twice));
        add(fourth, &at.height_after(&thrice));
        at = at.turned(&four_times);
    }
    for row in rest {
        add(row, &at.im);
        at = at.turned(turn);
    }
    *point = at;
}

fn add(row: &mut Lanes, heights: &Lanes) {
    for lane in 0..LANES {
        row[lane] += heights[lane];
    }
}

fn product(one: &Lanes, other: &Lanes) -> Lanes {
    std::array::from_fn(|lane| one[lane] * other[lane])
}
