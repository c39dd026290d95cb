//! `overhand scale`: the notes of a scale, both hands' fingers, and where they cross.

use super::table::lined_up;
use super::{Answer, Form};
use serde::Serialize;
use theory::{Crossing, Hand, Pitch, Scale, ScaleFingers, ScaleKind};

#[derive(Serialize)]
struct ScaleJson {
    key: String,
    accidentals: i8,
    notes: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    notes_down: Option<Vec<String>>,
    octaves: u8,
    right: FingersJson,
    left: FingersJson,
}

#[derive(Serialize)]
struct FingersJson {
    up: Vec<u8>,
    #[serde(skip_serializing_if = "Option::is_none")]
    down: Option<Vec<u8>>,
    crossings_up: Vec<CrossingJson>,
    crossings_down: Vec<CrossingJson>,
}

#[derive(Serialize)]
struct CrossingJson {
    from: usize,
    to: usize,
    kind: &'static str,
    finger: u8,
}

/// The scale of a key, over some octaves.
pub fn answer(key: &str, octaves: u8, form: Form) -> Answer {
    let scale: Scale = match key.parse() {
        Ok(scale) => scale,
        Err(theory::ParseKeyError { message }) => return Answer::wrong_call(message),
    };
    let fingers = |hand| scale.fingers(hand, octaves);
    let (Some(right), Some(left)) = (fingers(Hand::Right), fingers(Hand::Left)) else {
        return Answer::wrong_call("a scale is shown over 1 to 4 octaves".to_owned());
    };
    if form.json {
        Answer::json(&scale_json(scale, octaves, &right, &left))
    } else {
        Answer::done(text(scale, octaves, &right, &left))
    }
}

/// Melodic minor: the notes on the way down are others.
fn comes_down_otherwise(scale: Scale) -> bool {
    scale.kind() == ScaleKind::MelodicMinor
}

fn scale_json(scale: Scale, octaves: u8, right: &ScaleFingers, left: &ScaleFingers) -> ScaleJson {
    let otherwise = comes_down_otherwise(scale);
    let names = |notes: Vec<theory::NoteName>| notes.iter().map(|note| note.to_string()).collect();
    ScaleJson {
        key: scale.to_string(),
        accidentals: scale.signature(),
        notes: names(scale.notes()),
        notes_down: otherwise.then(|| names(scale.notes_down())),
        octaves,
        right: fingers_json(right, otherwise),
        left: fingers_json(left, otherwise),
    }
}

fn fingers_json(fingers: &ScaleFingers, with_down: bool) -> FingersJson {
    let numbers = |fingers: &[theory::Finger]| fingers.iter().map(|f| f.number()).collect();
    let crossings = |crossings: &[Crossing]| crossings.iter().map(crossing_json).collect();
    FingersJson {
        up: numbers(&fingers.up),
        down: with_down.then(|| numbers(&fingers.down)),
        crossings_up: crossings(&fingers.crossings_up),
        crossings_down: crossings(&fingers.crossings_down),
    }
}

fn crossing_json(crossing: &Crossing) -> CrossingJson {
    CrossingJson {
        from: crossing.from,
        to: crossing.to,
        kind: crossing.kind.name(),
        finger: crossing.finger.number(),
    }
}

fn text(scale: Scale, octaves: u8, right: &ScaleFingers, left: &ScaleFingers) -> String {
    let (up, down) = (scale.pitches_up(4, octaves), scale.pitches_down(4, octaves));
    let mut out = format!("{scale}, {}\n\n", signature(scale.signature()));
    let way = if comes_down_otherwise(scale) { "up" } else { "notes" };
    out += &columns(way, &up, &right.up, &left.up);
    if comes_down_otherwise(scale) {
        out += &format!("\n{}", columns("down", &down, &right.down, &left.down));
    }
    let rising_down: Vec<Pitch> = down.into_iter().rev().collect();
    for (hand, fingers) in [(Hand::Right, right), (Hand::Left, left)] {
        out += &format!("\n{} hand\n", if hand == Hand::Right { "Right" } else { "Left" });
        out += &crossings("going up", &fingers.crossings_up, &up);
        out += &crossings("going down", &fingers.crossings_down, &rising_down);
    }
    out
}

fn signature(accidentals: i8) -> String {
    let (count, sign) = (accidentals.unsigned_abs(), if accidentals > 0 { "sharp" } else { "flat" });
    match count {
        0 => "no sharps or flats".to_owned(),
        1 => format!("1 {sign}"),
        _ => format!("{count} {sign}s"),
    }
}

fn columns(way: &str, pitches: &[Pitch], right: &[theory::Finger], left: &[theory::Finger]) -> String {
    let row = |name: &str, cells: Vec<String>| [vec![format!("  {name}")], cells].concat();
    let fingers = |fingers: &[theory::Finger]| fingers.iter().map(|f| f.number().to_string()).collect();
    let rows = [
        row(way, pitches.iter().map(|pitch| pitch.name.to_string()).collect()),
        row("right", fingers(right)),
        row("left", fingers(left)),
    ];
    lined_up(&rows).join("\n") + "\n"
}

fn crossings(way: &str, crossings: &[Crossing], rising: &[Pitch]) -> String {
    let name = |at: usize| rising.get(at).map(|pitch| pitch.name.to_string()).unwrap_or_default();
    let told = |c: &Crossing| {
        let finger = c.finger.number();
        let how = match c.kind {
            theory::CrossingKind::ThumbUnder => format!("thumb under {finger}"),
            theory::CrossingKind::FingerOver => format!("{finger} over the thumb"),
        };
        format!("{} to {}: {how}", name(c.from), name(c.to))
    };
    let all: Vec<String> = crossings.iter().map(told).collect();
    let all = if all.is_empty() { "no crossing".to_owned() } else { all.join(", ") };
    format!("  {way}: {all}\n")
}
