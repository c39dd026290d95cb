//! The longest songs and the smallest hands and keyboards.

use theory::MidiKey;
use voicing::{KeyRange, Reach, Settings, plan};

#[test]
fn the_longest_song_for_the_smallest_hand_and_keyboard() {
    let chords = ["1", "5(9)", "4/5", "2(7)", "b7", "6", "5sus4", "3(7)"];
    let bars: Vec<String> = (0..200).map(|i| chords[i * 7 % 8].to_string() + " " + chords[i % 5]).collect();
    let text = format!(
        r#"{{ "format": 1, "title": "Long", "key": "B major", "tempo": 90, "right": {{ "notes": 4 }},
             "left": {{ "shape": "root fifth tenth", "figure": "1 2 3 2" }},
             "sections": [ {{ "name": "A", "bars": ["{}"], "passes": 99,
               "except": [ {{ "pass": [5, "50-60", "last"], "bar": 3, "bars": "^1" }} ] }} ] }}"#,
        bars.join(" | ")
    );
    let song = song::read(&text).sound().unwrap().play();
    assert_eq!(song.bars.len(), 19_800);
    let key = |number| MidiKey::new(number).unwrap();
    let settings = Settings::new(Reach::new(5).unwrap(), KeyRange::new(key(53), key(77)).unwrap());
    let part = plan(&song, "F major".parse().unwrap(), &settings).unwrap();
    assert_eq!(part.bars.len(), 19_800);
    assert!(part.events.iter().all(|event| settings.keys.contains(event.key)));
    // Every plain pass is voiced like the first.
    let pass = |number: usize| {
        part.bars[200 * (number - 1)..200 * number].iter().map(|bar| bar.chords[0].right.clone())
    };
    assert!(pass(1).eq(pass(98)));
    // The one that differs keeps all shapes but its own.
    assert_eq!(pass(1).zip(pass(55)).filter(|(a, b)| a != b).count(), 1);
}

#[test]
fn a_song_without_bars_is_an_empty_part() {
    let text = crate::print::song_text("C major", "", "1");
    let mut song = song::read(&text).sound().unwrap().play();
    song.bars.clear();
    let part = plan(&song, song.key, &Settings::default()).unwrap();
    assert!(part.events.is_empty() && part.bar_at(song::Quarters::ZERO).is_none());
    assert_eq!(part.keys_used(), None);
}

#[test]
fn looking_up_bars_and_strikes() {
    let part = crate::print::part_of(&crate::print::song_text("C major", "", "3/4: 1.. 5. | 6 | ^4"));
    let at = |quarters: i64| song::Quarters::new(quarters, 2);
    assert_eq!(part.slot_at(at(-1)), Some((0, 0)));
    assert_eq!(part.slot_at(at(4)), Some((0, 1)));
    assert_eq!(part.slot_at(at(6)), Some((1, 0)));
    assert_eq!(part.slot_at(at(99)), Some((2, 0)));
    assert_eq!(part.length(), at(22));
    // Four strikes, the last of them pushed; each has both hands' keys.
    let starts: Vec<f64> = part.strikes().map(|strike| strike[0].start.to_f64()).collect();
    assert_eq!(starts, [0.0, 2.0, 3.0, 6.5]);
    assert_eq!(part.events_between(at(4)..at(7)).len(), 10);
    assert!(part.chord_at(at(7)).unwrap().right.notes.len() == 3);
}
