//! What is practised in the scale room, as a part: so that it is stepped, played along with and scored like a song.

use crate::exercise_part::{Beats, Step, part};
use crate::{Room, Subject, exercise_chords, exercise_run};
use theory::{Hand, Interval, Pitch};
use voicing::{KeyRange, Part};

/// The part of an exercise: a scale or an arpeggio up and down, or only the notes around one of its crossings; or chords,
/// each in all inversions up and down. `song` is the song on the stand, whose chords may be asked for; without one they are
/// those of the key. Where the player's keyboard is too short for the place it would have, it is moved by octaves.
///
/// ```
/// use ui::{Room, Subject};
/// let room = Room { scale: "D major".parse().unwrap(), ..Room::default() };
/// let part = ui::exercise(&room, None, voicing::KeyRange::FULL);
/// // Eight notes up and seven down, for each hand.
/// assert_eq!(part.events.len(), 30);
/// ```
pub fn exercise(room: &Room, song: Option<&Part>, keys: KeyRange) -> Part {
    let mut steps = match room.subject {
        Subject::Scale | Subject::Arpeggio => exercise_run::steps(*room),
        Subject::Chords => exercise_chords::steps(&exercise_chords::of_key(*room)),
        Subject::SongChords => match song.map(exercise_chords::of_song).filter(|chords| !chords.is_empty()) {
            Some(chords) => exercise_chords::steps(&chords),
            None => exercise_chords::steps(&exercise_chords::of_key(*room)),
        },
    };
    fit(&mut steps, keys);
    let beats = Beats::new(if room.subject.is_run() { room.notes_a_beat } else { 1 }, room.tempo);
    let key = match (room.subject, song) {
        (Subject::SongChords, Some(song)) => song.key,
        _ => room.scale.key(),
    };
    let title = match (room.subject, song) {
        (Subject::SongChords, Some(song)) => format!("Chords of {}", song.title),
        _ => room.title(),
    };
    part(title, section_name(*room), key, beats, steps)
}

fn section_name(room: Room) -> String {
    match (room.subject, room.drill, room.octaves_played()) {
        (Subject::Chords | Subject::SongChords, ..) => "Inversions".into(),
        (_, Some(_), _) => "A crossing".into(),
        (_, None, 1) => "One octave".into(),
        (_, None, 2) => "Two octaves".into(),
        (_, None, octaves) => format!("{} octaves", if octaves == 3 { "Three" } else { "Four" }),
    }
}

/// Moves everything by octaves, as little as will do, so that it lies on the player's keys; where it is too wide for them,
/// on those of a piano.
fn fit(steps: &mut [Step], keys: KeyRange) {
    let all = || steps.iter().flat_map(|step| Hand::BOTH.map(|hand| step.pitches(hand))).flatten();
    let (Some(low), Some(high)) = (all().map(|p| p.semitones()).min(), all().map(|p| p.semitones()).max())
    else {
        return;
    };
    let fits = |range: KeyRange, by: i32| {
        low + 12 * by >= i32::from(range.low().number()) && high + 12 * by <= i32::from(range.high().number())
    };
    let nearest = |range: KeyRange| [0, 1, -1, 2, -2, 3, -3].into_iter().find(|by| fits(range, *by));
    let by = nearest(keys).or_else(|| nearest(KeyRange::FULL)).unwrap_or(0);
    let octave = Interval::new(7 * by, 12 * by);
    for step in steps {
        step.moved(|pitch: Pitch| pitch.up(octave));
    }
}
