//! Scores of the demo songs in all fifteen keys of their mode: they hold the notes of the part, and no tie stands in the
//! way of another. The readers for which that matters join tied notes staff by staff, one tie at a time.

use crate::demos::DEMOS;
use exchange::musicxml;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use song::Quarters;
use std::collections::BTreeMap;
use theory::{Hand, Key};
use voicing::{Part, Settings};

/// A `<note>`; times in divisions from the first measure on.
#[derive(Clone, Debug, Default)]
struct Note {
    measure: String,
    staff: u8,
    voice: u8,
    /// MIDI number; `None`: a rest.
    key: Option<i64>,
    start: i64,
    end: i64,
    tied_from: bool,
    tied_to: bool,
}

#[test]
fn demo_songs_in_every_key_have_one_tie_at_a_time() {
    let mut said = Vec::new();
    for (name, text) in DEMOS {
        let song = song::read(text).sound().unwrap().play();
        for key in Key::all().filter(|key| key.mode() == song.key.mode()) {
            let part = voicing::plan(&song, key, &Settings::default()).unwrap();
            let (divisions, notes) = read(&musicxml::write(&part));
            assert_eq!(sounding(&notes, divisions), struck(&part), "{name} in {key}: the notes of the part");
            said.extend(in_the_way(&notes).into_iter().map(|what| format!("{name} in {key}, {what}")));
        }
    }
    assert_eq!(said, [""; 0], "ties that something stands in the way of");
}

/// Ties from one chord, or note, to the next that are open at the same time on one staff, and ties of chords, or over more
/// than one bar line, behind which something else is struck before they end.
fn in_the_way(notes: &[Note]) -> Vec<String> {
    let mut signs: BTreeMap<(u8, i64, u8), Vec<&Note>> = BTreeMap::new();
    for note in notes {
        signs.entry((note.staff, note.start, note.voice)).or_default().push(note);
    }
    let mut said = Vec::new();
    let mut open: [Option<&Note>; 3] = [None; 3];
    for ((staff, start, voice), sign) in &signs {
        let first = sign[0];
        let Some(tied) = sign.iter().find(|note| note.tied_to) else { continue };
        let mut tell = |what: &str| said.push(format!("measure {}, staff {staff}: {what}", first.measure));
        if open[usize::from(*staff)].is_some_and(|other| other.end > *start) {
            tell("two ties at once");
        }
        if !sign.iter().all(|note| note.tied_to && note.end == first.end) {
            tell("a part of a chord is tied");
        }
        let between = signs.range((*staff, *start, *voice)..(*staff, first.end, *voice));
        if (sign.len() > 1 || first.tied_from) && between.count() > 1 {
            tell(&format!("something begins before a tie in voice {voice} ends"));
        }
        open[usize::from(*staff)] = Some(tied);
    }
    said
}

/// Staff, key, start and length in quarters of every note, what is tied joined.
fn sounding(notes: &[Note], divisions: i64) -> Vec<(u8, i64, Quarters, Quarters)> {
    let quarters = |divided: i64| Quarters::new(divided, divisions);
    let mut notes: Vec<Note> = notes.iter().filter(|note| note.key.is_some()).cloned().collect();
    notes.sort_by_key(|note| note.start);
    let mut joined: Vec<Note> = Vec::new();
    for note in notes {
        let before = joined.iter_mut().rev();
        let mut before = before.filter(|other| (other.staff, other.key) == (note.staff, note.key));
        match before.next().filter(|_| note.tied_from) {
            Some(other) => {
                assert!(
                    other.tied_to && other.end == note.start,
                    "a tie that leads nowhere in {}",
                    note.measure
                );
                (other.end, other.tied_to) = (note.end, note.tied_to);
            }
            None => joined.push(note),
        }
    }
    assert!(joined.iter().all(|note| !note.tied_to), "a tie without end");
    let mut sounding: Vec<_> = joined
        .iter()
        .map(|note| (note.staff, note.key.unwrap(), quarters(note.start), quarters(note.end - note.start)))
        .collect();
    sounding.sort();
    sounding
}

