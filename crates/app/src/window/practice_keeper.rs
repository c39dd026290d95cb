//! Practice on the keeper's thread: passes go into the history, and what it tells of a song is worked out, away from the
//! window.

use crate::document::Source;
use crate::storage::{self, History, Places, Remembered, SetSong, write_whole};
use practice::history::{About, PassRecord, SongName, fingerprints, place};
use practice::learn::{
    Coach, Excerpt, GoalBars, HardBar, PracticeDay, goal_bars, hard_bars_of, practice_days, progress_words,
};
use practice::{Lap, Speed};
use std::path::PathBuf;
use std::sync::Arc;
use voicing::Part;

/// Something to do.
pub enum PracticeOrder {
    /// A pass was played: remember it.
    Passed(Lap, Playing),
    /// Remember a pass, now that the player has said how it went.
    Remember(Box<PassRecord>),
    /// Work out what is known of a song.
    Recall(Question),
    /// Make the join from the end of a part into the song that follows in the set.
    Join(Arc<Part>, SetSong, voicing::Settings),
    /// Write all that is remembered into a file.
    Export(PathBuf),
    /// Delete what is remembered of a song.
    Delete(SongName),
    /// Delete all.
    DeleteAll,
}

/// A song whose history is asked for.
#[derive(Clone, Debug)]
pub struct Question {
    /// Where it is.
    pub source: PathBuf,
    /// As played, for its goals.
    pub song: Arc<song::PlayedSong>,
    /// Its part.
    pub part: Arc<Part>,
}

/// What is being played, for the record.
#[derive(Clone, Debug, Default)]
pub struct Playing {
    /// Where the song is.
    pub source: PathBuf,
    /// What for, with how much help.
    pub about: About,
    /// The stretch of the song that is on the stand, with the song's part, if it is not the song itself.
    pub excerpt: Option<(Arc<Part>, Arc<Excerpt>)>,
    /// The player is asked how it went; the pass is remembered with the answer.
    pub asks: bool,
}

/// What there is to tell.
pub enum PracticeTold {
    /// A pass; and whether it waits for what the player says of it before it goes into the history.
    Passed(Box<PassRecord>, bool),
    /// What is known of a song.
    Known(Box<Known>),
    /// A join from one song into the next.
    Join(Box<Excerpt>),
    /// The history was changed: whatever was known of it is to be asked again.
    Changed(String),
}

/// What is known of a song.
#[derive(Clone, Debug)]
pub struct Known {
    /// Its name.
    pub name: SongName,
    /// The part it is known for.
    pub part: Arc<Part>,
    /// What the player knows of it.
    pub coach: Coach,
    /// Its hard bars.
    pub hard: Vec<HardBar>,
    /// The goals of its coach.
    pub goals: Vec<GoalBars>,
    /// The days on which it was practised.
    pub days: Vec<PracticeDay>,
    /// Progress in words.
    pub progress: Vec<String>,
    /// How many passes are remembered.
    pub passes: usize,
    /// How many of their bars are no longer in the song.
    pub elsewhere: usize,
    /// What is to be told of the history itself.
    pub told: Vec<String>,
}

/// So many bars of each song are in a join.
const JOIN_BARS: usize = 2;
/// So many sentences of progress.
const SENTENCES: usize = 4;

