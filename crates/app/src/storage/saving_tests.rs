//! Saving on real folders, the time by hand.

use super::super::atomic::write_whole;
use super::*;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

struct Bench {
    folder: tempfile::TempDir,
    places: Places,
    path: PathBuf,
    saving: Saving,
    now: Instant,
}

impl Bench {
    fn new() -> Bench {
        Bench::with(Box::new(replace))
    }

    fn with(write: Write) -> Bench {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::under(&folder.path().join("home"));
        let path = folder.path().join("shelf/song.json");
        write_whole(&path, b"a").unwrap();
        let saving = Saving::with(Some(places.clone()), write);
        Bench { folder, places, path, saving, now: Instant::now() }
    }

    fn ask(&mut self, was: &str, text: &str) {
        let text = SongText {
            path: self.path.clone(),
            was: Some(was.into()),
            text: text.into(),
            number: 1,
            held: false,
        };
        self.saving.ask(text, self.now);
    }

    fn after(&mut self, time: Duration) -> Vec<Saved> {
        self.now += time;
        self.saving.work(self.now)
    }

    fn file(&self) -> String {
        std::fs::read_to_string(&self.path).unwrap()
    }

    fn versions(&self) -> Versions {
        Versions::of(&self.places, &self.path)
    }

    fn version_texts(&self) -> Vec<(VersionKind, String)> {
        self.versions().list().iter().map(|version| (version.kind, version.text().unwrap())).collect()
    }
}

#[test]
fn the_first_text_is_written_at_once_and_the_next_ones_twice_a_second() {
    let mut bench = Bench::new();
    bench.ask("a", "ab");
    assert!(matches!(&bench.after(Duration::ZERO)[..], [Saved::Written { song, .. }] if song.text == "ab"));
    bench.ask("ab", "abc");
    bench.ask("abc", "abcd");
    assert!(bench.after(SAVE_EVERY / 2).is_empty());
    assert_eq!(bench.file(), "ab");
    assert!(matches!(&bench.after(SAVE_EVERY / 2)[..], [Saved::Written { song, .. }] if song.text == "abcd"));
    assert_eq!(bench.file(), "abcd");
    assert_eq!(bench.saving.next(), None);
    assert_eq!(
        bench.version_texts(),
        [(VersionKind::Saved, "abcd".to_owned()), (VersionKind::Found, "a".to_owned())]
    );
}

#[test]
fn what_waits_is_written_when_the_window_closes() {
    let mut bench = Bench::new();
    bench.ask("a", "ab");
    bench.after(Duration::ZERO);
    bench.ask("ab", "abc");
    bench.saving.finish(bench.now);
    assert_eq!(bench.file(), "abc");
}

#[test]
fn what_another_program_wrote_is_left_alone_and_both_are_versions() {
    let mut bench = Bench::new();
    std::fs::write(&bench.path, "theirs").unwrap();
    bench.ask("a", "mine");
    let came = bench.after(Duration::ZERO);
    assert!(matches!(&came[..], [Saved::Changed { theirs, .. }] if theirs == "theirs"));
    assert_eq!(bench.file(), "theirs");
    assert_eq!(
        bench.version_texts(),
        [(VersionKind::Outside, "theirs".to_owned()), (VersionKind::Mine, "mine".to_owned())]
    );
    // It is kept for the next start as well, until something is in the file.
    let unsaved = Unsaved { base: Some("a".into()), text: "mine".into() };
    assert_eq!(bench.saving.opened(&bench.path.clone(), "theirs", bench.now), Some(unsaved));
    bench.ask("theirs", "both");
    bench.after(SAVE_EVERY);
    assert_eq!(bench.file(), "both");
    assert_eq!(bench.versions().unsaved(), None);
}

#[test]
fn a_full_disk_is_told_once_and_tried_again() {
    let full = Arc::new(AtomicBool::new(true));
    let is_full = full.clone();
    let mut bench = Bench::with(Box::new(move |path, bytes| {
        if is_full.load(Ordering::Relaxed) {
            Err(ErrorKind::StorageFull.into())
        } else {
            replace(path, bytes)
        }
    }));
    bench.ask("a", "ab");
    let came = bench.after(Duration::ZERO);
    assert!(
        matches!(&came[..], [Saved::Waiting { error, only_in_memory: false, .. }] if error.kind() == ErrorKind::StorageFull)
    );
    bench.ask("ab", "abc");
    assert!(bench.after(TRY_EVERY).is_empty(), "told once");
    assert_eq!(bench.file(), "a");
    assert_eq!(bench.versions().unsaved().unwrap().text, "abc", "kept safe elsewhere");
    full.store(false, Ordering::Relaxed);
    assert!(matches!(&bench.after(TRY_EVERY)[..], [Saved::Written { again: true, .. }]));
    assert_eq!((bench.file().as_str(), bench.versions().unsaved()), ("abc", None));
}

