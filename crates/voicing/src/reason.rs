//! Claims as sentences, in a musician's words.

use crate::{Claim, Fault, FingerReason, Reason, SecondNote};
use theory::{Chord, Finger, Hand, Member, NoteName, NumberChord, Pitch};

impl Reason {
    /// The sentence, with printed signs.
    ///
    /// ```
    /// use voicing::{Claim, Reason};
    /// let voices = vec![("D5".parse().unwrap(), "C#5".parse().unwrap())];
    /// let reason = Reason { hand: Some(theory::Hand::Right), claim: Claim::Moves { voices, semitones: 1 } };
    /// assert_eq!(reason.text(), "One note moves: D5 down a semitone to C♯5.");
    /// ```
    pub fn text(&self) -> String {
        match &self.claim {
            Claim::Chord { chord, key } => meaning(*chord, *key),
            Claim::Lowest { note, member, inversion } => lowest(*note, *member, *inversion),
            Claim::LeftOut { member, name, covered } => self.left_out(*member, *name, *covered),
            Claim::Stays { notes } => stays(notes),
            Claim::Moves { voices, semitones } => moves(voices, *semitones),
            Claim::NothingMoves { lowest } => {
                format!("Nothing moves: the hand stays on {}.", lowest.pretty())
            }
            Claim::RootPositionInstead { semitones, played } => format!(
                "Root position would have moved {} instead of {played}.",
                count(*semitones, "semitone")
            ),
            Claim::Instead { lowest, inversion, fault } => instead(*lowest, *inversion, *fault),
            Claim::Level { level, keys } => {
                format!("Level {level}: {} here.", count_words(u32::from(*keys), "note"))
            }
            Claim::BassPlayer { note, floor } => format!(
                "The bass player has {}: the hand leaves it out and stays on or above {}.",
                note.pretty(),
                floor.pretty()
            ),
            Claim::PassingNote { from, through, to } => format!(
                "On the way from {} to {} the top may pass through {}.",
                from.pretty(),
                to.pretty(),
                through.pretty()
            ),
            Claim::NeighbourNote { note, neighbour } => format!(
                "{} comes again on top: {} beside it keeps it moving.",
                note.pretty(),
                neighbour.pretty()
            ),
            Claim::Bass { degree, note, under_slash: false } => {
                format!("The left hand stands on {}, {}.", degree.pretty(), note.pretty())
            }
            Claim::Bass { degree, note, under_slash: true } => {
                format!("The {} under the slash is for the left hand: {}.", degree.pretty(), note.pretty())
            }
            Claim::Second { lowest, note, why } => second(*lowest, *note, *why),
            Claim::Written { tones } => written(tones),
            Claim::Near { wanted, lowest } => near(*wanted, *lowest),
            Claim::Rolled { semitones, reach } => format!(
                "{} are wider than your reach of {reach}: roll it from the lowest note up, never force the stretch.",
                sentence_start(&count(u32::from(*semitones), "semitone"))
            ),
            Claim::Fewer { asked, held, reach } => format!(
                "{} of the {asked} notes asked for: more do not fit your reach of {reach} or your keyboard.",
                sentence_start(number(u32::from(*held)))
            ),
            Claim::OctaveDown { octaves, highest, right } => octave_down(*octaves, *highest, *right),
            Claim::Muddy { low, high, below } => format!(
                "{} to {} is {} lower than it sounds clear; play it softly.",
                low.pretty(),
                high.pretty(),
                count(u32::from(*below), "semitone")
            ),
            Claim::Fingers { usual, played, why } => fingers(usual, played, why),
            Claim::Substitution { note, from, to } => {
                format!("On {}, which stays down, finger {from} gives way to {to}.", note.pretty())
            }
            Claim::Beats { beats, of, dots } => beats_text(*beats, *of, *dots),
            Claim::Push { degree } => {
                format!("Pushed: the {} comes an eighth early, in both hands.", degree.pretty())
            }
            Claim::Diamond { degree } => {
                format!("A diamond: strike the {} once and let it ring.", degree.pretty())
            }
            Claim::Tie { chord } => {
                format!("Tied: the {} rings on, nothing is struck.", printed(&chord.to_string()))
            }
            Claim::Rest => "No chord: both hands rest.".into(),
        }
    }

    fn left_out(&self, member: Member, name: NoteName, covered: bool) -> String {
        let other = if self.hand == Some(Hand::Left) { "right" } else { "left" };
        let name = name.pretty();
        match (covered, member.number()) {
            (true, _) => format!("It leaves out the {}, {name}: the {other} hand has it.", member.name()),
            (false, 5) => format!("It leaves out the fifth, {name}: the first note to go."),
            (false, 1) => format!("It leaves out the root, {name}: the number under the slash leads."),
            (false, _) => format!("It leaves out the {}, {name}.", member.name()),
        }
    }
}

