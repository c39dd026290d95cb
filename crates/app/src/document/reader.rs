//! Reading and planning, off the thread of the window, and watching the file.

use super::Source;
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
    /// Its text, where that is newer than the file.
    pub text: Option<Arc<str>>,
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
    /// The file of the last job changed on disk.
    OnDisk,
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
    let mut watched: Option<(Source, Option<(std::time::SystemTime, u64)>)> = None;
    loop {
        let report = match to_do.recv_timeout(LOOK_EVERY) {
            Ok(job) => {
                let newest = to_do.try_iter().last().unwrap_or(job);
                // Looked at before reading: a change in between is seen at the next look.
                watched = Some((newest.source.clone(), newest.source.state()));
                Some(Report::Done(Box::new(run(&newest))))
            }
            Err(RecvTimeoutError::Timeout) => watched.as_mut().and_then(|(source, state)| {
                let now = source.state();
                (now != std::mem::replace(state, now)).then_some(Report::OnDisk)
            }),
            Err(RecvTimeoutError::Disconnected) => return,
        };
        if report.is_some_and(|report| !tell(report)) {
            return;
        }
    }
}

/// Reads and plans.
pub fn run(job: &Job) -> Outcome {
    let diagnostics = Vec::new();
    let nothing =
        Outcome { generation: job.generation, planned: None, text: None, diagnostics, trouble: None };
    let bytes = job.text.as_ref().map_or_else(|| job.source.bytes(), |text| Ok(text.as_bytes().to_vec()));
    match bytes {
        Ok(bytes) => {
            let text = std::str::from_utf8(&bytes).ok().map(Arc::from);
            let nothing = Outcome { text, ..nothing };
            let song::Reading { song, diagnostics } = song::read_bytes(&bytes);
            let playable = !diagnostics.iter().any(song::Diagnostic::is_error);
            match song.filter(|_| playable).map(|song| plan(&song, job)).transpose() {
                Ok(planned) => Outcome { planned, diagnostics, ..nothing },
                Err(other_mode) => Outcome { trouble: Some(other_mode.to_string()), diagnostics, ..nothing },
            }
        }
        Err(error) => Outcome { trouble: Some(cannot_open(&job.source, &error)), ..nothing },
    }
}

fn plan(song: &song::Song, job: &Job) -> Result<Planned, song::OtherMode> {
    let played = Arc::new(song.play());
    let part = voicing::plan(&played, job.key.unwrap_or(song.key), &job.player)?;
    let sheet = Arc::new(ui::Sheet::new(&part));
    Ok(Planned { song: played, part: Arc::new(part), sheet, written_key: song.key })
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
        assert!(matches!(second, Report::OnDisk));
    }
}
