//! The record of a pass.

use super::{BarPassed, ChangePassed, Moment};
use crate::learn::Excerpt;
use crate::{Hands, Lap, LoopBars, SUSTAIN, Speed, Timeline, judge_pedal};
use song::Fingerprint;
use theory::Key;
use voicing::Part;

/// What a song is known by: its identity if it has one, else its title.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SongName {
    /// The identity in its file, which stays through renaming.
    pub id: Option<String>,
    /// Its title.
    pub title: String,
}

impl SongName {
    /// Whether both may be names of one song: by identity where both have one, else by title.
    ///
    /// ```
    /// use practice::history::SongName;
    /// let name = |id: Option<&str>, title: &str| SongName { id: id.map(str::to_owned), title: title.to_owned() };
    /// assert!(name(Some("k3"), "Weir").is(&name(Some("k3"), "Old Weir")), "renamed");
    /// assert!(name(None, "Weir").is(&name(Some("k3"), "Weir")), "played before it had an identity");
    /// assert!(!name(Some("k3"), "Weir").is(&name(Some("x9"), "Weir")));
    /// ```
    pub fn is(&self, other: &SongName) -> bool {
        match (&self.id, &other.id) {
            (Some(id), Some(other)) => id == other,
            _ => self.title == other.title,
        }
    }
}

/// A pass, as history remembers it.
#[derive(Clone, Debug, PartialEq)]
pub struct PassRecord {
    /// When it ended.
    pub at: Moment,
    /// Of which song.
    pub song: SongName,
    /// The key it was played in.
    pub key: Key,
    /// How fast.
    pub speed: Speed,
    /// With which hands.
    pub hands: Hands,
    /// It was stopped before its end.
    pub stopped: bool,
    /// How long it took, in seconds.
    pub seconds: f64,
    /// What else is to be remembered.
    pub about: About,
    /// All bars of the song as it was then, as played.
    pub layout: Vec<Fingerprint>,
    /// The bars that were played whole, by their places in `layout`.
    pub bars: Vec<BarPassed>,
    /// The changes from chord to chord that were played, also those of bars that were only led into or out of; by the places
    /// in `layout` of the bars they go into.
    pub changes: Vec<ChangePassed>,
}

/// Under which circumstances a pass was played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct About {
    /// What for.
    pub purpose: Purpose,
    /// How much help was on the screen.
    pub help: Help,
    /// When its marks were shown.
    pub marks: Marks,
    /// What the player thought of it before seeing the verdict.
    pub guess: Option<Guess>,
}

/// What a pass was for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Purpose {
    /// As the player liked.
    #[default]
    Free,
    /// To hear which bars are hard.
    Survey,
    /// A drill of a hard bar.
    Drill,
    /// Something learned is asked again.
    AskedAgain,
    /// From one section, or one song, into the next.
    Join,
    /// The song, or all of the set, put together.
    RunThrough,
}

/// How much is on the screen while one plays from memory; each step takes something away.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub enum Help {
    /// Keys, notes, fingers and the chart.
    #[default]
    Full,
    /// The numbers of the chart alone.
    Numbers,
    /// The names of the sections alone.
    Sections,
    /// Nothing.
    Nothing,
}

/// When the marks of a pass were shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Marks {
    /// While it was played.
    #[default]
    While,
    /// Only after it.
    After,
}

/// What a player thinks of a pass before the verdict is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Guess {
    /// It was clean.
    Clean,
    /// A slip or two.
    Slips,
    /// Not yet.
    NotYet,
}

impl PassRecord {
    /// The record of a pass that was scored, and of its pedal if the player used one.
    pub fn of(lap: &Lap, song: SongName, about: About, at: Moment) -> PassRecord {
        let Lap { part, take, score } = lap;
        let timeline = Timeline::new(part);
        let pedals = take.controls.iter().any(|c| c.controller == SUSTAIN);
        let pedal = pedals.then(|| judge_pedal(part, &timeline, take, score));
        let all = LoopBars::new(0, part.bars.len().saturating_sub(1));
        let bars = take.bars.unwrap_or(all);
        let start = take.from.or(timeline.span(bars.from()).map(|span| span.0)).unwrap_or_default();
        let end = take.until.or(timeline.span(bars.to()).map(|span| span.1)).unwrap_or(start);
        let all = BarPassed::of_score(part, score, pedal.as_ref());
        PassRecord {
            changes: ChangePassed::of_bars(&all, false),
            bars: BarPassed::whole(lap, all),
            at,
            song,
            key: part.key,
            speed: take.speed,
            hands: take.hands,
            stopped: take.until.is_some(),
            seconds: take.speed.stretch_ms((end - start).ms()).max(0.0) / 1000.0,
            about,
            layout: fingerprints(part),
        }
    }

