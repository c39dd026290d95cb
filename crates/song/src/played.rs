//! The song unfolded: every bar as it is played, in order.

use crate::{Beat, Feel, Goal, HandStyle, Meter, Quarters};
use theory::{Chord, Key};

/// The song as it is played, bar after bar.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayedSong {
    /// The title.
    pub title: String,
    /// The key it is in: as written, or that of the night.
    pub key: Key,
    /// The key it is written in. [`PlayedSong::moved_by`] is the way from there.
    pub written_key: Key,
    /// How full the song as a whole is played, 1 to 5: its own level, or 3. Sections may have others.
    pub level: u8,
    /// How many bars are counted in before the song; `None`: one in slow songs, two in fast ones.
    pub count_in: Option<u8>,
    /// Goals that the coach marks.
    pub goals: Vec<Goal>,
    /// The sections as written, by name; `PlayedBar::section` indexes them.
    pub sections: Vec<String>,
    /// What the coach says about the whole song.
    pub note: Option<String>,
    /// What the coach says about each section; as many as `sections`.
    pub words: Vec<SectionWords>,
    /// All bars in playing order.
    pub bars: Vec<PlayedBar>,
}

/// Words that belong to a whole section.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct SectionWords {
    /// Free text.
    pub note: Option<String>,
    /// Words to listen for.
    pub cue: Option<String>,
}

/// One bar as it is played.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayedBar {
    /// Index of the section in [`PlayedSong::sections`].
    pub section: usize,
    /// Index in the song's order (the same section may come back).
    pub place: usize,
    /// The pass at this place, from 1, and of how many.
    pub pass: u32,
    /// How many passes this place has.
    pub passes: u32,
    /// The bar in the pass as played, from 1.
    pub bar_in_section: u32,
    /// The bar as written in the section, from 0, if it is not one that an exception put in.
    pub written_bar: Option<u32>,
    /// For a bar that an exception put in: the written bar, from 0, whose place it takes, if it takes one.
    pub in_place_of: Option<u32>,
    /// Index of the printed row (line of `bars`) it stands in, from 0. A bar put in stands in the row of the bar
    /// it takes the place of.
    pub row: u32,
    /// Whether an exception reaches it, for this pass or for all.
    pub differs: bool,
    /// What it has that the same bar in the other passes at this place does not have.
    pub unlike: Unlike,
    /// Its meter.
    pub meter: Meter,
    /// Whether the meter is written in front of this bar alone.
    pub own_meter: bool,
    /// What is counted.
    pub beat: Beat,
    /// Into how many parts a click divides the beat, where the music asks for other parts than the beat has of itself.
    pub beat_parts: Option<std::num::NonZeroU8>,
    /// Quarters a minute.
    pub quarters_per_minute: f64,
    /// The key its numbers are read in.
    pub key: Key,
    /// That key as the song is written, before it was moved to the key of the night.
    pub written_key: Key,
    /// The bar as the chart writes it, `3/4: 1.. 5.`; for `%` the bar it repeats. With section and meter it tells
    /// the bar apart from others.
    pub text: String,
    /// Where it starts in the song.
    pub start: Quarters,
    /// What it holds, in order; the lengths add up to the bar.
    pub slots: Vec<Slot>,
    /// Straight or swung.
    pub feel: Feel,
    /// 1 to 5.
    pub level: u8,
    /// A bass player plays along.
    pub bass: bool,
    /// The part carries pedal marks.
    pub pedal: bool,
    /// The coach's words for this bar in this pass, those for a chord in it with its beat (`on beat 3: …`); those of the
    /// section are in [`PlayedSong::words`].
    pub note: Option<String>,
    /// Words to listen for in this bar in this pass.
    pub cue: Option<String>,
}

/// What of a bar is for some passes alone. Nothing where all passes play the same, whoever wrote it.
///
/// ```
/// let text = r#"{ "format": 1, "title": "T", "key": "D major", "tempo": 72, "sections": [
///   { "name": "A", "bars": ["1 | 4"], "passes": 2, "except": [ { "pass": 2, "bar": 2, "bars": "6" } ] } ] }"#;
/// let song = song::read(text).sound().unwrap().play();
/// let unlike: Vec<(u32, u32, String)> =
///     song.unlike(0).map(|bar| (bar.pass, bar.bar_in_section, bar.unlike.to_string())).collect();
/// assert_eq!(unlike, [(2, 2, "chords".to_owned())]);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct Unlike {
    /// Other chords, other lengths or another meter; or a bar that other passes do not have at all.
    pub chords: bool,
    /// Another manner of the right hand.
    pub right: bool,
    /// Another manner of the left hand.
    pub left: bool,
    /// Other words of the coach.
    pub words: bool,
}

