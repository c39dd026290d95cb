//! The two-hand part as a score for one keyboard.

use super::container;
use super::harmony::write_harmony;
use super::layout::{Measure, Sign, layout};
use super::note::write_sign;
use super::own::{self, NOTE_FIELD, SOFTWARE, Word};
use super::read::{PUSH_FIELD, PUSH_ONLY};
use super::value::lcm;
use super::xml::{Xml, attribute};
use song::{Meter, PlayedBar, Quarters, Slot, SlotKind};
use theory::{Key, Mode};
use voicing::{Part, PedalKind, PedalMark};

/// The part as plain MusicXML 4.0: both hands on a grand staff as they are played, every pass written out, with chord
/// symbols by letter and by number, fingers, pedal, tempo, sections, pushes, diamonds and the coach's words.
///
/// Each key is written as long as it sounds. Keys of one strike that end together are one chord; others have a voice each.
/// Where several of these go on over a bar line, each is tied by itself. That is correct notation, but a reader that joins
/// tied notes staff by staff, one tie at a time, loses the first tie when the second begins, and finds more notes than are
/// struck. A figure that strikes again, at the bar line, all but what one strike holds leaves it one tie; so do the demo
/// songs.
pub fn write(part: &Part) -> Vec<u8> {
    let measures = layout(part);
    let mut page = Page {
        xml: Xml::new(),
        part,
        divisions: divisions(part, &measures),
        pedals: part.pedal_marks(),
        key: None,
        meter: None,
        tempo: None,
        section: None,
        silent: false,
        voices: measures.iter().map(|measure| measure.staves[0].voices.len()).max().unwrap_or(1).max(4),
    };
    page.head(measures.first().is_some_and(|first| first.bar.is_none()));
    page.xml.open("part", " id=\"P1\"");
    for (index, measure) in measures.iter().enumerate() {
        page.measure(measure, index == 0, index + 1 == measures.len());
    }
    page.xml.finish()
}

/// The same as a compressed file.
pub fn write_compressed(part: &Part) -> Vec<u8> {
    container::pack(&write(part))
}

/// So many divisions of a quarter that everything falls on one.
fn divisions(part: &Part, measures: &[Measure]) -> i64 {
    let mut divisions = 2;
    let mut take = |at: Quarters| divisions = lcm(divisions, at.fraction().1);
    for measure in measures {
        take(measure.length);
        measure
            .staves
            .iter()
            .flat_map(|staff| staff.voices.iter().flatten())
            .for_each(|sign| take(sign.cut.length));
    }
    part.bars.iter().flat_map(|bar| &bar.played.slots).for_each(|slot| take(slot.start));
    divisions
}

pub(super) struct Page<'a> {
    pub xml: Xml,
    pub part: &'a Part,
    pub divisions: i64,
    pedals: Vec<PedalMark>,
    key: Option<Key>,
    meter: Option<Meter>,
    /// Quarters a minute.
    tempo: Option<f64>,
    /// Place and pass.
    section: Option<(usize, u32)>,
    /// No chord was written last.
    silent: bool,
    /// So many voices are kept for the upper staff.
    voices: usize,
}

