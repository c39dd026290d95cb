//! What a shortcut means just now: the command for it, from what is on the stand.

use crate::keys::{self, Ask};
use crate::{Command, Model, Page, TapDeed, TapTo, WritingCommand};
use practice::{ClickBars, ClickStyle, Hands, LoopBars, Mode, SessionCommand, Speed, StepBy, Unit};

/// The command that a shortcut asks for, if it means anything now.
pub(crate) fn command(ask: Ask, model: &Model<'_>) -> Option<Command> {
    match (ask, model.view.page) {
        (Ask::StartStop, Page::FirstStart) => Some(Command::Begin),
        (Ask::StartStop, Page::Timing) => Some(Command::Taps(timing_space(model))),
        (Ask::StartStop, _) if model.replay.is_some() => Some(Command::StopReplay),
        _ => session(ask, model).map(Command::Session).or_else(|| view(ask, model)),
    }
}

/// The space bar taps; while no row is being tapped it begins the one that comes next.
fn timing_space(model: &Model<'_>) -> TapDeed {
    let taps = model.taps;
    match taps.tapping {
        Some(_) => TapDeed::Tap,
        None if taps.has_click && taps.told.is_none() => TapDeed::Start(TapTo::Light),
        None => TapDeed::Start(TapTo::Click),
    }
}

fn session(ask: Ask, model: &Model<'_>) -> Option<SessionCommand> {
    let settings = &model.session.settings;
    let at = model.session.position.bar;
    let last = model.part?.bars.len().checked_sub(1)?;
    let faster = |by: f64| SessionCommand::SetSpeed(Speed::clamped((settings.speed.percent() + by).round()));
    let looped = |from, to| SessionCommand::SetLoop(Some(LoopBars::new(from, to)));
    Some(match ask {
        Ask::StartStop if settings.mode == Mode::Step => SessionCommand::Advance,
        Ask::StartStop => SessionCommand::Toggle,
        Ask::BeatOn => SessionCommand::Forward(Unit::Beat),
        Ask::BeatBack => SessionCommand::Back(Unit::Beat),
        Ask::BarOn => SessionCommand::Forward(Unit::Bar),
        Ask::BarBack => SessionCommand::Back(Unit::Bar),
        Ask::First => SessionCommand::GoToBar(0),
        Ask::Last => SessionCommand::GoToBar(last),
        Ask::Faster => faster(5.0),
        Ask::Slower => faster(-5.0),
        Ask::BitFaster => faster(1.0),
        Ask::BitSlower => faster(-1.0),
        Ask::Step => SessionCommand::SetMode(Mode::Step),
        Ask::PlayAlong => SessionCommand::SetMode(Mode::PlayAlong),
        Ask::Listen => SessionCommand::SetMode(Mode::Listen),
        Ask::StepSize => SessionCommand::SetStepBy(other_step(settings.step_by)),
        Ask::BothHands => SessionCommand::SetHands(Hands::Both),
        Ask::RightHand => SessionCommand::SetHands(Hands::Right),
        Ask::LeftHand => SessionCommand::SetHands(Hands::Left),
        Ask::LoopSection => {
            let bars = section_bars(model, at)?;
            let same = settings.loop_bars == Some(bars);
            SessionCommand::SetLoop((!same).then_some(bars))
        }
        Ask::LoopFrom => looped(at, settings.loop_bars.map_or(last, LoopBars::to).max(at)),
        Ask::LoopTo => looped(settings.loop_bars.map_or(0, LoopBars::from).min(at), at),
        Ask::NoLoop => SessionCommand::SetLoop(None),
        Ask::Click => SessionCommand::SetClick(!settings.click),
        Ask::CountIn => SessionCommand::SetCountIn(!settings.count_in),
        Ask::ClickBars => {
            let bars = next_click_bars(settings.click_style.bars);
            SessionCommand::SetClickStyle(ClickStyle { bars, ..settings.click_style })
        }
        Ask::Pedal => SessionCommand::SetPedal(!settings.pedal),
        _ => return None,
    })
}