#[test]
fn a_file_that_becomes_read_only_is_left_alone_and_tried_again() {
    let mut bench = Bench::new();
    let protect = |on| {
        let mut about = std::fs::metadata(&bench.path).unwrap().permissions();
        about.set_readonly(on);
        std::fs::set_permissions(&bench.path, about).unwrap();
    };
    protect(true);
    let path = bench.path.clone();
    bench.ask("a", "ab");
    assert!(matches!(&bench.after(Duration::ZERO)[..], [Saved::Waiting { .. }]));
    assert_eq!(bench.file(), "a");
    #[allow(clippy::permissions_set_readonly_false)]
    {
        let mut about = std::fs::metadata(&path).unwrap().permissions();
        about.set_readonly(false);
        std::fs::set_permissions(&path, about).unwrap();
    }
    assert!(matches!(&bench.after(TRY_EVERY)[..], [Saved::Written { again: true, .. }]));
    assert_eq!(bench.file(), "ab");
}

#[test]
fn a_folder_that_vanishes_is_waited_for_and_not_made_anew() {
    let mut bench = Bench::new();
    let (shelf, away) = (bench.folder.path().join("shelf"), bench.folder.path().join("away"));
    std::fs::rename(&shelf, &away).unwrap();
    bench.ask("a", "ab");
    assert!(
        matches!(&bench.after(Duration::ZERO)[..], [Saved::Waiting { error, only_in_memory: false, .. }] if error.kind() == ErrorKind::NotFound)
    );
    assert!(!shelf.exists());
    std::fs::rename(&away, &shelf).unwrap();
    assert!(matches!(&bench.after(TRY_EVERY)[..], [Saved::Written { again: true, .. }]));
    assert_eq!(bench.file(), "ab");
}

#[test]
fn two_windows_do_not_write_over_one_another() {
    let mut bench = Bench::new();
    let mut second = Saving::new(Some(bench.places.clone()));
    let order = |was: &str, text: &str| SongText {
        path: bench.path.clone(),
        was: Some(was.into()),
        text: text.into(),
        number: 1,
        held: false,
    };
    let (one, other) = (order("a", "one"), order("a", "other"));
    bench.saving.ask(one, bench.now);
    second.ask(other, bench.now);
    assert!(matches!(&bench.after(Duration::ZERO)[..], [Saved::Written { .. }]));
    assert!(matches!(&second.work(bench.now)[..], [Saved::Changed { theirs: text, .. }] if text == "one"));
    assert_eq!(bench.file(), "one");
}

#[test]
fn what_is_held_is_kept_beside_the_file_only() {
    let mut bench = Bench::new();
    let held = SongText {
        path: bench.path.clone(),
        was: Some("a".into()),
        text: "ab".into(),
        number: 1,
        held: true,
    };
    bench.saving.ask(held, bench.now);
    assert!(bench.after(Duration::ZERO).is_empty());
    assert_eq!((bench.file().as_str(), bench.versions().unsaved().unwrap().text.as_str()), ("a", "ab"));
}

#[test]
fn a_new_song_takes_no_others_place() {
    let mut bench = Bench::new();
    let new = |path: PathBuf| SongText { path, was: None, text: "new".into(), number: 1, held: false };
    bench.saving.ask(new(bench.path.clone()), bench.now);
    assert!(matches!(&bench.after(Duration::ZERO)[..], [Saved::Changed { .. }]));
    assert_eq!(bench.file(), "a");
    let path = bench.folder.path().join("songs/new.json");
    bench.saving.ask(new(path.clone()), bench.now);
    assert!(matches!(&bench.after(SAVE_EVERY)[..], [Saved::Written { .. }]));
    assert_eq!(std::fs::read_to_string(path).unwrap(), "new");
}

#[test]
fn what_is_asked_before_a_move_is_told_goes_to_the_new_place() {
    let mut bench = Bench::new();
    bench.ask("a", "b");
    let to = bench.folder.path().join("shelf/other.json");
    let (saved, done) = bench.saving.carry(&bench.path, &to, bench.now);
    assert!(matches!(saved, Some(Saved::Written { .. })) && done.is_ok());
    bench.ask("b", "c");
    bench.after(SAVE_EVERY);
    assert_eq!(std::fs::read_to_string(&to).unwrap(), "c");
    assert!(!bench.path.exists(), "nothing is put where it was");

    // Then another song may be put there.
    bench.saving.told_of_carrying(&bench.path);
    let (path, number) = (bench.path.clone(), 2);
    bench.saving.ask(SongText { path, was: None, text: "d".into(), number, held: false }, bench.now);
    bench.after(SAVE_EVERY);
    assert_eq!((bench.file().as_str(), std::fs::read_to_string(&to).unwrap().as_str()), ("d", "c"));
}
