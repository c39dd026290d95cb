//! A line that is typed and not in the song yet. As soon as it can only be a row it is one; a name becomes a section.

use super::pieces::TEXT;
use super::printed::MARGIN;
use super::text_line::{TextLine, small, type_in};
use super::{Chosen, NewLine, Writing, WritingCommand, keys, row};
use crate::plain::Word;
use crate::stage::Stage;
use crate::{Command, plain};
use egui::{Id, Key, Modifiers, Rect, Ui, pos2};
use song::edit::{Change, Field, Place};
use song::letters;
use song::typing::{self, Heading, Line};
use theory::Key as MusicKey;

/// Where it is typed, in egui's memory.
pub(crate) fn id() -> Id {
    Id::unique("typed new line")
}

/// Begins a line.
pub(crate) fn begin(ui: &Ui, stage: &mut Stage<'_>, line: NewLine) {
    ui.data_mut(|data| data.remove::<String>(id()));
    stage.out.push(Command::Writing(WritingCommand::Line(Some(line))));
    type_in(ui, id(), 0);
}

/// Draws it.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>, writing: &Writing, new: NewLine) {
    let id = id();
    let left = rect.left() + stage.px(MARGIN - 6.0);
    let right = rect.right() - stage.px(22.0);
    let line = Rect::from_min_max(pos2(left, rect.top()), pos2(right, rect.top() + stage.px(TEXT)));
    let mut text = ui.data(|data| data.get_temp::<String>(id)).unwrap_or_default();
    let focused = ui.memory(|memory| memory.has_focus(id));
    let completion = completion(writing, &text);
    // Whatever a key does, the line is drawn: what is not drawn loses the focus.
    let gone = focused && pressed(ui, stage, writing, new, &mut text, completion.as_deref());
    if gone {
        text = ui.data(|data| data.get_temp::<String>(id)).unwrap_or_default();
    }
    let typed = TextLine {
        id,
        name: "New line",
        hint: "a row of chords, or the name of a section",
        size: 20.0,
        marks: &[],
        takes_tab: completion.is_some(),
    };
    let out = typed.show(ui, line, stage, &mut text);
    if gone {
        return;
    }
    if out.changed {
        ui.data_mut(|data| data.insert_temp(id, text.clone()));
        if typing::begins_row(&text) {
            let at = text.chars().count();
            return become_row(ui, stage, writing, new, &text, at);
        }
    }
    let at = pos2(left + stage.px(8.0), line.bottom() + stage.px(19.0));
    said(ui, at, stage, writing, new, &text, completion.as_deref(), right - left);
}

/// The keys of a new line. Returns whether it is left.
fn pressed(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    writing: &Writing,
    new: NewLine,
    text: &mut String,
    completion: Option<&str>,
) -> bool {
    if let Some(whole) = completion
        && keys::pressed(ui, Modifiers::NONE, Key::Tab)
    {
        *text = whole.to_owned();
        ui.data_mut(|data| data.insert_temp(id(), text.clone()));
        type_in(ui, id(), text.chars().count());
        return false;
    }
    if let Some(pasted) = pasted_lines(ui) {
        leave(ui, stage);
        let at = first_bar(writing, new);
        stage.out.push(Command::Writing(WritingCommand::Paste { section: new.section, at, text: pasted }));
        return true;
    }
    if keys::pressed(ui, Modifiers::NONE, Key::Enter) {
        enter(ui, stage, writing, new, text);
        return true;
    }
    for (key, ahead) in [(Key::ArrowUp, false), (Key::ArrowDown, true)] {
        if keys::pressed(ui, Modifiers::NONE, key) {
            leave(ui, stage);
            let from = match (new.row, ahead) {
                (0, _) => None,
                (row, true) => Some(row - 1),
                (row, false) => Some(row),
            };
            if new.section < writing.song.sections.len() {
                keys::walk(ui, stage, writing, (new.section, from), ahead, 0);
            }
            return true;
        }
    }
    let empty = text.is_empty();
    if keys::pressed(ui, Modifiers::NONE, Key::Escape)
        || empty && keys::pressed(ui, Modifiers::NONE, Key::Backspace)
    {
        leave(ui, stage);
        if let Some(before) = new.row.checked_sub(1).filter(|_| new.section < writing.song.sections.len()) {
            keys::walk(ui, stage, writing, (new.section, Some(before + 1)), false, usize::MAX);
        }
        return true;
    }
    false
}

