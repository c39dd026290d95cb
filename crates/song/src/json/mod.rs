//! The JSON of a song file: a tree with places, strict, and as much of it as can be had when it has mistakes.

mod depth;
mod string;
mod syntax;

pub(crate) use string::Text;
pub(crate) use syntax::parse;
use syntax::strict;

use crate::Span;
use jsonc_parser::common::Ranged;

pub(crate) use jsonc_parser::ast::{Array, Object, ObjectProp, Value};

/// The tree of a text that is to be changed: JSON, neither too large nor too deep.
pub(crate) fn document(text: &str) -> Option<Value<'_>> {
    if text.len() > crate::limits::FILE_BYTES || depth::too_deep(text).is_some() {
        return None;
    }
    strict(text).ok().flatten()
}

/// The place of a node.
pub(crate) fn span(node: &impl Ranged) -> Span {
    let range = node.range();
    (range.start, range.end)
}

/// The first field of that name.
pub(crate) fn get<'v, 'a>(object: &'v Object<'a>, name: &str) -> Option<&'v Value<'a>> {
    object.properties.iter().find(|p| p.name.as_str() == name).map(|p| &p.value)
}
