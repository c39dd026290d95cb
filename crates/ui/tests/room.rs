//! The scale room: what its words and keys ask for, what it says, and the exercises it makes.

use crate::stand::{asked, window};
use crate::support::fixture::{self, Stand};
use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use practice::{Accent, Between, ClickStyle, SessionCommand, Speed, Timeline, clicks_in_style};
use song::Quarters;
use theory::{ArpeggioKind, Hand, Scale, ScaleKind};
use ui::room_keys::ROOM_KEYS;
use ui::{Command, Drill, Motion, Page, Room, Subject};
use voicing::{KeyRange, Part};

fn scale(text: &str) -> Scale {
    text.parse().expect("a scale is written")
}

fn room(text: &str) -> Room {
    Room { scale: scale(text), ..Room::default() }
}

fn exercise(room: Room) -> Part {
    ui::exercise(&room, None, KeyRange::FULL)
}

fn on(room: Room) -> Stand {
    let mut stand = Stand::of_part(exercise(room));
    stand.view.page = Page::Room;
    stand.view.room = room;
    stand
}

/// Names and fingers of a hand, in order.
fn played(part: &Part, hand: Hand) -> String {
    let own = part.events.iter().filter(|event| event.hand == hand);
    own.map(|event| format!("{}{}", event.pitch, event.finger)).collect::<Vec<_>>().join(" ")
}

#[test]
fn every_choice_has_its_key_and_its_word() {
    let start = room("D major");
    for (key, modifiers, expected) in [
        (Key::S, Modifiers::NONE, start.with_subject(Subject::Arpeggio)),
        (Key::S, Modifiers::SHIFT, start.with_subject(Subject::SongChords)),
        (Key::Period, Modifiers::NONE, room("A major")),
        (Key::Comma, Modifiers::NONE, room("G major")),
        (Key::T, Modifiers::NONE, start.with_scale(scale("D minor"))),
        (Key::T, Modifiers::SHIFT, start.with_scale(scale("D blues"))),
        (Key::U, Modifiers::NONE, Room { octaves: 2, ..start }),
        (Key::U, Modifiers::SHIFT, Room { octaves: 4, ..start }),
        (Key::M, Modifiers::NONE, Room { motion: Motion::Contrary, ..start }),
        (Key::E, Modifiers::NONE, Room { notes_a_beat: 3, ..start }),
        (Key::A, Modifiers::NONE, Room { accents: 2, ..start }),
        (Key::F, Modifiers::NONE, Room { tempo: 64, ..start }),
        (Key::F, Modifiers::SHIFT, Room { tempo: 56, ..start }),
        (Key::X, Modifiers::NONE, Room { drill: Some(Drill { hand: Hand::Right, crossing: 0 }), ..start }),
    ] {
        let mut shown = window(on(start), [1280.0, 800.0]);
        shown.key_press_modifiers(modifiers, key);
        shown.run();
        assert_eq!(asked(&mut shown), [Command::Room(expected)], "{key:?} {modifiers:?}");
    }
    let shown = window(on(start), [1280.0, 800.0]);
    let keys = [
        "practise: key S",
        "tonic: key , .",
        "kind: key T",
        "tempo: key F",
        "octaves: key U",
        "hands: key M",
    ];
    for named in keys.into_iter().chain(["notes a beat: key E", "accent every: key A"]) {
        assert!(shown.query_by_label(named).is_some(), "{named}");
    }
    assert_eq!(ROOM_KEYS.len(), 10);
}

#[test]
fn the_keys_of_the_room_mean_nothing_elsewhere() {
    let mut stand = on(room("D major"));
    stand.view.page = Page::Song;
    let mut shown = window(stand, [1280.0, 800.0]);
    for key in [Key::T, Key::U, Key::M, Key::E, Key::X] {
        shown.key_press(key);
        shown.run();
        let rooms = asked(&mut shown).into_iter().filter(|command| matches!(command, Command::Room(_)));
        assert_eq!(rooms.count(), 0, "{key:?}");
    }
}

