//! The verdict beside a take: what the list of takes shows without reading music, and what the take can be opened with.

use practice::{Hands, Lap};
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// The verdict file, version 1. As with the settings, fields that are missing take their default and unknown ones are
/// left alone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Verdict {
    /// Of this file's format: 1.
    pub format: u32,
    /// The title of the song.
    pub song: String,
    /// Where the song is: a file, or a demo song by its file name.
    pub source: Option<PathBuf>,
    /// The key it was played in.
    pub key: String,
    /// Milliseconds since 1970.
    pub recorded: u64,
    /// Percent of the chart's tempo.
    pub speed: f64,
    /// `both`, `right` or `left`.
    pub hands: String,
    /// What of it was played, as players name it: `1st Chorus, bars 1–4`.
    pub place: String,
    /// It was stopped before the end.
    pub stopped: bool,
    /// Notes expected.
    pub expected: usize,
    /// Of them played.
    pub matched: usize,
    /// Of them in time.
    pub in_time: usize,
    /// Played and not expected.
    pub extra: usize,
    /// Steady lead (negative) or lag, in milliseconds as played.
    pub median_ms: Option<f64>,
    /// Unsteadiness, in milliseconds as played.
    pub spread_ms: Option<f64>,
    /// The player wants it kept.
    pub kept: bool,
}

impl Default for Verdict {
    fn default() -> Self {
        Verdict {
            format: 1,
            song: String::new(),
            source: None,
            key: String::new(),
            recorded: 0,
            speed: 100.0,
            hands: Hands::Both.name().to_owned(),
            place: "the whole song".to_owned(),
            stopped: false,
            expected: 0,
            matched: 0,
            in_time: 0,
            extra: 0,
            median_ms: None,
            spread_ms: None,
            kept: false,
        }
    }
}

impl Verdict {
    /// The verdict of a pass that was played at a moment.
    pub fn of(lap: &Lap, source: PathBuf, recorded: u64) -> Verdict {
        let (score, take) = (&lap.score, &lap.take);
        let as_played = |ms: Option<f64>| ms.map(|ms| take.speed.stretch_ms(ms));
        Verdict {
            song: lap.part.title.clone(),
            source: Some(source),
            key: lap.part.key.to_string(),
            recorded,
            speed: take.speed.percent(),
            hands: take.hands.name().to_owned(),
            place: ui::place_name(&lap.part, take.bars),
            stopped: take.until.is_some(),
            expected: score.expected,
            matched: score.matched,
            in_time: score.notes.iter().filter(|note| note.in_time).count(),
            extra: score.extra,
            median_ms: as_played(score.median_ms),
            spread_ms: as_played(score.spread_ms),
            ..Verdict::default()
        }
    }

    /// How it was played, in a few words: `80 %, D major, right hand, 1st Chorus, bars 1–4`.
    pub fn how(&self) -> String {
        let hands = if self.hands == Hands::Both.name() {
            "both hands".into()
        } else {
            format!("{} hand", self.hands)
        };
        let key: Option<theory::Key> = self.key.parse().ok();
        let key = key.map_or_else(|| self.key.clone(), theory::Key::pretty);
        let stopped = if self.stopped { ", stopped early" } else { "" };
        format!("{} %, {key}, {hands}, {}{stopped}", crate::cli::round(self.speed), self.place)
    }

    /// When it was played, in the player's own time: `25 Nov 2026, 18:40`.
    pub fn when(&self) -> String {
        self.at("%-d %b %Y, %H:%M")
    }

    /// To the second: `25 Nov 2026, 18:40:07`.
    pub fn when_exactly(&self) -> String {
        self.at("%-d %b %Y, %H:%M:%S")
    }

    fn at(&self, form: &str) -> String {
        let known = i64::try_from(self.recorded).ok().filter(|ms| *ms > 0);
        let at = known.and_then(|ms| jiff::Timestamp::from_millisecond(ms).ok());
        let zone = jiff::tz::TimeZone::system();
        at.map_or("at some time".to_owned(), |at| at.to_zoned(zone).strftime(form).to_string())
    }

    /// `140 of 150 notes`.
    pub fn result(&self) -> String {
        format!("{} of {} notes", self.matched, self.expected)
    }
}
