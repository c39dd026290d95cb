//! A player practises by the plan.

use super::*;
use crate::storage::{History, Places, PracticeSettings};
use crate::window::played::played;
use practice::history::{BarPassed, SongName};
use practice::{NoteChange, Stamp};
use std::time::{Duration, Instant};
use ui::Command;

/// A shell on the first demo song, whose history has been asked for.
fn shell(home: &tempfile::TempDir) -> Shell {
    let ctx = egui::Context::default();
    let mut shell = Shell::at(&ctx, None, Some(Places::under(home.path()))).unwrap();
    shell.carry_out(Command::OpenSong(usize::MAX));
    wait(&mut shell, |shell| shell.practice.songs.open.is_some());
    shell
}

fn wait(shell: &mut Shell, until: impl Fn(&Shell) -> bool) {
    for _ in 0..3000 {
        shell.take_in();
        if until(shell) {
            return;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    panic!("it did not come");
}

fn ask(shell: &mut Shell, command: PracticeCommand) {
    shell.carry_out(Command::Practice(command));
}

fn view(shell: &Shell) -> practice::SessionView {
    shell.session.stand().view(shell.session.clock().now())
}

/// A pass of the song in which these bars were not clean.
fn record(shell: &Shell, wrong: &[usize]) -> PassRecord {
    let part = shell.document.part().unwrap();
    let bar = |bar| BarPassed {
        bar,
        clean: !wrong.contains(&bar),
        clean_in_time: !wrong.contains(&bar),
        expected: 4,
        matched: 4,
        extra: 0,
        pedal: None,
        strikes: Vec::new(),
    };
    PassRecord {
        at: storage::now(),
        song: SongName { id: None, title: part.title.clone() },
        key: part.key,
        speed: Speed::clamped(60.0),
        hands: Hands::Both,
        stopped: false,
        seconds: 30.0,
        about: About { purpose: Purpose::Survey, ..About::default() },
        layout: practice::history::fingerprints(part),
        bars: (0..part.bars.len()).map(bar).collect(),
        changes: Vec::new(),
    }
}

fn hear(shell: &mut Shell, record: PassRecord, waits: bool) {
    shell.hear_of_practice(PracticeTold::Passed(vec![record], waits));
}

#[test]
fn the_song_is_heard_first_and_then_its_hardest_bars() {
    let home = tempfile::tempdir().unwrap();
    let mut shell = shell(&home);
    ask(&mut shell, PracticeCommand::Minutes(5));
    ask(&mut shell, PracticeCommand::Begin);
    let first = view(&shell);
    assert!(first.running && shell.stretch.is_none());
    assert_eq!((first.settings.mode, first.settings.speed.percent()), (Mode::PlayAlong, 60.0));
    assert!(shell.practice.shown().caution.is_some(), "once, before the hands set to work");
    ask(&mut shell, PracticeCommand::Read);
    assert_eq!(shell.practice.shown().caution, None);
    // The survey takes more than five minutes of the song would leave: more are planned.
    shell
        .practice
        .sitting
        .replan(practice::session_plan::SessionPlan { items: shell.practice.sitting.items()[..1].to_vec() });
    let heard = record(&shell, &[3]);
    shell.practice.shown.minutes = 20;
    hear(&mut shell, heard, false);
    shell.plan_again();
    while !matches!(shell.practice.sitting.item().unwrap().task, Task::Drill { .. }) {
        ask(&mut shell, PracticeCommand::Next);
    }
    ask(&mut shell, PracticeCommand::Begin);
    assert!(
        matches!(shell.practice.sitting.item().unwrap().task, Task::Drill { bar: 3, .. }),
        "{:?}",
        shell.practice.shown()
    );
    let (part, _) = shell.stretch.clone().unwrap();
    assert_eq!(part.bars.len(), 3, "the bar with what leads in and out");
    assert_eq!(part.bars[1].played.text, shell.document.part().unwrap().bars[3].played.text);
    assert!(view(&shell).running && shell.practice.shown().now.text.contains("bar 4"));
    ask(&mut shell, PracticeCommand::Stop);
    assert!(!view(&shell).running && shell.stretch.is_none());
    assert_eq!(view(&shell).marks.len(), shell.document.part().unwrap().events.len(), "the song is back");
}

#[test]
fn the_verdict_waits_for_what_the_player_says_and_both_are_remembered() {
    let home = tempfile::tempdir().unwrap();
    let mut shell = shell(&home);
    ask(&mut shell, PracticeCommand::AskMe(true));
    ask(&mut shell, PracticeCommand::Minutes(5));
    ask(&mut shell, PracticeCommand::Begin);
    let heard = record(&shell, &[]);
    hear(&mut shell, heard, true);
    assert!(shell.practice.shown().now.asked);
    ask(&mut shell, PracticeCommand::Guess(Guess::NotYet));
    assert!(!shell.practice.shown().now.asked);
    assert!(shell.practice.shown().told.as_ref().unwrap().starts_with("Better than you thought"));
    let title = shell.document.part().unwrap().title.clone();
    drop(shell);
    let kept = History::of(&Places::under(home.path())).song(&SongName { id: None, title });
    assert_eq!(kept.passes.iter().map(|pass| pass.about.guess).collect::<Vec<_>>(), [Some(Guess::NotYet)]);
}

#[test]
fn a_pass_through_a_stretch_is_remembered_as_bars_of_the_song_and_is_no_take() {
    let home = tempfile::tempdir().unwrap();
    let shell = shell(&home);
    let part = shell.document.part().unwrap().clone();
    let excerpt = Excerpt::of(&part, practice::LoopBars::new(2, 2), true).unwrap();
    let about = About { purpose: Purpose::Drill, ..About::default() };
    let source = shell.document.source().to_remember();
    let playing = Playing { about, ..Playing::stretch(source, part.clone(), excerpt) };
    let on_stand = playing.part.clone();
    shell.song.lock().unwrap().put(playing);
    let lap = played(&on_stand, Speed::FULL, Hands::Both);
    let listener = shell.listener().unwrap();
    session::Listener::finished(&listener, lap);
    drop((listener, shell));
    let places = Places::under(home.path());
    let kept = History::of(&places).all().passes;
    let bars: Vec<(usize, bool)> = kept[0].bars.iter().map(|bar| (bar.bar, bar.clean)).collect();
    assert_eq!((kept.len(), bars, kept[0].layout.len()), (1, vec![(2, true)], part.bars.len()));
    assert!(kept[0].song.id.is_some(), "the identity of the demo song");
    assert!(storage::list_takes(&places).is_empty());
}

#[test]
fn a_low_key_means_next_and_is_not_played() {
    let home = tempfile::tempdir().unwrap();
    let mut shell = shell(&home);
    let low = theory::MidiKey::A0;
    let press = |shell: &mut Shell| {
        let now = shell.session.clock().now();
        shell.session.stand().note(now, low, NoteChange::On { velocity: 60 });
        shell.session.stand().note(Stamp::from_nanos(now.nanos() + 1), low, NoteChange::Off);
        shell.take_in();
    };
    ask(&mut shell, PracticeCommand::LearnTrigger(TriggerDeed::Next));
    press(&mut shell);
    let next = (TriggerDeed::Next, Some(Trigger::Key(low)));
    assert!(shell.practice.shown().triggers.contains(&next) && shell.practice.shown().learning.is_none());
    ask(&mut shell, PracticeCommand::Minutes(20));
    ask(&mut shell, PracticeCommand::Begin);
    let at = shell.practice.sitting.at();
    press(&mut shell);
    assert_eq!(shell.practice.sitting.at(), at + 1);
    assert!(view(&shell).held.is_empty());
}

#[test]
fn help_fades_while_it_is_clean_and_comes_back_when_it_is_not() {
    let home = tempfile::tempdir().unwrap();
    let mut shell = shell(&home);
    ask(&mut shell, PracticeCommand::FromMemory(true));
    ask(&mut shell, PracticeCommand::Minutes(5));
    ask(&mut shell, PracticeCommand::Begin);
    // A run-through again and again, so that the stretch stays the same.
    let run = practice::session_plan::PlanItem { task: Task::RunThrough { song: 0 }, minutes: 5.0 };
    let items = vec![run.clone(), run.clone(), run.clone(), run];
    shell.practice.sitting = Sitting::new(practice::session_plan::SessionPlan { items });
    shell.set_up();
    let mut helps = vec![shell.practice.shown().now.help];
    for wrong in [&[][..], &[], &[2]] {
        let mut heard = record(&shell, wrong);
        heard.about.purpose = Purpose::RunThrough;
        hear(&mut shell, heard, false);
        helps.push(shell.practice.shown().now.help);
    }
    assert_eq!(helps, [Help::Full, Help::Numbers, Help::Sections, Help::Numbers]);
}

#[test]
fn the_warm_up_opens_the_room_counts_its_time_and_leads_back() {
    use practice::session_plan::{PlanItem, SessionPlan};
    let home = tempfile::tempdir().unwrap();
    let mut shell = shell(&home);
    let key: theory::Key = "Eb major".parse().unwrap();
    let item = |task| PlanItem { task, minutes: 1.0 };
    let items = vec![item(Task::Scale(key)), item(Task::Chords(key)), item(Task::RunThrough { song: 0 })];
    shell.practice.sitting = Sitting::new(SessionPlan { items });
    shell.view.page = ui::Page::Practice;
    ask(&mut shell, PracticeCommand::Begin);
    assert_eq!(shell.view.page, ui::Page::Room);
    assert_eq!(
        (shell.view.room.scale.to_string().as_str(), shell.view.room.subject),
        ("Eb major", Subject::Scale)
    );
    // A minute and a half on this page.
    shell.practice.since = Instant::now().checked_sub(Duration::from_secs(90));
    shell.take_in();
    assert_eq!((shell.practice.sitting.at(), shell.view.room.subject), (1, Subject::Chords));
    // On another page it is no warm-up.
    shell.view.page = ui::Page::Keys;
    shell.practice.since = Instant::now().checked_sub(Duration::from_secs(90));
    shell.take_in();
    assert_eq!(shell.practice.sitting.at(), 1);
    shell.view.page = ui::Page::Room;
    ask(&mut shell, PracticeCommand::Next);
    assert_eq!((shell.view.page, shell.practice.sitting.at()), (ui::Page::Practice, 2));
    assert!(view(&shell).running && shell.session.stand().place() == session::Place::Song);
}

#[test]
fn the_set_is_there_again_at_the_next_start_and_a_day_is_typed() {
    let home = tempfile::tempdir().unwrap();
    let set = home.path().join("set.json");
    std::fs::write(
        &set,
        r#"{ "format": 1, "title": "Night", "songs": [ { "song": "a.json" }, { "song": "b.json" } ] }"#,
    )
    .unwrap();
    let kept = PracticeSettings { set: Some(set.clone()), ..PracticeSettings::default() };
    let mut again = shell(&home);
    again.practice = Desk::remembering(&kept);
    again.take_in();
    again.practice.show();
    let shown = again.practice.shown().set.clone().unwrap();
    let songs: Vec<&str> = shown.songs.iter().map(|song| song.name.as_str()).collect();
    assert_eq!((shown.title.as_str(), songs, shown.at), ("Night", vec!["a", "b"], None));
    let mut keeps = PracticeSettings::default();
    again.practice.keep(&mut keeps);
    assert_eq!(keeps.set, Some(set));
    ask(&mut again, PracticeCommand::ByTyped("2999-12-06".into()));
    assert_eq!(again.practice.shown().by_typed, "2999-12-06");
    ask(&mut again, PracticeCommand::ByTyped("soon".into()));
    assert_eq!(again.practice.shown().told.as_deref(), Some("\"soon\" is no day; write 2026-12-06."));
    ask(&mut again, PracticeCommand::MinutesTyped(" 35 ".into()));
    assert_eq!(again.practice.shown().minutes, 35);
    ask(&mut again, PracticeCommand::MinutesTyped("an hour".into()));
    let told = "\"an hour\" are no minutes; write a number from 1 to 600.";
    assert_eq!((again.practice.shown().told.as_deref(), again.practice.shown().minutes), (Some(told), 35));
    ask(&mut again, PracticeCommand::ByTyped(String::new()));
    ask(&mut again, PracticeCommand::CloseSet);
    assert!(again.practice.shown().by.is_none() && again.practice.shown().set.is_none());
}
