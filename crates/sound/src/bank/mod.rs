//! The player's own SoundFont 2 banks, played by `rustysynth`.

mod player;
mod riff;
mod runaway;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use rustysynth::SoundFont;

pub(crate) use player::BankPlayer;

/// A bank that was read and checked; copies share it.
///
/// It is read from bytes, so that whoever has the file decides how and where; some tenths of a second for a large one.
///
/// ```
/// use sound::{BankError, SoundBank};
/// assert!(matches!(SoundBank::from_bytes(b"RIFF, but cut off"), Err(BankError::NotABank)));
/// ```
#[derive(Clone)]
pub struct SoundBank {
    font: Arc<SoundFont>,
    /// Which of the font's presets is played.
    preset: usize,
}

/// Why a bank cannot be used, and what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BankError {
    /// The bytes are something else.
    #[error("this is no SoundFont 2 bank (its name usually ends in .sf2); choose another file")]
    NotABank,
    /// Parts are missing or contradict one another.
    #[error("this SoundFont bank is damaged ({0}); fetch it again, or choose another")]
    Damaged(String),
    /// Its sounds are stored in a way that cannot be played.
    #[error("this bank holds compressed sounds (SoundFont 3); choose one in the SoundFont 2 form")]
    Compressed,
    /// There is nothing in it.
    #[error("this SoundFont bank holds no instrument; choose another")]
    Empty,
    /// The sound device runs at a rate for which banks cannot be played.
    #[error(
        "banks cannot be played at {0} Hz; choose 16000 Hz or more in the sound settings, or the built-in piano"
    )]
    Rate(u32),
}

impl SoundBank {
    /// Reads a bank. Its first preset (by bank and program number; in General MIDI the grand piano) is chosen.
    ///
    /// Sizes are checked before anything is read by them, so that no file can ask for more memory than it is long. Should
    /// the reader still stumble over what a file claims, that is caught here and told as damage.
    ///
    /// # Errors
    /// A [`BankError`] for whatever is no bank, a damaged one, or one that holds nothing playable.
    pub fn from_bytes(bytes: &[u8]) -> Result<SoundBank, BankError> {
        riff::check(bytes)?;
        // Nothing outside sees what a stumbling reader leaves behind.
        let read = catch_unwind(AssertUnwindSafe(|| SoundFont::new(&mut &*bytes)));
        let font = match read {
            Ok(Ok(font)) => Arc::new(font),
            Ok(Err(rustysynth::SoundFontError::UnsupportedSampleFormat)) => {
                return Err(BankError::Compressed);
            }
            Ok(Err(error)) => return Err(BankError::Damaged(error.to_string())),
            Err(_) => return Err(BankError::Damaged("its tables contradict one another".to_owned())),
        };
        let presets = font.get_presets().iter().enumerate();
        let first = presets.min_by_key(|(_, preset)| (preset.get_bank_number(), preset.get_patch_number()));
        let preset = first.map(|(at, _)| at).ok_or(BankError::Empty)?;
        Ok(SoundBank { font, preset })
    }

    /// The bank's own name.
    pub fn name(&self) -> &str {
        self.font.get_info().get_bank_name()
    }

    /// The names of its presets, in the order of the file.
    pub fn presets(&self) -> impl ExactSizeIterator<Item = &str> {
        self.font.get_presets().iter().map(|preset| preset.get_name())
    }

    /// The preset that is played, as a place in [`SoundBank::presets`].
    pub fn chosen(&self) -> usize {
        self.preset
    }

    /// The same bank with another preset; nothing where there is none at that place.
    pub fn with_preset(&self, at: usize) -> Option<SoundBank> {
        (at < self.font.get_presets().len()).then(|| SoundBank { font: Arc::clone(&self.font), preset: at })
    }
}
