//! Whether the beats of a bar add up.

use super::{ChartBar, Item};
use crate::{Beat, Meter};

/// What is wrong with the beats of a bar, and what would be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct BarMistake {
    pub message: String,
    pub hint: String,
    /// The items of the bar as they would be right, where that can be said.
    pub instead: Option<String>,
}

/// Checks the beats of a bar that could be read, in the meter it stands in.
pub(crate) fn check_bar(bar: &ChartBar, meter: Meter, beat: Beat) -> Option<BarMistake> {
    let items = bar.items();
    let dotted = items.iter().filter(|item| item.dots > 0).count();
    if bar.broken || items.is_empty() {
        None
    } else if dotted == 0 {
        uneven_split(items, beat)
    } else if dotted < items.len() {
        half_dotted(items, beat)
    } else {
        wrong_sum(items, meter, beat)
    }
}

fn uneven_split(items: &[Item], beat: Beat) -> Option<BarMistake> {
    let (count, parts) = (usize::from(beat.count), items.len());
    if count.is_multiple_of(parts) {
        return None;
    }
    let message = format!("this bar's {} do not split evenly into {parts}", beats(count));
    let instead = (parts <= count).then(|| {
        let mut dots = vec![1; parts];
        dots[0] = count - parts + 1;
        with_dots(items, &dots)
    });
    let hint = match &instead {
        Some(dotted) => format!("give each its beats with dots, e.g. {dotted}"),
        None => "spread the chords over more bars".to_string(),
    };
    Some(BarMistake { message, hint, instead })
}

fn half_dotted(items: &[Item], beat: Beat) -> Option<BarMistake> {
    let sum = sum(items);
    let missing = items.iter().filter(|item| item.dots == 0).count();
    let left = usize::from(beat.count).saturating_sub(sum);
    let instead = (left >= missing && left.is_multiple_of(missing)).then(|| {
        let filled = items.iter().map(|item| if item.dots == 0 { left / missing } else { item.dots.into() });
        with_dots(items, &filled.collect::<Vec<_>>())
    });
    let hint = match &instead {
        Some(filled) => format!("write {filled}"),
        None => "put dots behind each or behind none".to_string(),
    };
    Some(BarMistake { message: "some chords of this bar have dots and some have none".into(), hint, instead })
}

fn wrong_sum(items: &[Item], meter: Meter, beat: Beat) -> Option<BarMistake> {
    let (count, sum) = (usize::from(beat.count), sum(items));
    if count == sum {
        return None;
    }
    let message = format!("this bar has {} and its dots add up to {sum}", beats(count));
    let instead = fitted(items, count, sum);
    let hints = [instead.as_ref().map(|line| format!("write {line}")), other_meter(meter, beat, sum)];
    let hints: Vec<String> = hints.into_iter().flatten().collect();
    Some(BarMistake { message, hint: hints.join(" or "), instead })
}

/// The bar with its longest item made to fit, if that can be.
fn fitted(items: &[Item], count: usize, sum: usize) -> Option<String> {
    let mut dots: Vec<usize> = items.iter().map(|item| item.dots.into()).collect();
    let most = dots.iter().copied().max()?;
    let longest = dots.iter().position(|d| *d == most)?;
    dots[longest] = (most + count).checked_sub(sum).filter(|left| *left > 0)?;
    Some(with_dots(items, &dots))
}

/// A meter for this bar alone in which the dots add up.
fn other_meter(meter: Meter, beat: Beat, sum: usize) -> Option<String> {
    let eighths_in_beat = usize::from(meter.upper()) / usize::from(beat.count);
    let upper = u8::try_from(sum * eighths_in_beat).ok()?;
    let fitting = Meter::new(upper, meter.lower())?;
    Some(format!("put {fitting}: before it"))
}

fn with_dots(items: &[Item], dots: &[usize]) -> String {
    let each = items.iter().zip(dots).map(|(item, dots)| format!("{}{}", item.kind, ".".repeat(*dots)));
    each.collect::<Vec<_>>().join(" ")
}

fn sum(items: &[Item]) -> usize {
    items.iter().map(|item| usize::from(item.dots)).sum()
}

fn beats(count: usize) -> String {
    if count == 1 { "1 beat".into() } else { format!("{count} beats") }
}
