//! The text and its file, without a file: orders and findings by hand.

use super::super::{Change, Planned, Source, run};
use super::*;
use song::edit::Change as Edit;
use voicing::Settings;

const SONG: &str = r#"{ "format": 1, "id": "reeds", "title": "Reeds", "key": "C major", "tempo": 80,
  "sections": [ { "name": "Verse", "bars": ["1 | 4", "5 | 1"] } ] }
"#;

/// A song that was opened with this text.
fn open() -> Document {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("reeds.json");
    std::fs::write(&path, SONG).unwrap();
    let (mut document, job) = Document::new(Source::File(path), Settings::default());
    document.apply(Change::Read(run(&job)));
    assert!(document.part().is_some());
    document
}

fn type_row(document: &mut Document, row: usize, text: &str) {
    document.change(&[Edit::Row { section: 0, row, text: text.into() }]).unwrap();
}

fn write(document: &mut Document) -> SongText {
    let song = document.to_write().expect("there is something to write");
    document.written(&song);
    song
}

#[test]
fn what_is_in_the_file_is_not_written_again() {
    let mut document = open();
    assert_eq!(document.to_write(), None);
    type_row(&mut document, 0, "1 | 6");
    let first = document.to_write().unwrap();
    assert_eq!((first.was.as_deref(), first.held), (Some(SONG), false));
    assert_eq!(document.to_write(), None, "it is on its way");
    document.undo();
    let second = document.to_write().expect("the way back has to be written as well");
    assert_eq!(second.text, SONG);
    document.written(&first);
    assert!(matches!(document.found(first.text), Found::Known));
    document.written(&second);
    assert_eq!(document.to_write(), None);
}

#[test]
fn our_own_text_in_the_file_is_no_change() {
    let mut document = open();
    type_row(&mut document, 0, "1 | 6");
    let song = document.to_write().unwrap();
    type_row(&mut document, 0, "1 | 6 | 4");
    assert!(matches!(document.found(song.text), Found::Known), "seen before it was told");
    assert!(document.text().unwrap().contains("1 | 6 | 4"));
}

#[test]
fn with_nothing_unsaved_the_file_goes_on_and_undo_reaches_behind_it() {
    let mut document = open();
    type_row(&mut document, 0, "1 | 6");
    let mine = write(&mut document).text;
    let theirs = mine.replace("80", "96");
    assert!(matches!(document.found(theirs.clone()), Found::Taken(_)));
    assert_eq!(document.text(), Some(theirs.as_str()));
    assert_eq!(document.to_write(), None);
    assert_eq!(document.undo().unwrap().name, OUTSIDE);
    assert_eq!(document.text(), Some(mine.as_str()));
    document.undo().unwrap();
    assert_eq!(document.text(), Some(SONG), "what was done before is still there to be undone");
}

#[test]
fn both_changed_in_different_places_are_put_together_and_written() {
    let mut document = open();
    type_row(&mut document, 0, "1 | 6");
    let theirs = SONG.replace("5 | 1", "2 | 5");
    assert!(matches!(document.found(theirs.clone()), Found::Merged(_)));
    let song = document.to_write().unwrap();
    assert_eq!(song.text, theirs.replace("1 | 4", "1 | 6"));
    assert_eq!(song.was, Some(theirs.clone()), "over theirs and over nothing else");
    document.undo();
    assert_eq!(document.text().unwrap(), SONG.replace("1 | 4", "1 | 6"));
}

/// The song format: an identity is written at the first save.
#[test]
fn a_song_gets_an_identity_with_the_first_change_and_undo_takes_both_back() {
    let plain = SONG.replace("\"id\": \"reeds\", ", "");
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("reeds.json");
    std::fs::write(&path, &plain).unwrap();
    let (mut document, job) = Document::new(Source::File(path), Settings::default());
    document.apply(Change::Read(run(&job)));
    type_row(&mut document, 0, "1 | 6");
    let text = write(&mut document).text;
    let id = song::read(&text).sound().unwrap().id.unwrap();
    assert_eq!(text, SONG.replace("1 | 4", "1 | 6").replace("reeds", &id));
    type_row(&mut document, 1, "5 | 5");
    assert_eq!(song::read(&write(&mut document).text).sound().unwrap().id, Some(id), "it stays");
    document.undo();
    document.undo();
    assert_eq!(document.text(), Some(plain.as_str()));
}