#[test]
fn a_word_of_each_line_can_be_clicked() {
    let start = room("D major");
    for (name, expected) in [
        ("practise: the chords of the key", start.with_subject(Subject::Chords)),
        ("tonic: B♭", room("Bb major")),
        ("kind: dorian", room("D dorian")),
        ("octaves: 3", Room { octaves: 3, ..start }),
        ("hands: contrary", Room { motion: Motion::Contrary, ..start }),
        ("notes a beat: 6", Room { notes_a_beat: 6, ..start }),
        ("accent every: 4", Room { accents: 4, ..start }),
        ("drill: left hand G A B", Room { drill: Some(Drill { hand: Hand::Left, crossing: 0 }), ..start }),
    ] {
        let mut shown = window(on(start), [1280.0, 800.0]);
        if name.contains("A B") {
            // D major, left hand 5 4 3 2 1 3 2 1: the thumb on A, with G and B beside it (Hanon, no. 39).
            assert!(shown.query_by_label(name).is_some(), "{name}");
        }
        shown.get_by_label(name).click();
        shown.run();
        let wanted = Command::Room(match expected.drill {
            Some(_) => expected,
            None if expected.scale != start.scale => start.with_scale(expected.scale),
            None => expected,
        });
        assert_eq!(asked(&mut shown), [wanted], "{name}");
    }
}

#[test]
fn contrary_motion_mirrors_the_hands() {
    // Right going up 1 2 3 1 2 3 4 5, left going down from its thumb 1 2 3 1 2 3 4 5 (Hanon, no. 39).
    let part = exercise(Room { motion: Motion::Contrary, ..room("C major") });
    let right = played(&part, Hand::Right);
    let left = played(&part, Hand::Left);
    assert!(right.starts_with("C41 D42 E43 F41 G42 A43 B44 C55 B44"), "{right}");
    assert!(left.starts_with("C31 B22 A23 G21 F22 E23 D24 C25 D24"), "{left}");
    assert!(right.ends_with("C41") && left.ends_with("C31"));
}

/// Lowest and highest key of a part, and how many keys the right hand goes up.
fn reach(part: &Part) -> (u8, u8, u8) {
    let keys = |of: Option<Hand>| {
        let own = part.events.iter().filter(move |e| of.is_none_or(|hand| e.hand == hand));
        own.map(|event| event.key.number())
    };
    let right = (
        keys(Some(Hand::Right)).min().expect("both hands play"),
        keys(Some(Hand::Right)).max().expect("both hands play"),
    );
    (
        keys(None).min().expect("both hands play"),
        keys(None).max().expect("both hands play"),
        right.1 - right.0,
    )
}

// Two hands that part from one key by n octaves cover 24 n + 1 keys: one to three octaves lie on 88 keys (25, 49, 73),
// four would take 97; 61 keys hold two, 49 hold two only from their lowest tonic, C.
#[test]
fn contrary_motion_goes_as_far_as_the_keyboard() {
    let contrary = |scale: &str, octaves| Room { motion: Motion::Contrary, octaves, ..room(scale) };
    for scale in Scale::all() {
        let scale = scale.to_string();
        for (size, most) in [(88, 3), (61, 2)] {
            let keys = KeyRange::of_size(size).unwrap();
            for asked in 1..=4 {
                let part = ui::exercise(&contrary(&scale, asked), None, keys);
                let (low, high, up) = reach(&part);
                // 61 keys from C hold 49 of them from any note only where it lies within their lowest octave.
                assert_eq!(up, 12 * asked.min(most), "{scale}, {asked} octaves on {size} keys");
                assert!(low >= keys.low().number() && high <= keys.high().number(), "{scale} {size}");
                assert_eq!(ui::octaves_on(contrary(&scale, asked), keys), asked.min(most));
            }
        }
    }
    let on49 = |scale: &str| ui::octaves_on(contrary(scale, 2), KeyRange::of_size(49).unwrap());
    assert_eq!((on49("C major"), on49("D major")), (2, 1));
}

#[test]
fn one_key_is_struck_by_one_hand() {
    let three = Room { motion: Motion::Contrary, octaves: 3, ..room("D major") };
    let part = exercise(three);
    assert!(played(&part, Hand::Right).starts_with("D41 E42 F#43 G41"), "{}", played(&part, Hand::Right));
    assert!(played(&part, Hand::Left).starts_with("C#42 B33 A31"), "{}", played(&part, Hand::Left));
    let mut struck: Vec<_> = part.events.iter().map(|event| (event.start, event.key)).collect();
    let all = struck.len();
    struck.sort_unstable();
    struck.dedup();
    assert_eq!(struck.len(), all);
}

