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
    /// How many of its chords stand elsewhere than on the page, or found no beat and are told alone.
    pub moved: usize,
    pub noted: usize,
    /// What there is to say about it, a sentence each.
    pub told: Vec<String>,
}

/// A chord where the page has it, and where the chart does.
#[derive(Clone, Copy, Debug)]
struct Place<'a> {
    page: Quarters,
    at: Quarters,
    symbol: &'a Symbol,
}

/// How a bar is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Context {
    /// Something sounds at its start.
    pub sounds: bool,
    /// In 6/8 and its like eighths are counted.
    pub eighths: bool,
}

/// Whether its chords lie on eighths and not on dotted quarters, in 6/8 and its like.
pub(super) fn needs_eighths(bar: &SheetBar) -> bool {
    let (felt, counted) = (bar.meter.beat(false), bar.meter.beat(true));
    if felt == counted || bar.meter.length() != bar.length {
        return false;
    }
    let starts: Vec<Quarters> = spread(bar, false).0.iter().map(|place| place.at).collect();
    !suits(felt, &starts) && suits(counted, &starts)
}

/// Whether places are beats, and as many as there are at most.
fn suits(beat: Beat, starts: &[Quarters]) -> bool {
    let items = starts.len() + usize::from(starts.first().is_some_and(|first| *first > Quarters::ZERO));
    items <= usize::from(beat.count) && starts.iter().all(|start| is_whole(*start, beat.length))
}

