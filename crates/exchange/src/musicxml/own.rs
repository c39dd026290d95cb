//! What a score of this program says beside notes and chord symbols: the coach's words, pushes and diamonds. All of it is
//! words over the staff, for a player to read, and so that the song can be read back.

use super::tree::Element;
use super::xml::{Xml, attribute};
use crate::chart::{Coach, SheetBar};
use song::{PlayedBar, Quarters, SlotKind};
use voicing::Part;

/// The program that a score of ours names.
pub(super) const SOFTWARE: &str = "Overhand";
/// A field of the score with the coach's words about the whole song.
pub(super) const NOTE_FIELD: &str = "note";
/// Stands where a push is struck, in a hand of its own: a coach may write the same word.
const PUSH: &str = "push";
const PUSH_STYLE: (&str, &str) = ("font-style", "italic");
/// Stands around the number of a diamond (MusicXML 4.0, "enclosure-shape").
const DIAMOND: &str = "diamond";
/// Stands before what a player is to listen for.
const LISTEN: &str = "Listen for: ";
/// A bar has no more pushes, or diamonds, than this.
const MOST_PLACES: usize = 64;

/// Words over a measure.
pub(super) enum Word {
    /// Of the coach, for this bar in this pass; a line each.
    Coach(Vec<String>),
    Push,
    /// The number that is struck once and left to ring.
    Diamond(String),
}

/// The words over a bar, and over the end of the one before where its first chord is a push.
pub(super) fn over(part: &Part, bar: Option<usize>, length: Quarters) -> Vec<(Quarters, Word)> {
    let mut words = Vec::new();
    if let Some(played) = bar.map(|bar| &part.bars[bar].played) {
        let said = lines(played.note.as_deref(), played.cue.as_deref());
        if !said.is_empty() {
            words.push((Quarters::ZERO, Word::Coach(said)));
        }
        for slot in played.slots.iter().filter(|slot| !slot.continued) {
            let SlotKind::Chord { push, diamond, .. } = slot.kind else { continue };
            let early = slot.start - played.push();
            if push && early >= Quarters::ZERO {
                words.push((early, Word::Push));
            }
            if diamond {
                words.push((slot.start, Word::Diamond(slot.symbol.clone())));
            }
        }
    }
    let next = part.bars.get(bar.map_or(0, |bar| bar + 1));
    if let Some(played) = next.map(|next| &next.played).filter(|played| begins_with_push(played)) {
        words.push(((length - played.push()).max(Quarters::ZERO), Word::Push));
    }
    words
}

fn begins_with_push(played: &PlayedBar) -> bool {
    let first = played.slots.first();
    first.is_some_and(|slot| !slot.continued && matches!(slot.kind, SlotKind::Chord { push: true, .. }))
}

/// The coach's words about a section, where it begins.
pub(super) fn of_section(part: &Part, played: &PlayedBar) -> Vec<String> {
    let words = part.words.get(played.section).filter(|_| played.pass == 1);
    words.map(|words| lines(words.note.as_deref(), words.cue.as_deref())).unwrap_or_default()
}

fn lines(note: Option<&str>, cue: Option<&str>) -> Vec<String> {
    let note = note.into_iter().flat_map(str::lines).map(str::to_owned);
    let cue = cue.map(|cue| format!("{LISTEN}{}", cue.lines().collect::<Vec<_>>().join(" ")));
    note.chain(cue).filter(|line| !line.trim().is_empty()).collect()
}

/// Writes words into a direction that is open.
pub(super) fn write(xml: &mut Xml, words: &Word) {
    match words {
        Word::Coach(lines) => lines.iter().for_each(|line| write_line(xml, "", line)),
        Word::Push => write_line(xml, &attribute(PUSH_STYLE.0, PUSH_STYLE.1), PUSH),
        Word::Diamond(number) => write_line(xml, &attribute("enclosure", DIAMOND), number),
    }
}

pub(super) fn write_line(xml: &mut Xml, attributes: &str, line: &str) {
    xml.open("direction-type", "");
    xml.leaf("words", attributes, line);
    xml.close();
}

/// The words over a measure of ours, read back.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) struct OwnWords {
    pub pushes: Vec<Quarters>,
    pub diamonds: Vec<Quarters>,
    /// About the section that begins here, and about the bar.
    pub section: Vec<String>,
    pub bar: Vec<String>,
}

impl OwnWords {
    /// Takes what a direction says at its place.
    pub fn take(&mut self, direction: &Element, place: Quarters) {
        let all = || direction.all("direction-type").flat_map(|kind| &kind.children);
        let names_section = all().any(|kind| kind.name == "rehearsal");
        for words in all().filter(|kind| kind.name == "words") {
            let text = words.text.trim();
            if words.attribute("enclosure") == Some(DIAMOND) {
                add(&mut self.diamonds, place);
            } else if text == PUSH && words.attribute(PUSH_STYLE.0) == Some(PUSH_STYLE.1) {
                add(&mut self.pushes, place);
            } else if names_section {
                self.section.push(text.to_owned());
            } else {
                self.bar.push(text.to_owned());
            }
        }
    }

    /// The coach's words, and notes of the bar apart.
    pub fn coach(&self) -> (Coach, Vec<String>) {
        let (section_cue, section) = parted(&self.section);
        let (cue, bar) = parted(&self.bar);
        let section_note = (!section.is_empty()).then(|| section.join("\n"));
        (Coach { section_note, section_cue, cue }, bar)
    }
}

fn add(places: &mut Vec<Quarters>, place: Quarters) {
    if places.len() < MOST_PLACES {
        places.push(place);
    }
}

/// What a player is to listen for, and the rest.
fn parted(lines: &[String]) -> (Option<String>, Vec<String>) {
    let (cues, notes): (Vec<&String>, Vec<&String>) = lines.iter().partition(|line| line.starts_with(LISTEN));
    let cues: Vec<&str> = cues.iter().filter_map(|line| line.strip_prefix(LISTEN)).collect();
    let cue = (!cues.is_empty()).then(|| cues.join("; "));
    (cue, notes.into_iter().cloned().collect())
}

/// Whether a score is of this program; what stands before its measures tells.
pub(super) fn is_ours(score: &Element) -> bool {
    let encoding = score.child("identification").and_then(|about| about.child("encoding"));
    encoding.is_some_and(|encoding| encoding.text_of("software") == Some(SOFTWARE))
}

/// Marks the chords that are pushes and diamonds.
pub(super) fn mark(bars: &mut [SheetBar], words: &[OwnWords]) {
    for (at, own) in words.iter().enumerate() {
        for place in &own.pushes {
            mark_push(bars, at, *place);
        }
        let Some(bar) = bars.get_mut(at) else { continue };
        for (_, symbol) in bar.harmony.iter_mut().filter(|(place, _)| own.diamonds.contains(place)) {
            symbol.diamond = true;
        }
    }
}

/// The chord that is struck early at a place of a bar: at most an eighth behind it, here or in the next bar.
fn mark_push(bars: &mut [SheetBar], at: usize, place: Quarters) {
    let Some(length) = bars.get(at).map(|bar| bar.length) else { return };
    let behind = |start: Quarters| place < start && start <= place + Quarters::EIGHTH;
    let here = bars[at].harmony.iter().position(|(start, _)| behind(*start));
    let (bar, chord) = match here {
        Some(chord) => (at, chord),
        None => (at + 1, 0),
    };
    let Some((start, symbol)) = bars.get_mut(bar).and_then(|bar| bar.harmony.get_mut(chord)) else { return };
    symbol.push |= bar == at || behind(length + *start);
}
