//! The lines of choices of the scale room: plain words, the chosen one underlined, the key of each line beside its name.

use crate::plain::{self, Word};
use crate::room_keys::{RoomAsk, words, written};
use crate::stage::Stage;
use crate::{Command, Motion, Room, Subject, fonts};
use egui::{Pos2, Rect, Role, Sense, Ui, pos2, vec2};
use theory::{ArpeggioKind, Scale, ScaleKind};

/// A word to choose: what is drawn, whether it is chosen, and the room after it.
struct Choice {
    text: String,
    chosen: bool,
    room: Room,
}

/// Units.
const LINE: f32 = 31.0;
const SIZE: f32 = 16.0;
/// Where the choices of a line begin.
const COLUMN: f32 = 112.0;

/// Draws the lines; returns where they end.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, room: Room) -> f32 {
    let x = rect.left() + stage.px(6.0);
    let mut at = pos2(x, rect.top() + stage.px(17.0));
    let mut line = Line::new(ui, stage, at);
    line.group("practise", RoomAsk::Subject, &subjects(room));
    if let Some(forms) = forms(room) {
        line.group("form", RoomAsk::Form, &forms);
    }
    if room.subject != Subject::SongChords {
        at.y += stage.px(LINE);
        Line::new(ui, stage, at).group("tonic", RoomAsk::Tonic, &tonics(room));
        at.y += stage.px(LINE);
        Line::new(ui, stage, at).group("kind", RoomAsk::Kind, &kinds(room));
    }
    at.y += stage.px(LINE);
    how(&mut Line::new(ui, stage, at), room);
    at.y + stage.px(17.0)
}

/// How it is played.
fn how(line: &mut Line<'_, '_, '_>, room: Room) {
    line.group("tempo", RoomAsk::Tempo, &tempos(room));
    let run = room.subject.is_run();
    if room.drill.is_none() {
        line.group("octaves", RoomAsk::Octaves, &octaves(room));
    }
    if run && room.drill.is_none() {
        line.group("hands", RoomAsk::Motion, &motions(room));
    }
    let a_beat = Room::NOTES_A_BEAT.map(|n| Choice {
        text: n.to_string(),
        chosen: room.a_beat() == n,
        room: room.with_a_beat(n),
    });
    line.group(if run { "notes a beat" } else { "chords a beat" }, RoomAsk::NotesABeat, &a_beat);
    let accents = Room::ACCENTS.map(|n| Choice {
        text: if n == 0 { "none".into() } else { n.to_string() },
        chosen: room.accents == n,
        room: Room { accents: n, ..room },
    });
    line.group("accent every", RoomAsk::Accents, &accents);
}

fn subjects(room: Room) -> Vec<Choice> {
    let choice = |subject: Subject| Choice {
        text: subject.name().into(),
        chosen: room.subject == subject,
        room: room.with_subject(subject),
    };
    Subject::ALL.map(choice).into()
}

/// Inversions of an arpeggio; triads or sevenths of the key.
fn forms(room: Room) -> Option<Vec<Choice>> {
    match room.subject {
        Subject::Arpeggio => {
            let names = ["from the root", "1st inversion", "2nd", "3rd"];
            let choice = |(n, text): (usize, &str)| Choice {
                text: text.into(),
                chosen: usize::from(room.inversion) == n,
                room: Room { inversion: n as u8, drill: None, ..room },
            };
            Some(names.into_iter().enumerate().take(room.broken.size()).map(choice).collect())
        }
        Subject::Chords => {
            let choice = |(text, sevenths): (&str, bool)| Choice {
                text: text.into(),
                chosen: room.sevenths == sevenths,
                room: Room { sevenths, ..room },
            };
            Some([("triads", false), ("sevenths", true)].map(choice).into())
        }
        Subject::Scale | Subject::SongChords => None,
    }
}

/// The tonics by fifths that have a signature in this kind.
fn tonics(room: Room) -> Vec<Choice> {
    let choice = |scale: Scale| Choice {
        text: scale.tonic().pretty(),
        chosen: room.scale == scale,
        room: room.with_scale(scale),
    };
    Scale::of_kind(room.scale.kind()).map(choice).collect()
}

