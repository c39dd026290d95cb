//! A JSON document with every byte of its layout, to be changed and printed again.

use super::layout;
use crate::Span;
use crate::json::{self, Value};

/// A value with its layout. Printing gives the text it was read from, byte for byte.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Node {
    Object(Object),
    List(List),
    /// A text, number, `true`, `false` or `null`, as written.
    Leaf(String),
}

/// An object: its fields, and the space before the closing brace.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) struct Object {
    pub fields: Vec<Field>,
    pub close: String,
}

/// A field of an object with the space around its parts.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Field {
    /// The space before the name.
    pub lead: String,
    pub name: String,
    /// The name as written, with quotes.
    pub raw_name: String,
    /// The colon and the space around it.
    pub colon: String,
    pub value: Node,
    /// The space before the comma.
    pub trail: String,
}

/// A list: its items, and the space before the closing bracket.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) struct List {
    pub items: Vec<Item>,
    pub close: String,
}

/// An item of a list with the space around it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Item {
    pub lead: String,
    pub value: Node,
    pub trail: String,
    /// The column it was read at, in characters from 0, where known.
    pub column: Option<usize>,
}

impl Node {
    /// A text.
    pub fn text(text: &str) -> Node {
        Node::Leaf(serde_json::Value::from(text).to_string())
    }

    /// A number, `true` or `false`.
    pub fn plain(value: impl ToString) -> Node {
        Node::Leaf(value.to_string())
    }

    /// An object on one line: `{ "pass": 3, "bar": 4 }`.
    pub fn object(fields: impl IntoIterator<Item = (&'static str, Node)>) -> Node {
        let mut object = Object { fields: Vec::new(), close: " ".into() };
        object.fields.extend(fields.into_iter().map(|(name, value)| Field::new(" ", name, ": ", value)));
        Node::Object(object)
    }

    /// A list on one line: `[1, 3]`.
    pub fn list(values: impl IntoIterator<Item = Node>) -> Node {
        let mut list = List::default();
        for value in values {
            let lead = if list.items.is_empty() { "" } else { " " };
            list.items.push(Item { lead: lead.into(), value, trail: String::new(), column: None });
        }
        Node::List(list)
    }

    /// The text of a JSON string, escapes undone.
    pub fn as_text(&self) -> Option<String> {
        match self {
            Node::Leaf(raw) if raw.starts_with('"') => serde_json::from_str(raw).ok(),
            _ => None,
        }
    }

    /// A whole number.
    pub fn as_number(&self) -> Option<u32> {
        let Node::Leaf(raw) = self else { return None };
        let number: f64 = raw.parse().ok()?;
        (number.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&number)).then_some(number as u32)
    }

    pub fn as_object(&self) -> Option<&Object> {
        match self {
            Node::Object(object) => Some(object),
            _ => None,
        }
    }

    pub fn as_object_mut(&mut self) -> Option<&mut Object> {
        match self {
            Node::Object(object) => Some(object),
            _ => None,
        }
    }

    pub fn as_list(&self) -> Option<&List> {
        match self {
            Node::List(list) => Some(list),
            _ => None,
        }
    }

    pub fn as_list_mut(&mut self) -> Option<&mut List> {
        match self {
            Node::List(list) => Some(list),
            _ => None,
        }
    }

    /// Reads a node of the tree with places.
    pub fn of(value: &Value<'_>, text: &str) -> Node {
        let span = json::span(value);
        match value {
            Value::Object(object) => Node::Object(object_of(object, text)),
            Value::Array(array) => Node::List(list_of(array, text)),
            _ => Node::Leaf(text[span.0..span.1].to_string()),
        }
    }

