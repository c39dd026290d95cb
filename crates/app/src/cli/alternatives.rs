//! `overhand part SONG --alternatives BAR`: how else a chord could be held, what it would cost, and why it lost.

use super::{Answer, Form, Player, song_file};
use serde::Serialize;
use song::Hold;
use std::path::Path;
use theory::{Hand, Pitch};
use voicing::{Alternative, Part, Pin, Reason};

/// So many for each hand.
const MOST: usize = 4;

/// A chord of the song as played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChordPlace {
    /// The bar, from 1.
    pub bar: usize,
    /// The chord in it, from 1.
    pub chord: usize,
}

/// Reads `12` or `12.2`.
pub fn parse_place(text: &str) -> Result<ChordPlace, String> {
    let (bar, chord) = text.split_once('.').unwrap_or((text, "1"));
    let number = |text: &str| text.parse::<usize>().ok().filter(|&n| n > 0);
    let place = number(bar).zip(number(chord)).map(|(bar, chord)| ChordPlace { bar, chord });
    place.ok_or_else(|| {
        "write the bar of the song as played, and the chord in it if there are several: 12 or 12.2".into()
    })
}

#[derive(Serialize)]
struct Others {
    bar: usize,
    chord: usize,
    name: String,
    right: Vec<Other>,
    left: Vec<Other>,
}

#[derive(Serialize)]
struct Other {
    notes: Vec<String>,
    midi: Vec<u8>,
    tones: Vec<String>,
    fingers: Vec<u8>,
    inversion: Option<u8>,
    costs_more: i64,
    why: String,
    pin: PinJson,
}

#[derive(Serialize)]
struct PinJson {
    #[serde(skip_serializing_if = "Option::is_none")]
    tones: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shape: Option<&'static str>,
    near: String,
}

/// The alternatives of one chord.
pub fn answer(song: &Path, player: &Player, place: ChordPlace, form: Form) -> Answer {
    let file = match song_file::read(song) {
        Ok(file) => file,
        Err(answer) => return answer,
    };
    let played = file.song.play();
    let settings = player.settings();
    let key = player.key.unwrap_or(played.key);
    let part = match voicing::plan(&played, key, &settings) {
        Ok(part) => part,
        Err(other_mode) => return Answer::wrong_call(other_mode.to_string()),
    };
    let at = (place.bar - 1, place.chord - 1);
    let slot = part.bars.get(at.0).and_then(|bar| bar.played.slots.get(at.1));
    let Some(slot) = slot else {
        return Answer::wrong_call(format!(
            "there is no chord {} in bar {}; the song has {} bars as played",
            place.chord,
            place.bar,
            part.bars.len()
        ));
    };
    let of = |hand| {
        let wanted = player.hands().has(hand);
        let most = if wanted { MOST } else { 0 };
        voicing::alternatives(&played, key, &settings, at, hand, most)
    };
    let (right, left) = (of(Hand::Right), of(Hand::Left));
    let name = super::part_json::name(slot);
    let answer = if form.json {
        let document = |others: &[Alternative]| others.iter().map(other).collect();
        let (bar, chord) = (place.bar, place.chord);
        Answer::json(&Others { bar, chord, name, right: document(&right), left: document(&left) })
    } else {
        Answer::done(text(&part, place, &name, [(Hand::Right, &right), (Hand::Left, &left)]))
    };
    answer.telling(file.warnings)
}

fn text(part: &Part, place: ChordPlace, name: &str, hands: [(Hand, &Vec<Alternative>); 2]) -> String {
    let mut out = format!("{}\nbar {}, chord {}: {name}\n", part.title, place.bar, place.chord);
    let chord = &part.bars[place.bar - 1].chords[place.chord - 1];
    for (hand, others) in hands.into_iter().filter(|(_, others)| !others.is_empty()) {
        let played: Vec<Pitch> = chord.hand(hand).notes.iter().map(|note| note.pitch).collect();
        out += &format!("\n  {:<5}  plays {}\n", hand.name(), names(&played).join(" "));
        let lines: Vec<[String; 2]> = others.iter().map(notes_and_fingers).collect();
        let width = |column: usize| lines.iter().map(|line| line[column].len()).max().unwrap_or(0);
        let (wide, fingers_wide) = (width(0), width(1));
        for ([notes, fingers], other) in lines.iter().zip(others) {
            let costs = other.costs_more;
            out += &format!("    {notes:wide$}  {fingers:fingers_wide$}  {costs:>+5}  {}\n", why(other));
        }
    }
    out
}

fn notes_and_fingers(other: &Alternative) -> [String; 2] {
    let fingers: Vec<String> = other.shape.notes.iter().map(voicing::HeldNote::finger_text).collect();
    [names(&other.notes).join(" "), fingers.join(" ")]
}

fn why(other: &Alternative) -> String {
    Reason { hand: None, claim: other.why.clone() }.text()
}

fn names(notes: &[Pitch]) -> Vec<String> {
    notes.iter().map(Pitch::to_string).collect()
}

fn other(other: &Alternative) -> Other {
    Other {
        notes: names(&other.notes),
        midi: other.notes.iter().filter_map(|note| Some(note.key()?.number())).collect(),
        tones: other.members.iter().map(ToString::to_string).collect(),
        fingers: other.shape.notes.iter().map(|note| note.finger.number()).collect(),
        inversion: other.inversion,
        costs_more: other.costs_more,
        why: why(other),
        pin: pin(&other.pin),
    }
}

fn pin(pin: &Pin) -> PinJson {
    let (tones, shape) = match &pin.hold {
        Hold::Tones(tones) => (Some(tones.to_string()), None),
        Hold::Shape(shape) => (None, Some(shape.name())),
        Hold::Notes(_) => (None, None),
    };
    PinJson { tones, shape, near: pin.near.to_string() }
}
