//! The page of the sheet to print.

use crate::stand::{asked, window};
use crate::support::fixture::{self, Stand};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use ui::{
    Command, Labels, Page, Paper, PaperChoice, PaperCommand, PaperFace, PaperFile, PaperMark, PaperPage,
    PaperSize, SheetKind,
};

/// A page with a word and a square on it.
fn sheet(says: &str) -> PaperPage {
    let text = PaperMark::Text {
        at: [40.0, 60.0],
        text: says.into(),
        face: PaperFace::Serif,
        size: 24.0,
        color: [0, 0, 0],
    };
    let square = PaperMark::Shape {
        points: vec![[40.0, 100.0], [140.0, 100.0], [140.0, 200.0], [40.0, 200.0]],
        closed: true,
        fill: Some([107, 82, 11]),
        stroke: None,
    };
    PaperPage { width: 595.0, height: 842.0, marks: vec![text, square], says: says.into() }
}

fn stand() -> Stand {
    let mut stand = Stand::new(fixture::LANTERNS);
    stand.view.page = Page::Paper;
    stand.paper = Paper {
        pages: vec![sheet("first"), sheet("second")],
        told: Some("Saved as song.pdf.".into()),
        writing: None,
    };
    stand
}

#[test]
fn it_opens_with_its_key_and_closes_with_it() {
    let mut stand = stand();
    stand.view.page = Page::Song;
    let mut shown = window(stand, [1280.0, 800.0]);
    shown.key_press_modifiers(Modifiers::COMMAND, Key::P);
    shown.run();
    assert_eq!(shown.state().stand.view.page, Page::Paper);
    shown.key_press_modifiers(Modifiers::COMMAND, Key::P);
    shown.run();
    assert_eq!(shown.state().stand.view.page, Page::Song);
    assert_eq!(asked(&mut shown), [Command::Show(Page::Paper), Command::Show(Page::Song)]);
}

#[test]
fn every_choice_has_a_name_and_a_key() {
    let mut shown = window(stand(), [1280.0, 800.0]);
    let choice = PaperChoice::default();
    for (name, wanted) in [
        ("for a lesson", PaperChoice { kind: SheetKind::Lesson, ..choice }),
        ("Letter", PaperChoice { size: PaperSize::Letter, ..choice }),
        ("numbers and letters", PaperChoice { labels: Labels::Both, ..choice }),
        ("every pass in full", PaperChoice { written_out: true, ..choice }),
    ] {
        shown.state_mut().stand.view.paper = choice;
        shown.get_by_label(name).click();
        shown.run();
        assert_eq!(asked(&mut shown), [Command::Paper(PaperCommand::Choose(wanted))]);
        assert_eq!(shown.state().stand.view.paper, wanted, "the view carries it out");
    }
    shown.state_mut().stand.view.paper = choice;
    for key in [Key::K, Key::A, Key::N, Key::W] {
        shown.key_press(key);
        shown.run();
    }
    let all = PaperChoice {
        kind: SheetKind::Hands,
        size: PaperSize::Letter,
        labels: Labels::Numbers,
        written_out: true,
    };
    assert_eq!(shown.state().stand.view.paper, all);
}

#[test]
fn pages_are_turned_and_read_out() {
    let mut shown = window(stand(), [1280.0, 800.0]);
    shown.get_by_label("Page 1 of 2: first");
    shown.key_press(Key::PageDown);
    shown.run();
    shown.get_by_label("Page 2 of 2: second");
    shown.key_press(Key::PageDown);
    shown.run();
    shown.get_by_label("Page 2 of 2: second");
    shown.get_by_label("the page before (Page Up)").click();
    shown.run();
    shown.get_by_label("Page 1 of 2: first");
}

#[test]
fn it_is_saved_with_its_keys_and_says_where() {
    let mut shown = window(stand(), [1280.0, 800.0]);
    shown.key_press(Key::S);
    shown.key_press(Key::V);
    shown.run();
    let save = |file| Command::Paper(PaperCommand::Save(file));
    assert_eq!(asked(&mut shown), [save(PaperFile::Pdf), save(PaperFile::Svg)]);
    shown.get_by_label("Saved as song.pdf.");
}

#[test]
fn files_for_other_programs_and_sound_have_names_and_keys() {
    let mut shown = window(stand(), [1280.0, 800.0]);
    let save = |file| Command::Paper(PaperCommand::Save(file));
    for (name, key, file) in [
        ("MIDI file (M)", Key::M, PaperFile::Midi),
        ("MusicXML (X)", Key::X, PaperFile::MusicXml),
        ("compressed (Z)", Key::Z, PaperFile::CompressedMusicXml),
        ("WAV (H)", Key::H, PaperFile::Wav),
        ("FLAC (F)", Key::F, PaperFile::Flac),
    ] {
        shown.get_by_label(name).click();
        shown.run();
        assert_eq!(asked(&mut shown), [save(file)]);
        shown.key_press(key);
        shown.run();
        assert_eq!(asked(&mut shown), [save(file)]);
    }
    assert!(shown.query_by_label("stop (T)").is_none(), "nothing is being written");
    shown.state_mut().stand.paper.writing = Some(0.42);
    shown.run();
    shown.get_by_label("stop (T)").click();
    shown.run();
    shown.key_press(Key::T);
    shown.run();
    assert_eq!(asked(&mut shown), [Command::Paper(PaperCommand::Stop), Command::Paper(PaperCommand::Stop)]);
}

#[test]
fn the_paper_is_white_by_night_as_well() {
    let mut stand = stand();
    stand.view.theme = ui::Theme::Night;
    let mut shown = window(stand, [1280.0, 800.0]);
    let image = shown.render().unwrap();
    let white = (0..800)
        .flat_map(|y| (700..1240).map(move |x| (x, y)))
        .filter(|(x, y)| crate::support::raster::pixel(&image, *x, *y) == egui::Color32::WHITE)
        .count();
    assert!(white > 150_000, "{white}");
}
