//! What can only be said about the song as a whole.

mod bars;
mod chords;
mod exceptions;
mod goals;
mod used;

use crate::limits::{BARS_PLAYED, EXCEPTIONS};
use crate::play::{Walk, count_bars, resolve};
use crate::report::{Report, quoted};
use crate::{Song, Span};
use std::collections::HashSet;

/// Adds every mistake and warning about a song that has been read.
pub(crate) fn check(song: &Song, report: &mut Report) {
    for (index, section) in song.sections.iter().enumerate() {
        let bars: usize = song.rows(index).iter().map(|row| row.bars.len()).sum();
        if bars as u64 > BARS_PLAYED {
            let what = format!("the section {} has more than {BARS_PLAYED} bars", quoted(&section.name));
            report.error(start_of(section.span), what, "make several sections of it");
            return;
        }
        let resolved = resolve(song, index);
        bars::check(song, &resolved, report);
        exceptions::check(song, &resolved, report);
        chords::check(song, &resolved, report);
        too_many_exceptions(song, index, report);
    }
    goals::check(song, report);
    if song.playing_order().is_empty() {
        return;
    }
    if count_bars(song) > BARS_PLAYED {
        let place = song.order.as_ref().and_then(|order| order.last()).map(|last| last.span);
        let place = place.or(song.sections.last().map(|section| start_of(section.span))).unwrap_or((0, 0));
        let what = format!("the song has more than {BARS_PLAYED} bars as played");
        report.error(place, what, "play fewer passes, or make two songs of it");
        return;
    }
    played(song, report);
}

/// What shows only when the song is played through.
fn played(song: &Song, report: &mut Report) {
    let mut walk = Walk::new(song);
    let mut loose: HashSet<Span> = HashSet::new();
    walk.for_each(|_, visit| loose.extend(visit.loose));
    for span in loose {
        let what = "there is nothing before this ~ that could go on";
        report.error(span, what, "write the chord, or N to rest");
    }
    used::check(song, &walk.used, report);
}

fn too_many_exceptions(song: &Song, index: usize, report: &mut Report) {
    let lineage = song.lineage(index);
    let all: usize = lineage.iter().map(|from| song.sections[*from].exceptions.len()).sum();
    if all > EXCEPTIONS {
        let section = &song.sections[index];
        let what = format!("more than {EXCEPTIONS} exceptions reach the section {}", quoted(&section.name));
        report.error(start_of(section.span), what, "write a section of its own in their place");
    }
}

/// The opening brace, for a mistake about a whole object.
fn start_of(span: Span) -> Span {
    (span.0, span.0 + 1)
}
