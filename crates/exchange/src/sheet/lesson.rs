//! The lesson sheet: the scale of the key with its fingers, each new shape on a small keyboard, and the reasons.

use super::flow::{Chunk, Frame, text};
use super::hands::{ink, mark};
use super::keys::{Keyboard, Touch, in_words};
use super::page::{Area, Block, Ink, Item, Mark, Point, Role};
use super::section::capital;
use super::symbol::symbol;
use super::words::{Line, Type, line, paragraph};
use super::{Face, Naming};
use song::SlotKind;
use theory::{Crossing, CrossingKind, Finger, Hand, Pitch, Scale, ScaleFingers};
use voicing::{Part, PartChord, Reason};

/// Short, and deferring to those who know the hand.
const HEALTH: &str = "Stop at pain, numbness or tingling, and never force a stretch: set a smaller reach instead. Rest a \
                      few minutes in every half hour. Where something hurts, ask a teacher or a clinician.";

/// The lesson sheet without its head.
pub(crate) fn lesson(part: &Part, naming: Naming, frame: Frame) -> Vec<Chunk> {
    let mut chunks = scale(part, frame);
    chunks.extend(heading("Each new shape, where it first comes", frame));
    for shape in shapes(part) {
        chunks.push(card(part, &shape, naming, frame));
    }
    chunks.extend(super::head::remark(HEALTH, frame));
    chunks
}

fn heading(words: &str, frame: Frame) -> Vec<Chunk> {
    let how = Type::new(Face::Italic, 13.0, Ink::Black);
    let role = Role::Heading(words.to_owned());
    let mut chunks = text(words, how, role, frame.left, frame.right, 14.0);
    chunks.iter_mut().for_each(|chunk| chunk.with_next = true);
    chunks
}

// ---- the scale

fn scale(part: &Part, frame: Frame) -> Vec<Chunk> {
    let scale = Scale::from(part.key);
    let fingers = Hand::BOTH.map(|hand| scale.fingers(hand, 1));
    let [Some(right), Some(left)] = fingers else { return Vec::new() };
    // The scale lies around middle C for the right hand, an octave lower for the left.
    let octave = if part.key.tonic().pitch_class() >= 8 { 3 } else { 4 };
    let pitches = [octave, octave - 1].map(|octave| scale.pitches_up(octave, 1));
    let mut chunks = heading(&format!("The scale of {}", scale.pretty()), frame);
    chunks.push(table(&pitches[0], [&right, &left], frame).with_next());
    let quiet = Type::new(Face::Sans, 9.0, Ink::Black);
    for (hand, fingers) in Hand::BOTH.into_iter().zip([&right, &left]) {
        let said = crossings(&pitches[0], fingers);
        let said = format!("{} hand, going up: {said}.", capital(hand.name()));
        let mut said = text(&said, quiet, Role::Text, frame.left, frame.right, 2.0);
        said.iter_mut().for_each(|chunk| chunk.with_next = true);
        chunks.extend(said);
    }
    chunks.push(pictures(&pitches, [&right, &left], frame));
    let source = format!("Fingers: {}.", right.source.text());
    let how = Type::new(Face::Sans, 8.0, Ink::Quiet);
    if let Some(last) = chunks.last_mut() {
        last.with_next = true;
    }
    chunks.extend(text(&source, how, Role::Text, frame.left, frame.right, 3.0));
    chunks
}

/// Note names with both hands' fingers under them; a bow where the hand crosses.
fn table(pitches: &[Pitch], fingers: [&ScaleFingers; 2], frame: Frame) -> Chunk {
    const COLUMN: f32 = 42.0;
    const LINE: f32 = 19.0;
    let left = frame.left + 62.0;
    let mut items = Vec::new();
    let x = |index: usize| left + COLUMN * index as f32;
    let name = Type::new(Face::Serif, 12.0, Ink::Black);
    let label = Type::new(Face::Italic, 9.5, Ink::Quiet);
    for (index, pitch) in pitches.iter().enumerate() {
        let text = line(&pitch.name.pretty(), name);
        let at = Point::new(x(index) - 0.5 * text.width, 13.0);
        items.push(Item::Words(text.saying(format!("{} ", pitch.name.pretty())).set(at)));
    }
    for (row, (hand, fingers)) in Hand::BOTH.into_iter().zip(fingers).enumerate() {
        let base = 13.0 + LINE * (row + 1) as f32 + 3.0;
        items.push(Item::Words(line(&format!("{} ", hand.name()), label).set(Point::new(frame.left, base))));
        for (index, finger) in fingers.up.iter().enumerate() {
            items.extend(finger_mark(*finger, hand, Point::new(x(index), base - 3.4)));
        }
        for crossing in &fingers.crossings_up {
            let (from, to) = (x(crossing.from) + 8.5, x(crossing.to) - 8.5);
            items.push(Item::Mark(Mark::open(
                &[Point::new(from, base - 3.4), Point::new(to, base - 3.4)],
                0.8,
                ink(hand),
            )));
            let tip = Point::new(to, base - 3.4);
            let barb = [Point::new(tip.x - 4.0, tip.y - 2.5), tip, Point::new(tip.x - 4.0, tip.y + 2.5)];
            items.push(Item::Mark(Mark::open(&barb, 0.8, ink(hand))));
        }
    }
    Chunk::new(vec![Block { role: Role::Text, items }], 13.0 + 2.0 * LINE + 12.0).below(2.0)
}

