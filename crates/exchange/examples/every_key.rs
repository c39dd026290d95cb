//! Writes songs in all fifteen keys of their mode as MusicXML and MIDI files, each with its notes as a list beside it, for
//! other readers to compare: `cargo run -p exchange --example every_key -- FOLDER SONG...`.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a tool for developers"
)]

use practice::Hands;
use std::path::Path;
use theory::Key;

fn main() {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().expect("a folder");
    let folder = Path::new(&folder);
    for path in arguments {
        let path = Path::new(&path);
        let song = song::read_bytes(&std::fs::read(path).unwrap()).sound().unwrap().play();
        for key in Key::all().filter(|key| key.mode() == song.key.mode()) {
            let part = voicing::plan(&song, key, &voicing::Settings::default()).unwrap();
            let stem = format!(
                "{}-{}",
                path.file_stem().unwrap().to_string_lossy(),
                key.to_string().replace(' ', "-")
            );
            let notes: Vec<(f64, f64, u8)> =
                part.events.iter().map(|e| (e.start.to_f64(), e.length.to_f64(), e.key.number())).collect();
            std::fs::write(folder.join(format!("{stem}.json")), serde_json::to_string(&notes).unwrap())
                .unwrap();
            std::fs::write(folder.join(format!("{stem}.musicxml")), exchange::musicxml::write(&part))
                .unwrap();
            std::fs::write(folder.join(format!("{stem}.mxl")), exchange::musicxml::write_compressed(&part))
                .unwrap();
            std::fs::write(
                folder.join(format!("{stem}.mid")),
                exchange::write_part(&part, Hands::Both, false),
            )
            .unwrap();
            println!("{stem}: {} notes", notes.len());
        }
    }
}
