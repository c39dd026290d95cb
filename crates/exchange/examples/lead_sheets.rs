//! Reads a folder of lead sheets and compares their chords with a list made by another reader:
//! `cargo run -p exchange --example lead_sheets -- FOLDER`. The folder has MusicXML files and `chords.json`: per file its
//! `measures` and `harmony`, each `[measure from 0, offset in quarters, root, kind, bass or null, degrees]`; and where there
//! are repeats, `order`, the measures as they are played.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a tool for developers"
)]

use serde_json::Value;
use song::{PlayedSong, SlotKind};
use std::collections::BTreeSet;
use std::path::Path;

#[derive(Default)]
struct Sums {
    files: usize,
    chords: usize,
    exact: usize,
    moved: usize,
    in_part: usize,
    wrong: usize,
    orders_off: usize,
    miscounted: usize,
}

fn main() {
    let folder = std::env::args().nth(1).expect("a folder");
    let folder = Path::new(&folder);
    let list: Value = serde_json::from_slice(&std::fs::read(folder.join("chords.json")).unwrap()).unwrap();
    let mut sums = Sums::default();
    for file in list.as_array().unwrap() {
        let name = file["file"].as_str().unwrap();
        match exchange::musicxml::read(&std::fs::read(folder.join(name)).unwrap(), name) {
            Ok(imported) => compare(name, file, &imported, &mut sums),
            Err(error) => println!("{name}: {error}"),
        }
    }
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.file_name().unwrap().to_string_lossy().starts_with("broken") {
            let read = exchange::musicxml::read(&std::fs::read(&path).unwrap(), "");
            println!("{}: {}", path.display(), read.err().map_or("read!".into(), |e| e.to_string()));
        }
    }
    let Sums { files, chords, exact, moved, in_part, wrong, orders_off, miscounted } = sums;
    println!(
        "{files} files, {chords} chords: {exact} as they stand, {moved} at another beat (told), {in_part} said in part (told), \
         {wrong} wrong; {orders_off} played in another order, {miscounted} counted otherwise"
    );
}

fn compare(name: &str, file: &Value, imported: &exchange::Imported, sums: &mut Sums) {
    sums.files += 1;
    let song = song::read(&imported.song.to_text()).sound().unwrap().play();
    let measures = file["measures"].as_u64().unwrap() as usize;
    let order: Vec<usize> = match file["order"].as_array() {
        Some(order) => order.iter().map(|measure| measure.as_u64().unwrap() as usize).collect(),
        None => (0..measures).collect(),
    };
    if song.bars.len() != order.len() {
        println!("{name}: {} bars as played, {} by the list", song.bars.len(), order.len());
        sums.orders_off += 1;
        return;
    }
    let (moved, in_part) = (sums.moved, sums.in_part);
    let mut seen = BTreeSet::new();
    for (bar, measure) in order.into_iter().enumerate() {
        let wrong = sums.wrong;
        let mut own = Sums::default();
        compare_bar(name, file, &song, (bar, measure), &mut own);
        sums.wrong += own.wrong;
        if seen.insert(measure) {
            sums.chords += own.chords;
            sums.exact += own.exact;
            sums.moved += own.moved;
            sums.in_part += own.in_part;
        } else if sums.wrong > wrong {
            println!("{name}: bar {bar} as played is not measure {measure}");
        }
    }
    let figures = imported.figures;
    let (moved, in_part) = (sums.moved - moved, sums.in_part - in_part);
    if (figures.moved, figures.simplified, figures.noted) != (moved, in_part, 0) {
        println!("{name}: {moved} moved and {in_part} in part, and it says {figures:?}");
        sums.miscounted += 1;
    }
}