fn meaning(chord: NumberChord, key: theory::Key) -> String {
    let chord = Chord::in_key(chord, key);
    let names: Vec<String> = chord.names().map(NoteName::pretty).collect();
    format!(
        "{} in {} is {}: {}.",
        printed(&chord.written.to_string()),
        key.pretty(),
        chord.pretty_name(),
        names.join(" ")
    )
}

/// The signs of a chord symbol as printed; in `b7`, `dim` and `sus` the letter b is a flat only before a digit.
fn printed(symbol: &str) -> String {
    let mut out = String::with_capacity(symbol.len() + 4);
    let mut chars = symbol.chars().peekable();
    while let Some(c) = chars.next() {
        out.push(match c {
            '#' => '♯',
            'b' if chars.peek().is_some_and(|next| next.is_ascii_digit() || *next == 'b') => '♭',
            other => other,
        });
    }
    out
}

fn lowest(note: Pitch, member: Member, inversion: Option<u8>) -> String {
    let place = match inversion {
        Some(0) => "Root position",
        Some(1) => "First inversion",
        Some(2) => "Second inversion",
        Some(3) => "Third inversion",
        _ => return format!("The {}, {}, lies lowest.", member.name(), note.pretty()),
    };
    format!("{place}: the {}, {}, lies lowest.", member.name(), note.pretty())
}

/// `Root position: the hand would move 9 semitones instead of 2.`
fn instead(lowest: Member, inversion: Option<u8>, fault: Fault) -> String {
    let place = match inversion {
        Some(0) => "Root position".to_owned(),
        Some(1) => "First inversion".to_owned(),
        Some(2) => "Second inversion".to_owned(),
        Some(3) => "Third inversion".to_owned(),
        _ => format!("With the {} lowest", lowest.name()),
    };
    format!("{place}: {}.", fault_text(fault))
}

fn fault_text(fault: Fault) -> String {
    match fault {
        Fault::Moves { from_before, semitones, played } => {
            let to = if from_before { "" } else { "to the next chord " };
            format!("{to}the hand would move {} instead of {played}", count(semitones, "semitone"))
        }
        Fault::TopLeaps { from_before: true, semitones } => {
            format!("the top line would leap {}", count(semitones, "semitone"))
        }
        Fault::TopLeaps { from_before: false, semitones } => {
            format!("the top line would leap {} to the next chord", count(semitones, "semitone"))
        }
        Fault::FarFromHome { semitones, played } => {
            format!("it lies {} from the hand's home instead of {played}", count(semitones, "semitone"))
        }
        Fault::Muddy => "its low notes lie too close to sound clear".into(),
        Fault::Grates => "two of its notes lie a semitone apart and grate".into(),
        Fault::DoublesLeadingTone => "it has the leading tone twice".into(),
        Fault::DoublesThird => "it has the major third twice".into(),
        Fault::NoThird => "the chord would have no third".into(),
        Fault::NoColour => "the chord would lose its colour".into(),
        Fault::RubsWithBass => "it rubs with the bass".into(),
        Fault::HeldByOther => "it repeats what the other hand holds".into(),
        Fault::HandsTooClose => "the hands would be on one another".into(),
        Fault::HandsTooFar => "the hands would lie too far apart".into(),
        Fault::Unresolved => "the suspended note would not resolve in its voice".into(),
        Fault::InSingersWay => "it lies where the singer sings".into(),
        Fault::NotAsked => "the song, or its level, asks for another shape".into(),
        Fault::Elsewhere => "what costs more comes later in the song".into(),
    }
}

fn count_words(n: u32, what: &str) -> String {
    if n == 1 { format!("one {what}") } else { format!("{} {what}s", number(n)) }
}

fn stays(notes: &[Pitch]) -> String {
    let names: Vec<String> = notes.iter().map(|n| n.pretty()).collect();
    let verb = if notes.len() == 1 { "stays" } else { "stay" };
    format!("{} {verb}.", list(&names))
}

fn moves(voices: &[(Pitch, Pitch)], semitones: u32) -> String {
    let distance = |(from, to): &(Pitch, Pitch)| to.semitones() - from.semitones();
    let way = |distance: i32| {
        let up = if distance > 0 { "up" } else { "down" };
        format!("{up} {}", distance_name(distance.unsigned_abs()))
    };
    let together = voices.windows(2).all(|pair| distance(&pair[0]) == distance(&pair[1]));
    if together && voices.len() > 1 {
        let to: Vec<String> = voices.iter().map(|(_, to)| to.pretty()).collect();
        let all = format!("{} notes move together", sentence_start(number(voices.len() as u32)));
        return format!("{all} {}, to {}.", way(distance(&voices[0])), list(&to));
    }
    let step = |voice: &(Pitch, Pitch)| {
        format!("{} {} to {}", voice.0.pretty(), way(distance(voice)), voice.1.pretty())
    };
    let steps: Vec<String> = voices.iter().map(step).collect();
    match voices.len() {
        1 => format!("One note moves: {}.", steps[0]),
        n => format!(
            "{} notes move, {semitones} semitones in all: {}.",
            sentence_start(number(n as u32)),
            list(&steps)
        ),
    }
}

