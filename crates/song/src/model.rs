//! (being written) the song as written: [`Song`], [`Section`], exceptions; reading, diagnostics, saving.
