//! `overhand history`: what was practised, as a table or as JSON, and how it is deleted.

use super::Answer;
use super::args::HistoryDeed;
use crate::storage::{History, Places, Remembered, to_document};
use practice::history::{PassRecord, SongName};
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::Path;

/// Tells of the history of this player, gives it out, or deletes it.
pub fn answer(deed: Option<&HistoryDeed>, json: bool) -> Answer {
    match Places::of_this_user() {
        Some(places) => answer_in(&History::of(&places), deed, json),
        None => Answer::wrong_input(vec!["There is no home folder, so there is no history.".into()]),
    }
}

fn answer_in(history: &History, deed: Option<&HistoryDeed>, json: bool) -> Answer {
    match deed {
        None => overview(history.all(), json),
        Some(HistoryDeed::Export { song }) => {
            let Remembered { passes, told } = match song {
                Some(song) => history.song(&named(song)),
                None => history.all(),
            };
            Answer::json(&to_document(&passes)).telling(told)
        }
        Some(HistoryDeed::Delete { song: Some(song), .. }) => {
            let song = named(song);
            match history.delete(&song) {
                Ok(0) => Answer::wrong_input(vec![format!(
                    "There is no history of {}; `overhand history` lists the songs there are.",
                    song.title
                )]),
                Ok(passes) => Answer::done(format!("{}: {} deleted\n", song.title, how_many(passes))),
                Err(error) => Answer::wrong_input(vec![format!("The history could not be deleted: {error}")]),
            }
        }
        Some(HistoryDeed::Delete { .. }) => match history.delete_all() {
            Ok(()) => Answer::done("The whole history is deleted.\n".into()),
            Err(error) => Answer::wrong_input(vec![format!("The history could not be deleted: {error}")]),
        },
    }
}

/// A song by its file, or by the title it has in the history.
fn named(song: &str) -> SongName {
    let read = std::fs::read(Path::new(song)).ok().and_then(|bytes| song::read_bytes(&bytes).song);
    read.map_or_else(
        || SongName { id: None, title: song.to_owned() },
        |song| SongName { id: song.id, title: song.title },
    )
}

#[derive(Serialize)]
struct SongLine {
    title: String,
    id: Option<String>,
    passes: usize,
    minutes: f64,
    last: String,
}

fn overview(remembered: Remembered, json: bool) -> Answer {
    let lines = songs(&remembered.passes);
    let answer = if json {
        Answer::json(&lines)
    } else if lines.is_empty() {
        Answer::done(
            "Nothing has been practised yet: what you play along with in the window is remembered.\n".into(),
        )
    } else {
        let line = |s: &SongLine| {
            format!(
                "{}: {}, {} minutes, last on {}\n",
                s.title,
                how_many(s.passes),
                s.minutes.round(),
                s.last
            )
        };
        Answer::done(lines.iter().map(line).collect())
    };
    answer.telling(remembered.told)
}

/// The songs that were played, the last one first.
fn songs(passes: &[PassRecord]) -> Vec<SongLine> {
    let mut songs: BTreeMap<String, Vec<&PassRecord>> = BTreeMap::new();
    for pass in passes {
        let name = pass.song.id.clone().unwrap_or_else(|| format!("\n{}", pass.song.title));
        songs.entry(name).or_default().push(pass);
    }
    let mut songs: Vec<Vec<&PassRecord>> = songs.into_values().collect();
    songs.sort_by_key(|passes| std::cmp::Reverse(passes.last().map(|pass| pass.at)));
    songs.iter().filter_map(|passes| song_line(passes)).collect()
}

fn song_line(passes: &[&PassRecord]) -> Option<SongLine> {
    let last = passes.last()?;
    let minutes = passes.iter().map(|pass| pass.seconds).sum::<f64>() / 60.0;
    Some(SongLine {
        title: last.song.title.clone(),
        id: last.song.id.clone(),
        passes: passes.len(),
        minutes: (minutes * 10.0).round() / 10.0,
        last: crate::storage::date_words(last.at.date()),
    })
}

fn how_many(passes: usize) -> String {
    if passes == 1 { "1 pass".into() } else { format!("{passes} passes") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::test_pass;

    fn kept() -> (tempfile::TempDir, History) {
        let folder = tempfile::tempdir().unwrap();
        let history = History::of(&Places::under(folder.path()));
        for (title, number) in [("Weir", 1), ("Quay", 2), ("Weir", 3)] {
            let song = SongName { id: None, title: title.to_owned() };
            history.append(&PassRecord { song, ..test_pass(number) }).unwrap();
        }
        (folder, history)
    }

    #[test]
    fn the_overview_tells_of_each_song() {
        let (_folder, history) = kept();
        let told = answer_in(&history, None, false).result;
        // Twice 12.5 seconds round up to no minute; 25 November 2026 by the clock of the pass.
        assert_eq!(
            told,
            "Weir: 2 passes, 0 minutes, last on 25 Nov 2026\nQuay: 1 pass, 0 minutes, last on 25 Nov 2026\n"
        );
        let json: serde_json::Value = serde_json::from_str(&answer_in(&history, None, true).result).unwrap();
        assert_eq!((&json[0]["passes"], &json[1]["title"]), (&2.into(), &"Quay".into()));
    }

    #[test]
    fn all_of_it_or_one_song_is_given_out() {
        let (_folder, history) = kept();
        let passes = |song: Option<&str>| {
            let deed = HistoryDeed::Export { song: song.map(str::to_owned) };
            let text = answer_in(&history, Some(&deed), true).result;
            let json: serde_json::Value = serde_json::from_str(&text).unwrap();
            json["passes"].as_array().unwrap().len()
        };
        assert_eq!((passes(None), passes(Some("Weir")), passes(Some("Lock"))), (3, 2, 0));
    }

    #[test]
    fn one_song_or_all_is_deleted() {
        let (_folder, history) = kept();
        let delete = |song: Option<&str>| {
            let deed = HistoryDeed::Delete { song: song.map(str::to_owned), all: song.is_none() };
            answer_in(&history, Some(&deed), false)
        };
        assert_eq!(delete(Some("Weir")).result, "Weir: 2 passes deleted\n");
        assert!(delete(Some("Weir")).messages[0].starts_with("There is no history of Weir"));
        assert_eq!(history.all().passes.len(), 1);
        assert_eq!(delete(None).result, "The whole history is deleted.\n");
        assert!(history.all().passes.is_empty());
    }
}
