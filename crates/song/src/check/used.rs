//! What is written and never comes into play.

use super::start_of;
use crate::play::Used;
use crate::report::{Report, quoted};
use crate::{HandSettings, Quarters, Song};
use std::collections::HashSet;

pub(super) fn check(song: &Song, used: &Used, report: &mut Report) {
    // What is of no use can only be said when the rest is as it should be.
    if !report.has_errors() {
        useless(song, used, report);
    }
    figures(used, report);
    for (span, (member, chord)) in &used.no_such_member {
        let what = format!("these tones ask for {member}, and the chord {chord} has none");
        report.warning(*span, what, format!("give {chord} tones of its own in \"shapes\""));
    }
}

fn useless(song: &Song, used: &Used, report: &mut Report) {
    let played: HashSet<usize> = used.sections.iter().flat_map(|section| song.lineage(*section)).collect();
    for (index, section) in song.sections.iter().enumerate() {
        if !played.contains(&index) {
            let what = format!("the section {} is never played", quoted(&section.name));
            report.warning(start_of(section.span), what, "name it in the order");
            continue;
        }
        for (number, exception) in section.exceptions.iter().enumerate() {
            if !used.exceptions.contains(&(index, number)) {
                let what = "this exception never applies";
                report.warning(
                    start_of(exception.span),
                    what,
                    "a later one takes its bars, or no chord is there",
                );
            }
            shapes(&exception.right, used, report);
            shapes(&exception.left, used, report);
        }
        shapes(&section.plays.right, used, report);
        shapes(&section.plays.left, used, report);
    }
    shapes(&song.plays.right, used, report);
    shapes(&song.plays.left, used, report);
}

fn shapes(hand: &HandSettings, used: &Used, report: &mut Report) {
    for shape in hand.shapes.iter().filter(|shape| !used.shapes.contains(&shape.key_span)) {
        let what = format!("no chord {} is played with these tones", quoted(&shape.chord.to_string()));
        report.warning(shape.key_span, what, "write the chord as it stands in the bars");
    }
}

fn figures(used: &Used, report: &mut Report) {
    for (span, (written, bar)) in &used.other_beat {
        let what = format!(
            "this figure has beats of {}, and it meets bars with beats of {}, where the hand holds",
            note_value(*written),
            note_value(*bar)
        );
        report.warning(*span, what, "give those bars a figure of their own");
    }
    for (span, (note, keys, same_level)) in &used.no_such_note {
        let holds = if *keys == 1 { "1 key".to_string() } else { format!("{keys} keys") };
        let what = format!("this figure strikes note {note}, and the hand holds {holds}");
        let hint = format!("write notes up to {keys}, or t for the highest");
        if *same_level {
            report.error(*span, what, hint);
        } else {
            report.warning(*span, what, hint);
        }
    }
}

fn note_value(beat: Quarters) -> String {
    match beat.fraction() {
        (4, 1) => "a whole note".into(),
        (2, 1) => "a half note".into(),
        (3, 2) => "a dotted quarter".into(),
        (1, 1) => "a quarter".into(),
        (1, 2) => "an eighth".into(),
        (1, 4) => "a sixteenth".into(),
        (n, d) => format!("{n}/{d} of a quarter"),
    }
}
