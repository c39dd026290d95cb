//! Edits of any text: they are made or refused, and undone to the byte.
#![no_main]

use libfuzzer_sys::fuzz_target;
use song::edit::{Change, apply};

fuzz_target!(|input: (&str, u8, u8, &str)| {
    let (text, section, bar, typed) = input;
    let (section, bar) = (usize::from(section % 4), u32::from(bar % 16));
    let typed = typed.to_string();
    let changes = [
        Change::Row { section, row: bar as usize % 4, text: typed.clone() },
        Change::Bar { section, bar, pass: None, text: typed.clone() },
        Change::Bar { section, bar, pass: Some(1 + bar % 3), text: typed.clone() },
        Change::InsertBars { section, at: bar, text: typed.clone() },
        Change::RemoveBars { section, from: bar, to: bar + 2 },
        Change::MoveBars { section, from: bar, to: bar + 1, into: (section + 1) % 4, at: 0 },
        Change::OwnBars { section },
        Change::RenameSection { section, name: typed },
        Change::RemoveSection { section },
    ];
    for change in &changes {
        if let Ok(edited) = apply(text, change) {
            assert_eq!(edited.undo.apply(&edited.text), text);
            assert_eq!(edited.done.apply(text), edited.text);
            song::read(&edited.text);
        }
    }
});
