//! Whether exceptions select what there is.

use crate::play::Resolved;
use crate::report::{Report, quoted};
use crate::{Choice, Exception, Selector, Song, Span, Spanned};

pub(super) fn check(song: &Song, resolved: &Resolved<'_>, report: &mut Report) {
    let section = &song.sections[resolved.section];
    let bars = resolved.bars.len() as u32;
    if bars == 0 {
        return;
    }
    for exception in &section.exceptions {
        if let Some(pass) = &exception.pass {
            let places = &exception.pass_places;
            in_range(pass, places, resolved.passes, ("pass", "passes"), &section.name, report);
        }
        let places = &exception.bar_places;
        let fits = in_range(&exception.bar, places, bars, ("bar", "bars"), &section.name, report);
        if fits {
            beat(exception, resolved, report);
            gives_way(exception, bars, report);
        }
    }
}

fn in_range(
    selector: &Spanned<Selector>,
    places: &[Span],
    last: u32,
    (one, many): (&str, &str),
    section: &str,
    report: &mut Report,
) -> bool {
    let Some(number) = selector.value.largest().filter(|number| *number > last) else { return true };
    let beyond = selector.value.parts.iter().position(|part| match part {
        Choice::One(n) => *n == number,
        Choice::Range(_, to) => *to == number,
        Choice::Last => false,
    });
    let written = beyond.map_or(String::new(), |part| selector.value.parts[part].to_string());
    let place = beyond.and_then(|part| places.get(part)).copied().unwrap_or(selector.span);
    let there_is = if last == 1 { format!("1 {one}") } else { format!("{last} {many}") };
    let what = format!("{} has {there_is}, and this names {one} {written}", quoted(section));
    report.error(place, what, format!("{many} are counted 1 to {last}; \"last\" is the last"));
    false
}

fn beat(exception: &Exception, resolved: &Resolved<'_>, report: &mut Report) {
    let Some(beat) = exception.beat else { return };
    let numbers = exception.bar.value.numbers(resolved.bars.len() as u32);
    let short = numbers
        .iter()
        .map(|n| (*n, resolved.bars[*n as usize - 1].beat.count))
        .find(|(_, c)| *c < beat.value);
    if let Some((number, count)) = short {
        let beats = if count == 1 { "1 beat".to_string() } else { format!("{count} beats") };
        report.error(beat.span, format!("bar {number} has {beats} and no beat {}", beat.value), "");
    }
}

/// Whether the bars that give way are there, once.
fn gives_way(exception: &Exception, bars: u32, report: &mut Report) {
    let Some(put_in) = &exception.bars else { return };
    let count = put_in.gives_way();
    let place = put_in.replaces.map_or(put_in.span, |replaces| replaces.span);
    let numbers = exception.bar.value.numbers(bars);
    for (i, number) in numbers.iter().enumerate() {
        let end = number.saturating_add(count);
        if end > bars + 1 {
            let left = bars + 1 - number;
            let what = format!("{count} bars would give way from bar {number} on, and only {left} are left");
            report.error(place, what, format!("write \"replaces\": {left}"));
            return;
        }
        if numbers.get(i + 1).is_some_and(|next| *next < end) {
            let what = format!("bars {number} and {} would give way to one another", numbers[i + 1]);
            report.error(exception.bar.span, what, "name only the first of the bars that give way");
            return;
        }
    }
}
