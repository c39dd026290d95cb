//! Takes on disk: standard MIDI files that carry their clock.

use super::{Places, write_whole};
use practice::Take;
use std::path::PathBuf;
use voicing::Part;

/// How many takes of a song are kept; the oldest go first.
const KEPT: usize = 50;

/// Writes a take into the folder of its song and returns its file.
///
/// # Errors
/// What the file system says.
pub fn save_take(places: &Places, take: &Take, part: &Part) -> std::io::Result<PathBuf> {
    let folder = places.takes_folder(&part.title);
    let path = folder.join(format!("{}.mid", stamp()));
    write_whole(&path, &exchange::write_take(take))?;
    // Old takes that cannot be removed only take room.
    let _ = remove_oldest(&folder);
    Ok(path)
}

/// Sorts by time: milliseconds since 1970.
fn stamp() -> String {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    format!("take-{:013}", since.as_millis())
}

fn remove_oldest(folder: &std::path::Path) -> std::io::Result<()> {
    let is_take = |path: &PathBuf| path.extension().is_some_and(|ending| ending == "mid");
    let mut takes: Vec<PathBuf> =
        std::fs::read_dir(folder)?.filter_map(|entry| Some(entry.ok()?.path())).filter(is_take).collect();
    takes.sort();
    let too_many = takes.len().saturating_sub(KEPT);
    takes[..too_many].iter().try_for_each(std::fs::remove_file)
}

#[cfg(test)]
mod tests {
    use super::*;
    use practice::{ChartTime, Hands, PlayedNote, Speed};

    fn part() -> Part {
        let song = song::read(crate::storage::DEMOS[0].text).song.unwrap();
        voicing::plan(&song.play(), song.key, &voicing::Settings::default()).unwrap()
    }

    #[test]
    fn a_take_comes_back_as_it_was_played() {
        let folder = tempfile::tempdir().unwrap();
        let note = PlayedNote {
            at: ChartTime::from_ms(-120.0),
            length: Some(ChartTime::from_ms(400.0)),
            key: theory::MidiKey::MIDDLE_C,
            velocity: 71,
        };
        let take = Take::new(vec![note], Speed::clamped(60.0), Hands::Right, None);
        let path = save_take(&Places::under(folder.path()), &take, &part()).unwrap();
        let file = exchange::read_midi(&std::fs::read(path).unwrap()).unwrap();
        assert_eq!(file.take(), Some(take));
    }

    #[test]
    fn only_the_newest_takes_are_kept() {
        let folder = tempfile::tempdir().unwrap();
        for number in 0..KEPT + 3 {
            std::fs::write(folder.path().join(format!("take-{number:03}.mid")), b"").unwrap();
        }
        std::fs::write(folder.path().join("note.txt"), b"kept").unwrap();
        remove_oldest(folder.path()).unwrap();
        assert!(!folder.path().join("take-002.mid").exists());
        assert!(folder.path().join("take-003.mid").exists());
        assert!(folder.path().join("note.txt").exists());
    }
}
