//! What helps the one who types: what is wrong here, what may be meant, and signs to put on with the mouse.

use super::text_line::{small, type_in};
use super::{Writing, row};
use crate::plain::Word;
use crate::stage::Stage;
use crate::{fonts, plain};
use egui::{Id, Rect, Ui, pos2};
use song::Meter;
use song::typing::{self, Choice, Completion, Mark, Sign};

/// How many completions are shown.
const SHOWN: usize = 8;

/// What is known about the place where one types.
pub(crate) struct Help {
    /// The selection in bytes of the row.
    pub selected: Option<(usize, usize)>,
    /// What may be meant.
    pub completion: Completion,
    /// Which of it Tab takes.
    pub pointed: usize,
    /// A row with a completion in it, and where the cursor goes.
    pub taken: Option<(String, usize)>,
    /// One types in the last word of the row.
    at_end: bool,
}

impl Help {
    /// What is known about a row that has the focus or not.
    pub fn of(ui: &Ui, id: Id, writing: &Writing, (section, row): (usize, usize), focused: bool) -> Help {
        let selected =
            focused.then(|| ui.data(|data| data.get_temp::<Selected>(id.with("selected")))).flatten();
        let selected = selected.and_then(|selected| selected.0);
        let of = &writing.rows[section][row];
        let cursor = selected.filter(|(from, to)| from == to && *to <= of.text.len()).map(|(_, to)| to);
        let begun = |cursor: &usize| {
            of.text
                .get(..*cursor)
                .is_some_and(|text| text.ends_with(|c: char| !c.is_whitespace() && c != '|'))
        };
        let completion = cursor.filter(begun).and_then(|cursor| {
            let of_row = typing::Row::of(&writing.song, section, row)?;
            Some(typing::complete(&of.text, cursor, &of_row))
        });
        let completion = completion.unwrap_or(Completion { span: (0, 0), all: Vec::new() });
        let pointed = ui.data(|data| data.get_temp::<usize>(id.with("pointed"))).unwrap_or(0);
        let pointed = if pointed < completion.all.len() { pointed } else { 0 };
        let at_end = cursor.is_some_and(|cursor| of.text[cursor..].trim().is_empty());
        Help { selected, completion, pointed, taken: None, at_end }
    }

    /// Whether Tab would take something.
    pub fn completes(&self) -> bool {
        !self.completion.all.is_empty()
    }

    /// A mistake at the very end of what is being typed is half a word, not a mistake yet.
    pub fn is_half_typed(&self, mark: &Mark) -> bool {
        self.at_end && self.selected.is_some_and(|(_, cursor)| mark.span.1 >= cursor)
    }

    /// Takes the completion that is pointed at.
    pub fn take(&mut self, text: &str) {
        if let Some(choice) = self.completion.all.get(self.pointed) {
            self.taken = Some(with(text, &self.completion, choice));
        }
    }
}

#[derive(Clone, Copy, Default)]
struct Selected(Option<(usize, usize)>);

/// Keeps where one typed for the next frame.
pub(crate) fn remember(ui: &Ui, id: Id, selected: Option<(usize, usize)>) {
    ui.data_mut(|data| {
        let before = data.get_temp::<Selected>(id.with("selected")).unwrap_or_default();
        if before.0 != selected {
            data.insert_temp(id.with("pointed"), 0_usize);
        }
        data.insert_temp(id.with("selected"), Selected(selected));
    });
}

/// Points at the next completion.
pub(crate) fn point_on(ui: &Ui, id: Id, help: &Help) {
    let next = (help.pointed + 1) % help.completion.all.len().clamp(1, SHOWN);
    ui.data_mut(|data| data.insert_temp(id.with("pointed"), next));
}

/// The row with a completion in it, and where the cursor then stands, in characters.
fn with(text: &str, completion: &Completion, choice: &Choice) -> (String, usize) {
    let (from, to) = completion.span;
    let before = format!("{}{}", &text[..from], choice.text);
    let at = before.chars().count();
    (before + &text[to..], at)
}

/// Draws it under the row.
pub(crate) fn show(
    ui: &mut Ui,
    rect: Rect,
    stage: &mut Stage<'_>,
    writing: &Writing,
    (section, row): (usize, usize),
    help: &Help,
) {
    let first = pos2(rect.left() + stage.px(8.0), rect.top() + stage.px(19.0));
    let room = rect.right() - first.x - stage.px(24.0);
    let of = &writing.rows[section][row];
    let cursor = help.selected.map_or(0, |(_, to)| to);
    let marks = of.marks.iter().filter(|mark| !help.is_half_typed(mark));
    let near = marks.min_by_key(|mark| (mark.severity, distance(mark, cursor)));
    match near {
        Some(mark) => wrong(ui, first, stage, (section, row), &of.text, mark, room),
        None => completions(ui, first, stage, (section, row), &of.text, help, room),
    }
    let second = pos2(first.x, first.y + stage.px(24.0));
    signs(ui, second, stage, (section, row), &of.text, cursor, rect.right());
}

