//! JSON text to a tree: strict about what JSON is, and able to go on reading behind the usual slips of the hand.

use super::Value;
use super::depth::{left_open, too_deep};
use crate::limits::DEPTH;
use crate::report::Report;
use jsonc_parser::errors::{ParseError, ParseErrorKind};
use jsonc_parser::{CollectOptions, ParseOptions, parse_to_ast};

/// The tree of a text. Mistakes in the JSON are reported; where they are slips (a comma, a comment) there is a tree
/// nevertheless, so that the mistakes in the song can be told at the same time.
pub(crate) fn parse<'a>(text: &'a str, report: &mut Report) -> Option<Value<'a>> {
    if let Some(span) = too_deep(text) {
        let what = format!("lists and objects lie more than {DEPTH} deep in one another here");
        report.error(span, what, "a song needs only a few levels");
        return None;
    }
    if let Some(span) = left_open(text) {
        report.error(
            span,
            "this text has no closing quote on its line",
            "close it with \"; a line break inside is \\n",
        );
        return tree(text, &lenient()).ok().flatten();
    }
    match strict(text) {
        Ok(value) => {
            not_quite_json(text, report);
            if value.is_none() {
                report.error((0, text.len()), "the file is empty", "write a song: { \"format\": 1, … }");
            }
            value
        }
        Err(error) => {
            let mut told = vec![report_syntax(text, &error, report)];
            for option in SLIPS {
                let mut options = lenient();
                option(&mut options);
                if let Err(other) = tree(text, &options)
                    && !told.contains(&other.range().start)
                    && tree(text, &lenient()).is_ok()
                {
                    told.push(report_syntax(text, &other, report));
                }
            }
            tree(text, &lenient()).ok().flatten()
        }
    }
}

/// The tree of a text that is JSON and nothing else.
pub(super) fn strict(text: &str) -> Result<Option<Value<'_>>, ParseError> {
    tree(text, &options(false))
}

/// One slip forbidden at a time, so that the first of each kind is told.
const SLIPS: [fn(&mut ParseOptions); 5] = [
    |o| o.allow_comments = false,
    |o| o.allow_trailing_commas = false,
    |o| o.allow_missing_commas = false,
    |o| o.allow_single_quoted_strings = false,
    |o| o.allow_loose_object_property_names = false,
];

fn lenient() -> ParseOptions {
    ParseOptions { allow_extended_string_escapes: false, ..options(true) }
}

fn options(allow: bool) -> ParseOptions {
    ParseOptions {
        allow_comments: allow,
        allow_loose_object_property_names: allow,
        allow_trailing_commas: allow,
        allow_missing_commas: allow,
        allow_single_quoted_strings: allow,
        allow_hexadecimal_numbers: allow,
        allow_unary_plus_numbers: allow,
        allow_bare_decimal_point_numbers: allow,
        allow_non_finite_numbers: allow,
        allow_extended_string_escapes: allow,
    }
}

fn tree<'a>(text: &'a str, options: &ParseOptions) -> Result<Option<Value<'a>>, ParseError> {
    parse_to_ast(text, &CollectOptions::default(), options).map(|result| result.value)
}

fn report_syntax(text: &str, error: &ParseError, report: &mut Report) -> usize {
    let range = error.range();
    let (message, hint) = in_words(error.kind());
    report.error((range.start, range.end.min(text.len())), message, hint);
    range.start
}

/// What the tree lets through and JSON does not, such as odd spaces and raw line breaks in strings.
fn not_quite_json(text: &str, report: &mut Report) {
    let Err(error) = serde_json::from_str::<serde::de::IgnoredAny>(text) else { return };
    if error.line() == 0 || error.is_eof() {
        return;
    }
    let before: usize = text.split_inclusive('\n').take(error.line() - 1).map(str::len).sum();
    let mut at = (before + error.column().saturating_sub(1)).min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    let message = error.to_string();
    let what = message.split(" at line").next().unwrap_or_default();
    report.error((at, at), format!("this is not JSON: {what}"), "");
}

fn in_words(kind: &ParseErrorKind) -> (String, &'static str) {
    use ParseErrorKind as K;
    let (what, hint) = match kind {
        K::TrailingCommasNotAllowed => ("nothing follows this comma", "take the comma away"),
        K::CommentsNotAllowed => ("a song file has no comments", "put words into a \"note\""),
        K::ExpectedComma => {
            ("a comma is missing before this", "put a comma between fields and between list items")
        }
        K::SingleQuotedStringsNotAllowed => ("text stands in double quotes", "write \"…\" in place of '…'"),
        K::ExpectedStringObjectProperty => {
            ("the name of a field stands in double quotes", "write for example \"tempo\": 72")
        }
        K::ExpectedColonAfterObjectKey => {
            ("a colon is missing behind the name of this field", "write for example \"tempo\": 72")
        }
        K::ExpectedObjectValue => ("this field has no value", "write one behind the colon"),
        K::UnterminatedArray => ("this list is not closed", "close it with ]"),
        K::UnterminatedObject => ("this object is not closed", "close it with }"),
        K::MultipleRootJsonValues => ("the song ends before this", "take away what follows the last }"),
        K::UnexpectedCloseBrace => ("this } has no {", "take it away, or open the object"),
        K::UnexpectedCloseBracket => ("this ] has no [", "take it away, or open the list"),
        K::UnexpectedWord => ("this text has no quotes", "write \"…\" around it"),
        other => return (format!("this is not JSON: {}", other.to_string().to_lowercase()), ""),
    };
    (what.to_string(), hint)
}
