//! Chord members by number.

/// A member of a chord by its number above the root: 1 2 3 4 5 6 7 9 11 13.
///
/// ```
/// use theory::Member;
/// assert_eq!(Member::new(9), Some(Member::NINTH));
/// assert_eq!(Member::new(8), None);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Member(u8);

impl Member {
    /// The root.
    pub const ROOT: Member = Member(1);
    /// The second of a suspended chord.
    pub const SECOND: Member = Member(2);
    /// The third.
    pub const THIRD: Member = Member(3);
    /// The fourth of a suspended or added chord.
    pub const FOURTH: Member = Member(4);
    /// The fifth.
    pub const FIFTH: Member = Member(5);
    /// The added sixth.
    pub const SIXTH: Member = Member(6);
    /// The seventh.
    pub const SEVENTH: Member = Member(7);
    /// The ninth.
    pub const NINTH: Member = Member(9);
    /// The eleventh.
    pub const ELEVENTH: Member = Member(11);
    /// The thirteenth.
    pub const THIRTEENTH: Member = Member(13);

    /// A member; `None` for any other number.
    pub const fn new(number: u8) -> Option<Member> {
        if matches!(number, 1..=7 | 9 | 11 | 13) { Some(Member(number)) } else { None }
    }
    /// Its number.
    pub const fn number(self) -> u8 {
        self.0
    }
    /// In plain words: `root`, `third` … `thirteenth`.
    pub const fn name(self) -> &'static str {
        match self.0 {
            1 => "root",
            2 => "second",
            3 => "third",
            4 => "fourth",
            5 => "fifth",
            6 => "sixth",
            7 => "seventh",
            9 => "ninth",
            11 => "eleventh",
            _ => "thirteenth",
        }
    }
    /// The inversion of a close chord with this member lowest: 1 is 0; 3, 2, 4 are 1; 5 is 2; 6, 7 are 3; higher
    /// members have none.
    pub const fn inversion(self) -> Option<u8> {
        match self.0 {
            1 => Some(0),
            2..=4 => Some(1),
            5 => Some(2),
            6 | 7 => Some(3),
            _ => None,
        }
    }
}

impl std::fmt::Display for Member {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl std::str::FromStr for Member {
    type Err = ParseMemberError;
    fn from_str(text: &str) -> Result<Self, ParseMemberError> {
        text.parse().ok().and_then(Member::new).ok_or(ParseMemberError)
    }
}

/// A text is no chord member.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no chord member: write one of 1 2 3 4 5 6 7 9 11 13")]
pub struct ParseMemberError;
