//! Repeats and endings at bar lines (MusicXML 4.0, "barline").

use super::form::{Mark, Place, Repeat};
use super::measure::{Measure, Measures, Spot, add_words};
use super::tree::{Element, number};

impl Measures {
    pub(super) fn barline(&mut self, element: &Element, spot: Spot, measure: &mut Measure) {
        let place = match element.attribute("location") {
            Some("left") => Place::Start,
            Some("middle") => spot.side(spot.at),
            _ => Place::End,
        };
        let sign = |name: &str| {
            let there = element.child(name).is_some() || element.attribute(name).is_some();
            there.then_some(Mark { place, number: 0 })
        };
        measure.form.segno = measure.form.segno.or(sign("segno"));
        measure.form.coda = measure.form.coda.or(sign("coda"));
        if element.child("fermata").is_some() {
            add_words(measure, "fermata".to_owned());
        }
        for repeat in element.all("repeat") {
            self.repeat(repeat, place, measure);
        }
        for ending in element.all("ending") {
            match ending.attribute("type") {
                Some("start") => {
                    let numbers = passes(ending.attribute("number").unwrap_or_default());
                    measure.form.ending =
                        Some(if numbers.is_empty() { passes(&ending.text) } else { numbers });
                }
                _ if place == Place::Start => measure.ending_stops_before = true,
                _ => measure.form.ending_stops = true,
            }
        }
    }

    fn repeat(&mut self, element: &Element, place: Place, measure: &mut Measure) {
        if place == Place::Middle {
            add_words(measure, "a repeat sign within this bar holds for the whole of it".to_owned());
        }
        if element.attribute("direction") == Some("forward") {
            if place == Place::End {
                self.next.forward = true
            } else {
                measure.form.forward = true
            }
            return;
        }
        let times = element.attribute("times").and_then(number).and_then(|n| u32::try_from(n).ok());
        let times = times.filter(|times| (1..=99).contains(times));
        let repeat = Repeat { times, after_jump: element.says("after-jump") };
        match place {
            Place::Start => measure.closes_before = Some(repeat),
            Place::Middle | Place::End => measure.form.backward = Some(repeat),
        }
    }
}

/// `1, 2` or `1-3`; nothing where it says no number.
fn passes(text: &str) -> Vec<u32> {
    let mut passes = Vec::new();
    let text = text.replace(".-", "-").replace(".–", "-");
    for part in text.split([',', ' ', ';', '+', '&', '.']).filter(|part| !part.is_empty()) {
        let mut ends = part.split(['-', '–']).map(|end| end.parse::<u32>().ok());
        let from = ends.next().flatten().filter(|n| (1..=99).contains(n));
        let to = ends.next().flatten().filter(|n| (1..=99).contains(n));
        if let Some(from) = from {
            passes.extend(from..=to.unwrap_or(from));
        }
    }
    passes.sort_unstable();
    passes.dedup();
    passes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn endings_name_one_pass_or_several() {
        assert_eq!(passes("1"), [1]);
        assert_eq!(passes("1, 2"), [1, 2]);
        assert_eq!(passes("1-3"), [1, 2, 3]);
        assert_eq!(passes("1., 4."), [1, 4]);
        assert_eq!(passes("1.2."), [1, 2]);
        assert_eq!(passes("1.-3."), [1, 2, 3]);
        assert!(passes("first").is_empty());
    }
}
