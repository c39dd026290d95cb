//! One bar: chords at their places, as items that fill it.

use super::{SheetBar, Symbol};
use song::{Beat, Meter, Quarters};

/// A bar in the notation of the chart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ChartBar {
    /// Its meter.
    pub meter: Meter,
    /// Its items.
    pub text: String,
    /// How many of its chords stand elsewhere than on the page, and a sentence about it.
    pub moved: usize,
    pub told: Vec<String>,
}

/// The bar, where something sounds at its start or nothing does.
pub(super) fn chart_bar(bar: &SheetBar, sounds: bool) -> ChartBar {
    let mut told = Vec::new();
    let (mut places, shared) = spread(bar);
    if shared > 0 {
        told.push(format!("{shared} chords more than places: they share the beats"));
    }
    let starts = |places: &[(Quarters, &Symbol)]| places.iter().map(|p| p.0).collect::<Vec<_>>();
    let (meter, snapped) = match meter_for(bar, &starts(&places)) {
        Some(meter) => (meter, 0),
        None => {
            let meter = finest(bar);
            (meter, snap(&mut places, meter))
        }
    };
    if snapped > 0 {
        told.push(format!("{snapped} chords between the beats: they were put on the nearest"));
    }
    told.extend(places.iter().filter_map(|(_, symbol)| symbol.unsaid.clone()));
    let text = text(bar, meter, &places, sounds);
    ChartBar { meter, text, moved: shared + snapped, told }
}

/// Chords that stand at one place, or behind the bar, share the time up to the next. Also how many moved.
fn spread(bar: &SheetBar) -> (Vec<(Quarters, &Symbol)>, usize) {
    let beat = bar.meter.beat(false).length;
    let last = if beat < bar.length { bar.length - beat } else { Quarters::ZERO };
    let mut groups: Vec<(Quarters, Vec<&Symbol>)> = Vec::new();
    let mut moved = 0;
    for (at, symbol) in &bar.harmony {
        let beyond = *at >= bar.length;
        let at = if beyond { groups.last().map_or(last, |group| group.0.max(last)) } else { *at };
        moved += usize::from(beyond);
        match groups.last_mut().filter(|group| group.0 == at) {
            Some(group) => group.1.push(symbol),
            None => groups.push((at, vec![symbol])),
        }
    }
    let ends: Vec<Quarters> = groups.iter().skip(1).map(|group| group.0).chain([bar.length]).collect();
    let mut places = Vec::new();
    for ((at, symbols), end) in groups.into_iter().zip(ends) {
        moved += symbols.len() - 1;
        let starts = shares(at, end, symbols.len(), beat);
        places.extend(starts.into_iter().zip(symbols));
    }
    (places, moved)
}

/// So many places from one to another: evenly on beats where that goes, else the first has the most.
fn shares(from: Quarters, to: Quarters, count: usize, beat: Quarters) -> Vec<Quarters> {
    let n = count as i64;
    let span = to - from;
    let mut unit = beat;
    while span.div_floor(unit) < n && unit > Quarters::new(1, 16) {
        unit = unit.split(2);
    }
    let units = span.div_floor(unit);
    let each = units / n;
    let even = span == unit.times(each * n);
    (0..n)
        .map(|index| {
            let before =
                if even { index * each } else { (units - n + index).max(index) * i64::from(index > 0) };
            from + unit.times(before)
        })
        .collect()
}

/// The meter in which all places are beats: the bar's own, or one of the same length with shorter beats.
fn meter_for(bar: &SheetBar, starts: &[Quarters]) -> Option<Meter> {
    let items = starts.len() + usize::from(starts.first().is_some_and(|first| *first > Quarters::ZERO));
    let suits = |meter: &Meter| {
        let beat = meter.beat(false);
        meter.length() == bar.length
            && items <= usize::from(beat.count)
            && starts.iter().all(|start| is_whole(*start, beat.length))
    };
    same_length(bar).find(suits)
}

/// Meters of the bar's length, its own first, then from long beats to short ones.
fn same_length(bar: &SheetBar) -> impl Iterator<Item = Meter> {
    let length = bar.length;
    let own = (bar.meter.length() == length).then_some(bar.meter);
    let with = move |lower: u8| {
        let (n, d) = length.fraction();
        let upper = n * i64::from(lower);
        let whole = upper % (4 * d) == 0;
        whole.then(|| u8::try_from(upper / (4 * d)).ok()).flatten().and_then(|upper| Meter::new(upper, lower))
    };
    // A bar cut short keeps the note that its meter counts.
    let first = bar.meter.lower();
    let lowers = [first, 4, 8, 16, 32, 2, 1];
    own.into_iter().chain(lowers.into_iter().filter_map(with))
}

/// The meter of a bar whose chords stand between all beats.
fn finest(bar: &SheetBar) -> Meter {
    let most = bar.harmony.len() + 1;
    let room = |meter: &Meter| usize::from(meter.beat(false).count) >= most;
    let nearest = || {
        let eighths = (bar.length.to_f64() * 2.0).round().clamp(1.0, 32.0) as u8;
        Meter::new(eighths, 8).expect("1 to 32 eighths are a meter")
    };
    same_length(bar).find(room).or_else(|| same_length(bar).last()).unwrap_or_else(nearest)
}