/// The bar in numbers.
pub(super) fn chart_bar(bar: &SheetBar, context: Context) -> ChartBar {
    let Context { sounds, eighths } = context;
    let (mut places, mut told) = spread(bar, eighths);
    let starts: Vec<Quarters> = places.iter().map(|place| place.at).collect();
    let chords = |places: &[Place<'_>]| places.iter().filter(|place| place.symbol.chord.is_some()).count();
    let all = chords(&places);
    let meter = meter_for(bar, &starts, eighths).unwrap_or_else(|| {
        let meter = finest(bar, eighths);
        if meter.length() != bar.length {
            told.push(format!("a bar of {:.2} quarters: written as {meter}", bar.length.to_f64()));
        }
        places = snap(std::mem::take(&mut places), meter.beat(eighths), &mut told);
        meter
    });
    let is_moved = |place: &&Place<'_>| place.at != place.page && place.symbol.chord.is_some();
    told.extend(places.iter().filter_map(|place| place.symbol.unsaid.clone()));
    ChartBar {
        meter,
        text: text(bar, meter.beat(eighths), &places, sounds),
        moved: places.iter().filter(is_moved).count(),
        noted: all - chords(&places),
        told,
    }
}

/// Chords that stand at one place, or behind the bar, share the time up to the next; what is to be said about it.
fn spread(bar: &SheetBar, eighths: bool) -> (Vec<Place<'_>>, Vec<String>) {
    let beat = bar.meter.beat(eighths).length;
    let last = if beat < bar.length { bar.length - beat } else { Quarters::ZERO };
    let mut told = Vec::new();
    let mut groups: Vec<(Quarters, Vec<(Quarters, &Symbol)>)> = Vec::new();
    for (page, symbol) in &bar.harmony {
        let beyond = *page >= bar.length;
        let at = if beyond { groups.last().map_or(last, |group| group.0.max(last)) } else { *page };
        if beyond {
            told.push(format!("{} stands behind the bar: it was put at its end", name(symbol)));
        }
        match groups.last_mut().filter(|group| group.0 == at) {
            Some(group) => group.1.push((*page, symbol)),
            None => groups.push((at, vec![(*page, symbol)])),
        }
    }
    let ends: Vec<Quarters> = groups.iter().skip(1).map(|group| group.0).chain([bar.length]).collect();
    let mut places = Vec::new();
    for ((at, symbols), end) in groups.into_iter().zip(ends) {
        if symbols.len() > 1 && symbols.iter().all(|(page, _)| *page < bar.length) {
            let names = listed(symbols.iter().map(|(_, symbol)| name(symbol)));
            told.push(format!("{names} stand at one place: they share the time up to the next"));
        }
        let starts = shares(at, end, symbols.len(), beat);
        places.extend(starts.into_iter().zip(symbols).map(|(at, (page, symbol))| Place { page, at, symbol }));
    }
    (places, told)
}

fn name(symbol: &Symbol) -> String {
    symbol.chord.map_or_else(|| "N.C.".to_owned(), |chord| chord.to_string())
}

/// `C`, `C and F`, `C, F and G`.
fn listed(names: impl Iterator<Item = String>) -> String {
    let mut names: Vec<String> = names.collect();
    match names.pop() {
        Some(last) if !names.is_empty() => format!("{} and {last}", names.join(", ")),
        last => last.unwrap_or_default(),
    }
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
fn meter_for(bar: &SheetBar, starts: &[Quarters], eighths: bool) -> Option<Meter> {
    let fits = |meter: &Meter| meter.length() == bar.length && suits(meter.beat(eighths), starts);
    same_length(bar).find(fits)
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
fn finest(bar: &SheetBar, eighths: bool) -> Meter {
    let most = bar.harmony.len() + 1;
    let room = |meter: &Meter| usize::from(meter.beat(eighths).count) >= most;
    // A bar that no meter has the length of has that of the nearest.
    let nearest = |lower: u8| {
        let upper = (bar.length.to_f64() * f64::from(lower) / 4.0).round().clamp(1.0, 32.0) as u8;
        Meter::new(upper, lower)
    };
    let near = || [8, 16, 32].into_iter().filter_map(nearest);
    let meter = same_length(bar).find(room).or_else(|| same_length(bar).last());
    let meter = meter.or_else(|| near().find(room)).or_else(|| near().next_back());
    meter.expect("1 to 32 thirty-seconds are a meter")
}

/// Puts places on beats, each on one of its own, and says which moved. What finds no beat is left out, and told.
fn snap<'a>(places: Vec<Place<'a>>, beat: Beat, told: &mut Vec<String>) -> Vec<Place<'a>> {
    let Beat { length, count } = beat;
    let (mut put, mut moved, mut lost) = (Vec::new(), Vec::new(), Vec::new());
    let mut free = 0;
    let left = places.len();
    for (index, place) in places.into_iter().enumerate() {
        let after = (left - index - 1) as i64;
        let nearest = (place.at.to_f64() / length.to_f64()).round() as i64;
        let beat = nearest.clamp(free, (i64::from(count) - 1 - after).max(free));
        if beat >= i64::from(count) {
            lost.push(name(place.symbol));
            continue;
        }
        let at = length.times(beat);
        if at != place.at {
            moved.push(name(place.symbol));
        }
        put.push(Place { at, ..place });
        free = beat + 1;
    }
    if !moved.is_empty() {
        told.push(format!("between the beats and put on the nearest: {}", listed(moved.into_iter())));
    }
    if !lost.is_empty() {
        told.push(format!("left out, for there is no beat for it: {}", listed(lost.into_iter())));
    }
    put
}

fn text(bar: &SheetBar, beat: Beat, places: &[Place<'_>], sounds: bool) -> String {
    let end = beat.length.times(beat.count.into());
    let mut items: Vec<(Quarters, String)> = Vec::new();
    if places.first().is_none_or(|first| first.at > Quarters::ZERO) {
        items.push((Quarters::ZERO, if sounds { "~" } else { "N" }.to_owned()));
    }
    for place in places {
        items.push((place.at, item(place.symbol, bar)));
    }
    let ends = items.iter().skip(1).map(|item| item.0).chain([end]);
    let beats: Vec<i64> =
        items.iter().zip(ends).map(|(item, end)| (end - item.0).div_floor(beat.length)).collect();
    let even = beats.iter().all(|own| *own == beats[0]);
    let dotted = |(text, beats): (&String, &i64)| match even {
        true => text.clone(),
        false => format!("{text}{}", ".".repeat(usize::try_from(*beats).unwrap_or(1))),
    };
    items.iter().map(|item| &item.1).zip(&beats).map(dotted).collect::<Vec<_>>().join(" ")
}

/// A chord with its marks: `5`, `^5`, `<5>`, `<^5>`; or that there is none.
fn item(symbol: &Symbol, bar: &SheetBar) -> String {
    let Some(chord) = symbol.chord else { return "N".to_owned() };
    let push = if symbol.push { "^" } else { "" };
    let number = chord.number(bar.key);
    if symbol.diamond { format!("<{push}{number}>") } else { format!("{push}{number}") }
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
            Symbol { chord, unsaid: unsure, ..Symbol::default() }
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
            noted: 0,
            coach: crate::chart::Coach::default(),
        }
    }

    const CONTEXT: Context = Context { sounds: true, eighths: false };

    fn written(bar: &SheetBar) -> String {
        let chart = chart_bar(bar, CONTEXT);
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
        assert_eq!(chart_bar(&bar("4/4", &[(0, 1, "C"), (0, 1, "G")]), CONTEXT).moved, 1);
        assert_eq!(written(&bar("4/4", &[(0, 1, "C"), (4, 1, "G")])), "4/4: 1... 5.");
    }

    #[test]
    fn in_compound_meters_chords_on_eighths_have_eighths_counted() {
        let off_the_beat = bar("6/8", &[(0, 1, "C"), (2, 1, "G")]);
        assert!(needs_eighths(&off_the_beat));
        let chart = chart_bar(&off_the_beat, Context { sounds: true, eighths: true });
        assert_eq!(format!("{}: {}", chart.meter, chart.text), "6/8: 1.... 5..");
        assert!(!needs_eighths(&bar("6/8", &[(0, 1, "C"), (3, 2, "G")])), "these are its beats");
    }

    #[test]
    fn what_falls_between_all_beats_is_put_on_one() {
        let triplets = bar("4/4", &[(0, 1, "C"), (4, 3, "F"), (8, 3, "G")]);
        let chart = chart_bar(&triplets, CONTEXT);
        assert_eq!((chart.text.as_str(), chart.moved), ("1. 4.. 5.", 2));
    }
}
