//! What stands on the page, from top to bottom, before it is drawn.

use super::{NewLine, Writing, WritingView};
use crate::Labels;
use crate::stage::Stage;
use song::Severity;

/// A piece of the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Piece {
    /// What it is.
    pub kind: Kind,
    /// The section that it belongs to.
    pub section: usize,
    /// How high it is, in points.
    pub height: f32,
}

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// The heading of a section, to be typed over.
    Heading,
    /// A row, printed, and as text where one types or something is wrong.
    Row {
        /// Its number.
        row: usize,
        /// It is the first of its section.
        first: bool,
        /// It is shown as text as well.
        text: bool,
        /// One types in it.
        open: bool,
    },
    /// A line that is not in the song yet.
    Line(NewLine),
    /// A section without any rows.
    Empty,
}

/// Units.
const PRINTED: f32 = 70.0;
const PRINTED_WITHOUT_NAMES: f32 = 62.0;
/// What a line of text takes.
pub(crate) const TEXT: f32 = 34.0;
/// What helps the one who types: what is wrong, what may be meant, signs to put on.
pub(crate) const HELP: f32 = 52.0;
const GAP: f32 = 8.0;

/// How high a printed row is, in points.
pub(crate) fn printed(stage: &Stage<'_>) -> f32 {
    let both = stage.model.view.labels == Labels::Both;
    stage.px(if both { PRINTED } else { PRINTED_WITHOUT_NAMES })
}

/// All pieces of the page.
pub(crate) fn pieces(stage: &Stage<'_>, writing: &Writing, view: &WritingView) -> Vec<Piece> {
    let mut all = Vec::new();
    for section in 0..writing.song.sections.len() {
        of_section(stage, writing, view, section, &mut all);
    }
    let line = |line: &NewLine| line.section >= writing.song.sections.len();
    if let Some(line) = view.line.filter(line) {
        let height = stage.px(TEXT + HELP);
        all.push(Piece { kind: Kind::Line(line), section: line.section, height });
    }
    all
}

fn of_section(
    stage: &Stage<'_>,
    writing: &Writing,
    view: &WritingView,
    section: usize,
    all: &mut Vec<Piece>,
) {
    let mut add = |kind, units: f32, printed: f32| {
        all.push(Piece { kind, section, height: stage.px(units) + printed });
    };
    let typed = view.line.is_none();
    if typed && view.chosen.place == song::edit::Place::Section(section) {
        add(Kind::Heading, TEXT + HELP, 0.0);
    }
    let source = writing.source(section).unwrap_or(section);
    let rows = &writing.rows[source];
    let here = view.chosen.bars().filter(|_| typed && view.chosen.section() == Some(section));
    let line_at = |row: usize| view.line.filter(|line| (line.section, line.row) == (section, row));
    for (number, row) in rows.iter().enumerate() {
        if let Some(line) = line_at(number) {
            add(Kind::Line(line), TEXT + HELP, 0.0);
        }
        let open = here.as_ref().is_some_and(|bars| (row.first..row.first + row.bars).contains(&bars.start));
        let wrong = source == section && row.marks.iter().any(|mark| mark.severity == Severity::Error);
        let text = open || wrong;
        let units = if open {
            TEXT + HELP
        } else if wrong {
            TEXT
        } else {
            0.0
        };
        let kind = Kind::Row { row: number, first: number == 0, text, open };
        add(kind, units, printed(stage));
    }
    if rows.is_empty() {
        add(Kind::Empty, TEXT, 0.0);
    }
    if let Some(line) = view.line.filter(|line| line.section == section && line.row >= rows.len()) {
        add(Kind::Line(line), TEXT + HELP, 0.0);
    }
    if let Some(last) = all.last_mut() {
        last.height += stage.px(GAP);
    }
}
