//! Reading and planning, off the thread of the window, and watching the file.

use super::Source;
use super::source::State;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::Duration;
use theory::Key;
use voicing::{Part, Settings};

/// How often the open file is looked at. A person who saves in an editor and looks up finds the change there.
const LOOK_EVERY: Duration = Duration::from_millis(400);

/// What to read and plan.
#[derive(Clone, Debug)]
pub struct Job {
    /// Comes back with the outcome.
    pub generation: u64,
    /// Which song.
    pub source: Source,
    /// Its text as it is in the window; nothing to read the file.
    pub text: Option<Arc<str>>,
    /// It was written here: what can be had of it is planned. A file with a mistake leaves the part that was there.
    pub own: bool,
    /// In which key, if not its own.
    pub key: Option<Key>,
    /// For which player.
    pub player: Settings,
}

/// What came of a job.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// That of the job.
    pub generation: u64,
    /// The part, if the song can be played.
    pub planned: Option<Planned>,
    /// The text that was read, as far as it is text.
    pub text: Option<Arc<str>>,
    /// Mistakes and warnings.
    pub diagnostics: Vec<song::Diagnostic>,
    /// Why the file could not be opened.
    pub trouble: Option<String>,
    /// It was read from the file.
    pub of_file: bool,
}

/// A song ready to be played.
#[derive(Clone, Debug)]
pub struct Planned {
    /// The song as played, in its written key.
    pub song: Arc<song::PlayedSong>,
    /// The part.
    pub part: Arc<Part>,
    /// Arranged as a page.
    pub sheet: Arc<ui::Sheet>,
    /// The key it is written in.
    pub written_key: Key,
}

/// What the reader has to tell.
#[derive(Clone, Debug)]
pub enum Report {
    /// A job is done.
    Done(Box<Outcome>),
    /// The file of the last job changed on disk and holds this now; nothing where it cannot be read as text.
    OnDisk(Option<String>),
}

/// The thread that reads, plans and watches. It ends when this is dropped.
#[derive(Debug)]
pub struct Reader {
    jobs: Sender<Job>,
    reports: Receiver<Report>,
}

impl Reader {
    /// Starts the thread; `wake` is called after every report, from that thread.
    ///
    /// # Errors
    /// Where the system can start no thread.
    pub fn start(wake: impl Fn() + Send + 'static) -> std::io::Result<Reader> {
        let (jobs, to_do) = channel();
        let (done, reports) = channel();
        thread::Builder::new().name("reader".to_owned()).spawn(move || {
            work(&to_do, |report| {
                let heard = done.send(report).is_ok();
                wake();
                heard
            });
        })?;
        Ok(Reader { jobs, reports })
    }

    /// Gives it a job; one that is still waiting is given up.
    pub fn ask(&self, job: Job) {
        // The thread ends only after this value does.
        let _ = self.jobs.send(job);
    }

    /// What it has to tell since the last call.
    pub fn reports(&self) -> impl Iterator<Item = Report> + '_ {
        self.reports.try_iter()
    }
}

fn work(to_do: &Receiver<Job>, tell: impl Fn(Report) -> bool) {
    let mut watch: Option<Watch> = None;
    loop {
        let report = match to_do.recv_timeout(LOOK_EVERY) {
            Ok(job) => {
                let newest = to_do.try_iter().last().unwrap_or(job);
                // Looked at before reading: a change in between is seen at the next look.
                let known =
                    watch.take().filter(|watch| watch.source == newest.source && newest.text.is_some());
                watch = Some(known.unwrap_or_else(|| Watch::of(newest.source.clone())));
                Some(Report::Done(Box::new(run(&newest))))
            }
            Err(RecvTimeoutError::Timeout) => watch.as_mut().and_then(Watch::look),
            Err(RecvTimeoutError::Disconnected) => return,
        };
        if report.is_some_and(|report| !tell(report)) {
            return;
        }
    }
}

/// The file of the open song, looked at now and again.
struct Watch {
    source: Source,
    state: State,
    /// It changed, and was not whole when it was looked at.
    unsettled: bool,
}

impl Watch {
    fn of(source: Source) -> Watch {
        Watch { state: source.state(), source, unsettled: false }
    }

    /// Tells of a change once the file is whole. A program that writes in place has it cut short or away for a moment.
    fn look(&mut self) -> Option<Report> {
        let now = self.source.state();
        let changed = std::mem::replace(&mut self.state, now) != now;
        if !changed && !self.unsettled {
            return None;
        }
        let text = self.source.bytes().ok().and_then(|bytes| String::from_utf8(bytes).ok());
        let is_whole = |text: &String| serde_json::from_str::<serde::de::IgnoredAny>(text).is_ok();
        self.unsettled = changed && !text.as_ref().is_some_and(is_whole);
        (!self.unsettled).then_some(Report::OnDisk(text))
    }
}

