//! What is marked on the keys: now, next, held, wrong; the right hand round, the left hand square.

use crate::stage::Stage;
use crate::theme::key_mark;
use crate::{Page, fonts, plain};
use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, pos2, vec2};
use practice::{KeyVerdict, Mode, StepBy};
use theory::{Finger, Hand, MidiKey};

/// How a hand's key is marked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// To be struck now: filled.
    Now,
    /// In the hand, not struck just now, or played by the program: a tint with an outline.
    InHand,
    /// Comes next: a dashed outline.
    Next,
}

/// All that is marked on one key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct KeyMark {
    /// The key.
    pub key: MidiKey,
    /// What a hand has to do with it.
    pub hand: Option<(Hand, Kind, Option<Finger>)>,
    /// What the player holds there.
    pub held: Option<KeyVerdict>,
}

impl KeyMark {
    /// `C♯2` with its finger, for keys beyond the edge.
    pub fn name(&self) -> String {
        let finger = self.hand.and_then(|(_, _, f)| f).map(|f| format!(" ({})", f.number()));
        format!("{}{}", self.key.pitch().pretty(), finger.unwrap_or_default())
    }
}

/// The marks of this moment.
pub(crate) fn marks(stage: &Stage<'_>) -> Vec<KeyMark> {
    if stage.model.view.page == Page::Ways {
        return chosen(stage);
    }
    let mut marks: Vec<KeyMark> = Vec::new();
    let (now, passing) = sounding(stage);
    in_hand(stage, &now, &mut marks);
    for (key, hand, finger) in passing {
        put(&mut marks, key).hand = Some((hand, Kind::Now, Some(finger)));
    }
    next(stage, &mut marks);
    for held in &stage.model.session.held {
        put(&mut marks, held.key).held = Some(held.verdict);
    }
    if let Some(step) = &stage.model.session.step {
        for key in &step.wrong {
            put(&mut marks, *key).held = Some(KeyVerdict::Wrong);
        }
    }
    marks
}

/// On the page of other ways: the way that is shown, the other hand as it then is, and what is held to be pinned.
fn chosen(stage: &Stage<'_>) -> Vec<KeyMark> {
    let mut marks: Vec<KeyMark> = Vec::new();
    match shown_way(stage) {
        Some(way) => {
            // The hand that is shown last: a key that both want is its own.
            let other = if way.hand == Hand::Right { Hand::Left } else { Hand::Right };
            for (hand, kind, shape) in
                [(other, Kind::InHand, &way.other.beside), (way.hand, Kind::Now, &way.other.shape)]
            {
                for note in &shape.notes {
                    put(&mut marks, note.key).hand = Some((hand, kind, Some(note.finger)));
                }
            }
        }
        None => {
            for hand in Hand::BOTH {
                for note in shape(stage, stage.model.session.slot, hand) {
                    put(&mut marks, note.key).hand = Some((hand, Kind::InHand, Some(note.finger)));
                }
            }
        }
    }
    for key in &stage.model.choices.holding {
        put(&mut marks, *key).held = Some(KeyVerdict::Neutral);
    }
    marks
}

fn shown_way<'a>(stage: &Stage<'a>) -> Option<&'a crate::Way> {
    let way = stage.model.view.way.filter(|_| stage.model.view.page == Page::Ways)?;
    stage.model.choices.ways.as_ref()?.get(way)
}

fn put(marks: &mut Vec<KeyMark>, key: MidiKey) -> &mut KeyMark {
    let at = match marks.iter().position(|m| m.key == key) {
        Some(at) => at,
        None => {
            marks.push(KeyMark { key, hand: None, held: None });
            marks.len() - 1
        }
    };
    &mut marks[at]
}

type Passing = Vec<(MidiKey, Hand, Finger)>;

