//! Saving: edits that change what they mean to and nothing else, not a space.

use crate::Span;
use crate::json::{self, Object, ObjectProp, Value};

/// Why a file cannot be edited.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SaveError {
    /// The text is no JSON, so there is nowhere to put anything.
    #[error("the file has a mistake in its JSON; mend that first")]
    NotJson,
    /// There is no object at that place.
    #[error("there is no object at that place of the file")]
    NoSuchPlace,
}

/// A step into a JSON document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// A field of an object.
    Field(String),
    /// An element of a list, from 0.
    Element(usize),
}

/// One change of a text: these bytes give way to that text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// The bytes that give way; empty to put text in.
    pub span: Span,
    /// What takes their place.
    pub text: String,
}

impl Edit {
    /// The text with the change made.
    pub fn apply(&self, text: &str) -> String {
        format!("{}{}{}", &text[..self.span.0], self.text, &text[self.span.1..])
    }
}

/// The song file with this identity, all else byte for byte as it was.
///
/// ```
/// let text = "{\n  \"format\": 1,\n  \"title\": \"Lock\"\n}\n";
/// let saved = song::with_id(text, "k3v9").unwrap();
/// assert_eq!(saved, "{\n  \"format\": 1,\n  \"id\": \"k3v9\",\n  \"title\": \"Lock\"\n}\n");
/// ```
///
/// # Errors
/// If the text is no JSON object.
pub fn with_id(text: &str, id: &str) -> Result<String, SaveError> {
    let value = serde_json::Value::String(id.to_string()).to_string();
    set_field(text, &[], "id", &value, Some("format")).map(|edit| edit.apply(text))
}

/// The change that gives an object of the document a field: its value is replaced if it is there, and otherwise the
/// field is put behind `after` (or last), laid out like its neighbours. `value` is JSON.
///
/// # Errors
/// If the text is no JSON, or `path` does not lead to an object.
pub fn set_field(
    text: &str,
    path: &[Step],
    field: &str,
    value: &str,
    after: Option<&str>,
) -> Result<Edit, SaveError> {
    let root = json::document(text).ok_or(SaveError::NotJson)?;
    let object = find(&root, path).and_then(Value::as_object).ok_or(SaveError::NoSuchPlace)?;
    if let Some(old) = json::get(object, field) {
        return Ok(Edit { span: json::span(old), text: value.to_string() });
    }
    let colon = object.properties.first().map_or(": ", |first| colon(text, first));
    let entry = format!("{}{colon}{value}", serde_json::Value::from(field));
    Ok(insertion(text, object, &entry, after))
}

fn find<'v, 'a>(root: &'v Value<'a>, path: &[Step]) -> Option<&'v Value<'a>> {
    path.iter().try_fold(root, |value, step| match step {
        Step::Field(name) => json::get(value.as_object()?, name),
        Step::Element(index) => value.as_array()?.elements.get(*index),
    })
}

/// Where a new field goes, with the white space that parts its neighbours.
fn insertion(text: &str, object: &Object<'_>, entry: &str, after: Option<&str>) -> Edit {
    let fields = &object.properties;
    let open = json::span(object).0 + 1;
    let Some(first) = fields.first() else {
        return Edit { span: (open, open), text: entry.to_string() };
    };
    let before = after.and_then(|name| fields.iter().position(|p| p.name.as_str() == name));
    let index = before.unwrap_or(fields.len() - 1);
    let end = json::span(&fields[index]).1;
    let gap = match fields.get(1) {
        Some(second) => behind_comma(&text[json::span(first).1..json::span(second).0]),
        None => &text[open..json::span(first).0],
    };
    let gap = if gap.is_empty() && text[open..].starts_with(' ') { " " } else { gap };
    Edit { span: (end, end), text: format!(",{gap}{entry}") }
}

/// What parts name and value, as the file has it.
fn colon<'t>(text: &'t str, property: &ObjectProp<'_>) -> &'t str {
    let colon = &text[json::span(&property.name).1..json::span(&property.value).0];
    if colon.contains('\n') { ": " } else { colon }
}

fn behind_comma(between: &str) -> &str {
    between.split_once(',').map_or("", |(_, gap)| gap)
}
