//! What other parts of a score say about the measures of the part that has the chords: signs of form, sections and tempi
//! often stand over the first part alone.

use super::form::Form;
use super::measure::{Measure, add_words};
use crate::chart::Symbol;
use song::Quarters;

/// Adds what another part says. Its keys and meters count only where the part has none of its own: it may be transposing.
pub(super) fn hear(own: &mut [Measure], other: &[Measure]) {
    let has_key = own.iter().any(|measure| measure.key.is_some());
    let has_meter = own.iter().any(|measure| measure.meter.is_some());
    for (own, other) in own.iter_mut().zip(other) {
        hear_form(&mut own.form, &other.form);
        own.section = own.section.take().or_else(|| other.section.clone());
        own.tempo = own.tempo.or(other.tempo);
        own.feel = own.feel.or(other.feel);
        own.key = own.key.or(other.key.filter(|_| !has_key));
        own.meter = own.meter.or(other.meter.filter(|_| !has_meter));
        own.filled = own.filled.max(other.filled);
        own.has_notes |= other.has_notes;
        own.has_lyrics |= other.has_lyrics;
        // A part in which nothing is written rests as well.
        own.rests &= other.rests || other.filled == Quarters::ZERO;
        own.implicit |= other.implicit;
        other.words.iter().for_each(|words| add_words(own, words.clone()));
        hear_chords(own, other);
    }
}

fn hear_form(own: &mut Form, other: &Form) {
    own.forward |= other.forward;
    own.backward = own.backward.or(other.backward);
    own.ending = own.ending.take().or_else(|| other.ending.clone());
    own.ending_stops |= other.ending_stops;
    own.segno = own.segno.or(other.segno);
    own.coda = own.coda.or(other.coda);
    own.to_coda = own.to_coda.or(other.to_coda);
    own.fine |= other.fine;
    own.jump = own.jump.or(other.jump);
}

/// Chord symbols over another part are told, where they are others.
fn hear_chords(own: &mut Measure, other: &Measure) {
    let name =
        |symbol: &Symbol| symbol.chord.map_or_else(|| "no chord".to_owned(), |chord| chord.to_string());
    let others: Vec<String> = other
        .harmony
        .iter()
        .filter(|chord| !own.harmony.contains(chord))
        .map(|(_, symbol)| name(symbol))
        .collect();
    if !others.is_empty() {
        own.noted += others.len();
        add_words(own, format!("another part has {} here", others.join(" ")));
    }
}
