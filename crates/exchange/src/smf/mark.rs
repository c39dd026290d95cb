//! The text by which a take tells that this program recorded it, and on which clock.

use super::read::Raw;
use super::tempo_map::TempoMap;
use practice::{
    ChartTime, ControlChange, Hands, LoopBars, MeterStep, PlayedNote, Speed, TICKS_PER_QUARTER, Take,
    TakeTempo, TempoStep,
};
use song::Meter;
use theory::Key;

/// How the text begins; the number is its version.
const HEAD: &str = "overhand take 2";
/// And how it began while all takes were written at 120 a minute, in steps of 20 µs as played.
const FIRST_HEAD: &str = "overhand take 1";
const FIRST_STEP_MICROS: i64 = 20;
/// No number in it lies further from nought: a file of more ticks, or days, is none of ours.
const FURTHEST: i64 = 1 << 40;

/// What a take's file says beside its notes.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TakeMark {
    pub speed: Speed,
    /// The chart under it; `None` in the first version.
    pub tempo: Option<TakeTempo>,
    /// How far into the file its first bar line lies, in ticks; in the first version that of the song, in steps of that.
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
        TakeMark { speed, tempo: Some(take.tempo.clone()), lead, hands, bars, from, until, key }
    }

    /// As `overhand take 2; speed 60; lead 122880; hands right; key D major; bars 4-7; until 12000000; start 11428571;
    /// meter 0 4/4; tempo 0 84 60`: times in microseconds of the chart; a meter since its tick; a tempo since its tick, in
    /// quarters a minute of the chart, with the speed.
    pub fn text(&self) -> String {
        let head = if self.tempo.is_some() { HEAD } else { FIRST_HEAD };
        let (speed, hands) = (self.speed.percent(), self.hands.name());
        let mut text = format!("{head}; speed {speed}; lead {}; hands {hands}", self.lead);
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
        text + &self.tempo.as_ref().map(tempo_text).unwrap_or_default()
    }

    /// Reads it; `None` if the text is another one, or does not hold together.
    pub fn parse(text: &str) -> Option<TakeMark> {
        let mut fields = text.split(';').map(str::trim);
        let is_first = match fields.next()? {
            HEAD => false,
            FIRST_HEAD => true,
            _ => return None,
        };
        let mut mark = TakeMark::of(&Take::new(Vec::new(), Speed::FULL, Hands::Both, None), 0);
        let (mut start, mut tempi, mut meters) = (ChartTime::ZERO, Vec::new(), Vec::new());
        for field in fields {
            let (name, value) = field.split_once(' ')?;
            let time = || number(value).map(ChartTime::from_micros);
            match name {
                "speed" => mark.speed = Speed::new(value.parse().ok()?)?,
                "lead" => mark.lead = number(value)?,
                "hands" => mark.hands = hands(value)?,
                "bars" => {
                    let (from, to) = value.split_once('-')?;
                    mark.bars = Some(LoopBars::new(from.parse().ok()?, to.parse().ok()?));
                }
                "key" => mark.key = Some(value.parse().ok()?),
                "from" => mark.from = Some(time()?),
                "until" => mark.until = Some(time()?),
                "start" => start = time()?,
                "tempo" => tempi.push(tempo_step(value)?),
                "meter" => meters.push(meter_step(value)?),
                _ => {}
            }
        }
        mark.tempo = if is_first { None } else { Some(TakeTempo::new(start, tempi, meters)?) };
        Some(mark)
    }

    /// The take that a file's notes and pedals (tick, controller, value) are.
    pub fn take(&self, notes: &[Raw], controls: &[(u64, u8, u8)], map: &TempoMap) -> Take {
        let chart = |tick: u64| match &self.tempo {
            Some(tempo) => tempo.time(take_ticks(tick, map).saturating_sub(self.lead)),
            None => self.first_version_time(map.time(tick)),
        };
        let note = |n: &Raw| {
            let (at, off) = (chart(n.on), n.off.map(chart));
            PlayedNote { at, length: off.map(|off| off - at), key: n.midi_key(), velocity: n.velocity }
        };
        let mut notes: Vec<PlayedNote> = notes.iter().map(note).collect();
        notes.sort_by_key(|n| (n.at, n.key));
        let control =
            |&(tick, controller, value): &(u64, u8, u8)| ControlChange { at: chart(tick), controller, value };
        let controls = controls.iter().map(control).collect();
        let TakeMark { speed, hands, bars, from, until, key, .. } = *self;
        let tempo = self.tempo.clone().unwrap_or_else(|| TakeTempo::unknown(speed));
        // Put on the grid again, one of the first version would not be scored as it was.
        Take { notes, controls, speed, tempo, hands, bars, from, until, key }
    }

    fn first_version_time(&self, at: ChartTime) -> ChartTime {
        let step = at.micros().div_euclid(FIRST_STEP_MICROS).saturating_sub(self.lead);
        ChartTime::from_ms(self.speed.shrink_ms(step as f64 * FIRST_STEP_MICROS as f64 / 1000.0))
    }
}

