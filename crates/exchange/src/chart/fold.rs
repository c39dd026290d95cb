//! Sections that come back, put together: those that are played alike are one, and the passes of one are passes. How a
//! heading says which pass it is: `Verse, pass 2 of 4`.

use song::file::{Exception, Lines, Section, Selector};
use std::collections::{BTreeMap, HashMap, HashSet};

/// Sections with the headings they stand under, and the order in which they are played.
pub(super) struct Song {
    pub sections: Vec<Section>,
    /// Without what tells sections of one heading apart.
    pub headings: Vec<String>,
    /// Indices of `sections`.
    pub order: Vec<usize>,
}

/// What is played at one place of the order.
struct Place {
    section: Section,
    heading: String,
}

impl Song {
    /// The same song with fewer sections. Their names are their headings, numbered where one has several.
    pub fn folded(self) -> Song {
        let mut folded = Song { sections: Vec::new(), headings: Vec::new(), order: Vec::new() };
        let mut taken = HashSet::new();
        let mut known: HashMap<String, usize> = HashMap::new();
        for Place { section, heading } in self.places() {
            let next = folded.sections.len();
            let alike = format!("{heading}: {:?}", nameless(&section));
            let at = *known.entry(alike).or_insert(next);
            folded.order.push(at);
            if at == next {
                folded.sections.push(Section { name: free_name(&heading, &mut taken), ..section });
                folded.headings.push(heading);
            }
        }
        folded
    }

    fn places(&self) -> Vec<Place> {
        let mut places = Vec::new();
        let mut rest = &self.order[..];
        while let Some(first) = rest.first() {
            let (heading, count) = self.passes_from(rest);
            let passes: Vec<&Section> = rest[..count].iter().map(|at| &self.sections[*at]).collect();
            match (count > 1).then(|| merged(&passes)).flatten() {
                Some(section) => {
                    places.push(Place { section, heading: heading.to_owned() });
                    rest = &rest[count..];
                }
                None => {
                    let heading = self.headings[*first].clone();
                    places.push(Place { section: self.sections[*first].clone(), heading });
                    rest = &rest[1..];
                }
            }
        }
        places
    }

    /// How many passes of one section stand at the beginning of an order, all of them or none, and its name.
    fn passes_from(&self, order: &[usize]) -> (&str, usize) {
        let none = ("", 1);
        let Some((name, 1, count)) = order.first().and_then(|at| pass(&self.headings[*at])) else {
            return none;
        };
        let follows = |(at, section): (usize, &usize)| {
            pass(&self.headings[*section]) == Some((name, at as u32 + 1, count))
        };
        let there = order.iter().take(count as usize).enumerate().take_while(|each| follows(*each)).count();
        if there == count as usize { (name, there) } else { none }
    }
}

/// `Verse, pass 2 of 4`: the name, which pass, and of how many.
fn pass(heading: &str) -> Option<(&str, u32, u32)> {
    let (name, pass) = heading.rsplit_once(", pass ")?;
    let (pass, count) = pass.split_once(" of ")?;
    let (pass, count) = (pass.parse().ok()?, count.parse().ok()?);
    (!name.is_empty() && song::limits::PASSES.contains(&count)).then_some((name, pass, count))
}

fn nameless(section: &Section) -> Section {
    Section { name: String::new(), ..section.clone() }
}

fn free_name(heading: &str, taken: &mut HashSet<String>) -> String {
    let numbered = (2..).map(|n| format!("{heading} {n}"));
    let free = std::iter::once(heading.to_owned()).chain(numbered).find(|name| !taken.contains(name));
    let free = free.unwrap_or_else(|| heading.to_owned());
    taken.insert(free.clone());
    free
}

/// So many pairs of bars are compared to find what two passes have in common.
const MOST_COMPARED: usize = 250_000;

/// Bars that some passes play in place of written ones: from a bar, up to another, which bars, and what is said there.
type Other = (usize, usize, Vec<String>, Vec<Words>);
/// A note and a cue.
type Words = (Option<String>, Option<String>);

