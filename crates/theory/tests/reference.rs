//! Reading the reference rows.

use serde_json::Value;
use theory::{Key, NoteName};

pub fn rows(text: &str) -> Vec<Value> {
    let rows: Vec<Value> = serde_json::from_str(text).unwrap();
    assert!(!rows.is_empty());
    rows
}

pub fn text<'a>(row: &'a Value, field: &str) -> &'a str {
    row[field].as_str().unwrap_or_else(|| panic!("{field} in {row}"))
}

pub fn number(row: &Value, field: &str) -> i64 {
    row[field].as_i64().unwrap_or_else(|| panic!("{field} in {row}"))
}

pub fn numbers(value: &Value) -> Vec<i64> {
    value.as_array().unwrap().iter().map(|n| n.as_i64().unwrap()).collect()
}

pub fn names(row: &Value, field: &str) -> Vec<String> {
    row[field].as_array().unwrap().iter().map(|n| n.as_str().unwrap().to_string()).collect()
}

pub fn written(names: impl IntoIterator<Item = NoteName>) -> Vec<String> {
    names.into_iter().map(|n| n.to_string()).collect()
}

pub fn key(text: &str) -> Key {
    text.parse().unwrap()
}
