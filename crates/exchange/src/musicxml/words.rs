//! Words over the staff: where to go, what is not played, where a section begins (common practice, no source).

use super::form::{Jump, Until};

/// The signs of segno and coda among words (Unicode, "Musical Symbols").
pub(super) const SEGNO: &str = "𝄋";
pub(super) const CODA: &str = "𝄌";

/// What the words of a direction say. Numbers tell signs of one kind apart, `To Coda 2`; nought is no number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Said {
    Nothing,
    Fine,
    ToCoda(u8),
    Coda(u8),
    Segno(u8),
    Jump(Jump),
    NoChord,
    Section(String),
    Other(String),
}

/// Longer words are cut.
const LONGEST: usize = 300;

/// Reads the words of one direction, signs among them as [`SEGNO`] and [`CODA`].
pub(super) fn said(text: &str) -> Said {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let plain: String = text.to_lowercase().chars().filter(|c| c.is_alphanumeric() || is_sign(*c)).collect();
    let (word, number) = numbered(&plain);
    match word {
        "" if number == 0 => {
            if text.is_empty() {
                Said::Nothing
            } else {
                Said::Other(text)
            }
        }
        "nc" | "nochord" | "tacet" => Said::NoChord,
        "fine" => Said::Fine,
        "tocoda" | "alcoda" | "to𝄌" | "tocoda𝄌" | "to𝄌coda" => Said::ToCoda(number),
        "coda" | "𝄌" | "coda𝄌" | "𝄌coda" => Said::Coda(number),
        "segno" | "𝄋" | "𝄋segno" | "segno𝄋" => Said::Segno(number),
        _ => match (jump(&plain), names_section(&text)) {
            (Some(jump), _) => Said::Jump(jump),
            (None, true) => Said::Section(text.trim_end_matches(':').trim().to_owned()),
            (None, false) if text.chars().count() > LONGEST => {
                Said::Other(text.chars().take(LONGEST).chain(['…']).collect())
            }
            (None, false) => Said::Other(text),
        },
    }
}

fn is_sign(c: char) -> bool {
    SEGNO.starts_with(c) || CODA.starts_with(c)
}

/// A word without the number behind it, and that number.
fn numbered(plain: &str) -> (&str, u8) {
    let word = plain.trim_end_matches(|c: char| c.is_ascii_digit());
    (word, plain[word.len()..].parse().unwrap_or(0))
}

/// `D.C.`, `D.S. al Coda 2`, `Da Capo al Fine con repetizione`. A chord such as `Dsus4` is none of these.
fn jump(plain: &str) -> Option<Jump> {
    const BACK: [(&str, bool, u8); 8] = [
        ("dacapo", false, 0),
        ("dalsegno", true, 0),
        ("delsegno", true, 0),
        ("dss", true, 2),
        ("ds", true, 0),
        ("dc", false, 0),
        ("d𝄋", true, 0),
        ("dal𝄋", true, 0),
    ];
    const GOES_ON: [&str; 16] = [
        "al", "senza", "con", "to", "till", "until", "with", "no", "rep", "and", "fine", "coda", "𝄋", "𝄌",
        "1", "2",
    ];
    let (rest, to_sign, sign) = BACK.iter().find_map(|(word, to_sign, sign)| {
        let rest = plain.strip_prefix(word)?;
        (rest.is_empty() || GOES_ON.iter().any(|next| rest.starts_with(next)))
            .then_some((rest, *to_sign, *sign))
    })?;
    let until = match () {
        () if rest.contains("coda") || rest.contains(CODA) => Until::Coda,
        () if rest.contains("fine") => Until::Fine,
        () => Until::Unsaid,
    };
    let repeats = ["conrep", "conrip", "withrep"].iter().any(|words| rest.contains(words));
    let coda = if until == Until::Coda { numbered(rest).1 } else { 0 };
    Some(Jump { to_sign, sign, until, coda, repeats })
}

/// Words that songs' sections are called by, alone or with one or two before or behind them (common practice, no source).
fn names_section(text: &str) -> bool {
    const NAMES: [&str; 17] = [
        "intro",
        "introduction",
        "verse",
        "chorus",
        "refrain",
        "bridge",
        "outro",
        "ending",
        "interlude",
        "solo",
        "vamp",
        "tag",
        "trio",
        "pre-chorus",
        "prechorus",
        "channel",
        "coda",
    ];
    // Words that send somewhere name no section that begins here.
    const SENDS: [&str; 10] =
        ["to", "repeat", "back", "after", "until", "till", "play", "last", "go", "segue"];
    let words: Vec<String> = text
        .split_whitespace()
        .map(|word| word.trim_matches([':', '(', ')', ',', '.']).to_lowercase())
        .collect();
    words.len() <= 3
        && words.iter().any(|word| NAMES.contains(&word.as_str()))
        && !words.first().is_some_and(|first| SENDS.contains(&first.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn back(to_sign: bool, until: Until) -> Jump {
        Jump { to_sign, until, ..Jump::default() }
    }

    // Common practice, no source.
    #[test]
    fn words_say_where_to_go() {
        assert_eq!(said("D.C."), Said::Jump(back(false, Until::Unsaid)));
        assert_eq!(said("D. C. al Fine"), Said::Jump(back(false, Until::Fine)));
        assert_eq!(said("D.S. al 𝄌"), Said::Jump(back(true, Until::Coda)));
        assert_eq!(said("Dal Segno al Coda 2"), Said::Jump(Jump { coda: 2, ..back(true, Until::Coda) }));
        assert_eq!(said("D.C. con rep."), Said::Jump(Jump { repeats: true, ..back(false, Until::Unsaid) }));
        assert_eq!(said("to Coda"), Said::ToCoda(0));
        assert_eq!(said("To 𝄌"), Said::ToCoda(0));
        assert_eq!(said("Coda 2"), Said::Coda(2));
        assert_eq!(said("Fine."), Said::Fine);
        assert_eq!(said("N.C."), Said::NoChord);
    }

    #[test]
    fn chords_and_remarks_in_words_send_nobody_anywhere() {
        for text in
            ["Dsus4", "DSus", "Dc7", "D7-9", "dolce", "F m7/Bb", "(to Chorus)", "Repeat Head in/out", "—"]
        {
            assert_eq!(said(text), Said::Other(text.to_owned()));
        }
        assert_eq!(said("  1st   Chorus: "), Said::Section("1st Chorus".to_owned()));
        assert_eq!(said("  "), Said::Nothing);
    }
}