/// Passes as one section: what most of them play is written, the rest are exceptions. `None` if more than their chords and
/// words differ, or too much of these.
fn merged(passes: &[&Section]) -> Option<Section> {
    let first = *passes.first()?;
    let manner =
        |section: &Section| Section { bars: None, except: None, note: None, cue: None, ..nameless(section) };
    if passes.iter().any(|pass| manner(pass) != manner(first)) {
        return None;
    }
    let bars: Vec<Vec<String>> = passes.iter().map(|pass| bars_of(pass)).collect();
    let written = most_common(bars.iter())?;
    let mut others: BTreeMap<Other, Vec<u32>> = BTreeMap::new();
    let mut words: BTreeMap<(usize, Words), Vec<u32>> = BTreeMap::new();
    let mut differing = 0;
    for ((number, pass), bars) in (1..).zip(passes).zip(&bars) {
        let said = words_of(pass);
        let stretches = differences(&written, bars);
        for stretch in &stretches {
            differing += stretch.bars.len();
            let here =
                said.iter().filter(|(bar, _)| stretch.bars.contains(bar)).map(|(_, words)| words.clone());
            let mut here: Vec<Words> = here.collect();
            here.dedup();
            let other = (stretch.from, stretch.to, bars[stretch.bars.clone()].to_vec(), here);
            others.entry(other).or_default().push(number);
        }
        for (bar, words_here) in said {
            if let Some(bar) = written_bar(bar, &stretches) {
                words.entry((bar, words_here)).or_default().push(number);
            }
        }
    }
    if 2 * differing > bars.iter().map(Vec::len).sum::<usize>() {
        return None;
    }
    let count = passes.len() as u32;
    let mut except: Vec<Exception> =
        others.into_iter().map(|(other, passes)| put_in(other, &passes, count)).collect();
    except.extend(words.into_iter().map(|((bar, words), passes)| said(bar, words, &passes, count)));
    if except.len() > song::limits::EXCEPTIONS || later_words(passes) {
        return None;
    }
    except.sort_by_key(|exception| match &exception.bar {
        Selector::Number(bar) => *bar,
        _ => 0,
    });
    Some(Section {
        bars: Some(super::build::rows(&written)),
        passes: Some(count),
        except: (!except.is_empty()).then_some(except),
        ..first.clone()
    })
}

/// A later pass says something of the section that the first does not.
fn later_words(passes: &[&Section]) -> bool {
    let first = passes.first();
    passes.iter().skip(1).any(|pass| pass.note.is_some() && first.is_none_or(|first| first.note != pass.note))
}

/// The bars of a section, one by one.
fn bars_of(section: &Section) -> Vec<String> {
    let rows = section.bars.iter().flatten();
    rows.flat_map(|row| row.split(" | ")).map(str::to_owned).collect()
}

/// What is said of its bars: from 0, each with its words.
fn words_of(section: &Section) -> Vec<(usize, Words)> {
    let words = |exception: &Exception| match exception.bar {
        Selector::Number(bar) => Some((bar as usize - 1, (exception.note.clone(), exception.cue.clone()))),
        _ => None,
    };
    section.except.iter().flatten().filter_map(words).collect()
}

/// What most passes play, bar by bar, of those that are as long as most are; the earlier where it is even.
fn most_common<'a>(passes: impl Iterator<Item = &'a Vec<String>> + Clone) -> Option<Vec<String>> {
    let length = most(passes.clone().map(Vec::len))?;
    let usual = passes.filter(move |bars| bars.len() == length);
    (0..length).map(|bar| most(usual.clone().map(|bars| bars[bar].clone()))).collect()
}

fn most<T: Ord + Clone>(all: impl Iterator<Item = T>) -> Option<T> {
    let all: Vec<T> = all.collect();
    let times = |one: &T| all.iter().filter(|other| *other == one).count();
    let most = all.iter().map(times).max()?;
    all.iter().find(|one| times(one) == most).cloned()
}

/// Bars of a pass in place of written ones.
struct Stretch {
    /// Written bars, up to the second.
    from: usize,
    to: usize,
    /// Bars of the pass.
    bars: std::ops::Range<usize>,
}

/// Where a pass differs from what is written.
fn differences(written: &[String], bars: &[String]) -> Vec<Stretch> {
    if written.len() == bars.len() {
        return one_by_one(written, bars, 0, 0).collect();
    }
    let mut stretches = Vec::new();
    let (mut at, mut own) = (0, 0);
    for (same, other) in alike(written, bars).into_iter().chain([(written.len(), bars.len())]) {
        let (from, to) = ((at, own), (same, other));
        (at, own) = (same + 1, other + 1);
        if from == to {
            continue;
        }
        if to.0 - from.0 == to.1 - from.1 {
            stretches.extend(one_by_one(&written[..to.0], &bars[..to.1], from.0, from.1));
            continue;
        }
        let mut stretch = Stretch { from: from.0, to: to.0, bars: from.1..to.1 };
        if from.0 == to.0 || from.1 == to.1 {
            // An exception takes the place of a bar, and has one: one that is alike goes with what is put in or left out.
            match stretches.last_mut() {
                Some(Stretch { to: end, bars, .. }) if *end == from.0 => {
                    (*end, bars.end) = (to.0, to.1);
                    continue;
                }
                _ if from.0 > 0 => (stretch.from, stretch.bars.start) = (from.0 - 1, from.1 - 1),
                _ => (stretch.to, stretch.bars.end) = (to.0 + 1, to.1 + 1),
            }
        }
        stretches.push(stretch);
    }
    stretches
}

