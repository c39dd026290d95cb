//! What is practised in the scale room, as a part: so that it is stepped, played along with and scored like a song.

use crate::exercise_part::{Beats, Step, part};
use crate::exercise_run::Apart;
use crate::{Motion, Room, Subject, exercise_chords, exercise_run};
use theory::{Chord, Hand, Interval, Pitch};
use voicing::{KeyRange, Part};

/// The part of an exercise: a scale or an arpeggio up and down, or only the notes around one of its crossings; or chords,
/// each in all inversions up and down. `song` is the song on the stand, whose chords may be asked for; without one they are
/// those of the key. Where the player's keyboard is too short for the place it would have, it is moved by octaves; where it is
/// too short for its octaves, fewer are played, see [`octaves_on`].
///
/// ```
/// use ui::{Room, Subject};
/// let room = Room { scale: "D major".parse().unwrap(), ..Room::default() };
/// let part = ui::exercise(&room, None, voicing::KeyRange::FULL);
/// // Eight notes up and seven down, for each hand.
/// assert_eq!(part.events.len(), 30);
/// ```
pub fn exercise(room: &Room, song: Option<&Part>, keys: KeyRange) -> Part {
    let (steps, octaves) = if room.subject.is_run() {
        let run = run_on(*room, keys);
        (run.steps, run.octaves)
    } else {
        let on = chords_on(*room, &chords(*room, song), keys);
        (on.steps, on.octaves)
    };
    let beats = Beats::new(room.a_beat(), room.tempo);
    let key = match (room.subject, song) {
        (Subject::SongChords, Some(song)) => song.key,
        _ => room.scale.key(),
    };
    let title = match (room.subject, song) {
        (Subject::SongChords, Some(song)) => format!("Chords of {}", song.title),
        _ => room.title(),
    };
    part(title, section_name(Room { octaves, ..*room }), key, beats, steps)
}

/// How many octaves are played on a keyboard: those that were asked for, or as many as it has room for. Four in contrary motion
/// are more than a piano has, and so are four for all chords of some keys.
///
/// ```
/// use ui::{Motion, Room};
/// use voicing::KeyRange;
/// let room = Room { motion: Motion::Contrary, octaves: 3, ..Room::default() };
/// assert_eq!(ui::octaves_on(room, KeyRange::FULL), 3);
/// assert_eq!(ui::octaves_on(room, KeyRange::of_size(61).unwrap()), 2);
/// ```
pub fn octaves_on(room: Room, keys: KeyRange) -> u8 {
    match room.subject.is_run() {
        true => run_on(room, keys).octaves,
        false => chords_on(room, &chords(room, None), keys).octaves,
    }
}

/// What lies on the player's keys.
struct On {
    steps: Vec<Step>,
    octaves: u8,
}

/// The run with as many of its octaves as the keys have room for, the hands as far apart as they have room for; where not
/// even one octave fits, that one on the keys of a piano.
fn run_on(room: Room, keys: KeyRange) -> On {
    // A drill is a few keys wide, and its crossing is one of the octaves that were asked for.
    let least = if room.drill.is_some() { room.octaves_asked() } else { 1 };
    let aparts: &[Apart] = match room.motion {
        Motion::Together => &[Apart::Octave],
        Motion::Contrary => &[Apart::Octave, Apart::None],
    };
    let all =
        (least..=room.octaves_asked()).rev().flat_map(|octaves| aparts.iter().map(move |a| (octaves, *a)));
    for (octaves, apart) in all {
        let mut steps = exercise_run::steps(Room { octaves, ..room }, apart);
        if let Some(by) = place(&steps, keys) {
            move_by(&mut steps, by);
            return On { steps, octaves };
        }
    }
    let mut steps = exercise_run::steps(Room { octaves: least, ..room }, Apart::Octave);
    let by = place(&steps, KeyRange::FULL).unwrap_or(0);
    move_by(&mut steps, by);
    On { steps, octaves: least }
}

/// Chords with as many of the octaves as the keys have room for; where not even one fits, that one on the keys of a piano.
fn chords_on(room: Room, chords: &[Chord], keys: KeyRange) -> On {
    let steps = |octaves| exercise_chords::steps(chords, octaves, room.accents);
    for octaves in (1..=room.octaves_asked()).rev() {
        let mut steps = steps(octaves);
        if let Some(by) = place(&steps, keys) {
            move_by(&mut steps, by);
            return On { steps, octaves };
        }
    }
    let mut steps = steps(1);
    let by = place(&steps, KeyRange::FULL).unwrap_or(0);
    move_by(&mut steps, by);
    On { steps, octaves: 1 }
}

/// The chords of the song, where they are asked for and it has some, else those of the key.
fn chords(room: Room, song: Option<&Part>) -> Vec<Chord> {
    let of_song = song.filter(|_| room.subject == Subject::SongChords).map(exercise_chords::of_song);
    of_song.filter(|chords| !chords.is_empty()).unwrap_or_else(|| exercise_chords::of_key(room))
}

fn section_name(room: Room) -> String {
    match (room.subject, room.drill, room.octaves_asked()) {
        (Subject::Chords | Subject::SongChords, ..) => "Inversions".into(),
        (_, Some(_), _) => "A crossing".into(),
        (_, None, 1) => "One octave".into(),
        (_, None, 2) => "Two octaves".into(),
        (_, None, octaves) => format!("{} octaves", if octaves == 3 { "Three" } else { "Four" }),
    }
}

/// By how many octaves, as few as will do, all has to move so that it lies on the keys.
fn place(steps: &[Step], keys: KeyRange) -> Option<i32> {
    let all = || steps.iter().flat_map(|step| Hand::BOTH.map(|hand| step.pitches(hand))).flatten();
    let low = all().map(|p| p.semitones()).min()?;
    let high = all().map(|p| p.semitones()).max()?;
    let fits = |by: &i32| {
        low + 12 * by >= i32::from(keys.low().number()) && high + 12 * by <= i32::from(keys.high().number())
    };
    [0, 1, -1, 2, -2, 3, -3].into_iter().find(fits)
}

fn move_by(steps: &mut [Step], octaves: i32) {
    let by = Interval::new(7 * octaves, 12 * octaves);
    for step in steps {
        step.moved(|pitch: Pitch| pitch.up(by));
    }
}
