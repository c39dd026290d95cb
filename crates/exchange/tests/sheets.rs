//! Sheets, measured: no text leaves its box, nothing overlaps, whatever a song holds.
#![allow(clippy::disallowed_methods)] // The demo songs are read as they lie there, so that a new one is measured as well.

use exchange::sheet::{self, Area, Item, Kind, Meta, Naming, Page, Paper, Passes, Role, SheetOptions};
use std::fmt::Write as _;
use voicing::{Part, Settings};

const DEMOS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo-songs");

fn part(text: &str) -> Part {
    let reading = song::read(text);
    let song = reading.song.unwrap_or_else(|| panic!("{:?}", reading.diagnostics)).play();
    voicing::plan(&song, song.key, &Settings::default()).unwrap()
}

fn demo(file: &str) -> Part {
    part(&std::fs::read_to_string(format!("{DEMOS}/{file}.json")).unwrap())
}

fn demos() -> Vec<Part> {
    let files = std::fs::read_dir(DEMOS).unwrap().map(|entry| entry.unwrap().path());
    let songs = files.filter(|path| path.extension().is_some_and(|ending| ending == "json"));
    songs.map(|path| part(&std::fs::read_to_string(path).unwrap())).collect()
}

fn all_options() -> impl Iterator<Item = SheetOptions> {
    Kind::ALL.into_iter().flat_map(|kind| {
        Paper::ALL.into_iter().flat_map(move |paper| {
            Naming::ALL.into_iter().flat_map(move |naming| {
                Passes::ALL.into_iter().map(move |passes| SheetOptions { kind, paper, naming, passes })
            })
        })
    })
}

/// Each kind with each paper, naming and way with passes at least once.
fn some_options() -> impl Iterator<Item = SheetOptions> {
    all_options().filter(|options| match (options.paper, options.passes) {
        (Paper::A4, Passes::Folded) => options.naming == Naming::Both,
        (Paper::Letter, Passes::WrittenOut) => options.naming == Naming::Letters,
        (Paper::Letter, Passes::Folded) => options.naming == Naming::Numbers && options.kind == Kind::Chart,
        _ => false,
    })
}

/// What stands on a page, in reading order.
fn says(pages: &[Page]) -> String {
    pages.iter().flat_map(Page::words).map(|words| words.says.as_str()).collect()
}

/// Measures pages: ink within its box, boxes within the page, no ink on other ink, no text over a bar line.
fn measure(pages: &[Page], about: &str) {
    for (number, page) in pages.iter().enumerate() {
        let paper = Area::new(20.0, 20.0, page.width - 20.0, page.height - 20.0);
        let mut inks: Vec<(Area, &str)> = Vec::new();
        for words in page.words() {
            let Some(ink) = words.ink_area() else { continue };
            let place = || format!("{about}, page {number}: {:?} at {ink:?} in {:?}", words.says, words.room);
            assert!(words.room.holds(&ink), "leaves its box: {}", place());
            assert!(paper.holds(&ink), "leaves the paper: {}", place());
            for (other, text) in &inks {
                assert!(!ink.overlaps(other), "lies on {text:?} at {other:?}: {}", place());
            }
            inks.push((ink, &words.says));
        }
        for block in page.blocks.iter().filter(|block| block.role == Role::Text) {
            for mark in block.items.iter().filter_map(upright) {
                let struck = inks.iter().find(|(ink, _)| ink.overlaps(&mark));
                assert!(struck.is_none(), "{about}, page {number}: a bar line goes through {struck:?}");
            }
        }
    }
}

/// The box of an upright line that is longer than a finger's mark.
fn upright(item: &Item) -> Option<Area> {
    let Item::Mark(mark) = item else { return None };
    let area = mark.area()?;
    (area.right - area.left < 1.5 && area.bottom - area.top > 16.0).then_some(area)
}

#[test]
fn nothing_leaves_its_box_or_lies_on_anything_else() {
    for part in demos() {
        for options in some_options() {
            measure(&sheet::pages(&part, &options), &format!("{}, {options:?}", part.title));
        }
    }
}

