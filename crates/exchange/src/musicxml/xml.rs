//! XML written line by line.

use quick_xml::escape::escape;
use std::fmt::Write;

/// A document being written.
pub(super) struct Xml {
    out: String,
    open: Vec<&'static str>,
}

impl Xml {
    /// Begins a document.
    pub fn new() -> Xml {
        Xml { out: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_owned(), open: Vec::new() }
    }

    /// A line that is no element.
    pub fn raw(&mut self, line: &str) {
        self.out.push_str(line);
        self.out.push('\n');
    }

    /// Opens an element; `attributes` as they stand in it, with a space before each.
    pub fn open(&mut self, name: &'static str, attributes: &str) {
        self.indent();
        let _ = writeln!(self.out, "<{name}{attributes}>");
        self.open.push(name);
    }

    /// Closes the element that was opened last.
    pub fn close(&mut self) {
        if let Some(name) = self.open.pop() {
            self.indent();
            let _ = writeln!(self.out, "</{name}>");
        }
    }

    /// An element with text.
    pub fn leaf(&mut self, name: &str, attributes: &str, text: impl std::fmt::Display) {
        self.indent();
        let text = text.to_string();
        let _ = writeln!(self.out, "<{name}{attributes}>{}</{name}>", escape(&text));
    }

    /// An element without anything in it.
    pub fn empty(&mut self, name: &str, attributes: &str) {
        self.indent();
        let _ = writeln!(self.out, "<{name}{attributes}/>");
    }

    /// The document.
    pub fn finish(mut self) -> Vec<u8> {
        while !self.open.is_empty() {
            self.close();
        }
        self.out.into_bytes()
    }

    fn indent(&mut self) {
        for _ in 0..self.open.len() {
            self.out.push(' ');
        }
    }
}

/// A text as the value of an attribute.
pub(super) fn attribute(name: &str, text: &str) -> String {
    format!(" {name}=\"{}\"", escape(text))
}
