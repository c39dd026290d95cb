//! Chords that the trade writes, in the order in which they are likely.

use super::Row;
use theory::{Chord, Degree, Extension, Key, Mode, NumberChord, Quality};

/// Degrees as songs use them, the most frequent first (common practice, no source).
const COMMON: [u8; 7] = [1, 4, 5, 6, 2, 3, 7];

/// All chords that may be meant by a word that begins so, the likeliest first, each once.
pub(super) fn chords(begun: &str, row: &Row) -> Vec<NumberChord> {
    let own = row.used.iter().filter_map(|symbol| symbol.parse().ok());
    let degrees = degree_of(begun).map_or_else(|| all_degrees(row.key), |degree| vec![degree]);
    let plain = degrees.iter().map(|degree| NumberChord::from(*degree));
    // With nothing typed there are too many to be of help.
    let typed = degrees.iter().filter(|_| !begun.is_empty());
    let more = typed.flat_map(|degree| on(*degree, row.key));
    let mut all: Vec<NumberChord> = Vec::new();
    let begins = |chord: &NumberChord| chord.to_string().starts_with(begun) && chord.to_string() != begun;
    for chord in own.chain(plain).chain(more).filter(begins) {
        // A sharp root is no chord without its quality.
        let whole = chord.to_string().parse::<NumberChord>().is_ok();
        if whole && !all.contains(&chord) {
            all.push(chord);
        }
    }
    all
}

/// The degree that a word begins with.
fn degree_of(begun: &str) -> Option<Degree> {
    let digit = begun.find(|c: char| c.is_ascii_digit())?;
    begun[..=digit].parse().ok()
}

fn all_degrees(key: Key) -> Vec<Degree> {
    let own = COMMON.iter().filter_map(|number| Degree::new(*number, 0));
    // Degrees that major keys borrow from minor, and passing ones.
    let borrowed = [(7, -1), (6, -1), (3, -1), (4, 1), (1, 1), (5, 1)].into_iter();
    let borrowed = borrowed.filter(|(_, alter)| key.mode() == Mode::Major || *alter > 0);
    own.chain(borrowed.filter_map(|(number, alter)| Degree::new(number, alter))).collect()
}

/// Everything that is written on a degree: what stays in the key first.
fn on(root: Degree, key: Key) -> Vec<NumberChord> {
    let plain = NumberChord::from(root);
    let step = |steps: u8| Degree::new((root.number() - 1 + steps) % 7 + 1, 0);
    let under =
        [step(2), step(4)].into_iter().flatten().chain(COMMON.iter().filter_map(|n| Degree::new(*n, 0)));
    let under = under.filter(|under| *under != root).map(|under| NumberChord { under: Some(under), ..plain });
    let extended =
        Extension::ALL.iter().map(|extension| NumberChord { extension: Some(*extension), ..plain });
    let qualities = [
        Quality::Sus4,
        Quality::Sus2,
        Quality::Major,
        Quality::Minor,
        Quality::Diminished,
        Quality::Augmented,
        Quality::NoThird,
    ];
    let qualified = qualities.iter().map(|quality| NumberChord { quality: Some(*quality), ..plain });
    let both = qualities.iter().flat_map(|quality| {
        let extensions =
            [Extension::Seventh, Extension::MajorSeventh, Extension::Ninth, Extension::DiminishedSeventh];
        let with =
            move |extension| NumberChord { quality: Some(*quality), extension: Some(extension), ..plain };
        extensions.into_iter().map(with)
    });
    let given = Chord::in_key(plain, key).quality();
    let mut all: Vec<NumberChord> = extended.chain(qualified).chain(under).chain(both).collect();
    // What the key gives anyway need not be said; what leaves it comes later.
    all.retain(|chord| chord.quality != Some(given) || root.alter() > 0);
    let dominant = |chord: &NumberChord| root.number() == 5 && chord.quality == Some(Quality::Major);
    all.sort_by_key(|chord| u8::from(!inside(chord, key) && !dominant(chord)));
    all
}

fn inside(chord: &NumberChord, key: Key) -> bool {
    Chord::in_key(*chord, key).names().all(|name| key.contains(name))
}
