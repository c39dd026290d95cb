//! The song as written.

use crate::{ChartBar, Exception, Goal, HandSettings, Meter, SectionKey, Spanned, Tempo};
use crate::{Feel, Span};
use theory::Key;

/// A song as written: what a person typed, in the field's terms, before any precedence is worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Song {
    /// The identity that history follows; written at the first save.
    pub id: Option<String>,
    /// The title.
    pub title: String,
    /// Free text.
    pub note: Option<String>,
    /// The key.
    pub key: Key,
    /// How many bars are counted in before the song; `None`: one in slow songs, two in fast ones.
    pub count_in: Option<u8>,
    /// What holds for the whole song.
    pub plays: Settings,
    /// The sections as written.
    pub sections: Vec<Section>,
    /// Indices of sections in playing order, each with the place where it is named; `None` if not written.
    pub order: Option<Vec<Spanned<usize>>>,
    /// Goals that the coach marks, each with the place of its bars, or else its own.
    pub goals: Vec<Spanned<Goal>>,
}

impl Song {
    /// The sections in playing order, by index: as `order` says, or each once as written.
    pub fn playing_order(&self) -> Vec<usize> {
        match &self.order {
            Some(order) => order.iter().map(|place| place.value).collect(),
            None => (0..self.sections.len()).collect(),
        }
    }

    /// The section whose bars this one plays: itself, or where its `like` leads to in the end.
    pub fn source_of(&self, section: usize) -> usize {
        self.lineage(section)[0]
    }

    /// The printed rows of a section, its own or those it takes over with `like`.
    pub fn rows(&self, section: usize) -> &[Row] {
        &self.sections[self.source_of(section)].rows
    }

    /// The sections that a section takes after, from the one that has the bars to itself.
    pub fn lineage(&self, section: usize) -> Vec<usize> {
        let mut line = vec![section];
        let mut at = section;
        while let Some(like) = self.sections[at].like {
            // The reader lets no longer line and no circle through; a song made by hand ends here as well.
            if line.len() > crate::limits::LIKE_CHAIN {
                break;
            }
            at = like.value;
            line.push(at);
        }
        line.reverse();
        line
    }
}

/// What a song or a section may say about how it is played; `None` where it says nothing.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Settings {
    /// Beats a minute of the meter in force here.
    pub tempo: Option<Spanned<Tempo>>,
    /// The meter.
    pub meter: Option<Spanned<Meter>>,
    /// In 6/8 and its like the beat is the eighth.
    pub count_eighths: Option<bool>,
    /// Straight or swung eighths.
    pub feel: Option<Feel>,
    /// How full the hands play, 1 to 5.
    pub level: Option<u8>,
    /// A bass player plays along.
    pub bass: Option<bool>,
    /// The part carries pedal marks.
    pub pedal: Option<bool>,
    /// The right hand.
    pub right: HandSettings,
    /// The left hand.
    pub left: HandSettings,
}

/// A section as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Its name, which no other section has.
    pub name: String,
    /// Where it stands in the file.
    pub span: Span,
    /// Free text; not taken over by `like`.
    pub note: Option<String>,
    /// Words to listen for.
    pub cue: Option<String>,
    /// The section it takes everything else from.
    pub like: Option<Spanned<usize>>,
    /// Its printed rows; empty if it is `like` another.
    pub rows: Vec<Row>,
    /// How often it is played at each place of the order, 1 to 99.
    pub passes: Option<u32>,
    /// Where it differs.
    pub exceptions: Vec<Exception>,
    /// Its own key.
    pub key: Option<Spanned<SectionKey>>,
    /// What holds for this section.
    pub plays: Settings,
}

/// One line of bars, printed as one row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its bars.
    pub bars: Vec<ChartBar>,
    /// Where it stands in the file.
    pub span: Span,
}
