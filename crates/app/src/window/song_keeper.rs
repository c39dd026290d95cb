//! Songs on the keeper's thread: written soon, their earlier versions listed, what is not in its file brought back.

use crate::storage::{self, Places, Saved, Saving, SongText, Unsaved, VersionKind, Versions};
use std::path::PathBuf;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// Something to do with a song.
#[derive(Debug)]
pub enum SongOrder {
    /// Write it, soon.
    Write(SongText),
    /// It was opened, with this in its file.
    Opened(PathBuf, String),
    /// Keep a text that was chosen against among the versions.
    PutAside(PathBuf, String),
    /// That its file was moved from here was heard: what is written here from now on is another song.
    MoveWasTold(PathBuf),
    /// List its earlier versions.
    Versions(PathBuf),
    /// Copy it with its takes, for somebody else.
    CopyWithTakes(SongBundle),
    /// It goes on in another file: what waits for this one is given up.
    GiveUp(PathBuf),
    /// Its file goes from one place to another, where none is.
    Move(PathBuf, PathBuf),
}

/// What there is to tell of a song.
#[derive(Debug)]
pub enum SongTold {
    /// What came of a text.
    Saved(Saved),
    /// What was written into it before and never came into its file.
    Unsaved(PathBuf, Unsaved),
    /// Its earlier versions, the newest first.
    Versions(PathBuf, Vec<Earlier>),
    /// Where it was copied to with its takes, or why not; for the player.
    Copied(String),
    /// Its file went from one place to another, or stays.
    Moved(Moved),
}

/// What came of moving a song's file.
#[derive(Debug)]
pub struct Moved {
    /// Where it was.
    pub from: PathBuf,
    /// Where it was to go.
    pub to: PathBuf,
    /// What came of the text that had to be written first, if there was any.
    pub saved: Option<Saved>,
    /// Whether it is there, or why it is not.
    pub done: std::io::Result<()>,
}

/// A song that is copied with its takes.
#[derive(Clone, Debug)]
pub struct SongBundle {
    /// The folder that was chosen.
    pub folder: PathBuf,
    /// The song's file name.
    pub file: String,
    /// The song.
    pub text: String,
    /// Its title, as the takes know it.
    pub title: String,
}

/// An earlier version of a song.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Earlier {
    /// When it was saved, in milliseconds since 1970.
    pub at: u64,
    /// What it is.
    pub kind: VersionKind,
    /// The song as it was.
    pub text: String,
    /// What differs from the version before it, in a player's words.
    pub changed: Vec<String>,
}

/// The keeper's songs.
pub struct SongKeeper {
    saving: Saving,
    places: Option<Places>,
}

impl SongKeeper {
    /// With versions in these places, or with none.
    pub fn new(places: Option<Places>) -> SongKeeper {
        SongKeeper { saving: Saving::new(places.clone()), places }
    }

    /// Carries an order out, or takes it in.
    pub fn carry_out(&mut self, order: SongOrder) -> Option<SongTold> {
        let now = Instant::now();
        match order {
            SongOrder::Write(text) => {
                self.saving.ask(text, now);
                None
            }
            SongOrder::Opened(path, text) => {
                let unsaved = self.saving.opened(&path, &text, now)?;
                Some(SongTold::Unsaved(path, unsaved))
            }
            SongOrder::PutAside(path, text) => {
                let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
                let now = u64::try_from(since.as_millis()).unwrap_or(u64::MAX);
                // It is in the undo history of the window as well.
                let _ = Versions::of(self.places.as_ref()?, &path).add(&text, VersionKind::Mine, now);
                None
            }
            SongOrder::CopyWithTakes(bundle) => {
                let copied = copy_with_takes(&bundle, self.places.as_ref());
                Some(SongTold::Copied(copied.unwrap_or_else(|error| format!("Nothing was copied: {error}."))))
            }
            SongOrder::GiveUp(path) => {
                self.saving.give_up(&path);
                None
            }
            SongOrder::Move(from, to) => {
                let (saved, done) = self.saving.carry(&from, &to, now);
                if let (Ok(()), Some(places)) = (&done, &self.places) {
                    storage::takes_follow(places, &from, &to);
                }
                Some(SongTold::Moved(Moved { from, to, saved, done }))
            }
            SongOrder::MoveWasTold(from) => {
                self.saving.told_of_carrying(&from);
                None
            }
            SongOrder::Versions(path) => {
                let earlier = self.places.as_ref().map(|places| earlier(&Versions::of(places, &path)));
                Some(SongTold::Versions(path, earlier.unwrap_or_default()))
            }
        }
    }

    /// How long nothing is due, if anything waits.
    pub fn idle(&self) -> Option<Duration> {
        self.saving.next().map(|next| next.saturating_duration_since(Instant::now()))
    }

    /// Writes what is due.
    pub fn work(&mut self) -> Vec<SongTold> {
        self.saving.work(Instant::now()).into_iter().map(SongTold::Saved).collect()
    }

    /// Writes all that waits: the window is closed.
    pub fn finish(&mut self) {
        self.saving.finish(Instant::now());
    }
}

/// Copies a song and the takes of it into a folder of its own, beside what is there.
fn copy_with_takes(bundle: &SongBundle, places: Option<&Places>) -> std::io::Result<String> {
    let takes = places.map(storage::list_takes).unwrap_or_default();
    let takes: Vec<_> = takes.into_iter().filter(|take| take.verdict.song == bundle.title).collect();
    let stem = bundle.file.trim_end_matches(".json");
    let numbered = (2..).map(|number| format!("{stem} with takes {number}"));
    let mut names = std::iter::once(format!("{stem} with takes")).chain(numbered);
    let folder = names.find_map(|name| Some(bundle.folder.join(name)).filter(|path| !path.exists()));
    let folder = folder.expect("the numbers go on");
    storage::write_whole(&folder.join(&bundle.file), bundle.text.as_bytes())?;
    for take in &takes {
        if let Some(name) = take.file.file_name() {
            std::fs::copy(&take.file, folder.join(name))?;
        }
    }
    let takes = match takes.len() {
        0 => "no take of it yet".to_owned(),
        1 => "its take".to_owned(),
        n => format!("{n} takes"),
    };
    Ok(format!(
        "The song and {takes} are in {}: whoever gets that folder drops it on the window.",
        folder.display()
    ))
}

fn earlier(versions: &Versions) -> Vec<Earlier> {
    let listed = versions.list().into_iter();
    let mut earlier: Vec<Earlier> = listed
        .filter_map(|version| {
            let text = version.text().ok()?;
            Some(Earlier { at: version.at, kind: version.kind, text, changed: Vec::new() })
        })
        .collect();
    for at in 1..earlier.len() {
        earlier[at - 1].changed = song::difference(&earlier[at].text, &earlier[at - 1].text);
    }
    earlier
}