#[test]
fn a_keyboard_that_is_too_short_is_told_so() {
    let four = "4 octaves in contrary motion are more than your 88 keys hold from here: 3 are played.";
    let two = "2 octaves in contrary motion are more than your 49 keys hold from here: 1 octave is played.";
    let together = "4 octaves are more than your 49 keys hold from here: 2 are played.";
    for (octaves, motion, size, said) in [
        (4, Motion::Contrary, 88, Some(four)),
        (3, Motion::Contrary, 88, None),
        (2, Motion::Contrary, 49, Some(two)),
        // Hands an octave apart over three octaves cover 49 keys, which are there from C only.
        (4, Motion::Together, 49, Some(together)),
        (4, Motion::Together, 88, None),
    ] {
        let keys = KeyRange::of_size(size).unwrap();
        let room = Room { motion, octaves, ..room("D major") };
        let mut stand = Stand::of_part(ui::exercise(&room, None, keys));
        stand.settings.keys = keys;
        stand.view.page = Page::Room;
        stand.view.room = room;
        let shown = window(stand, [1280.0, 800.0]);
        assert_eq!(shown.query_by_label_contains("more than your").is_some(), said.is_some(), "{octaves}");
        assert!(said.is_none_or(|said| shown.query_by_label(said).is_some()), "{said:?}");
    }
}

#[test]
fn the_drill_of_a_crossing_is_the_three_notes_around_it() {
    let drill = |hand| Room { drill: Some(Drill { hand, crossing: 0 }), ..room("D major") };
    let part = exercise(drill(Hand::Right));
    let right = played(&part, Hand::Right);
    assert!(right.starts_with("F#43 G41 A42 G41 F#43 G41"), "{right}");
    assert!(right.ends_with("G41 F#43"));
    assert!(part.events.iter().all(|event| event.hand == Hand::Right));
    let left = played(&exercise(drill(Hand::Left)), Hand::Left);
    assert!(left.starts_with("G32 A31 B33 A31 G32"), "{left}");
}

#[test]
fn inversions_go_up_and_come_down() {
    let part = exercise(Room { subject: Subject::Chords, ..room("C major") });
    let chord = |bar: usize, slot: usize| {
        let notes = part.bars[bar].chords[slot].right.notes.iter();
        notes.map(|note| format!("{}{}", note.pitch, note.finger)).collect::<Vec<_>>().join(" ")
    };
    // Root 1-3-5, first inversion 1-2-5, second 1-3-5 (teachers' handbooks).
    let up = ["C41 E43 G45", "E41 G42 C55", "G41 C53 E55", "C51 E53 G55"];
    assert_eq!([0, 1, 2, 3].map(|slot| chord(0, slot)), up);
    assert_eq!([0, 1, 2].map(|slot| chord(1, slot)), [up[2], up[1], up[0]]);
    assert_eq!(part.bars.len(), 7 * 2, "two bars for each of the seven");
    let sevenths = exercise(Room { subject: Subject::Chords, sevenths: true, ..room("C major") });
    assert_eq!(sevenths.bars.len(), 7 * 3);
    assert_eq!(sevenths.bars[0].chords[0].left.notes.len(), 4);
}

#[test]
fn inversions_go_through_octaves_in_any_subdivision_with_accents() {
    let two = Room { subject: Subject::Chords, octaves: 2, chords_a_beat: 3, accents: 3, ..room("C major") };
    let part = exercise(two);
    // Of C: six up, the highest, six down, twelve in a bar of four dotted beats; the last fills a bar of its own.
    let slots = |bar: usize| &part.bars[bar].played.slots;
    assert_eq!((slots(0).len(), slots(1).len(), part.bars.len()), (12, 1, 7 * 2));
    assert!(slots(0).iter().all(|slot| slot.length == Quarters::EIGHTH));
    let top: Vec<u8> = part.bars[0].chords[6].right.notes.iter().map(|note| note.key.number()).collect();
    assert_eq!(top, [84, 88, 91], "two octaves over middle C");
    let accented = |slot: usize| part.events.iter().any(|e| (e.bar, e.slot) == (0, slot) && e.accented);
    assert!((0..12).all(|slot| accented(slot) == slot.is_multiple_of(3)));
    let mut stand = Stand::of_part(part);
    stand.view.page = Page::Room;
    stand.view.room = two;
    let mut shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label("C, root position, octave 1 of 2").is_some());
    shown.state_mut().stand.does(&[SessionCommand::Advance; 7], 0.0);
    shown.run();
    assert!(
        shown.query_by_label("C, second inversion, octave 2 of 2").is_some(),
        "the first on the way down"
    );
    // By hand: all chords of B lie on 32 to 109 or an octave lower, which 88 keys do not hold; those of C do.
    assert_eq!(ui::octaves_on(Room { octaves: 4, ..two }, KeyRange::FULL), 4);
    let four = Room { octaves: 4, scale: scale("B major"), ..two };
    assert_eq!(ui::octaves_on(four, KeyRange::FULL), 3);
    let mut stand = Stand::of_part(exercise(four));
    stand.view.page = Page::Room;
    stand.view.room = four;
    let shown = window(stand, [1280.0, 800.0]);
    let told = "4 octaves are more than your 88 keys hold from here: 3 are played.";
    assert!(shown.query_by_label(told).is_some());
}