/// Keys struck at this moment, where single strikes count: while the clock runs, and stepping by strike. The second list
/// is keys that are not in the hand's shape.
fn sounding(stage: &Stage<'_>) -> (Option<Vec<(MidiKey, Hand)>>, Passing) {
    let session = stage.model.session;
    let (Some(part), Some(sheet)) = (stage.model.part, stage.model.sheet) else { return (None, Vec::new()) };
    let by_strike = session.settings.mode == Mode::Step && session.settings.step_by == StepBy::Strike;
    let events: Vec<&voicing::Event> = if session.running {
        let at = session.position.quarters;
        let first = part.events.partition_point(|e| (e.start + sheet.longest).to_f64() < at);
        let upto = part.events.partition_point(|e| e.start.to_f64() <= at + 1e-6);
        // Counting into a later bar, the one before it does not sound: only a push of the bar itself may.
        let begun = |e: &voicing::Event| session.counting_in.is_none() || e.bar == session.position.bar;
        let sounds = |e: &&voicing::Event| begun(e) && (e.start + e.length).to_f64() > at + 1e-6;
        part.events.get(first..upto.max(first)).unwrap_or_default().iter().filter(sounds).collect()
    } else if let (true, Some(step)) = (by_strike, &session.step) {
        step.open.iter().chain(&step.struck).filter_map(|index| part.events.get(*index)).collect()
    } else {
        return (None, Vec::new());
    };
    let passing = events.iter().map(|e| (e.key, e.hand, e.finger)).collect();
    (Some(events.iter().map(|e| (e.key, e.hand)).collect()), passing)
}

fn shape<'a>(stage: &Stage<'a>, slot: Option<practice::SlotRef>, hand: Hand) -> &'a [voicing::HeldNote] {
    let chord = slot.and_then(|s| stage.model.part?.bars.get(s.bar)?.chords.get(s.slot));
    chord.map_or(&[], |chord| &chord.hand(hand).notes)
}

fn in_hand(stage: &Stage<'_>, now: &Option<Vec<(MidiKey, Hand)>>, marks: &mut Vec<KeyMark>) {
    let session = stage.model.session;
    for hand in Hand::BOTH {
        for note in shape(stage, session.slot, hand) {
            let struck = now.as_ref().is_none_or(|keys| keys.contains(&(note.key, hand)));
            let own = session.settings.hands.has(hand);
            // A new player sees one hand.
            if !own && stage.model.view.page == Page::FirstStart {
                continue;
            }
            let kind = if struck && own { Kind::Now } else { Kind::InHand };
            put(marks, note.key).hand = Some((hand, kind, Some(note.finger)));
        }
    }
}

fn next(stage: &Stage<'_>, marks: &mut Vec<KeyMark>) {
    let session = stage.model.session;
    for hand in Hand::BOTH.into_iter().filter(|hand| session.settings.hands.has(*hand)) {
        for note in shape(stage, session.next, hand) {
            let mark = put(marks, note.key);
            if mark.hand.is_none() {
                mark.hand = Some((hand, Kind::Next, Some(note.finger)));
            }
        }
    }
}

/// Draws what is marked on a key.
pub(crate) fn draw(painter: &Painter, stage: &Stage<'_>, key: Rect, mark: &KeyMark) {
    let black = mark.key.is_black();
    let radius = (0.36 * key.width()).min(stage.px(15.0)).max(stage.px(6.5));
    let lift = if black { 1.75 * radius } else { (3.2 * radius).max(stage.px(40.0)) };
    let centre = pos2(key.center().x, key.bottom() - lift.min(0.45 * key.height()));
    if let Some((hand, kind, finger)) = mark.hand {
        draw_hand(painter, stage, centre, radius, mark.key, hand, kind, finger);
    }
    match mark.held {
        Some(KeyVerdict::Wrong) => cross(painter, stage, centre, radius, black),
        Some(verdict) => {
            let color = match (verdict, mark.hand) {
                (KeyVerdict::Right, Some((hand, _, _))) => key_mark(hand, black).0,
                _ => ink_on(stage, black),
            };
            let y = centre.y + radius + stage.px(6.0);
            let bar = Rect::from_center_size(pos2(centre.x, y), vec2(2.0 * radius, stage.px(4.0)));
            painter.rect_filled(bar, stage.px(1.0), color);
        }
        None => {}
    }
}

