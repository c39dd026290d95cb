//! The JSON Schema is that of the mirror types, and the mirror types know the fields that the reader knows.

use expect_test::expect_file;
use serde_json::Value;
use std::collections::BTreeSet;

const SCHEMA: &str = include_str!("../../../assets/song.schema.json");

#[test]
fn schema_file_is_the_generated_one() {
    let parsed = |text: &str| serde_json::from_str::<Value>(text).ok();
    // The order of properties depends on features of serde_json that other crates may ask for; it means nothing.
    if parsed(SCHEMA) != parsed(&song::file::schema()) {
        expect_file!["../../../assets/song.schema.json"].assert_eq(&song::file::schema());
    }
}

#[test]
fn reader_and_schema_know_the_same_fields() {
    let schema: Value = serde_json::from_str(SCHEMA).unwrap();
    let definitions = &schema["$defs"];
    let tables = [
        (&schema, song::limits::fields::SONG),
        (&definitions["Section"], song::limits::fields::SECTION),
        (&definitions["Exception"], song::limits::fields::EXCEPTION),
        (&definitions["Goal"], song::limits::fields::GOAL),
        (&definitions["RightHand"], song::limits::fields::RIGHT),
        (&definitions["LeftHand"], song::limits::fields::LEFT),
    ];
    for (object, known) in tables {
        let properties: BTreeSet<&str> =
            object["properties"].as_object().unwrap().keys().map(String::as_str).collect();
        assert_eq!(properties, known.iter().copied().collect());
        assert_eq!(object["additionalProperties"], Value::Bool(false));
    }
}

#[test]
fn required_fields_of_the_schema_are_missed_by_the_reader() {
    let schema: Value = serde_json::from_str(SCHEMA).unwrap();
    for field in schema["required"].as_array().unwrap() {
        let field = field.as_str().unwrap();
        let wanted = format!("the song has no {field};");
        let told = song::read("{}").diagnostics;
        assert!(told.iter().any(|d| d.to_string().contains(&wanted)), "{field}: {told:?}");
    }
}

#[test]
fn demo_songs_fit_the_mirror_types() {
    for text in crate::demos::SONGS {
        let song: song::file::Song = serde_json::from_str(text).unwrap();
        let again = song::read(&song.to_text()).sound().unwrap();
        let (first, second) = (song::read(text).sound().unwrap().play(), again.play());
        assert_eq!(first.bars.len(), second.bars.len());
    }
}
