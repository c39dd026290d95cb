//! The demo songs together use everything the song format has: the list of what none of them uses is empty.

use crate::demos::SONGS;
use serde_json::Value;
use song::{
    BarContent, Choice, Figure, FigurePlace, FigureSign, HandSettings, ItemKind, LeftShape, Restart, Row,
    Selector, Song,
};
use std::collections::BTreeSet;
use theory::{Extension, NumberChord, Quality};

#[test]
fn no_feature_is_without_a_demo() {
    let used: BTreeSet<String> = SONGS.iter().flat_map(|text| used_in(text)).collect();
    let unused: Vec<String> = all().into_iter().filter(|feature| !used.contains(feature)).collect();
    assert_eq!(unused, Vec::<String>::new(), "features that no demo song uses");
}

/// Everything the format has: the fields from its schema, the signs of the chart and the figures by name.
fn all() -> BTreeSet<String> {
    let mut all: BTreeSet<String> = fields_of_the_schema();
    all.extend(Quality::ALL.iter().map(|q| format!("quality {q:?}")));
    all.extend(Extension::ALL.iter().map(|e| format!("extension {e:?}")));
    all.extend(LeftShape::ALL.iter().map(|s| format!("shape {s:?}")));
    all.extend([Restart::Bar, Restart::Chord].iter().map(|r| format!("restart {r:?}")));
    let signs = "bar of one chord; even split; dots; own meter; slash; accidental; accidental under a slash; tie; \
        repeat; rest; diamond; push; pushed diamond; figure x; figure digit; figure t; figure several; \
        figure v; figure ^; figure -; figure .; selector one; selector list; selector range; selector last; \
        key relative; key absolute; tempo fractional; feel swing; feel straight; bass true; minor key; \
        exception without pass; order repeats a section";
    all.extend(signs.split(';').map(|sign| sign.trim().to_string()));
    all
}

fn fields_of_the_schema() -> BTreeSet<String> {
    let schema: Value = serde_json::from_str(&song::file::schema()).unwrap();
    let mut fields = BTreeSet::new();
    let tables = [
        ("song", &schema),
        ("section", &schema["$defs"]["Section"]),
        ("except", &schema["$defs"]["Exception"]),
        ("right", &schema["$defs"]["RightHand"]),
        ("left", &schema["$defs"]["LeftHand"]),
    ];
    for (name, table) in tables {
        let properties = table["properties"].as_object().unwrap();
        fields.extend(properties.keys().map(|field| format!("{name}.{field}")));
    }
    fields
}

fn used_in(text: &str) -> BTreeSet<String> {
    let mut used = BTreeSet::new();
    fields("song", &serde_json::from_str(text).unwrap(), &mut used);
    signs(&song::read(text).sound().unwrap(), &mut used);
    used
}

fn fields(object: &str, value: &Value, used: &mut BTreeSet<String>) {
    for (field, value) in value.as_object().unwrap() {
        used.insert(format!("{object}.{field}"));
        match field.as_str() {
            "right" | "left" => fields(field, value, used),
            "sections" => value.as_array().unwrap().iter().for_each(|s| fields("section", s, used)),
            "except" => value.as_array().unwrap().iter().for_each(|e| fields("except", e, used)),
            "feel" => drop(used.insert(format!("feel {}", value.as_str().unwrap()))),
            "bass" if value == &Value::Bool(true) => drop(used.insert("bass true".into())),
            "tempo" if value.as_f64().unwrap().fract() > 0.0 => drop(used.insert("tempo fractional".into())),
            _ => {}
        }
    }
}

