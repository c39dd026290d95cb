//! Processes that are killed while they write, disks that run full, two that write at once.
//!
//! The processes are this test binary over again, told by the environment what to do.

use super::super::practice_record::tests::record;
use super::*;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

const KILLED: usize = 500;
/// So many at a time.
const LANES: usize = 4;
/// A folder is read again after each death; a new one now and then keeps that short.
const DEATHS_A_FOLDER: usize = 10;
/// One death of so many comes whenever it comes; all others wait until a line is begun.
const WAITED: usize = 5;
const HOME: &str = "OVERHAND_TEST_HISTORY";
const FIRST: &str = "OVERHAND_TEST_FIRST";

/// A pass of forty bars: some ten kilobytes.
fn long(number: i64) -> PassRecord {
    let short = record(number);
    let bars = (0..40).map(|bar| practice::history::BarPassed { bar, ..short.bars[0].clone() }).collect();
    PassRecord { bars, ..short }
}

fn numbers(history: &History) -> Vec<i64> {
    let passes = history.all().passes;
    passes.iter().map(|pass| pass.at.unix_ms - record(0).at.unix_ms).collect()
}

fn history(home: &Path) -> History {
    History::of(&Places::under(home))
}

/// Paper that is written on slowly, so that death often comes in the middle of a line.
struct Slow(File);

impl Read for Slow {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        self.0.read(into)
    }
}

impl Seek for Slow {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.0.seek(to)
    }
}

impl Write for Slow {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        std::thread::sleep(Duration::from_micros(100));
        self.0.write(&bytes[..bytes.len().min(500)])
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.0.flush()
    }
}

impl Paper for Slow {
    fn cut(&mut self, length: u64) -> std::io::Result<()> {
        self.0.cut(length)
    }

    fn settle(&mut self) -> std::io::Result<()> {
        // A process that dies takes nothing with it that the system has; only a system that dies would.
        Ok(())
    }
}