fn distance(mark: &Mark, cursor: usize) -> usize {
    if cursor < mark.span.0 { mark.span.0 - cursor } else { cursor.saturating_sub(mark.span.1) }
}

fn wrong(
    ui: &mut Ui,
    at: egui::Pos2,
    stage: &mut Stage<'_>,
    (section, row): (usize, usize),
    text: &str,
    mark: &Mark,
    room: f32,
) {
    let hint = if mark.hint.is_empty() { String::new() } else { format!("; {}", mark.hint) };
    let said = format!("{}{hint}", crate::reasons::capital(&mark.message));
    let room = if mark.instead.is_some() { 0.72 * room } else { room };
    let font = fonts::sans(stage.px(14.0));
    let shown = plain::elided(ui.painter(), &said, &font, room);
    let drawn = plain::baseline(ui.painter(), at, &shown, font, stage.palette.ink);
    let response = ui.interact(drawn, ui.scope_id().with(("wrong", section, row)), egui::Sense::hover());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &said));
    response.on_hover_text(&said);
    let Some(instead) = &mark.instead else { return };
    let word = format!("write {}", instead.text);
    let name = format!("Put it right: {}", instead.text);
    let word = Word::new(&word, stage.px(14.0)).named(&name).strong();
    let x = drawn.right() + stage.px(14.0);
    if word.show(ui, pos2(x, at.y), stage.palette).clicked() {
        let end = instead.span.0 + instead.text.len();
        let mended = instead.apply(text);
        let chars = mended.get(..end).map_or(0, |text| text.chars().count());
        row::change(stage, section, row, mended);
        type_in(ui, row::id(section, row), chars);
    }
}

fn completions(
    ui: &mut Ui,
    at: egui::Pos2,
    stage: &mut Stage<'_>,
    (section, row): (usize, usize),
    text: &str,
    help: &Help,
    room: f32,
) {
    if !help.completes() {
        small(ui, at, stage, "Enter: next row.  A name and Enter: a section.  Ctrl+Enter: hear it.", room);
        return;
    }
    let drawn = small(ui, at, stage, "Tab:", room);
    let mut x = drawn.right() + stage.px(8.0);
    for (number, choice) in help.completion.all.iter().take(SHOWN).enumerate() {
        let shown = format!("{}  {}", choice.text, choice.says);
        let font = fonts::sans(stage.px(14.0));
        if x + plain::width(ui.painter(), &shown, &font) > at.x + room {
            break;
        }
        let name = format!("Complete to {}, {}", choice.text, choice.says);
        let word = Word::new(&shown, stage.px(14.0)).named(&name).chosen(number == help.pointed);
        let response = word.show(ui, pos2(x, at.y), stage.palette);
        if response.clicked() {
            let (text, at) = with(text, &help.completion, choice);
            row::change(stage, section, row, text);
            type_in(ui, row::id(section, row), at);
        }
        x = response.rect.right() + stage.px(8.0);
    }
}

/// Signs for the chord where one types, and meters for its bar.
fn signs(
    ui: &mut Ui,
    at: egui::Pos2,
    stage: &mut Stage<'_>,
    (section, row): (usize, usize),
    text: &str,
    cursor: usize,
    right: f32,
) {
    let mut x = at.x;
    let meter = |upper, lower| Sign::Meter(Meter::new(upper, lower));
    let all = [
        ("push ^", "Push: an eighth early", Sign::Push),
        ("diamond <>", "Diamond: strike once and let it ring", Sign::Diamond),
        ("tie ~", "Tie: what sounded goes on", Sign::Tie),
        ("rest N", "Rest: no chord", Sign::Rest),
        ("repeat %", "The bar before once more", Sign::Repeat),
        ("2/4", "This bar alone in 2/4", meter(2, 4)),
        ("3/4", "This bar alone in 3/4", meter(3, 4)),
        ("4/4", "This bar alone in 4/4", meter(4, 4)),
        ("5/4", "This bar alone in 5/4", meter(5, 4)),
        ("6/8", "This bar alone in 6/8", meter(6, 8)),
        ("no meter", "This bar in the meter of its section", Sign::Meter(None)),
    ];
    for (shown, name, sign) in all {
        let Some(edit) = typing::sign(text, cursor, sign) else { continue };
        let word = Word::new(shown, stage.px(13.5)).named(name);
        let response = word.show(ui, pos2(x, at.y), stage.palette);
        x = response.rect.right() + stage.px(6.0);
        if response.clicked() {
            let changed = edit.apply(text);
            let end = (edit.span.0 + edit.text.len()).max(edit.span.0);
            let chars = changed.get(..end).map_or(0, |text| text.chars().count());
            row::change(stage, section, row, changed);
            type_in(ui, row::id(section, row), chars);
        }
        if x > right - stage.px(70.0) {
            break;
        }
    }
}
