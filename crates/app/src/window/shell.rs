//! The shell: holds the four values, draws them, and carries out what the player asks for.

use super::keeper::{Keeper, Order};
use super::library::Library;
use super::presses::Presses;
use super::rig::{self, Rig};
use super::room::Exercise;
use super::{dialog::FileDialog, memory, proof};
use crate::document::{self, Document, Reader, Report, Source};
use crate::session::{self, Clock, Listener, Place, Running, Shared};
use crate::storage::{DEMOS, Places, Settings};
use practice::{Hands, LoopBars, Mode, SessionCommand, Speed, Take};
use std::sync::Arc;
use std::sync::mpsc::Sender;
use std::time::Duration;
use ui::{Command, Model, Page, ViewState};
use voicing::Part;

/// How soon the next frame is drawn while time runs: the place moves on the beat, so that forty a second are plenty.
const NEXT_FRAME: Duration = Duration::from_millis(25);

/// How many song files opened before are listed.
const RECENT: usize = 12;

/// The window's side of the program.
///
/// Fields are dropped in their order: the session thread ends first, while devices and keeper are still there for it.
pub struct Shell {
    running: Option<Running>,
    keeper: Option<Keeper>,
    ctx: egui::Context,
    document: Document,
    session: Shared,
    view: ViewState,
    rig: Rig,
    exercise: Option<Exercise>,
    on_stand: Option<Arc<Part>>,
    reader: Reader,
    library: Library,
    dialog: FileDialog,
    settings: Settings,
    told: Option<String>,
    title: String,
    frames: u64,
    begin: bool,
    /// Key presses, one a frame.
    presses: Presses,
}

impl Shell {
    /// The shell on a song, or on the one that was open the last time, or on the first demo song.
    ///
    /// # Errors
    /// Where the system can start no thread.
    pub fn new(ctx: &egui::Context, song: Option<Source>) -> std::io::Result<Shell> {
        proof::write_down_what_is_shown(ctx);
        Shell::at(ctx, song, Places::of_this_user())
    }

    /// The shell with its files in given places, or with none.
    fn at(ctx: &egui::Context, song: Option<Source>, places: Option<Places>) -> std::io::Result<Shell> {
        ui::install(ctx);
        let loaded = places.as_ref().map(Settings::load);
        let (settings, told) = loaded.map_or_else(
            || (Settings::default(), Some("There is no home folder, so nothing can be kept.".to_owned())),
            |loaded| (loaded.settings, loaded.told),
        );
        let remembered = settings.song.as_deref().map(Source::remembered);
        let first_start = song.is_none() && remembered.is_none() && !settings.met;
        let source = song.or(remembered).unwrap_or(Source::Demo(DEMOS[0]));
        let (document, job) = Document::new(source, settings.player());
        let reader = Reader::start(waker(ctx))?;
        reader.ask(job);
        let keeper = places.map(|places| Keeper::start(places, waker(ctx))).transpose()?;
        let mut view = memory::view(&settings);
        if first_start {
            view.page = Page::FirstStart;
        }
        Ok(Shell {
            ctx: ctx.clone(),
            document,
            session: Shared::new(Clock::start()),
            view,
            rig: Rig::closed(memory::midi(&settings), settings.volume),
            exercise: None,
            on_stand: None,
            reader,
            keeper,
            running: None,
            library: Library::default(),
            dialog: FileDialog::default(),
            settings,
            told,
            title: String::new(),
            frames: 0,
            begin: false,
            presses: Presses::default(),
        })
    }

    /// Draws a frame and carries out what was asked for in it.
    pub fn frame(&mut self, ui: &mut egui::Ui) {
        self.after_the_first_frame();
        self.take_in();
        let commands = self.draw(ui);
        for command in commands {
            self.carry_out(command);
        }
        let dropped = ui.input(|input| input.raw.dropped_files.first().map(|file| file.path().to_owned()));
        if let Some(path) = dropped.or_else(|| self.dialog.chosen()) {
            self.open(Source::File(path));
        }
        self.remember();
        if self.session.stand().running() {
            self.ctx.request_repaint_after(NEXT_FRAME);
        }
    }

