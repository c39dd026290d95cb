//! XML as a tree, within bounds: no entities of its own, no depth, no size beyond a score's. Measures are handed over one
//! by one, so that a long score is never in memory as a whole.

use crate::ExchangeError;
use quick_xml::Reader;
use quick_xml::events::{BytesRef, BytesStart, Event};

/// An element with what is in it; names without their prefixes.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(crate) struct Element {
    pub name: String,
    pub attributes: Vec<(String, String)>,
    pub children: Vec<Element>,
    pub text: String,
}

/// The largest file, in bytes.
pub(crate) const MOST_BYTES: usize = 64 << 20;
/// How deep elements may lie in one another; a score needs a dozen.
const DEPTH: usize = 48;
/// Elements in memory at once.
const HELD: usize = 200_000;
/// The longest text of one element, in bytes.
const TEXT: usize = 20_000;

impl Element {
    /// The first child of a name.
    pub fn child(&self, name: &str) -> Option<&Element> {
        self.children.iter().find(|child| child.name == name)
    }

    /// The children of a name.
    pub fn all<'a>(&'a self, name: &'a str) -> impl Iterator<Item = &'a Element> {
        self.children.iter().filter(move |child| child.name == name)
    }

    /// The text of the first child of a name.
    pub fn text_of(&self, name: &str) -> Option<&str> {
        self.child(name).map(|child| child.text.trim()).filter(|text| !text.is_empty())
    }

    /// The number in the first child of a name; a fraction is cut off.
    pub fn number_of(&self, name: &str) -> Option<i64> {
        number(self.text_of(name)?)
    }

    /// The decimal number in the first child of a name, in millionths.
    pub fn decimal_of(&self, name: &str) -> Option<i64> {
        decimal(self.text_of(name)?)
    }

    /// An attribute.
    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(own, _)| own == name).map(|(_, value)| value.trim())
    }

    /// Whether an attribute says yes.
    pub fn says(&self, name: &str) -> bool {
        self.attribute(name) == Some("yes")
    }
}

/// Parts of one in which decimals are counted.
pub(crate) const PARTS: i64 = 1_000_000;

/// A decimal number in millionths, within a billion; what is finer is rounded.
pub(crate) fn decimal(text: &str) -> Option<i64> {
    let number: f64 = text.trim().parse().ok()?;
    (number.abs() <= 1e9).then(|| (number * PARTS as f64).round() as i64)
}

/// A whole number within a billion.
pub(crate) fn number(text: &str) -> Option<i64> {
    let whole = text.split('.').next()?.trim();
    whole.trim_start_matches('+').parse().ok().filter(|n: &i64| n.abs() <= 1_000_000_000)
}

/// Reads a document. Elements called `handed_over` go to `take`, with the elements that they lie in, instead of into the
/// tree.
pub(crate) fn read(
    text: &str,
    handed_over: &str,
    mut take: impl FnMut(&[Element], Element) -> Result<(), ExchangeError>,
) -> Result<Element, ExchangeError> {
    let mut reader = Reader::from_str(text);
    let mut open: Vec<Element> = Vec::new();
    let mut held = 0;
    loop {
        let event = reader.read_event();
        let at = usize::try_from(reader.buffer_position()).unwrap_or(usize::MAX);
        let bad = |what: String| bad_xml(text, at, what);
        match event.map_err(|e| bad(e.to_string()))? {
            Event::Start(start) => {
                held += 1;
                if open.len() >= DEPTH {
                    return Err(ExchangeError::Refused("its elements lie too deep in one another"));
                }
                if held > HELD {
                    return Err(ExchangeError::Refused("it has too many elements in one place"));
                }
                open.push(element(&start).map_err(bad)?);
            }
            Event::Empty(start) => {
                held += 1;
                if held > HELD {
                    return Err(ExchangeError::Refused("it has too many elements in one place"));
                }
                let element = element(&start).map_err(bad)?;
                match open.last_mut() {
                    Some(_) if element.name == handed_over => {
                        held -= 1;
                        take(&open, element)?;
                    }
                    Some(parent) => parent.children.push(element),
                    None => return Ok(element),
                }
            }
            Event::End(_) => {
                let Some(done) = open.pop() else { continue };
                if done.name == handed_over && !open.is_empty() {
                    held -= count(&done);
                    take(&open, done)?;
                } else if let Some(parent) = open.last_mut() {
                    parent.children.push(done);
                } else {
                    return Ok(done);
                }
            }
            Event::Text(part) => add(&mut open, &part.decode().map_err(|e| bad(e.to_string()))?)?,
            Event::CData(part) => add(&mut open, &part.decode().map_err(|e| bad(e.to_string()))?)?,
            Event::GeneralRef(name) => add(&mut open, &resolved(&name).map_err(bad)?)?,
            Event::DocType(doctype) => {
                if doctype.windows(8).any(|window| window == b"<!ENTITY") {
                    return Err(ExchangeError::Refused("it defines entities of its own"));
                }
            }
            Event::Eof => {
                let what = open.last().map_or("there is nothing in it".to_owned(), |last| {
                    format!("it ends before <{}> is closed", last.name)
                });
                return Err(bad(what));
            }
            Event::Comment(_) | Event::Decl(_) | Event::PI(_) => {}
        }
    }
}

