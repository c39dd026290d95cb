//! Places of a song in a player's words.

/// Where in a song two sides meet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Place {
    Song,
    /// A field of the song.
    Field(String),
    /// A section, or one of its fields.
    Section(String),
    SectionField(String, String),
    /// A row of a section, from 0, with the bars before it.
    Row(String, usize, usize),
}

impl Place {
    /// A field of what stands here; what lies deeper is told by what it is in.
    pub fn field(&self, name: &str) -> Place {
        match self {
            Place::Song => Place::Field(name.to_owned()),
            Place::Section(section) => Place::SectionField(section.clone(), name.to_owned()),
            deeper => deeper.clone(),
        }
    }

    pub fn is_sections(&self) -> bool {
        matches!(self, Place::Field(name) if name == "sections")
    }

    pub fn is_bars(&self) -> bool {
        matches!(self, Place::SectionField(_, name) if name == "bars")
    }

    pub fn is_exceptions(&self) -> bool {
        matches!(self, Place::SectionField(_, name) if name == "except")
    }

    pub fn is_identity(&self) -> bool {
        matches!(self, Place::Field(name) if name == "id")
    }

    pub fn is_row(&self) -> bool {
        matches!(self, Place::Row(..))
    }

    /// `the key`, `the right hand of Verse`, `row 2 of Verse`.
    pub fn in_words(&self) -> String {
        match self {
            Place::Song => "the file as a whole".to_owned(),
            Place::Field(name) => words(name),
            Place::Section(section) => format!("the section {section}"),
            Place::SectionField(section, name) => format!("{} of {section}", words(name)),
            Place::Row(section, row, _) => format!("row {} of {section}", row + 1),
        }
    }
}

fn words(field: &str) -> String {
    match field {
        "right" => "the right hand",
        "left" => "the left hand",
        "except" => "the exceptions",
        "order" => "the order",
        "sections" => "the sections",
        "bars" => "the bars",
        "passes" => "the number of passes",
        "count" => "what is counted",
        "bass" => "the bass player",
        "pedal" => "the pedal marks",
        "like" => "what it is like",
        "id" => "the identity",
        other => return format!("the {}", other.replace('_', "-")),
    }
    .to_owned()
}
