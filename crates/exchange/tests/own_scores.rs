//! What a score of a demo song says is read back: its sections with their passes, their order, every bar with its chords,
//! pushes and diamonds, and the coach's words.

use crate::demos::DEMOS;
use exchange::{Imported, midi_chart, musicxml, read_midi, write_part};
use practice::Hands;
use song::{PlayedBar, PlayedSong, SlotKind};
use voicing::Settings;

/// How much of a bar a kind of file carries.
#[derive(Clone, Copy, PartialEq)]
enum Carries {
    Everything,
    /// Chords without pushes and diamonds, and no words.
    Chords,
}

/// Section, pass, meter, key, what is in it, what is said of it.
fn bar(song: &PlayedSong, bar: &PlayedBar, carries: Carries) -> String {
    let everything = carries == Carries::Everything;
    let slot = |slot: &song::Slot| {
        let start = slot.start.fraction();
        match &slot.kind {
            SlotKind::Chord { chord, push, diamond } => {
                let (push, diamond) = (everything && *push, everything && *diamond);
                let names: Vec<String> = chord.names().map(|name| name.to_string()).collect();
                format!("{start:?} {} over {} {push} {diamond}", names.join(" "), chord.bass)
            }
            SlotKind::Tie { .. } => format!("{start:?} ~"),
            SlotKind::Rest => format!("{start:?} N"),
        }
    };
    let slots: Vec<String> = bar.slots.iter().filter(|slot| !slot.continued).map(slot).collect();
    let name = &song.sections[bar.section];
    let words = everything.then_some((&bar.note, &bar.cue, &song.words[bar.section]));
    format!(
        "{name} {}/{} {} {} {} {words:?} {:.4}: {}",
        bar.pass,
        bar.passes,
        bar.bar_in_section,
        bar.meter,
        bar.key,
        bar.quarters_per_minute,
        slots.join("; ")
    )
}

fn read_back(imported: &Imported) -> PlayedSong {
    song::read(&imported.song.to_text()).sound().unwrap().play()
}

#[test]
fn a_score_is_read_back_as_the_song_that_it_is_of() {
    let mut differing = Vec::new();
    for (name, text) in DEMOS {
        let song = song::read(text).sound().unwrap().play();
        let part = voicing::plan(&song, song.key, &Settings::default()).unwrap();
        for (kind, carries, imported) in [
            ("musicxml", Carries::Everything, musicxml::read(&musicxml::write(&part), "").unwrap()),
            ("mxl", Carries::Everything, musicxml::read(&musicxml::write_compressed(&part), "").unwrap()),
            (
                "mid",
                Carries::Chords,
                midi_chart(&read_midi(&write_part(&part, Hands::Both, false)).unwrap(), "").unwrap().unwrap(),
            ),
        ] {
            let back = read_back(&imported);
            let bars = |song: &PlayedSong| -> Vec<String> {
                song.bars.iter().map(|one| bar(song, one, carries)).collect()
            };
            let pairs = bars(&back).into_iter().zip(bars(&song)).filter(|(read, written)| read != written);
            differing.extend(pairs.map(|(read, written)| format!("{name}.{kind}:\n{read}\n{written}\n")));
            assert_eq!(back.bars.len(), song.bars.len());
            if carries == Carries::Everything {
                assert_eq!(back.note, song.note, "{name} by way of .{kind}");
            }
        }
    }
    assert!(differing.is_empty(), "read, and above it as written:\n{}", differing.join("\n"));
}

/// A song of one section through a score and back.
fn through_a_score(section: &str) -> song::Song {
    let text = format!(
        r#"{{ "format": 1, "title": "T", "key": "C major", "tempo": 90, "sections": [ {{ "name": "A", {section} }} ] }}"#
    );
    let played = song::read(&text).song.unwrap().play();
    let score = musicxml::write(&voicing::plan(&played, played.key, &Settings::default()).unwrap());
    let Imported { song, .. } = musicxml::read(&score, "").unwrap();
    song::read(&song.to_text()).song.unwrap()
}

#[test]
fn a_coachs_word_is_not_taken_for_a_push_and_many_cues_come_back() {
    let word = through_a_score(r#""bars": ["1 | 4"], "except": [ { "bar": 1, "note": "push" } ]"#);
    let bars = word.play().bars;
    assert_eq!(bars[0].note.as_deref(), Some("push"));
    assert!(bars.iter().all(|bar| !matches!(bar.slots[0].kind, SlotKind::Chord { push: true, .. })));

    let cues: Vec<String> =
        (1..=40).map(|n| format!(r#"{{ "pass": {n}, "bar": "1-16", "cue": "cue {n}" }}"#)).collect();
    let bars = ["1 | 4 | 5 | 6"; 4].join("\", \"");
    let many = format!(r#""passes": 40, "bars": ["{bars}"], "except": [ {} ]"#, cues.join(", "));
    let song = through_a_score(&many);
    let played = song.play();
    assert_eq!(played.bars.len(), 640);
    assert_eq!(played.bars[17].cue.as_deref(), Some("cue 2"));
}

/// Written out by hand: how a player would write the song that a score in parts was made of.
#[test]
fn passes_that_are_alike_are_written_once() {
    let text = include_str!("../../../demo-songs/lanterns-at-the-lock.json");
    let song = song::read(text).sound().unwrap().play();
    let part = voicing::plan(&song, song.key, &Settings::default()).unwrap();
    let imported = musicxml::read(&musicxml::write(&part), "").unwrap();
    let sections: Vec<String> = imported
        .song
        .sections
        .iter()
        .map(|section| {
            let except = serde_json::to_string(&section.except.clone().unwrap_or_default()).unwrap();
            let bars = section.bars.clone().unwrap().join(" || ");
            format!("{} x{}: {bars}\n{except}", section.name, section.passes.unwrap_or(1))
        })
        .collect();
    assert_eq!(
        sections,
        [
            "Intro x1: 1.. 5. | 4/4: 6 | 1.. 5. | 4/4: 6 1/6\n[]",
            concat!(
                "Verse x4: 1.. 5. | 4/4: 6 | 1.. 5. | 4/4: 6 1/6\n",
                r#"[{"pass":4,"bar":1,"cue":"the singer holds 'water'"},"#,
                r#"{"pass":4,"bar":3,"cue":"the singer holds 'water'"},"#,
                r#"{"pass":"3-4","bar":4,"bars":"4/4: 6"},"#,
                r#"{"pass":2,"bar":4,"note":"on beat 3: Only here the top moves up."}]"#
            ),
            "Lift x1: 1/4 | 1/5 | 1/6 | 1sus2/5 5\n[]",
            concat!(
                "Chorus x1: 4 | 4... 5. | 6 | ~ || 4 | 5/7 | 5sus4 5 | <1>\n",
                r#"[{"bar":3,"note":"Let it lie through the held bar, and count it."}]"#
            ),
            "Last light x1: 4/1 | 4no3/1 | 1/5 5 | <1>\n[]",
        ]
    );
    let order = imported.song.order.unwrap();
    assert_eq!(order, ["Intro", "Verse", "Lift", "Chorus", "Lift", "Chorus", "Chorus", "Last light"]);
}