/// Reads and plans.
pub fn run(job: &Job) -> Outcome {
    let diagnostics = Vec::new();
    let nothing = Outcome {
        generation: job.generation,
        planned: None,
        text: None,
        diagnostics,
        trouble: None,
        of_file: job.text.is_none(),
    };
    let bytes = job.text.as_ref().map_or_else(|| job.source.bytes(), |text| Ok(text.as_bytes().to_vec()));
    match bytes {
        Ok(bytes) if exchange::looks_like_midi(&bytes) => match plan_notes(&bytes, job) {
            Ok(planned) => Outcome { planned: Some(planned), ..nothing },
            Err(why) => {
                let trouble = format!("{}: {why}.", job.source.file_name());
                Outcome { trouble: Some(trouble), ..nothing }
            }
        },
        Ok(bytes) => {
            let text = std::str::from_utf8(&bytes).ok().map(Arc::from);
            let nothing = Outcome { text, ..nothing };
            let song::Reading { song, diagnostics } = song::read_bytes(&bytes);
            let playable = job.own || !diagnostics.iter().any(song::Diagnostic::is_error);
            let played = song.filter(|_| playable).map(|song| song.play());
            let played = played.filter(|song| !song.bars.is_empty());
            match played.map(|song| plan(song, job)).transpose() {
                Ok(planned) => Outcome { planned, diagnostics, ..nothing },
                Err(other_mode) => Outcome { trouble: Some(other_mode.to_string()), diagnostics, ..nothing },
            }
        }
        Err(error) => Outcome { trouble: Some(cannot_open(&job.source, &error)), ..nothing },
    }
}

fn plan(song: song::PlayedSong, job: &Job) -> Result<Planned, song::OtherMode> {
    let part = voicing::plan(&song, job.key.unwrap_or(song.key), &job.player)?;
    let sheet = Arc::new(ui::Sheet::new(&part));
    let written_key = song.written_key;
    Ok(Planned { song: Arc::new(song), part: Arc::new(part), sheet, written_key })
}

/// A MIDI file's notes are a part as they are; there is no text to write in.
fn plan_notes(bytes: &[u8], job: &Job) -> Result<Planned, exchange::ExchangeError> {
    let file = exchange::read_midi(bytes)?;
    let title = crate::import::title_of(&job.source.to_remember());
    let written = exchange::notes_part(&file, &title, None, job.player)?;
    let part = match job.key {
        Some(_) => exchange::notes_part(&file, &title, job.key, job.player)?,
        None => written.clone(),
    };
    let song = song::PlayedSong {
        title: written.title,
        key: written.key,
        written_key: written.key,
        level: 3,
        count_in: None,
        goals: Vec::new(),
        sections: written.sections,
        note: None,
        words: vec![song::SectionWords::default()],
        bars: written.bars.into_iter().map(|bar| bar.played).collect(),
    };
    let (sheet, written_key) = (Arc::new(ui::Sheet::new(&part)), song.key);
    Ok(Planned { song: Arc::new(song), part: Arc::new(part), sheet, written_key })
}

fn cannot_open(source: &Source, error: &std::io::Error) -> String {
    let path = source.to_remember();
    match error.kind() {
        std::io::ErrorKind::NotFound => format!("{} is not there any more.", path.display()),
        _ => format!("{} cannot be opened: {error}", path.display()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::DEMOS;

    #[test]
    fn a_change_on_disk_is_told_and_the_newest_job_is_done() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("song.json");
        std::fs::write(&path, DEMOS[0].text).unwrap();
        let reader = Reader::start(|| {}).unwrap();
        let job = Job {
            generation: 7,
            source: Source::File(path.clone()),
            text: None,
            own: false,
            key: None,
            player: Settings::default(),
        };
        reader.ask(job);
        let first = reader.reports.recv_timeout(Duration::from_secs(60)).unwrap();
        assert!(
            matches!(first, Report::Done(outcome) if outcome.generation == 7 && outcome.planned.is_some())
        );
        std::fs::write(&path, DEMOS[1].text).unwrap();
        let second = reader.reports.recv_timeout(Duration::from_secs(60)).unwrap();
        assert!(matches!(second, Report::OnDisk(Some(text)) if text == DEMOS[1].text));
    }

    #[test]
    fn a_midi_file_is_a_part_of_notes_alone_in_the_key_of_the_night() {
        let song = song::read(DEMOS[0].text).sound().unwrap().play();
        let part = voicing::plan(&song, song.key, &Settings::default()).unwrap();
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("song.json");
        std::fs::write(&path, exchange::write_part(&part, practice::Hands::Both, false)).unwrap();
        let up = part.key.transposed(2);
        let job = Job {
            generation: 1,
            source: Source::File(path),
            text: None,
            own: false,
            key: Some(up),
            player: Settings::default(),
        };
        let outcome = run(&job);
        let planned = outcome.planned.expect("its content tells, whatever its name ends in");
        assert!(planned.part.is_notes_alone() && outcome.text.is_none() && outcome.diagnostics.is_empty());
        assert_eq!((planned.part.key, planned.written_key), (up, part.key));
    }
}
