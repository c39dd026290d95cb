//! The fields of the song file, and what each of them holds.

pub(crate) use crate::limits::fields::{EXCEPTION, GOAL, LEFT, RIGHT, SECTION, SONG};
use crate::report::quoted;

/// What a field holds: a message says `tempo is a number, e.g. 72`.
pub(crate) fn holds(field: &str) -> &'static str {
    match field {
        "format" => "the number 1",
        "id" => "a text that the program writes",
        "title" => "a text, e.g. \"Lanterns at the Lock\"",
        "note" => "a text, e.g. \"count the three\"",
        "cue" => "a text, e.g. \"the drums stop\"",
        "key" => "a text, e.g. \"Eb major\"",
        "tempo" => "a number, e.g. 72",
        "meter" => "a text, e.g. \"3/4\"",
        "count" => "the text \"eighths\"",
        "count_in" => "a whole number of bars from 0 to 4, e.g. 2",
        "feel" => "a text, \"straight\" or \"swing\"",
        "level" => "a whole number from 1 to 5, e.g. 3",
        "bass" | "pedal" => "true or false",
        "right" => "an object, e.g. { \"notes\": 3, \"figure\": \"x - x -\" }",
        "left" => "an object, e.g. { \"shape\": \"root fifth\", \"figure\": \"12 12 12 12\" }",
        "sections" => "a list of sections, e.g. [ { \"name\": \"Verse\", \"bars\": [\"1 | 4\"] } ]",
        "order" => "a list of section names, e.g. [\"Verse\", \"Chorus\"]",
        "goals" => {
            "a list of goals, e.g. [ { \"section\": \"Chorus\", \"speed\": 90, \"day\": \"2026-12-04\" } ]"
        }
        "section" => "the name of a section, e.g. \"Chorus\"",
        "speed" => "a whole number from 30 to 130, in percent of the tempo, e.g. 90",
        "day" => "a text, year, month and day, e.g. \"2026-12-04\"",
        "name" => "a text, e.g. \"Verse\"",
        "bars" => "a list of lines, e.g. [\"1 | 4 | 5 | 1\"]",
        "like" => "the name of a section, e.g. \"Verse\"",
        "passes" => "a whole number from 1 to 99, e.g. 2",
        "except" => "a list of exceptions, e.g. [ { \"pass\": \"last\", \"bar\": 4, \"bars\": \"6\" } ]",
        "pass" | "bar" => "a number, a list, a range like \"3-5\", or \"last\"",
        "beat" => "a whole number from 1, e.g. 3",
        "replaces" => "a whole number, e.g. 1",
        "notes" => "a whole number from 1 to 4, e.g. 3",
        "shape" => "a text, e.g. \"root fifth\"",
        "tones" => "a text, e.g. \"3 5 1\"",
        "shapes" => "an object of chords and their tones, e.g. { \"5/7\": \"5 1\" }",
        "near" => "a note with its octave, e.g. \"A4\"",
        "figure" => "a text, e.g. \"x - x -\"",
        "restart" => "a text, \"bar\" or \"chord\"",
        _ => "something else",
    }
}

/// What to write in place of a name: the nearest of those there are, or all of them.
pub(crate) fn nearest<'n>(name: &str, known: impl Iterator<Item = &'n str> + Clone) -> String {
    const LONGEST: usize = 60;
    let close = known
        .clone()
        .filter(|_| name.len() <= LONGEST)
        .map(|other| (strsim::damerau_levenshtein(&name.to_lowercase(), &other.to_lowercase()), other))
        .min()
        .filter(|(distance, other)| *distance <= 1 + other.chars().count() / 3);
    match close {
        Some((_, other)) => format!("did you mean {}?", quoted(other)),
        None => {
            let all: Vec<&str> = known.take(20).collect();
            format!("choose from {}", all.join(", "))
        }
    }
}
