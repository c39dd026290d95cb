//! Which passes or bars an exception means.

/// A choice of passes or bars: numbers, ranges, the last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Selector {
    /// What it is made of, as written.
    pub parts: Vec<Choice>,
}

/// One part of a [`Selector`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// One, counted from 1.
    One(u32),
    /// From one to another, both among them.
    Range(u32, u32),
    /// The last there is.
    Last,
}

impl Selector {
    /// Whether it means this one (from 1) of so many.
    ///
    /// ```
    /// use song::{Choice, Selector};
    /// let third_and_last = Selector { parts: vec![Choice::One(3), Choice::Last] };
    /// assert!(third_and_last.contains(4, 4));
    /// assert!(!third_and_last.contains(2, 4));
    /// ```
    pub fn contains(&self, number: u32, last: u32) -> bool {
        self.parts.iter().any(|part| match *part {
            Choice::One(n) => n == number,
            Choice::Range(from, to) => (from..=to).contains(&number),
            Choice::Last => number == last,
        })
    }

    /// All it means of so many, in order, each once.
    pub fn numbers(&self, last: u32) -> Vec<u32> {
        let mut all: Vec<u32> = Vec::new();
        for part in &self.parts {
            match *part {
                Choice::One(n) => all.extend((1..=last).contains(&n).then_some(n)),
                Choice::Range(from, to) => all.extend(from.max(1)..=to.min(last)),
                Choice::Last => all.extend((last > 0).then_some(last)),
            }
        }
        if self.parts.len() > 1 {
            all.sort_unstable();
            all.dedup();
        }
        all
    }

    /// The first it means of so many.
    pub fn first(&self, last: u32) -> Option<u32> {
        let each = self.parts.iter().filter_map(|part| match *part {
            Choice::One(n) => Some(n),
            Choice::Range(from, to) => Some(from.max(1)).filter(|from| *from <= to),
            Choice::Last => Some(last),
        });
        each.filter(|n| (1..=last).contains(n)).min()
    }

    /// The largest number it names; `None` if it names only the last.
    pub fn largest(&self) -> Option<u32> {
        let named = self.parts.iter().filter_map(|part| match *part {
            Choice::One(n) => Some(n),
            Choice::Range(_, to) => Some(to),
            Choice::Last => None,
        });
        named.max()
    }
}

impl std::fmt::Display for Choice {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Choice::One(n) => write!(f, "{n}"),
            Choice::Range(from, to) => write!(f, "{from}-{to}"),
            Choice::Last => f.write_str("last"),
        }
    }
}
