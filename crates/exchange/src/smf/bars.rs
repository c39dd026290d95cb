//! Bars from a file's meters.

use super::tempo_map::TempoMap;
use crate::ExchangeError;
use practice::BarSpan;
use song::Meter;

/// No song is longer.
const MOST_BARS: usize = 20_000;

/// The bars from the beginning to the bar of `last_tick`, from the meters (tick, upper figure, power of two of the lower)
/// in order of time. Until a file says otherwise it is in 4/4. A meter that stands within a bar cuts that bar short.
pub(crate) fn bars(
    map: &TempoMap,
    meters: &[(u64, u8, u8)],
    last_tick: u64,
) -> Result<Vec<(u64, BarSpan)>, ExchangeError> {
    let mut meters =
        meters.iter().filter_map(|&(tick, upper, power)| Some((tick, meter(upper, power)?))).peekable();
    let mut meter = Meter::new(4, 4).expect("4/4 is a meter");
    let mut spans: Vec<(u64, BarSpan)> = Vec::new();
    let mut tick = 0;
    while tick <= last_tick {
        while let Some((_, new)) = meters.next_if(|m| m.0 <= tick) {
            meter = new;
        }
        let length = meter.length().to_f64() * f64::from(map.ticks_per_quarter());
        let mut end = tick + (length.round() as u64).max(1);
        if let Some((change, _)) = meters.peek() {
            end = end.min(*change);
        }
        if spans.len() == MOST_BARS {
            return Err(ExchangeError::TooLong(MOST_BARS));
        }
        let beat = meter.beat(false).length.to_f64();
        let changes = map.changes(tick + 1..end).map(|(at, quarter_ms)| (map.time(at), quarter_ms * beat));
        let span = BarSpan {
            bar: spans.len(),
            section: String::new(),
            start: map.time(tick),
            end: map.time(end),
            beat_ms: map.quarter_ms(tick) * beat,
            changes: changes.collect(),
        };
        spans.push((tick, span));
        tick = end;
    }
    Ok(spans)
}

fn meter(upper: u8, power: u8) -> Option<Meter> {
    Meter::new(upper, 1u8.checked_shl(u32::from(power))?)
}
