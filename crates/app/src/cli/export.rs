//! `overhand export` and `overhand import`: what of it there is.

use super::Answer;
use std::path::Path;

/// Says that a file of this ending cannot be written.
pub fn not_yet(output: &Path) -> Answer {
    let ending = output.extension().map(|e| format!(".{}", e.to_string_lossy())).unwrap_or_default();
    let known = [".mid", ".musicxml", ".pdf", ".svg", ".wav"];
    if known.contains(&ending.as_str()) {
        Answer::wrong_call(format!(
            "This version cannot write {ending} files yet. 'overhand part SONG' prints the part as text, \
             with --json as data."
        ))
    } else {
        Answer::wrong_call(format!("{}: the ending must be one of {}", output.display(), known.join(" ")))
    }
}

/// Says that nothing can be imported.
pub fn no_import_yet(file: &Path) -> Answer {
    Answer::wrong_call(format!(
        "{}: this version cannot import songs yet. Write the chart by hand; the demo songs show how.",
        file.display()
    ))
}
