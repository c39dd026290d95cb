//! Writes every sheet of some songs as PDF and SVG, to be looked at:
//! `cargo run -p exchange --example sheets -- FOLDER SONG...`.
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::disallowed_methods, missing_docs)]

use exchange::sheet::{self, Kind, Meta, Naming, Paper, Passes, SheetOptions};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().expect("the folder to write to");
    std::fs::create_dir_all(&folder).unwrap();
    for path in arguments {
        let reading = song::read_bytes(&std::fs::read(&path).unwrap());
        let song = reading.song.unwrap().play();
        let part = voicing::plan(&song, song.key, &voicing::Settings::default()).unwrap();
        let name = std::path::Path::new(&path).file_stem().unwrap().to_string_lossy().into_owned();
        for kind in Kind::ALL {
            let options = SheetOptions { kind, ..SheetOptions::default() };
            write(&part, &options, &format!("{folder}/{name}-{}", kind.name()));
        }
        let options = SheetOptions {
            paper: Paper::Letter,
            naming: Naming::Numbers,
            passes: Passes::WrittenOut,
            ..Default::default()
        };
        write(&part, &options, &format!("{folder}/{name}-letter-numbers-out"));
    }
}

fn write(part: &voicing::Part, options: &SheetOptions, path: &str) {
    let start = std::time::Instant::now();
    let pages = sheet::pages(part, options);
    let laid_out = start.elapsed();
    let pdf = sheet::pdf(&pages, &Meta::of(part)).unwrap();
    println!(
        "{path}: {} pages, {} kB, {laid_out:?} + {:?}",
        pages.len(),
        pdf.len() / 1000,
        start.elapsed() - laid_out
    );
    std::fs::write(format!("{path}.pdf"), pdf).unwrap();
    std::fs::write(format!("{path}.svg"), sheet::svg(&pages[0])).unwrap();
}
