//! A pass as a line of text: JSON, with its version and a sum that tells whether the line is as it was written.
//!
//! ```text
//! {"v":1,"sum":"9a3f…","pass":{"at":1795641120000,"zone":60,"song":{"id":…,"title":"…"},…}}
//! ```
//!
//! The sum is FNV-1a over the bytes of the pass. Fields that are missing take their default, and unknown ones are left
//! alone, so that lines of older and newer programs of the same version open. A line of a higher version is kept as it is.
//!
//! Lines of the first programs have no `changes`; they are found in the strikes of their bars. The version stays: nothing that
//! was written means anything else, and those programs go on reading what this one writes.

use practice::history::{
    About, BarPassed, ChangePassed, Guess, Help, How, Marks, Moment, PassRecord, Purpose, SongName,
    StrikePassed,
};
use practice::{Hands, Speed};
use serde::{Deserialize, Serialize};
use song::Fingerprint;
use theory::Hand;

/// The version that is written.
const VERSION: u32 = 1;

/// What a line of a history file is.
#[derive(Clone, Debug, PartialEq)]
pub enum Line {
    /// A pass.
    Pass(Box<PassRecord>),
    /// Written by a program that is newer than this one.
    Newer,
    /// Not a line of a history, or not as it was written.
    Damaged,
}

/// A pass as a line, with its end.
pub fn to_line(record: &PassRecord) -> String {
    let body = serde_json::to_string(&Pass::of(record)).expect("mirror types hold nothing that JSON cannot");
    format!("{{\"v\":{VERSION},\"sum\":\"{:016x}\",\"pass\":{body}}}\n", sum(body.as_bytes()))
}

/// What a line, without its end, holds.
pub fn of_line(line: &[u8]) -> Line {
    let Ok(text) = std::str::from_utf8(line) else { return Line::Damaged };
    match version(text) {
        Some(VERSION) => {}
        Some(version) if version > VERSION && text.ends_with('}') => return Line::Newer,
        _ => return Line::Damaged,
    }
    let pass = body(text).and_then(|body| serde_json::from_str::<Pass>(body).ok());
    pass.and_then(Pass::record).map_or(Line::Damaged, |record| Line::Pass(Box::new(record)))
}

/// Passes as one JSON document, newest last.
pub fn to_document(records: &[PassRecord]) -> impl Serialize {
    Document { format: VERSION, passes: records.iter().map(Pass::of).collect() }
}

fn version(text: &str) -> Option<u32> {
    let digits = text.strip_prefix("{\"v\":")?;
    digits[..digits.find(',')?].parse().ok()
}

/// The pass in a line, if the sum is right.
fn body(text: &str) -> Option<&str> {
    let rest = text.split_once("\"sum\":\"")?.1;
    let (written, rest) = rest.split_once('"')?;
    let body = rest.strip_prefix(",\"pass\":")?.strip_suffix('}')?;
    (u64::from_str_radix(written, 16).ok()? == sum(body.as_bytes())).then_some(body)
}

/// FNV-1a, 64 bits: <https://www.rfc-editor.org/rfc/rfc9923>.
fn sum(bytes: &[u8]) -> u64 {
    let step = |hash: u64, byte: &u8| (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, step)
}

#[derive(Serialize)]
struct Document {
    format: u32,
    passes: Vec<Pass>,
}

#[derive(Serialize, Deserialize)]
struct Pass {
    at: i64,
    #[serde(default)]
    zone: i16,
    song: Song,
    key: String,
    speed: f64,
    #[serde(default = "both")]
    hands: String,
    #[serde(default, skip_serializing_if = "is_false")]
    stopped: bool,
    #[serde(default)]
    seconds: f64,
    #[serde(default)]
    purpose: PurposeName,
    #[serde(default)]
    help: HelpName,
    #[serde(default)]
    marks: MarksName,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    guess: Option<GuessName>,
    /// Sixteen digits for each bar of the song.
    #[serde(default)]
    layout: String,
    #[serde(default)]
    bars: Vec<Bar>,
    /// Always written; missing where the program that wrote it did not know of changes.
    changes: Option<Vec<Change>>,
}

#[derive(Serialize, Deserialize)]
struct Song {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    id: Option<String>,
    title: String,
}

#[derive(Serialize, Deserialize)]
struct Bar {
    bar: usize,
    clean: bool,
    /// Clean where another inversion or octave counts; left out where it is the same.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    clean_in_time: Option<bool>,
    expected: usize,
    matched: usize,
    #[serde(default)]
    extra: usize,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pedal: Option<bool>,
    #[serde(default)]
    strikes: Vec<Strike>,
}

/// A change into a chord: a hand that did not strike is left out.
#[derive(Serialize, Deserialize)]
struct Change {
    bar: usize,
    chord: usize,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    right: Option<bool>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    left: Option<bool>,
}