/// Each bar that differs, of as many.
fn one_by_one<'a>(
    written: &'a [String],
    bars: &'a [String],
    from: usize,
    own: usize,
) -> impl Iterator<Item = Stretch> + 'a {
    let pairs = written[from..].iter().zip(&bars[own..]).enumerate();
    pairs.filter(|(_, (written, bar))| written != bar).map(move |(at, _)| Stretch {
        from: from + at,
        to: from + at + 1,
        bars: own + at..own + at + 1,
    })
}

/// The most bars that are alike in both, in order; where passes are long, those at the beginning and the end.
fn alike(written: &[String], bars: &[String]) -> Vec<(usize, usize)> {
    let same = |(a, b): &(&String, &String)| a == b;
    let before = written.iter().zip(bars).take_while(same).count();
    let room = written.len().min(bars.len()) - before;
    let after = written.iter().rev().zip(bars.iter().rev()).take(room).take_while(same).count();
    let (ends, own_ends) = (written.len() - after, bars.len() - after);
    let mut pairs: Vec<(usize, usize)> = (0..before).map(|bar| (bar, bar)).collect();
    if (ends - before).saturating_mul(own_ends - before) <= MOST_COMPARED {
        let inner = longest(&written[before..ends], &bars[before..own_ends]);
        pairs.extend(inner.into_iter().map(|(bar, own)| (before + bar, before + own)));
    }
    pairs.extend((0..after).map(|bar| (ends + bar, own_ends + bar)));
    pairs
}

/// The longest common subsequence, by the usual table of lengths from each pair of bars on.
fn longest(a: &[String], b: &[String]) -> Vec<(usize, usize)> {
    let width = b.len() + 1;
    let mut lengths = vec![0u32; (a.len() + 1) * width];
    for i in (0..a.len()).rev() {
        for j in (0..b.len()).rev() {
            let (below, beside) = (lengths[(i + 1) * width + j], lengths[i * width + j + 1]);
            let both = lengths[(i + 1) * width + j + 1] + 1;
            lengths[i * width + j] = if a[i] == b[j] { both } else { below.max(beside) };
        }
    }
    let (mut i, mut j, mut pairs) = (0, 0, Vec::new());
    while i < a.len() && j < b.len() {
        if a[i] == b[j] {
            pairs.push((i, j));
            (i, j) = (i + 1, j + 1);
        } else if lengths[(i + 1) * width + j] >= lengths[i * width + j + 1] {
            i += 1;
        } else {
            j += 1;
        }
    }
    pairs
}

/// A bar of a pass as the section is written; none for one that is put in.
fn written_bar(bar: usize, stretches: &[Stretch]) -> Option<usize> {
    if stretches.iter().any(|stretch| stretch.bars.contains(&bar)) {
        return None;
    }
    let before = stretches.iter().filter(|stretch| stretch.bars.end <= bar);
    Some(before.fold(bar, |bar, stretch| bar + (stretch.to - stretch.from) - stretch.bars.len()))
}

fn put_in((from, to, bars, words): Other, passes: &[u32], count: u32) -> Exception {
    let replaces = (bars.len() != to - from).then_some((to - from) as u32);
    let joined = |of: fn(&Words) -> &Option<String>| {
        let said: Vec<&str> = words.iter().filter_map(|words| of(words).as_deref()).collect();
        (!said.is_empty()).then(|| said.join("\n"))
    };
    Exception {
        bars: Some(Lines::One(bars.join(" | "))),
        replaces,
        ..said(from, (joined(|words| &words.0), joined(|words| &words.1)), passes, count)
    }
}

/// An exception with words for a bar, from 0, in some passes or all.
fn said(bar: usize, (note, cue): Words, passes: &[u32], count: u32) -> Exception {
    let pass = (passes.len() < count as usize).then(|| selector(passes));
    Exception { pass, ..super::build::said(bar, note, cue) }
}

