//! A set is practised as a whole: the window goes from song to song, and each song remembers its own passes.

use super::*;
use crate::session;
use crate::storage::{DEMOS, History, Places, PracticeSettings, Remembered};
use crate::window::played::played;
use practice::history::{PassRecord, SongName};
use practice::session_plan::Task;
use std::time::Duration;
use ui::{Command, PracticeCommand};

/// The set of a Saturday: a song in another key than it is written in, one as it is written, and one that is not there.
const SET: &str = r#"{ "format": 1, "title": "Saturday", "day": "DAY", "songs": [
    { "song": "quay.json", "key": "Eb major" }, { "song": "lost.json" }, { "song": "frost.json" } ] }"#;
/// It is played in so many days.
const DAYS: i64 = 9;

fn set(home: &Path) -> PathBuf {
    for (name, demo) in [("quay.json", DEMOS[3]), ("frost.json", DEMOS[2])] {
        std::fs::write(home.join(name), demo.text).unwrap();
    }
    let path = home.join("saturday.json");
    let day = storage::date_text(storage::now().date() + DAYS);
    std::fs::write(&path, SET.replace("DAY", &day)).unwrap();
    path
}

/// A shell that was opened with the set.
fn shell(home: &Path) -> Shell {
    let ctx = egui::Context::default();
    let set = Source::File(set(home));
    let mut shell = Shell::at(&ctx, Some(set), Some(Places::under(home))).unwrap();
    shell.practice.breath = Duration::ZERO;
    wait(&mut shell, "the set is read", |shell| shell.is_set_read() && shell.practice.songs.open.is_some());
    shell
}

