//! The shell: holds the four values, draws them, and carries out what the player asks for.

mod choose;
mod dropped;
mod files;
mod level;
mod over;
mod paper;
mod planning;
mod practising;
mod set_in_hand;
mod set_shown;
mod warming_up;
mod writing;

use super::dialog::{FileDialog, Wanted};
use super::keeper::{Keeper, Order, Told};
use super::library::Library;
use super::playing::{OnStand, Playing};
use super::presses::Presses;
use super::rig::{self, Rig};
use super::room::Exercise;
use super::take_file::{Purpose, Question};
use super::takes::Takes;
use super::taps::Taps;
use super::{memory, proof};
use crate::devices::{MidiChoice, SoundChoice};
use crate::document::{self, Document, Reader, Report, Source};
use crate::session::{self, Clock, Place, Running, Shared};
use crate::storage::{DEMOS, MOST_DELAY_MS, Places, Settings, is_set};
use practice::{Hands, LoopBars, Mode, SessionCommand, Speed};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use ui::{Command, Model, Page, TakeDeed, TapDeed, ViewState};
use voicing::Part;

/// How soon the next frame is drawn while time runs: the place moves on the beat, so that forty a second are plenty.
const NEXT_FRAME: Duration = Duration::from_millis(25);

/// How many song files opened before are listed.
const RECENT: usize = 24;