/// Text of several lines that is pasted in this frame.
fn pasted_lines(ui: &Ui) -> Option<String> {
    let lines = |event: &egui::Event| match event {
        egui::Event::Paste(text) if text.trim().contains('\n') => Some(text.clone()),
        _ => None,
    };
    ui.input(|input| input.events.iter().find_map(lines))
}

/// Leaves it; what was typed is gone.
pub(crate) fn leave(ui: &Ui, stage: &mut Stage<'_>) {
    ui.data_mut(|data| data.remove::<String>(id()));
    stage.out.push(Command::Writing(WritingCommand::Line(None)));
}

/// The bar that a new line stands in front of.
fn first_bar(writing: &Writing, new: NewLine) -> u32 {
    let Some(rows) = writing.rows.get(new.section) else { return 0 };
    let last = rows.last().map_or(0, |row| row.first + row.bars);
    rows.get(new.row).map_or(last, |row| row.first)
}

/// What was typed is a row of the song from now on.
fn become_row(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing, new: NewLine, text: &str, at: usize) {
    let text = text.to_owned();
    let bar = first_bar(writing, new);
    let (section, row, change) = if new.section < writing.song.sections.len() {
        let change = Change::InsertRow { section: new.section, row: new.row, text };
        (new.section, new.row, change)
    } else {
        let change = Change::InsertSection { at: new.section, name: "Song".into(), rows: vec![text] };
        (new.section, 0, change)
    };
    leave(ui, stage);
    keys::change(stage, change);
    stage.out.push(Command::Writing(WritingCommand::Choose(Chosen::bar(section, bar))));
    type_in(ui, row::id(section, row), at);
}

fn enter(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing, new: NewLine, text: &str) {
    match typing::line(text) {
        Line::Blank => leave(ui, stage),
        Line::Row => become_row(ui, stage, writing, new, text, text.chars().count()),
        Line::Letters => {
            let key = proposed(writing, new.section, text).first().copied().unwrap_or(writing.song.key);
            take_letters(ui, stage, writing, new, text, key);
        }
        Line::Heading(heading) => section(ui, stage, writing, new, heading),
        Line::Says(fields) => {
            let says = |field: Field| Change::Field { place: Place::Song, field };
            let changes = fields.into_iter().map(says).collect();
            stage.out.push(Command::Writing(WritingCommand::Change(changes)));
            begin(ui, stage, new);
        }
    }
}

/// The keys that chords by letter may be in: that of the section once there are bars, else the likeliest.
fn proposed(writing: &Writing, section: usize, text: &str) -> Vec<MusicKey> {
    let bars = writing.written.bars.iter().any(|bar| !bar.slots.is_empty());
    let written = writing.written.bars.iter().find(|bar| bar.section == section).map(|bar| bar.key);
    let known = bars.then(|| written.unwrap_or(writing.song.key));
    let guesses = letters::propose_key(&letters::chords(text)).into_iter().map(|guess| guess.key);
    let guesses = guesses.filter(|key| Some(*key) != known);
    known.into_iter().chain(guesses).take(4).collect()
}

/// Letters become numbers of a key. In a song without bars it becomes the song's key.
fn take_letters(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing, new: NewLine, text: &str, key: MusicKey) {
    let numbers = letters::to_numbers(text, key).text;
    let first = !writing.written.bars.iter().any(|bar| !bar.slots.is_empty());
    if first && key != writing.song.key {
        keys::change(stage, Change::Field { place: Place::Song, field: Field::Key(key) });
    }
    let at = numbers.chars().count();
    become_row(ui, stage, writing, new, &numbers, at);
}