fn signs(song: &Song, used: &mut BTreeSet<String>) {
    let mut say = |feature: &str| {
        used.insert(feature.to_string());
    };
    if song.key.mode() == theory::Mode::Minor {
        say("minor key");
    }
    let order = song.playing_order();
    if order.iter().collect::<BTreeSet<_>>().len() < order.len() {
        say("order repeats a section");
    }
    hands([&song.plays.right, &song.plays.left], used);
    for section in &song.sections {
        hands([&section.plays.right, &section.plays.left], used);
        rows(&section.rows, used);
        match &section.key {
            Some(key) if matches!(key.value, song::SectionKey::Shift(_)) => {
                used.insert("key relative".into())
            }
            Some(_) => used.insert("key absolute".into()),
            None => false,
        };
        for exception in &section.exceptions {
            hands([&exception.right, &exception.left], used);
            exception.bars.iter().for_each(|put_in| rows(&put_in.rows, used));
            selector(&exception.bar.value, used);
            match &exception.pass {
                Some(pass) => selector(&pass.value, used),
                None => drop(used.insert("exception without pass".into())),
            }
        }
    }
}

fn selector(selector: &Selector, used: &mut BTreeSet<String>) {
    if selector.parts.len() > 1 {
        used.insert("selector list".into());
    }
    for part in &selector.parts {
        let kind = match part {
            Choice::One(_) => "selector one",
            Choice::Range(..) => "selector range",
            Choice::Last => "selector last",
        };
        used.insert(kind.into());
    }
}

fn rows(rows: &[Row], used: &mut BTreeSet<String>) {
    for bar in rows.iter().flat_map(|row| &row.bars) {
        let mut say = |feature: &str| {
            used.insert(feature.to_string());
        };
        if bar.meter.is_some() {
            say("own meter");
        }
        let BarContent::Items(items) = &bar.content else {
            say("repeat");
            continue;
        };
        match (items.len(), items[0].dots) {
            (1, 0) => say("bar of one chord"),
            (_, 0) => say("even split"),
            _ => say("dots"),
        }
        for item in items {
            match &item.kind {
                ItemKind::Tie => drop(used.insert("tie".into())),
                ItemKind::Rest => drop(used.insert("rest".into())),
                ItemKind::Chord { chord, push, diamond, .. } => {
                    let mark =
                        [(false, true, "diamond"), (true, false, "push"), (true, true, "pushed diamond")];
                    let mark = mark.iter().find(|(p, d, _)| p == push && d == diamond);
                    used.extend(mark.map(|(_, _, name)| (*name).to_string()));
                    chord_signs(chord, used);
                }
            }
        }
    }
}

fn chord_signs(chord: &NumberChord, used: &mut BTreeSet<String>) {
    used.extend(chord.quality.map(|q| format!("quality {q:?}")));
    used.extend(chord.extension.map(|e| format!("extension {e:?}")));
    if chord.root.alter() != 0 {
        used.insert("accidental".into());
    }
    if let Some(under) = chord.under {
        used.insert("slash".into());
        if under.alter() != 0 {
            used.insert("accidental under a slash".into());
        }
    }
}

fn hands(both: [&HandSettings; 2], used: &mut BTreeSet<String>) {
    for hand in both {
        used.extend(hand.shape.map(|s| format!("shape {:?}", s.value)));
        used.extend(hand.restart.map(|r| format!("restart {r:?}")));
        hand.figure.iter().for_each(|figure| figure_signs(&figure.value, used));
    }
}

fn figure_signs(figure: &Figure, used: &mut BTreeSet<String>) {
    for sign in figure.beats.iter().flatten() {
        let mut say = |feature: &str| {
            used.insert(feature.to_string());
        };
        let FigureSign::Notes(notes) = sign else {
            say(match sign {
                FigureSign::Strike => "figure x",
                FigureSign::Hold => "figure -",
                _ => "figure .",
            });
            continue;
        };
        if notes.len() > 1 {
            say("figure several");
        }
        for note in notes {
            say(match (note.neighbour, note.which) {
                (-1, _) => "figure v",
                (1, _) => "figure ^",
                (_, FigurePlace::Top) => "figure t",
                _ => "figure digit",
            });
        }
    }
}