/// The window's side of the program.
///
/// Fields are dropped in their order: the session thread ends first, while devices and keeper are still there for it.
pub struct Shell {
    running: Option<Running>,
    keeper: Keeper,
    ctx: egui::Context,
    document: Document,
    session: Shared,
    view: ViewState,
    rig: Rig,
    exercise: Option<Exercise>,
    on_stand: Option<Arc<Part>>,
    reader: Reader,
    library: Library,
    takes: Takes,
    taps: Taps,
    /// Where the song on the stand is, as takes remember it.
    song: Arc<Mutex<OnStand>>,
    /// The stretch of the song that is on the stand in its place, with its page.
    stretch: Option<(Arc<Part>, Arc<ui::Sheet>)>,
    dialog: FileDialog,
    desk: choose::Desk,
    cabinet: files::Cabinet,
    table: writing::Table,
    printer: paper::Printer,
    practice: practising::Desk,
    settings: Settings,
    told: Option<String>,
    title: String,
    frames: u64,
    /// The two bars of a new player are to be set up once the song is read.
    begin: bool,
    /// A new player has not chosen anything yet.
    guided: bool,
    /// What the scale room works on was chosen by the player, this evening or before.
    room_chosen: bool,
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
        let is_set = |source: &Source| matches!(source, Source::File(path) if is_set(path));
        let (set, song) = if song.as_ref().is_some_and(is_set) { (song, None) } else { (None, song) };
        let source = song.or(remembered).unwrap_or(Source::Demo(DEMOS[0]));
        let (document, job) = Document::new(source, settings.player());
        let reader = Reader::start(waker(ctx))?;
        reader.ask(job);
        let desk = choose::Desk::new(ctx)?;
        let cabinet = files::Cabinet::new(places.as_ref());
        let keeper = Keeper::start(places, waker(ctx))?;
        let mut view = memory::view(&settings);
        if first_start {
            view.page = Page::FirstStart;
        }
        let room_chosen = settings.room.is_some();
        let practice = practising::Desk::remembering(&settings.practice);
        let lost = practice.shown.told.as_ref();
        let told =
            told.or_else(|| lost.map(|told| format!("{told} The page of practice (F11) says what to do.")));
        let mut shell = Shell {
            ctx: ctx.clone(),
            document,
            session: Shared::new(Clock::start()),
            view,
            rig: Rig::closed(&settings),
            exercise: None,
            on_stand: None,
            reader,
            keeper,
            running: None,
            library: Library::default(),
            takes: Takes::default(),
            taps: Taps::default(),
            song: Arc::default(),
            stretch: None,
            dialog: FileDialog::default(),
            desk,
            cabinet,
            table: writing::Table::default(),
            printer: paper::Printer::default(),
            practice,
            settings,
            told,
            title: String::new(),
            frames: 0,
            begin: first_start,
            guided: first_start,
            room_chosen,
            presses: Presses::default(),
        };
        for command in memory::session(&shell.settings) {
            shell.ask_session(command);
        }
        shell.change_session(session::Change::SoundDelay(shell.settings.sound_delay_ms));
        if let Some(Source::File(set)) = set {
            shell.open_set(&set);
        }
        Ok(shell)
    }

    /// Draws a frame and carries out what was asked for in it.
    pub fn frame(&mut self, ui: &mut egui::Ui) {
        self.after_the_first_frame();
        self.take_in();
        let commands = self.draw(ui);
        for command in commands {
            self.carry_out(command);
        }
        let dropped = ui.input(|input| input.raw.dropped_files.iter().map(|f| f.path().to_owned()).collect());
        self.take_in_files(dropped);
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
                self.keeper.ask(Order::List);
                self.open_devices();
            }
            _ => {}
        }
    }

    fn list_songs(&mut self) {
        self.library = Library::new(&self.settings.recent, &self.settings.aside, self.cabinet.songs());
        self.library.mark_open(self.document.source());
    }

    fn open_devices(&mut self) {
        let ends = self.rig.open(waker(&self.ctx));
        let Some(listener) = self.listener() else { return };
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
                Report::OnDisk(Some(text)) => self.file_changed(text),
                Report::OnDisk(None) => self.change_document(document::Change::OnDisk(None)),
            }
        }
        let news: Vec<Told> = self.keeper.told().collect();
        news.into_iter().for_each(|news| self.hear(news));
        if let Some(row) = self.session.stand().tapped() {
            self.taps.tapped(&row);
        }
        if self.session.stand().replay().is_none() {
            self.takes.hear(None);
        }
        self.choose();
        self.look_after_the_file();
        self.look_after_the_paper();
        self.look_after_practice();
        self.write_down();
        // Where nothing can be heard, its clock is no trouble.
        let heard = self.rig.shown().sound.is_some();
        let clock = || self.session.stand().clock_trouble().filter(|_| heard);
        let told = self.document.trouble().map(str::to_owned).or_else(|| self.told.clone()).or_else(clock);
        self.rig.look(told.as_deref());
    }

    fn draw(&mut self, ui: &mut egui::Ui) -> Vec<Command> {
        let exercise = self.exercise.as_ref().filter(|_| self.view.page == Page::Room);
        let now = self.session.clock().now();
        let choosing = matches!(self.view.page, Page::Ways | Page::Writing);
        let (mut session, taps, replay) = {
            let stand = self.session.stand();
            let tapping = stand.tapping().map(|tapping| tapping.shown(now));
            let replay = stand.replay().filter(|_| !choosing).map(|replay| replay.quarters(now));
            (stand.view(now), self.taps.shown(tapping, stand.device_says_ms()), replay)
        };
        self.as_chosen(&mut session);
        proof::place(&session);
        self.hide_marks(&mut session);
        let (take, laps) = self
            .takes
            .open(self.view.lap)
            .map_or((None, session.laps.as_slice()), |(name, laps)| (Some(name), laps));
        let file = self.document.source().file_name();
        let stretch = self.stretch.as_ref();
        let model = Model {
            part: exercise
                .map(|e| &*e.part)
                .or(stretch.map(|(part, _)| &**part))
                .or(self.document.part().map(|part| &**part)),
            sheet: exercise
                .map(|e| &e.sheet)
                .or(stretch.map(|(_, sheet)| &**sheet))
                .or(self.document.sheet()),
            written_key: self.document.written_key(),
            file: &file,
            diagnostics: self.document.diagnostics(),
            session: &session,
            laps,
            takes: self.takes.entries(),
            take,
            replay,
            choices: self.desk.shown(),
            files: self.cabinet.shown(),
            paper: self.printer.shown(),
            practice: self.practice.shown(),
            writing: self.table.shown(),
            taps: &taps,
            devices: self.rig.shown(),
            songs: self.library.entries(),
            settings: self.document.player(),
            view: &self.view,
        };
        ui::show(ui, &model)
    }

    fn carry_out(&mut self, command: Command) {
        self.view.apply(&command);
        if let Command::KeyDown(key, _) = command {
            self.click_on_key(key);
        }
        let asked = command.clone();
        self.room_chosen |= matches!(command, Command::Room(_));
        match command {
            Command::Take(index, deed) => self.deal_with(index, deed),
            Command::OpenTakeFile => self.dialog.ask(Wanted::Take, waker(&self.ctx)),
            Command::Hear { with_part } => self.hear_again(with_part),
            Command::StopReplay => self.change_session(session::Change::Quiet),
            Command::Taps(deed) => self.tap(deed),
            Command::Instrument(ui::Instrument::File) => self.dialog.ask(Wanted::Bank, waker(&self.ctx)),
            Command::Volume(_)
            | Command::VolumeOf(..)
            | Command::MidiPort(_)
            | Command::EveryMidiPort
            | Command::Channel(_)
            | Command::SoundOutput(_)
            | Command::Buffer(_)
            | Command::Touch(_)
            | Command::Instrument(_)
            | Command::LookForDevices
            | Command::KeyDown(..)
            | Command::KeyUp(_)
            | Command::KeysUp => self.change_devices(command),
            Command::OpenSong(index) => {
                if let Some(source) = self.library.source(index).cloned() {
                    self.open(source);
                }
            }
            Command::Files(command) => self.carry_out_files(command),
            Command::Paper(command) => self.carry_out_paper(command),
            Command::Practice(command) => self.carry_out_practice(command),
            Command::OpenFile => self.dialog.ask(Wanted::Song, waker(&self.ctx)),
            Command::Session(command) => self.ask_session(command),
            Command::Writing(command) => self.carry_out_writing(command),
            Command::Practise { bars, speed } => self.practise(bars, speed, None),
            Command::KeyOfSong(key) => self.change_document(document::Change::Key(key)),
            Command::Begin => self.begin(),
            Command::Way(_)
            | Command::TakeWay(_)
            | Command::AsHeld
            | Command::LetGo
            | Command::Unpin
            | Command::Undo
            | Command::Redo => self.carry_out_choice(command),
            Command::Player(player) => self.change_document(document::Change::Player(player)),
            Command::Fuller(fuller) => {
                self.change_document(document::Change::Player(self.by_a_level(fuller)));
            }
            Command::PlayerKeys(keys) => {
                let player = voicing::Settings { keys, ..*self.document.player() };
                self.change_document(document::Change::Player(player));
            }
            Command::Quit => self.ctx.send_viewport_cmd(egui::ViewportCommand::Close),
            Command::Show(_)
            | Command::Tab(_)
            | Command::Lap(_)
            | Command::PinFor(_)
            | Command::Theme(_)
            | Command::Labels(_)
            | Command::Keyboard(_)
            | Command::Room(_)
            | Command::PianoKeys(_)
            | Command::PianoOctave(_)
            | Command::Capo(_)
            | Command::Answered(_) => {}
        }
        self.turn_the_stand();
        self.follow_the_choice(&asked);
        self.follow_the_file(&asked);
        self.ctx.request_repaint();
    }

    fn change_devices(&mut self, command: Command) {
        self.rig.apply(match command {
            Command::Volume(volume) => rig::Change::Volume(volume),
            Command::VolumeOf(voice, volume) => rig::Change::VolumeOf(voice, volume),
            Command::MidiPort(name) => rig::Change::Midi(memory::choice(name)),
            Command::EveryMidiPort => rig::Change::Midi(MidiChoice::Every),
            Command::Channel(channel) => rig::Change::Channel(channel),
            Command::SoundOutput(name) => {
                rig::Change::Sound(name.map_or(SoundChoice::System, SoundChoice::Named))
            }
            Command::Buffer(frames) => rig::Change::Buffer(frames),
            Command::Touch(touch) => rig::Change::Touch(touch),
            Command::Instrument(instrument) => rig::Change::Instrument(instrument),
            Command::KeyDown(key, velocity) => rig::Change::KeyDown(key, velocity),
            Command::KeyUp(key) => rig::Change::KeyUp(key),
            Command::KeysUp => rig::Change::KeysUp,
            // What was told is looked at, and may go.
            _ => {
                self.told = None;
                rig::Change::Look
            }
        });
    }

    fn open(&mut self, source: Source) {
        if std::mem::take(&mut self.guided) {
            self.leave_the_first_two_bars();
        }
        self.view.page = Page::Song;
        self.library.mark_open(&source);
        self.table.turn();
        self.change_document(document::Change::Open(source));
        self.ask_session(SessionCommand::SetLoop(None));
        self.ask_session(SessionCommand::GoToBar(0));
    }

    /// The first start: one demo song, two bars, the right hand, 60 percent.
    fn begin(&mut self) {
        self.guided = false;
        self.open(Source::Demo(DEMOS[0]));
        self.begin = true;
        self.begin_if_ready();
    }

    /// Another song than the one for new players is played by both hands, at its own speed.
    fn leave_the_first_two_bars(&mut self) {
        self.begin = false;
        self.ask_session(SessionCommand::SetHands(Hands::Both));
        self.ask_session(SessionCommand::SetSpeed(Speed::FULL));
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
            let playing = Playing::song(self.document.source().to_remember(), part.clone());
            self.song.lock().unwrap_or_else(PoisonError::into_inner).put(playing);
            self.stretch = None;
            self.change_session(session::Change::SongPart(part.clone()));
            self.name_window(&part.title);
            // The scales that a song asks for first are those of its key; at the start they are those of the last time.
            let moved = match &self.on_stand {
                Some(known) => known.key != part.key,
                None => !self.room_chosen,
            };
            if moved {
                self.view.room = self.view.room.with_scale(part.key.into());
            }
            self.on_stand = Some(part);
        }
        self.begin_if_ready();
        self.open_waiting_takes();
    }

    /// The session in hand is that of the page.
    fn turn_the_stand(&mut self) {
        let place = if self.view.page == Page::Room { Place::Room } else { Place::Song };
        let (room, song, keys) = (self.view.room, self.document.part().cloned(), self.document.player().keys);
        let known = self.exercise.as_ref().is_some_and(|exercise| exercise.is_of(&room, song.as_ref(), keys));
        let mut asked = None;
        if place == Place::Room && !known {
            let exercise = Exercise::new(&room, song.as_ref(), keys);
            self.change_session(session::Change::RoomPart(exercise.part.clone()));
            asked = exercise.asks(&self.session.stand().view(self.session.clock().now()).settings);
            self.exercise = Some(exercise);
        }
        if self.session.stand().place() != place {
            self.change_session(session::Change::Go(place));
        }
        if let Some(command) = asked {
            self.ask_session(command);
        }
    }

    fn ask_session(&mut self, command: SessionCommand) {
        // Whoever plays on wants to see how that went.
        if matches!(command, SessionCommand::Start | SessionCommand::StartIn(_) | SessionCommand::Toggle) {
            self.takes.close();
            self.view.lap = None;
        }
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

    /// What the keeper has to tell.
    fn hear(&mut self, news: Told) {
        match news {
            Told::Trouble(told) => self.told = Some(told),
            Told::Song(told) => self.hear_of_song(told),
            Told::Takes(takes) => self.takes.are(takes),
            Told::Practice(told) => self.hear_of_practice(told),
            Told::Opened(opened) => {
                self.told = opened.remark.clone();
                let with_part = opened.purpose == Purpose::HearWithPart;
                if matches!(opened.purpose, Purpose::See | Purpose::SeeBeside) {
                    self.view.page = Page::Results;
                } else {
                    self.change_session(session::Change::Replay(opened.lap.clone(), with_part));
                    self.takes.hear(Some(opened.file.clone()));
                }
                self.view.lap = None;
                self.takes.show(&opened);
            }
        }
    }

    /// The pass whose result is shown.
    fn hear_again(&mut self, with_part: bool) {
        let own = self.session.stand().view(self.session.clock().now()).laps;
        let laps = self.takes.open(None).map_or(own.as_slice(), |(_, laps)| laps);
        let shown = self.view.lap.and_then(|at| laps.get(at)).or(laps.last());
        if let Some(lap) = shown.cloned() {
            self.change_session(session::Change::Replay(lap, with_part));
        }
    }

    fn deal_with(&mut self, index: usize, deed: TakeDeed) {
        let Some(take) = self.takes.get(index).cloned() else { return };
        let open =
            |purpose| Order::Open(Question::Kept(Box::new(take.clone()), *self.document.player(), purpose));
        self.keeper.ask(match deed {
            TakeDeed::Open => open(Purpose::See),
            TakeDeed::Hear => open(Purpose::Hear),
            TakeDeed::HearWithPart => open(Purpose::HearWithPart),
            TakeDeed::Keep => Order::Keep(take, true),
            TakeDeed::LetGo => Order::Keep(take, false),
            TakeDeed::Delete => Order::Delete(take),
        });
    }

    fn tap(&mut self, deed: TapDeed) {
        match deed {
            TapDeed::Start(to) => {
                self.taps.begin(to);
                self.change_session(session::Change::Tap(to));
            }
            TapDeed::Tap => {
                let now = self.session.clock().now();
                self.session.stand().tap(now);
            }
            TapDeed::Stop => self.change_session(session::Change::Quiet),
            TapDeed::SetDelay(ms) => {
                let ms = ms.clamp(-MOST_DELAY_MS, MOST_DELAY_MS);
                self.rig.set_sound_delay(ms);
                self.change_session(session::Change::SoundDelay(ms));
            }
        }
    }

    /// Has the settings written where they changed.
    fn remember(&mut self) {
        let mut settings = self.settings.clone();
        memory::keep_view(&mut settings, &self.view);
        if self.room_chosen {
            memory::keep_room(&mut settings, &self.view.room);
        }
        self.rig.keep(&mut settings);
        memory::keep_session(&mut settings, &self.session.stand().song_settings());
        memory::keep_player(&mut settings, &self.view, self.document.player());
        let song = self.document.source().to_remember();
        if matches!(self.document.source(), Source::File(_)) && settings.recent.first() != Some(&song) {
            settings.recent.retain(|known| known != &song);
            settings.recent.insert(0, song.clone());
            settings.recent.truncate(RECENT);
        }
        self.practice.keep(&mut settings.practice);
        settings.song = Some(song);
        settings.met |= self.view.page != Page::FirstStart;
        if settings != self.settings {
            let listed = settings.recent != self.settings.recent && self.frames > 2;
            self.settings = settings;
            if listed {
                self.list_songs();
            }
            self.keeper.ask(Order::Settings(self.settings.clone()));
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
    fn the_first_page_shows_what_begin_will_do_and_another_song_is_played_by_both_hands() {
        let home = tempfile::tempdir().unwrap();
        let mut shell = shell(&home);
        let settings = session(&shell).settings;
        assert_eq!((settings.hands, settings.speed.percent()), (Hands::Right, 60.0));
        assert_eq!(settings.loop_bars, Some(LoopBars::new(0, 1)));
        shell.list_songs();
        shell.carry_out(Command::OpenSong(1));
        let settings = session(&shell).settings;
        assert_eq!((settings.hands, settings.speed), (Hands::Both, Speed::FULL));
        assert_eq!(settings.loop_bars, None);
    }

    /// Takes in what other threads have ready until something is so.
    fn wait_until(shell: &mut Shell, is_so: impl Fn(&Shell) -> bool) {
        for _ in 0..2000 {
            shell.take_in();
            if is_so(shell) {
                return;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        panic!("it never came about");
    }

    #[test]
    fn a_take_is_kept_listed_seen_heard_and_deleted() {
        let home = tempfile::tempdir().unwrap();
        let mut shell = shell(&home);
        let part = shell.document.part().unwrap().clone();
        let note = practice::PlayedNote {
            at: practice::ChartTime::from_ms(5.0),
            length: Some(practice::ChartTime::from_ms(300.0)),
            key: part.events[0].key,
            velocity: 70,
        };
        let take = practice::Take::new(vec![note], Speed::FULL, Hands::Both, None);
        let lap = crate::window::take_file::judged(part, take);
        session::Listener::finished(&shell.listener().unwrap(), lap.clone());
        wait_until(&mut shell, |shell| shell.takes.entries().len() == 1);
        shell.carry_out(Command::Take(0, TakeDeed::Open));
        wait_until(&mut shell, |shell| shell.takes.open(None).is_some());
        assert_eq!(shell.view.page, Page::Results);
        assert_eq!(shell.takes.open(None).unwrap().1[0].score, lap.score);
        shell.carry_out(Command::Hear { with_part: true });
        assert!(shell.session.stand().replay().is_some());
        shell.carry_out(Command::StopReplay);
        assert!(shell.session.stand().replay().is_none());
        shell.carry_out(Command::Take(0, TakeDeed::Delete));
        wait_until(&mut shell, |shell| shell.takes.entries().is_empty());
        shell.ask_session(SessionCommand::Start);
        assert!(shell.takes.open(None).is_none(), "whoever plays on sees that");
    }

    #[test]
    fn what_was_set_is_there_at_the_next_start() {
        let home = tempfile::tempdir().unwrap();
        let mut first = shell(&home);
        first.carry_out(Command::Theme(ui::Theme::Night));
        let ninth = first.document.player().with_reach(voicing::Reach::new(14).unwrap());
        first.carry_out(Command::Player(ninth));
        first.carry_out(Command::Volume(0.5));
        first.carry_out(Command::Touch(ui::Touch::Firm));
        first.carry_out(Command::Buffer(256));
        first.carry_out(Command::Session(SessionCommand::SetPedal(true)));
        first.carry_out(Command::Taps(TapDeed::SetDelay(44.0)));
        let room = ui::Room {
            scale: "F# harmonic minor".parse().unwrap(),
            octaves: 3,
            notes_a_beat: 5,
            ..ui::Room::default()
        };
        first.carry_out(Command::Room(room));
        first.carry_out(Command::Show(Page::Song));
        first.remember();
        drop(first);
        let mut second = shell(&home);
        assert_eq!(second.view.page, Page::Song, "the first start comes once");
        assert_eq!(second.view.theme, ui::Theme::Night);
        assert_eq!(second.document.player().reach.semitones(), 14);
        assert_eq!((second.rig.shown().volume, second.rig.shown().touch), (0.5, ui::Touch::Firm));
        assert!(session(&second).settings.pedal);
        assert_eq!(second.rig.shown().buffer, 256);
        assert_eq!(second.session.stand().sound_delay_ms(), 44.0);
        wait_until(&mut second, |shell| shell.on_stand.is_some());
        assert_eq!(second.view.room, room, "the song's key comes only when another song does");
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
