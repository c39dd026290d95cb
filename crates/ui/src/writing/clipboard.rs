//! Bars cut, copied and pasted while one types in a row; what is said about them goes with them.

use super::help::Help;
use super::keys::{change, consume, happens, pressed, text_of};
use super::{Chosen, Writing, WritingCommand, row};
use crate::Command;
use crate::stage::Stage;
use egui::{Event, Key, Modifiers, Ui};
use song::edit::Change;
use std::ops::Range;

/// Where one types, and the bars that are marked there.
pub(crate) struct Marked {
    pub section: usize,
    pub row: usize,
    /// Those that are chosen, or that the selection touches.
    pub bars: Range<u32>,
    /// They were chosen as bars.
    pub several: bool,
}

/// Copies bars, cuts them, takes them away. Returns whether the row is left in this frame.
pub(crate) fn copied_or_cut(
    ui: &Ui,
    stage: &mut Stage<'_>,
    writing: &Writing,
    marked: &Marked,
    help: &Help,
) -> bool {
    let section = marked.section;
    let removes = marked.several
        && (pressed(ui, Modifiers::NONE, Key::Delete) || pressed(ui, Modifiers::NONE, Key::Backspace));
    let (copies, cuts) = (happens(ui, &Event::Copy), happens(ui, &Event::Cut));
    let Some((bars, takes_out)) = whole(writing, marked, help).filter(|_| removes || copies || cuts) else {
        return false;
    };
    if copies || cuts {
        // One bar without its bar line is cut as the text that it is; its place stays.
        if copies || takes_out {
            consume(ui, |event| matches!(event, Event::Copy | Event::Cut));
        }
        ui.ctx().copy_text(text_of(writing, section, bars.clone()));
        stage.out.push(Command::Writing(WritingCommand::Copy { section, from: bars.start, to: bars.end }));
    }
    if removes || cuts && takes_out {
        change(stage, Change::RemoveBars { section, from: bars.start, to: bars.end });
        let at = Chosen::bar(section, bars.start.saturating_sub(u32::from(bars.start > 0)));
        stage.out.push(Command::Writing(WritingCommand::Choose(at)));
        row::open(ui, writing, at);
        return true;
    }
    copies
}

/// Pastes bars that were copied here, and charts of several lines. Returns whether the row is left in this frame.
pub(crate) fn pasted(
    ui: &Ui,
    stage: &mut Stage<'_>,
    writing: &Writing,
    marked: &Marked,
    help: &Help,
) -> bool {
    let (section, bars) = (marked.section, &marked.bars);
    let pasted = ui.input(|input| {
        input.events.iter().find_map(|event| match event {
            Event::Paste(text) => Some(text.clone()),
            _ => None,
        })
    });
    let in_empty = text_of(writing, section, bars.start..bars.start + 1).is_empty();
    // One bar may be meant as a chord more in the bar where one types.
    let of_here = |text: &String| {
        writing.clip.as_ref() == Some(text) && (marked.several || in_empty || text.contains('|'))
    };
    let whole = |text: &String| text.trim().contains('\n') || of_here(text);
    let Some(text) = pasted.filter(whole) else { return false };
    consume(ui, |event| matches!(event, Event::Paste(_)));
    // At the beginning of a bar in front of it, else behind it.
    let typed = &writing.rows[section][marked.row].text;
    let before = typed.get(..help.selected.map_or(0, |(_, to)| to)).unwrap_or_default().trim_end();
    let front = before.is_empty() || before.ends_with('|');
    let at = if front { bars.start } else { bars.end };
    stage.out.push(Command::Writing(WritingCommand::Paste { section, at, text }));
    true
}

/// The bars that are copied or cut as bars, and whether cutting takes their places away as well.
fn whole(writing: &Writing, marked: &Marked, help: &Help) -> Option<(Range<u32>, bool)> {
    if marked.several {
        return Some((marked.bars.clone(), true));
    }
    let rows = &writing.rows[marked.section];
    let of = &rows[marked.row];
    let (bars, with_line) = whole_bars(&of.text, help.selected?)?;
    // A section is left with a bar; of its last ones the text alone is cut.
    let count: u32 = rows.iter().map(|row| row.bars).sum();
    Some((of.first + bars.start..of.first + bars.end, with_line && bars.end - bars.start < count))
}

/// The bars of a row that a selection covers whole, from 0 in the row; and whether it takes a bar line along.
fn whole_bars(text: &str, (from, to): (usize, usize)) -> Option<(Range<u32>, bool)> {
    let (before, inside, behind) = (text.get(..from)?, text.get(from..to)?, text.get(to..)?);
    let edge = |c: char| c.is_whitespace() || c == '|';
    let lead = inside.len() - inside.trim_start_matches(edge).len();
    let trail = inside.len() - inside.trim_end_matches(edge).len();
    if lead + trail >= inside.len() {
        return None;
    }
    let begins =
        inside[..lead].contains('|') || before.trim_end().is_empty() || before.trim_end().ends_with('|');
    let ends = inside[inside.len() - trail..].contains('|')
        || behind.trim_start().is_empty()
        || behind.trim_start().starts_with('|');
    let lines = |text: &str| text.matches('|').count() as u32;
    let first = lines(before) + lines(&inside[..lead]);
    let last = first + lines(&inside[lead..inside.len() - trail]);
    (begins && ends).then_some((first..last + 1, lines(inside) > 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_selection_of_whole_bars_is_known_by_its_bar_lines() {
        let row = "1 | 4 5 | 6 | 2";
        let at = |part: &str| {
            let from = row.find(part).unwrap();
            whole_bars(row, (from, from + part.len()))
        };
        assert_eq!(at("4 5 | 6"), Some((1..3, true)));
        assert_eq!(at(" 4 5 | "), Some((1..2, true)));
        assert_eq!(at("| 2"), Some((3..4, true)));
        assert_eq!(at("6"), Some((2..3, false)), "one bar without a line of its own");
        assert_eq!(at("5 | 6"), None, "half a bar");
        assert_eq!(at(" | "), None, "no bar at all");
    }
}
