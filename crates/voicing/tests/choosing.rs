//! Choosing otherwise: what alternatives cost and why they lost, worked out again; pins and held shapes.

use crate::print::song_text;
use song::{Hold, PlayedSong};
use theory::{Hand, MidiKey};
use voicing::{
    Alternative, CannotPin, Claim, Fault, Part, Pin, PinScope, Settings, alternatives, as_held, movement,
    plan, share_between_hands, unpin,
};

fn played(text: &str) -> PlayedSong {
    song::read(text).sound().unwrap_or_else(|_| panic!("{text}")).play()
}

fn part(song: &PlayedSong) -> Part {
    plan(song, song.key, &Settings::default()).unwrap()
}

fn pinned(text: &str, pin: &Pin, at: (usize, usize), scope: PinScope) -> String {
    let changes = pin.changes(&played(text), at, scope).unwrap();
    let edited = song::edit::apply_all(text, &changes).unwrap();
    assert_eq!(edited.undo.apply(&edited.text), text, "one step back");
    edited.text
}

fn keys(part: &Part, at: (usize, usize), hand: Hand) -> Vec<MidiKey> {
    part.bars[at.0].chords[at.1].hand(hand).notes.iter().map(|n| n.key).collect()
}

fn held(numbers: &[u8]) -> Vec<MidiKey> {
    numbers.iter().map(|&n| MidiKey::new(n).unwrap()).collect()
}

fn song_with(bars: &str) -> String {
    song_text("D major", "", bars)
}

#[test]
fn taking_an_alternative_costs_just_what_it_says_and_gives_just_its_keys() {
    let text = song_with("1 | 5/7 | 6 | 4 5sus4 | 5 | 1");
    let song = played(&text);
    let plain = part(&song);
    for hand in Hand::BOTH {
        for at in [(1, 0), (3, 0), (5, 0)] {
            let others = alternatives(&song, song.key, &Settings::default(), at, hand, 4);
            let least = if hand == Hand::Right { 4 } else { 1 };
            assert!(others.len() >= least, "{at:?}");
            for other in others {
                let text = pinned(&text, &other.pin, at, PinScope::EveryPass);
                let after = part(&played(&text));
                let wanted: Vec<MidiKey> = other.notes.iter().map(|n| n.key().unwrap()).collect();
                assert_eq!(keys(&after, at, hand), wanted, "{text}");
                assert_ne!(keys(&plain, at, hand), wanted);
                assert!(
                    other.costs_more >= 0 || hand == Hand::Left,
                    "of what is asked for the plan is the cheapest"
                );
                let chord = &after.bars[at.0].chords[at.1];
                assert_eq!(chord.hand(hand).notes, other.shape.notes, "with these fingers: {text}");
                let beside = if hand == Hand::Right { Hand::Left } else { Hand::Right };
                assert_eq!(chord.hand(beside).notes, other.beside.notes, "and the other hand like this");
                let dearer = after.proof.cost - plain.proof.cost;
                assert_eq!(dearer, other.costs_more, "{at:?} {hand:?} {other:?}");
            }
        }
    }
}

/// What a fault says, worked out from the keys around.
#[test]
fn why_an_alternative_lost_holds() {
    let text = song_with("1 | 5/7 | 6 | 4 | 2(7) | 5sus4 | 5 | 1");
    let song = played(&text);
    let plain = part(&song);
    let mut moves = 0;
    for bar in 0..8 {
        for other in alternatives(&song, song.key, &Settings::default(), (bar, 0), Hand::Right, 4) {
            let Claim::Instead { lowest, fault, .. } = other.why else { panic!("{other:?}") };
            assert_eq!(lowest, other.members[0]);
            let there: Vec<MidiKey> = other.notes.iter().map(|n| n.key().unwrap()).collect();
            moves += usize::from(holds(&plain, bar, &other, &there, fault));
        }
    }
    assert!(moves > 8, "mostly it is the movement");
}

/// Whether the fault is one of movement; panics where it is not true.
fn holds(plain: &Part, bar: usize, other: &Alternative, there: &[MidiKey], fault: Fault) -> bool {
    let beside = |before: bool| {
        let bar = if before { bar.checked_sub(1) } else { Some(bar + 1) };
        keys(plain, (bar.unwrap(), 0), Hand::Right)
    };
    let here = keys(plain, (bar, 0), Hand::Right);
    match fault {
        Fault::Moves { from_before, semitones, played } => {
            assert_eq!(movement(&beside(from_before), there), semitones, "{other:?}");
            assert_eq!(movement(&beside(from_before), &here), played, "{other:?}");
            assert!(semitones > played);
            true
        }
        Fault::TopLeaps { from_before, semitones } => {
            let top = |keys: &[MidiKey]| i32::from(keys.last().unwrap().number());
            assert_eq!((top(&beside(from_before)) - top(there)).unsigned_abs(), semitones);
            assert!(semitones > 4);
            false
        }
        Fault::FarFromHome { semitones, played } => {
            let off = |keys: &[MidiKey]| {
                let (low, high) = (keys[0].number(), keys.last().unwrap().number());
                ((i32::from(low) + i32::from(high)) / 2 - 67).unsigned_abs()
            };
            assert_eq!((off(there), off(&here)), (semitones, played));
            false
        }
        _ => false,
    }
}

