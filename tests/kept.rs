//! Nothing that is typed is lost: a second process types, and is killed.

use crate::program::top;
use app::storage::{Places, VersionKind, Versions};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// So often somebody is killed while typing: so many at a time, so many times.
const AT_A_TIME: u64 = 50;
const TIMES: u64 = 4;

/// What may be lost.
const LOST: Duration = Duration::from_secs(2);

/// Somebody who types.
struct Typist {
    home: tempfile::TempDir,
    song: PathBuf,
}

/// What a typist did until it was killed.
struct Typed {
    /// When, in microseconds, and what the text is known by.
    texts: Vec<(u64, u64)>,
    killed: u64,
}

impl Typist {
    fn new() -> Typist {
        let home = tempfile::tempdir().unwrap();
        let song = home.path().join("shelf").join("reeds.json");
        std::fs::create_dir(song.parent().unwrap()).unwrap();
        std::fs::copy(top().join("tests/support/reeds.json"), &song).unwrap();
        Typist { home, song }
    }

    fn places(&self) -> Places {
        Places::under(&self.home.path().join("home"))
    }

    fn begins(&self, seed: u64) -> Child {
        let mut command = Command::new(env!("CARGO_BIN_EXE_type_a_song"));
        self.call(&mut command, seed).spawn().unwrap()
    }

    fn call<'c>(&self, command: &'c mut Command, seed: u64) -> &'c mut Command {
        let home = self.home.path().join("home");
        command.arg(&self.song).arg(home).arg(seed.to_string());
        command.stdin(Stdio::null()).stdout(Stdio::piped())
    }
}

fn kill(mut child: Child) -> Typed {
    let killed = crate::support::process::micros();
    // SIGKILL: nothing of the program runs after it.
    child.kill().unwrap();
    child.wait().unwrap();
    let mut said = String::new();
    child.stdout.take().unwrap().read_to_string(&mut said).unwrap();
    let number =
        |line: &str| line.split_once(' ').map(|(at, text)| (at.parse().unwrap(), text.parse().unwrap()));
    Typed { texts: said.lines().filter_map(number).collect(), killed }
}

fn known_by(text: &str) -> u64 {
    song::Fingerprint::new("", "", text).0
}

/// What was lost, after looking at all that must hold.
fn lost(typist: &Typist, typed: &Typed, before: u64) -> Duration {
    let text = std::fs::read_to_string(&typist.song).unwrap();
    serde_json::from_str::<serde_json::Value>(&text)
        .unwrap_or_else(|e| panic!("the file is not whole: {e}\n{text}"));
    let there = known_by(&text);
    let at = typed.texts.iter().rposition(|(_, text)| *text == there);
    assert!(at.is_some() || there == before, "the file holds what nobody typed:\n{text}");
    let first_lost = typed.texts.get(at.map_or(0, |at| at + 1));
    let lost = first_lost.map_or(0, |(when, _)| typed.killed.saturating_sub(*when));
    let versions = Versions::of(&typist.places(), &typist.song).list();
    for version in &versions {
        let text = version.text().unwrap();
        serde_json::from_str::<serde_json::Value>(&text)
            .unwrap_or_else(|e| panic!("a version is not whole: {e}"));
    }
    let found = versions.last().map(|version| version.kind);
    // Whoever undoes all may be killed before anything else was ever in the file.
    let unchanged = there == before && versions.is_empty();
    assert!(unchanged || found == Some(VersionKind::Found), "the song as it was found stays a version");
    Duration::from_micros(lost)
}

/// Closing, a crash, a power cut: at most two seconds of typing. A kill is the crash that leaves the least behind; what a
/// power cut adds is in the hands of `fsync`, which every file is given before it takes the other's place.
#[test]
fn whoever_is_killed_while_typing_loses_two_seconds_at_most() {
    let typists: Vec<Typist> = (0..AT_A_TIME).map(|_| Typist::new()).collect();
    let (mut texts, mut worst, mut kills) = (0, Duration::ZERO, 0);
    for time in 0..TIMES {
        let before = |typist: &Typist| known_by(&std::fs::read_to_string(&typist.song).unwrap());
        let before: Vec<u64> = typists.iter().map(before).collect();
        let seed = |number: u64| (time * AT_A_TIME + number + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        let children = typists.iter().zip(0..).map(|(typist, number)| typist.begins(seed(number)));
        // Killed one after the other, the first while it starts, the last after some seconds.
        let start = Instant::now();
        let mut children: Vec<(Duration, usize, Child)> = children
            .zip(0..)
            .map(|(child, n)| (Duration::from_millis(seed(n as u64) >> 52), n, child))
            .collect();
        children.sort_by_key(|(at, ..)| *at);
        for (at, number, child) in children {
            std::thread::sleep(at.saturating_sub(start.elapsed()));
            let typed = kill(child);
            let lost = lost(&typists[number], &typed, before[number]);
            assert!(lost <= LOST, "{lost:?} of typing were lost");
            (texts, worst, kills) = (texts + typed.texts.len(), worst.max(lost), kills + 1);
        }
    }
    assert_eq!(kills, AT_A_TIME * TIMES);
    assert!(texts > 2000, "{texts} texts: nobody typed");
    let told = format!("killed {kills} times in {texts} typed texts; at most {worst:?} of typing were lost");
    // Past the capture of the test harness, so that it is read.
    let _ = writeln!(std::io::stderr(), "{told}");
}

/// A real limit on how long a file may become: writing fails half-way, as on a full disk.
#[cfg(unix)]
#[test]
fn a_song_that_cannot_be_written_whole_stays_as_it_was_and_it_is_told() {
    let typist = Typist::new();
    let before = std::fs::read_to_string(&typist.song).unwrap();
    assert!(before.len() > 512, "longer than the limit");
    let mut shell = Command::new("sh");
    shell.args(["-c", "trap '' XFSZ; ulimit -f 1; exec \"$0\" \"$@\"", env!("CARGO_BIN_EXE_type_a_song")]);
    let child = typist.call(&mut shell, 7).spawn().unwrap();
    std::thread::sleep(Duration::from_millis(1500));
    let mut child = child;
    child.kill().unwrap();
    child.wait().unwrap();
    let mut said = String::new();
    child.stdout.take().unwrap().read_to_string(&mut said).unwrap();
    let told: Vec<&str> = said.lines().filter(|line| line.starts_with("waiting")).collect();
    assert_eq!(told.len(), 1, "told once: {said}");
    assert!(told[0].starts_with("waiting true "), "not even beside the file was there room: {}", told[0]);
    assert_eq!(std::fs::read_to_string(&typist.song).unwrap(), before);
    let beside: Vec<PathBuf> = files(typist.song.parent().unwrap());
    assert_eq!(beside, std::slice::from_ref(&typist.song), "no half of a file is left");
}

fn files(folder: &Path) -> Vec<PathBuf> {
    std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect()
}