#[expect(clippy::too_many_arguments)] // the place, the look and the words of one mark
fn draw_hand(
    painter: &Painter,
    stage: &Stage<'_>,
    centre: Pos2,
    radius: f32,
    key: MidiKey,
    hand: Hand,
    kind: Kind,
    finger: Option<Finger>,
) {
    let black = key.is_black();
    let (fill, text) = key_mark(hand, black);
    let keys = stage.model.view.theme.keys();
    let ground = if black { keys.black } else { keys.white };
    match kind {
        Kind::Now => solid(painter, centre, radius, hand, fill, Stroke::new(1.0, ground)),
        Kind::InHand => {
            let tint = crate::keyboard::mix(ground, fill, 0.14);
            solid(painter, centre, radius, hand, tint, Stroke::new(stage.px(1.8), fill));
        }
        Kind::Next => dashed(painter, stage, centre, radius, hand, fill),
    }
    if let (Some(finger), true) = (finger, radius > stage.px(6.0)) {
        let color = match kind {
            Kind::Now => text,
            Kind::InHand | Kind::Next => fill,
        };
        let size = if kind == Kind::Next { 0.95 * radius } else { 1.25 * radius };
        let font = fonts::bold(size);
        let at = pos2(centre.x, centre.y + 0.37 * size);
        plain::baseline_centred(painter, at, &finger.number().to_string(), font, color);
    }
}

/// A hand's mark: round or square.
pub(crate) fn solid(painter: &Painter, centre: Pos2, radius: f32, hand: Hand, fill: Color32, edge: Stroke) {
    match hand {
        Hand::Right => {
            painter.circle(centre, radius, fill, edge);
        }
        Hand::Left => {
            let square = Rect::from_center_size(centre, vec2(1.8 * radius, 1.8 * radius));
            painter.rect(square, 0.14 * radius, fill, edge, StrokeKind::Middle);
        }
    }
}

fn dashed(painter: &Painter, stage: &Stage<'_>, centre: Pos2, radius: f32, hand: Hand, color: Color32) {
    let stroke = Stroke::new(stage.px(1.7), color);
    let path: Vec<Pos2> = match hand {
        Hand::Right => (0..=48)
            .map(|i| centre + radius * egui::Vec2::angled(i as f32 / 48.0 * std::f32::consts::TAU))
            .collect(),
        Hand::Left => {
            let r = 0.9 * radius;
            [(-r, -r), (r, -r), (r, r), (-r, r), (-r, -r)].map(|(x, y)| centre + vec2(x, y)).to_vec()
        }
    };
    painter.extend(Shape::dashed_line(&path, stroke, stage.px(4.0), stage.px(3.0)));
}

/// Ink on white keys, chalk on black ones.
fn ink_on(stage: &Stage<'_>, black: bool) -> Color32 {
    let keys = stage.model.view.theme.keys();
    if black { keys.white } else { keys.black }
}

fn cross(painter: &Painter, stage: &Stage<'_>, centre: Pos2, radius: f32, black: bool) {
    let r = 0.72 * radius;
    let stroke = Stroke::new(stage.px(3.2), ink_on(stage, black));
    painter.line_segment([centre + vec2(-r, -r), centre + vec2(r, r)], stroke);
    painter.line_segment([centre + vec2(-r, r), centre + vec2(r, -r)], stroke);
}

/// The keyboard as it is read out.
pub(crate) fn spoken(stage: &Stage<'_>, low: MidiKey, high: MidiKey, marks: &[KeyMark]) -> String {
    let hand = |hand: Hand| {
        let held = match shown_way(stage) {
            Some(way) if way.hand == hand => return format!("{}, shown", way.notes()),
            Some(way) => &way.other.beside.notes[..],
            None => shape(stage, stage.model.session.slot, hand),
        };
        let notes: Vec<String> =
            held.iter().map(|n| format!("{} finger {}", n.pitch, n.finger.number())).collect();
        match notes.is_empty() {
            true if crate::reasons::notes::alone(stage) => "strikes nothing".to_owned(),
            true => "rests".to_owned(),
            false => notes.join(", "),
        }
    };
    let wrong: Vec<String> = marks
        .iter()
        .filter(|m| m.held == Some(KeyVerdict::Wrong))
        .map(|m| m.key.pitch().to_string())
        .collect();
    let wrong = if wrong.is_empty() { String::new() } else { format!("; wrong: {}", wrong.join(", ")) };
    let (right, left) = (hand(Hand::Right), hand(Hand::Left));
    format!("Keyboard {} to {}; right hand: {right}; left hand: {left}{wrong}", low.pitch(), high.pitch())
}
