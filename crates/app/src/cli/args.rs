//! What may be called, and with which options.

use super::alternatives::{ChordPlace, parse_place};
use clap::{Args, Parser, Subcommand, ValueEnum};
use practice::{Hands, Speed};
use std::path::PathBuf;
use theory::{Key, MidiKey, Pitch};
use voicing::{KeyRange, KeySpan, Level, Reach, Settings};

/// A number chart becomes two hands that you see, hear and play.
#[derive(Debug, Parser)]
#[command(name = "overhand", version, args_conflicts_with_subcommands = true)]
pub struct Call {
    /// What to do; without one the window opens.
    #[command(subcommand)]
    pub action: Option<Action>,
    /// The song to open in the window.
    pub song: Option<PathBuf>,
}

/// One thing to do without a window.
#[derive(Debug, Subcommand)]
pub enum Action {
    /// Validate song files: prints every mistake with line and column.
    Check {
        /// Song files.
        #[arg(required = true)]
        songs: Vec<PathBuf>,
        /// Text or JSON.
        #[command(flatten)]
        form: Form,
    },
    /// The two-hand part: per chord, each hand's notes, fingers and reasons.
    Part {
        /// The song file.
        song: PathBuf,
        /// For whom.
        #[command(flatten)]
        player: Player,
        /// How else a chord could be held and why it is not: the bar as played, and the chord in it, e.g. 12 or 12.2.
        #[arg(long, value_name = "BAR[.CHORD]", value_parser = parse_place)]
        alternatives: Option<ChordPlace>,
        /// Text or JSON.
        #[command(flatten)]
        form: Form,
    },
    /// The scale of a key with both hands' fingers and where they cross.
    Scale {
        /// A tonic and a kind: "D major", "D minor" (natural), "D harmonic minor", "D melodic minor", a mode ("D dorian"), "D
        /// major pentatonic", "D minor pentatonic", "D blues".
        #[arg(num_args = 1.., required = true)]
        key: Vec<String>,
        /// How it is played.
        #[command(flatten)]
        run: Run,
        /// Text or JSON.
        #[command(flatten)]
        form: Form,
    },
    /// A broken chord with both hands' fingers and where they cross.
    Arpeggio {
        /// "D major", "D minor", "D dominant seventh", or in the form of the trade: D, Dm, D7, Dmaj7, Dm7b5.
        #[arg(num_args = 1.., required = true)]
        chord: Vec<String>,
        /// The note it begins with: 0 the root, 1 the third, 2 the fifth, 3 the seventh.
        #[arg(long, default_value_t = 0, value_parser = clap::value_parser!(u8).range(0..=3))]
        inversion: u8,
        /// How it is played.
        #[command(flatten)]
        run: Run,
        /// Text or JSON.
        #[command(flatten)]
        form: Form,
    },
    /// The seven chords of a key, or those of a song in the order in which it uses them.
    Chords {
        /// "D major", "D minor", "D harmonic minor", "D dorian"; not needed with a song.
        #[arg(num_args = 1.., required_unless_present = "song")]
        key: Vec<String>,
        /// Of a song file in place of a key.
        #[arg(long, conflicts_with = "key")]
        song: Option<PathBuf>,
        /// With their sevenths.
        #[arg(long, conflicts_with = "song")]
        sevenths: bool,
        /// With all inversions and their fingers.
        #[arg(long)]
        inversions: bool,
        /// Text or JSON.
        #[command(flatten)]
        form: Form,
    },
    /// Score a take against the part.
    Score {
        /// The song file, or a standard MIDI file whose notes are the part.
        song: PathBuf,
        /// The take, a standard MIDI file.
        take: PathBuf,
        /// For whom.
        #[command(flatten)]
        player: Player,
        /// How strictly.
        #[command(flatten)]
        judge: Judge,
        /// Text or JSON.
        #[command(flatten)]
        form: Form,
    },
    /// What to practise today with the minutes there are, how ready the songs are, and the days until they are played.
    Plan(PlanCall),
    /// What was practised, song by song; what is remembered can be given out and deleted.
    History {
        /// Give it out or delete it; without this it is listed.
        #[command(subcommand)]
        deed: Option<HistoryDeed>,
        /// Text or JSON.
        #[command(flatten)]
        form: Form,
    },
    /// Write parts to files: MIDI, MusicXML, sheets to print, sound.
    Export(super::export::Export),
    /// Make a song of MusicXML, a standard MIDI file with chords in its words, or a plain text chart.
    Import(super::import::Import),
    /// The MIDI inputs and sound outputs found.
    Devices {
        /// Text or JSON.
        #[command(flatten)]
        form: Form,
    },
}

