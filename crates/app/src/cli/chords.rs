//! `overhand chords`: the seven chords of a key, or those of a song, and their inversions.

use super::table::lined_up;
use super::{Answer, Form, song_file};
use serde::Serialize;
use std::path::Path;
use theory::{Chord, Hand, Pitch, Scale};

#[derive(Serialize)]
struct ChordsJson {
    key: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    song: Option<String>,
    chords: Vec<ChordJson>,
}

#[derive(Serialize)]
struct ChordJson {
    symbol: String,
    name: String,
    quality: &'static str,
    notes: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    inversions: Option<Vec<InversionJson>>,
}

/// One close position with both hands' fingers.
#[derive(Serialize)]
struct InversionJson {
    notes: Vec<String>,
    right: Vec<u8>,
    left: Vec<u8>,
}

/// The chords of a key or a scale of seven notes: "D major", "D harmonic minor", "D dorian".
pub fn of_key(key: &str, sevenths: bool, inversions: bool, form: Form) -> Answer {
    let scale: Scale = match key.parse() {
        Ok(scale) => scale,
        Err(mistake) => return Answer::wrong_call(mistake.to_string()),
    };
    let chords = if sevenths { scale.seventh_chords() } else { scale.chords() };
    answer(&scale.to_string(), None, &chords, inversions, form)
}

/// The chords of a song in the order in which it first uses them.
pub fn of_song(song: &Path, inversions: bool, form: Form) -> Answer {
    let file = match song_file::read(song) {
        Ok(file) => file,
        Err(answer) => return answer,
    };
    let played = file.song.play();
    match voicing::plan(&played, played.key, &voicing::Settings::default()) {
        Ok(part) => {
            let chords = ui::chords_of_song(&part);
            answer(&part.key.to_string(), Some(part.title), &chords, inversions, form).telling(file.warnings)
        }
        Err(other_mode) => Answer::wrong_call(format!("{}: {other_mode}", song.display())),
    }
}

fn answer(key: &str, song: Option<String>, chords: &[Chord], inversions: bool, form: Form) -> Answer {
    let chords: Vec<ChordJson> = chords.iter().map(|chord| chord_json(chord, inversions)).collect();
    if form.json {
        return Answer::json(&ChordsJson { key: key.to_owned(), song, chords });
    }
    let heading = match song {
        Some(title) => format!("The chords of {title}, in {key}, as they come"),
        None => format!("The chords of {key}"),
    };
    Answer::done(format!("{heading}\n\n{}\n", text(&chords)))
}

fn chord_json(chord: &Chord, inversions: bool) -> ChordJson {
    ChordJson {
        symbol: chord.written.to_string(),
        name: chord.name(),
        quality: chord.quality().name(),
        notes: chord.names().map(|note| note.to_string()).collect(),
        inversions: inversions.then(|| inversions_of(chord)),
    }
}

fn inversions_of(chord: &Chord) -> Vec<InversionJson> {
    let near = Pitch::new(chord.root(), 4);
    let positions = chord.inversions(near);
    let position = |(inversion, pitches): (usize, &Vec<Pitch>)| {
        let fingers =
            |hand: Hand| chord.close_fingers(hand, inversion).iter().map(|finger| finger.number()).collect();
        InversionJson {
            notes: pitches.iter().map(|pitch| pitch.name.to_string()).collect(),
            right: fingers(Hand::Right),
            left: fingers(Hand::Left),
        }
    };
    positions.iter().enumerate().map(position).collect()
}

fn text(chords: &[ChordJson]) -> String {
    let own = |c: &ChordJson| {
        vec![format!("  {}", c.symbol), c.name.clone(), c.quality.to_owned(), c.notes.join(" ")]
    };
    let numbers = |fingers: &[u8]| fingers.iter().map(|f| f.to_string()).collect::<Vec<_>>().join("-");
    let position = |p: &InversionJson| {
        let fingers = format!("right {}, left {}", numbers(&p.right), numbers(&p.left));
        vec![String::new(), String::new(), String::new(), p.notes.join(" "), fingers]
    };
    let rows: Vec<Vec<String>> = chords
        .iter()
        .flat_map(|c| match &c.inversions {
            None => vec![own(c)],
            Some(positions) => {
                let mut rows: Vec<Vec<String>> = positions.iter().map(position).collect();
                if let Some(first) = rows.first_mut() {
                    let head = own(c);
                    first.splice(..3, head.into_iter().take(3));
                }
                rows
            }
        })
        .collect();
    lined_up(&rows).join("\n")
}
