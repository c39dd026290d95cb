//! Headings of sections: `[Verse 1]`, `CHORUS x2`, `Intro: G | D`.

use super::token::{TokenKind, times};

/// What players call the parts of a song (common practice, no source).
const WORDS: &[&str] = &[
    "intro",
    "introduction",
    "verse",
    "vers",
    "chorus",
    "refrain",
    "bridge",
    "prechorus",
    "pre",
    "interlude",
    "instrumental",
    "solo",
    "outro",
    "ending",
    "end",
    "coda",
    "tag",
    "break",
    "breakdown",
    "hook",
    "vamp",
    "turnaround",
    "turn",
    "middle",
    "lift",
    "riff",
    "build",
    "part",
    "section",
    "channel",
    "climb",
    "rise",
    "link",
    "theme",
    "head",
    "strain",
];

/// A heading at the beginning of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Heading {
    pub name: String,
    pub passes: Option<u32>,
    /// How many bytes of the line it takes; chords may follow.
    pub length: usize,
    /// It could be something else.
    pub unsure: bool,
}

/// The heading that a line begins with.
pub(super) fn heading(line: &str) -> Option<Heading> {
    let indent = line.len() - line.trim_start().len();
    let body = line.trim_start();
    let mut found = bracketed(body).or_else(|| with_colon(body)).or_else(|| bare(body))?;
    found.length += indent;
    (!found.name.is_empty()).then_some(found)
}

/// `[Verse 1]`, `== Bridge ==`, `# Verse`
fn bracketed(body: &str) -> Option<Heading> {
    if body.starts_with('[') {
        let close = body.find(']')?;
        let inner = body[1..close].trim();
        // A chord in square brackets is a chord.
        if crate::letters::read(inner).is_ok()
            || inner.parse::<theory::NumberChord>().is_ok()
            || inner.is_empty()
        {
            return None;
        }
        let (name, inside) = name_and_passes(inner);
        let (behind, used) = passes_behind(&body[close + 1..]);
        return Some(Heading { name, passes: inside.or(behind), length: close + 1 + used, unsure: false });
    }
    let inner = body.trim_end().trim_matches(['=', '#', '*', '_']).trim();
    if inner.len() < body.trim_end().len() && begins_with_word(inner) {
        let (name, passes) = name_and_passes(inner);
        return Some(Heading { name, passes, length: body.len(), unsure: false });
    }
    None
}

/// `Verse 1: G | D`
fn with_colon(body: &str) -> Option<Heading> {
    let colon = body.find(':')?;
    let inner = &body[..colon];
    if !begins_with_word(inner) || body[colon + 1..].starts_with('|') {
        return None;
    }
    let (name, passes) = name_and_passes(inner);
    Some(Heading { name, passes, length: colon + 1, unsure: false })
}

/// `VERSE 2`, `Chorus (x2)`, with nothing but a number, a repeat, or chords behind.
fn bare(body: &str) -> Option<Heading> {
    if !begins_with_word(body) {
        return None;
    }
    let mut length = 0;
    let mut passes = None;
    for word in body.split_inclusive(char::is_whitespace) {
        let bare = word.trim();
        if let Some(TokenKind::Times(n)) = times(bare) {
            passes = Some(n);
        } else if length > 0 && !belongs(bare) {
            break;
        }
        length += word.len();
    }
    let rest = body[length..].trim();
    let chords = super::token::tokens(rest, 0);
    let only_chords = chords.iter().all(|token| token.kind != TokenKind::Word);
    if !rest.is_empty() && !only_chords {
        return None;
    }
    let (name, _) = name_and_passes(&body[..length]);
    Some(Heading { name, passes, length, unsure: !rest.is_empty() })
}

fn begins_with_word(text: &str) -> bool {
    let first: String = text.chars().take_while(|c| c.is_alphabetic()).collect();
    let first = first.to_lowercase();
    WORDS.contains(&first.as_str())
}

/// A further word of a heading: a number, a letter behind `part`, another of its words.
fn belongs(word: &str) -> bool {
    let plain = word.trim_matches(['(', ')', ':', '.', '-']);
    plain.parse::<u8>().is_ok_and(|n| n > 0) && !plain.contains(['b', '#'])
        || matches!(plain, "I" | "II" | "III" | "IV" | "-" | "")
        || begins_with_word(plain)
}

/// A heading without its repeat sign.
fn name_and_passes(text: &str) -> (String, Option<u32>) {
    let mut passes = None;
    let words = text.split_whitespace().filter(|word| match times(word) {
        Some(TokenKind::Times(n)) => {
            passes = Some(n);
            false
        }
        _ => true,
    });
    let name: Vec<&str> = words.collect();
    (name.join(" ").trim_matches([':', '-', ' ']).to_string(), passes)
}

/// A repeat sign right behind a bracket, and how many bytes it takes.
fn passes_behind(rest: &str) -> (Option<u32>, usize) {
    let word = rest.trim_start();
    let lead = rest.len() - word.len();
    let word = word.split_whitespace().next().unwrap_or_default();
    match times(word) {
        Some(TokenKind::Times(n)) => (Some(n), lead + word.len()),
        _ => (None, 0),
    }
}