/// The bytes of a document as text: UTF-8, UTF-16, or what older programs wrote (Extensible Markup Language 1.0, appendix F).
///
/// # Errors
/// Where it is larger than any score, or says that its letters are written in a way that is not known.
pub(crate) fn decoded(bytes: &[u8]) -> Result<String, ExchangeError> {
    if bytes.len() > MOST_BYTES {
        return Err(ExchangeError::Refused("it is larger than 64 MB"));
    }
    let wide = |bytes: &[u8], of: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes.chunks_exact(2).map(|pair| of([pair[0], pair[1]])).collect();
        String::from_utf16_lossy(&units)
    };
    Ok(match bytes {
        [0xFF, 0xFE, rest @ ..] => wide(rest, u16::from_le_bytes),
        [0xFE, 0xFF, rest @ ..] => wide(rest, u16::from_be_bytes),
        // Without its mark, the first sign of a document tells.
        [b'<', 0, ..] => wide(bytes, u16::from_le_bytes),
        [0, b'<', ..] => wide(bytes, u16::from_be_bytes),
        [0xEF, 0xBB, 0xBF, rest @ ..] => String::from_utf8_lossy(rest).into_owned(),
        _ => match std::str::from_utf8(bytes) {
            Ok(text) => text.to_owned(),
            Err(_) => latin(bytes)?,
        },
    })
}

/// Text of which each byte is a letter: ISO 8859-1, with what Windows has in place of its control signs (code page 1252).
fn latin(bytes: &[u8]) -> Result<String, ExchangeError> {
    const WINDOWS: [char; 32] = [
        '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8D}', 'Ž', '\u{8F}',
        '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9D}', 'ž', 'Ÿ',
    ];
    let said = says_encoding(bytes).to_ascii_lowercase();
    let plain = ["", "utf-8", "utf8", "us-ascii", "ascii"];
    let western = ["iso-8859-1", "iso8859-1", "latin1", "latin-1", "windows-1252", "cp1252"];
    if !plain.iter().chain(&western).any(|known| *known == said) {
        return Err(ExchangeError::NotAScore(format!(
            "its letters are written as {said}, which is not known here"
        )));
    }
    let letter = |byte: u8| match byte {
        0x80..=0x9F => WINDOWS[usize::from(byte - 0x80)],
        // The letters of ISO 8859-1 are the first of Unicode.
        byte => char::from(byte),
    };
    Ok(bytes.iter().map(|byte| letter(*byte)).collect())
}

/// The encoding that the declaration of a document names.
fn says_encoding(bytes: &[u8]) -> String {
    let head: String = bytes.iter().take(200).map(|byte| char::from(*byte)).collect();
    let declaration = head.split_once("?>").map_or("", |(declaration, _)| declaration);
    let after = declaration.split_once("encoding").map_or("", |(_, after)| after);
    let mut parts = after.split(['"', '\'']);
    parts.nth(1).unwrap_or_default().trim().to_owned()
}

fn element(start: &BytesStart<'_>) -> Result<Element, String> {
    let name = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let mut attributes = Vec::new();
    for attribute in start.attributes() {
        let attribute = attribute.map_err(|e| e.to_string())?;
        let value =
            attribute.normalized_value(quick_xml::XmlVersion::Implicit1_0).map_err(|e| e.to_string())?;
        if value.len() > TEXT || attributes.len() > 100 {
            return Err("an attribute is too long".to_owned());
        }
        attributes.push((name(attribute.key.local_name().as_ref()), value.into_owned()));
    }
    let name = name(start.local_name().as_ref());
    Ok(Element { name, attributes, ..Element::default() })
}

/// A reference to a sign: one of the five that XML has, or a number.
fn resolved(reference: &BytesRef<'_>) -> Result<String, String> {
    let name = reference.decode().map_err(|e| e.to_string())?;
    let known = match name.as_ref() {
        "amp" => Some('&'),
        "lt" => Some('<'),
        "gt" => Some('>'),
        "quot" => Some('"'),
        "apos" => Some('\''),
        _ => reference.resolve_char_ref().map_err(|e| e.to_string())?,
    };
    known.map(String::from).ok_or_else(|| format!("&{name}; is not defined"))
}

fn add(open: &mut [Element], text: &str) -> Result<(), ExchangeError> {
    if let Some(last) = open.last_mut() {
        if last.text.len() + text.len() > TEXT {
            return Err(ExchangeError::Refused("one of its texts is longer than a page"));
        }
        last.text.push_str(text);
    }
    Ok(())
}

fn count(element: &Element) -> usize {
    1 + element.children.iter().map(count).sum::<usize>()
}

fn bad_xml(text: &str, at: usize, what: String) -> ExchangeError {
    let before = &text.as_bytes()[..at.min(text.len())];
    ExchangeError::BadXml { line: 1 + before.iter().filter(|byte| **byte == b'\n').count(), what }
}