/// Another program may have written the file again, in ticks of its own.
fn take_ticks(tick: u64, map: &TempoMap) -> i64 {
    let per_quarter = i128::from(map.ticks_per_quarter());
    let ticks = (i128::from(tick) * i128::from(TICKS_PER_QUARTER) + per_quarter / 2) / per_quarter;
    i64::try_from(ticks).unwrap_or(i64::MAX)
}

fn tempo_text(tempo: &TakeTempo) -> String {
    let mut text = format!("; start {}", tempo.start().micros());
    for MeterStep { tick, meter } in tempo.meters() {
        text += &format!("; meter {tick} {meter}");
    }
    for TempoStep { tick, quarters_per_minute, speed } in tempo.tempi() {
        text += &format!("; tempo {tick} {quarters_per_minute} {}", speed.percent());
    }
    text
}

fn tempo_step(text: &str) -> Option<TempoStep> {
    let mut words = text.split(' ');
    let tick = words.next()?.parse().ok()?;
    let quarters_per_minute = words.next()?.parse().ok()?;
    let speed = Speed::new(words.next()?.parse().ok()?)?;
    Some(TempoStep { tick, quarters_per_minute, speed })
}

fn meter_step(text: &str) -> Option<MeterStep> {
    let (tick, meter) = text.split_once(' ')?;
    Some(MeterStep { tick: tick.parse().ok()?, meter: Meter::parse(meter)? })
}

fn number(text: &str) -> Option<i64> {
    text.parse().ok().filter(|number| (-FURTHEST..=FURTHEST).contains(number))
}

fn hands(name: &str) -> Option<Hands> {
    [Hands::Both, Hands::Right, Hands::Left].into_iter().find(|h| h.name() == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_is_read_as_it_was_written() {
        let tempo = |tick, quarters_per_minute, percent| TempoStep {
            tick,
            quarters_per_minute,
            speed: Speed::new(percent).unwrap(),
        };
        let meter = |tick, text| MeterStep { tick, meter: Meter::parse(text).unwrap() };
        let tempi = vec![tempo(0, 72.0, 62.5), tempo(100, 200.0 / 3.0, 62.5), tempo(4242, 200.0 / 3.0, 80.1)];
        let meters = vec![meter(0, "4/4"), meter(100, "6/8")];
        let mark = TakeMark {
            speed: Speed::new(62.5).unwrap(),
            tempo: TakeTempo::new(ChartTime::from_micros(13_333_333), tempi, meters),
            lead: 100_000,
            hands: Hands::Left,
            bars: Some(LoopBars::new(4, 7)),
            from: Some(ChartTime::from_micros(-250_000)),
            until: Some(ChartTime::from_micros(12_000_001)),
            key: Some("F# minor".parse().unwrap()),
        };
        assert!(mark.tempo.is_some());
        assert_eq!(TakeMark::parse(&mark.text()), Some(mark.clone()));
        let first = TakeMark { tempo: None, ..mark };
        assert_eq!(TakeMark::parse(&first.text()), Some(first));
    }

    #[test]
    fn other_texts_are_no_mark() {
        for text in [
            "",
            "a tune",
            "overhand take 12; speed 60",
            "overhand take 2; speed 60",
            "overhand take 2; speed 60; tempo 0 84 60; meter 0 4/5",
            "overhand take 2; speed 60; tempo 0 inf 60; meter 0 4/4",
            "overhand take 1; speed 600",
            "overhand take 1; lead",
            "overhand take 1; lead 9000000000000000000",
            "overhand take 1; key H major",
        ] {
            assert_eq!(TakeMark::parse(text), None, "{text}");
        }
    }
}