/// Puts places on beats, each on one of its own; how many moved. What finds no beat is left out.
fn snap(places: &mut Vec<(Quarters, &Symbol)>, meter: Meter) -> usize {
    let Beat { length, count } = meter.beat(false);
    let mut moved = 0;
    let mut free = 0;
    let mut put = Vec::new();
    let left = places.len();
    for (index, (at, symbol)) in places.drain(..).enumerate() {
        let after = (left - index - 1) as i64;
        let nearest = (at.to_f64() / length.to_f64()).round() as i64;
        let beat = nearest.clamp(free, (i64::from(count) - 1 - after).max(free));
        if beat < i64::from(count) {
            let to = length.times(beat);
            moved += usize::from(to != at);
            put.push((to, symbol));
            free = beat + 1;
        } else {
            moved += 1;
        }
    }
    *places = put;
    moved
}

fn text(bar: &SheetBar, meter: Meter, places: &[(Quarters, &Symbol)], sounds: bool) -> String {
    let beat = meter.beat(false);
    let end = beat.length.times(beat.count.into());
    let mut items: Vec<(Quarters, String)> = Vec::new();
    if places.first().is_none_or(|first| first.0 > Quarters::ZERO) {
        items.push((Quarters::ZERO, if sounds { "~" } else { "N" }.to_owned()));
    }
    for (at, symbol) in places {
        let number = symbol.chord.map_or_else(|| "N".to_owned(), |chord| chord.number(bar.key).to_string());
        items.push((*at, number));
    }
    let ends = items.iter().skip(1).map(|item| item.0).chain([end]);
    let beats: Vec<i64> =
        items.iter().zip(ends).map(|(item, end)| (end - item.0).div_floor(beat.length)).collect();
    let even = beats.iter().all(|own| *own == beats[0]);
    let item = |(text, beats): (&String, &i64)| match even {
        true => text.clone(),
        false => format!("{text}{}", ".".repeat(usize::try_from(*beats).unwrap_or(1))),
    };
    items.iter().map(|item| &item.1).zip(&beats).map(item).collect::<Vec<_>>().join(" ")
}

fn is_whole(at: Quarters, beat: Quarters) -> bool {
    beat.times(at.div_floor(beat)) == at
}

#[cfg(test)]
mod tests {
    use super::*;
    use song::letters::{self, LetterReading};

    fn bar(meter: &str, chords: &[(i64, i64, &str)]) -> SheetBar {
        let meter = Meter::parse(meter).unwrap();
        let symbol = |text: &str| {
            let LetterReading { chord, unsure } = letters::read(text).unwrap();
            Symbol { chord, unsaid: unsure }
        };
        SheetBar {
            length: meter.length(),
            meter,
            key: "C major".parse().unwrap(),
            tempo: None,
            feel: song::Feel::Straight,
            harmony: chords.iter().map(|(n, d, text)| (Quarters::new(*n, *d), symbol(text))).collect(),
            section: None,
            ending: None,
            words: Vec::new(),
        }
    }

    fn written(bar: &SheetBar) -> String {
        let chart = chart_bar(bar, true);
        format!("{}: {}", chart.meter, chart.text)
    }

    // Worked out by hand from the notation of the chart.
    #[test]
    fn chords_keep_their_places() {
        assert_eq!(written(&bar("4/4", &[(0, 1, "C"), (2, 1, "G7")])), "4/4: 1 5(7)");
        assert_eq!(written(&bar("4/4", &[(0, 1, "C"), (3, 1, "G")])), "4/4: 1... 5.");
        assert_eq!(written(&bar("4/4", &[(2, 1, "G")])), "4/4: ~ 5");
        assert_eq!(written(&bar("4/4", &[])), "4/4: ~");
        assert_eq!(written(&bar("4/4", &[(0, 1, "C"), (3, 2, "G")])), "8/8: 1... 5.....");
        assert_eq!(written(&bar("3/4", &[(0, 1, "C"), (3, 2, "G")])), "6/8: 1 5");
        assert_eq!(written(&bar("2/2", &[(0, 1, "C"), (3, 1, "G")])), "4/4: 1... 5.");
        assert_eq!(written(&bar("2/2", &[(0, 1, "C"), (2, 1, "G")])), "2/2: 1 5");
    }

    #[test]
    fn chords_at_one_place_share_it() {
        assert_eq!(written(&bar("4/4", &[(0, 1, "C"), (0, 1, "G")])), "4/4: 1 5");
        assert_eq!(written(&bar("4/4", &[(0, 1, "C"), (0, 1, "F"), (0, 1, "G")])), "4/4: 1.. 4. 5.");
        assert_eq!(written(&bar("3/4", &[(0, 1, "C"), (0, 1, "G")])), "3/4: 1.. 5.");
        assert_eq!(chart_bar(&bar("4/4", &[(0, 1, "C"), (0, 1, "G")]), true).moved, 1);
        assert_eq!(written(&bar("4/4", &[(0, 1, "C"), (4, 1, "G")])), "4/4: 1... 5.");
    }

    #[test]
    fn what_falls_between_all_beats_is_put_on_one() {
        let triplets = bar("4/4", &[(0, 1, "C"), (4, 3, "F"), (8, 3, "G")]);
        let chart = chart_bar(&triplets, true);
        assert_eq!((chart.text.as_str(), chart.moved), ("1. 4.. 5.", 2));
    }
}
