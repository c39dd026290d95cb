//! A section with everything it takes over worked out.

use super::level::Level;
use crate::{
    BarContent, Beat, ChartBar, Exception, Feel, Meter, Quarters, Row, Selector, Settings, Song, Span,
    Spanned,
};
use theory::Key;

/// A section ready to be unfolded.
pub(crate) struct Resolved<'a> {
    /// Its index.
    pub section: usize,
    /// The section whose text holds the bars.
    pub source: usize,
    /// The bars as written.
    pub bars: Vec<WrittenBar<'a>>,
    pub key: Key,
    pub meter: Meter,
    pub count_eighths: bool,
    pub quarters_per_minute: f64,
    pub feel: Feel,
    pub level: u8,
    pub bass: bool,
    pub pedal: bool,
    pub passes: u32,
    /// What the hands are told, from the song inwards, without exceptions.
    pub levels: Vec<Level<'a>>,
    /// Inherited ones first.
    pub exceptions: Vec<Exceptional<'a>>,
}

/// A bar as written, with its meter and, for `%`, what it repeats.
#[derive(Clone, Copy)]
pub(crate) struct WrittenBar<'a> {
    /// The bar whose chords are played.
    pub content: &'a ChartBar,
    /// The bar itself, a `%` perhaps.
    pub itself: &'a ChartBar,
    /// Its number in its text, from 0.
    pub index: u32,
    pub row: u32,
    pub meter: Meter,
    pub own_meter: bool,
    pub beat: Beat,
}

/// An exception with the section that it is written in.
pub(crate) struct Exceptional<'a> {
    pub exception: &'a Exception,
    /// The section it is written in, and its number there.
    pub origin: (usize, usize),
    /// What it tells the hands.
    pub level: Level<'a>,
    /// It tells the hands nothing.
    pub silent: bool,
    /// There are passes that it is not for.
    pub for_some_passes: bool,
}

impl WrittenBar<'_> {
    /// As the chart writes it, with the meter of a repeated bar in front.
    pub fn text(&self) -> String {
        let items: Vec<String> = self.content.items().iter().map(crate::Item::to_string).collect();
        let meter = if self.own_meter { format!("{}: ", self.meter) } else { String::new() };
        meter + &items.join(" ")
    }

    /// The place to show for one of its items: for a repeated bar the `%`.
    pub fn item_span(&self, own: Span) -> Span {
        if std::ptr::eq(self.content, self.itself) { own } else { self.itself.span }
    }
}

/// Works out what a section plays.
pub(crate) fn resolve(song: &Song, section: usize) -> Resolved<'_> {
    let lineage = song.lineage(section);
    let source = lineage[0];
    let (meter, count_eighths) = meter_in_force(song, &lineage);
    let says = |from: usize| &song.sections[from].plays;
    let chain = || std::iter::once(&song.plays).chain(lineage.iter().map(|from| says(*from)));
    let bars = written_bars(&song.sections[source].rows, meter, count_eighths, None);
    let passes = lineage.iter().filter_map(|from| song.sections[*from].passes).next_back().unwrap_or(1);
    let exceptions = exceptions(song, &lineage, (&bars, passes), meter.beat(count_eighths));
    let key = lineage.iter().filter_map(|from| song.sections[*from].key).next_back();
    Resolved {
        section,
        source,
        key: key.map_or(song.key, |key| key.value.resolve(song.key)),
        meter,
        count_eighths,
        quarters_per_minute: quarters_per_minute(song, &lineage),
        feel: chain().filter_map(|s| s.feel).next_back().unwrap_or_default(),
        level: chain().filter_map(|s| s.level).next_back().unwrap_or_else(|| usual_level(song, section)),
        bass: chain().filter_map(|s| s.bass).next_back().unwrap_or(false),
        pedal: chain().filter_map(|s| s.pedal).next_back().unwrap_or(false),
        passes,
        levels: levels(song, &lineage),
        exceptions,
        bars,
    }
}

/// How full a song plays that says nothing.
pub(super) const MIDDLE_LEVEL: u8 = 3;

/// The level of a section of a song that writes none at all: the middle, but verses a step sparser and choruses a step
/// fuller where the song has both, so that the one lifts off from the other (common practice, no source).
fn usual_level(song: &Song, section: usize) -> u8 {
    let is = |name: &str, word: &str| name.split(' ').any(|w| w.eq_ignore_ascii_case(word));
    let verse = |name: &str| is(name, "verse");
    let chorus = |name: &str| is(name, "chorus") || is(name, "refrain");
    let name = &song.sections[section].name;
    // Asked of each section, so the whole song is only looked through where its answer counts.
    if !verse(name) && !chorus(name) {
        return MIDDLE_LEVEL;
    }
    let silent = song.plays.level.is_none() && song.sections.iter().all(|s| s.plays.level.is_none());
    let has = |kind: &dyn Fn(&str) -> bool| song.sections.iter().any(|s| kind(&s.name));
    match silent && has(&verse) && has(&chorus) {
        true if verse(name) => MIDDLE_LEVEL - 1,
        true => MIDDLE_LEVEL + 1,
        false => MIDDLE_LEVEL,
    }
}

