//! Takes on disk: standard MIDI files that carry their clock, each with its verdict in a file beside it.

use super::{Places, Verdict, write_whole};
use practice::Lap;
use std::cmp::Reverse;
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// How many takes stay that the player did not ask to keep; the oldest go first.
const KEPT: usize = 200;

/// A take on disk.
#[derive(Clone, Debug, PartialEq)]
pub struct SavedTake {
    /// Its MIDI file.
    pub file: PathBuf,
    /// Its verdict; of a take without a readable one, what its name and folder tell.
    pub verdict: Verdict,
}

/// Writes a take and its verdict into the folder of its song.
///
/// # Errors
/// What the file system says.
pub fn save_take(places: &Places, lap: &Lap, source: PathBuf) -> std::io::Result<SavedTake> {
    let folder = places.takes_folder(&lap.part.title);
    let (file, recorded) = free_name(&folder);
    let verdict = Verdict::of(lap, source, recorded);
    write_whole(&file, &exchange::write_take(&lap.take))?;
    let take = SavedTake { file, verdict };
    write_verdict(&take)?;
    // Old takes that cannot be removed only take room.
    let _ = remove_oldest(places);
    Ok(take)
}

/// All takes there are: the songs played last first, of each song the newest first. What cannot be read is left out.
pub fn list_takes(places: &Places) -> Vec<SavedTake> {
    let mut takes: Vec<SavedTake> = folders(places).iter().flat_map(|folder| takes_in(folder)).collect();
    let mut newest: HashMap<String, u64> = HashMap::new();
    for Verdict { song, recorded, .. } in takes.iter().map(|take| &take.verdict) {
        let known = newest.entry(song.clone()).or_default();
        *known = (*known).max(*recorded);
    }
    let order = |take: &SavedTake| {
        let song = take.verdict.song.clone();
        (Reverse(newest.get(&song).copied()), song, Reverse(take.verdict.recorded))
    };
    takes.sort_by_cached_key(order);
    takes
}

/// A song's file went to another place: its takes know it there from now on. One whose verdict cannot be written is heard
/// without its part.
pub fn takes_follow(places: &Places, from: &Path, to: &Path) {
    let of_it = |take: &SavedTake| take.verdict.source.as_deref() == Some(from);
    for mut take in list_takes(places).into_iter().filter(of_it) {
        take.verdict.source = Some(to.to_owned());
        let _ = write_verdict(&take);
    }
}

/// Marks a take as one to keep, or no longer.
///
/// # Errors
/// What the file system says.
pub fn keep_take(take: &SavedTake, kept: bool) -> std::io::Result<()> {
    let verdict = Verdict { kept, ..take.verdict.clone() };
    write_verdict(&SavedTake { file: take.file.clone(), verdict })
}

/// Deletes a take with its verdict.
///
/// # Errors
/// What the file system says.
pub fn delete_take(file: &Path) -> std::io::Result<()> {
    std::fs::remove_file(file)?;
    match std::fs::remove_file(verdict_file(file)) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

fn write_verdict(take: &SavedTake) -> std::io::Result<()> {
    let mut text = serde_json::to_vec_pretty(&take.verdict).expect("plain fields always become JSON");
    text.push(b'\n');
    write_whole(&verdict_file(&take.file), &text)
}

fn verdict_file(take: &Path) -> PathBuf {
    take.with_extension("json")
}

/// A name that sorts by time and is not taken yet, and its time in milliseconds since 1970. Two laps may end together.
fn free_name(folder: &Path) -> (PathBuf, u64) {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    let now = u64::try_from(since.as_millis()).unwrap_or(u64::MAX);
    let name = |recorded: u64| folder.join(format!("take-{recorded:013}.mid"));
    (now..)
        .map(|recorded| (name(recorded), recorded))
        .find(|(file, _)| !file.exists())
        .unwrap_or((name(now), now))
}

fn folders(places: &Places) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(places.takes()) else { return Vec::new() };
    entries.flatten().map(|entry| entry.path()).filter(|path| path.is_dir()).collect()
}

fn takes_in(folder: &Path) -> Vec<SavedTake> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let files = entries.flatten().map(|entry| entry.path());
    files.filter(|path| path.extension().is_some_and(|ending| ending == "mid")).map(take).collect()
}

fn take(file: PathBuf) -> SavedTake {
    let read = std::fs::read(verdict_file(&file)).ok();
    let verdict = read.and_then(|bytes| serde_json::from_slice::<Verdict>(&bytes).ok());
    let verdict = verdict.unwrap_or_else(|| Verdict {
        song: name_of(file.parent()),
        recorded: digits(&file),
        ..Verdict::default()
    });
    SavedTake { file, verdict }
}

fn name_of(folder: Option<&Path>) -> String {
    let name = folder.and_then(Path::file_name).unwrap_or_default();
    name.to_string_lossy().into_owned()
}