/// Does it; gives what there is to tell, and what could not be done.
pub fn carry_out(order: PracticeOrder, places: Option<&Places>) -> (Option<PracticeTold>, Option<String>) {
    let history = places.map(History::of);
    match order {
        PracticeOrder::Passed(lap, playing) => {
            let record = record(&lap, &playing);
            let trouble = if playing.asks { None } else { remember(&record, history.as_ref()) };
            (Some(PracticeTold::Passed(Box::new(record), playing.asks)), trouble)
        }
        PracticeOrder::Remember(record) => (None, remember(&record, history.as_ref())),
        PracticeOrder::Recall(question) => {
            (Some(PracticeTold::Known(Box::new(recall(question, history.as_ref())))), None)
        }
        PracticeOrder::Join(ends, next, player) => match part_of(&next, &player) {
            Ok(begins) => {
                (Some(PracticeTold::Join(Box::new(Excerpt::between(&ends, &begins, JOIN_BARS)))), None)
            }
            Err(why) => (None, Some(why)),
        },
        PracticeOrder::Export(path) => {
            let passes = history.map(|history| history.all().passes).unwrap_or_default();
            let text = serde_json::to_vec_pretty(&storage::to_document(&passes));
            let text = text.expect("mirror types hold nothing that JSON cannot");
            let written = write_whole(&path, &text);
            let told = format!("{} passes are in {}.", passes.len(), path.display());
            changed_or(written.map(|()| told), "The history could not be written out")
        }
        PracticeOrder::Delete(song) => {
            let deleted = history.map_or(Ok(0), |history| history.delete(&song));
            let told = |n: usize| format!("{n} passes of {} are deleted.", song.title);
            changed_or(deleted.map(told), "The history could not be deleted")
        }
        PracticeOrder::DeleteAll => {
            let deleted = history.map_or(Ok(()), |history| history.delete_all());
            let told = "The whole history is deleted.".to_owned();
            changed_or(deleted.map(|()| told), "The history could not be deleted")
        }
    }
}

/// Puts a pass into the history; what is to be said if that cannot be done.
fn remember(record: &PassRecord, history: Option<&History>) -> Option<String> {
    let error = history?.append(record).err()?;
    Some(format!("The pass is not in the history: {error}. What was there before still is."))
}

fn changed_or(done: std::io::Result<String>, what: &str) -> (Option<PracticeTold>, Option<String>) {
    match done {
        Ok(told) => (Some(PracticeTold::Changed(told)), None),
        Err(error) => (None, Some(format!("{what}: {error}"))),
    }
}

/// The name of the song that lies there, with its identity if it has one.
fn name(source: &std::path::Path, title: &str) -> SongName {
    let bytes = Source::remembered(source).bytes().ok();
    let id = bytes.and_then(|bytes| song::read_bytes(&bytes).song).and_then(|song| song.id);
    SongName { id, title: title.to_owned() }
}

fn record(lap: &Lap, playing: &Playing) -> PassRecord {
    let now = storage::now();
    match &playing.excerpt {
        Some((part, excerpt)) if lap.part.bars.len() == excerpt.bars.len() => {
            let name = name(&playing.source, &part.title);
            PassRecord::of_excerpt(lap, part, &excerpt.bars, name, playing.about, now)
        }
        _ => PassRecord::of(lap, name(&playing.source, &lap.part.title), playing.about, now),
    }
}

/// The part of a song of a set, in its key of the night.
fn part_of(song: &SetSong, player: &voicing::Settings) -> Result<Part, String> {
    let name = song.path.display();
    let bytes = std::fs::read(&song.path).map_err(|error| format!("{name}: {error}"))?;
    let read = song::read_bytes(&bytes).song.ok_or(format!("{name} has mistakes; open it to see them"))?;
    voicing::plan(&read.play(), song.key.unwrap_or(read.key), player)
        .map_err(|error| format!("{name}: {error}"))
}

fn recall(question: Question, history: Option<&History>) -> Known {
    let Question { source, song, part } = question;
    let name = name(&source, &part.title);
    let Remembered { passes, told } = history.map(|history| history.song(&name)).unwrap_or_default();
    let placed = place(&passes, &fingerprints(&part));
    let goals = goal_bars(&song);
    let mut coach = Coach::recalling(&part, Speed::FULL, &placed);
    coach.aim(&goals);
    let days = practice_days(&placed, part.bars.len());
    let today = storage::now().date();
    Known {
        hard: hard_bars_of(&part, placed.iter().flat_map(|pass| pass.bars.iter().copied())),
        progress: if days.is_empty() { Vec::new() } else { progress_words(&days, today, SENTENCES) },
        passes: passes.len(),
        elsewhere: placed.iter().map(|pass| pass.elsewhere).sum(),
        name,
        coach,
        goals,
        days,
        told,
        part,
    }
}