fn compare_bar(name: &str, file: &Value, song: &PlayedSong, (bar, measure): (usize, usize), sums: &mut Sums) {
    let of_measure = |h: &&Value| h[0].as_u64() == Some(measure as u64);
    let harmony: Vec<&Value> = file["harmony"].as_array().unwrap().iter().filter(of_measure).collect();
    let chords = chords(song, bar);
    let text = &song.bars[bar].text;
    if chords.len() != harmony.iter().filter(|h| h[3] != "none").count() {
        println!("{name} bar {bar}: {} chords, {} on the page: {text}", chords.len(), harmony.len());
        sums.wrong += harmony.len();
    }
    for (h, (at, root, classes, bass)) in harmony.iter().zip(chords) {
        sums.chords += 1;
        let right_root = h[2] == root.as_str();
        let right_bass = h[4].as_str().is_none_or(|b| b == bass);
        let expected = expected(h);
        let right_at = (h[1].as_f64().unwrap() - at).abs() < 1e-9;
        if !right_root || !right_bass {
            println!("{name} bar {bar}: {h} came as {root} over {bass}");
            sums.wrong += 1;
            continue;
        }
        let whole = expected.as_ref() == Some(&classes);
        if !whole {
            sums.in_part += 1;
            println!("{name} bar {bar}: {h} said in part: {text}");
        }
        if !right_at {
            sums.moved += 1;
            println!("{name} bar {bar}: {h} came at {at}: {text}");
        }
        sums.exact += usize::from(whole && right_at);
    }
}

type Found = (f64, String, BTreeSet<u8>, String);

fn chords(song: &PlayedSong, bar: usize) -> Vec<Found> {
    let chord = |slot: &song::Slot| match &slot.kind {
        SlotKind::Chord { chord, .. } => {
            let classes = chord.tones.iter().map(|tone| tone.semitones % 12).collect();
            Some((slot.start.to_f64(), chord.root().to_string(), classes, chord.bass.to_string()))
        }
        _ => None,
    };
    song.bars[bar].slots.iter().filter_map(chord).collect()
}

/// Semitones above the root, by the definitions of MusicXML 4.0.
fn expected(h: &Value) -> Option<BTreeSet<u8>> {
    let base: &[u8] = match h[3].as_str()? {
        "major" => &[0, 4, 7],
        "minor" => &[0, 3, 7],
        "augmented" => &[0, 4, 8],
        "diminished" => &[0, 3, 6],
        "dominant" => &[0, 4, 7, 10],
        "major-seventh" => &[0, 4, 7, 11],
        "minor-seventh" => &[0, 3, 7, 10],
        "diminished-seventh" => &[0, 3, 6, 9],
        "augmented-seventh" => &[0, 4, 8, 10],
        "half-diminished" => &[0, 3, 6, 10],
        "major-minor" => &[0, 3, 7, 11],
        "major-sixth" => &[0, 4, 7, 9],
        "minor-sixth" => &[0, 3, 7, 9],
        "dominant-ninth" => &[0, 4, 7, 10, 2],
        "major-ninth" => &[0, 4, 7, 11, 2],
        "minor-ninth" => &[0, 3, 7, 10, 2],
        "augmented-ninth" => &[0, 4, 8, 10, 2],
        "dominant-11th" => &[0, 4, 7, 10, 2, 5],
        "minor-11th" => &[0, 3, 7, 10, 2, 5],
        // Without the eleventh: common practice.
        "dominant-13th" => &[0, 4, 7, 10, 2, 9],
        "minor-13th" => &[0, 3, 7, 10, 2, 9],
        "suspended-second" => &[0, 2, 7],
        "suspended-fourth" => &[0, 5, 7],
        "power" => &[0, 7],
        _ => return None,
    };
    let mut set: BTreeSet<u8> = base.iter().copied().collect();
    for degree in h[5].as_array()? {
        let mut parts = degree.as_str()?.split(':');
        let value: usize = parts.next()?.parse().ok()?;
        let alter: i16 = parts.next()?.parse().ok()?;
        let usual = i16::from([0u8, 2, 4, 5, 7, 9, 10][(value - 1) % 7]);
        match parts.next()? {
            "add" => drop(set.insert((usual + alter).rem_euclid(12) as u8)),
            "alter" => {
                let own = set.iter().copied().find(|s| (i16::from(*s) - usual).abs() <= 1)?;
                set.remove(&own);
                set.insert((i16::from(own) + alter).rem_euclid(12) as u8);
            }
            _ => drop(set.remove(&(usual as u8))),
        }
    }
    Some(set)
}