/// Passes in rising order: a number, `2-4`, or a list.
fn selector(passes: &[u32]) -> Selector {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &pass in passes {
        match runs.last_mut().filter(|run| run.1 + 1 == pass) {
            Some(run) => run.1 = pass,
            None => runs.push((pass, pass)),
        }
    }
    let run = |(from, to): &(u32, u32)| {
        if from == to { Selector::Number(*from) } else { Selector::Words(format!("{from}-{to}")) }
    };
    match &runs[..] {
        [one] => run(one),
        several => Selector::List(several.iter().map(run).collect()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folded(sections: &[(&str, &str)], order: &[usize]) -> Vec<String> {
        let section =
            |(_, bars): &(&str, &str)| Section { bars: Some(vec![(*bars).to_owned()]), ..Section::default() };
        let song = Song {
            sections: sections.iter().map(section).collect(),
            headings: sections.iter().map(|(heading, _)| (*heading).to_owned()).collect(),
            order: order.to_vec(),
        };
        let folded = song.folded();
        let place = |at: &usize| {
            let section = &folded.sections[*at];
            let except = serde_json::to_string(&section.except.clone().unwrap_or_default()).unwrap();
            format!(
                "{} {} x{} {except}",
                section.name,
                section.bars.as_ref().unwrap().join(" || "),
                section.passes.unwrap_or(1)
            )
        };
        folded.order.iter().map(place).collect()
    }

    // Worked out by hand, as a player would write it.
    #[test]
    fn what_is_played_alike_is_one_section() {
        let sections = [("Verse", "1 | 4"), ("Chorus", "4 | 5"), ("Verse", "1 | 4"), ("Verse", "1 | 5")];
        assert_eq!(
            folded(&sections, &[0, 1, 2, 3, 0]),
            [
                "Verse 1 | 4 x1 []",
                "Chorus 4 | 5 x1 []",
                "Verse 1 | 4 x1 []",
                "Verse 2 1 | 5 x1 []",
                "Verse 1 | 4 x1 []"
            ]
        );
    }

    #[test]
    fn passes_that_differ_have_exceptions() {
        let passes = |bars: [&'static str; 4]| -> Vec<String> {
            let headings =
                ["Verse, pass 1 of 4", "Verse, pass 2 of 4", "Verse, pass 3 of 4", "Verse, pass 4 of 4"];
            let sections: Vec<(&str, &str)> = headings.into_iter().zip(bars).collect();
            folded(&sections, &[0, 1, 2, 3])
        };
        assert_eq!(passes(["1 | 4", "1 | 4", "1 | 4", "1 | 4"]), ["Verse 1 | 4 x4 []"]);
        assert_eq!(
            passes(["1 | 4 | 5", "1 | 2 | 5", "1 | 4 | 5", "1 | 2 | 5"]),
            [r#"Verse 1 | 4 | 5 x4 [{"pass":[2,4],"bar":2,"bars":"2"}]"#]
        );
        assert_eq!(
            passes(["1 | 4 | 5", "1 | 4 | 5", "1 | 4 | 2 5 | 5", "1 | 5"]),
            [concat!(
                r#"Verse 1 | 4 | 5 x4 [{"pass":4,"bar":1,"bars":"1","replaces":2},"#,
                r#"{"pass":3,"bar":2,"bars":"4 | 2 5","replaces":1}]"#
            )]
        );
        assert_eq!(
            passes(["1 | 4 | 5", "1 | 4 | 5", "1 | 4 | 5", "2 | 1 | 4 | 5 | 6"]),
            [
                r#"Verse 1 | 4 | 5 x4 [{"pass":4,"bar":1,"bars":"2 | 1","replaces":1},{"pass":4,"bar":3,"bars":"5 | 6","replaces":1}]"#
            ]
        );
        assert_eq!(
            passes(["1", "1", "1", "2 | 1 | 6"]),
            [r#"Verse 1 x4 [{"pass":4,"bar":1,"bars":"2 | 1 | 6","replaces":1}]"#]
        );
        assert_eq!(passes(["1 | 4", "2 | 5", "3 | 6", "4 | 7"]).len(), 4, "these are four sections");
    }

    #[test]
    fn passes_that_are_not_all_there_stay_sections() {
        let sections = [("Verse, pass 1 of 3", "1"), ("Verse, pass 3 of 3", "1")];
        assert_eq!(folded(&sections, &[0, 1]), ["Verse, pass 1 of 3 1 x1 []", "Verse, pass 3 of 3 1 x1 []"]);
    }
}
