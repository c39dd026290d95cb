//! A small picture of a keyboard with fingers on its keys.

use super::Face;
use super::hands::ink;
use super::page::{Area, Ink, Item, Mark, Point};
use super::words::{Type, line};
use theory::{Hand, MidiKey};

/// A finger on a key.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Touch {
    /// The key.
    pub key: MidiKey,
    /// Whose.
    pub hand: Hand,
    /// The finger as paper has it, `5-4` where one takes over.
    pub finger: String,
}

/// A stretch of keys that begins and ends with a white one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Keyboard {
    low: u8,
    high: u8,
    /// The width of a white key in points.
    key: f32,
}

/// How long keys are, in widths of a white one.
const LONG: f32 = 3.7;
/// How long black ones are.
const SHORT: f32 = 2.3;
/// How wide black ones are.
const NARROW: f32 = 0.62;

impl Keyboard {
    /// From somewhat below the lowest touched key to somewhat above the highest; `None` without any. Its keys are as wide
    /// as `key`, or less where it would be wider than `room`.
    pub fn around(touches: &[Touch], key: f32, room: f32) -> Option<Keyboard> {
        let low = touches.iter().map(|touch| touch.key.number()).min()?;
        let high = touches.iter().map(|touch| touch.key.number()).max()?;
        let mut board = Keyboard { low: white(low, -1, 1), high: white(high, 1, 1), key };
        while board.whites() < 10 && board.high < 126 {
            board.high = white(board.high, 1, 1);
        }
        board.key = key.min(room / board.whites() as f32);
        Some(board)
    }

    /// How wide it is.
    pub fn width(self) -> f32 {
        self.key * self.whites() as f32
    }

    /// How high it is, with the names of the Cs under it.
    pub fn height(self) -> f32 {
        LONG * self.key + 8.0
    }

    fn whites(self) -> usize {
        (self.low..=self.high).filter(|key| !is_black(*key)).count()
    }

    /// Draws it with its upper left corner at `at`.
    pub fn draw(self, at: Point, touches: &[Touch]) -> Vec<Item> {
        let mut items = Vec::new();
        for black in [false, true] {
            for key in (self.low..=self.high).filter(|key| is_black(*key) == black) {
                let touch = touches.iter().find(|touch| touch.key.number() == key);
                self.draw_key(at, key, touch, &mut items);
            }
        }
        let edge = Area::new(at.x, at.y, at.x + self.width(), at.y + LONG * self.key);
        items.push(Item::Mark(Mark::square(edge, None, Some((0.7, Ink::Black)))));
        items.extend(self.names(at));
        items
    }

    fn draw_key(self, at: Point, key: u8, touch: Option<&Touch>, items: &mut Vec<Item>) {
        let area = self.area(at, key);
        let black = is_black(key);
        let fill = if black { Ink::Black } else { Ink::White };
        items.push(Item::Mark(Mark::square(area, Some(fill), Some((0.5, Ink::Quiet)))));
        let Some(touch) = touch else { return };
        let radius = if black { 0.44 } else { 0.40 } * self.key;
        let middle = Point::new(0.5 * (area.left + area.right), area.bottom - radius - 0.16 * self.key);
        let how = Type::new(Face::Bold, 0.66 * self.key, Ink::White);
        let finger = line(&touch.finger, how);
        // Two fingers on one key need a longer mark.
        let half = radius.max(0.5 * finger.width + 0.1 * self.key).min(0.5 * self.key);
        let mark = Area::new(middle.x - half, middle.y - radius, middle.x + half, middle.y + radius);
        let edge = black.then_some((0.8, Ink::White));
        let fill = Some(ink(touch.hand));
        items.push(Item::Mark(match touch.hand {
            Hand::Right => Mark::round(mark, fill, edge),
            Hand::Left => Mark::square(mark, fill, edge),
        }));
        let finger = if finger.width > 2.0 * half {
            line(&touch.finger, Type { size: how.size * 1.9 * half / finger.width, ..how })
        } else {
            finger
        };
        let size = finger.runs.first().map_or(0.0, |run| run.size);
        let place = Point::new(middle.x - 0.5 * finger.width, middle.y + 0.36 * size);
        items.push(Item::Words(finger.at(place, mark)));
    }

    /// Each C by its name.
    fn names(self, at: Point) -> Vec<Item> {
        let how = Type::new(Face::Sans, 5.5, Ink::Quiet);
        let cs = (self.low..=self.high).filter(|key| key % 12 == 0);
        let name = |key: u8| {
            let area = self.area(at, key);
            let text = MidiKey::new(key).map(|key| key.pitch().to_string()).unwrap_or_default();
            let text = line(&text, how);
            let x = 0.5 * (area.left + area.right - text.width);
            Item::Words(text.set(Point::new(x, area.bottom + 6.5)))
        };
        cs.map(name).collect()
    }

    fn area(self, at: Point, key: u8) -> Area {
        let before = (self.low..key).filter(|key| !is_black(*key)).count() as f32;
        let x = at.x + self.key * before;
        if is_black(key) {
            let half = 0.5 * NARROW * self.key;
            Area::new(x - half, at.y, x + half, at.y + SHORT * self.key)
        } else {
            Area::new(x, at.y, x + self.key, at.y + LONG * self.key)
        }
    }
}

/// What a picture shows, in words: `right hand D4 finger 1, F♯4 finger 3`.
pub(crate) fn in_words(touches: &[Touch]) -> String {
    let hand = |hand: Hand| {
        let one = |touch: &Touch| format!("{} finger {}", touch.key.pitch().pretty(), touch.finger);
        let of_hand: Vec<String> = touches.iter().filter(|touch| touch.hand == hand).map(one).collect();
        (!of_hand.is_empty()).then(|| format!("{} hand {}", hand.name(), of_hand.join(", ")))
    };
    Hand::BOTH.into_iter().filter_map(hand).collect::<Vec<_>>().join("; ")
}

fn is_black(key: u8) -> bool {
    matches!(key % 12, 1 | 3 | 6 | 8 | 10)
}

/// So many white keys away from a key.
fn white(key: u8, step: i8, count: u8) -> u8 {
    let mut at = key;
    let mut left = count;
    while left > 0 && (1..127).contains(&at) {
        at = at.saturating_add_signed(step);
        left -= u8::from(!is_black(at));
    }
    at
}
