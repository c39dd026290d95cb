//! What the song, a section or a bar says about itself and tells the hands.

use super::bars::played_rows;
use super::document::Document;
use super::exceptions::{self, Reach};
use super::tree::{Node, Object};
use super::{EditError, Field, HandField, Place};
use crate::limits::fields::{EXCEPTION, LEFT, RIGHT, SECTION, SONG};
use crate::{Feel, Restart, SectionKey};
use theory::Hand;

/// Sets a field, or takes it out.
pub(super) fn set_field(document: &mut Document, place: Place, field: &Field) -> Result<(), EditError> {
    let (name, value) = field_node(field);
    fits(place, field, name)?;
    match place {
        Place::Song => document.song_mut().put(name, value, SONG),
        Place::Section(section) => document.section_mut(section)?.put(name, value, SECTION),
        Place::Exception { section, exception } => {
            let section = document.section_mut(section)?;
            exceptions::by_number(section, exception)?.put(name, value, EXCEPTION);
            exceptions::drop_empty(section);
        }
        Place::Pass { section, .. } | Place::Bar { section, .. } => {
            let reach = reach(document, place)?;
            let says = |e: &Object| e.get(name).is_some();
            match value {
                Some(value) => {
                    exceptions::say(document, section, &reach, says, |e| e.set(name, value, EXCEPTION))?;
                }
                None => exceptions::unsay(document, section, &reach, says, |e| drop(e.remove(name)))?,
            }
        }
    }
    Ok(())
}

/// Tells a hand something, or takes it back.
pub(super) fn set_hand(
    document: &mut Document,
    place: Place,
    hand: Hand,
    field: &HandField,
) -> Result<(), EditError> {
    suits(hand, field)?;
    match place {
        Place::Song => tell(document.song_mut(), hand, field, SONG),
        Place::Section(section) => tell(document.section_mut(section)?, hand, field, SECTION),
        Place::Exception { section, exception } => {
            let section = document.section_mut(section)?;
            tell(exceptions::by_number(section, exception)?, hand, field, EXCEPTION);
            exceptions::drop_empty(section);
        }
        Place::Pass { section, .. } | Place::Bar { section, .. } => {
            let reach = reach(document, place)?;
            let says = |e: &Object| told(e, hand, field);
            let change = |e: &mut Object| {
                // At one chord, tones for all and tones by chord would say the same thing twice.
                if matches!((field, place), (HandField::Tones(Some(_)), Place::Bar { .. })) {
                    tell_nothing_by_chord(e, hand);
                }
                tell(e, hand, field, EXCEPTION);
            };
            if is_some(field) {
                exceptions::say(document, section, &reach, says, change)?;
            } else {
                exceptions::unsay(document, section, &reach, |e| sets(e, hand, field), change)?;
            }
        }
    }
    Ok(())
}

fn reach(document: &Document, place: Place) -> Result<Reach, EditError> {
    match place {
        Place::Pass { section, pass } => {
            let count = played_rows(document, section)?.count();
            Ok(Reach { pass: Some(pass), bars: (1..=count).collect(), beat: None })
        }
        Place::Bar { section, bar, pass, beat } => {
            let count = played_rows(document, section)?.count();
            if bar >= count {
                return Err(EditError::NoBar(bar + 1, count));
            }
            Ok(Reach { pass, bars: vec![bar + 1], beat })
        }
        _ => unreachable!("only passes and bars have exceptions"),
    }
}

/// Refuses what cannot be said at a place.
fn fits(place: Place, field: &Field, name: &'static str) -> Result<(), EditError> {
    let instead = match (field, place) {
        (Field::Note(_), _) => return Ok(()),
        (Field::Title(_) | Field::Key(_) | Field::CountIn(_), Place::Song) => return Ok(()),
        (Field::Title(_) | Field::Key(_) | Field::CountIn(_), _) => "the song",
        (Field::Cue(_), Place::Song) => "a section or a bar",
        (Field::Cue(_), _) => return Ok(()),
        (Field::OwnKey(_) | Field::Passes(_), Place::Section(_)) => return Ok(()),
        (Field::OwnKey(_) | Field::Passes(_), _) => "a section",
        (_, Place::Song | Place::Section(_)) => return Ok(()),
        _ => "the song or a section",
    };
    Err(EditError::NotHere { field: name, place: place.name(), instead })
}

/// Refuses what is for the other hand.
fn suits(hand: Hand, field: &HandField) -> Result<(), EditError> {
    match (hand, field) {
        (Hand::Left, HandField::Notes(_)) => {
            Err(EditError::NotHere { field: "notes", place: "the left hand", instead: "the right hand" })
        }
        (Hand::Right, HandField::Shape(_)) => {
            Err(EditError::NotHere { field: "shape", place: "the right hand", instead: "the left hand" })
        }
        _ => Ok(()),
    }
}

impl Place {
    fn name(self) -> &'static str {
        match self {
            Place::Song => "the song",
            Place::Section(_) => "a section",
            Place::Pass { .. } => "a pass",
            Place::Bar { .. } => "a bar",
            Place::Exception { .. } => "an exception",
        }
    }
}