/// What to plan.
#[derive(Args, Clone, Debug)]
pub struct PlanCall {
    /// Song files; several are a set in its order.
    #[arg(required_unless_present = "simulate")]
    pub songs: Vec<PathBuf>,
    /// "I have so many minutes."
    #[arg(long, default_value_t = 20, value_parser = clap::value_parser!(u16).range(1..=600))]
    pub minutes: u16,
    /// The day it is played, e.g. 2026-12-05.
    #[arg(long, value_name = "DATE")]
    pub by: Option<String>,
    /// Talks with a simulated learner over lines of JSON on standard input and output; see the README.
    #[arg(long, conflicts_with_all = ["songs", "by"])]
    pub simulate: bool,
    /// For whom.
    #[command(flatten)]
    pub player: Player,
    /// Text or JSON.
    #[command(flatten)]
    pub form: Form,
}

/// What is to be done with the history.
#[derive(Clone, Debug, Subcommand)]
pub enum HistoryDeed {
    /// Every pass as one JSON document, on standard output.
    Export {
        /// Of one song alone: its file, or its title.
        #[arg(long)]
        song: Option<String>,
    },
    /// Delete it; this cannot be undone.
    Delete {
        /// Of one song alone: its file, or its title.
        #[arg(long, required_unless_present = "all", conflicts_with = "all")]
        song: Option<String>,
        /// Of all songs.
        #[arg(long)]
        all: bool,
    },
}

/// How a scale or an arpeggio is played.
#[derive(Args, Clone, Copy, Debug)]
pub struct Run {
    /// How many octaves, 1 to 4.
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=4))]
    pub octaves: u8,
    /// One hand or both.
    #[arg(long, value_enum, default_value = "both")]
    pub hand: HandsChoice,
    /// The hands away from each other and back, in place of together.
    #[arg(long)]
    pub contrary: bool,
}

/// Text or JSON.
#[derive(Args, Clone, Copy, Debug, Default)]
pub struct Form {
    /// One JSON document in place of the text.
    #[arg(long)]
    pub json: bool,
}

/// For whom, in which key, which hand.
#[derive(Args, Clone, Debug)]
pub struct Player {
    /// Transposes the whole song, e.g. "Bb major".
    #[arg(long, value_parser = parse_key)]
    pub key: Option<Key>,
    /// The widest interval one hand may span, in semitones or by its name on white keys: 12 or octave, 14 or ninth.
    #[arg(long, default_value = "12", value_parser = parse_reach)]
    pub reach: Reach,
    /// The same for the left hand alone, where it differs.
    #[arg(long, value_parser = parse_reach)]
    pub left_reach: Option<Reach>,
    /// The keyboard: how many keys it has (49, 61, 73, 76 or 88), or its lowest and highest key, e.g. C2-C6.
    #[arg(long, default_value = "A0-C8", value_parser = parse_keys)]
    pub keys: KeyRange,
    /// How full the hands play, 1 to 5, in place of the song's own level; sections stay as far from it as they are.
    #[arg(long, value_parser = parse_level)]
    pub level: Option<Level>,
    /// A bass player plays along, whatever the song says.
    #[arg(long, conflicts_with = "no_bass")]
    pub bass: bool,
    /// No bass player plays along, whatever the song says.
    #[arg(long)]
    pub no_bass: bool,
    /// Beside a bass player the left hand stays on or above this key.
    #[arg(long, value_name = "NOTE", default_value = "E2", value_parser = parse_note)]
    pub left_floor: MidiKey,
    /// The singer's range, for the right hand to stay out of, e.g. C4-A4.
    #[arg(long, value_name = "LOW-HIGH", value_parser = parse_voice)]
    pub voice: Option<KeySpan>,
    /// One hand or both. Default: both; `score` takes the hands that a take recorded here was played with.
    #[arg(long, value_enum)]
    pub hand: Option<HandsChoice>,
}

