//! Keys and meters of a measure (MusicXML 4.0, "attributes").

use super::measure::{Measure, Measures, Spot, add_words};
use super::tree::{Element, number};
use song::Meter;
use theory::{Key, Mode};

impl Measures {
    /// What stands before the first note holds in the measure, what stands later from the next on.
    pub(super) fn attributes(&mut self, element: &Element, spot: Spot, measure: &mut Measure) {
        let within = spot.at > 0 && spot.at < spot.end;
        if let Some(key) = element.child("key").and_then(|key| self.named_key(key)) {
            self.key = key;
            if spot.at == 0 {
                measure.key = Some(key)
            } else {
                self.next.key = Some(key)
            }
            if within {
                add_words(
                    measure,
                    format!("the key changes to {key} within this bar: it holds from the next"),
                );
            }
        }
        let time = element.child("time").filter(|time| time.child("senza-misura").is_none());
        if let Some(meter) = time.and_then(|time| self.meter(time)) {
            if spot.at == 0 {
                measure.meter = Some(meter)
            } else {
                self.next.meter = Some(meter)
            }
            if within {
                add_words(
                    measure,
                    format!("the meter changes to {meter} within this bar: it holds from the next"),
                );
            }
        }
        for repeat in element.all("measure-style").filter_map(|style| style.child("measure-repeat")) {
            let bars = number(&repeat.text).and_then(|n| usize::try_from(n).ok()).unwrap_or(1);
            self.repeating = (repeat.attribute("type") == Some("start")).then_some(bars.clamp(1, 16));
        }
        if element.child("transpose").and_then(|t| t.number_of("chromatic")).is_some_and(|n| n != 0) {
            self.tell("it is written for a transposing instrument: its key is that of the page");
        }
    }

    fn named_key(&mut self, element: &Element) -> Option<Key> {
        let Some(fifths) = element.number_of("fifths") else {
            self.tell("a key of accidentals of its own is not read: the key before it holds on");
            return None;
        };
        let fifths = fifths.clamp(-20, 20);
        let signature = if (-7..=7).contains(&fifths) { fifths } else { fifths - 12 * fifths.signum() };
        let word = element.text_of("mode").unwrap_or("").to_ascii_lowercase();
        let mode = match word.as_str() {
            "minor" | "aeolian" | "dorian" | "phrygian" | "locrian" => Mode::Minor,
            _ => Mode::Major,
        };
        let key = Key::all().find(|key| key.mode() == mode && i64::from(key.signature()) == signature)?;
        if signature != fifths {
            self.tell(&format!("a key of {} accidentals is read as {key}", fifths.abs()));
        }
        if !matches!(word.as_str(), "" | "none" | "major" | "minor" | "ionian" | "aeolian") {
            self.tell(&format!("the mode “{word}” is read as {key}, which has its signature"));
        }
        Some(key)
    }

    /// A meter; one that is put together of several is their sum.
    fn meter(&mut self, element: &Element) -> Option<Meter> {
        let sum = |text: &str| {
            text.split('+').map(|n| n.trim().parse::<u8>().ok().map(u32::from)).sum::<Option<u32>>()
        };
        let uppers = element.all("beats").map(|beats| sum(&beats.text));
        let lowers =
            element.all("beat-type").map(|lower| lower.text.trim().parse::<u8>().ok().map(u32::from));
        let parts: Option<Vec<(u32, u32)>> =
            uppers.zip(lowers).map(|(upper, lower)| upper.zip(lower)).collect();
        let meter = parts.filter(|parts| !parts.is_empty() && parts.len() < 10).and_then(|parts| {
            let lower = parts.iter().map(|part| part.1).max().filter(|lower| *lower > 0)?;
            let upper = parts
                .iter()
                .map(|(upper, own)| upper.checked_mul(lower.checked_div(*own)?))
                .sum::<Option<u32>>()?;
            Meter::new(u8::try_from(upper).ok()?, u8::try_from(lower).ok()?)
        });
        if meter.is_none() {
            self.tell("a meter that number charts do not have: its bars have meters of their own");
        }
        meter
    }
}
