//! Practice on the keeper's thread: passes go into the history, and what it tells of a song is worked out, away from the
//! window.

use super::playing::{Playing, name};
use crate::document::{self, Job, Outcome, Source};
use crate::storage::{self, History, Places, Remembered, SetSong, write_whole};
use practice::history::{PassRecord, SongName, fingerprints, place};
use practice::learn::{
    Coach, GoalBars, HardBar, PracticeDay, goal_bars, hard_bars_of, practice_days, progress_words,
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
    /// Read a song of a set, and work out what is known of it, in its key of the night.
    RecallOfSet(OfSet),
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

/// A song of a set, for a player.
#[derive(Clone, Debug, PartialEq)]
pub struct OfSet {
    /// The song.
    pub song: SetSong,
    /// Reach, keyboard and the rest.
    pub player: voicing::Settings,
}

/// What there is to tell.
pub enum PracticeTold {
    /// A pass, of each song that it was of; and whether it waits for what the player says of it before it goes into the
    /// history.
    Passed(Vec<PassRecord>, bool),
    /// What is known of a song.
    Known(Box<Known>),
    /// What is known of a song of a set, or why it cannot be read.
    KnownOfSet(OfSet, Result<Box<Known>, String>),
    /// The history was changed: whatever was known of it is to be asked again.
    Changed(String),
}

/// What is known of a song.
#[derive(Clone, Debug)]
pub struct Known {
    /// Its name.
    pub name: SongName,
    /// Where it is.
    pub source: PathBuf,
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

/// So many sentences of progress.
const SENTENCES: usize = 4;

/// Does it; gives what there is to tell, and what could not be done.
pub fn carry_out(order: PracticeOrder, places: Option<&Places>) -> (Option<PracticeTold>, Option<String>) {
    let history = places.map(History::of);
    match order {
        PracticeOrder::Passed(lap, playing) => {
            let records = playing.records(&lap);
            let mut trouble = None;
            // What the player is still asked about is remembered with the answer.
            for record in records.iter().filter(|_| !playing.asks) {
                trouble = remember(record, history.as_ref()).or(trouble);
            }
            (Some(PracticeTold::Passed(records, playing.asks)), trouble)
        }
        PracticeOrder::Remember(record) => (None, remember(&record, history.as_ref())),
        PracticeOrder::Recall(question) => {
            (Some(PracticeTold::Known(Box::new(recall(question, history.as_ref())))), None)
        }
        PracticeOrder::RecallOfSet(of_set) => {
            let known = read(&of_set).map(|question| Box::new(recall(question, history.as_ref())));
            (Some(PracticeTold::KnownOfSet(of_set, known)), None)
        }
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

/// Reads a song of a set and plans it, as the window does when it opens it.
fn read(of_set: &OfSet) -> Result<Question, String> {
    let source = Source::remembered(&of_set.song.path);
    let job = Job {
        generation: 0,
        source: source.clone(),
        text: None,
        own: true,
        key: of_set.song.key,
        player: of_set.player,
    };
    let Outcome { planned, diagnostics, trouble, .. } = document::run(&job);
    let mistake = || diagnostics.first().map(|told| told.message.clone());
    let name = source.file_name();
    let planned = planned.ok_or_else(|| {
        trouble.or_else(mistake).unwrap_or_else(|| format!("{name} has no bars; open it and write some."))
    })?;
    Ok(Question { source: source.to_remember(), song: planned.song, part: planned.part })
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
    let mut hard = hard_bars_of(&part, placed.iter().flat_map(|pass| pass.bars.iter().copied()));
    coach.explain(&mut hard, storage::now().day());
    Known {
        hard,
        progress: if days.is_empty() { Vec::new() } else { progress_words(&days, today, SENTENCES) },
        passes: passes.len(),
        elsewhere: placed.iter().map(|pass| pass.elsewhere).sum(),
        source,
        name,
        coach,
        goals,
        days,
        told,
        part,
    }
}