fn kinds(room: Room) -> Vec<Choice> {
    if room.subject == Subject::Arpeggio {
        let choice = |broken: ArpeggioKind| Choice {
            text: broken.name().into(),
            chosen: room.broken == broken,
            room: room.with_broken(broken),
        };
        return ArpeggioKind::ALL.map(choice).into();
    }
    let choice = |kind: ScaleKind| Choice {
        text: short(kind).into(),
        chosen: room.scale.kind() == kind,
        room: room.with_scale(room.scale.with_kind(kind)),
    };
    ScaleKind::ALL.map(choice).into()
}

/// Short enough for one line.
const fn short(kind: ScaleKind) -> &'static str {
    match kind {
        ScaleKind::NaturalMinor => "natural minor",
        ScaleKind::HarmonicMinor => "harmonic",
        ScaleKind::MelodicMinor => "melodic",
        ScaleKind::MajorPentatonic => "pentatonic",
        other => other.name(),
    }
}

fn octaves(room: Room) -> Vec<Choice> {
    let choice = |octaves: u8| Choice {
        text: octaves.to_string(),
        chosen: room.octaves_asked() == octaves,
        room: Room { octaves, drill: None, ..room },
    };
    (1..=Scale::MAX_OCTAVES).map(choice).collect()
}

fn motions(room: Room) -> Vec<Choice> {
    let choice = |motion: Motion| Choice {
        text: motion.name().into(),
        chosen: room.motion == motion,
        room: Room { motion, drill: None, ..room },
    };
    [Motion::Together, Motion::Contrary].map(choice).into()
}

/// One step slower, what it is, one faster.
fn tempos(room: Room) -> Vec<Choice> {
    let other = |text: &str, by: i32| Choice {
        text: text.into(),
        chosen: false,
        room: room.with_tempo(i32::from(room.tempo) + by),
    };
    vec![other("−", -4), Choice { text: room.tempo.to_string(), chosen: true, room }, other("+", 4)]
}

/// A line that is being written.
struct Line<'u, 's, 'm> {
    ui: &'u mut Ui,
    stage: &'s mut Stage<'m>,
    at: Pos2,
    first: bool,
}

impl<'u, 's, 'm> Line<'u, 's, 'm> {
    fn new(ui: &'u mut Ui, stage: &'s mut Stage<'m>, at: Pos2) -> Self {
        Line { ui, stage, at, first: true }
    }

    /// A heading with its key, and the words to choose from.
    fn group(&mut self, heading: &str, ask: RoomAsk, choices: &[Choice]) {
        let start = self.at.x;
        let key = written(ask);
        self.heading(heading, key, words(ask));
        if std::mem::take(&mut self.first) {
            self.at.x = self.at.x.max(start + self.stage.px(COLUMN));
        }
        for choice in choices {
            let name = format!("{heading}: {}", choice.text);
            let word = Word::new(&choice.text, self.stage.px(SIZE)).named(&name).chosen(choice.chosen);
            let response = self.stage.offering(self.ui, self.at, &word, Command::Room(choice.room));
            // The box of a word is six wider than its text.
            self.at.x = response.rect.right() - 6.0 + self.stage.px(15.0);
        }
        self.at.x += self.stage.px(11.0);
    }

    fn heading(&mut self, heading: &str, key: &str, words: &str) {
        let (palette, stage) = (self.stage.palette, &self.stage);
        let font = fonts::italic(stage.px(15.0));
        let text = plain::baseline(self.ui.painter(), self.at, heading, font, palette.quiet);
        let behind = pos2(text.right() + stage.px(6.0), self.at.y);
        let shown =
            plain::baseline(self.ui.painter(), behind, key, fonts::bold(stage.px(13.0)), palette.quiet);
        let place = text.union(shown).expand2(vec2(2.0, 2.0));
        let id = self.ui.scope_id().with(("heading", heading));
        let told = format!("{heading}: key {key}");
        let response = self.ui.interact(place, id, Sense::hover());
        response.widget_info(|| egui::WidgetInfo::labeled(Role::Label, true, &told));
        response.on_hover_text(words);
        self.at.x = shown.right() + stage.px(13.0);
    }
}