/// The time in a take's name; 0 if there is none.
fn digits(file: &Path) -> u64 {
    let name = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    name.strip_prefix("take-").and_then(|digits| digits.parse().ok()).unwrap_or(0)
}

fn remove_oldest(places: &Places) -> std::io::Result<()> {
    let mut takes = list_takes(places);
    takes.retain(|take| !take.verdict.kept);
    takes.sort_by_key(|take| take.verdict.recorded);
    let too_many = takes.len().saturating_sub(KEPT);
    takes[..too_many].iter().try_for_each(|take| delete_take(&take.file))
}

#[cfg(test)]
mod tests {
    use super::*;
    use practice::{ChartTime, Hands, PlayedNote, ScoreOptions, Speed, Take, Timeline, score};
    use std::sync::Arc;

    fn lap() -> Lap {
        let song = song::read(crate::storage::DEMOS[0].text).song.unwrap();
        let part = voicing::plan(&song.play(), song.key, &voicing::Settings::default()).unwrap();
        let note = PlayedNote {
            at: ChartTime::from_ms(-120.0),
            length: Some(ChartTime::from_ms(400.0)),
            key: theory::MidiKey::MIDDLE_C,
            velocity: 71,
        };
        let take = Take::new(vec![note], Speed::clamped(60.0), Hands::Right, None);
        let expected = take.expected(&part, &Timeline::new(&part));
        let options = ScoreOptions { speed: take.speed, ..ScoreOptions::default() };
        let score = score(&expected, &take.notes, &options);
        Lap { part: Arc::new(part), take: Arc::new(take), score: Arc::new(score) }
    }

    fn home() -> (tempfile::TempDir, Places) {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::under(folder.path());
        (folder, places)
    }

    #[test]
    fn a_take_comes_back_as_it_was_played() {
        let (_folder, places) = home();
        let lap = lap();
        let saved = save_take(&places, &lap, "song.json".into()).unwrap();
        let file = exchange::read_midi(&std::fs::read(&saved.file).unwrap()).unwrap();
        assert_eq!(file.take().as_ref(), Some(&*lap.take));
        assert_eq!(list_takes(&places), std::slice::from_ref(&saved));
        assert_eq!(saved.verdict.result(), format!("0 of {} notes", lap.score.expected));
        assert_eq!(saved.verdict.how(), "60 %, D major, right hand, the whole song");
    }

    #[test]
    fn only_the_newest_are_left_and_those_that_are_to_be_kept() {
        let (_folder, places) = home();
        let folder = places.takes_folder("Weir");
        std::fs::create_dir_all(&folder).unwrap();
        for number in 0..KEPT + 3 {
            std::fs::write(folder.join(format!("take-{number:013}.mid")), b"").unwrap();
        }
        std::fs::write(folder.join("note.txt"), b"left alone").unwrap();
        let first = list_takes(&places).pop().unwrap();
        keep_take(&first, true).unwrap();
        remove_oldest(&places).unwrap();
        let is_there = |number: usize| folder.join(format!("take-{number:013}.mid")).exists();
        assert!(is_there(0), "kept");
        assert!(!is_there(1) && !is_there(2), "the oldest");
        assert!(is_there(3) && folder.join("note.txt").exists());
    }

    #[test]
    fn a_damaged_verdict_does_not_hide_the_take() {
        let (_folder, places) = home();
        let saved = save_take(&places, &lap(), "song.json".into()).unwrap();
        std::fs::write(verdict_file(&saved.file), b"{ \"song\": 7").unwrap();
        let listed = list_takes(&places);
        assert_eq!(listed.len(), 1);
        assert_eq!(listed[0].verdict.recorded, saved.verdict.recorded, "from its name");
        assert_eq!(listed[0].verdict.song, "lanterns-at-the-lock", "from its folder");
        delete_take(&saved.file).unwrap();
        assert!(list_takes(&places).is_empty());
        assert!(!verdict_file(&saved.file).exists());
    }

    #[test]
    fn laps_that_end_together_have_files_of_their_own() {
        let (_folder, places) = home();
        let lap = lap();
        (0..5).for_each(|_| drop(save_take(&places, &lap, "song.json".into()).unwrap()));
        assert_eq!(list_takes(&places).len(), 5);
    }

    #[test]
    fn songs_stand_together_the_one_played_last_first() {
        let (_folder, places) = home();
        for (song, times) in [("weir", [3, 9].as_slice()), ("lock", &[5]), ("quay", &[1, 7])] {
            let folder = places.takes_folder(song);
            std::fs::create_dir_all(&folder).unwrap();
            times.iter().for_each(|t| std::fs::write(folder.join(format!("take-{t:013}.mid")), b"").unwrap());
        }
        let takes = list_takes(&places);
        let order: Vec<(&str, u64)> =
            takes.iter().map(|t| (t.verdict.song.as_str(), t.verdict.recorded)).collect();
        assert_eq!(order, [("weir", 9), ("weir", 3), ("quay", 7), ("quay", 1), ("lock", 5)]);
    }
}
