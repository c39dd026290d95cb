//! Rows of a plain chart as bars of the chart notation.

use super::doubt::Doubts;
use super::line::Line;
use super::token::{Token, TokenKind};
use crate::letters;
use crate::{Meter, Span};
use theory::{Key, NumberChord};

/// How a chart is read.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reading {
    pub key: Key,
    pub meter: Meter,
}

/// A row of bars.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Row {
    pub bars: Vec<String>,
    pub times: u32,
    /// Words that stood between the chords.
    pub left: Vec<String>,
    /// Where it stands in the text.
    pub line: Span,
}

/// Reads rows of one section one after another.
pub(super) struct Rows<'d, 't> {
    pub reading: Reading,
    pub doubts: &'d mut Doubts<'t>,
    /// Something sounds at the end of what was read so far, so that it can go on.
    sounds: bool,
    /// There is a bar before that can be repeated.
    repeatable: bool,
}

/// Something in a bar and how many beats it is said to last.
#[derive(Clone, Debug)]
struct Item {
    text: String,
    beats: Option<usize>,
}

impl<'d, 't> Rows<'d, 't> {
    pub fn new(reading: Reading, doubts: &'d mut Doubts<'t>) -> Self {
        Self { reading, doubts, sounds: false, repeatable: false }
    }

    /// One line of chords.
    pub fn row(&mut self, line: &Line<'_>) -> Row {
        let words = line.tokens.iter().filter(|token| token.kind == TokenKind::Word);
        let left: Vec<String> = words.map(|token| token.text.to_string()).collect();
        for token in line.tokens.iter().filter(|token| token.kind == TokenKind::Word) {
            self.doubts.add(token.span, format!("“{}” is no chord: it is kept in the note", token.text));
        }
        let is_line = |token: &Token<'_>| matches!(token.kind, TokenKind::BarLine { .. });
        let (bars, times) = if line.tokens.iter().any(is_line) {
            self.between_lines(&line.tokens)
        } else {
            (self.without_lines(line), times(&line.tokens))
        };
        Row { bars, times, left, line: line.span() }
    }

