//! Which bar is which, from one day to the next: what history remembers of a bar, found again after edits.

use crate::edit::align::by_difference;
use crate::{PlayedBar, PlayedSong};

/// What a bar is known by: its section, its meter and its chart text, as one number. The same bar has the same number in
/// every version of the program.
///
/// ```
/// let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
///   "sections": [ { "name": "Intro", "passes": 2, "bars": ["1 | 4"] } ] }"#;
/// let bars = song::read(text).sound().unwrap().play().fingerprints();
/// assert_eq!(bars[0], bars[2]);
/// assert_ne!(bars[0], bars[1]);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Fingerprint(pub u64);

impl Fingerprint {
    /// Of a section's name, a meter as written and the text of a bar.
    pub fn new(section: &str, meter: &str, text: &str) -> Fingerprint {
        let parts = [section, "\n", meter, "\n", text];
        Fingerprint(parts.iter().fold(FNV_OFFSET, |hash, part| fnv(hash, part.as_bytes())))
    }

    fn of(song: &PlayedSong, bar: &PlayedBar) -> Fingerprint {
        let section = song.sections.get(bar.section).map_or("", String::as_str);
        Fingerprint::new(section, &bar.meter.to_string(), &bar.text)
    }
}

impl PlayedSong {
    /// What each bar as played is known by.
    pub fn fingerprints(&self) -> Vec<Fingerprint> {
        self.bars.iter().map(|bar| Fingerprint::of(self, bar)).collect()
    }
}

/// Where each of the old bars is now, found by the shortest difference; nothing for bars that are no longer there. What
/// is not found is not guessed.
///
/// ```
/// use song::{Fingerprint, realign};
/// let bars = |texts: &[&str]| -> Vec<Fingerprint> {
///     texts.iter().map(|text| Fingerprint::new("Verse", "4/4", text)).collect()
/// };
/// assert_eq!(realign(&bars(&["1", "4", "5"]), &bars(&["1", "2", "4"])), [Some(0), Some(2), None]);
/// ```
pub fn realign(old: &[Fingerprint], new: &[Fingerprint]) -> Vec<Option<usize>> {
    by_difference(new, old, false)
}

/// FNV-1a, 64 bits: <https://www.rfc-editor.org/rfc/rfc9923>.
fn fnv(hash: u64, bytes: &[u8]) -> u64 {
    bytes.iter().fold(hash, |hash, byte| (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3))
}

const FNV_OFFSET: u64 = 0xcbf2_9ce4_8422_2325;

#[cfg(test)]
mod tests {
    use super::*;

    /// Test vectors of the FNV authors' reference code (from memory).
    #[test]
    fn the_hash_is_the_published_one() {
        let of = |text: &str| fnv(FNV_OFFSET, text.as_bytes());
        assert_eq!(of(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(of("a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(of("foobar"), 0x8594_4171_f739_67e8);
    }

    #[test]
    fn parts_do_not_run_into_one_another() {
        assert_ne!(Fingerprint::new("A1", "4/4", "1"), Fingerprint::new("A", "14/4", "1"));
    }
}
