//! `overhand export`: parts as files for other programs, for the printer and for the ear.

use super::args::{SpeedChoice, parse_speed};
use super::{Answer, Code, Form, Player, song_file};
use crate::export::{self, FileKind, Wanted};
use clap::{Args, ValueEnum};
use exchange::sheet::{Kind, Naming, Paper, Passes, SheetOptions};
use practice::{LoopBars, Speed};
use serde_json::{Value, json};
use std::collections::HashSet;
use std::io::{ErrorKind, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use voicing::Part;

/// What is to be written, and where.
#[derive(Args, Clone, Debug)]
pub struct Export {
    /// Song files.
    #[arg(required = true)]
    songs: Vec<PathBuf>,
    /// The file to write, whose ending says what: .mid .musicxml .mxl .pdf .svg .wav .flac. With --as: a folder.
    #[arg(short, long, value_name = "FILE|FOLDER")]
    output: PathBuf,
    /// Several songs, or several kinds, into a folder, each file named after its song: --as pdf,mid
    #[arg(long = "as", value_enum, value_delimiter = ',', value_name = "KIND")]
    kinds: Vec<FileKind>,
    /// Replaces files that are there.
    #[arg(long)]
    force: bool,
    /// For whom.
    #[command(flatten)]
    player: Player,
    /// What MIDI files and sound hold.
    #[command(flatten)]
    sounding: Sounding,
    /// What sheets look like.
    #[command(flatten)]
    sheet: Sheet,
    /// Text or JSON.
    #[command(flatten)]
    form: Form,
}

/// What is heard.
#[derive(Args, Clone, Debug)]
struct Sounding {
    /// With the click: a track of a MIDI file, or heard.
    #[arg(long)]
    click: bool,
    /// Of sound: percent of the chart's tempo, 30 to 130.
    #[arg(long, default_value = "100", value_parser = parse_fixed_speed)]
    speed: Speed,
    /// Of sound: only these bars, as they are played, e.g. 5-12.
    #[arg(long, value_name = "FROM-TO", value_parser = parse_bars)]
    bars: Option<LoopBars>,
}

/// What is printed.
#[derive(Args, Clone, Debug)]
struct Sheet {
    /// Of sheets: the chart alone, with both hands, or for a lesson.
    #[arg(long, value_enum, default_value = "chart")]
    sheet: SheetChoice,
    /// Of sheets: the paper.
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperChoice,
    /// Of sheets: how chords are written.
    #[arg(long, value_enum, default_value = "both")]
    chords: NamingChoice,
    /// Of sheets: every pass is written out.
    #[arg(long)]
    written_out: bool,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum SheetChoice {
    Chart,
    Hands,
    Lesson,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum PaperChoice {
    A4,
    Letter,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum NamingChoice {
    Numbers,
    Letters,
    Both,
}

impl Sheet {
    fn options(&self) -> SheetOptions {
        SheetOptions {
            kind: match self.sheet {
                SheetChoice::Chart => Kind::Chart,
                SheetChoice::Hands => Kind::Hands,
                SheetChoice::Lesson => Kind::Lesson,
            },
            paper: match self.paper {
                PaperChoice::A4 => Paper::A4,
                PaperChoice::Letter => Paper::Letter,
            },
            naming: match self.chords {
                NamingChoice::Numbers => Naming::Numbers,
                NamingChoice::Letters => Naming::Letters,
                NamingChoice::Both => Naming::Both,
            },
            passes: if self.written_out { Passes::WrittenOut } else { Passes::default() },
        }
    }
}

/// One file to write.
struct Task {
    song: usize,
    kind: FileKind,
    path: PathBuf,
}

/// Why there is no sheet of a MIDI file.
const NO_SHEET: &str = "these are the notes of a MIDI file, without a chart: a sheet has nothing to print; export \
                        .musicxml for a program that prints notes, or .mid .wav .flac";

/// Writes all that was asked for. What cannot be written is told, and the rest is written.
pub fn answer(call: &Export) -> Answer {
    let tasks = match tasks(call) {
        Ok(tasks) => tasks,
        Err(wrong) => return Answer::wrong_call(wrong),
    };
    let stop = stopped_by_signals();
    let mut done = Done::default();
    for (index, song) in call.songs.iter().enumerate() {
        let of_song = tasks.iter().filter(|task| task.song == index);
        match song_file::part(song, &call.player) {
            Ok((part, warnings)) => {
                done.messages.extend(warnings);
                let of_song: Vec<&Task> = of_song.collect();
                if part.is_notes_alone() && of_song.iter().any(|task| task.kind.is_sheet()) {
                    done.fail(vec![format!("{}: {NO_SHEET}", song.display())], Code::WrongInput);
                }
                let of_song = of_song.into_iter().filter(|t| !(part.is_notes_alone() && t.kind.is_sheet()));
                of_song.for_each(|task| done.write(call, &part, task, &stop));
            }
            Err(answer) => done.fail(answer.messages, answer.code),
        }
        if stop.load(Ordering::Relaxed) {
            break;
        }
    }
    done.answer(call.form)
}

/// What was written so far.
#[derive(Default)]
struct Done {
    lines: Vec<String>,
    files: Vec<Value>,
    messages: Vec<String>,
    code: Option<Code>,
}

impl Done {
    fn write(&mut self, call: &Export, part: &Part, task: &Task, stop: &AtomicBool) {
        if stop.load(Ordering::Relaxed) {
            return;
        }
        let wanted = Wanted {
            kind: task.kind,
            hands: call.player.hands(),
            click: call.sounding.click,
            speed: call.sounding.speed,
            bars: call.sounding.bars,
            sheet: call.sheet.options(),
        };
        if let Some(bars) = wanted.bars.filter(|bars| bars.from() >= part.bars.len()) {
            let what =
                format!("there is no bar {}: the song has {} as played", bars.from() + 1, part.bars.len());
            return self.fail(vec![format!("{}: {what}", call.songs[task.song].display())], Code::WrongCall);
        }
        if task.kind.is_score() {
            let moved = export::moved_for_notation(part, wanted.hands);
            let notes = if moved == 1 { "1 note" } else { &format!("{moved} notes") };
            let what = format!("{notes} between the beats: put on the nearest that notation has");
            self.messages.extend((moved > 0).then(|| format!("{}: {what}", task.path.display())));
        }
        let mut progress = Progress::new(&task.path, task.kind.is_sound());
        let mut go_on = |share: f32| {
            progress.at(share);
            !stop.load(Ordering::Relaxed)
        };
        match export::write(part, &wanted, &task.path, call.force, &mut go_on) {
            Ok(paths) => paths.iter().for_each(|path| self.wrote(&call.songs[task.song], path)),
            Err(error) => self.fail(vec![not_written(&task.path, &error)], Code::WrongInput),
        }
    }

    fn wrote(&mut self, song: &Path, path: &Path) {
        let bytes = std::fs::metadata(path).map_or(0, |about| about.len());
        self.lines.push(format!("{}: {}", path.display(), size(bytes)));
        self.files.push(
            json!({ "song": song.display().to_string(), "file": path.display().to_string(), "bytes": bytes }),
        );
    }

    fn fail(&mut self, messages: Vec<String>, code: Code) {
        self.messages.extend(messages);
        self.code = self.code.or(Some(code));
    }

    fn answer(self, form: Form) -> Answer {
        let mut answer = if form.json {
            Answer::json(&json!({ "files": self.files }))
        } else {
            Answer::done(self.lines.iter().map(|line| format!("{line}\n")).collect())
        };
        answer.code = self.code.unwrap_or(Code::Done);
        answer.telling(self.messages)
    }
}

fn tasks(call: &Export) -> Result<Vec<Task>, String> {
    let into_folder = !call.kinds.is_empty();
    let mut tasks = Vec::new();
    if into_folder {
        if call.output.is_file() {
            return Err(format!(
                "{}: with --as this is to be a folder, and a file is there",
                call.output.display()
            ));
        }
        let mut taken = HashSet::new();
        for (song, path) in call.songs.iter().enumerate() {
            let stem = free_stem(path, &mut taken);
            tasks.extend(call.kinds.iter().map(|kind| Task {
                song,
                kind: *kind,
                path: call.output.join(format!("{stem}.{}", kind.ending())),
            }));
        }
    } else {
        let kind = FileKind::of(&call.output).ok_or_else(|| unknown_ending(&call.output))?;
        if call.songs.len() > 1 {
            let ending = kind.ending();
            return Err(format!("several songs go into a folder: -o FOLDER --as {ending}"));
        }
        tasks.push(Task { song: 0, kind, path: call.output.clone() });
    }
    let Sounding { speed, bars, .. } = &call.sounding;
    if (*speed != Speed::FULL || bars.is_some()) && tasks.iter().any(|task| !task.kind.is_sound()) {
        return Err("--speed and --bars are for sound: .wav and .flac".to_owned());
    }
    Ok(tasks)
}

/// The song's name; two songs of one name are numbered.
fn free_stem(song: &Path, taken: &mut HashSet<String>) -> String {
    let stem = song.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let numbered = (2..).map(|number| format!("{stem}-{number}"));
    let free = std::iter::once(stem.clone()).chain(numbered).find(|stem| !taken.contains(stem));
    let free = free.unwrap_or(stem);
    taken.insert(free.clone());
    free
}

fn unknown_ending(output: &Path) -> String {
    let known: Vec<String> = FileKind::ALL.iter().map(|kind| format!(".{}", kind.ending())).collect();
    format!(
        "{}: the ending says what is written: {}; or -o FOLDER --as KIND",
        output.display(),
        known.join(" ")
    )
}

fn not_written(path: &Path, error: &std::io::Error) -> String {
    let why = match error.kind() {
        ErrorKind::AlreadyExists => "there is a file already; --force replaces it".to_owned(),
        ErrorKind::Interrupted => "stopped; nothing was left behind".to_owned(),
        ErrorKind::PermissionDenied => "nothing may be written there; choose another folder".to_owned(),
        _ => error.to_string(),
    };
    format!("{}: {why}", path.display())
}

/// How far it is, on a terminal, while something takes its time.
struct Progress<'p> {
    path: &'p Path,
    shown: bool,
    percent: u32,
}

impl<'p> Progress<'p> {
    fn new(path: &'p Path, slow: bool) -> Progress<'p> {
        Progress { path, shown: slow && std::io::stderr().is_terminal(), percent: u32::MAX }
    }

    fn at(&mut self, share: f32) {
        let percent = (100.0 * share) as u32;
        if self.shown && percent != self.percent {
            self.percent = percent;
            // Whether it can be seen changes nothing.
            let _ = write!(std::io::stderr(), "\r{}: {percent:>3} %", self.path.display());
        }
    }
}

impl Drop for Progress<'_> {
    fn drop(&mut self) {
        if self.shown {
            let _ = write!(std::io::stderr(), "\r\x1b[K");
        }
    }
}

/// Set by Ctrl+C, or where the program is told to end, so that what is being written can be taken
/// away; a second signal of the kind ends the program at once.
fn stopped_by_signals() -> Arc<AtomicBool> {
    use signal_hook::consts::{SIGINT, SIGTERM};
    let stop = Arc::new(AtomicBool::new(false));
    for signal in [SIGINT, SIGTERM] {
        // Where no handler can be set, the signal ends the program as ever. A shell gives 128 and the signal's number.
        let _ = signal_hook::flag::register_conditional_shutdown(signal, 128 + signal, stop.clone());
        let _ = signal_hook::flag::register(signal, stop.clone());
    }
    stop
}

fn size(bytes: u64) -> String {
    match bytes {
        ..10_000 => format!("{bytes} bytes"),
        10_000..10_000_000 => format!("{} kB", (bytes + 500) / 1000),
        _ => format!("{} MB", (bytes + 500_000) / 1_000_000),
    }
}

fn parse_fixed_speed(text: &str) -> Result<Speed, String> {
    match parse_speed(text) {
        Ok(SpeedChoice::Percent(speed)) => Ok(speed),
        _ => Err("a speed is 30 to 130 percent".to_owned()),
    }
}

fn parse_bars(text: &str) -> Result<LoopBars, String> {
    let mut ends = text.split('-').map(|end| end.trim().parse::<usize>().ok().filter(|bar| *bar > 0));
    let from = ends.next().flatten();
    let to = ends.next().map_or(from, |to| to);
    match (from, to, ends.next()) {
        (Some(from), Some(to), None) if from <= to => Ok(LoopBars::new(from - 1, to - 1)),
        _ => Err("write the first and the last bar, counted from 1 as they are played: 5-12".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bars_are_counted_from_one() {
        assert_eq!(parse_bars("5-12"), Ok(LoopBars::new(4, 11)));
        assert_eq!(parse_bars("3"), Ok(LoopBars::new(2, 2)));
        for wrong in ["0-2", "4-3", "a-b", "1-2-3", ""] {
            assert!(parse_bars(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn songs_of_one_name_are_numbered() {
        let mut taken = HashSet::new();
        let stems =
            ["a/heron.json", "b/heron.json", "quay.json"].map(|p| free_stem(Path::new(p), &mut taken));
        assert_eq!(stems, ["heron", "heron-2", "quay"]);
    }
}
