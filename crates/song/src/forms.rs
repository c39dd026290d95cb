//! Patterns of common forms, to begin a song from.
//!
//! ```
//! let blues = song::forms::FORMS.iter().find(|form| form.name == "Twelve bars").unwrap();
//! let song = song::read(&blues.text("Quay Blues")).sound().unwrap();
//! assert_eq!(song.title, "Quay Blues");
//! assert_eq!(song.play().bars.len(), 24);
//! ```

use crate::file;

/// A form: its sections with the chords that are most at home there, to be typed over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Form {
    /// What players call it.
    pub name: &'static str,
    /// Its sections in a few words.
    pub says: &'static str,
    sections: &'static [(&'static str, u32, &'static [&'static str])],
    order: &'static [&'static str],
}

/// All forms (common practice, no source); the first has nothing in it.
pub const FORMS: [Form; 6] = [
    Form { name: "Empty", says: "nothing yet: type, or paste a chart", sections: &[], order: &[] },
    Form {
        name: "Verse and chorus",
        says: "intro, verses, choruses, a bridge, an end",
        sections: &[
            ("Intro", 1, &["1 | 4 | 1 | 5"]),
            ("Verse", 2, &["1 | 4 | 1 | 5"]),
            ("Chorus", 1, &["4 | 1 | 5 | 6", "4 | 1 | 5 | 1"]),
            ("Bridge", 1, &["6 | 4 | 1 | 5"]),
            ("Outro", 1, &["4 | 5 | <1>"]),
        ],
        order: &["Intro", "Verse", "Chorus", "Verse", "Chorus", "Bridge", "Chorus", "Outro"],
    },
    Form {
        name: "Twelve bars",
        says: "the blues, twice round",
        sections: &[(
            "Chorus",
            2,
            &["1(7) | 1(7) | 1(7) | 1(7)", "4(7) | 4(7) | 1(7) | 1(7)", "5(7) | 4(7) | 1(7) | 5(7)"],
        )],
        order: &[],
    },
    Form {
        name: "Thirty-two bars",
        says: "A A B A, eight bars each",
        sections: &[
            ("A", 1, &["1 6 | 2(7) 5(7) | 1 6 | 2(7) 5(7)", "1 | 4 | 5(7) | 1"]),
            ("B", 1, &["3M(7) | ~ | 6M(7) | ~", "2M(7) | ~ | 5(7) | ~"]),
        ],
        order: &["A", "A", "B", "A"],
    },
    Form {
        name: "Four phrases",
        says: "a hymn or a folk song, verse after verse",
        sections: &[("Verse", 4, &["1 | 4 | 1 | 5", "1 | 4 | 1 5 | 1", "4 | 1 | 2 | 5", "1 | 4 | 1 5 | 1"])],
        order: &[],
    },
    Form {
        name: "Vamp",
        says: "four bars, eight times round",
        sections: &[("Vamp", 8, &["1 | 5 | 6 | 4"])],
        order: &[],
    },
];

/// Beats a minute of a new song.
const TEMPO: f64 = 90.0;

impl Form {
    /// The text of a new song in C major.
    pub fn text(&self, title: &str) -> String {
        let section = |(name, passes, rows): &(&str, u32, &[&str])| file::Section {
            name: (*name).into(),
            bars: Some(rows.iter().map(|row| (*row).into()).collect()),
            passes: (*passes > 1).then_some(*passes),
            ..file::Section::default()
        };
        let order: Vec<String> = self.order.iter().map(|name| (*name).into()).collect();
        let song = file::Song {
            format: crate::limits::FORMAT,
            title: title.into(),
            key: "C major".into(),
            tempo: TEMPO,
            sections: self.sections.iter().map(section).collect(),
            order: (!order.is_empty()).then_some(order),
            ..file::Song::default()
        };
        song.to_text()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_but_the_empty_one_is_a_song_without_mistakes() {
        for form in &FORMS[1..] {
            let song = crate::read(&form.text("New")).sound();
            assert!(song.is_ok_and(|song| song.key.to_string() == "C major"), "{}", form.name);
        }
        let bars = |name: &str| {
            let form = FORMS.iter().find(|form| form.name == name).unwrap();
            crate::read(&form.text("New")).sound().unwrap().play().bars.len()
        };
        // What the forms are called says how long they are.
        assert_eq!((bars("Twelve bars"), bars("Thirty-two bars")), (2 * 12, 32));
    }
}
