//! The sheet to print: laid out on a thread of its own, shown, and written where the player says.

use super::{Shell, waker};
use crate::export::{self, FileKind};
use crate::storage::{free_path_of, write_whole};
use crate::window::dialog::{Answer, wait_for};
use exchange::sheet::{self, Item, Kind, Mark, Meta, Naming, Paper, Passes, SheetOptions, Step, Words};
use practice::Hands;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;
use ui::{PaperChoice, PaperCommand, PaperFace, PaperFile, PaperMark, PaperPage, PaperSize, SheetKind};
use voicing::Part;

/// What a sheet is of.
type Asked = (Arc<Part>, PaperChoice);

/// A sheet that is laid out: what it is of, its pages, and the same for the screen.
struct Set {
    asked: Asked,
    pages: Vec<sheet::Page>,
    shown: Vec<PaperPage>,
}

/// The shell's side of sheets.
#[derive(Default)]
pub(super) struct Printer {
    shown: ui::Paper,
    /// What stands in `shown`, with its pages.
    set: Option<(Asked, Arc<Vec<sheet::Page>>)>,
    setting: Option<Receiver<Set>>,
    saving: Option<Receiver<Saved>>,
    stop: Arc<AtomicBool>,
}

/// News of a file that is being written.
enum Saved {
    /// So far, 0 to 1.
    At(f32),
    /// What is to be said now that it is over.
    Done(String),
}

impl Printer {
    /// What the page shows.
    pub fn shown(&self) -> &ui::Paper {
        &self.shown
    }

    /// Takes in what is ready.
    fn take_in(&mut self) {
        match self.setting.as_ref().map(Receiver::try_recv) {
            Some(Ok(set)) => {
                self.shown.pages = set.shown;
                self.set = Some((set.asked, Arc::new(set.pages)));
                self.setting = None;
            }
            Some(Err(TryRecvError::Disconnected)) => self.setting = None,
            _ => {}
        }
        loop {
            match self.saving.as_ref().map(Receiver::try_recv) {
                Some(Ok(Saved::At(share))) => self.shown.writing = Some(share),
                Some(Ok(Saved::Done(told))) => {
                    (self.shown.told, self.shown.writing, self.saving) = (Some(told), None, None);
                }
                Some(Err(TryRecvError::Disconnected)) => (self.shown.writing, self.saving) = (None, None),
                _ => return,
            }
        }
    }

    fn is_of(&self, part: &Arc<Part>, choice: PaperChoice) -> bool {
        self.set.as_ref().is_some_and(|((known, of), _)| Arc::ptr_eq(known, part) && *of == choice)
    }
}

impl Shell {
    /// Once a frame: while the page is shown, the sheet follows the song and what was chosen.
    pub(super) fn look_after_the_paper(&mut self) {
        self.printer.take_in();
        if self.view.page != ui::Page::Paper || self.printer.setting.is_some() {
            return;
        }
        let Some(part) = self.document.part().cloned() else { return };
        if part.is_notes_alone() {
            // The page says that there is no sheet; that of another song must not be saved in its place.
            (self.printer.set, self.printer.shown.pages) = (None, Vec::new());
            return;
        }
        let choice = self.view.paper;
        if !self.printer.is_of(&part, choice) {
            let (tell, set) = channel();
            let wake = waker(&self.ctx);
            let setting = thread::Builder::new().name("sheet".to_owned()).spawn(move || {
                // The window may be closed by now.
                let _ = tell.send(lay_out((part, choice)));
                wake();
            });
            self.printer.setting = setting.is_ok().then_some(set);
        }
    }

    /// What the page asks for, besides what the view carries out itself.
    pub(super) fn carry_out_paper(&mut self, command: PaperCommand) {
        let file = match command {
            PaperCommand::Save(file) if file.is_sheet() => file,
            PaperCommand::Save(file) => return self.save_the_part(file),
            PaperCommand::Stop => return self.printer.stop.store(true, Ordering::Relaxed),
            PaperCommand::Choose(_) | PaperCommand::Turn(_) => return,
        };
        let Some((asked, pages)) = self.printer.set.clone() else { return };
        if self.printer.saving.is_some() {
            return;
        }
        let stem = self.sheet_name(asked.1.kind);
        let without_dialog = self.exported(&stem, file);
        let title = if file == PaperFile::Pdf { "Save the sheet as PDF" } else { "Save the sheet as SVG" };
        let dialog = rfd::AsyncFileDialog::new()
            .set_title(title)
            .set_file_name(format!("{stem}.{}", file.ending()))
            .add_filter(file.ending().to_uppercase(), &[file.ending()])
            .save_file();
        let (tell, told) = channel();
        let wake = waker(&self.ctx);
        let saving = thread::Builder::new().name("save the sheet".to_owned()).spawn(move || {
            if let Some(path) = where_to(wait_for(dialog), without_dialog) {
                // The window may be closed by now.
                let _ = tell.send(Saved::Done(save(&path, file, &pages, &asked.0)));
            }
            drop(tell);
            wake();
        });
        self.printer.saving = saving.is_ok().then_some(told);
    }

