//! Sheets as an independent reader sees them: poppler's `pdftotext`, `pdfinfo` and `pdffonts`.

use crate::support::have;
use exchange::sheet::{self, Kind, Meta, Naming, Passes, SheetOptions};
use std::path::Path;
use std::process::Command;
use voicing::Part;

/// What a tool of poppler says of a document.
fn told(tool: &str, options: &[&str], pdf: &Path) -> String {
    let mut call = Command::new(tool);
    call.args(options).arg(pdf);
    if tool == "pdftotext" {
        call.arg("-");
    }
    let out = call.output().unwrap();
    assert!(out.status.success(), "{tool}: {}", String::from_utf8_lossy(&out.stderr));
    // pdfinfo does not write the words of pictures as UTF-8.
    String::from_utf8_lossy(&out.stdout).into_owned()
}

fn demos() -> Vec<Part> {
    let one = |demo: &app::storage::Demo| {
        let song = song::read(demo.text).sound().unwrap().play();
        voicing::plan(&song, song.key, &voicing::Settings::default()).unwrap()
    };
    app::storage::DEMOS.iter().map(one).collect()
}

/// The bars of a text that was copied from a sheet: what stands before each `|`, back to the last word that is of no bar.
fn bars(text: &str) -> Vec<String> {
    let mut bars = Vec::new();
    let mut open: Vec<&str> = Vec::new();
    let mut words = text.split_whitespace();
    while let Some(word) = words.next() {
        match word {
            "|" => {
                bars.push(open.join(" "));
                open.clear();
            }
            // `pass 2 of 4`
            "of" => {
                words.next();
                open.clear();
            }
            word if is_of_a_bar(word) => open.push(word),
            _ => open.clear(),
        }
    }
    bars
}

/// What a bar says on paper: the chart's own text, as the song format's printer has it.
fn written(bar: &song::PlayedBar) -> String {
    let slots = bar.slots.iter().filter(|slot| !slot.continued);
    let one = |slot: &song::Slot| {
        let dots = ".".repeat(slot.dots.into());
        match &slot.kind {
            song::SlotKind::Chord { chord, push, diamond } => {
                let push = if *push { "^" } else { "" };
                let (open, close) = if *diamond { ("<", ">") } else { ("", "") };
                format!("{open}{push}{}{close}{dots}", chord.written)
            }
            song::SlotKind::Tie { .. } => format!("~{dots}"),
            song::SlotKind::Rest => format!("N{dots}"),
        }
    };
    slots.map(one).collect::<Vec<_>>().join(" ")
}

/// Whether a word is part of a bar: the song format's own parser takes it.
fn is_of_a_bar(word: &str) -> bool {
    let item = word.trim_end_matches('.');
    let (bars, mistakes) = song::parse_line(&format!("1 | {item}"));
    item == "~" || item == "N" || mistakes.is_empty() && bars.len() == 2 && bars[1].meter.is_none()
}

#[test]
fn every_chord_stands_on_the_sheet_once_as_it_is_written() {
    if !have("the text of a sheet", &["pdftotext"]) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let pdf = folder.path().join("sheet.pdf");
    for part in demos() {
        for kind in [Kind::Chart, Kind::Hands] {
            let options = SheetOptions {
                kind,
                naming: Naming::Numbers,
                passes: Passes::WrittenOut,
                ..SheetOptions::default()
            };
            let pages = sheet::pages(&part, &options);
            std::fs::write(&pdf, sheet::pdf(&pages, &Meta::of(&part)).unwrap()).unwrap();
            let found = bars(&told("pdftotext", &["-raw"], &pdf));
            let wanted: Vec<String> = part.bars.iter().map(|bar| written(&bar.played)).collect();
            assert_eq!(found, wanted, "{} as {kind:?}", part.title);
        }
    }
}

#[test]
fn a_document_is_tagged_titled_and_has_its_faces_with_it() {
    if !have("what a sheet says of itself", &["pdfinfo", "pdffonts"]) {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let pdf = folder.path().join("sheet.pdf");
    // One song stands for all: what is asked for does not hang on its chords.
    for part in demos().into_iter().take(1) {
        for kind in Kind::ALL {
            let pages = sheet::pages(&part, &SheetOptions { kind, ..SheetOptions::default() });
            std::fs::write(&pdf, sheet::pdf(&pages, &Meta::of(&part)).unwrap()).unwrap();
            let info = told("pdfinfo", &[], &pdf);
            for line in [
                "Tagged:          yes",
                &format!("Title:           {}", part.title),
                &format!("Pages:           {}", pages.len()),
            ] {
                assert!(info.contains(line), "{line:?} is not in {info}");
            }
            let fonts = told("pdffonts", &[], &pdf);
            for font in fonts.lines().skip(2) {
                assert!(
                    font.contains("DejaVuS") && font.contains(" yes yes yes "),
                    "embedded, a subset, with letters: {font}"
                );
            }
            let tags = told("pdfinfo", &["-struct-text"], &pdf);
            assert!(tags.contains(&format!("H1 \"{}\"", part.title)), "{tags}");
            let headings =
                part.sections.iter().filter(|name| tags.contains(&format!("H2 \"{name}\""))).count();
            assert_eq!(headings, if kind == Kind::Lesson { 0 } else { part.sections.len() }, "{tags}");
            assert_eq!(tags.matches("Figure").count() > 0, kind == Kind::Lesson);
            let bytes = std::fs::read(&pdf).unwrap();
            let has = |text: &[u8]| bytes.windows(text.len()).any(|window| window == text);
            assert!(has(b"en-GB") && has(b"pdfuaid:part"), "language, and the standard it keeps to");
        }
    }
}