/// A song that nobody would write: endless words, endless rows, bars of a thirty-second, every long chord.
fn hostile() -> String {
    let word = "Endlos".repeat(60);
    let crowd = ["#4dim(dim7)/b7"; 16].join(" ");
    let row = ["5sus4(7b9)/#1 b3M(maj9) 6- 2(11)"; 20].join(" | ");
    let tiny = ["1/32: 5M(7#9)/b6"; 24].join(" | ");
    let strange = "\u{202E}\u{1F3B9}\u{1F9D1}\u{200D}\u{1F3A4} \u{5E9}\u{5DC}\u{5D5}\u{5DD} \u{0}\u{7}\t\u{4E2D}\u{6587} \u{F6C5}\u{E000} ﬃ e\u{301}\u{300}\u{302}";
    let figure = ["[v12]1--"; 16].join(" ");
    let note = format!("{strange} {word} {}", "A note that does not want to end. ".repeat(150));
    let text = serde_json::json!({
        "format": 1, "title": format!("{strange} {word} {word}"), "note": note, "key": "Cb major", "tempo": 300,
        "meter": "32/8", "level": 5,
        "right": { "notes": 4, "figure": figure },
        "sections": [
            { "name": word, "note": note, "cue": note, "bars": [crowd, "1", row.replace(" | ", " ")] },
            { "name": "Many words in a name that goes on and on, as if the margin had no end at all",
              "meter": "4/4", "key": "B minor", "bars": [row, tiny], "passes": 9,
              "except": [ { "pass": "2-8", "bar": [1, 2, 3, 4, 5, 6], "bars": row, "note": note },
                          { "pass": 9, "bar": 1, "bars": [], "replaces": 1 } ] },
            { "name": "\u{1F3B9}", "meter": "4/4", "bars": ["<^5sus4(7b9)/#1> ~ N <1>", "~", "%"] } ]
    });
    text.to_string()
}

#[test]
fn nothing_overlaps_however_long_a_title_or_a_note() {
    let reading = song::read(&hostile());
    let song = reading.song.expect("the reader lets it through, with mistakes").play();
    let part = voicing::plan(&song, song.key, &Settings::default()).unwrap();
    for options in some_options() {
        let pages = sheet::pages(&part, &options);
        assert!(pages.len() > 2, "{options:?}");
        measure(&pages, &format!("{options:?}"));
        if options.naming == Naming::Both {
            sheet::pdf(&pages, &Meta::of(&part)).unwrap();
        }
    }
}

#[test]
fn a_song_without_anything_is_a_page_with_its_title() {
    let mut part = demo("lanterns-at-the-lock");
    (part.bars, part.events, part.title) = (Vec::new(), Vec::new(), String::new());
    for options in all_options() {
        let pages = sheet::pages(&part, &options);
        assert_eq!(pages.len(), 1);
        measure(&pages, "empty");
        sheet::pdf(&pages, &Meta::of(&part)).unwrap();
    }
}

#[test]
fn a_song_of_a_page_stays_on_one_page() {
    let short =
        ["lanterns-at-the-lock", "heron-waltz", "saturday-quay", "frost-on-the-sluice", "the-long-pound"];
    for part in short.map(demo) {
        for paper in Paper::ALL {
            let pages = sheet::pages(&part, &SheetOptions { paper, ..SheetOptions::default() });
            assert_eq!(pages.len(), 1, "{} on {paper:?}", part.title);
            let lines = pages[0].blocks.iter().any(|block| block.role == Role::Ornament);
            assert!(lines, "{} has room to write on {paper:?}", part.title);
        }
    }
}

