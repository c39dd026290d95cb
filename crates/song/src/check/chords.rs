//! Chords that are legal and perhaps not meant.

use crate::play::Resolved;
use crate::report::Report;
use crate::{ItemKind, Row, Song};

/// Warns about the chords in the section's own text, read in its key.
pub(super) fn check(song: &Song, resolved: &Resolved<'_>, report: &mut Report) {
    let section = &song.sections[resolved.section];
    let put_in = section.exceptions.iter().filter_map(|e| e.bars.as_ref()).flat_map(|bars| &bars.rows);
    let own = (resolved.source == resolved.section).then_some(&section.rows);
    for row in own.into_iter().flatten().chain(put_in) {
        warn(row, resolved, report);
    }
}

fn warn(row: &Row, resolved: &Resolved<'_>, report: &mut Report) {
    for item in row.bars.iter().flat_map(|bar| bar.items()) {
        let ItemKind::Chord { chord, .. } = &item.kind else { continue };
        for warning in chord.warnings(resolved.key) {
            report.warning(item.span, warning.to_string(), "");
        }
    }
}