#[test]
fn both_changed_in_one_place_are_asked_about_and_nothing_is_written_meanwhile() {
    let mut document = open();
    type_row(&mut document, 0, "1 | 6");
    let theirs = SONG.replace("1 | 4", "1 | 2");
    assert!(matches!(document.found(theirs.clone()), Found::Asked));
    assert_eq!(document.clash().unwrap().places, ["bar 2 of Verse"]);
    type_row(&mut document, 1, "5 | 6");
    let held = document.to_write().unwrap();
    assert!(held.held, "kept safe, not written");
    let mine = held.text;
    let mut other = document.clone();

    document.keep_mine();
    let song = document.to_write().unwrap();
    assert_eq!((song.text, song.was, song.held), (mine.clone(), Some(theirs.clone()), false));
    assert!(document.clash().is_none());

    let (kept, _) = other.take_theirs().unwrap();
    assert_eq!((kept, other.text()), (mine.clone(), Some(theirs.as_str())));
    assert_eq!(other.to_write(), None);
    other.undo();
    assert_eq!(other.to_write().unwrap().text, mine, "undo brings mine back, and writes it");
}

#[test]
fn a_question_is_settled_when_the_file_comes_to_agree() {
    let mut document = open();
    type_row(&mut document, 0, "1 | 6");
    document.found("{ half a te".to_owned());
    assert!(document.clash().is_some(), "nothing is written over what cannot be read");
    document.found(SONG.replace("80", "96"));
    assert!(document.clash().is_none());
    assert!(document.text().unwrap().contains("96") && document.text().unwrap().contains("1 | 6"));
}

#[test]
fn what_was_never_in_the_file_goes_on_at_the_next_start() {
    let unsaved = Unsaved { base: Some(SONG.to_owned()), text: SONG.replace("1 | 4", "1 | 6") };
    let mut document = open();
    assert!(matches!(document.recover(unsaved.clone()), Found::Merged(_)));
    assert_eq!(document.to_write().unwrap().text, unsaved.text);

    let mut elsewhere = open();
    let other_base = Unsaved { base: Some(SONG.replace("80", "70")), text: unsaved.text.replace("80", "70") };
    assert!(matches!(elsewhere.recover(other_base), Found::Merged(_)));
    assert_eq!(elsewhere.to_write().unwrap().text, unsaved.text, "over the file as it is now");

    let mut against = open();
    let other_base = Unsaved { base: Some(SONG.replace("1 | 4", "1 | 2")), text: unsaved.text.clone() };
    against.recover(other_base);
    assert_eq!(against.clash().unwrap().theirs, SONG);
    assert_eq!(against.text(), Some(unsaved.text.as_str()));
}

#[test]
fn an_earlier_version_is_brought_back_by_a_step() {
    let mut document = open();
    type_row(&mut document, 0, "1 | 6");
    write(&mut document);
    let step = document.bring_back(SONG.to_owned(), "21:04").unwrap();
    assert_eq!((step.name.as_str(), document.text()), ("the version of 21:04", Some(SONG)));
    assert_eq!(document.to_write().unwrap().text, SONG);
    document.undo();
    assert!(document.text().unwrap().contains("1 | 6"));
}

#[test]
fn a_song_that_was_left_and_opened_again_can_still_be_undone() {
    let mut document = open();
    let path = document.source().clone();
    type_row(&mut document, 0, "1 | 6");
    let text = write(&mut document).text;
    document.apply(Change::Open(Source::Demo(crate::storage::DEMOS[0])));
    assert_eq!(document.can_undo(), None);
    let job = document.apply(Change::Open(path)).unwrap();
    let planned: Option<Planned> = None;
    let outcome = super::super::Outcome {
        generation: job.generation,
        planned,
        text: Some(text.as_str().into()),
        diagnostics: Vec::new(),
        trouble: None,
        of_file: true,
    };
    document.apply(Change::Read(outcome));
    document.undo().unwrap();
    assert_eq!(document.text(), Some(SONG));
}