impl Unlike {
    /// Whether there is anything.
    pub fn is_anything(self) -> bool {
        self != Unlike::default()
    }
}

/// `chords, right hand`.
impl std::fmt::Display for Unlike {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let all = [
            (self.chords, "chords"),
            (self.right, "right hand"),
            (self.left, "left hand"),
            (self.words, "words"),
        ];
        let said: Vec<&str> = all.into_iter().filter(|(is, _)| *is).map(|(_, name)| name).collect();
        f.write_str(&said.join(", "))
    }
}

impl PlayedSong {
    /// The bars of a section that are not the same in all its passes, in playing order, at the first place where the
    /// section is played. A bar that a pass leaves out is not among them.
    pub fn unlike(&self, section: usize) -> impl Iterator<Item = &PlayedBar> {
        let place = self.bars.iter().find(|bar| bar.section == section).map(|bar| bar.place);
        self.bars.iter().filter(move |bar| Some(bar.place) == place && bar.unlike.is_anything())
    }
}

impl PlayedBar {
    /// A bar of its own, outside any written song: one pass, one row, nothing in it yet.
    ///
    /// ```
    /// use song::{Meter, PlayedBar};
    /// let meter = Meter::new(3, 4).unwrap();
    /// let bar = PlayedBar::alone(0, "C major".parse().unwrap(), meter, 60.0);
    /// assert_eq!(bar.beat.count, 3);
    /// assert!(bar.slots.is_empty());
    /// ```
    pub fn alone(index: u32, key: Key, meter: Meter, quarters_per_minute: f64) -> PlayedBar {
        PlayedBar {
            section: 0,
            place: 0,
            pass: 1,
            passes: 1,
            bar_in_section: index + 1,
            written_bar: Some(index),
            in_place_of: None,
            row: 0,
            differs: false,
            unlike: Unlike::default(),
            meter,
            own_meter: false,
            beat: meter.beat(false),
            beat_parts: None,
            quarters_per_minute,
            key,
            written_key: key,
            text: (index + 1).to_string(),
            start: Quarters::ZERO,
            slots: Vec::new(),
            feel: Feel::Straight,
            level: 3,
            bass: false,
            pedal: false,
            note: None,
            cue: None,
        }
    }

    /// How early a push comes: an eighth, as the bar's feel has it. The second eighth of a swung quarter falls on the last
    /// third of it.
    pub fn push(&self) -> Quarters {
        if self.is_swung() { Quarters::new(1, 3) } else { Quarters::EIGHTH }
    }

    /// Whether its eighths go two to one: it asks for swing, and its beats are quarters or halves.
    pub fn is_swung(&self) -> bool {
        self.feel == Feel::Swing && self.meter.lower() <= 4
    }
}

/// Where a slot was written, so that equal places are voiced alike and a note finds its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct SlotSource {
    /// The section, of the song as written, whose text holds it.
    pub section: usize,
    /// The exception that wrote it, if one did (index in the section's list, inherited ones first).
    pub exception: Option<usize>,
    /// The bar in that text, from 0.
    pub bar: u32,
    /// The slot in that bar, from 0.
    pub slot: u32,
    /// Bytes of the song file: start and end. For a bar repeated with `%`, that sign.
    pub span: (usize, usize),
}

/// What stands in a slot.
#[derive(Clone, Debug, PartialEq)]
pub enum SlotKind {
    /// A chord.
    Chord {
        /// The chord in the key of its bar.
        chord: Chord,
        /// Struck an eighth early.
        push: bool,
        /// Struck once and left to ring.
        diamond: bool,
    },
    /// `~`: what sounded goes on; nothing is struck.
    Tie {
        /// What goes on, in the key that it was read in.
        sounding: Chord,
    },
    /// `N`.
    Rest,
}

/// A part of a bar with one chord, tie or rest.
///
/// Where an exception with a `beat` begins in the middle of a chord, the chord is two slots: the second has
/// `continued` set and the same source, and is no new chord to the eye; hands whose keys do not change go on.
#[derive(Clone, Debug, PartialEq)]
pub struct Slot {
    /// Where it starts in the bar.
    pub start: Quarters,
    /// How long it is.
    pub length: Quarters,
    /// Dots written after it; 0 if none.
    pub dots: u8,
    /// What it is.
    pub kind: SlotKind,
    /// The chord as written, without dots and marks; for `~` the chord that sounds on; `N` for a rest.
    pub symbol: String,
    /// The chord of the slot before goes on, in another manner.
    pub continued: bool,
    /// How the right hand plays it.
    pub right: HandStyle,
    /// How the left hand plays it.
    pub left: HandStyle,
    /// Where it was written.
    pub source: SlotSource,
}