    /// Devices are opened and the list of songs is read once the first frame is on the screen.
    fn after_the_first_frame(&mut self) {
        self.frames += 1;
        proof::frame_drawn(self.frames);
        match self.frames {
            1 => self.ctx.request_repaint(),
            2 => {
                proof::first_frame_painted();
                self.list_songs();
                self.open_devices();
            }
            _ => {}
        }
    }

    fn list_songs(&mut self) {
        self.library = Library::new(&self.settings.recent);
        self.library.mark_open(self.document.source());
    }

    fn open_devices(&mut self) {
        let ends = self.rig.open(waker(&self.ctx));
        let listener = Window { ctx: self.ctx.clone(), keeper: self.keeper.as_ref().and_then(Keeper::line) };
        match Running::start(self.session.clone(), ends, listener) {
            Ok(running) => self.running = Some(running),
            Err(error) => self.told = Some(format!("Nothing can be followed or played: {error}")),
        }
    }

    /// Takes in what other threads have ready.
    fn take_in(&mut self) {
        let reports: Vec<Report> = self.reader.reports().collect();
        for report in reports {
            match report {
                Report::Done(outcome) => self.change_document(document::Change::Read(*outcome)),
                Report::OnDisk => self.change_document(document::Change::OnDisk),
            }
        }
        if let Some(told) = self.keeper.as_ref().and_then(Keeper::told) {
            self.told = Some(told);
        }
        let told = self.document.trouble().map(str::to_owned).or_else(|| self.told.clone());
        self.rig.look(told.as_deref());
    }

    fn draw(&mut self, ui: &mut egui::Ui) -> Vec<Command> {
        let exercise = self.exercise.as_ref().filter(|_| self.view.page == Page::Room);
        let session = {
            let stand = self.session.stand();
            stand.view(self.session.clock().now())
        };
        let model = Model {
            part: exercise.map(|e| &*e.part).or(self.document.part().map(|part| &**part)),
            sheet: exercise.map(|e| &e.sheet).or(self.document.sheet()),
            written_key: self.document.written_key(),
            diagnostics: self.document.diagnostics(),
            session: &session,
            devices: self.rig.shown(),
            songs: self.library.entries(),
            settings: self.document.player(),
            view: &self.view,
        };
        ui::show(ui, &model)
    }

    fn carry_out(&mut self, command: Command) {
        self.view.apply(&command);
        match command {
            Command::OpenSong(index) => {
                if let Some(source) = self.library.source(index).cloned() {
                    self.open(source);
                }
            }
            Command::OpenFile => self.dialog.ask(waker(&self.ctx)),
            Command::Session(command) => self.ask_session(command),
            Command::Practise { bars, speed } => self.practise(bars, speed, None),
            Command::KeyOfSong(key) => self.change_document(document::Change::Key(key)),
            Command::Volume(volume) => self.rig.apply(rig::Change::Volume(volume)),
            Command::Begin => self.begin(),
            Command::Reach(reach) => {
                let player = self.document.player().with_reach(reach);
                self.change_document(document::Change::Player(player));
            }
            Command::PlayerKeys(keys) => {
                let player = voicing::Settings { keys, ..*self.document.player() };
                self.change_document(document::Change::Player(player));
            }
            Command::MidiPort(name) => self.rig.apply(rig::Change::Midi(memory::choice(name))),
            // Ports and sound devices are looked for all the time; what was told is looked at, and may go.
            Command::LookForDevices => self.told = None,
            Command::KeyDown(key, velocity) => self.rig.apply(rig::Change::KeyDown(key, velocity)),
            Command::KeyUp(key) => self.rig.apply(rig::Change::KeyUp(key)),
            Command::KeysUp => self.rig.apply(rig::Change::KeysUp),
            Command::Quit => self.ctx.send_viewport_cmd(egui::ViewportCommand::Close),
            Command::Show(_)
            | Command::Theme(_)
            | Command::Labels(_)
            | Command::Keyboard(_)
            | Command::Room(_)
            | Command::PianoKeys(_)
            | Command::PianoOctave(_)
            | Command::Answered(_) => {}
        }
        self.turn_the_stand();
        self.ctx.request_repaint();
    }