/// A finger in its hand's mark, in the middle of `at`.
fn finger_mark(finger: Finger, hand: Hand, at: Point) -> [Item; 2] {
    let text = line(&format!("{finger} "), Type::new(Face::Bold, 9.0, ink(hand)));
    let area = Area::new(at.x - 7.0, at.y - 7.0, at.x + 7.0, at.y + 7.0);
    let wide = line(&finger.to_string(), Type::new(Face::Bold, 9.0, ink(hand))).width;
    let place = Point::new(at.x - 0.5 * wide, at.y + 3.3);
    [Item::Mark(mark(hand, area)), Item::Words(text.at(place, area))]
}

/// `the thumb under 3 from F♯ to G`.
fn crossings(pitches: &[Pitch], fingers: &ScaleFingers) -> String {
    let name = |index: usize| pitches.get(index).map(|pitch| pitch.name.pretty()).unwrap_or_default();
    let one = |crossing: &Crossing| {
        let (from, to) = (name(crossing.from), name(crossing.to));
        match crossing.kind {
            CrossingKind::ThumbUnder => format!("the thumb under {} from {from} to {to}", crossing.finger),
            CrossingKind::FingerOver => format!("{} over the thumb from {from} to {to}", crossing.finger),
        }
    };
    match fingers.crossings_up.as_slice() {
        [] => "no crossing within one octave".to_owned(),
        some => some.iter().map(one).collect::<Vec<_>>().join(", then "),
    }
}

/// One octave for each hand.
fn pictures(pitches: &[Vec<Pitch>; 2], fingers: [&ScaleFingers; 2], frame: Frame) -> Chunk {
    let mut blocks = Vec::new();
    let mut height = 0.0f32;
    let half = 0.5 * (frame.right - frame.left) - 12.0;
    for (index, (hand, fingers)) in Hand::BOTH.into_iter().zip(fingers).enumerate() {
        let touch = |(pitch, finger): (&Pitch, &Finger)| {
            pitch.key().map(|key| Touch { key, hand, finger: finger.to_string() })
        };
        let touches: Vec<Touch> = pitches[index].iter().zip(&fingers.up).filter_map(touch).collect();
        let Some(board) = Keyboard::around(&touches, 17.0, half) else { continue };
        let x = if index == 0 { frame.left } else { frame.left + half + 24.0 };
        let items = board.draw(Point::new(x, 0.0), &touches);
        height = height.max(board.height());
        blocks.push(Block { role: Role::Picture(in_words(&touches)), items });
    }
    Chunk::new(blocks, height).below(8.0)
}

// ---- the shapes

/// A shape with the places where it comes.
struct NewShape<'a> {
    chord: &'a PartChord,
    slot: &'a song::Slot,
    places: Vec<(usize, u32)>,
}

/// What tells one shape from another: the chord as written, and both hands' keys.
type Identity<'a> = (&'a str, Vec<u8>, Vec<u8>);

/// The shapes of a part as they first come.
fn shapes(part: &Part) -> Vec<NewShape<'_>> {
    let mut known: std::collections::HashMap<Identity<'_>, usize> = std::collections::HashMap::new();
    let mut shapes: Vec<NewShape<'_>> = Vec::new();
    for bar in &part.bars {
        for (slot, chord) in bar.played.slots.iter().zip(&bar.chords) {
            let is_chord = matches!(slot.kind, SlotKind::Chord { .. });
            if !is_chord || touches(chord).is_empty() {
                continue;
            }
            let keys = |hand: Hand| chord.hand(hand).notes.iter().map(|note| note.key.number()).collect();
            let identity = (slot.symbol.as_str(), keys(Hand::Right), keys(Hand::Left));
            let index = *known.entry(identity).or_insert_with(|| {
                shapes.push(NewShape { chord, slot, places: Vec::new() });
                shapes.len() - 1
            });
            let place = (bar.played.section, bar.played.bar_in_section);
            if !shapes[index].places.contains(&place) && shapes[index].places.len() < 5 {
                shapes[index].places.push(place);
            }
        }
    }
    shapes
}

fn touches(chord: &PartChord) -> Vec<Touch> {
    let of_hand = |hand: Hand| {
        let notes = chord.hand(hand).notes.iter();
        notes.map(move |note| Touch { key: note.key, hand, finger: note.finger_text() })
    };
    Hand::BOTH.into_iter().flat_map(of_hand).collect()
}

