//! What the scale room works on, and how: changed by its words and keys.

use crate::exercise_run::drilled;
use theory::{Arpeggio, ArpeggioKind, Hand, Key, Letter, Mode, NoteName, Scale};

/// What the scale room works on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Room {
    /// What is played.
    pub subject: Subject,
    /// The scale; the arpeggio lies on its tonic, the chords are its chords.
    pub scale: Scale,
    /// The chord that is broken.
    pub broken: ArpeggioKind,
    /// The note that the arpeggio begins with: 0 the root, 1 the third …
    pub inversion: u8,
    /// Chords of the key with their sevenths.
    pub sevenths: bool,
    /// One octave to four, of which as many are played as the keyboard has room for.
    pub octaves: u8,
    /// Whether both hands go the same way.
    pub motion: Motion,
    /// Notes of a run a beat, one of [`Room::NOTES_A_BEAT`].
    pub notes_a_beat: u8,
    /// Chords a beat, one of them too.
    pub chords_a_beat: u8,
    /// Every so many notes or chords one is accented; 0: none, else one of [`Room::ACCENTS`].
    pub accents: u8,
    /// Beats a minute, within [`Room::TEMPOS`].
    pub tempo: u16,
    /// Only the three notes around a crossing.
    pub drill: Option<Drill>,
}

/// What is played in the scale room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Subject {
    /// The scale, up and down.
    Scale,
    /// A chord, broken, up and down.
    Arpeggio,
    /// The scale's seven chords, each in all inversions, up and down.
    Chords,
    /// The chords of the song on the stand, in the order in which it uses them, likewise.
    SongChords,
}

/// Whether both hands go the same way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Motion {
    /// The same way, an octave apart.
    Together,
    /// Away from each other, and back: from an octave apart or, where the keyboard is too short for that, from the same
    /// key, which the right hand strikes.
    Contrary,
}

/// A crossing to drill.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Drill {
    /// Whose.
    pub hand: Hand,
    /// Which of those on the way up, from 0.
    pub crossing: usize,
}

impl Subject {
    /// All of them.
    pub const ALL: [Subject; 4] = [Subject::Scale, Subject::Arpeggio, Subject::Chords, Subject::SongChords];

    /// As a word to choose.
    pub const fn name(self) -> &'static str {
        match self {
            Subject::Scale => "the scale",
            Subject::Arpeggio => "an arpeggio",
            Subject::Chords => "the chords of the key",
            Subject::SongChords => "the chords of the song",
        }
    }

    /// A run of single notes, rather than chords.
    pub const fn is_run(self) -> bool {
        matches!(self, Subject::Scale | Subject::Arpeggio)
    }
}

impl Motion {
    /// As a word to choose.
    pub const fn name(self) -> &'static str {
        match self {
            Motion::Together => "together",
            Motion::Contrary => "contrary",
        }
    }
}

impl Default for Room {
    fn default() -> Self {
        let c = NoteName::new(Letter::C, 0);
        let key = Key::new(c, Mode::Major).expect("C major has a key signature");
        Room {
            subject: Subject::Scale,
            scale: key.into(),
            broken: ArpeggioKind::Major,
            inversion: 0,
            sevenths: false,
            octaves: 1,
            motion: Motion::Together,
            notes_a_beat: 2,
            chords_a_beat: 1,
            accents: 0,
            tempo: 60,
            drill: None,
        }
    }
}

impl Room {
    /// Notes a beat that there are: threes and sixes in a dotted beat.
    pub const NOTES_A_BEAT: [u8; 7] = [1, 2, 3, 4, 5, 6, 8];
    /// Every so many notes an accent; 0 is none.
    pub const ACCENTS: [u8; 4] = [0, 2, 3, 4];
    /// The slowest and the fastest beat, in beats a minute.
    pub const TEMPOS: (u16, u16) = (30, 200);