/// Which hands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum HandsChoice {
    /// The left alone.
    Left,
    /// The right alone.
    Right,
    /// Both.
    Both,
}

impl Player {
    /// For whom the part is planned.
    pub fn settings(&self) -> Settings {
        Settings {
            reach: self.reach,
            left_reach: self.left_reach.unwrap_or(self.reach),
            keys: self.keys,
            level: self.level,
            bass: match (self.bass, self.no_bass) {
                (true, _) => Some(true),
                (_, true) => Some(false),
                _ => None,
            },
            left_floor: self.left_floor,
            voice: self.voice,
        }
    }

    /// The hands asked for; both if nothing was said.
    pub fn hands(&self) -> Hands {
        self.hand.map_or(Hands::Both, HandsChoice::hands)
    }
}

impl HandsChoice {
    /// As the practice crate has it.
    pub fn hands(self) -> Hands {
        match self {
            HandsChoice::Left => Hands::Left,
            HandsChoice::Right => Hands::Right,
            HandsChoice::Both => Hands::Both,
        }
    }
}

/// How strictly, and against which clock.
#[derive(Args, Clone, Debug)]
pub struct Judge {
    /// Percent of the chart's tempo, or auto. Default: 100; for a take recorded here, the speed it was played at.
    #[arg(long, value_parser = parse_speed)]
    pub speed: Option<SpeedChoice>,
    /// One window for all strikes, in milliseconds; without it each strike has its own.
    #[arg(long, value_parser = parse_window)]
    pub window_ms: Option<f64>,
    /// A constant shift of the take in milliseconds, or auto. Default: 0 for takes recorded here, auto for others.
    #[arg(long, value_parser = parse_offset, allow_negative_numbers = true)]
    pub offset_ms: Option<OffsetChoice>,
    /// Moves the keys of a take recorded elsewhere by octaves first, -2 to 2.
    #[arg(long, default_value_t = 0, allow_negative_numbers = true, value_parser = clap::value_parser!(i8).range(-2..=2))]
    pub octaves: i8,
    /// Counts all of the song, also where a take recorded elsewhere starts late or stops early.
    #[arg(long)]
    pub whole: bool,
    /// Judges the pedalling too, in the bars where the song asks for pedal.
    #[arg(long)]
    pub pedal: bool,
}

/// The speed a take was played at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SpeedChoice {
    /// Percent of the chart's tempo.
    Percent(Speed),
    /// Found from the take.
    Auto,
}

/// How far a take lies behind the clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OffsetChoice {
    /// Milliseconds.
    Fixed(f64),
    /// Found from the take.
    Auto,
}

/// Reads a key, "Bb major", and says what would be right. On the command line the tonic may be a small letter.
pub fn parse_key(text: &str) -> Result<Key, String> {
    let mut chars = text.trim_start().chars();
    let capital: String = chars.next().into_iter().map(|c| c.to_ascii_uppercase()).chain(chars).collect();
    capital.parse().or_else(|_| text.parse()).map_err(|error: theory::ParseKeyError| error.message)
}

fn parse_reach(text: &str) -> Result<Reach, String> {
    let number = text.parse::<u8>().ok();
    let reach = number.and_then(Reach::new).or_else(|| Reach::named(text));
    reach.ok_or_else(|| {
        "a reach is 5 to 24 semitones, or the widest interval of white keys: 12 or octave, 14 or ninth, 16 or tenth"
            .to_owned()
    })
}

fn parse_keys(text: &str) -> Result<KeyRange, String> {
    let counted = text.parse().ok().and_then(KeyRange::of_size);
    let range = counted.or_else(|| ends(text).into_iter().find_map(|(low, high)| KeyRange::new(low, high)));
    range.ok_or_else(|| {
        "write how many keys (49, 61, 73, 76 or 88), or the lowest and the highest, at least two octaves apart: C2-C6"
            .to_owned()
    })
}