fn second(lowest: NoteName, note: NoteName, why: SecondNote) -> String {
    let (low, note) = (lowest.pretty(), note.pretty());
    match why {
        SecondNote::OwnFifth => format!("Above {low} its fifth, {note}."),
        SecondNote::NoPerfectFifth => {
            format!(
                "Above {low} the octave: the chord's own fifth is not perfect, and would grumble down here."
            )
        }
        SecondNote::FifthInChord => format!("Above {low} the fifth, {note}: the right hand's chord has it."),
        SecondNote::RootAbove => {
            format!("Above {low} the root, {note}: {low} is in the chord, the fifth above it is not.")
        }
        SecondNote::FifthInKey => {
            format!("Above {low} the fifth, {note}: it is in the key and rubs with nothing.")
        }
        SecondNote::OctaveUnderSlash => format!("Above {low} the octave: a fifth would not fit the chord."),
    }
}

fn written(tones: &[Member]) -> String {
    let numbers: Vec<String> = tones.iter().map(Member::to_string).collect();
    format!("The song writes this shape: {} from the lowest up.", numbers.join(" "))
}

fn near(wanted: Pitch, lowest: Pitch) -> String {
    if wanted.semitones() == lowest.semitones() {
        return format!("The song puts the lowest note on {}.", wanted.pretty());
    }
    format!(
        "{} is as near to {}, which the song asks for, as this chord comes.",
        lowest.pretty(),
        wanted.pretty()
    )
}

fn octave_down(octaves: u8, highest: Pitch, right: Pitch) -> String {
    let lower = if octaves == 1 { "An octave".into() } else { format!("{octaves} octaves") };
    format!(
        "{lower} lower than usual: its {} would meet the right hand's {}.",
        highest.pretty(),
        right.pretty()
    )
}

fn fingers(usual: &[Finger], played: &[Finger], why: &FingerReason) -> String {
    let form = |fingers: &[Finger]| fingers.iter().map(Finger::to_string).collect::<Vec<_>>().join("-");
    let gain = match why {
        FingerReason::Stays { note, finger, before: true } => {
            format!("finger {finger} stays on {}", note.pretty())
        }
        FingerReason::Stays { note, finger, before: false } => {
            format!("finger {finger} can stay on {} for the next chord", note.pretty())
        }
        FingerReason::Outer { before: true } => "the outer fingers stay as they were".into(),
        FingerReason::Outer { before: false } => "the outer fingers can stay for the next chord".into(),
        FingerReason::Neighbour { note, finger } => {
            format!("finger {finger} is then free for the {} that follows", note.pretty())
        }
        FingerReason::NeighbourNearer { note, finger } => {
            format!("finger {finger} reaches {} with more ease", note.pretty())
        }
        FingerReason::Span { low, high } => {
            format!("{} to {} would be too wide for those fingers", low.pretty(), high.pretty())
        }
        FingerReason::Black { note, finger: Finger::THUMB } => {
            format!("the thumb keeps off the black {}", note.pretty())
        }
        FingerReason::Black { note, finger } => {
            format!("finger {finger} keeps off the black {}", note.pretty())
        }
        FingerReason::Room { note } => format!("a finger stays free for {}", note.pretty()),
        FingerReason::AsElsewhere => "as in the other passes".into(),
    };
    format!("{} instead of {}: {gain}.", form(played), form(usual))
}

fn beats_text(beats: u8, of: u8, dots: u8) -> String {
    let share = format!("{} of the bar's {}", beats, count(u32::from(of), "beat"));
    match dots {
        0 => format!("{share}: the chords share the bar evenly."),
        1 => format!("{share}: one dot."),
        n => format!("{share}: {} dots.", number(u32::from(n))),
    }
}

fn distance_name(semitones: u32) -> String {
    match semitones {
        1 => "a semitone".into(),
        2 => "a tone".into(),
        12 => "an octave".into(),
        n => count(n, "semitone"),
    }
}

fn count(n: u32, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

fn number(n: u32) -> &'static str {
    const WORDS: [&str; 9] = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight"];
    WORDS.get(n as usize).copied().unwrap_or("many")
}

fn sentence_start(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}

fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