/// This binary once more, to run one of the tests below as a child.
fn child(test: &str, home: &Path, first: usize) -> Child {
    let name = format!("{}::{test}", module_path!().split_once("::").unwrap().1);
    Command::new(std::env::current_exe().unwrap())
        .args([&name, "--exact", "--nocapture", "--test-threads=1"])
        .env(HOME, home)
        .env(FIRST, first.to_string())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

/// What a child was told: its folder and the number of its first pass.
fn told() -> Option<(History, i64)> {
    let home = std::env::var_os(HOME)?;
    Some((history(Path::new(&home)), std::env::var(FIRST).unwrap().parse().unwrap()))
}

/// Says that it is there, then that a pass is written, and so on.
fn write_until_killed(history: &History, first: i64) -> ! {
    let say = || std::io::stderr().write_all(b".").unwrap();
    say();
    for number in first.. {
        history.append_on(&long(number), Slow).unwrap();
        say();
    }
    unreachable!("there are more numbers than time")
}

#[test]
fn killed_five_hundred_times_it_never_loses_more_than_the_pass_in_hand() {
    if let Some((history, first)) = told() {
        write_until_killed(&history, first);
    }
    let (inside, lost) = (AtomicUsize::new(0), AtomicUsize::new(0));
    std::thread::scope(|lanes| {
        for lane in 0..LANES {
            let (inside, lost) = (&inside, &lost);
            lanes.spawn(move || {
                let mut dice = 1_000_003 * (lane as u64 + 1);
                for _ in 0..KILLED / LANES / DEATHS_A_FOLDER {
                    deaths_in_a_folder(DEATHS_A_FOLDER, &mut dice, inside, lost);
                }
                deaths_in_a_folder(KILLED / LANES % DEATHS_A_FOLDER, &mut dice, inside, lost);
            });
        }
    });
    let inside = inside.into_inner();
    println!(
        "killed {KILLED} times, {inside} of them inside a write; {} passes written whole",
        lost.into_inner()
    );
    assert!(inside >= 100, "{inside} of {KILLED} deaths came inside a write");
}

fn deaths_in_a_folder(deaths: usize, dice: &mut u64, inside: &AtomicUsize, written: &AtomicUsize) {
    let home = tempfile::tempdir().unwrap();
    let history = history(home.path());
    let mut there = 0;
    for death in 0..deaths {
        let mut child =
            child("killed_five_hundred_times_it_never_loses_more_than_the_pass_in_hand", home.path(), there);
        let mut says = child.stderr.take().unwrap();
        says.read_exact(&mut [0]).unwrap();
        // The generator of Knuth's MMIX (from memory): a death within the first twelve milliseconds.
        *dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        if death % WAITED != 0 {
            // However busy the machine is: not before it writes.
            wait_for_a_write(&history);
        }
        std::thread::sleep(Duration::from_micros(
            (*dice >> 33) % if death % WAITED != 0 { 1_000 } else { 12_000 },
        ));
        child.kill().unwrap();
        child.wait().unwrap();
        let mut said = Vec::new();
        says.read_to_end(&mut said).unwrap();
        assert!(said.iter().all(|byte| *byte == b'.'), "{}", String::from_utf8_lossy(&said));
        let file = std::fs::read(history.file(&record(0).song)).unwrap_or_default();
        inside.fetch_add(usize::from(end_of_whole_lines(&file) != file.len()), Ordering::Relaxed);
        let read = numbers(&history);
        let whole: Vec<i64> = (0..read.len() as i64).collect();
        assert_eq!(read, whole, "none lost, none twice");
        let at_least = there + said.len();
        assert!((at_least..=at_least + 1).contains(&read.len()), "{at_least} told of, {} there", read.len());
        there = read.len();
    }
    assert!(history.all().passes.iter().enumerate().all(|(n, pass)| *pass == long(n as i64)));
    written.fetch_add(there, Ordering::Relaxed);
}

/// Until more of a line is in the file than there was.
fn wait_for_a_write(history: &History) {
    let path = history.file(&record(0).song);
    let length = || std::fs::metadata(&path).map_or(0, |about| about.len());
    let before = length();
    for _ in 0..50_000 {
        if length() > before {
            return;
        }
        std::thread::sleep(Duration::from_micros(200));
    }
}

/// Adds passes as fast as it can.
fn write_some(history: &History, first: i64, how_many: i64) {
    (first..first + how_many).for_each(|number| history.append(&long(number)).unwrap());
}

#[test]
fn two_windows_at_once_come_not_between_one_another() {
    if let Some((history, first)) = told() {
        return write_some(&history, first, 50);
    }
    let home = tempfile::tempdir().unwrap();
    let windows =
        [0, 50].map(|first| child("two_windows_at_once_come_not_between_one_another", home.path(), first));
    let history = history(home.path());
    // A third reads meanwhile.
    for _ in 0..20 {
        assert_eq!(history.all().told, Vec::<String>::new());
    }
    for mut window in windows {
        assert!(window.wait().unwrap().success());
    }
    assert_eq!(numbers(&history), (0..100).collect::<Vec<i64>>());
}

/// Adds passes until it cannot.
fn fill(history: &History, first: i64) -> (usize, std::io::Error) {
    let written = (first..).find_map(|n| history.append(&long(n)).err().map(|error| (n - first, error)));
    let (written, error) = written.unwrap();
    (written as usize, error)
}

#[test]
fn a_disk_that_runs_full_keeps_all_passes_that_were_written() {
    if let Some((history, first)) = told() {
        let (written, error) = fill(&history, first);
        assert_eq!(error.kind(), ErrorKind::FileTooLarge);
        let _ = write!(std::io::stderr(), "{}", ".".repeat(written));
        return;
    }
    let home = tempfile::tempdir().unwrap();
    let run = |what: &mut Command| what.status().is_ok_and(|status| status.success());
    let tiny = ["-t", "tmpfs", "-o", "size=100k", "tmpfs"];
    if run(Command::new("mount").args(tiny).arg(home.path()).stderr(Stdio::null())) {
        println!("a disk of 100 kilobytes");
        let filled = std::panic::catch_unwind(|| a_tiny_disk(home.path()));
        assert!(run(Command::new("umount").arg(home.path())));
        filled.unwrap();
    } else {
        println!("no disk may be mounted here: a limit on the size of files");
        a_limited_file(home.path());
    }
}

fn a_tiny_disk(home: &Path) {
    let filler = home.join("filler");
    std::fs::write(&filler, [b' '; 30_000]).unwrap();
    let history = history(home);
    let (written, error) = fill(&history, 0);
    assert_eq!(error.kind(), ErrorKind::StorageFull);
    assert!(written > 2 && history.append(&long(99)).is_err());
    assert_eq!(numbers(&history), (0..written as i64).collect::<Vec<i64>>());
    std::fs::remove_file(filler).unwrap();
    history.append(&long(written as i64)).unwrap();
    assert_eq!(numbers(&history).len(), written + 1, "once there is room again");
}

fn a_limited_file(home: &Path) {
    let test = "a_disk_that_runs_full_keeps_all_passes_that_were_written";
    let name = format!("{}::{test}", module_path!().split_once("::").unwrap().1);
    // In blocks of 512 bytes (POSIX); a process that goes beyond it and does not die is told so.
    let limited = Command::new("sh")
        .args(["-c", "trap '' XFSZ; ulimit -f 120; exec \"$0\" \"$@\""])
        .arg(std::env::current_exe().unwrap())
        .args([&name, "--exact", "--nocapture", "--test-threads=1"])
        .env(HOME, home)
        .env(FIRST, "0")
        .output()
        .unwrap();
    assert!(limited.status.success(), "{}", String::from_utf8_lossy(&limited.stderr));
    let written = limited.stderr.len();
    assert!(written > 2);
    assert_eq!(numbers(&history(home)), (0..written as i64).collect::<Vec<i64>>());
}