fn wait(shell: &mut Shell, what: &str, is_so: impl Fn(&Shell) -> bool) {
    for _ in 0..4000 {
        shell.take_in();
        if is_so(shell) {
            return;
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    panic!("it never came about that {what}: {:?}", shell.practice.shown());
}

fn ask(shell: &mut Shell, command: PracticeCommand) {
    shell.carry_out(Command::Practice(command));
}

fn on_stand(shell: &Shell) -> Playing {
    shell.song.lock().unwrap().now().unwrap().clone()
}

fn title(shell: &Shell) -> String {
    shell.document.part().map_or_else(String::new, |part| part.title.clone())
}

fn is_running(shell: &Shell) -> bool {
    shell.session.stand().running()
}

/// Somebody plays what is on the stand as it is written, and the session tells of it.
fn play(shell: &Shell) {
    let settings = shell.session.stand().song_settings();
    let lap = played(&on_stand(shell).part, settings.speed, settings.hands);
    session::Listener::finished(&shell.listener().unwrap(), lap);
}

fn task(shell: &Shell) -> Task {
    shell.practice.sitting.item().unwrap().task.clone()
}

fn items(shell: &Shell) -> Vec<(Option<String>, String)> {
    shell.practice.shown().items.iter().map(|item| (item.song.clone(), item.text.clone())).collect()
}

/// What history tells of a song: for each pass its key, what it was for, and its bars.
fn remembered(home: &Path, demo: usize) -> Vec<(String, Purpose, Vec<usize>)> {
    let song = song::read(DEMOS[demo].text).song.unwrap();
    let name = SongName { id: song.id.clone(), title: song.title.clone() };
    let Remembered { passes, .. } = History::of(&Places::under(home)).song(&name);
    let bars = |pass: &PassRecord| pass.bars.iter().map(|bar| bar.bar).collect();
    passes.iter().map(|pass| (pass.key.to_string(), pass.about.purpose, bars(pass))).collect()
}

#[test]
fn an_evening_with_a_set_goes_from_song_to_song_and_each_remembers_its_own_passes() {
    let home = tempfile::tempdir().unwrap();
    let mut shell = shell(home.path());
    let quay = title(&shell);
    let shown = shell.practice.shown().set.clone().unwrap();
    assert!(shown.whole && shown.at == Some(0) && shell.view.page == ui::Page::Practice);
    assert!(shown.songs[1].trouble.as_ref().unwrap().contains("lost.json"), "{shown:?}");
    let set = std::fs::read_to_string(home.path().join("saturday.json")).unwrap();
    assert!(set.contains(&storage::date_text(shell.practice.by.unwrap())), "the set's own day");
    // Midnight may have come since the set was written.
    assert!((DAYS..=DAYS + 1).contains(&(shown.days.len() as i64)), "from today to that day");

    // Ten minutes: the warm-up is in the key of the night of the first song.
    ask(&mut shell, PracticeCommand::Minutes(10));
    ask(&mut shell, PracticeCommand::Begin);
    assert_eq!(task(&shell), Task::Scale("Eb major".parse().unwrap()));
    ask(&mut shell, PracticeCommand::Next);
    ask(&mut shell, PracticeCommand::Next);
    assert_eq!(task(&shell), Task::Survey { song: 0 });
    assert!(is_running(&shell) && on_stand(&shell).part.key.to_string() == "Eb major");
    assert!(shell.practice.shown().now.text.starts_with(&format!("{quay}: ")));

    // The player wants the join last: it is moved, and stays there when the song was heard.
    let last = items(&shell).len() - 1;
    let join =
        shell.practice.sitting.items().iter().position(|i| i.task == Task::SongJoin { song: 0 }).unwrap();
    ask(&mut shell, PracticeCommand::Move { from: join, to: last });
    let survey = on_stand(&shell);
    play(&shell);
    wait(&mut shell, "the song was heard", |shell| {
        shell.practice.songs.set[0].as_ref().unwrap().coach.is_known()
    });
    assert_eq!(shell.practice.sitting.items().last().unwrap().task, Task::SongJoin { song: 0 });
    assert_eq!(shell.practice.sitting.items().iter().filter(|i| matches!(i.task, Task::Scale(_))).count(), 1);

    // Another song, by the pedal: the window turns to it, and the plan goes on.
    for _ in 0..shell.practice.sitting.items().len() {
        if shell.practice.song_in_hand() != Some(2) {
            shell.pressed(ui::TriggerDeed::Next);
        }
    }
    wait(&mut shell, "the other song is on the stand", |shell| title(shell) != quay && is_running(shell));
    assert_eq!((task(&shell), shell.practice.open_of_set()), (Task::Survey { song: 2 }, Some(2)));
    assert_eq!(title(&shell), on_stand(&shell).part.title);
    let at = shell.practice.sitting.at();
    // A pass of the song before, told late, counts for that song and not for the item in hand.
    let passes = |shell: &Shell| shell.practice.songs.set[0].as_ref().unwrap().passes;
    let before = passes(&shell);
    let records = survey.records(&played(&survey.part, practice::Speed::FULL, Hands::Both));
    shell.hear_of_practice(crate::window::practice_keeper::PracticeTold::Passed(records, false));
    assert_eq!((shell.practice.sitting.at(), passes(&shell)), (at, before + 1));
    play(&shell);
    wait(&mut shell, "it was heard", |shell| shell.practice.songs.set[2].as_ref().unwrap().coach.is_known());

    // From the end of the first song into this one, past the one that cannot be read.
    let last = items(&shell).len() - 1;
    ask(&mut shell, PracticeCommand::GoTo(last));
    wait(&mut shell, "the join is on the stand", |shell| on_stand(shell).of.len() == 2 && is_running(shell));
    assert_eq!(title(&shell), quay, "it ends");
    assert!(items(&shell).last().unwrap().1.starts_with("from its end into "));
    play(&shell);
    wait(&mut shell, "the join was heard", |shell| shell.practice.sitting.minutes_left() < 1.0);
    ask(&mut shell, PracticeCommand::Stop);
    assert!(!is_running(&shell) && shell.stretch.is_none() && shell.practice.sitting.item().is_some());
    drop(shell);

    let (first, other) = (remembered(home.path(), 3), remembered(home.path(), 2));
    let purposes = |passes: &[(String, Purpose, Vec<usize>)]| passes.iter().map(|p| p.1).collect::<Vec<_>>();
    assert_eq!(purposes(&first), [Purpose::Survey, Purpose::Join]);
    assert_eq!(purposes(&other), [Purpose::Survey, Purpose::Join]);
    assert!(first.iter().all(|(key, ..)| key == "Eb major"), "{first:?}");
    assert!(other.iter().all(|(key, ..)| key == "E minor"), "{other:?}");
    assert_eq!(other[1].2, [0, 1], "the first bars of the song that is joined");
}

#[test]
fn a_set_that_is_gone_is_told_kept_in_mind_and_read_again_once_it_is_back() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("saturday.json");
    let settings = PracticeSettings { set: Some(path.clone()), ..PracticeSettings::default() };
    let mut shell = shell_without_a_set(home.path());
    shell.practice = super::super::practising::Desk::remembering(&settings);
    ask(&mut shell, PracticeCommand::Read);
    let lost = |shell: &Shell| shell.practice.shown().set.as_ref().unwrap().trouble.clone();
    assert!(lost(&shell).unwrap().contains("saturday.json is not there"));
    let mut kept = PracticeSettings::default();
    shell.practice.keep(&mut kept);
    assert_eq!((kept.set, kept.song_alone), (Some(path), false), "it may be there the next time");
    set(home.path());
    ask(&mut shell, PracticeCommand::ReadSet);
    wait(&mut shell, "its songs are read", |shell| shell.is_set_read() && !items(shell).is_empty());
    assert_eq!(lost(&shell), None);
    // The open song alone, and all of it again.
    ask(&mut shell, PracticeCommand::Whole(false));
    assert!(items(&shell).iter().all(|(song, _)| song.is_none()));
    ask(&mut shell, PracticeCommand::Whole(true));
    assert!(items(&shell).iter().any(|(song, _)| song.is_some()));
    ask(&mut shell, PracticeCommand::CloseSet);
    assert_eq!(shell.practice.shown().set, None);
}

fn shell_without_a_set(home: &Path) -> Shell {
    let ctx = egui::Context::default();
    let mut shell = Shell::at(&ctx, Some(Source::Demo(DEMOS[0])), Some(Places::under(home))).unwrap();
    wait(&mut shell, "the song is known", |shell| shell.practice.songs.open.is_some());
    shell
}

#[test]
fn a_song_of_the_set_that_is_kept_elsewhere_stays_in_it_and_keeps_its_takes() {
    let home = tempfile::tempdir().unwrap();
    let mut shell = shell(home.path());
    play(&shell);
    let places = Places::under(home.path());
    let source = || storage::list_takes(&places).first().and_then(|take| take.verdict.source.clone());
    wait(&mut shell, "the take is kept", |_| source() == Some(home.path().join("quay.json")));
    let there = home.path().join("loft/quay.json");
    std::fs::create_dir_all(home.path().join("loft")).unwrap();
    shell.move_file(there.clone());
    let went = |shell: &Shell| shell.document.source().to_remember() == there;
    let in_its_key =
        |shell: &Shell| shell.document.part().is_some_and(|part| part.key.to_string() == "Eb major");
    wait(&mut shell, "it is there, and the set is read once more", |shell| {
        went(shell) && shell.is_set_read() && in_its_key(shell)
    });
    let shown = shell.practice.shown().set.clone().unwrap();
    assert!(shown.at == Some(0) && shown.songs[0].trouble.is_none(), "{shown:?}");
    let set = std::fs::read_to_string(home.path().join("saturday.json")).unwrap();
    assert!(set.contains("{ \"song\": \"loft/quay.json\", \"key\": \"Eb major\" }"), "{set}");
    assert_eq!(source(), Some(there.clone()));
}