    fn open(&mut self, source: Source) {
        self.view.page = Page::Song;
        self.library.mark_open(&source);
        self.change_document(document::Change::Open(source));
        self.ask_session(SessionCommand::SetLoop(None));
        self.ask_session(SessionCommand::GoToBar(0));
    }

    /// The first start: one demo song, two bars, the right hand, 60 percent.
    fn begin(&mut self) {
        self.open(Source::Demo(DEMOS[0]));
        self.begin = true;
        self.begin_if_ready();
    }

    /// Bars can be looped once the song has been read.
    fn begin_if_ready(&mut self) {
        if self.begin && self.document.part().is_some() {
            self.begin = false;
            let speed = Speed::new(60.0).expect("60 lies within 30 to 130");
            self.practise(LoopBars::new(0, 1), speed, Some(Hands::Right));
        }
    }

    fn practise(&mut self, bars: LoopBars, speed: Speed, hands: Option<Hands>) {
        let mode = if hands.is_some() { Mode::Step } else { Mode::PlayAlong };
        self.ask_session(SessionCommand::SetMode(mode));
        if let Some(hands) = hands {
            self.ask_session(SessionCommand::SetHands(hands));
        }
        self.ask_session(SessionCommand::SetSpeed(speed));
        self.ask_session(SessionCommand::SetLoop(Some(bars)));
        self.ask_session(SessionCommand::GoToBar(bars.from()));
    }

    fn change_document(&mut self, change: document::Change) {
        if let Some(job) = self.document.apply(change) {
            self.reader.ask(job);
        }
        if let Some(part) = self.document.part().cloned()
            && !self.on_stand.as_ref().is_some_and(|known| Arc::ptr_eq(known, &part))
        {
            self.change_session(session::Change::SongPart(part.clone()));
            self.name_window(&part.title);
            // The scales that a song asks for first are those of its key.
            if self.on_stand.as_ref().is_none_or(|known| known.key != part.key) {
                self.view.room.scale = part.key.into();
            }
            self.on_stand = Some(part);
        }
        self.begin_if_ready();
    }

    /// The session in hand is that of the page.
    fn turn_the_stand(&mut self) {
        let place = if self.view.page == Page::Room { Place::Room } else { Place::Song };
        let known = self.exercise.as_ref().is_some_and(|exercise| exercise.is_of(&self.view.room));
        if place == Place::Room && !known {
            let exercise = Exercise::new(&self.view.room);
            self.change_session(session::Change::RoomPart(exercise.part.clone()));
            self.exercise = Some(exercise);
        }
        if self.session.stand().place() != place {
            self.change_session(session::Change::Go(place));
        }
    }

    fn ask_session(&mut self, command: SessionCommand) {
        self.change_session(session::Change::Do(command));
    }

    fn change_session(&mut self, change: session::Change) {
        let now = self.session.clock().now();
        self.session.stand().apply(change, now);
        if let Some(running) = &self.running {
            running.wake();
        }
    }

    fn name_window(&mut self, song: &str) {
        let title = format!("{song} - Overhand");
        if self.title != title {
            self.ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    /// Has the settings written where they changed.
    fn remember(&mut self) {
        let mut settings = self.settings.clone();
        memory::keep_view(&mut settings, &self.view);
        settings.volume = self.rig.shown().volume;
        memory::keep_midi(&mut settings, self.rig.midi());
        memory::keep_player(&mut settings, &self.view, self.document.player());
        let song = self.document.source().to_remember();
        if matches!(self.document.source(), Source::File(_)) && settings.recent.first() != Some(&song) {
            settings.recent.retain(|known| known != &song);
            settings.recent.insert(0, song.clone());
            settings.recent.truncate(RECENT);
        }
        settings.song = Some(song);
        settings.met |= self.view.page != Page::FirstStart;
        if settings != self.settings {
            let listed = settings.recent != self.settings.recent && self.frames > 2;
            self.settings = settings;
            if listed {
                self.list_songs();
            }
            if let Some(keeper) = &self.keeper {
                keeper.write(Order::Settings(self.settings.clone()));
            }
        }
    }
}

impl eframe::App for Shell {
    fn raw_input_hook(&mut self, ctx: &egui::Context, input: &mut egui::RawInput) {
        if self.view.piano_keys {
            self.presses.all(&mut input.events);
        } else if self.presses.one_at_a_time(&mut input.events) {
            ctx.request_repaint();
        }
    }

    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.frame(ui);
    }
}

/// What the session thread tells the window.
struct Window {
    ctx: egui::Context,
    keeper: Option<Sender<Order>>,
}

impl Listener for Window {
    fn changed(&self) {
        self.ctx.request_repaint();
    }

