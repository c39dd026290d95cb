//! The text by which a take tells that this program recorded it, and on which clock.

use super::MidiNote;
use practice::{
    ChartTime, ControlChange, Hands, LoopBars, PlayedNote, Speed, TAKE_GRID_MICROS, Take, from_grid,
};
use theory::Key;

/// How the text begins; the number is its version.
const HEAD: &str = "overhand take 1";

/// What a take's file says beside its notes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct TakeMark {
    pub speed: Speed,
    /// How far into the file the first bar line lies, in steps of the grid of takes.
    pub lead: i64,
    pub hands: Hands,
    pub bars: Option<LoopBars>,
    pub from: Option<ChartTime>,
    pub until: Option<ChartTime>,
    pub key: Option<Key>,
}

impl TakeMark {
    /// The mark of a take whose first bar line lies so far into the file.
    pub fn of(take: &Take, lead: i64) -> TakeMark {
        let Take { speed, hands, bars, from, until, key, .. } = *take;
        TakeMark { speed, lead, hands, bars, from, until, key }
    }

    /// As `overhand take 1; speed 60; lead 100000; hands right; key D major; bars 4-7; until 12000000`.
    pub fn text(&self) -> String {
        let mut text = format!(
            "{HEAD}; speed {}; lead {}; hands {}",
            self.speed.percent(),
            self.lead,
            self.hands.name()
        );
        if let Some(key) = self.key {
            text += &format!("; key {key}");
        }
        if let Some(bars) = self.bars {
            text += &format!("; bars {}-{}", bars.from(), bars.to());
        }
        if let Some(from) = self.from {
            text += &format!("; from {}", from.micros());
        }
        if let Some(until) = self.until {
            text += &format!("; until {}", until.micros());
        }
        text
    }

    /// Reads it; `None` if the text is another one, or does not hold together.
    pub fn parse(text: &str) -> Option<TakeMark> {
        let mut fields = text.strip_prefix(HEAD)?.split(';').map(str::trim);
        fields.next().filter(|rest| rest.is_empty())?;
        let mut mark = TakeMark::of(&Take::new(Vec::new(), Speed::FULL, Hands::Both, None), 0);
        for field in fields {
            let (name, value) = field.split_once(' ')?;
            match name {
                "speed" => mark.speed = Speed::new(value.parse().ok()?)?,
                "lead" => mark.lead = value.parse().ok()?,
                "hands" => mark.hands = hands(value)?,
                "bars" => {
                    let (from, to) = value.split_once('-')?;
                    mark.bars = Some(LoopBars::new(from.parse().ok()?, to.parse().ok()?));
                }
                "key" => mark.key = Some(value.parse().ok()?),
                "from" => mark.from = Some(ChartTime::from_micros(value.parse().ok()?)),
                "until" => mark.until = Some(ChartTime::from_micros(value.parse().ok()?)),
                _ => {}
            }
        }
        Some(mark)
    }

    /// The take that a file's notes are.
    pub fn take(&self, notes: &[MidiNote], controls: &[ControlChange]) -> Take {
        let chart = |t: ChartTime| {
            let step = t.micros().div_euclid(TAKE_GRID_MICROS);
            from_grid(step.saturating_sub(self.lead), self.speed)
        };
        let note = |n: &MidiNote| PlayedNote {
            at: chart(n.at),
            length: n.end.map(|end| chart(end) - chart(n.at)),
            key: n.key,
            velocity: n.velocity,
        };
        let take = Take::new(notes.iter().map(note).collect(), self.speed, self.hands, self.bars);
        let controls = controls.iter().map(|c| ControlChange { at: chart(c.at), ..*c }).collect();
        Take { from: self.from, until: self.until, key: self.key, ..take }.with_controls(controls)
    }
}

fn hands(name: &str) -> Option<Hands> {
    [Hands::Both, Hands::Right, Hands::Left].into_iter().find(|h| h.name() == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_is_read_as_it_was_written() {
        let mark = TakeMark {
            speed: Speed::new(62.5).unwrap(),
            lead: 100_000,
            hands: Hands::Left,
            bars: Some(LoopBars::new(4, 7)),
            from: Some(ChartTime::from_micros(-250_000)),
            until: Some(ChartTime::from_micros(12_000_001)),
            key: Some("F# minor".parse().unwrap()),
        };
        assert_eq!(TakeMark::parse(&mark.text()), Some(mark));
    }

    #[test]
    fn other_texts_are_no_mark() {
        for text in [
            "",
            "a tune",
            "overhand take 12; speed 60",
            "overhand take 1; speed 600",
            "overhand take 1; lead",
            "overhand take 1; key H major",
        ] {
            assert_eq!(TakeMark::parse(text), None, "{text}");
        }
    }
}