/// Something that stands over or under the staves at a place.
enum Over<'a> {
    Section(String, Vec<String>),
    Tempo(&'a PlayedBar),
    Harmony(&'a Slot),
    NoChord,
    Pedal(PedalKind),
    Words(Word),
}

impl<'a> Page<'a> {
    fn head(&mut self, push: bool) {
        let xml = &mut self.xml;
        xml.raw(
            "<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
             \"http://www.musicxml.org/dtds/partwise.dtd\">",
        );
        xml.open("score-partwise", " version=\"4.0\"");
        xml.open("work", "");
        xml.leaf("work-title", "", &self.part.title);
        xml.close();
        xml.open("identification", "");
        xml.open("encoding", "");
        xml.leaf("software", "", SOFTWARE);
        for element in ["accidental", "beam"] {
            xml.empty("supports", &format!(" element=\"{element}\" type=\"yes\""));
        }
        xml.close();
        let push = push.then_some((PUSH_FIELD, PUSH_ONLY));
        let note = self.part.note.as_deref().map(|note| (NOTE_FIELD, note));
        if push.is_some() || note.is_some() {
            xml.open("miscellaneous", "");
            for (name, text) in push.into_iter().chain(note) {
                xml.leaf("miscellaneous-field", &attribute("name", name), text);
            }
            xml.close();
        }
        xml.close();
        xml.open("part-list", "");
        xml.open("score-part", " id=\"P1\"");
        xml.leaf("part-name", "", "Piano");
        xml.open("score-instrument", " id=\"P1-I1\"");
        xml.leaf("instrument-name", "", "Piano");
        xml.close();
        xml.open("midi-instrument", " id=\"P1-I1\"");
        xml.leaf("midi-channel", "", 1);
        xml.leaf("midi-program", "", 1);
        xml.close();
        xml.close();
        xml.close();
    }

    fn measure(&mut self, measure: &Measure, first: bool, last: bool) {
        let number = measure.bar.map_or(0, |bar| bar + 1);
        let implicit = if measure.bar.is_none() { " implicit=\"yes\"" } else { "" };
        self.xml.open("measure", &format!(" number=\"{number}\"{implicit}"));
        let part = self.part;
        let played = &part.bars[measure.bar.unwrap_or(0)].played;
        self.attributes(played, first);
        let mut over = self.over(measure, played);
        over.sort_by_key(|(at, _)| *at);
        let mut over = over.into_iter().peekable();
        let mut before = false;
        for (staff, voices) in measure.staves.iter().enumerate() {
            let alone = voices.voices.iter().filter(|signs| !signs.is_empty()).count() == 1;
            for (voice, signs) in voices.voices.iter().enumerate().filter(|(_, signs)| !signs.is_empty()) {
                if before {
                    self.backup(measure.length);
                }
                before = true;
                for sign in signs {
                    if (staff, voice) == (0, 0) {
                        let end = sign.cut.start + sign.cut.length;
                        while let Some((at, what)) = over.next_if(|(at, _)| *at < end) {
                            self.stands_over(at - sign.cut.start, &what);
                        }
                    }
                    self.sign(sign, staff, voice, alone);
                }
            }
        }
        over.for_each(|(at, what)| self.stands_over(at - measure.length, &what));
        if last {
            self.xml.open("barline", " location=\"right\"");
            self.xml.leaf("bar-style", "", "light-heavy");
            self.xml.close();
        }
        self.xml.close();
    }

    fn attributes(&mut self, played: &PlayedBar, first: bool) {
        let key = (self.key.replace(played.key) != Some(played.key)).then_some(played.key);
        let meter = (self.meter.replace(played.meter) != Some(played.meter)).then_some(played.meter);
        if key.is_none() && meter.is_none() && !first {
            return;
        }
        let divisions = self.divisions;
        let xml = &mut self.xml;
        xml.open("attributes", "");
        if first {
            xml.leaf("divisions", "", divisions);
        }
        if let Some(key) = key {
            xml.open("key", "");
            xml.leaf("fifths", "", key.signature());
            xml.leaf("mode", "", if key.mode() == Mode::Minor { "minor" } else { "major" });
            xml.close();
        }
        if let Some(meter) = meter {
            xml.open("time", "");
            xml.leaf("beats", "", meter.upper());
            xml.leaf("beat-type", "", meter.lower());
            xml.close();
        }
        if first {
            xml.leaf("staves", "", 2);
            for (number, sign, line) in [(1, "G", 2), (2, "F", 4)] {
                xml.open("clef", &format!(" number=\"{number}\""));
                xml.leaf("sign", "", sign);
                xml.leaf("line", "", line);
                xml.close();
            }
        }
        xml.close();
    }

    /// What stands over a measure, with its place in it.
    fn over(&mut self, measure: &Measure, played: &'a PlayedBar) -> Vec<(Quarters, Over<'a>)> {
        let words = own::over(self.part, measure.bar, measure.length);
        let words = words.into_iter().map(|(at, word)| (at, Over::Words(word)));
        let mut over = Vec::new();
        let Some(_) = measure.bar else {
            self.pedals_in(measure, &mut over);
            over.extend(words);
            return over;
        };
        let section = (played.place, played.pass);
        if self.section.replace(section) != Some(section) {
            over.push((
                Quarters::ZERO,
                Over::Section(section_name(self.part, played), own::of_section(self.part, played)),
            ));
        }
        if self.tempo.replace(played.quarters_per_minute) != Some(played.quarters_per_minute) {
            over.push((Quarters::ZERO, Over::Tempo(played)));
        }
        for slot in played.slots.iter().filter(|slot| !slot.continued) {
            match slot.kind {
                SlotKind::Chord { .. } => {
                    self.silent = false;
                    over.push((slot.start, Over::Harmony(slot)));
                }
                SlotKind::Rest if !std::mem::replace(&mut self.silent, true) => {
                    over.push((slot.start, Over::NoChord));
                }
                SlotKind::Rest | SlotKind::Tie { .. } => {}
            }
        }
        self.pedals_in(measure, &mut over);
        over.extend(words);
        over
    }

    fn pedals_in(&self, measure: &Measure, over: &mut Vec<(Quarters, Over<'a>)>) {
        let end = measure.start + measure.length;
        let is_last = measure.bar.is_some_and(|bar| bar + 1 == self.part.bars.len());
        let here = |mark: &&PedalMark| measure.start <= mark.at && (mark.at < end || is_last);
        let from = self.pedals.partition_point(|mark| mark.at < measure.start);
        let marks = self.pedals[from..].iter().take_while(here);
        over.extend(marks.map(|mark| (mark.at - measure.start, Over::Pedal(mark.kind))));
    }

    fn stands_over(&mut self, offset: Quarters, what: &Over<'_>) {
        let offset = self.units(offset);
        match what {
            Over::Section(name, words) => {
                self.xml.open("direction", " placement=\"above\"");
                self.xml.open("direction-type", "");
                self.xml.leaf("rehearsal", "", name);
                self.xml.close();
                words.iter().for_each(|line| own::write_line(&mut self.xml, "", line));
                self.staff_direction(offset, 1);
                self.xml.close();
            }
            Over::Tempo(played) => self.tempo_mark(played),
            Over::Harmony(slot) => {
                if let SlotKind::Chord { chord, .. } = &slot.kind {
                    write_harmony(&mut self.xml, Some(chord), offset);
                }
            }
            Over::Words(word) => {
                self.xml.open("direction", " placement=\"above\"");
                own::write(&mut self.xml, word);
                self.staff_direction(offset, 1);
                self.xml.close();
            }
            Over::NoChord => write_harmony(&mut self.xml, None, offset),
            Over::Pedal(kind) => {
                let kind = match kind {
                    PedalKind::Down => "start",
                    PedalKind::Change => "change",
                    PedalKind::Up => "stop",
                };
                self.xml.open("direction", " placement=\"below\"");
                self.xml.open("direction-type", "");
                self.xml.empty("pedal", &format!(" type=\"{kind}\" line=\"yes\" sign=\"no\""));
                self.xml.close();
                self.staff_direction(offset, 2);
                self.xml.close();
            }
        }
    }

    fn staff_direction(&mut self, offset: i64, staff: u8) {
        if offset != 0 {
            self.xml.leaf("offset", "", offset);
        }
        self.xml.leaf("staff", "", staff);
    }

    fn tempo_mark(&mut self, played: &PlayedBar) {
        let beat = played.beat.length;
        let (unit, dotted) = match beat.fraction() {
            (4, 1) => ("whole", false),
            (2, 1) => ("half", false),
            (3, 2) => ("quarter", true),
            (1, 2) => ("eighth", false),
            (1, 4) => ("16th", false),
            (1, 8) => ("32nd", false),
            _ => ("quarter", false),
        };
        let xml = &mut self.xml;
        xml.open("direction", " placement=\"above\"");
        xml.open("direction-type", "");
        xml.open("metronome", "");
        xml.leaf("beat-unit", "", unit);
        if dotted {
            xml.empty("beat-unit-dot", "");
        }
        let beats = played.quarters_per_minute / beat.to_f64();
        xml.leaf("per-minute", "", (beats * 100.0).round() / 100.0);
        xml.close();
        xml.close();
        xml.leaf("staff", "", 1);
        xml.empty("sound", &format!(" tempo=\"{}\"", (played.quarters_per_minute * 1e9).round() / 1e9));
        xml.close();
    }

    fn sign(&mut self, sign: &Sign, staff: usize, voice: usize, alone: bool) {
        let number = 1 + voice + staff * self.voices;
        let length = self.units(sign.cut.length);
        // A rest beside other voices is for the eye only in the first, and not where that is empty.
        let seen = voice == 0 && (alone || !sign.whole_measure);
        if sign.notes.is_empty() && sign.cut.tuplet.is_none() && !seen {
            return self.forward(length, staff, number);
        }
        write_sign(&mut self.xml, self.part, sign, length, (staff, number, seen));
    }

    /// Time in which a voice says nothing: no rest, not even a hidden one, comes between what is tied in other voices.
    fn forward(&mut self, length: i64, staff: usize, voice: usize) {
        self.xml.open("forward", "");
        self.xml.leaf("duration", "", length);
        self.xml.leaf("voice", "", voice);
        self.xml.leaf("staff", "", staff + 1);
        self.xml.close();
    }

    fn backup(&mut self, length: Quarters) {
        let duration = self.units(length);
        self.xml.open("backup", "");
        self.xml.leaf("duration", "", duration);
        self.xml.close();
    }

    fn units(&self, length: Quarters) -> i64 {
        let (n, d) = length.times(self.divisions).fraction();
        n / d
    }
}

fn section_name(part: &Part, played: &PlayedBar) -> String {
    let name = part.sections.get(played.section).map_or("", String::as_str);
    if played.passes > 1 {
        format!("{name}, pass {} of {}", played.pass, played.passes)
    } else {
        name.to_owned()
    }
}