/// A section begins here; one that is there already is played again.
fn section(ui: &Ui, stage: &mut Stage<'_>, writing: &Writing, new: NewLine, heading: Heading) {
    let sections = &writing.song.sections;
    let named = |name: &str| sections.iter().position(|section| section.name.eq_ignore_ascii_case(name));
    if let Some(again) = named(&heading.name) {
        let mut order = writing.song.playing_order();
        order.push(again);
        keys::change(stage, Change::Order(Some(order)));
        return begin(ui, stage, new);
    }
    let name = heading.name;
    let like = heading.like.as_deref().and_then(named);
    let at = match like {
        // It stands where it is typed, not behind the one that it is like.
        Some(like) => {
            let at = (new.section + 1).min(sections.len());
            let mut changes = vec![Change::LikeSection { section: like, name }];
            if at != like + 1 {
                changes.push(Change::MoveSection { section: like + 1, to: at });
            }
            let place = Place::Section(at);
            changes.extend(
                heading.passes.map(|passes| Change::Field { place, field: Field::Passes(Some(passes)) }),
            );
            if writing.song.order.is_some() {
                let before = writing.song.playing_order().into_iter();
                let order = before.map(|other| other + usize::from(other >= at)).chain([at]);
                changes.push(Change::Order(Some(order.collect())));
            }
            stage.out.push(Command::Writing(WritingCommand::Change(changes)));
            at
        }
        None => {
            let at = if sections.is_empty() { 0 } else { (new.section + 1).min(sections.len()) };
            let mut changes = vec![Change::InsertSection { at, name, rows: Vec::new() }];
            let place = Place::Section(at);
            changes.extend(
                heading.passes.map(|passes| Change::Field { place, field: Field::Passes(Some(passes)) }),
            );
            stage.out.push(Command::Writing(WritingCommand::Change(changes)));
            at
        }
    };
    let row = like.map_or(0, |like| writing.source(like).map_or(0, |source| writing.rows[source].len()));
    begin(ui, stage, NewLine { section: at, row });
}

/// Names of sections, those of the song first.
fn completion(writing: &Writing, text: &str) -> Option<String> {
    let begun = text.rsplit_once(" like ").map_or(text, |(_, begun)| begun);
    if begun.trim().len() < 2 {
        return None;
    }
    let usual =
        ["Intro", "Verse", "Chorus", "Bridge", "Pre-chorus", "Interlude", "Solo", "Outro", "Tag", "Ending"];
    let own = writing.song.sections.iter().map(|section| section.name.as_str());
    let lower = begun.to_lowercase();
    let fits = |name: &&str| name.to_lowercase().starts_with(&lower) && name.len() > begun.len();
    let whole = own.chain(usual).find(fits)?;
    Some(format!("{}{whole}", &text[..text.len() - begun.len()]))
}

#[allow(clippy::too_many_arguments)]
fn said(
    ui: &mut Ui,
    at: egui::Pos2,
    stage: &mut Stage<'_>,
    writing: &Writing,
    new: NewLine,
    text: &str,
    completion: Option<&str>,
    room: f32,
) {
    let words = match typing::line(text) {
        Line::Letters => return keys_to_choose(ui, at, stage, writing, new, text),
        _ if completion.is_some() => format!("Tab: {}.  Enter: as it is.", completion.unwrap_or_default()),
        Line::Blank => {
            "Chords in numbers or letters; a section: Verse x4, Verse 2 like Verse; or key: D, tempo: 72."
                .into()
        }
        Line::Heading(heading) => match writing
            .song
            .sections
            .iter()
            .find(|section| section.name.eq_ignore_ascii_case(&heading.name))
        {
            Some(again) => format!("Enter: {} is played again here.", again.name),
            None => format!("Enter: a section called {}.", heading.name),
        },
        Line::Says(_) => "Enter: so says the song.".into(),
        Line::Row => String::new(),
    };
    small(ui, at, stage, &words, room);
}

/// The key that letters are read in: proposed, and confirmed by the player.
fn keys_to_choose(
    ui: &mut Ui,
    at: egui::Pos2,
    stage: &mut Stage<'_>,
    writing: &Writing,
    new: NewLine,
    text: &str,
) {
    let drawn = small(ui, at, stage, "Letters, as numbers in", 400.0);
    let mut x = drawn.right() + stage.px(10.0);
    for (number, key) in proposed(writing, new.section, text).into_iter().enumerate() {
        let shown = if number == 0 { format!("{} (Enter)", key.pretty()) } else { key.pretty() };
        let name = format!("Letters in {}", key.pretty());
        let word = Word::new(&shown, stage.px(14.0)).named(&name).chosen(number == 0);
        let response = word.show(ui, pos2(x, at.y), stage.palette);
        x = response.rect.right() + stage.px(10.0);
        if response.clicked() {
            take_letters(ui, stage, writing, new, text, key);
        }
    }
    let numbers =
        proposed(writing, new.section, text).first().map(|key| letters::to_numbers(text, *key).text);
    if let Some(numbers) = numbers {
        plain::baseline(
            ui.painter(),
            pos2(at.x, at.y + stage.px(23.0)),
            &numbers,
            crate::fonts::serif(stage.px(17.0)),
            stage.palette.quiet,
        );
    }
}