fn view(ask: Ask, model: &Model<'_>) -> Option<Command> {
    let view = model.view;
    let page = |page: Page| Command::Show(if view.page == page { Page::Song } else { page });
    let volume = |by: f32| Command::Volume(((model.devices.volume + by) * 20.0).round() / 20.0);
    let transposed = |by: i32| {
        let part = model.part.filter(|_| view.page != Page::Room)?;
        Some(Command::KeyOfSong(part.key.transposed(by)))
    };
    Some(match ask {
        Ask::KeyLower => transposed(-1)?,
        Ask::KeyHigher => transposed(1)?,
        Ask::Quieter => clamped(volume(-0.05)),
        Ask::Louder => clamped(volume(0.05)),
        Ask::Labels => Command::Labels(view.labels.next()),
        Ask::Capo => Command::Capo(next_capo(model)?),
        Ask::Theme => Command::Theme(view.theme.other()),
        Ask::Keyboard => Command::Keyboard(view.keyboard.next()),
        Ask::PianoKeys => Command::PianoKeys(!view.piano_keys),
        Ask::Help => page(Page::Keys),
        Ask::Songs => page(Page::Songs),
        Ask::Room => page(Page::Room),
        Ask::Results => page(Page::Results),
        Ask::More => page(Page::More),
        Ask::Takes => page(Page::Takes),
        Ask::Timing => page(Page::Timing),
        Ask::Ways => page(Page::Ways),
        Ask::Versions => page(Page::Versions),
        Ask::Paper => page(Page::Paper),
        Ask::Practice => page(Page::Practice),
        Ask::Ready => page(Page::Ready),
        Ask::Stage => page(Page::Stage),
        Ask::Write => page(Page::Writing),
        Ask::NewSong => page(Page::NewSong),
        Ask::HearHere => hear_here(model)?,
        Ask::AsHeld => Command::AsHeld,
        Ask::Undo => Command::Undo,
        Ask::Redo => Command::Redo,
        Ask::Back if keys::can_go_back(view.page) => Command::Show(Page::Song),
        Ask::Back if view.piano_keys => Command::PianoKeys(false),
        Ask::Back if model.session.running => Command::Session(SessionCommand::Stop),
        Ask::OpenFile => Command::OpenFile,
        Ask::Quit => Command::Quit,
        _ => return None,
    })
}

/// Listening begins at the bar one is at, in whatever mode one was; the same once more stops.
fn hear_here(model: &Model<'_>) -> Option<Command> {
    model.part?;
    Some(match model.session.running {
        true => Command::Session(SessionCommand::Stop),
        false => Command::Writing(WritingCommand::Hear),
    })
}

/// The next way with a capo, after the last none. A way without one is no other way, and is passed over.
fn next_capo(model: &Model<'_>) -> Option<Option<usize>> {
    let part = model.part.filter(|_| model.view.page != Page::Room)?;
    let ways = theory::Capo::ways(part.key);
    let next = model.view.capo.map_or(0, |way| way + 1);
    Some((next..ways.len()).find(|way| ways[*way].fret() > 0))
}

fn clamped(command: Command) -> Command {
    match command {
        Command::Volume(volume) => Command::Volume(volume.clamp(0.0, 1.0)),
        other => other,
    }
}

fn next_click_bars(bars: ClickBars) -> ClickBars {
    match bars {
        ClickBars::All => ClickBars::EveryOther,
        ClickBars::EveryOther => ClickBars::CountInOnly,
        ClickBars::CountInOnly => ClickBars::All,
    }
}

fn other_step(by: StepBy) -> StepBy {
    match by {
        StepBy::Chord => StepBy::Strike,
        StepBy::Strike => StepBy::Chord,
    }
}

/// The pass of the section that one is in.
fn section_bars(model: &Model<'_>, bar: usize) -> Option<LoopBars> {
    let sheet = model.sheet?;
    let place = &sheet.places[sheet.place_of(bar)?];
    let pass = place.passes.iter().find(|pass| pass.contains(&bar))?;
    Some(LoopBars::new(pass.start, pass.end - 1))
}