fn field_node(field: &Field) -> (&'static str, Option<Node>) {
    let text = |text: &Option<String>| text.as_deref().map(Node::text);
    let flag = |flag: &Option<bool>| flag.map(Node::plain);
    match field {
        Field::Title(title) => ("title", Some(Node::text(title))),
        Field::Note(note) => ("note", text(note)),
        Field::Cue(cue) => ("cue", text(cue)),
        Field::Key(key) => ("key", Some(Node::text(&key.to_string()))),
        Field::OwnKey(key) => ("key", key.map(|key| Node::text(&section_key(key)))),
        Field::Tempo(tempo) => ("tempo", tempo.map(|tempo| Node::plain(tempo.beats_per_minute()))),
        Field::Meter(meter) => ("meter", meter.map(|meter| Node::text(&meter.to_string()))),
        Field::CountEighths(count) => ("count", count.then(|| Node::text("eighths"))),
        Field::CountIn(bars) => ("count_in", bars.map(Node::plain)),
        Field::Feel(feel) => ("feel", feel.map(|feel| Node::text(feel_name(feel)))),
        Field::Level(level) => ("level", level.map(Node::plain)),
        Field::Bass(bass) => ("bass", flag(bass)),
        Field::Pedal(pedal) => ("pedal", flag(pedal)),
        Field::Passes(passes) => ("passes", passes.map(Node::plain)),
    }
}

fn section_key(key: SectionKey) -> String {
    match key {
        SectionKey::Named(key) => key.to_string(),
        SectionKey::Shift(semitones) => format!("{semitones:+}"),
    }
}

fn feel_name(feel: Feel) -> &'static str {
    match feel {
        Feel::Straight => "straight",
        Feel::Swing => "swing",
    }
}

fn hand_node(field: &HandField) -> (&'static str, Option<Node>) {
    let text = |text: Option<String>| text.as_deref().map(Node::text);
    match field {
        HandField::Notes(notes) => ("notes", notes.map(Node::plain)),
        HandField::Shape(shape) => ("shape", shape.map(|shape| Node::text(shape.name()))),
        HandField::Tones(tones) => ("tones", text(tones.as_ref().map(ToString::to_string))),
        HandField::ChordTones(_, tones) => ("shapes", text(tones.as_ref().map(ToString::to_string))),
        HandField::Near(near) => ("near", text(near.map(|near| near.to_string()))),
        HandField::Figure(figure) => ("figure", text(figure.as_ref().map(|figure| figure.text.clone()))),
        HandField::Restart(restart) => {
            let name = |restart: Restart| if restart == Restart::Bar { "bar" } else { "chord" };
            ("restart", restart.map(|restart| Node::text(name(restart))))
        }
    }
}

const fn hand_name(hand: Hand) -> (&'static str, &'static [&'static str]) {
    match hand {
        Hand::Right => ("right", RIGHT),
        Hand::Left => ("left", LEFT),
    }
}

fn is_some(field: &HandField) -> bool {
    hand_node(field).1.is_some()
}

/// Whether a level tells the hand something of the same kind: what it holds, where, its rhythm.
fn told(level: &Object, hand: Hand, field: &HandField) -> bool {
    let Some(hand) = level.get(hand_name(hand).0).and_then(Node::as_object) else { return false };
    match field {
        HandField::Notes(_) | HandField::Shape(_) | HandField::Tones(_) | HandField::ChordTones(..) => {
            ["notes", "shape", "tones", "shapes"].iter().any(|name| hand.get(name).is_some())
        }
        other => hand.get(hand_node(other).0).is_some(),
    }
}

/// Whether a level tells the hand exactly this.
fn sets(level: &Object, hand: Hand, field: &HandField) -> bool {
    let Some(hand) = level.get(hand_name(hand).0).and_then(Node::as_object) else { return false };
    let value = hand.get(hand_node(field).0);
    match field {
        HandField::ChordTones(chord, _) => value
            .and_then(Node::as_object)
            .is_some_and(|shapes| shapes.fields.iter().any(|shape| shape.name.trim().parse() == Ok(*chord))),
        _ => value.is_some(),
    }
}

/// Tells a hand at one level, and takes out what would keep it from holding there.
fn tell(level: &mut Object, hand: Hand, field: &HandField, order: &[&str]) {
    let (name, fields) = hand_name(hand);
    let (field_name, value) = hand_node(field);
    if level.get(name).and_then(Node::as_object).is_none() {
        if value.is_none() {
            return;
        }
        level.set(name, Node::object([]), order);
    }
    let object = level.get_mut(name).and_then(Node::as_object_mut).expect("it was just made an object");
    let fresh = object.fields.is_empty();
    match field {
        HandField::ChordTones(chord, _) => tell_chord(object, &chord.to_string(), value, fields),
        _ => object.put(field_name, value, fields),
    }
    if matches!(field, HandField::Notes(Some(_)) | HandField::Shape(Some(_))) {
        object.remove("tones");
    }
    if let (true, Some(first)) = (fresh, object.fields.first_mut()) {
        first.lead = " ".into();
        object.close = " ".into();
    }
    if object.fields.is_empty() {
        level.remove(name);
    }
}

fn tell_chord(hand: &mut Object, chord: &str, tones: Option<Node>, fields: &[&str]) {
    if hand.get("shapes").and_then(Node::as_object).is_none() {
        if tones.is_none() {
            return;
        }
        hand.set("shapes", Node::object([]), fields);
    }
    let shapes = hand.get_mut("shapes").and_then(Node::as_object_mut).expect("it was just made an object");
    let fresh = shapes.fields.is_empty();
    let wanted = chord.parse::<theory::NumberChord>();
    let same = shapes.fields.iter().find(|shape| shape.name.trim().parse() == wanted);
    let name = same.map_or_else(|| chord.to_string(), |shape| shape.name.clone());
    shapes.put(&name, tones, &[]);
    if let (true, Some(first)) = (fresh, shapes.fields.first_mut()) {
        first.lead = " ".into();
        shapes.close = " ".into();
    }
    if shapes.fields.is_empty() {
        hand.remove("shapes");
    }
}

fn tell_nothing_by_chord(level: &mut Object, hand: Hand) {
    if let Some(hand) = level.get_mut(hand_name(hand).0).and_then(Node::as_object_mut) {
        hand.remove("shapes");
    }
}
