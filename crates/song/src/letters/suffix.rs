//! What stands behind the root: `m7b5`, `sus4`, `(add9)`. Publishers differ; all the usual ways are read (common
//! practice, no source).

use theory::{Extension, Quality};

/// A suffix as far as a number chart can say it.
#[derive(Debug)]
pub(super) struct Suffix {
    pub quality: Quality,
    pub extension: Option<Extension>,
    /// What number charts have no sign for.
    pub left_out: Vec<String>,
    /// A reading of what can mean several things.
    pub taken_for: Option<&'static str>,
}

/// Reads a suffix; the place and length of what says nothing.
pub(super) fn suffix(text: &str) -> Result<Suffix, (usize, usize)> {
    let mut said = Said::default();
    let mut at = 0;
    while at < text.len() {
        let rest = &text[at..];
        let (token, length) = SIGNS
            .iter()
            .find(|(sign, _)| rest.starts_with(sign) && !(*sign == "ma" && rest.starts_with("madd")))
            .map(|(sign, token)| (*token, sign.len()))
            .ok_or_else(|| (at, rest.find(['(', ')', '/', ' ']).filter(|n| *n > 0).unwrap_or(rest.len())))?;
        said.hear(token, at == 0, &text[at..at + length]);
        at += length;
    }
    Ok(said.suffix())
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Token {
    /// `maj`: the seventh, or nothing.
    Major,
    Minor,
    /// `-`: minor behind the root, a flat elsewhere.
    Dash,
    /// `+`: augmented behind the root, a sharp before a number.
    Plus,
    Diminished,
    Half,
    Augmented,
    Sus2,
    Sus4,
    NoThird,
    /// A number.
    Number(u8),
    /// An added number.
    Added(u8),
    /// A flattened or sharpened number.
    Altered(i8, u8),
    SixNine,
    /// What number charts have no sign for.
    Unknown,
    /// Brackets and commas.
    Nothing,
}

use Token::{Added, Altered, Number};

#[rustfmt::skip]
/// Longer signs before shorter ones that begin them.
const SIGNS: &[(&str, Token)] = &[
    ("major", Token::Major),
    ("maj", Token::Major),
    ("Maj", Token::Major),
    ("MAJ", Token::Major),
    ("minor", Token::Minor),
    ("min", Token::Minor),
    ("Min", Token::Minor),
    ("MIN", Token::Minor),
    ("ma", Token::Major),
    ("Ma", Token::Major),
    ("M", Token::Major),
    ("Δ", Token::Major),
    ("∆", Token::Major),
    ("^", Token::Major),
    ("mi", Token::Minor),
    ("m", Token::Minor),
    ("no3rd", Token::NoThird), ("no3", Token::NoThird), ("omit3", Token::NoThird),
    ("no5", Token::Unknown), ("omit5", Token::Unknown), ("alt", Token::Unknown),
    ("dim", Token::Diminished),
    ("°", Token::Diminished),
    ("º", Token::Diminished),
    ("o", Token::Diminished),
    ("ø", Token::Half),
    ("Ø", Token::Half),
    ("aug", Token::Augmented),
    ("sus2", Token::Sus2),
    ("sus4", Token::Sus4),
    ("sus", Token::Sus4),
    ("no3rd", Token::NoThird),
    ("no3", Token::NoThird),
    ("omit3", Token::NoThird),
    ("no5", Token::Unknown),
    ("omit5", Token::Unknown),
    ("alt", Token::Unknown),
    ("add9", Added(9)),
    ("add2", Added(9)),
    ("add11", Added(4)),
    ("add4", Added(4)),
    ("add6", Number(6)),
    ("add13", Token::Unknown),
    ("6/9", Token::SixNine),
    ("69", Token::SixNine),
    ("b5", Altered(-1, 5)),
    ("♭5", Altered(-1, 5)),
    ("#5", Altered(1, 5)),
    ("♯5", Altered(1, 5)),
    ("b9", Altered(-1, 9)),
    ("♭9", Altered(-1, 9)),
    ("#9", Altered(1, 9)),
    ("♯9", Altered(1, 9)),
    ("#11", Altered(1, 11)),
    ("♯11", Altered(1, 11)),
    ("b13", Altered(-1, 13)),
    ("♭13", Altered(-1, 13)),
    ("-5", Altered(-1, 5)),
    ("+5", Altered(1, 5)),
    ("-9", Altered(-1, 9)),
    ("+9", Altered(1, 9)),
    ("-", Token::Dash),
    ("−", Token::Dash),
    ("–", Token::Dash),
    ("+", Token::Plus),
    ("13", Number(13)),
    ("11", Number(11)),
    ("9", Number(9)),
    ("7", Number(7)),
    ("6", Number(6)),
    ("5", Number(5)),
    ("4", Number(4)),
    ("2", Number(2)),
    ("(", Token::Nothing),
    (")", Token::Nothing),
    (",", Token::Nothing),
];

/// What has been said so far.
#[derive(Default)]
struct Said {
    minor: bool,
    major_seventh: bool,
    diminished: bool,
    half: bool,
    augmented: bool,
    sus: Option<Quality>,
    no_third: bool,
    numbers: Vec<u8>,
    added: Option<u8>,
    altered: Vec<(i8, u8)>,
    six_nine: bool,
    unknown: Vec<String>,
}

impl Said {
    fn hear(&mut self, token: Token, first: bool, written: &str) {
        match token {
            Token::Major => self.major_seventh = true,
            Token::Minor => self.minor = true,
            Token::Dash if first => self.minor = true,
            Token::Plus | Token::Augmented => self.augmented = true,
            Token::Diminished => self.diminished = true,
            Token::Half => self.half = true,
            Token::Sus2 => self.sus = self.sus.or(Some(Quality::Sus2)),
            Token::Sus4 => self.sus = self.sus.or(Some(Quality::Sus4)),
            Token::NoThird => self.no_third = true,
            Number(number) => self.numbers.push(number),
            Added(number) if self.added.is_none() => self.added = Some(number),
            // Minor or augmented is said right behind the root: G-9 and G+9 alter no ninth.
            Altered(sign, 9) if first && written.starts_with(['-', '+']) => {
                self.minor |= sign < 0;
                self.augmented |= sign > 0;
                self.numbers.push(9);
            }
            Altered(sign, number) => self.altered.push((sign, number)),
            Token::SixNine => self.six_nine = true,
            Token::Nothing => {}
            Token::Dash | Added(_) | Token::Unknown => self.unknown.push(written.into()),
        }
    }

    fn suffix(mut self) -> Suffix {
        let taken_for = self.taken_for();
        let quality = self.quality();
        let extension = self.extension();
        let mut left_out = self.unknown;
        for (sign, number) in self.altered {
            let sign = if sign < 0 { "b" } else { "#" };
            left_out.push(format!("{sign}{number}"));
        }
        Suffix { quality, extension, left_out, taken_for }
    }

    /// A lone 2 or 4 can mean an added or a suspended note.
    fn taken_for(&mut self) -> Option<&'static str> {
        match self.numbers[..] {
            [2] if self.added.is_none() => {
                self.numbers.clear();
                self.added = Some(9);
                Some("an added ninth")
            }
            [4] if self.sus.is_none() && self.added.is_none() => {
                self.numbers.clear();
                self.sus = Some(Quality::Sus4);
                Some("a suspended fourth")
            }
            _ => None,
        }
    }

    fn quality(&mut self) -> Quality {
        let power = self.numbers == [5];
        self.numbers.retain(|number| *number != 5);
        if self.diminished || self.half {
            return Quality::Diminished;
        }
        if let Some(sus) = self.sus {
            return sus;
        }
        if self.no_third || (power && !self.minor) {
            return Quality::NoThird;
        }
        if self.minor {
            return if self.take(-1, 5) { Quality::Diminished } else { Quality::Minor };
        }
        if self.augmented || self.take(1, 5) { Quality::Augmented } else { Quality::Major }
    }

    fn extension(&mut self) -> Option<Extension> {
        if self.six_nine {
            self.unknown.push("9 beside the 6".into());
            return Some(Extension::Sixth);
        }
        let odd: Vec<u8> = self.numbers.iter().copied().filter(|n| matches!(n, 2 | 4)).collect();
        self.unknown.extend(odd.iter().map(u8::to_string));
        let top = self.numbers.iter().copied().filter(|n| matches!(n, 6 | 7 | 9 | 11 | 13)).max();
        let top = if self.half { top.or(Some(7)) } else { top };
        let Some(top) = top else { return self.without_seventh() };
        self.unknown.extend(self.added.map(|added| format!("add{added}")));
        Some(self.with(top))
    }

    /// An added note, or an altered ninth without its seventh being said.
    fn without_seventh(&mut self) -> Option<Extension> {
        match self.added {
            Some(9) => Some(Extension::AddNinth),
            Some(_) => Some(Extension::AddFourth),
            None => self.altered_ninth(),
        }
    }

    fn altered_ninth(&mut self) -> Option<Extension> {
        if self.take(-1, 9) {
            return Some(Extension::SeventhFlatNinth);
        }
        self.take(1, 9).then_some(Extension::SeventhSharpNinth)
    }

    /// The extension whose highest number this is.
    fn with(&mut self, top: u8) -> Extension {
        use Extension as E;
        match (top, self.major_seventh) {
            (6, _) => E::Sixth,
            (7, true) => E::MajorSeventh,
            (7, false) if self.diminished => E::DiminishedSeventh,
            (7, false) => self.altered_ninth().unwrap_or(E::Seventh),
            (9, true) => E::MajorNinth,
            (9, false) => E::Ninth,
            (high, true) => {
                self.unknown.push(format!("maj{high}"));
                E::MajorNinth
            }
            (11, false) => E::Eleventh,
            (_, false) => E::Thirteenth,
        }
    }

    /// Takes an altered number out, if it was said.
    fn take(&mut self, sign: i8, number: u8) -> bool {
        let at = self.altered.iter().position(|said| *said == (sign, number));
        at.map(|at| self.altered.remove(at)).is_some()
    }
}
