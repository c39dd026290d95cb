//! What `scale` and `arpeggio` have in common: both hands' fingers through some octaves, and where they cross.

use super::args::Run;
use super::table::lined_up;
use serde::Serialize;
use theory::{Crossing, CrossingKind, Finger, Hand, Pitch, ScaleFingers};

/// A run with both hands' fingers.
pub struct Fingered {
    /// Going up.
    pub up: Vec<Pitch>,
    /// Going down, in playing order.
    pub down: Vec<Pitch>,
    /// Whether the way down has other notes than the way up.
    pub comes_down_otherwise: bool,
    /// The right hand's fingers.
    pub right: ScaleFingers,
    /// The left hand's.
    pub left: ScaleFingers,
}

/// One hand as JSON.
#[derive(Serialize)]
pub struct FingersJson {
    up: Vec<u8>,
    #[serde(skip_serializing_if = "Option::is_none")]
    down: Option<Vec<u8>>,
    crossings_up: Vec<CrossingJson>,
    crossings_down: Vec<CrossingJson>,
    source: &'static str,
    published: bool,
}

#[derive(Serialize)]
struct CrossingJson {
    from: usize,
    to: usize,
    kind: &'static str,
    finger: u8,
}

/// Contrary motion as JSON: what each hand plays, note by note, outwards and back.
#[derive(Serialize)]
pub struct ContraryJson {
    right: Vec<PlayedJson>,
    left: Vec<PlayedJson>,
}

#[derive(Serialize)]
struct PlayedJson {
    note: String,
    finger: u8,
}

impl Fingered {
    /// A hand's fingers.
    pub fn of(&self, hand: Hand) -> &ScaleFingers {
        match hand {
            Hand::Right => &self.right,
            Hand::Left => &self.left,
        }
    }

    /// A hand as JSON, if it was asked for.
    pub fn json(&self, hand: Hand, run: Run) -> Option<FingersJson> {
        let fingers = self.of(hand);
        let numbers = |fingers: &[Finger]| fingers.iter().map(|f| f.number()).collect();
        let crossings = |crossings: &[Crossing]| crossings.iter().map(crossing_json).collect();
        run.hand.hands().has(hand).then(|| FingersJson {
            up: numbers(&fingers.up),
            down: self.comes_down_otherwise.then(|| numbers(&fingers.down)),
            crossings_up: crossings(&fingers.crossings_up),
            crossings_down: crossings(&fingers.crossings_down),
            source: fingers.source.text(),
            published: fingers.source.is_published(),
        })
    }

    /// Contrary motion as JSON, if it was asked for.
    pub fn contrary_json(&self, run: Run) -> Option<ContraryJson> {
        let of = |hand| {
            let played = |(pitch, finger): (Pitch, Finger)| PlayedJson {
                note: pitch.name.to_string(),
                finger: finger.number(),
            };
            if run.hand.hands().has(hand) {
                self.outwards(hand).into_iter().map(played).collect()
            } else {
                Vec::new()
            }
        };
        run.contrary.then(|| ContraryJson { right: of(Hand::Right), left: of(Hand::Left) })
    }

    /// What a hand plays in contrary motion, out and back, the turn once.
    fn outwards(&self, hand: Hand) -> Vec<(Pitch, Finger)> {
        let fingers = self.of(hand);
        let up = || self.up.iter().copied().zip(fingers.up.iter().copied());
        let down = || self.down.iter().copied().zip(fingers.down.iter().copied());
        match hand {
            Hand::Right => up().chain(down().skip(1)).collect(),
            Hand::Left => down().chain(up().skip(1)).collect(),
        }
    }

    /// The table of notes and fingers, the crossings in words, and where the fingers are from.
    pub fn text(&self, run: Run) -> String {
        let hands: Vec<Hand> = Hand::BOTH.into_iter().filter(|hand| run.hand.hands().has(*hand)).collect();
        let mut out = if run.contrary { self.contrary(&hands) } else { self.together(&hands) };
        let rising_down: Vec<Pitch> = self.down.iter().rev().copied().collect();
        for hand in &hands {
            let fingers = self.of(*hand);
            out += &format!("\n{} hand\n", if *hand == Hand::Right { "Right" } else { "Left" });
            out += &crossings("going up", &fingers.crossings_up, &self.up);
            out += &crossings("going down", &fingers.crossings_down, &rising_down);
        }
        let mut sources: Vec<&str> = hands.iter().map(|hand| self.of(*hand).source.text()).collect();
        sources.dedup();
        out + &format!("\nFingers: {}\n", sources.join("; "))
    }

    fn together(&self, hands: &[Hand]) -> String {
        let rows = |way: &str, pitches: &[Pitch], fingers: &dyn Fn(Hand) -> Vec<Finger>| {
            let names = row(way, pitches.iter().map(|pitch| pitch.name.to_string()));
            let of = |hand: &Hand| row(hand.name(), fingers(*hand).iter().map(|f| f.to_string()));
            let rows: Vec<Vec<String>> = std::iter::once(names).chain(hands.iter().map(of)).collect();
            lined_up(&rows).join("\n") + "\n"
        };
        let way = if self.comes_down_otherwise { "up" } else { "notes" };
        let mut out = rows(way, &self.up, &|hand| self.of(hand).up.clone());
        if self.comes_down_otherwise {
            out += &format!("\n{}", rows("down", &self.down, &|hand| self.of(hand).down.clone()));
        }
        out
    }

    fn contrary(&self, hands: &[Hand]) -> String {
        let rows = hands.iter().flat_map(|hand| {
            let notes = self.outwards(*hand);
            let names = row(hand.name(), notes.iter().map(|(pitch, _)| pitch.name.to_string()));
            [names, row("", notes.iter().map(|(_, finger)| finger.to_string()))]
        });
        lined_up(&rows.collect::<Vec<_>>()).join("\n") + "\n"
    }
}

fn row(name: &str, cells: impl Iterator<Item = String>) -> Vec<String> {
    std::iter::once(format!("  {name}")).chain(cells).collect()
}

fn crossing_json(crossing: &Crossing) -> CrossingJson {
    CrossingJson {
        from: crossing.from,
        to: crossing.to,
        kind: crossing.kind.name(),
        finger: crossing.finger.number(),
    }
}

fn crossings(way: &str, crossings: &[Crossing], rising: &[Pitch]) -> String {
    let name = |at: usize| rising.get(at).map(|pitch| pitch.name.to_string()).unwrap_or_default();
    let told = |c: &Crossing| {
        let finger = c.finger.number();
        let how = match c.kind {
            CrossingKind::ThumbUnder => format!("thumb under {finger}"),
            CrossingKind::FingerOver => format!("{finger} over the thumb"),
        };
        format!("{} to {}: {how}", name(c.from), name(c.to))
    };
    let all: Vec<String> = crossings.iter().map(told).collect();
    let all = if all.is_empty() { "no crossing".to_owned() } else { all.join(", ") };
    format!("  {way}: {all}\n")
}
