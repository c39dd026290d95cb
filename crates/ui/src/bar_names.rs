//! Bars as players name them: by their section and their number in it, everywhere in the window.

use practice::LoopBars;
use voicing::Part;

/// `Lift, bar 2`, `2nd Chorus, bars 1–4`, `2nd Chorus` where it is all of it, `Lift, bar 3, to Chorus, bar 1`.
pub(crate) fn stretch(part: &Part, bars: LoopBars) -> String {
    let Some((first, last)) = ends(part, bars) else { return String::new() };
    if (first.place, first.pass) != (last.place, last.pass) {
        return format!("{} to {}", one(part, bars.from()), one(part, bars.to()));
    }
    let section = section(part, first);
    let (from, to) = (first.bar_in_section, last.bar_in_section);
    match (from == to, is_whole(part, bars)) {
        (_, true) => section,
        (true, false) => format!("{section}, bar {from}"),
        (false, false) => format!("{section}, bars {from}–{to}"),
    }
}

/// What of a song was played, as players name it: `the whole song`, `Lift, bar 2`, `2nd Chorus, bars 1–4`.
pub fn place_name(part: &Part, bars: Option<LoopBars>) -> String {
    bars.map_or_else(|| "the whole song".to_owned(), |bars| stretch(part, bars))
}

/// The same in the fewest words: `Lift 2`, `Chorus 1–4`, `Lift 3 – Chorus 1`.
pub(crate) fn short(part: &Part, bars: LoopBars) -> String {
    let Some((first, last)) = ends(part, bars) else { return String::new() };
    let name = |bar: &song::PlayedBar| part.sections[bar.section].clone();
    let (from, to) = (first.bar_in_section, last.bar_in_section);
    if (first.place, first.pass) != (last.place, last.pass) {
        return format!("{} {from} – {} {to}", name(first), name(last));
    }
    match (from == to, is_whole(part, bars)) {
        (_, true) => name(first),
        (true, false) => format!("{} {from}", name(first)),
        (false, false) => format!("{} {from}–{to}", name(first)),
    }
}

fn ends(part: &Part, bars: LoopBars) -> Option<(&song::PlayedBar, &song::PlayedBar)> {
    Some((&part.bars.get(bars.from())?.played, &part.bars.get(bars.to())?.played))
}

/// Whether these are all bars of one pass.
fn is_whole(part: &Part, bars: LoopBars) -> bool {
    let of = |bar: usize| part.bars.get(bar).map(|b| (b.played.place, b.played.pass));
    let here = of(bars.from());
    bars.from().checked_sub(1).is_none_or(|before| of(before) != here) && of(bars.to() + 1) != here
}

fn one(part: &Part, bar: usize) -> String {
    let bar = &part.bars[bar].played;
    format!("{}, bar {}", section(part, bar), bar.bar_in_section)
}

/// `Verse pass 2`, or `2nd Chorus` where the song has several.
fn section(part: &Part, bar: &song::PlayedBar) -> String {
    let pass = if bar.passes > 1 { format!(" pass {}", bar.pass) } else { String::new() };
    format!("{}{}{pass}", which_time(part, bar), part.sections[bar.section])
}

/// Where a section comes more than once: which time, as players say it: the `2nd ` chorus.
fn which_time(part: &Part, bar: &song::PlayedBar) -> String {
    let mut places: Vec<usize> =
        part.bars.iter().filter(|b| b.played.section == bar.section).map(|b| b.played.place).collect();
    places.dedup();
    match places.iter().position(|place| *place == bar.place) {
        Some(at) if places.len() > 1 => format!("{} ", nth(at + 1)),
        _ => String::new(),
    }
}

fn nth(number: usize) -> String {
    let ending = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

#[cfg(test)]
mod tests {
    use super::nth;

    #[test]
    fn ordinals() {
        let said: Vec<String> = [1, 2, 3, 4, 11, 12, 13, 21, 22, 112].into_iter().map(nth).collect();
        assert_eq!(said, ["1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "112th"]);
    }
}