/// The same of a part's events. A first push lies in a measure of its own.
fn struck(part: &Part) -> Vec<(u8, i64, Quarters, Quarters)> {
    let first = part.events.iter().map(|event| event.start).min().unwrap().min(Quarters::ZERO);
    let last = &part.bars.last().unwrap().played;
    let end = last.start + last.meter.length();
    let mut struck: Vec<_> = part
        .events
        .iter()
        .map(|event| {
            let staff = if event.hand == Hand::Right { 1 } else { 2 };
            let length = event.length.min(end - event.start);
            (staff, i64::from(event.key.number()), event.start - first, length)
        })
        .collect();
    struck.sort();
    struck
}

/// The divisions of a quarter and the notes of a score, read as MusicXML 4.0 says ("duration", "backup", "chord").
fn read(score: &[u8]) -> (i64, Vec<Note>) {
    let mut reader = Reader::from_reader(score);
    let (mut divisions, mut measure, mut begins, mut at, mut chord_at) = (1, String::new(), 0, 0, 0);
    let mut notes = Vec::new();
    let mut open = Element::default();
    let mut text = String::new();
    let mut longest = 0;
    loop {
        match reader.read_event().unwrap() {
            Event::Start(start) => {
                let name = name_of(&start);
                match name.as_str() {
                    "measure" => {
                        begins = longest;
                        at = begins;
                        measure = attribute(&start, "number");
                    }
                    "note" | "backup" | "forward" => open = Element::default(),
                    _ => {}
                }
                text.clear();
            }
            Event::Empty(empty) => match name_of(&empty).as_str() {
                "chord" => open.chord = true,
                "tie" => match attribute(&empty, "type").as_str() {
                    "stop" => open.note.tied_from = true,
                    _ => open.note.tied_to = true,
                },
                _ => {}
            },
            Event::Text(part) => text += &part.decode().unwrap(),
            Event::End(end) => {
                let number = || text.trim().parse::<i64>().unwrap();
                match std::str::from_utf8(end.name().as_ref()).unwrap() {
                    "divisions" => divisions = number(),
                    "duration" => open.duration = number(),
                    "step" => open.step = "C D EF G A B".find(text.trim()).unwrap() as i64,
                    "alter" => open.alter = number(),
                    "octave" => open.octave = Some(number()),
                    "voice" => open.note.voice = number() as u8,
                    "staff" => open.note.staff = number() as u8,
                    "backup" => at -= open.duration,
                    "forward" => at += open.duration,
                    "note" => {
                        let start = if open.chord { chord_at } else { at };
                        (chord_at, at) = (start, start + open.duration);
                        longest = longest.max(at);
                        let key = open.octave.map(|octave| 12 * (octave + 1) + open.step + open.alter);
                        let measure = measure.clone();
                        notes.push(Note { measure, key, start, end: at, ..open.note.clone() });
                    }
                    _ => {}
                }
                text.clear();
            }
            Event::Eof => return (divisions, notes),
            _ => {}
        }
        assert!(at >= begins, "measure {measure} goes back before it begins");
    }
}

/// What a `<note>`, `<backup>` or `<forward>` says.
#[derive(Default)]
struct Element {
    note: Note,
    chord: bool,
    duration: i64,
    /// Semitones above C.
    step: i64,
    alter: i64,
    octave: Option<i64>,
}

fn name_of(start: &BytesStart<'_>) -> String {
    String::from_utf8(start.name().as_ref().to_vec()).unwrap()
}

fn attribute(start: &BytesStart<'_>, name: &str) -> String {
    let attribute = start.try_get_attribute(name).unwrap().unwrap();
    String::from_utf8(attribute.value.to_vec()).unwrap()
}
