//! Edits in a player's words, for "undo …".

use super::history::Typing;
use super::{Change, Field, HandField, Place};

impl Change {
    /// What was done, in a few words: `typing in a row`, `right hand tones for a bar`.
    ///
    /// ```
    /// use song::edit::{Change, HandField, Place};
    /// let pin = Change::Hand {
    ///     place: Place::Bar { section: 0, bar: 2, pass: None, beat: None },
    ///     hand: theory::Hand::Right,
    ///     field: HandField::Notes(Some(2)),
    /// };
    /// assert_eq!(pin.name(), "right hand notes for bar 3");
    /// ```
    pub fn name(&self) -> String {
        match self {
            Change::Row { .. } => "typing in a row".into(),
            Change::InsertRow { .. } => "a new row".into(),
            Change::RemoveRow { .. } => "taking a row away".into(),
            Change::BreakRow { .. } => "breaking a row".into(),
            Change::JoinRow { .. } => "joining two rows".into(),
            Change::Bar { bar, pass: Some(pass), .. } => format!("bar {} in pass {pass}", bar + 1),
            Change::Bar { bar, .. } => format!("typing in bar {}", bar + 1),
            Change::PutIn { .. } => "the bars of an exception".into(),
            Change::InsertBars { .. } => "new bars".into(),
            Change::PasteBars { .. } => "pasted bars".into(),
            Change::RemoveBars { .. } => "taking bars away".into(),
            Change::MoveBars { .. } => "moving bars".into(),
            Change::InsertSection { name, .. } | Change::LikeSection { name, .. } => {
                format!("the section {name}")
            }
            Change::CopySection { name, .. } => format!("the copy {name}"),
            Change::OwnBars { .. } => "bars of its own".into(),
            Change::RemoveSection { .. } => "taking a section away".into(),
            Change::MoveSection { .. } => "moving a section".into(),
            Change::RenameSection { name, .. } => format!("the name {name}"),
            Change::Order(_) => "the order".into(),
            Change::Field { place, field } => format!("{} for {}", field.name(), place.in_words()),
            Change::Hand { place, hand, field } => {
                let hand = format!("{hand:?}").to_lowercase();
                format!("{hand} hand {} for {}", field.name(), place.in_words())
            }
            Change::RemoveException { .. } => "taking an exception away".into(),
            Change::Goal { goal: Some(_), .. } => "a goal".into(),
            Change::Goal { .. } => "taking a goal away".into(),
        }
    }

    /// The place where this edit types, if it does.
    pub(super) fn typing(&self) -> Option<Typing> {
        let place = match self {
            Change::Row { section, row, .. } => format!("row {section} {row}"),
            Change::Bar { section, bar, pass, .. } => format!("bar {section} {bar} {pass:?}"),
            Change::PutIn { section, exception, .. } => format!("put in {section} {exception}"),
            Change::RenameSection { section, .. } => format!("name {section}"),
            Change::Field { place, field: Field::Title(_) | Field::Note(Some(_)) | Field::Cue(Some(_)) } => {
                format!("{} {place:?}", self.name())
            }
            Change::Hand { place, hand, field: HandField::Figure(Some(_)) } => {
                format!("figure {place:?} {hand:?}")
            }
            _ => return None,
        };
        Some(Typing(place))
    }
}

impl Field {
    fn name(&self) -> &'static str {
        match self {
            Field::Title(_) => "the title",
            Field::Note(_) => "the note",
            Field::Cue(_) => "the cue",
            Field::Key(_) | Field::OwnKey(_) => "the key",
            Field::Tempo(_) => "the tempo",
            Field::Meter(_) => "the meter",
            Field::CountEighths(_) => "what is counted",
            Field::CountIn(_) => "the count-in",
            Field::Feel(_) => "the feel",
            Field::Level(_) => "the level",
            Field::Bass(_) => "the bass player",
            Field::Pedal(_) => "pedal marks",
            Field::Passes(_) => "the passes",
        }
    }
}

impl HandField {
    fn name(&self) -> &'static str {
        match self {
            HandField::Notes(_) => "notes",
            HandField::Shape(_) => "shape",
            HandField::Tones(_) | HandField::ChordTones(..) => "tones",
            HandField::Near(_) => "place",
            HandField::Figure(_) => "figure",
            HandField::Restart(_) => "restart",
        }
    }
}

impl Place {
    fn in_words(self) -> String {
        match self {
            Place::Song => "the song".into(),
            Place::Section(_) => "a section".into(),
            Place::Pass { pass, .. } => format!("pass {pass}"),
            Place::Bar { bar, pass: None, .. } => format!("bar {}", bar + 1),
            Place::Bar { bar, pass: Some(pass), .. } => format!("bar {} in pass {pass}", bar + 1),
            Place::Exception { .. } => "an exception".into(),
        }
    }
}
