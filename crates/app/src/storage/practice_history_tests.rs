//! What happens to a history on a bad day.

use super::super::practice_record::tests::record;
use super::*;

fn home() -> (tempfile::TempDir, History) {
    let folder = tempfile::tempdir().unwrap();
    let history = History::of(&Places::under(folder.path()));
    (folder, history)
}

fn of_song(id: Option<&str>, title: &str, number: i64) -> PassRecord {
    let song = SongName { id: id.map(str::to_owned), title: title.to_owned() };
    PassRecord { song, ..record(number) }
}

/// The numbers of passes, by their time.
fn numbers(remembered: &Remembered) -> Vec<i64> {
    remembered.passes.iter().map(|pass| pass.at.unix_ms - record(0).at.unix_ms).collect()
}

#[test]
fn passes_come_back_in_order_of_time() {
    let (_folder, history) = home();
    [3, 1, 2].iter().for_each(|n| history.append(&record(*n)).unwrap());
    let read = history.song(&record(0).song);
    assert_eq!(numbers(&read), [1, 2, 3]);
    assert_eq!((&read.passes[2], read.told.len()), (&record(3), 0));
}

#[test]
fn a_song_is_followed_through_renaming_and_from_before_it_had_an_identity() {
    let (_folder, history) = home();
    for pass in [
        of_song(None, "Weir", 1),
        of_song(Some("k3"), "Weir", 2),
        of_song(Some("k3"), "Old Weir", 3),
        of_song(Some("x9"), "Weir", 4),
        of_song(None, "Quay", 5),
    ] {
        history.append(&pass).unwrap();
    }
    let song = |id: Option<&str>, title: &str| of_song(id, title, 0).song;
    assert_eq!(numbers(&history.song(&song(Some("k3"), "Weir"))), [1, 2, 3]);
    assert_eq!(numbers(&history.song(&song(Some("k3"), "Old Weir"))), [2, 3]);
    assert_eq!(numbers(&history.all()), [1, 2, 3, 4, 5]);
}

#[test]
fn one_song_is_deleted_and_the_others_stay() {
    let (folder, history) = home();
    // These two titles make one file.
    [of_song(None, "Weir", 1), of_song(None, "weir!", 2), of_song(None, "Weir", 3)]
        .iter()
        .for_each(|pass| history.append(pass).unwrap());
    assert_eq!(history.delete(&of_song(None, "Weir", 0).song).unwrap(), 2);
    assert_eq!(numbers(&history.all()), [2]);
    history.delete_all().unwrap();
    assert_eq!(history.all(), Remembered::default());
    let left: Vec<_> = std::fs::read_dir(folder.path().join("history")).unwrap().flatten().collect();
    assert_eq!(left.len(), 1, "the lock");
}

#[test]
fn a_line_cut_short_is_lost_alone_and_does_not_reach_into_the_next() {
    let (_folder, history) = home();
    [1, 2].iter().for_each(|n| history.append(&record(*n)).unwrap());
    let path = history.file(&record(0).song);
    let length = std::fs::metadata(&path).unwrap().len();
    let cut = |to: u64| OpenOptions::new().write(true).open(&path).unwrap().set_len(to).unwrap();
    cut(length - 100);
    history.append(&record(3)).unwrap();
    let read = history.song(&record(0).song);
    assert_eq!((numbers(&read), read.told.len()), (vec![1, 3], 0));
    cut(length - 100);
    let read = history.song(&record(0).song);
    assert_eq!(numbers(&read), [1]);
    assert!(read.told[0].starts_with("The pass that was being written"), "{:?}", read.told);
    assert_eq!(history.song(&record(0).song).told.len(), 0, "told once");
}

#[test]
fn a_damaged_file_is_set_aside_told_and_all_that_can_be_read_is_kept() {
    let (_folder, history) = home();
    [1, 2, 3].iter().for_each(|n| history.append(&record(*n)).unwrap());
    let path = history.file(&record(0).song);
    let mut bytes = std::fs::read(&path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle - 40..middle].fill(0);
    let newer = b"{\"v\":7,\"whatever\":true}\n";
    bytes.extend(newer);
    std::fs::write(&path, &bytes).unwrap();
    let read = history.song(&record(0).song);
    assert_eq!(numbers(&read), [1, 3]);
    assert!(read.told.iter().any(|told| told.contains("is now") && told.contains("damaged-1")), "{read:?}");
    assert!(read.told.iter().any(|told| told.starts_with("1 pass was written by a newer")), "{read:?}");
    let aside = path.with_extension("jsonl.damaged-1");
    assert_eq!(std::fs::read(aside).unwrap(), bytes, "as it was");
    assert!(std::fs::read(&path).unwrap().ends_with(newer), "lines of a newer program stay");
    history.append(&record(4)).unwrap();
    let again = history.song(&record(0).song);
    assert_eq!((numbers(&again), again.told.len()), (vec![1, 3, 4], 1));
}

/// A file on a disk with room for so many bytes.
struct Full {
    file: File,
    room: u64,
}

impl Read for Full {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        self.file.read(into)
    }
}

impl Seek for Full {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.file.seek(to)
    }
}

impl Write for Full {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let left = self.room.saturating_sub(self.file.stream_position()?) as usize;
        if left == 0 {
            return Err(ErrorKind::StorageFull.into());
        }
        self.file.write(&bytes[..bytes.len().min(left).min(100)])
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.file.flush()
    }
}

impl Paper for Full {
    fn cut(&mut self, length: u64) -> std::io::Result<()> {
        self.file.set_len(length)
    }

    fn settle(&mut self) -> std::io::Result<()> {
        self.file.sync_data()
    }
}

#[test]
fn on_a_disk_that_runs_full_at_any_byte_all_earlier_passes_stay() {
    let (_folder, history) = home();
    history.append(&record(1)).unwrap();
    let path = history.file(&record(0).song);
    let before = std::fs::read(&path).unwrap();
    let line = to_line(&record(2));
    for room in (before.len()..before.len() + line.len()).step_by(7) {
        let file = OpenOptions::new().read(true).write(true).open(&path).unwrap();
        let error = add(&mut Full { file, room: room as u64 }, line.as_bytes()).unwrap_err();
        assert_eq!(error.kind(), ErrorKind::StorageFull);
        assert_eq!(std::fs::read(&path).unwrap(), before, "room for {room} bytes");
    }
    history.append(&record(2)).unwrap();
    assert_eq!(numbers(&history.all()), [1, 2], "once there is room again");
}