/// The suspended note of the chord before that the keys of a chord leave hanging, or that its own leaves for the chord after:
/// worked out from the keys alone. A fourth goes down to the third by step, a second up (theory textbooks).
#[test]
fn a_way_loses_where_the_suspension_would_hang() {
    let right = r#""right": { "notes": 2 },"#;
    let hangs = |from: &[MidiKey], to: &[MidiKey], suspended: u8, steps: [i32; 2]| {
        let Some(held) = from.iter().find(|key| key.number() % 12 == suspended) else { return false };
        let step = |key: &MidiKey| i32::from(key.number()) - i32::from(held.number());
        !to.iter().any(|key| key.number() % 12 == 4 && steps.contains(&step(key)))
    };
    let mut found = [0, 0];
    for (suspended, class, steps, after) in [("1sus4", 5, [-1, -2], "2"), ("1sus2", 2, [1, 2], "1")] {
        let text = song_text("C major", right, &format!("1 | {suspended} | 1 | {after}"));
        let song = played(&text);
        let plain = part(&song);
        let there = |bar: usize| keys(&plain, (bar, 0), Hand::Right);
        assert!(!hangs(&there(1), &there(2), class, steps), "what is played resolves");
        for (at, bar) in [1, 2].into_iter().enumerate() {
            for other in alternatives(&song, song.key, &Settings::default(), (bar, 0), Hand::Right, 4) {
                let Claim::Instead { fault: Fault::Unresolved, .. } = other.why else { continue };
                let other: Vec<MidiKey> = other.notes.iter().map(|n| n.key().unwrap()).collect();
                let (from, to) = if bar == 1 { (other, there(2)) } else { (there(1), other) };
                assert!(hangs(&from, &to, class, steps), "{suspended}: {from:?} {to:?}");
                found[at] += 1;
            }
        }
    }
    assert!(found.iter().all(|&n| n > 0), "in the suspended chord and in its resolution: {found:?}");
}

#[test]
fn an_alternative_survives_transposition_as_a_pin() {
    let text = song_with("1 | 4 | 5 | 1");
    let song = played(&text);
    let other = &alternatives(&song, song.key, &Settings::default(), (1, 0), Hand::Right, 1)[0];
    let song = played(&pinned(&text, &other.pin, (1, 0), PinScope::EveryPass));
    let night = plan(&song, "F major".parse().unwrap(), &Settings::default()).unwrap();
    let members: Vec<_> = night.bars[1].chords[0].right.notes.iter().map(|n| n.member).collect();
    assert_eq!(members, other.members);
}

#[test]
fn alternatives_in_the_key_of_the_night_are_what_a_pin_plays_there() {
    let text = song_with("1 | 4 | 5M/7 | 1 | 4m | 1");
    let song = played(&text);
    // B major sharpens what D major spells plainly; in Gb major the minor fourth chord has double flats.
    for night in ["F major", "B major", "Gb major"].map(|key| key.parse::<theory::Key>().unwrap()) {
        for (hand, bar) in Hand::BOTH.into_iter().flat_map(|hand| [(hand, 1), (hand, 2), (hand, 4)]) {
            let of = |key| alternatives(&song, key, &Settings::default(), (bar, 0), hand, 3);
            for (here, there) in of(song.key).iter().zip(of(night)) {
                assert_eq!(here.pin, there.pin, "pins are written in the written key");
                let text = pinned(&text, &there.pin, (bar, 0), PinScope::EveryPass);
                let after = plan(&played(&text), night, &Settings::default()).unwrap();
                let chord = &after.bars[bar].chords[0];
                assert_eq!(chord.hand(hand).notes, there.shape.notes, "{hand:?} in {night}: {text}");
                assert_eq!(there.notes, there.shape.notes.iter().map(|n| n.pitch).collect::<Vec<_>>());
            }
        }
    }
}

#[test]
fn a_pin_in_one_pass_leaves_the_others() {
    let text = r#"{ "format": 1, "title": "T", "key": "C major", "tempo": 90,
        "sections": [ { "name": "A", "passes": 2, "bars": ["1 | 4 | 5 1"] } ] }"#;
    let song = played(text);
    let recognised = as_held(&song, &part(&song), (5, 1), Hand::Right, &held(&[67, 72, 76])).unwrap();
    let pin = recognised.pin.unwrap();
    let text = pinned(text, &pin, (5, 1), PinScope::ThisPass);
    let after = part(&played(&text));
    assert_eq!(keys(&after, (5, 1), Hand::Right), held(&[67, 72, 76]));
    assert!(text.contains(r#""pass": 2"#) && text.contains(r#""beat": 3"#), "{text}");
}

#[test]
fn a_pin_is_taken_out_to_the_byte() {
    let text = r#"{ "format": 1, "title": "T", "key": "C major", "tempo": 90,
        "sections": [ { "name": "A", "passes": 2, "bars": ["1 | 4 | 5 1"] } ] }"#;
    let song = played(text);
    for at in [(5, 1), (4, 0)] {
        for scope in [PinScope::ThisPass, PinScope::EveryPass] {
            assert_eq!(unpin(text, &song, at, scope), [], "there is none");
            let right = as_held(&song, &part(&song), at, Hand::Right, &held(&[67, 72, 76])).unwrap();
            let left = as_held(&song, &part(&song), at, Hand::Left, &held(&[53, 60])).unwrap();
            let one = pinned(text, &right.pin.unwrap(), at, scope);
            let both = pinned(&one, &left.pin.unwrap(), at, scope);
            let changes = unpin(&both, &played(&both), at, PinScope::EveryPass);
            assert_eq!(song::edit::apply_all(&both, &changes).unwrap().text, text);
        }
    }
}