#[test]
fn the_chords_of_the_song_come_in_the_order_of_the_song() {
    let song = fixture::part(&fixture::song(
        "Weir",
        "D major",
        &[("Only", &["1 5/7 | 6 4 | 1 5sus4(7)", "2 4 | <1>"])],
    ));
    let room = Room { subject: Subject::SongChords, ..room("C major") };
    let part = ui::exercise(&room, Some(&song), KeyRange::FULL);
    let mut names: Vec<String> = Vec::new();
    for slot in part.bars.iter().flat_map(|bar| &bar.played.slots) {
        let song::SlotKind::Chord { chord, .. } = &slot.kind else { panic!("{slot:?}") };
        if names.last() != Some(&chord.name()) {
            names.push(chord.name());
        }
    }
    assert_eq!(names, ["D", "A", "Bm", "G", "A7sus4", "Em"]);
    assert_eq!(part.title, "Chords of Weir");
    let mut stand = Stand::of_part(part);
    stand.view.page = Page::Room;
    stand.view.room = room;
    let shown = window(stand, [1280.0, 800.0]);
    assert!(shown.query_by_label("D, root position").is_some());
    assert!(shown.query_by_label_contains("Key map: D major, 2 sharps: F♯ C♯").is_some());
}

#[test]
fn notes_lie_evenly_in_the_beat() {
    for notes in Room::NOTES_A_BEAT {
        let part = exercise(Room { notes_a_beat: notes, tempo: 80, ..room("E minor") });
        let timeline = Timeline::new(&part);
        let beat = &timeline.bars()[0];
        assert!((beat.beats_per_minute() - 80.0).abs() < 1e-9, "{notes}");
        assert_eq!(beat.beat.count, 4);
        let starts: Vec<Quarters> =
            part.events.iter().filter(|e| e.hand == Hand::Right).map(|e| e.start).collect();
        let step = beat.beat.length.split(i64::from(notes));
        assert!(starts.iter().enumerate().all(|(n, start)| *start == step.times(n as i64)), "{notes}");
        let last = part.events.last().unwrap();
        assert_eq!(last.start + last.length, timeline.end(), "the last note is held to the bar line");
    }
}

#[test]
fn the_click_divides_the_beat_as_the_notes_do() {
    let always = ClickStyle { between: Between::Always, ..ClickStyle::default() };
    for notes in Room::NOTES_A_BEAT.into_iter().filter(|notes| *notes > 1) {
        let part = exercise(Room { notes_a_beat: notes, tempo: 60, ..room("E minor") });
        let timeline = Timeline::new(&part);
        let clicks: Vec<_> = (0..part.bars.len())
            .flat_map(|bar| clicks_in_style(&timeline, bar, Speed::FULL, always))
            .collect();
        assert_eq!(clicks.len(), part.bars.len() * 4 * usize::from(notes), "{notes}");
        for event in &part.events {
            assert!(clicks.iter().any(|click| click.at == event.start), "{notes}: a note without its click");
        }
        // At 60 beats a minute a beat has 48,000 frames of 48 kHz, which all these numbers divide.
        let step = 48_000 / i64::from(notes);
        for (n, click) in clicks.iter().enumerate() {
            let frame = timeline.ms(click.at) * 48.0;
            assert!((frame - (n as i64 * step) as f64).abs() < 1e-6, "{notes}: click {n} at frame {frame}");
            let whole = n % usize::from(notes) == 0;
            assert_eq!(click.accent == Accent::Subdivision, !whole, "{notes}: click {n}");
        }
    }
    // A note a beat divides nothing: the click keeps the halves of every song.
    let part = exercise(Room { notes_a_beat: 1, ..room("E minor") });
    assert_eq!(clicks_in_style(&Timeline::new(&part), 0, Speed::FULL, always).len(), 8);
}

#[test]
fn every_so_many_notes_one_is_accented() {
    let part = exercise(Room { accents: 3, ..room("C major") });
    let accented: Vec<bool> =
        part.events.iter().filter(|e| e.hand == Hand::Left).map(|e| e.accented).collect();
    assert!(accented.iter().enumerate().all(|(n, accent)| *accent == (n % 3 == 0)), "{accented:?}");
    assert!(exercise(room("C major")).events.iter().all(|event| !event.accented));
}

