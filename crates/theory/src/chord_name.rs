//! Chord names in the trade's form: what stands behind the root's name.

use crate::{Extension, Quality};

/// `m7`, `maj7`, `m7b5`, `sus4`, `5` … (common practice, no source: publishers differ).
pub(crate) fn suffix(quality: Quality, extension: Option<Extension>) -> String {
    let Some(extension) = extension else {
        return alone(quality).into();
    };
    let symbol = extension.symbol();
    let added = matches!(extension, Extension::AddNinth | Extension::AddFourth);
    let plain = !added && extension != Extension::DiminishedSeventh;
    let major_seventh = matches!(extension, Extension::MajorSeventh | Extension::MajorNinth);
    match quality {
        Quality::Diminished if extension == Extension::DiminishedSeventh => symbol.into(),
        Quality::Major if plain || added => symbol.into(),
        Quality::Minor if plain && !major_seventh => format!("m{symbol}"),
        Quality::Diminished => diminished(extension),
        Quality::Augmented if plain && extension != Extension::Sixth => format!("{symbol}#5"),
        Quality::Sus2 | Quality::Sus4 if plain => format!("{symbol}{}", quality.symbol()),
        Quality::NoThird => format!("{symbol}(no3)"),
        _ => format!("{}({symbol})", alone(quality)),
    }
}

const fn alone(quality: Quality) -> &'static str {
    match quality {
        Quality::Major => "",
        Quality::NoThird => "5",
        _ => quality.symbol(),
    }
}

/// With a minor seventh a diminished triad is named as a minor chord with a flat fifth.
fn diminished(extension: Extension) -> String {
    match extension {
        Extension::Seventh | Extension::Ninth | Extension::Eleventh | Extension::Thirteenth => {
            format!("m{}b5", extension.symbol())
        }
        Extension::SeventhFlatNinth => "m7b5b9".into(),
        Extension::SeventhSharpNinth => "m7b5#9".into(),
        _ => format!("dim({})", extension.symbol()),
    }
}
