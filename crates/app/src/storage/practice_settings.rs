//! What practice remembers between two evenings, beside the history.

use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// How the player practises; a word that is not understood is as if it were not there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct PracticeSettings {
    /// "I have so many minutes."
    pub minutes: u16,
    /// The day it is played: `2026-12-05`.
    pub by: Option<String>,
    /// When marks are shown.
    pub feedback: FeedbackWord,
    /// "How did that go?" is asked before the verdict.
    pub asks: bool,
    /// What means "again".
    pub again: Option<TriggerWord>,
    /// What means "next".
    pub next: Option<TriggerWord>,
    /// What means "stop".
    pub stop: Option<TriggerWord>,
    /// The day on which the caution was read last: `2026-12-05`.
    pub cautioned: Option<String>,
    /// The set list that is open.
    pub set: Option<PathBuf>,
    /// Of the set only the song that is open is practised.
    pub song_alone: bool,
}

/// When marks are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs)]
pub enum FeedbackWord {
    #[default]
    UntilClean,
    While,
    After,
    EveryOther,
}

/// A key or a pedal that means something.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum TriggerWord {
    /// A MIDI key.
    Key(u8),
    /// A pedal by its controller.
    Pedal(u8),
}

impl Default for PracticeSettings {
    fn default() -> Self {
        PracticeSettings {
            minutes: 20,
            by: None,
            feedback: FeedbackWord::default(),
            asks: false,
            again: None,
            next: None,
            stop: None,
            cautioned: None,
            set: None,
            song_alone: false,
        }
    }
}
