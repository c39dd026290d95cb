//! Types in a song as a person would, by the window's own document and keeper, until it is ended from outside. Every text
//! it has typed is told at once: the moment, in microseconds of the system's clock, and what the text is known by.

use app::document::{Change, Document, Found, Source, run};
use app::storage::{Places, Saved};
use app::window::keeper::{Keeper, Order, Told};
use app::window::song_keeper::{SongOrder, SongTold};
use song::edit::Change as Edit;
use std::io::Write;
use std::path::PathBuf;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// What is typed, over and over.
const CHART: &str =
    "1 | 4... 5. | 6 | ~ | 4 | 5/3 | 5sus4 5 | <1> | 2(7) 5(7) | 1 4 | 3/4: 1.. 5. | 6- | b7 | ^1 4";

fn main() {
    let mut arguments = std::env::args().skip(1);
    let mut next = || arguments.next().expect("a song, a home, a seed");
    let (song, home, seed) = (PathBuf::from(next()), PathBuf::from(next()), next());
    let mut chance = Chance(seed.parse().expect("the seed is a number"));
    let keeper = Keeper::start(Some(Places::under(&home)), || {}).expect("a thread can be started");
    let (mut document, job) = Document::new(Source::File(song.clone()), voicing::Settings::default());
    document.apply(Change::Read(run(&job)));
    let text = document.text().expect("the song was read").to_owned();
    keeper.ask(Order::Song(SongOrder::Opened(song, text)));
    let mut typed = 0;
    loop {
        for told in keeper.told() {
            hear(&mut document, told);
        }
        typed = if typed < CHART.len() { typed + 1 } else { 1 };
        if chance.of(12) {
            document.undo();
        } else {
            let edit = Edit::Row { section: 0, row: chance.below(2), text: CHART[..typed].to_owned() };
            document.change(&[edit]).expect("rows can be typed over");
        }
        say(&document);
        if let Some(song) = document.to_write() {
            keeper.ask(Order::Song(SongOrder::Write(song)));
        }
        std::thread::sleep(Duration::from_millis(15 + chance.below(150) as u64));
    }
}

fn hear(document: &mut Document, told: Told) {
    match told {
        Told::Song(SongTold::Saved(Saved::Written { song, .. })) => document.written(&song),
        Told::Song(SongTold::Saved(Saved::Changed { song, theirs })) => {
            document.not_written(&song);
            if let Found::Asked = document.found(theirs) {
                document.keep_mine();
            }
        }
        Told::Song(SongTold::Saved(Saved::Waiting { error, only_in_memory, .. })) => {
            tell(&format!("waiting {only_in_memory} {error}"));
        }
        Told::Song(SongTold::Unsaved(_, unsaved)) => drop(document.recover(unsaved)),
        _ => {}
    }
}

fn say(document: &Document) {
    let text = document.text().unwrap_or_default();
    let now = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    tell(&format!("{} {}", now.as_micros(), song::Fingerprint::new("", "", text).0));
}

/// Whoever listens may be gone; then this program is about to be ended.
fn tell(line: &str) {
    let mut out = std::io::stdout();
    let _ = writeln!(out, "{line}").and_then(|()| out.flush());
}

/// Numbers without a pattern that matters: xorshift (Marsaglia, Xorshift RNGs, 2003).
struct Chance(u64);

impl Chance {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 33) as usize % most
    }

    fn of(&mut self, most: usize) -> bool {
        self.below(most) == 0
    }
}
