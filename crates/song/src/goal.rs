//! Goals that a coach marks: these bars, at this speed, by this day.

use crate::{PlayedSong, Selector};

/// A goal: what of the song is to go well, how fast, and by when.
///
/// ```
/// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
///   "sections": [ { "name": "Intro", "bars": ["1 | 4"] }, { "name": "Chorus", "passes": 2, "bars": ["4 | 5 | 1"] } ],
///   "goals": [ { "section": "Chorus", "bar": "2-3", "speed": 90, "day": "2026-12-04" } ] }"#;
/// let song = song::read(text).sound().unwrap();
/// let goal = &song.goals[0].value;
/// assert_eq!((goal.section, goal.speed), (Some(1), 90));
/// assert_eq!(goal.day.unwrap().to_string(), "2026-12-04");
/// assert_eq!(goal.bars_played(&song.play()), [3, 4, 6, 7], "in both passes");
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Goal {
    /// The section, by its index in [`crate::Song::sections`]; `None`: the whole song.
    pub section: Option<usize>,
    /// Bars of the section as written, from 1; `None`: all of them. Only with a section.
    pub bars: Option<Selector>,
    /// In percent of the chart's tempo, 30 to 130.
    pub speed: u8,
    /// By when; `None`: no day is set.
    pub day: Option<Day>,
    /// The coach's words about it.
    pub note: Option<String>,
}

impl Goal {
    /// Where nothing is said, the chart's own tempo.
    pub const FULL_SPEED: u8 = 100;

    /// The bars as played that it is about, by their index in [`PlayedSong::bars`], in order. A bar that is put in counts
    /// as the one whose place it takes.
    pub fn bars_played(&self, song: &PlayedSong) -> Vec<usize> {
        let last = |section: usize| {
            let of_section = song.bars.iter().filter(|bar| bar.section == section);
            of_section.filter_map(|bar| bar.written_bar.or(bar.in_place_of)).max().map_or(0, |bar| bar + 1)
        };
        let last = self.section.map_or(0, last);
        let meant = |bar: &crate::PlayedBar| match (self.section, &self.bars) {
            (None, _) => true,
            (Some(section), None) => bar.section == section,
            (Some(section), Some(bars)) => {
                let written = bar.written_bar.or(bar.in_place_of);
                bar.section == section && written.is_some_and(|written| bars.contains(written + 1, last))
            }
        };
        (0..song.bars.len()).filter(|index| meant(&song.bars[*index])).collect()
    }
}

/// A day of the Gregorian calendar, written year, month, day as in ISO 8601: `2026-12-04`.
///
/// ```
/// use song::Day;
/// let day = Day::parse("2028-02-29").unwrap();
/// assert_eq!((day.year(), day.month(), day.day()), (2028, 2, 29));
/// assert!(Day::parse("2027-02-29").is_none(), "no leap year");
/// assert_eq!(Day::parse("1970-01-02").unwrap().since_1970(), 1);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Day {
    year: u16,
    month: u8,
    day: u8,
}

impl Day {
    /// The first year there is: days are counted from 1970.
    const FIRST_YEAR: u16 = 1970;
    /// The last year of four digits.
    const LAST_YEAR: u16 = 9999;

    /// A day; `None` if the calendar has none such, or before 1970 and after 9999.
    pub const fn new(year: u16, month: u8, day: u8) -> Option<Day> {
        let known = year >= Day::FIRST_YEAR && year <= Day::LAST_YEAR && month >= 1 && month <= 12;
        if known && day >= 1 && day <= days_in_month(year, month) {
            Some(Day { year, month, day })
        } else {
            None
        }
    }

    /// Reads `2026-12-04`.
    pub fn parse(text: &str) -> Option<Day> {
        let mut parts = text.trim().split('-');
        let mut next = |digits: usize| {
            let part = parts.next()?;
            let fits = part.len() == digits && part.bytes().all(|byte| byte.is_ascii_digit());
            if fits { part.parse::<u16>().ok() } else { None }
        };
        let (year, month, day) = (next(4)?, next(2)?, next(2)?);
        let none_left = parts.next().is_none();
        Day::new(year, u8::try_from(month).ok()?, u8::try_from(day).ok()?).filter(|_| none_left)
    }

    /// The day so many days after 1 January 1970; `None` after 9999.
    ///
    /// ```
    /// assert_eq!(song::Day::after_1970(11_016).unwrap().to_string(), "2000-02-29");
    /// ```
    pub fn after_1970(days: u32) -> Option<Day> {
        let mut year = Day::FIRST_YEAR + u16::try_from(days / 366).ok().filter(|years| *years < 8030)?;
        while days_before_year(year + 1) <= days {
            year += 1;
        }
        let mut left = days - days_before_year(year);
        let mut month = 1;
        while left >= u32::from(days_in_month(year, month)) {
            left -= u32::from(days_in_month(year, month));
            month += 1;
        }
        Day::new(year, month, u8::try_from(left + 1).ok()?)
    }

    /// How many days after 1 January 1970 it is.
    pub fn since_1970(self) -> u32 {
        let months: u32 = (1..self.month).map(|month| u32::from(days_in_month(self.year, month))).sum();
        days_before_year(self.year) + months + u32::from(self.day) - 1
    }

    /// The year.
    pub const fn year(self) -> u16 {
        self.year
    }

    /// The month, 1 to 12.
    pub const fn month(self) -> u8 {
        self.month
    }

    /// The day of the month, from 1.
    pub const fn day(self) -> u8 {
        self.day
    }
}

impl std::fmt::Display for Day {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

const fn is_leap(year: u16) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

const fn days_in_month(year: u16, month: u8) -> u8 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days from 1970 to the beginning of a year.
fn days_before_year(year: u16) -> u32 {
    let leaps = |before: u32| before / 4 - before / 100 + before / 400;
    let (year, first) = (u32::from(year), u32::from(Day::FIRST_YEAR));
    365 * (year - first) + leaps(year - 1) - leaps(first - 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The leap years of the Gregorian calendar: every fourth, of the hundreds only every fourth (common knowledge).
    #[test]
    fn days_are_those_of_the_calendar() {
        for (text, there) in [
            ("2000-02-29", true),
            ("2100-02-29", false),
            ("2024-02-29", true),
            ("2026-04-31", false),
            ("2026-12-31", true),
            ("2026-13-01", false),
            ("2026-00-10", false),
            ("1969-12-31", false),
            ("2026-1-1", false),
            ("2026-01-01-01", false),
            ("+026-01-01", false),
            ("tomorrow", false),
        ] {
            assert_eq!(Day::parse(text).is_some(), there, "{text}");
        }
    }

    /// Days since 1970, as a Unix clock counts them: 10957 at the beginning of 2000, 19723 at that of 2024 (from memory,
    /// 946684800 s and 1704067200 s).
    #[test]
    fn days_are_counted_as_a_unix_clock_counts_them() {
        let since = |text| Day::parse(text).unwrap().since_1970();
        assert_eq!(since("1970-01-01"), 0);
        assert_eq!(since("2000-01-01"), 946_684_800 / 86_400);
        assert_eq!(since("2024-01-01"), 1_704_067_200 / 86_400);
        assert_eq!(since("2024-03-01") - since("2024-02-28"), 2);
    }

    #[test]
    fn every_day_is_found_again_by_its_number() {
        for days in (0..200_000).step_by(17) {
            assert_eq!(Day::after_1970(days).unwrap().since_1970(), days);
        }
        assert_eq!(Day::after_1970(u32::MAX), None);
    }
}
