//! The click and the count-in: what is sounded, and how strongly.

use crate::{Speed, Timeline};
use song::Quarters;

/// How strongly a click sounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Accent {
    /// The first beat of a bar.
    Bar,
    /// Any other beat.
    Beat,
    /// Between beats, in slow songs.
    Subdivision,
}

/// One click.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Click {
    /// When, in the song; a count-in lies before the bar it leads into.
    pub at: Quarters,
    /// How strongly.
    pub accent: Accent,
    /// The beat of the bar it belongs to, from 1.
    pub beat: u8,
}

/// How the click sounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ClickStyle {
    /// Whether the first beat of a bar is accented.
    pub accents: bool,
    /// What sounds between beats.
    pub between: Between,
    /// In which bars it sounds.
    pub bars: ClickBars,
}

impl Default for ClickStyle {
    fn default() -> Self {
        ClickStyle { accents: true, between: Between::WhenSlow, bars: ClickBars::All }
    }
}

/// Whether something sounds between beats.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Between {
    /// Below [`SUBDIVIDE_BELOW`].
    #[default]
    WhenSlow,
    /// At every speed.
    Always,
    /// At none.
    Never,
}

/// In which bars the click sounds. The count-in sounds whatever is set here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum ClickBars {
    /// In all.
    #[default]
    All,
    /// In every other bar of a run, beginning with the first: in the silent ones the player carries the time. Passes of a
    /// loop are counted through, so that a loop of one bar is silent every other time.
    EveryOther,
    /// Only while counting in.
    CountInOnly,
}

/// Below so many beats a minute, as played, the click subdivides: it is easier to hold so (common practice, no source).
pub const SUBDIVIDE_BELOW: f64 = 50.0;

/// A bar shorter than this, as played, is counted in twice, in milliseconds.
const SHORT_BAR_MS: f64 = 2000.0;

/// How many bars are counted in before a bar: as many as the song writes, else one in slow songs, two in fast ones (common
/// practice, no source). Fast is a bar that is over within two seconds as played. A song that begins without a count-in is
/// counted in where one begins later in it.
pub fn count_in_bars(timeline: &Timeline, bar: usize, speed: Speed) -> u32 {
    if let Some(bars) = timeline.count_in().filter(|bars| *bars > 0 || bar == 0) {
        return bars.into();
    }
    let Some(time) = timeline.bars().get(bar) else { return 1 };
    let ms = speed.stretch_ms(time.ms_per_quarter() * time.length.to_f64());
    if ms < SHORT_BAR_MS { 2 } else { 1 }
}

/// The clicks of a bar: its beats, the first accented, and what lies between them where the song is slow.
pub fn clicks_of_bar(timeline: &Timeline, bar: usize, speed: Speed) -> Vec<Click> {
    clicks_in_style(timeline, bar, speed, ClickStyle::default())
}

/// The clicks of a bar in another style; in which bars it sounds is not asked here.
pub fn clicks_in_style(timeline: &Timeline, bar: usize, speed: Speed, style: ClickStyle) -> Vec<Click> {
    let Some(time) = timeline.bars().get(bar) else { return Vec::new() };
    clicks_from(timeline, bar, speed, time.start, style)
}

/// The clicks that lead into a bar: so many bars of its own meter and tempo, ending where it starts.
pub fn count_in(timeline: &Timeline, bar: usize, speed: Speed) -> Vec<Click> {
    count_in_style(timeline, bar, speed, ClickStyle::default())
}

/// A count-in in another style.
pub fn count_in_style(timeline: &Timeline, bar: usize, speed: Speed, style: ClickStyle) -> Vec<Click> {
    let Some(time) = timeline.bars().get(bar) else { return Vec::new() };
    let bars = i64::from(count_in_bars(timeline, bar, speed));
    (0..bars)
        .rev()
        .flat_map(|n| clicks_from(timeline, bar, speed, time.start - time.length.times(n + 1), style))
        .collect()
}

/// The clicks of a bar like `bar`, starting at `start`.
fn clicks_from(
    timeline: &Timeline,
    bar: usize,
    speed: Speed,
    start: Quarters,
    style: ClickStyle,
) -> Vec<Click> {
    let time = &timeline.bars()[bar];
    let slow = time.beats_per_minute() * speed.ratio() < SUBDIVIDE_BELOW;
    let divides = match style.between {
        Between::WhenSlow => slow,
        Between::Always => true,
        Between::Never => false,
    };
    let parts = if divides { time.beat_parts } else { 1 };
    let step = time.beat.length.split(parts);
    let mut clicks = Vec::new();
    let mut offset = Quarters::ZERO;
    let mut index = 0;
    while offset < time.length {
        let beat = index / parts;
        let accent = match (index, index % parts) {
            (0, _) if style.accents => Accent::Bar,
            (_, 0) => Accent::Beat,
            _ => Accent::Subdivision,
        };
        clicks.push(Click { at: start + offset, accent, beat: beat as u8 + 1 });
        offset += step;
        index += 1;
    }
    clicks
}