/// Every scale, arpeggio and chord of the room, in every key: on the keys of a piano, with a finger on every note, and in
/// order. Runs lie on a shorter keyboard with as many octaves as it
/// has room for, chords where it is long enough.
#[test]
fn every_exercise_lies_on_the_keys() {
    let short = KeyRange::new(theory::MidiKey::new(36).unwrap(), theory::MidiKey::new(96).unwrap()).unwrap();
    let mut count = 0;
    for scale in Scale::all() {
        for (octaves, motion) in [(1, Motion::Together), (4, Motion::Together), (4, Motion::Contrary)] {
            for subject in Subject::ALL {
                let room = Room { scale, octaves, motion, subject, ..Room::default() };
                let part = ui::exercise(&room, None, short);
                let keys = || part.events.iter().map(|event| event.key);
                let (low, high) = (keys().min().unwrap(), keys().max().unwrap());
                assert!(low >= theory::MidiKey::A0 && high <= theory::MidiKey::C8, "{room:?}");
                if subject.is_run() || high.number() - low.number() <= 48 {
                    assert!(low >= short.low() && high <= short.high(), "{room:?}");
                }
                assert!(part.events.is_sorted_by_key(|event| event.start));
                count += 1;
            }
        }
    }
    assert_eq!(count, 15 * ScaleKind::ALL.len() * 3 * 4);
}

#[test]
fn arpeggios_have_their_fingers_and_say_where_they_are_from() {
    let of = |kind: ArpeggioKind| Room { subject: Subject::Arpeggio, broken: kind, ..room("D major") };
    // Hanon, no. 41: right 1 2 3 5, left 5 3 2 1.
    let part = exercise(of(ArpeggioKind::Major));
    assert!(played(&part, Hand::Right).starts_with("D41 F#42 A43 D55 A43"));
    assert!(played(&part, Hand::Left).starts_with("D35 F#33 A32 D41 A32"));
    let shown = window(on(of(ArpeggioKind::Major)), [1280.0, 800.0]);
    assert!(shown.query_by_label("Fingers: Hanon, The Virtuoso Pianist, no. 41.").is_some());
    let shown = window(on(of(ArpeggioKind::Augmented)), [1280.0, 800.0]);
    assert!(shown.query_by_label_contains("Fingers: no published form").is_some());
}

#[test]
fn crossings_name_the_fingers_before_they_come() {
    let mut shown = window(on(room("D major")), [1280.0, 800.0]);
    let says = |shown: &crate::stand::Shown, text: &str| shown.query_by_label(text).is_some();
    assert!(says(&shown, "Left hand: after 4 more notes finger 3 passes over the thumb, on to B."));
    shown.state_mut().stand.does(&[SessionCommand::Advance; 4], 0.0);
    shown.run();
    assert!(says(&shown, "Left hand: now finger 3 passes over the thumb, on to B."));
    assert!(says(&shown, "Note 5 of 15: right hand A4 finger 2; left hand A3 finger 1"));
}

#[test]
fn the_map_has_signature_notes_chords_and_numbers() {
    let shown = window(on(room("Eb major")), [1280.0, 800.0]);
    let map = "Key map: E♭ major, 3 flats: B♭ E♭ A♭, as C minor. Notes: 1 E♭, 2 F, 3 G, 4 A♭, 5 B♭, 6 C, 7 D. Chords: 1 E♭, \
               2 Fm, 3 Gm, 4 A♭, 5 B♭, 6 Cm, 7 Ddim";
    assert!(shown.query_by_label(map).is_some());
}

#[test]
fn how_even_it_was_is_said_and_drawn() {
    let mut stand = on(Room { octaves: 2, ..room("C major") });
    // Six passes; the right thumb comes 70 ms late where it passes under, the left hand always 6 ms late.
    stand.has_run(6, 70.0);
    let shown = window(stand, [1280.0, 800.0]);
    let said: Vec<_> = shown.query_all_by_label_contains("The gap before the thumb on F is").collect();
    assert!(!said.is_empty(), "onto F the thumb goes twice in a pass");
    assert!(shown.query_by_label_contains("How even it was. Right hand: ").is_some());
    // Planted: 84 to 88 for thumbs, 70 to 74 for the others; on average 13 to 15 apart.
    let louder = "The thumb is louder than the others by 1";
    assert!(shown.query_all_by_label_contains(louder).next().is_some());
    assert!(shown.query_all_by_label_contains("The hands are together").next().is_some());
}