#[derive(Serialize, Deserialize)]
struct Strike {
    hand: HandName,
    chord: usize,
    #[serde(default, skip_serializing_if = "is_false")]
    first: bool,
    #[serde(default, skip_serializing_if = "is_hit")]
    how: HowName,
    #[serde(default, skip_serializing_if = "is_false")]
    not_in_time: bool,
    #[serde(default, skip_serializing_if = "is_false")]
    apart: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    ms: Option<f64>,
}

/// Words that stand for a value, both ways.
macro_rules! words {
    ($name:ident for $of:ty { $first:ident $(, $other:ident)* $(,)? }) => {
        #[derive(Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
        #[serde(rename_all = "kebab-case")]
        enum $name { #[default] $first $(, $other)* }
        impl $name {
            fn of(value: $of) -> $name {
                match value { <$of>::$first => $name::$first $(, <$of>::$other => $name::$other)* }
            }
            fn value(self) -> $of {
                match self { $name::$first => <$of>::$first $(, $name::$other => <$of>::$other)* }
            }
        }
    };
}

words!(HandName for Hand { Right, Left });
words!(HowName for How { Hit, OtherPosition, Missed });
words!(PurposeName for Purpose { Free, Survey, Drill, AskedAgain, Join, RunThrough });
words!(HelpName for Help { Full, Numbers, Sections, Nothing });
words!(MarksName for Marks { While, After });
words!(GuessName for Guess { Clean, Slips, NotYet });

impl Pass {
    fn of(record: &PassRecord) -> Pass {
        let PassRecord { at, song, key, speed, hands, stopped, seconds, about, layout, bars, changes } =
            record;
        Pass {
            at: at.unix_ms,
            zone: at.zone_minutes,
            song: Song { id: song.id.clone(), title: song.title.clone() },
            key: key.to_string(),
            speed: speed.percent(),
            hands: hands.name().to_owned(),
            stopped: *stopped,
            seconds: rounded(*seconds),
            purpose: PurposeName::of(about.purpose),
            help: HelpName::of(about.help),
            marks: MarksName::of(about.marks),
            guess: about.guess.map(GuessName::of),
            layout: layout.iter().map(|bar| format!("{:016x}", bar.0)).collect(),
            bars: bars.iter().map(Bar::of).collect(),
            changes: Some(changes.iter().map(Change::of).collect()),
        }
    }

    /// `None` where it holds what no pass can hold.
    fn record(self) -> Option<PassRecord> {
        let guess = self.guess.map(GuessName::value);
        let bars: Vec<BarPassed> = self.bars.into_iter().map(Bar::passed).collect();
        let purpose = self.purpose.value();
        let changes = match self.changes {
            Some(changes) => changes.into_iter().map(Change::passed).collect(),
            // These were always led into from the bar before.
            None => ChangePassed::of_bars(&bars, matches!(purpose, Purpose::Drill | Purpose::AskedAgain)),
        };
        Some(PassRecord {
            at: Moment { unix_ms: self.at, zone_minutes: self.zone },
            song: SongName { id: self.song.id, title: self.song.title },
            key: self.key.parse().ok()?,
            speed: Speed::new(self.speed)?,
            hands: [Hands::Both, Hands::Right, Hands::Left].into_iter().find(|h| h.name() == self.hands)?,
            stopped: self.stopped,
            seconds: self.seconds,
            about: About { purpose, help: self.help.value(), marks: self.marks.value(), guess },
            layout: layout(&self.layout)?,
            bars,
            changes,
        })
    }
}

impl Bar {
    fn of(bar: &BarPassed) -> Bar {
        Bar {
            bar: bar.bar,
            clean: bar.clean,
            clean_in_time: (bar.clean_in_time != bar.clean).then_some(bar.clean_in_time),
            expected: bar.expected,
            matched: bar.matched,
            extra: bar.extra,
            pedal: bar.pedal,
            strikes: bar.strikes.iter().map(Strike::of).collect(),
        }
    }

    fn passed(self) -> BarPassed {
        BarPassed {
            bar: self.bar,
            clean: self.clean,
            clean_in_time: self.clean_in_time.unwrap_or(self.clean),
            expected: self.expected,
            matched: self.matched,
            extra: self.extra,
            pedal: self.pedal,
            strikes: self.strikes.into_iter().map(Strike::passed).collect(),
        }
    }
}

impl Change {
    fn of(change: &ChangePassed) -> Change {
        let ChangePassed { bar, slot, right, left } = *change;
        Change { bar, chord: slot, right, left }
    }

    fn passed(self) -> ChangePassed {
        ChangePassed { bar: self.bar, slot: self.chord, right: self.right, left: self.left }
    }
}

impl Strike {
    fn of(strike: &StrikePassed) -> Strike {
        Strike {
            hand: HandName::of(strike.hand),
            chord: strike.slot,
            first: strike.first,
            how: HowName::of(strike.how),
            not_in_time: !strike.in_time,
            apart: !strike.together,
            ms: strike.beside_ms.map(rounded),
        }
    }

    fn passed(self) -> StrikePassed {
        StrikePassed {
            hand: self.hand.value(),
            slot: self.chord,
            first: self.first,
            how: self.how.value(),
            in_time: !self.not_in_time,
            together: !self.apart,
            beside_ms: self.ms,
        }
    }
}

fn layout(digits: &str) -> Option<Vec<Fingerprint>> {
    let bars = digits.as_bytes().chunks(16).map(|bar| std::str::from_utf8(bar).ok());
    bars.map(|bar| bar.and_then(|bar| u64::from_str_radix(bar, 16).ok()).map(Fingerprint)).collect()
}

fn rounded(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn both() -> String {
    Hands::Both.name().to_owned()
}

fn is_false(value: &bool) -> bool {
    !value
}

fn is_hit(how: &HowName) -> bool {
    *how == HowName::Hit
}

#[cfg(test)]
pub mod tests {
    use super::*;

    /// A pass of the third and fourth of five bars, number so many of a row.
    pub fn record(number: i64) -> PassRecord {
        let strike = |slot, how| StrikePassed {
            hand: Hand::Left,
            slot,
            first: true,
            how,
            in_time: how == How::Hit,
            together: true,
            beside_ms: (how == How::Hit).then_some(-12.5),
        };
        let bar = |bar, clean| BarPassed {
            bar,
            clean,
            clean_in_time: true,
            expected: 8,
            matched: 7,
            extra: 1,
            pedal: Some(false),
            strikes: vec![strike(0, How::Hit), strike(1, How::Missed), strike(2, How::OtherPosition)],
        };
        let change = |bar, slot| ChangePassed { bar, slot, right: None, left: Some(true) };
        PassRecord {
            at: Moment { unix_ms: 1_795_641_120_000 + number, zone_minutes: 60 },
            song: SongName { id: Some("k3v9".into()), title: "Weir \"and\" Lock".into() },
            key: "Eb major".parse().unwrap(),
            speed: Speed::clamped(72.0),
            hands: Hands::Left,
            stopped: true,
            seconds: 12.5,
            about: About {
                purpose: Purpose::AskedAgain,
                help: Help::Numbers,
                marks: Marks::After,
                guess: Some(Guess::Slips),
            },
            layout: (0..5).map(|bar| Fingerprint(u64::MAX / 7 * bar)).collect(),
            bars: vec![bar(2, false), bar(3, true)],
            // By hand: each first strike of the left hand, in bars that were clean for time and led into.
            changes: [2, 3].into_iter().flat_map(|bar| [0, 1, 2].map(|slot| change(bar, slot))).collect(),
        }
    }

    fn read(line: &str) -> Line {
        of_line(line.trim_end().as_bytes())
    }

    #[test]
    fn a_pass_comes_back_as_it_was_written() {
        let line = to_line(&record(0));
        assert!(line.ends_with("}\n") && line.matches('\n').count() == 1);
        assert_eq!(read(&line), Line::Pass(Box::new(record(0))));
        let change = ChangePassed { bar: 4, slot: 0, right: Some(false), left: Some(true) };
        for changes in [vec![change], Vec::new()] {
            let alone = PassRecord { changes, bars: Vec::new(), ..record(0) };
            assert_eq!(read(&to_line(&alone)), Line::Pass(Box::new(alone)), "changes without a bar, or none");
        }
    }

    #[test]
    fn any_byte_that_is_another_one_is_noticed() {
        let line = to_line(&record(0));
        let line = line.trim_end().as_bytes();
        for at in 0..line.len() {
            let mut other = line.to_vec();
            other[at] ^= 0x10;
            assert_ne!(of_line(&other), of_line(line), "byte {at}");
        }
        (0..line.len()).for_each(|end| assert_eq!(of_line(&line[..end]), Line::Damaged, "cut at {end}"));
    }

    #[test]
    fn a_line_of_a_newer_program_is_known_as_such() {
        assert_eq!(read(r#"{"v":2,"anything":[1]}"#), Line::Newer);
        assert_eq!(read(r#"{"v":0,"anything":[1]}"#), Line::Damaged);
        assert_eq!(read("take care"), Line::Damaged);
    }

    // Read and found right: what version 1 writes. It is never changed, so that it opens for ever.
    #[test]
    fn a_line_of_the_first_version_opens() {
        let old = include_str!("../../../../tests/reference/history-v1.jsonl");
        let lines: Vec<Line> = old.lines().map(read).collect();
        let Line::Pass(full) = &lines[0] else { panic!("the first line is a pass") };
        assert_eq!(**full, record(0));
        let Line::Pass(bare) = &lines[1] else { panic!("a line with only what must be there is a pass") };
        assert_eq!((bare.hands, bare.about, bare.bars.len()), (Hands::Both, About::default(), 0));
        assert!(bare.changes.is_empty());
    }
}
