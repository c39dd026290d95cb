//! The player's calendar: days are counted from 1 January 1970.

use jiff::civil::Date;
use practice::history::Moment;

/// Now, by the world's clock and the player's.
pub fn now() -> Moment {
    let now = jiff::Zoned::now();
    let zone_minutes = i16::try_from(now.offset().seconds() / 60).unwrap_or(0);
    Moment { unix_ms: now.timestamp().as_millisecond(), zone_minutes }
}

/// The day of a date written as `2026-12-05`; `None` if it is none.
pub fn day_of(text: &str) -> Option<i64> {
    let date: Date = text.trim().parse().ok()?;
    Some(i64::from((date - EPOCH).get_days()))
}

/// A day as `2026-12-05`.
pub fn date_text(day: i64) -> String {
    date(day).map_or_else(String::new, |date| date.to_string())
}

/// A day as `5 Dec 2026`.
pub fn date_words(day: i64) -> String {
    date(day).map_or_else(String::new, |date| date.strftime("%-d %b %Y").to_string())
}

/// A day as `Saturday 5 December`.
pub fn weekday_words(day: i64) -> String {
    date(day).map_or_else(String::new, |date| date.strftime("%A %-d %B").to_string())
}

const EPOCH: Date = Date::constant(1970, 1, 1);

fn date(day: i64) -> Option<Date> {
    EPOCH.checked_add(jiff::Span::new().try_days(day).ok()?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: 1970 to 2026 are 56 years with 14 leap days, 20454 days; to 5 December another 338.
    #[test]
    fn days_are_counted_from_1970() {
        assert_eq!(day_of("2026-12-05"), Some(20_454 + 338));
        assert_eq!(day_of("2026-02-30"), None);
        assert_eq!((date_text(20_792).as_str(), date_words(20_792).as_str()), ("2026-12-05", "5 Dec 2026"));
        assert_eq!(weekday_words(20_792), "Saturday 5 December");
    }
}