#[test]
fn what_differs_in_a_pass_stands_under_its_section() {
    // Read off the song file: bar 4 is another in passes 3 and 4, other tones in pass 2, a cue in bars 1 and 3.
    let said = says(&sheet::pages(&demo("lanterns-at-the-lock"), &SheetOptions::default()));
    for text in [
        "Form: Intro – Verse ×4 – Lift – Chorus – Lift – Chorus ×2 – Last light",
        "4 times",
        "bar 4, passes 3, 4 6 | ",
        "Pass 2, bar 4: ",
        "Only here the top moves up.",
        "Pass 4, bars 1, 3: Listen for: the singer holds 'water'",
        "Left hand takes the number under the slash.",
        "Invented song of the invented Fourth Lock Band.",
    ] {
        assert!(said.contains(text), "{text:?} is not in {said}");
    }
}

#[test]
fn written_out_every_pass_of_every_place_stands_there() {
    let part = demo("lanterns-at-the-lock");
    let options =
        SheetOptions { passes: Passes::WrittenOut, naming: Naming::Numbers, ..SheetOptions::default() };
    let said = says(&sheet::pages(&part, &options));
    assert_eq!(said.matches("| ").count(), part.bars.len());
    assert_eq!(said.matches("pass 3 of 4").count(), 1);
}

#[test]
fn the_key_of_the_night_is_told_from_that_of_the_song() {
    let song = song::read(&std::fs::read_to_string(format!("{DEMOS}/lanterns-at-the-lock.json")).unwrap());
    let song = song.song.unwrap().play();
    let part = voicing::plan(&song, "Eb major".parse().unwrap(), &Settings::default()).unwrap();
    let options = SheetOptions { naming: Naming::Letters, ..SheetOptions::default() };
    let said = says(&sheet::pages(&part, &options));
    assert!(said.contains("E♭ major (written in D major)"), "{said}");
    assert!(said.contains("Bb/D") && !said.contains("C#"), "a third in the bass: {said}");
}

/// The bar lines of each row, as their places from the left.
fn bar_lines(pages: &[Page]) -> Vec<Vec<f32>> {
    let rows = pages.iter().flat_map(|page| &page.blocks).filter(|block| block.role == Role::Text);
    let lines = rows.map(|block| {
        let lines = block.items.iter().filter_map(upright);
        lines.map(|area| 0.5 * (area.left + area.right)).collect::<Vec<f32>>()
    });
    lines.filter(|lines| lines.len() > 1).collect()
}

#[test]
fn a_bar_is_as_wide_as_its_beats() {
    let text = r#"{ "format": 1, "title": "Widths", "key": "C major", "tempo": 90,
        "sections": [ { "name": "A", "bars": ["1 | 3/4: 4 | 5 | 2/4: 1"] } ] }"#;
    let lines = bar_lines(&sheet::pages(&part(text), &SheetOptions::default()));
    let widths: Vec<f32> = lines[0].windows(2).map(|pair| pair[1] - pair[0]).collect();
    let beats = [4.0, 3.0, 4.0, 2.0];
    for (width, beats) in widths.iter().zip(beats) {
        assert!((width / widths[0] - beats / 4.0).abs() < 0.01, "{widths:?}");
    }
}

#[test]
fn a_row_is_broken_between_bars_only() {
    let bars = (0..40).map(|_| "1 4 5 1").collect::<Vec<_>>().join(" | ");
    let text = format!(
        r#"{{ "format": 1, "title": "Long", "key": "C major", "tempo": 90, "sections": [ {{ "name": "A", "bars": ["{bars}"] }} ] }}"#
    );
    let pages = sheet::pages(&part(&text), &SheetOptions { kind: Kind::Hands, ..SheetOptions::default() });
    let rows = pages.iter().flat_map(|page| &page.blocks).filter(|block| block.role == Role::Text);
    let mut bars = 0;
    for row in rows {
        let said: Vec<&str> = row.items.iter().filter_map(words).collect();
        let chords: Vec<&&str> =
            said.iter().filter(|text| text.ends_with("| ") || ["1 ", "4 ", "5 "].contains(text)).collect();
        if let Some(last) = chords.last() {
            assert!(last.ends_with("| "), "{chords:?}");
            bars += chords.iter().filter(|text| text.ends_with("| ")).count();
        }
    }
    assert_eq!(bars, 40);
}