    /// The part as a file for another program, or as sound with what is set on the stand. The dialog has asked already
    /// whether a file that is there may be replaced.
    fn save_the_part(&mut self, file: PaperFile) {
        let (Some(part), None) = (self.document.part().cloned(), &self.printer.saving) else { return };
        let settings = self.session.stand().song_settings();
        let kind = match file {
            PaperFile::Midi => FileKind::Midi,
            PaperFile::MusicXml => FileKind::MusicXml,
            PaperFile::CompressedMusicXml => FileKind::CompressedMusicXml,
            PaperFile::Flac => FileKind::Flac,
            PaperFile::Wav | PaperFile::Pdf | PaperFile::Svg => FileKind::Wav,
        };
        let sound = kind.is_sound();
        let wanted = export::Wanted {
            kind,
            hands: if sound { settings.hands } else { Hands::Both },
            click: sound && settings.click,
            speed: settings.speed,
            bars: settings.loop_bars,
            sheet: SheetOptions::default(),
        };
        let stem = self.sheet_name(SheetKind::Chart);
        let without_dialog = self.exported(&stem, file);
        let dialog = rfd::AsyncFileDialog::new()
            .set_title("Save the song for other programs")
            .set_file_name(format!("{stem}.{}", file.ending()))
            .add_filter(file.ending().to_uppercase(), &[file.ending()])
            .save_file();
        let (tell, told) = channel();
        let wake = waker(&self.ctx);
        self.printer.stop = Arc::default();
        let stop = self.printer.stop.clone();
        let saving = thread::Builder::new().name("save the song".to_owned()).spawn(move || {
            if let Some(path) = where_to(wait_for(dialog), without_dialog) {
                save_part(&part, &wanted, &path, &stop, |news| {
                    // The window may be closed by now.
                    let _ = tell.send(news);
                    wake();
                });
            }
            drop(tell);
            wake();
        });
        self.printer.saving = saving.is_ok().then_some(told);
    }

    /// Where a file goes when the player cannot be asked.
    fn exported(&self, stem: &str, file: PaperFile) -> Option<PathBuf> {
        self.cabinet.exports().map(|folder| free_path_of(folder, stem, file.ending()))
    }

    /// The name of the song's file with that of the sheet.
    fn sheet_name(&self, kind: SheetKind) -> String {
        let file = self.document.source().file_name();
        let stem = Path::new(&file).file_stem().unwrap_or_default().to_string_lossy().into_owned();
        match kind {
            SheetKind::Chart => stem,
            SheetKind::Hands => format!("{stem}-hands"),
            SheetKind::Lesson => format!("{stem}-lesson"),
        }
    }
}

/// What the player chose, or on a system without dialogs the place of our own.
fn where_to(answer: Answer, without_dialog: Option<PathBuf>) -> Option<PathBuf> {
    match answer {
        Answer::Chosen(path) => Some(path),
        Answer::Nothing => None,
        Answer::NoDialog => {
            if let Some(folder) = without_dialog.as_deref().and_then(Path::parent) {
                // If it cannot be made, writing into it says so.
                let _ = std::fs::create_dir_all(folder);
            }
            without_dialog
        }
    }
}

fn lay_out(asked: Asked) -> Set {
    let pages = sheet::pages(&asked.0, &options(asked.1));
    let shown = pages.iter().map(page).collect();
    Set { asked, pages, shown }
}