    /// Appends the text of the node.
    pub fn print(&self, out: &mut String) {
        match self {
            Node::Leaf(raw) => out.push_str(raw),
            Node::Object(object) => {
                out.push('{');
                for (i, field) in object.fields.iter().enumerate() {
                    out.push_str(if i == 0 { "" } else { "," });
                    out.push_str(&field.lead);
                    out.push_str(&field.raw_name);
                    out.push_str(&field.colon);
                    field.value.print(out);
                    out.push_str(&field.trail);
                }
                out.push_str(&object.close);
                out.push('}');
            }
            Node::List(list) => {
                out.push('[');
                for (i, item) in list.items.iter().enumerate() {
                    out.push_str(if i == 0 { "" } else { "," });
                    out.push_str(&item.lead);
                    item.value.print(out);
                    out.push_str(&item.trail);
                }
                out.push_str(&list.close);
                out.push(']');
            }
        }
    }
}

impl Field {
    pub fn new(lead: &str, name: &str, colon: &str, value: Node) -> Field {
        let raw_name = serde_json::Value::from(name).to_string();
        let (lead, colon) = (lead.to_string(), colon.to_string());
        Field { lead, name: name.to_string(), raw_name, colon, value, trail: String::new() }
    }
}

impl Object {
    pub fn get(&self, name: &str) -> Option<&Node> {
        self.fields.iter().find(|field| field.name == name).map(|field| &field.value)
    }

    pub fn get_mut(&mut self, name: &str) -> Option<&mut Node> {
        self.fields.iter_mut().find(|field| field.name == name).map(|field| &mut field.value)
    }

    /// Sets a field: its value where it is there, else it is put in at its place in `order`, laid out like its
    /// neighbours.
    pub fn set(&mut self, name: &str, value: Node, order: &[&str]) {
        match self.get_mut(name) {
            Some(old) if *old == value => {}
            Some(old) => *old = value,
            None => layout::insert_field(self, name, value, order),
        }
    }

    /// Takes a field out, if it is there.
    pub fn remove(&mut self, name: &str) -> Option<Node> {
        let at = self.fields.iter().position(|field| field.name == name)?;
        Some(layout::remove_field(self, at))
    }

    /// Sets a field, or takes it out where there is no value.
    pub fn put(&mut self, name: &str, value: Option<Node>, order: &[&str]) {
        match value {
            Some(value) => self.set(name, value, order),
            None => drop(self.remove(name)),
        }
    }
}

fn object_of(object: &json::Object<'_>, text: &str) -> Object {
    let span = json::span(object);
    let mut at = span.0 + 1;
    let mut fields: Vec<Field> = Vec::with_capacity(object.properties.len());
    for property in &object.properties {
        let (name, value) = (json::span(&property.name), json::span(&property.value));
        let (trail, lead) = around_comma(text, (at, name.0), fields.is_empty());
        if let Some(last) = fields.last_mut() {
            last.trail = trail;
        }
        fields.push(Field {
            lead,
            name: property.name.as_str().to_string(),
            raw_name: text[name.0..name.1].to_string(),
            colon: text[name.1..value.0].to_string(),
            value: Node::of(&property.value, text),
            trail: String::new(),
        });
        at = value.1;
    }
    Object { fields, close: text[at..span.1 - 1].to_string() }
}

fn list_of(array: &json::Array<'_>, text: &str) -> List {
    let span = json::span(array);
    let mut at = span.0 + 1;
    let mut items: Vec<Item> = Vec::with_capacity(array.elements.len());
    for element in &array.elements {
        let place = json::span(element);
        let (trail, lead) = around_comma(text, (at, place.0), items.is_empty());
        if let Some(last) = items.last_mut() {
            last.trail = trail;
        }
        let column = (items.len() < 2).then(|| column(text, place.0));
        items.push(Item { lead, value: Node::of(element, text), trail: String::new(), column });
        at = place.1;
    }
    List { items, close: text[at..span.1 - 1].to_string() }
}

/// The space before and behind the comma between two neighbours; the first has none before it.
fn around_comma(text: &str, between: Span, first: bool) -> (String, String) {
    let between = &text[between.0..between.1];
    match between.split_once(',') {
        Some((trail, lead)) if !first => (trail.to_string(), lead.to_string()),
        _ => (String::new(), between.to_string()),
    }
}

fn column(text: &str, at: usize) -> usize {
    let line = text[..at].rfind('\n').map_or(0, |newline| newline + 1);
    text[line..at].chars().count()
}