fn words(item: &Item) -> Option<&str> {
    match item {
        Item::Words(words) => Some(&words.says),
        Item::Mark(_) => None,
    }
}

#[test]
fn both_hands_stand_under_each_chord() {
    let part = demo("lanterns-at-the-lock");
    let options = SheetOptions { kind: Kind::Hands, passes: Passes::WrittenOut, ..SheetOptions::default() };
    let said = says(&sheet::pages(&part, &options));
    let mut wanted = String::new();
    for (bar, chords) in part.bars.iter().map(|bar| (&bar.played, &bar.chords)) {
        for (slot, chord) in bar.slots.iter().zip(chords) {
            if !matches!(slot.kind, song::SlotKind::Chord { .. }) {
                continue;
            }
            let note = |note: &voicing::HeldNote| format!("{} {}", note.pitch.pretty(), note.finger_text());
            let notes: Vec<String> = chord.right.notes.iter().map(note).collect();
            write!(wanted, "right hand {}; ", notes.join(", ")).unwrap();
        }
    }
    let hands: String = said
        .split("; ")
        .filter_map(|text| text.rfind("right hand ").map(|at| &text[at..]))
        .filter(|text| !text.contains("figure"))
        .map(|text| format!("{text}; "))
        .collect();
    assert_eq!(hands, wanted);
    assert!(said.contains("left hand figure 12 12 12 12; "));
    for part in demos() {
        let pages = sheet::pages(&part, &options);
        let cut: Vec<String> = pages
            .iter()
            .flat_map(Page::words)
            .map(sheet::Words::shown)
            .filter(|text| text.contains('…'))
            .collect();
        assert!(cut.is_empty(), "{}: {cut:?}", part.title);
    }
}

#[test]
fn a_lesson_has_scale_shapes_reasons_and_a_caution() {
    let part = demo("lanterns-at-the-lock");
    let pages = sheet::pages(&part, &SheetOptions { kind: Kind::Lesson, ..SheetOptions::default() });
    let said = says(&pages);
    // D major, hands together: Hanon, The Virtuoso Pianist, no. 39.
    assert!(said.contains("right 1 2 3 1 2 3 4 5 left 5 4 3 2 1 3 2 1 "), "{said}");
    assert!(said.contains("the thumb under 3 from F♯ to G"));
    assert!(said.contains("ask a teacher or a clinician"));
    let pictures: Vec<&str> = pages.iter().flat_map(|page| &page.blocks).filter_map(picture).collect();
    assert!(
        pictures.contains(&"right hand D4 finger 1, F♯4 finger 3; left hand D3 finger 5, A3 finger 1"),
        "{pictures:?}"
    );
    for symbol in ["5/7", "1sus2/5", "4no3/1"] {
        assert_eq!(
            said.matches(&format!("{symbol} ")).count(),
            said.matches(&format!("{symbol} in D")).count() + 1
        );
    }
}

fn picture(block: &sheet::Block) -> Option<&str> {
    match &block.role {
        Role::Picture(shows) => Some(shows),
        _ => None,
    }
}

#[test]
fn a_drawing_is_well_formed_and_says_what_it_shows() {
    let part = demo("heron-waltz");
    for kind in Kind::ALL {
        for page in sheet::pages(&part, &SheetOptions { kind, ..SheetOptions::default() }) {
            let svg = sheet::svg(&page);
            let mut reader = quick_xml::Reader::from_str(&svg);
            let (mut uses, mut said) = (0, 0);
            loop {
                match reader.read_event().unwrap() {
                    quick_xml::events::Event::Eof => break,
                    quick_xml::events::Event::Empty(tag) if tag.name().as_ref() == b"use" => uses += 1,
                    quick_xml::events::Event::Start(tag) if tag.name().as_ref() == b"text" => said += 1,
                    _ => {}
                }
            }
            let words = page.words().filter(|words| words.ink_area().is_some());
            assert_eq!(said, words.count());
            assert!(uses > 100);
        }
    }
}