/// A shape: its chord, picture and places at the left, the reasons at the right.
fn card(part: &Part, shape: &NewShape<'_>, naming: Naming, frame: Frame) -> Chunk {
    const PICTURE: f32 = 236.0;
    const TOP: f32 = 25.0;
    let touches = touches(shape.chord);
    let mut blocks = vec![title(shape, naming, frame)];
    let mut height = TOP;
    if let Some(board) = Keyboard::around(&touches, 11.5, PICTURE) {
        let items = board.draw(Point::new(frame.left, TOP), &touches);
        blocks.push(Block { role: Role::Picture(in_words(&touches)), items });
        height += board.height();
    }
    let how = Type::new(Face::Italic, 8.0, Ink::Quiet);
    let mut items = Vec::new();
    for text in paragraph(&places(part, shape), how, PICTURE) {
        let room = Area::new(frame.left - 1.0, height, frame.left + PICTURE + 3.0, height + how.leading());
        items.push(Item::Words(text.at(Point::new(frame.left, height + how.rise()), room)));
        height += how.leading();
    }
    blocks.push(Block { role: Role::Text, items });
    let (items, bottom) = reasons(shape.chord, frame.left + PICTURE + 16.0, frame.right, 6.0);
    if !items.is_empty() {
        blocks.push(Block { role: Role::Text, items });
    }
    Chunk::new(blocks, height.max(bottom)).below(9.0)
}

/// `5/7  A over C♯`.
fn title(shape: &NewShape<'_>, naming: Naming, frame: Frame) -> Block {
    const SIZE: f32 = 17.0;
    const BASE: f32 = 17.0;
    let SlotKind::Chord { chord, .. } = &shape.slot.kind else { return Block::new(Role::Text) };
    let bare = song::Slot {
        kind: SlotKind::Chord { chord: chord.clone(), push: false, diamond: false },
        dots: 0,
        ..shape.slot.clone()
    };
    let first = if naming == Naming::Letters { Naming::Letters } else { Naming::Numbers };
    let drawn = symbol(&bare, first, SIZE);
    let mut items = Vec::new();
    let x = frame.left + drawn.width + 9.0;
    let says = format!("{} ", drawn.line.says);
    let room = Area::new(frame.left - 2.0, 0.0, x, BASE + 0.4 * SIZE);
    items.push(Item::Words(drawn.line.saying(says).at(Point::new(frame.left, BASE), room)));
    if naming == Naming::Both {
        let name = line(&chord.pretty_name(), Type::new(Face::Sans, 10.5, Ink::Quiet));
        items.push(Item::Words(name.saying(format!("{} ", chord.name())).set(Point::new(x, BASE))));
    }
    Block { role: Role::Text, items }
}

/// `Intro bar 1, Verse bar 3, …`.
fn places(part: &Part, shape: &NewShape<'_>) -> String {
    let name = |section: usize| part.sections.get(section).map_or("", String::as_str);
    let one = |(section, bar): &(usize, u32)| format!("{} bar {bar}", name(*section));
    let shown: Vec<String> = shape.places.iter().take(4).map(one).collect();
    let more = if shape.places.len() > 4 { " and on" } else { "" };
    format!("{}{more}", shown.join(", "))
}

/// Each hand's reasons under its name; returns where they end.
fn reasons(chord: &PartChord, left: f32, right: f32, top: f32) -> (Vec<Item>, f32) {
    let mut items = Vec::new();
    let mut y = top;
    let hands = Hand::BOTH.into_iter().map(Some).chain([None]);
    for hand in hands {
        let said: Vec<String> = chord
            .why
            .iter()
            .filter(|reason| reason.hand == hand)
            .map(Reason::text)
            .map(|text| sentence(&text))
            .collect();
        if said.is_empty() {
            continue;
        }
        let how = Type::new(Face::Sans, 8.2, if hand.is_some() { Ink::Black } else { Ink::Quiet });
        let mut lines: Vec<Line> = Vec::new();
        if let Some(hand) = hand {
            let heading = format!("{} hand ", capital(hand.name()));
            lines.push(line(&heading, Type::new(Face::Bold, 8.2, ink(hand))));
        }
        lines.extend(paragraph(&said.join(" "), how, right - left));
        for text in lines {
            let room = Area::new(left - 1.0, y, right + 4.0, y + how.leading());
            items.push(Item::Words(text.at(Point::new(left, y + how.rise()), room)));
            y += how.leading();
        }
        y += 2.0;
    }
    (items, y)
}

/// With a capital and a full stop.
fn sentence(text: &str) -> String {
    let text = capital(text.trim());
    if text.ends_with(['.', '!', '?', ':']) { text } else { format!("{text}.") }
}