/// What was chosen, as the sheet asks for it.
fn options(choice: PaperChoice) -> SheetOptions {
    SheetOptions {
        kind: match choice.kind {
            SheetKind::Chart => Kind::Chart,
            SheetKind::Hands => Kind::Hands,
            SheetKind::Lesson => Kind::Lesson,
        },
        paper: match choice.size {
            PaperSize::A4 => Paper::A4,
            PaperSize::Letter => Paper::Letter,
        },
        naming: match choice.labels {
            ui::Labels::Numbers => Naming::Numbers,
            ui::Labels::Names => Naming::Letters,
            ui::Labels::Both => Naming::Both,
        },
        passes: if choice.written_out { Passes::WrittenOut } else { Passes::Folded },
    }
}

/// Writes the part, telling at each hundredth how far it is, and at last what became of it.
fn save_part(part: &Part, wanted: &export::Wanted, path: &Path, stop: &AtomicBool, tell: impl Fn(Saved)) {
    let mut percent = u32::MAX;
    let mut go_on = |share: f32| {
        let now = (100.0 * share) as u32;
        if wanted.kind.is_sound() && now != percent {
            percent = now;
            tell(Saved::At(share));
        }
        !stop.load(Ordering::Relaxed)
    };
    let written = export::write(part, wanted, path, true, &mut go_on);
    tell(Saved::Done(match written {
        Ok(_) => format!("Saved as {}.", path.display()),
        Err(error) if error.kind() == ErrorKind::Interrupted => {
            "Stopped; nothing was left behind.".to_owned()
        }
        Err(error) => could_not(path, &error),
    }));
}

/// Writes the sheet; what is to be said about that.
fn save(path: &Path, file: PaperFile, pages: &[sheet::Page], part: &Part) -> String {
    let written = match file {
        PaperFile::Pdf => sheet::pdf(pages, &Meta::of(part))
            .map_err(|error| error.to_string())
            .and_then(|bytes| write_whole(path, &bytes).map_err(|error| could_not(path, &error))),
        _ => {
            let mut files = svg_paths(path, pages.len()).into_iter().zip(pages);
            files.try_for_each(|(path, page)| {
                write_whole(&path, sheet::svg(page).as_bytes()).map_err(|error| could_not(&path, &error))
            })
        }
    };
    match written {
        Ok(()) if file == PaperFile::Svg && pages.len() > 1 => {
            format!("Saved as {} drawings, one for each page, beside {}.", pages.len(), path.display())
        }
        Ok(()) => format!("Saved as {}.", path.display()),
        Err(error) => error,
    }
}

fn could_not(path: &Path, error: &std::io::Error) -> String {
    format!("{} could not be written: {error}. Choose another folder.", path.display())
}

/// `song.svg`, or for several pages `song-1.svg`, `song-2.svg`, …
fn svg_paths(path: &Path, pages: usize) -> Vec<PathBuf> {
    if pages < 2 {
        return vec![path.to_owned()];
    }
    let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    (1..=pages).map(|page| path.with_file_name(format!("{stem}-{page}.svg"))).collect()
}

/// A page as the window draws it.
fn page(page: &sheet::Page) -> PaperPage {
    let items = page.blocks.iter().flat_map(|block| &block.items);
    let marks = items.flat_map(|item| match item {
        Item::Words(words) => texts(words),
        Item::Mark(mark) => shape(mark),
    });
    let says: Vec<&str> = page.words().map(|words| words.says.trim()).collect();
    PaperPage { width: page.width, height: page.height, marks: marks.collect(), says: says.join(" ") }
}

fn texts(words: &Words) -> Vec<PaperMark> {
    let text = |run: &sheet::Run| PaperMark::Text {
        at: [run.at.x, run.at.y],
        text: run.text.clone(),
        face: match run.face {
            sheet::Face::Sans => PaperFace::Sans,
            sheet::Face::Bold => PaperFace::Bold,
            sheet::Face::Serif => PaperFace::Serif,
            sheet::Face::Italic => PaperFace::Italic,
        },
        size: run.size,
        color: run.ink.rgb(),
    };
    words.runs.iter().map(text).collect()
}