    fn finished(&self, take: Arc<Take>, part: Arc<Part>) {
        // Nothing to look back on, and no reason to push an older take out.
        if take.notes.is_empty() {
            return;
        }
        if let Some(keeper) = &self.keeper {
            // The keeper ends only after the session thread.
            let _ = keeper.send(Order::Take(take, part));
        }
    }
}

fn waker(ctx: &egui::Context) -> impl Fn() + Send + Sync + 'static {
    let ctx = ctx.clone();
    move || ctx.request_repaint()
}

#[cfg(test)]
mod tests {
    use super::*;
    use practice::SessionView;

    /// A shell that has drawn one frame: no device is open yet, and the song is read.
    fn shell(home: &tempfile::TempDir) -> Shell {
        let ctx = egui::Context::default();
        let mut shell = Shell::at(&ctx, None, Some(Places::under(home.path()))).unwrap();
        let mut output = ctx.run_ui(egui::RawInput::default(), |ui| shell.frame(ui));
        output.textures_delta.clear();
        wait_for_song(&mut shell);
        shell
    }

    fn wait_for_song(shell: &mut Shell) {
        for _ in 0..2000 {
            shell.take_in();
            if shell.document.part().is_some() {
                return;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        panic!("the song was not read");
    }

    fn session(shell: &Shell) -> SessionView {
        shell.session.stand().view(shell.session.clock().now())
    }

    #[test]
    fn a_new_player_begins_with_two_bars_of_the_right_hand_at_60_percent() {
        let home = tempfile::tempdir().unwrap();
        let mut shell = shell(&home);
        assert_eq!(shell.view.page, Page::FirstStart);
        shell.carry_out(Command::Begin);
        let settings = session(&shell).settings;
        assert_eq!(shell.view.page, Page::Song);
        assert_eq!((settings.hands, settings.speed.percent()), (Hands::Right, 60.0));
        assert_eq!(settings.loop_bars, Some(LoopBars::new(0, 1)));
    }

    #[test]
    fn what_was_set_is_there_at_the_next_start() {
        let home = tempfile::tempdir().unwrap();
        let mut first = shell(&home);
        first.carry_out(Command::Theme(ui::Theme::Night));
        first.carry_out(Command::Reach(voicing::Reach::new(14).unwrap()));
        first.carry_out(Command::Volume(0.5));
        first.carry_out(Command::Show(Page::Song));
        first.remember();
        drop(first);
        let second = shell(&home);
        assert_eq!(second.view.page, Page::Song, "the first start comes once");
        assert_eq!(second.view.theme, ui::Theme::Night);
        assert_eq!(second.document.player().reach.semitones(), 14);
        assert_eq!(second.rig.shown().volume, 0.5);
    }

    #[test]
    fn the_scale_room_is_on_the_stand_while_its_page_is_shown() {
        let home = tempfile::tempdir().unwrap();
        let mut shell = shell(&home);
        shell.carry_out(Command::Show(Page::Room));
        assert_eq!(shell.session.stand().place(), Place::Room);
        assert!(session(&shell).step.is_some(), "the exercise can be stepped through");
        shell.carry_out(Command::Show(Page::Song));
        assert_eq!(shell.session.stand().place(), Place::Song);
    }

    #[test]
    fn the_song_moves_to_the_key_that_was_asked_for() {
        let home = tempfile::tempdir().unwrap();
        let mut shell = shell(&home);
        shell.carry_out(Command::KeyOfSong("Eb major".parse().unwrap()));
        for _ in 0..2000 {
            shell.take_in();
            if shell.document.part().unwrap().key.to_string() == "Eb major" {
                assert_eq!(shell.view.room.scale.to_string(), "Eb major", "the scales follow the song");
                return;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        panic!("the song stays in {}", shell.document.part().unwrap().key);
    }
}