#[test]
fn a_pin_for_every_pass_can_be_taken_out_of_one() {
    let text = r#"{ "format": 1, "title": "T", "key": "C major", "tempo": 90,
        "sections": [ { "name": "A", "passes": 3, "bars": ["1"], "except": [
            { "bar": 1, "right": { "tones": "5 1 3", "figure": "x x x x" }, "note": "broad" } ] } ] }"#;
    let song = played(text);
    let changes = unpin(text, &song, (1, 0), PinScope::ThisPass);
    let after = played(&song::edit::apply_all(text, &changes).unwrap().text);
    let pinned = |bar: usize| matches!(after.bars[bar].slots[0].right.hold, Hold::Tones(_));
    assert_eq!([pinned(0), pinned(1), pinned(2)], [true, false, true]);
    assert!(after.bars.iter().all(|bar| bar.note.as_deref() == Some("broad")), "all else stays");
    let figure = |bar: &song::PlayedBar| bar.slots[0].right.figure.text.clone();
    assert!(after.bars.iter().all(|bar| figure(bar) == "x x x x"));
}

#[test]
fn what_is_held_is_recognised_in_each_hand() {
    let song = played(&song_with("4(add9) | 5/7"));
    let part = part(&song);
    // B3 D4 A4 over G: third, fifth and ninth.
    let right = as_held(&song, &part, (0, 0), Hand::Right, &held(&[59, 62, 69])).unwrap();
    assert_eq!(right.text(), "Right hand: 3 5 9.");
    assert!(right.notes.iter().all(|n| !n.foreign));
    // A over C#: in the left hand the numbers count from C#.
    let left = as_held(&song, &part, (1, 0), Hand::Left, &held(&[49, 57])).unwrap();
    assert_eq!(left.text(), "Left hand: 1 6.");
    let pin = left.pin.unwrap();
    assert!(matches!(&pin.hold, Hold::Tones(tones) if tones.to_string() == "1 6"));
}

#[test]
fn a_note_foreign_to_the_chord_is_named_and_pinned_if_the_key_has_it() {
    let song = played(&song_with("1 | 4"));
    let part = part(&song);
    let suspended = as_held(&song, &part, (0, 0), Hand::Right, &held(&[62, 67, 69])).unwrap();
    assert_eq!(suspended.text(), "Right hand: 1 4 5. G4 is foreign to the chord.");
    assert!(suspended.pin.is_ok());
    let chromatic = as_held(&song, &part, (0, 0), Hand::Right, &held(&[62, 68, 69])).unwrap();
    assert!(matches!(chromatic.pin, Err(CannotPin::NotInKey(_))));
    let nothing = as_held(&song, &part, (0, 0), Hand::Right, &[]).unwrap();
    assert_eq!(nothing.pin, Err(CannotPin::NothingHeld));
    let wide = as_held(&song, &part, (0, 0), Hand::Right, &held(&[62, 78])).unwrap();
    assert!(matches!(wide.pin, Err(CannotPin::TooFarApart(..))));
    let thrice = as_held(&song, &part, (0, 0), Hand::Right, &held(&[62, 66, 69, 74])).unwrap();
    assert!(matches!(thrice.pin, Err(CannotPin::Twice(_))));
}

#[test]
fn every_shape_of_the_plan_is_recognised_and_pins_to_itself() {
    let text = song_with("1 | 5/7 | 6(7) | 4 | 2(7) | 5sus4 | 5 | 1/3");
    let song = played(&text);
    let plain = part(&song);
    for bar in 0..8 {
        for hand in Hand::BOTH {
            let recognised = as_held(&song, &plain, (bar, 0), hand, &keys(&plain, (bar, 0), hand)).unwrap();
            let text = pinned(&text, &recognised.pin.unwrap(), (bar, 0), PinScope::EveryPass);
            let after = part(&played(&text));
            assert_eq!(keys(&after, (bar, 0), hand), keys(&plain, (bar, 0), hand), "{text}");
        }
    }
}

#[test]
fn held_keys_are_shared_between_the_hands() {
    let song = played(&song_with("1"));
    let chord = &part(&song).bars[0].chords[0];
    let (right, left) = share_between_hands(chord, &held(&[66, 50, 74, 57, 69]));
    assert_eq!((right, left), (held(&[66, 69, 74]), held(&[50, 57])));
}