/// The bars of some rows, each with its meter; `before` is the bar that a `%` in front would repeat.
pub(crate) fn written_bars<'a>(
    rows: &'a [Row],
    meter: Meter,
    count_eighths: bool,
    before: Option<WrittenBar<'a>>,
) -> Vec<WrittenBar<'a>> {
    let mut bars: Vec<WrittenBar<'a>> = Vec::new();
    for (row, line) in rows.iter().enumerate() {
        for bar in &line.bars {
            let previous = bars.last().copied().or(before);
            let repeated = previous.filter(|_| bar.content == BarContent::Repeat);
            let own = bar.meter.map(|m| m.value);
            let repeated_meter = repeated.filter(|r| r.own_meter).map(|r| r.meter);
            let here = own.or(repeated_meter).unwrap_or(meter);
            bars.push(WrittenBar {
                content: repeated.map_or(bar, |r| r.content),
                itself: bar,
                index: bars.len() as u32,
                row: row as u32,
                meter: here,
                own_meter: own.or(repeated_meter).is_some(),
                beat: here.beat(count_eighths),
            });
        }
    }
    bars
}

/// The meter and the way of counting at the end of a line of inheritance.
fn meter_in_force(song: &Song, lineage: &[usize]) -> (Meter, bool) {
    const COMMON: Meter = Meter::new(4, 4).expect("4/4 is a meter");
    let settings = || lineage.iter().rev().map(|from| &song.sections[*from].plays).chain([&song.plays]);
    let meter = settings().find_map(|s| s.meter).map_or(COMMON, |m| m.value);
    (meter, settings().find_map(|s| s.count_eighths).unwrap_or(false))
}

fn beat_in_force(song: &Song, lineage: &[usize]) -> Quarters {
    let (meter, count_eighths) = meter_in_force(song, lineage);
    meter.beat(count_eighths).length
}

/// The tempo in quarters a minute: beats of the meter in force where it is written.
fn quarters_per_minute(song: &Song, lineage: &[usize]) -> f64 {
    const UNKNOWN: f64 = 100.0;
    let written = |settings: &Settings, lineage: &[usize]| {
        let tempo = settings.tempo?.value.beats_per_minute();
        Some(tempo * beat_in_force(song, lineage).to_f64())
    };
    let own =
        (0..lineage.len()).rev().find_map(|i| written(&song.sections[lineage[i]].plays, &lineage[..=i]));
    own.or_else(|| written(&song.plays, &[])).unwrap_or(UNKNOWN)
}

fn levels<'a>(song: &'a Song, lineage: &[usize]) -> Vec<Level<'a>> {
    let outer = Level::new(&song.plays.right, &song.plays.left, beat_in_force(song, &[]));
    let inner = (0..lineage.len()).map(|i| {
        let says = &song.sections[lineage[i]].plays;
        Level::new(&says.right, &says.left, beat_in_force(song, &lineage[..=i]))
    });
    std::iter::once(outer).chain(inner).collect()
}

fn exceptions<'a>(
    song: &'a Song,
    lineage: &[usize],
    (bars, passes): (&[WrittenBar<'_>], u32),
    own_beat: Beat,
) -> Vec<Exceptional<'a>> {
    let written = lineage.iter().flat_map(|from| {
        song.sections[*from].exceptions.iter().enumerate().map(move |(i, e)| ((*from, i), e))
    });
    let kept = written.take(crate::limits::EXCEPTIONS);
    kept.map(|(origin, exception)| {
        let beat = common_beat(exception, bars).unwrap_or(own_beat.length);
        let level = Level::new(&exception.right, &exception.left, beat);
        let for_some = |selector: &Spanned<Selector>| selector.value.numbers(passes).len() < passes as usize;
        let for_some_passes = exception.pass.as_ref().is_some_and(for_some);
        Exceptional { exception, origin, silent: level.is_silent(), for_some_passes, level }
    })
    .collect()
}

/// The kind of beat that all bars of an exception have, if they have one in common: its figures are written in it.
fn common_beat(exception: &Exception, bars: &[WrittenBar<'_>]) -> Option<Quarters> {
    let numbers = exception.bar.value.numbers(bars.len() as u32);
    let mut beats = numbers.into_iter().map(|n| bars[n as usize - 1].beat.length);
    let first = beats.next()?;
    beats.all(|beat| beat == first).then_some(first)
}