/// A shape, its curves as short straight lines.
fn shape(mark: &Mark) -> Vec<PaperMark> {
    /// Pieces of a curve: enough for the quarter of a small circle and for a tie.
    const PIECES: usize = 10;
    let mut points: Vec<[f32; 2]> = Vec::new();
    let mut closed = false;
    for step in &mark.steps {
        match step {
            Step::Move(p) | Step::Line(p) => points.push([p.x, p.y]),
            Step::Curve(a, b, c) => {
                let from = points.last().copied().unwrap_or([a.x, a.y]);
                let along = |n: usize| {
                    let t = n as f32 / PIECES as f32;
                    let (s, places) = (1.0 - t, [from, [a.x, a.y], [b.x, b.y], [c.x, c.y]]);
                    let weights = [s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t];
                    [0, 1].map(|axis| (0..4).map(|i| weights[i] * places[i][axis]).sum())
                };
                points.extend((1..=PIECES).map(along));
            }
            Step::Close => closed = true,
        }
    }
    points.dedup();
    let stroke = mark.stroke.map(|(width, ink)| (width, ink.rgb()));
    vec![PaperMark::Shape { points, closed, fill: mark.fill.map(sheet::Ink::rgb), stroke }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::DEMOS;

    fn part() -> Arc<Part> {
        let song = song::read(DEMOS[0].text).song.unwrap().play();
        Arc::new(voicing::plan(&song, song.key, &voicing::Settings::default()).unwrap())
    }

    #[test]
    fn the_screen_shows_every_text_of_the_sheet() {
        let set = lay_out((part(), PaperChoice { kind: SheetKind::Lesson, ..PaperChoice::default() }));
        for (page, shown) in set.pages.iter().zip(&set.shown) {
            let runs = page.words().flat_map(|words| &words.runs).map(|run| run.text.as_str());
            let texts = shown.marks.iter().filter_map(|mark| match mark {
                PaperMark::Text { text, .. } => Some(text.as_str()),
                PaperMark::Shape { .. } => None,
            });
            assert!(runs.eq(texts));
        }
    }

    #[test]
    fn a_sheet_is_saved_where_it_is_wanted() {
        let folder = tempfile::tempdir().unwrap();
        let set = lay_out((part(), PaperChoice { kind: SheetKind::Hands, ..PaperChoice::default() }));
        assert!(set.pages.len() > 1);
        let path = folder.path().join("song.pdf");
        let told = save(&path, PaperFile::Pdf, &set.pages, &set.asked.0);
        assert_eq!(told, format!("Saved as {}.", path.display()));
        assert!(std::fs::read(&path).unwrap().starts_with(b"%PDF"));
        save(&folder.path().join("song.svg"), PaperFile::Svg, &set.pages, &set.asked.0);
        assert!(folder.path().join("song-2.svg").exists());
        let told = save(&path.join("no folder.pdf"), PaperFile::Pdf, &set.pages, &set.asked.0);
        assert!(told.contains("could not be written"), "{told}");
    }

    #[test]
    fn sound_tells_how_far_it_is_and_can_be_stopped() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("song.wav");
        let wanted = export::Wanted {
            kind: FileKind::Wav,
            hands: Hands::Left,
            click: true,
            speed: practice::Speed::FULL,
            bars: Some(practice::LoopBars::new(0, 0)),
            sheet: SheetOptions::default(),
        };
        let news = std::cell::RefCell::new(Vec::new());
        let stop = AtomicBool::new(false);
        let hear = |told| match told {
            Saved::At(_) => stop.store(true, Ordering::Relaxed),
            Saved::Done(told) => news.borrow_mut().push(told),
        };
        save_part(&part(), &wanted, &path, &stop, hear);
        assert_eq!(news.take(), ["Stopped; nothing was left behind."]);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        let stop = AtomicBool::new(false);
        let hear = |told| match told {
            Saved::At(share) => assert!((0.0..=1.0).contains(&share)),
            Saved::Done(told) => news.borrow_mut().push(told),
        };
        save_part(&part(), &wanted, &path, &stop, hear);
        assert_eq!(news.take(), [format!("Saved as {}.", path.display())]);
        assert!(std::fs::read(&path).unwrap().starts_with(b"RIFF"));
    }

    #[test]
    fn a_circle_stays_round() {
        let area = |mark: &PaperMark| match mark {
            PaperMark::Shape { points, closed: true, .. } if points.len() > 30 => {
                let (x, y) = (points[0][0], points[0][1]);
                points.iter().all(|p| (p[0] - x).hypot(p[1] - y) < 40.0)
            }
            _ => false,
        };
        let set = lay_out((part(), PaperChoice { kind: SheetKind::Lesson, ..PaperChoice::default() }));
        assert!(set.shown[0].marks.iter().any(area));
    }
}