/// Every way to read two notes with a dash between them: an octave number may have one as well.
fn ends(text: &str) -> Vec<(MidiKey, MidiKey)> {
    let end = |part: &str| part.parse::<Pitch>().ok().and_then(Pitch::key);
    let dashes = text.match_indices('-');
    dashes.filter_map(|(at, _)| Some((end(&text[..at])?, end(&text[at + 1..])?))).collect()
}

fn parse_voice(text: &str) -> Result<KeySpan, String> {
    let span = ends(text).into_iter().find_map(|(low, high)| KeySpan::new(low, high));
    span.ok_or_else(|| "write the singer's lowest and highest note: C4-A4".to_owned())
}

fn parse_note(text: &str) -> Result<MidiKey, String> {
    let key = text.parse::<Pitch>().ok().and_then(Pitch::key);
    key.ok_or_else(|| "a note is a letter, accidentals and an octave number: E2, Bb3".to_owned())
}

fn parse_level(text: &str) -> Result<Level, String> {
    let level = text.parse().ok().and_then(Level::new);
    level.ok_or_else(|| "a level is 1 (simplest) to 5 (fullest)".to_owned())
}

pub(super) fn parse_speed(text: &str) -> Result<SpeedChoice, String> {
    if text == "auto" {
        return Ok(SpeedChoice::Auto);
    }
    let speed = text.trim_end_matches('%').parse().ok().and_then(Speed::new);
    speed.map(SpeedChoice::Percent).ok_or_else(|| "a speed is 30 to 130 percent, or auto".to_owned())
}

fn parse_window(text: &str) -> Result<f64, String> {
    let ms = text.parse().ok().filter(|ms| (0.0..=10_000.0).contains(ms));
    ms.ok_or_else(|| "a window is 0 to 10000 milliseconds".to_owned())
}

fn parse_offset(text: &str) -> Result<OffsetChoice, String> {
    if text == "auto" {
        return Ok(OffsetChoice::Auto);
    }
    let ms = text.parse().ok().filter(|ms| (-600_000.0..=600_000.0).contains(ms));
    ms.map(OffsetChoice::Fixed).ok_or_else(|| "an offset is a number of milliseconds, or auto".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_keyboard_is_two_keys_at_least_two_octaves_apart() {
        let keys = parse_keys("A-1-C8").map(|k| (k.low().number(), k.high().number()));
        assert_eq!(keys, Ok((9, 108)), "A-1 is nine keys above MIDI 0; an octave number may be negative");
        assert!(parse_keys("C4-C5").is_err());
        assert!(parse_keys("C4").is_err());
    }

    #[test]
    fn a_key_may_begin_with_a_small_letter() {
        for (text, key) in [("d minor", "D minor"), ("bb major", "Bb major"), ("F# minor", "F# minor")] {
            assert_eq!(parse_key(text).map(|key| key.to_string()), Ok(key.to_owned()));
        }
        assert_eq!(parse_key("h major").unwrap_err(), "h major".parse::<Key>().unwrap_err().message);
    }

    #[test]
    fn a_keyboard_may_be_told_by_the_number_of_its_keys() {
        for size in [49, 61, 73, 76, 88] {
            let keys = parse_keys(&size.to_string()).map(|k| k.high().number() - k.low().number() + 1);
            assert_eq!(keys, Ok(size));
        }
        assert!(parse_keys("60").is_err());
    }

    #[test]
    fn a_reach_may_be_told_by_the_interval_on_white_keys() {
        for (text, semitones) in [("9", 9), ("octave", 12), ("ninth", 14), ("a tenth", 16), ("Seventh", 11)] {
            assert_eq!(parse_reach(text).map(Reach::semitones), Ok(semitones), "{text}");
        }
        for wrong in ["4", "25", "a yard", ""] {
            assert!(parse_reach(wrong).unwrap_err().contains("14 or ninth"), "{wrong}");
        }
    }

    #[test]
    fn a_speed_and_an_offset_may_be_left_to_the_program() {
        assert_eq!(parse_speed("80%"), Ok(SpeedChoice::Percent(Speed::clamped(80.0))));
        assert_eq!(parse_speed("auto"), Ok(SpeedChoice::Auto));
        assert_eq!(parse_offset("-20"), Ok(OffsetChoice::Fixed(-20.0)));
        assert!(parse_speed("NaN").is_err());
    }
}
