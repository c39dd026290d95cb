//! Signs put on a chord of a row and taken off again: push, diamond, tie, rest, meter, dots.

use crate::{BarContent, ChartBar, Edit, Item, ItemKind, Meter, Span, parse_line};

/// A sign that a bar or a chord can have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Sign {
    /// `^`: an eighth early.
    Push,
    /// `<6>`: struck once, rings.
    Diamond,
    /// `~` in place of the chord.
    Tie,
    /// `N` in place of the chord.
    Rest,
    /// `%` in place of the bar.
    Repeat,
    /// This bar alone is in another meter; `None` takes that out.
    Meter(Option<Meter>),
}

/// The change of a row that puts a sign on the chord at the cursor, a place in bytes, or takes it off where it is. Nothing
/// where there is no chord that could have it.
///
/// ```
/// use song::typing::{Sign, sign};
/// let row = "1.. 5. | 6";
/// let diamond = sign(row, 9, Sign::Diamond).unwrap().apply(row);
/// assert_eq!(diamond, "1.. 5. | <6>");
/// assert_eq!(sign(&diamond, 9, Sign::Diamond).unwrap().apply(&diamond), row);
/// let three = song::Meter::new(3, 4);
/// assert_eq!(sign(row, 0, Sign::Meter(three)).unwrap().apply(row), "3/4: 1.. 5. | 6");
/// ```
pub fn sign(row: &str, cursor: usize, sign: Sign) -> Option<Edit> {
    let (bars, _) = parse_line(row);
    let bar = bar_at(row, &bars, cursor)?;
    match sign {
        Sign::Meter(meter) => return Some(with_meter(bar, meter)),
        Sign::Repeat => return repeat(bar),
        _ => {}
    }
    let item = item_at(bar, cursor)?;
    let text = marked(item, sign)?;
    Some(Edit { span: item.span, text: text + &".".repeat(item.dots.into()) })
}

/// A bar with so many dots behind each of its chords; as it was where their number is another. Dots of a bar that is
/// shared evenly are not written.
///
/// ```
/// assert_eq!(song::typing::with_dots("3/4: 1 5", &[2, 1]), "3/4: 1.. 5.");
/// assert_eq!(song::typing::with_dots("1... <5>.", &[2, 2]), "1 <5>");
/// ```
pub fn with_dots(bar: &str, dots: &[u8]) -> String {
    let (bars, _) = parse_line(bar);
    let Some(parsed) = bars.first().filter(|parsed| parsed.items().len() == dots.len()) else {
        return bar.to_owned();
    };
    let even = dots.windows(2).all(|pair| pair[0] == pair[1]);
    let mut text = String::new();
    let mut done = 0;
    for (item, dots) in parsed.items().iter().zip(dots) {
        text.push_str(&bar[done..item.span.0]);
        text.push_str(bar[item.span.0..item.span.1].trim_end_matches('.'));
        text.push_str(&".".repeat(if even { 0 } else { (*dots).into() }));
        done = item.span.1;
    }
    text + &bar[done..]
}

/// The bar of a row that a place in it lies in, by the bar lines.
fn bar_at<'b>(row: &str, bars: &'b [ChartBar], cursor: usize) -> Option<&'b ChartBar> {
    let number = row.get(..cursor.min(row.len()))?.matches('|').count();
    bars.get(number)
}

/// The item at a place, or the last one before it.
fn item_at(bar: &ChartBar, cursor: usize) -> Option<&Item> {
    let before = bar.items().iter().rev().find(|item| item.span.0 <= cursor);
    before.or(bar.items().first())
}

fn marked(item: &Item, sign: Sign) -> Option<String> {
    let kind = match &item.kind {
        ItemKind::Chord { symbol, push, diamond, .. } => Some((symbol, *push, *diamond)),
        _ => None,
    };
    match (sign, kind) {
        (Sign::Push, Some((symbol, push, diamond))) => Some(chord(symbol, !push, diamond)),
        (Sign::Diamond, Some((symbol, push, diamond))) => Some(chord(symbol, push, !diamond)),
        (Sign::Tie, _) if item.kind != ItemKind::Tie => Some("~".into()),
        (Sign::Rest, _) if item.kind != ItemKind::Rest => Some("N".into()),
        _ => None,
    }
}

fn chord(symbol: &str, push: bool, diamond: bool) -> String {
    let push = if push { "^" } else { "" };
    if diamond { format!("<{push}{symbol}>") } else { format!("{push}{symbol}") }
}

fn repeat(bar: &ChartBar) -> Option<Edit> {
    let span = content(bar)?;
    (bar.content != BarContent::Repeat).then(|| Edit { span, text: "%".into() })
}

/// What stands in a bar behind its meter.
fn content(bar: &ChartBar) -> Option<Span> {
    let (first, last) = (bar.items().first()?, bar.items().last()?);
    Some((first.span.0, last.span.1))
}

fn with_meter(bar: &ChartBar, meter: Option<Meter>) -> Edit {
    let begin = content(bar).map_or(bar.span.1, |span| span.0);
    let end = if bar.meter.is_some() { begin } else { bar.span.0 };
    let text = meter.map_or(String::new(), |meter| format!("{meter}: "));
    Edit { span: (bar.span.0, end), text }
}