    /// Bars between bar lines; what stands between repeat signs is written as often as it is played.
    fn between_lines(&mut self, tokens: &[Token<'_>]) -> (Vec<String>, u32) {
        let mut bars: Vec<String> = Vec::new();
        let mut from = 0;
        let mut at = 0;
        let mut row_times = 1;
        while at < tokens.len() {
            let end = tokens[at..].iter().position(|t| matches!(t.kind, TokenKind::BarLine { .. }));
            let end = end.map_or(tokens.len(), |end| at + end);
            let group = &tokens[at..end];
            let closing = tokens.get(end);
            let row_sign = times(group);
            if group.iter().any(|t| is_sound(&t.kind)) {
                bars.extend(self.bar(group));
            } else if let Some(word) = group.iter().find(|token| token.kind == TokenKind::Word) {
                // A bar stays a bar, so that the others keep their places.
                bars.push(self.tie(word.span).text);
            } else if group.is_empty() && at > 0 && closing.is_some() && self.repeatable {
                let place = closing.map_or((0, 0), |token| token.span);
                self.doubts.add(place, "this bar is empty: the bar before was repeated");
                bars.push("%".into());
            }
            if row_sign > 1 {
                row_times = row_sign;
            }
            if let Some(TokenKind::BarLine { opens, closes }) = closing.map(|token| &token.kind) {
                if *closes && bars.len() > from {
                    let behind = tokens.get(end + 1).map_or(1, |token| times(std::slice::from_ref(token)));
                    let played = if behind > 1 { behind } else { 2 };
                    write_again(&mut bars, from, played);
                    from = bars.len();
                    at = end + 1 + usize::from(behind > 1);
                    continue;
                }
                if *opens {
                    from = bars.len();
                }
            }
            at = end + 1;
        }
        (bars, row_times)
    }

    /// Chords alone: counted by their beats, or one bar each.
    fn without_lines(&mut self, line: &Line<'_>) -> Vec<String> {
        let counted = line.tokens.iter().any(|token| match &token.kind {
            TokenKind::Beats(_) => true,
            TokenKind::Chord { dots, .. } | TokenKind::Tie(dots) | TokenKind::Rest(dots) => *dots > 0,
            _ => false,
        });
        if counted {
            self.doubts.add(line.span(), "there are no bar lines in this row: beats were counted");
            return self.by_beats(&line.tokens);
        }
        self.doubts.add(line.span(), "there are no bar lines in this row: each chord was taken for a bar");
        let sounds = line.tokens.iter().filter(|token| is_sound(&token.kind));
        sounds.flat_map(|token| self.bar(std::slice::from_ref(token))).collect()
    }

    /// Chords that say how many beats they last, in bars of the meter.
    fn by_beats(&mut self, tokens: &[Token<'_>]) -> Vec<String> {
        let full = self.reading.meter.beat(false).count.into();
        let mut bars = Vec::new();
        let mut bar: Vec<&Token<'_>> = Vec::new();
        let mut beats = 0;
        for token in tokens.iter().filter(|t| is_sound(&t.kind) || matches!(t.kind, TokenKind::Beats(_))) {
            let more = match &token.kind {
                TokenKind::Beats(n) => *n,
                TokenKind::Chord { dots, .. } | TokenKind::Tie(dots) | TokenKind::Rest(dots) => {
                    (*dots).max(1)
                }
                _ => 1,
            };
            if beats >= full {
                bars.extend(self.bar(&bar.drain(..).cloned().collect::<Vec<_>>()));
                beats = 0;
            }
            beats += more;
            bar.push(token);
        }
        if !bar.is_empty() {
            bars.extend(self.bar(&bar.into_iter().cloned().collect::<Vec<_>>()));
        }
        bars
    }

    /// What stands between two bar lines: mostly one bar, more if it holds more chords than beats.
    fn bar(&mut self, group: &[Token<'_>]) -> Vec<String> {
        let span = (group.first().map_or(0, |t| t.span.0), group.last().map_or(0, |t| t.span.1));
        let repeats = group.iter().any(|token| token.kind == TokenKind::Repeat);
        let alone = !group.iter().any(|t| is_sound(&t.kind) && t.kind != TokenKind::Repeat);
        if repeats && alone {
            let text = if self.repeatable { "%" } else { "N" };
            if !self.repeatable {
                self.doubts.add(span, "there is no bar here that could be repeated: a rest was put in");
            }
            return vec![text.into()];
        }
        if repeats {
            self.doubts.add(span, "a repeat sign stands beside chords: it was left out");
        }
        let meter = group.iter().find_map(|token| match token.kind {
            TokenKind::Meter(meter) => Some(meter),
            _ => None,
        });
        let items = self.items(group);
        let here = meter.unwrap_or(self.reading.meter);
        let bars = self.shared_out(items, here, span);
        self.repeatable = !bars.is_empty();
        let prefix = meter.filter(|meter| *meter != self.reading.meter);
        bars.into_iter()
            .map(|bar| match prefix {
                Some(meter) if !bar.contains(':') => format!("{meter}: {bar}"),
                _ => bar,
            })
            .collect()
    }

    fn items(&mut self, group: &[Token<'_>]) -> Vec<Item> {
        let mut items: Vec<Item> = Vec::new();
        for token in group {
            match &token.kind {
                TokenKind::Chord { chord, dots, push, diamond, bracketed } => {
                    let number = self.number(chord, token.span);
                    if *bracketed && !token.text.starts_with('[') {
                        let what = format!("“{}” is read as a chord like any other", token.text);
                        self.doubts.add(token.span, what);
                    }
                    let push = if *push { "^" } else { "" };
                    let text = if *diamond { format!("<{push}{number}>") } else { format!("{push}{number}") };
                    items.push(Item { text, beats: said(*dots) });
                    self.sounds = true;
                }
                TokenKind::Tie(dots) => items.push(Item { beats: said(*dots), ..self.tie(token.span) }),
                TokenKind::Rest(dots) => {
                    items.push(Item { text: "N".into(), beats: said(*dots) });
                    self.sounds = false;
                }
                TokenKind::Beats(more) => match items.last_mut() {
                    Some(last) => last.beats = Some(last.beats.unwrap_or(1) + more),
                    None => items.push(Item { beats: Some(*more), ..self.tie(token.span) }),
                },
                _ => {}
            }
        }
        items
    }

    /// What sounded goes on; a rest where nothing did.
    fn tie(&mut self, span: Span) -> Item {
        if !self.sounds {
            self.doubts.add(span, "nothing sounds here that could go on: a rest was put in");
        }
        Item { text: if self.sounds { "~" } else { "N" }.into(), beats: None }
    }

    fn number(&mut self, chord: &str, span: Span) -> String {
        if chord.parse::<NumberChord>().is_ok() {
            return chord.into();
        }
        match letters::read(chord) {
            Ok(letters::LetterReading { chord: Some(chord), unsure }) => {
                unsure.into_iter().for_each(|unsure| self.doubts.add(span, unsure));
                chord.number(self.reading.key).to_string()
            }
            _ => "N".into(),
        }
    }

    /// Items as the bars that they fill.
    fn shared_out(&mut self, items: Vec<Item>, meter: Meter, span: Span) -> Vec<String> {
        let count: usize = meter.beat(false).count.into();
        if items.iter().any(|item| item.beats.is_some())
            && let Some(bar) = self.counted(&items, meter, span)
        {
            return vec![bar];
        }
        if items.len() > count {
            self.doubts.add(
                span,
                format!("{} chords in a bar of {count} beats: they were spread over more bars", items.len()),
            );
        }
        let chunks = items.chunks(count).map(|chunk| {
            let plain: Vec<&str> = chunk.iter().map(|item| item.text.as_str()).collect();
            if count.is_multiple_of(plain.len()) {
                return plain.join(" ");
            }
            self.doubts.add(
                span,
                format!("{} chords share {count} beats: the first was given the most", plain.len()),
            );
            let first = count - plain.len() + 1;
            let dots = |i: usize| ".".repeat(if i == 0 { first } else { 1 });
            plain
                .iter()
                .enumerate()
                .map(|(i, text)| format!("{text}{}", dots(i)))
                .collect::<Vec<_>>()
                .join(" ")
        });
        chunks.collect()
    }

    /// Items that say how many beats they last; nothing if that is no bar.
    fn counted(&mut self, items: &[Item], meter: Meter, span: Span) -> Option<String> {
        let beats = |item: &Item| item.beats.unwrap_or(1);
        let (count, sum): (usize, usize) = (meter.beat(false).count.into(), items.iter().map(beats).sum());
        let even = items.iter().all(|item| beats(item) == beats(&items[0]));
        let dotted = || {
            items.iter().map(|i| format!("{}{}", i.text, ".".repeat(beats(i)))).collect::<Vec<_>>().join(" ")
        };
        if sum == count {
            let plain = || items.iter().map(|item| item.text.as_str()).collect::<Vec<_>>().join(" ");
            return Some(if even { plain() } else { dotted() });
        }
        let each = usize::from(meter.upper()) / count;
        let own = u8::try_from(sum * each).ok().and_then(|upper| Meter::new(upper, meter.lower()));
        let own = own.filter(|own| usize::from(own.beat(false).count) == sum && items.len() <= sum);
        match own {
            Some(own) => {
                self.doubts
                    .add(span, format!("this bar has {sum} beats in place of {count}: it was read in {own}"));
                Some(format!("{own}: {}", dotted()))
            }
            None => {
                self.doubts.add(span, "the beats of this bar do not add up: it was shared out anew");
                None
            }
        }
    }
}

/// The beats that dots say; without dots nothing is said.
fn said(dots: usize) -> Option<usize> {
    (dots > 0).then_some(dots)
}

/// Whether it takes time of its own.
fn is_sound(kind: &TokenKind) -> bool {
    matches!(kind, TokenKind::Chord { .. } | TokenKind::Tie(_) | TokenKind::Rest(_) | TokenKind::Repeat)
}

/// How often a row is played, as its sign says.
fn times(tokens: &[Token<'_>]) -> u32 {
    let said = tokens.iter().rev().find_map(|token| match token.kind {
        TokenKind::Times(n) => Some(n),
        _ => None,
    });
    said.unwrap_or(1)
}

/// The most bars that one row grows to.
const LONGEST_ROW: usize = 200;

fn write_again(bars: &mut Vec<String>, from: usize, played: u32) {
    let once: Vec<String> = bars[from..].to_vec();
    for _ in 1..played {
        if bars.len() + once.len() <= LONGEST_ROW {
            bars.extend(once.iter().cloned());
        }
    }
}