    /// Another scale, by kind or tonic; a drill of the old one ends.
    pub fn with_scale(self, scale: Scale) -> Room {
        let broken = match (self.broken, scale.kind().mode()) {
            (ArpeggioKind::Minor, Mode::Major) if scale.kind() != self.scale.kind() => ArpeggioKind::Major,
            (ArpeggioKind::Major, Mode::Minor) if scale.kind() != self.scale.kind() => ArpeggioKind::Minor,
            (broken, _) => broken,
        };
        Room { scale, broken, drill: None, ..self }
    }

    /// Another subject.
    pub fn with_subject(self, subject: Subject) -> Room {
        Room { subject, drill: None, ..self }
    }

    /// Another chord to break; what does not fit it gives way.
    pub fn with_broken(self, broken: ArpeggioKind) -> Room {
        let inversion = if usize::from(self.inversion) < broken.size() { self.inversion } else { 0 };
        Room { broken, inversion, drill: None, ..self }
    }

    /// Another tempo, kept within what there is.
    pub fn with_tempo(self, tempo: i32) -> Room {
        let (low, high) = Self::TEMPOS;
        Room { tempo: tempo.clamp(i32::from(low), i32::from(high)) as u16, ..self }
    }

    /// How many octaves each hand goes, within what there is; see [`octaves_on`](crate::octaves_on) for a keyboard.
    pub fn octaves_asked(self) -> u8 {
        self.octaves.clamp(1, Scale::MAX_OCTAVES)
    }

    /// How much of what is played comes in a beat.
    pub const fn a_beat(self) -> u8 {
        if self.subject.is_run() { self.notes_a_beat } else { self.chords_a_beat }
    }

    /// So much of it in a beat.
    pub const fn with_a_beat(self, count: u8) -> Room {
        match self.subject.is_run() {
            true => Room { notes_a_beat: count, ..self },
            false => Room { chords_a_beat: count, ..self },
        }
    }

    /// The arpeggio.
    pub fn arpeggio(self) -> Arpeggio {
        let root = self.scale.tonic();
        let plain = NoteName::new(root.letter, root.alter.signum());
        let arpeggio = Arpeggio::new(root, self.broken).or_else(|| Arpeggio::new(plain, self.broken));
        let arpeggio = arpeggio.expect("one accidental is within the limit");
        arpeggio.inverted(self.inversion).unwrap_or(arpeggio)
    }

    /// What it is called: `D major`, `E♭ dominant seventh, first inversion`.
    pub fn title(self) -> String {
        match self.subject {
            Subject::Arpeggio => self.arpeggio().pretty(),
            Subject::Scale | Subject::Chords | Subject::SongChords => self.scale.pretty(),
        }
    }

    /// The fingers of a hand's run; none where there are chords.
    pub(crate) fn fingers(self, hand: Hand) -> Option<theory::ScaleFingers> {
        match self.subject {
            Subject::Scale => self.scale.fingers(hand, self.octaves_asked()),
            Subject::Arpeggio => self.arpeggio().fingers(hand, self.octaves_asked()),
            Subject::Chords | Subject::SongChords => None,
        }
    }

    /// All crossings that can be drilled: each hand's on the way up. Of those around the same notes the last one, whose
    /// fingers are not those of a beginning.
    pub(crate) fn drills(self) -> Vec<Drill> {
        let mut known: Vec<(Hand, [NoteName; 3])> = Vec::new();
        let mut drills: Vec<Drill> = Vec::new();
        for hand in Hand::BOTH {
            let count = self.fingers(hand).map_or(0, |fingers| fingers.crossings_up.len());
            for drill in (0..count).map(|crossing| Drill { hand, crossing }) {
                let Some(notes) = drilled(self, drill) else { continue };
                let named = (hand, notes.map(|(pitch, _)| pitch.name));
                match known.iter().position(|other| *other == named) {
                    Some(at) => drills[at] = drill,
                    None => {
                        known.push(named);
                        drills.push(drill);
                    }
                }
            }
        }
        drills
    }
}