    /// The record of a pass through a stretch of a song: the bars that were played whole, and all changes, at their places
    /// in it.
    pub fn of_stretch(
        lap: &Lap,
        part: &Part,
        excerpt: &Excerpt,
        song: SongName,
        about: About,
        at: Moment,
    ) -> PassRecord {
        let record = PassRecord::of(lap, song, about, at);
        let place = |places: &[Option<usize>], bar: usize| places.get(bar).copied().flatten();
        let whole = |passed: BarPassed| {
            let bar = place(&excerpt.bars, passed.bar)?;
            Some(BarPassed { bar, ..passed })
        };
        let change = |passed: ChangePassed| {
            let bar = place(&excerpt.taken_from, passed.bar).or_else(|| place(&excerpt.bars, passed.bar))?;
            Some(ChangePassed { bar, ..passed })
        };
        PassRecord {
            layout: fingerprints(part),
            bars: record.bars.into_iter().filter_map(whole).collect(),
            changes: record.changes.into_iter().filter_map(change).collect(),
            ..record
        }
    }

    /// The same where only the bars that were played whole have a place in the song.
    pub fn of_excerpt(
        lap: &Lap,
        part: &Part,
        bars: &[Option<usize>],
        song: SongName,
        about: About,
        at: Moment,
    ) -> PassRecord {
        let (bars, taken_from) = (bars.to_vec(), bars.to_vec());
        let excerpt = Excerpt { part: part.clone(), bars, taken_from };
        PassRecord::of_stretch(lap, part, &excerpt, song, about, at)
    }

    /// Whether all that was played was clean: the bars that were played whole or, where there are none, the changes. A pass
    /// with neither was not.
    pub fn is_clean(&self) -> bool {
        let bars = self.bars.iter().all(|bar| bar.clean_in_time);
        let changes = || !self.changes.is_empty() && self.changes.iter().all(ChangePassed::is_clean);
        !self.stopped && bars && (!self.bars.is_empty() || changes())
    }
}

/// What each bar of a part is known by, as [`song::PlayedSong::fingerprints`].
pub fn fingerprints(part: &Part) -> Vec<Fingerprint> {
    let of = |bar: &voicing::PartBar| {
        let section = part.sections.get(bar.played.section).map_or("", String::as_str);
        Fingerprint::new(section, &bar.played.meter.to_string(), &bar.played.text)
    };
    part.bars.iter().map(of).collect()
}

impl Help {
    /// All steps, from the most help to none.
    pub const ALL: [Help; 4] = [Help::Full, Help::Numbers, Help::Sections, Help::Nothing];

    /// For a musician.
    pub const fn text(self) -> &'static str {
        match self {
            Help::Full => "keys and notes",
            Help::Numbers => "numbers only",
            Help::Sections => "section names only",
            Help::Nothing => "nothing",
        }
    }
}

impl Guess {
    /// All that can be said, best first.
    pub const ALL: [Guess; 3] = [Guess::Clean, Guess::Slips, Guess::NotYet];

    /// What the player says.
    pub const fn text(self) -> &'static str {
        match self {
            Guess::Clean => "clean",
            Guess::Slips => "a slip or two",
            Guess::NotYet => "not yet",
        }
    }
}

impl Purpose {
    /// For a musician.
    pub const fn text(self) -> &'static str {
        match self {
            Purpose::Free => "as you like",
            Purpose::Survey => "to hear which bars are hard",
            Purpose::Drill => "a hard bar",
            Purpose::AskedAgain => "is it still there?",
            Purpose::Join => "a join",
            Purpose::RunThrough => "a run-through",
        }
    }
}
