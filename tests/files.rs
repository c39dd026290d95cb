//! Files for and from other programs, as a player calls for them.

use crate::program::{call, overhand, top};
use serde_json::Value;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const BALLAD: &str = "demo-songs/lanterns-at-the-lock.json";
const WALTZ: &str = "demo-songs/heron-waltz.json";

fn files(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn songs_go_into_a_folder_in_several_kinds_and_nothing_is_overwritten_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out").display().to_string();
    let said = call(&["export", BALLAD, WALTZ, "-o", &out, "--as", "mid,musicxml,mxl,pdf", "--json"]);
    assert_eq!(said.code, Some(0), "{}", said.err);
    let names = files(Path::new(&out));
    let of = |stem: &str| ["mid", "musicxml", "mxl", "pdf"].map(|ending| format!("{stem}.{ending}"));
    assert_eq!(names, [of("heron-waltz"), of("lanterns-at-the-lock")].concat());
    let json: Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!(json["files"].as_array().unwrap().len(), 8);
    let first = |name: &str| std::fs::read(Path::new(&out).join(name)).unwrap();
    assert!(first("heron-waltz.mid").starts_with(b"MThd"), "Standard MIDI Files 1.0");
    assert!(first("heron-waltz.mxl").starts_with(b"PK\x03\x04"), "the local header of a ZIP archive");
    assert!(first("heron-waltz.pdf").starts_with(b"%PDF-"), "ISO 32000");
    std::fs::write(Path::new(&out).join("heron-waltz.mid"), "mine").unwrap();
    let again = call(&["export", WALTZ, "-o", &out, "--as", "mid"]);
    assert_eq!(again.code, Some(1));
    assert!(again.err.contains("--force"), "{}", again.err);
    assert_eq!(first("heron-waltz.mid"), b"mine");
    assert_eq!(call(&["export", WALTZ, "-o", &out, "--as", "mid", "--force"]).code, Some(0));
    assert!(first("heron-waltz.mid").starts_with(b"MThd"));
}

#[test]
fn the_ending_says_what_is_written() {
    for wrong in [
        &["export", BALLAD, "-o", "song.doc"][..],
        &["export", BALLAD, WALTZ, "-o", "song.pdf"],
        &["export", BALLAD, "-o", "song.mid", "--bars", "1-2"],
    ] {
        let said = call(wrong);
        assert_eq!(said.code, Some(2), "{wrong:?}: {}", said.err);
        assert!(!said.err.is_empty());
    }
    for name in ["song.doc", "song.pdf", "song.mid"] {
        assert!(!top().join(name).exists());
    }
}

/// Standard MIDI Files 1.0, written out byte by byte: 96 ticks a quarter; C3 under C4 and E4, then G4 two ticks late and a
/// third of a quarter long.
const NOTES: &[u8] = &[
    0, 0x90, 48, 90, 0, 60, 90, 0, 64, 90, 96, 0x80, 48, 0, 0, 60, 0, 0, 64, 0, 2, 0x90, 67, 90, 32, 0x80,
    67, 0, 0, 0xFF, 0x2F, 0,
];

#[test]
fn the_notes_of_a_midi_file_are_printed_and_exported_and_make_no_chart_and_no_sheet() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).display().to_string();
    let head = [b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0".as_slice(), &[NOTES.len() as u8]].concat();
    std::fs::write(path("tide.mid"), [&head, NOTES].concat()).unwrap();
    let printed = call(&["part", &path("tide.mid")]).done();
    let lines: Vec<&str> = printed.lines().map(str::trim_end).collect();
    assert_eq!(lines[0], "tide");
    let bar: Vec<String> =
        lines[4..].iter().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect();
    // What stands behind the notes are fingers.
    for (line, start) in bar.iter().zip(["1", "beat 1", "right C4 E4 ", "left C3 ", "beat 2.02", "right G4 "])
    {
        assert!(line.starts_with(start), "{printed}");
    }
    assert_eq!(bar.len(), 6, "{printed}");
    let higher = call(&["part", &path("tide.mid"), "--key", "D major", "--json"]).json();
    let keys: Vec<u64> =
        higher["events"].as_array().unwrap().iter().map(|e| e["midi"].as_u64().unwrap()).collect();
    assert_eq!(keys, [50, 62, 66, 69]);
    let out = path("out");
    let said = call(&["export", &path("tide.mid"), "-o", &out, "--as", "mid,musicxml,pdf"]);
    assert_eq!(
        (said.code, files(Path::new(&out))),
        (Some(1), vec!["tide.mid".to_owned(), "tide.musicxml".to_owned()])
    );
    assert!(said.err.contains("a sheet has nothing to print"), "{}", said.err);
    assert!(said.err.contains("1 note between the beats"), "{}", said.err);
    let score = std::fs::read_to_string(Path::new(&out).join("tide.musicxml")).unwrap();
    assert_eq!(score.matches("<type>quarter</type>").count(), 4, "what is short is held for a quarter");
    let said = call(&["import", &path("tide.mid"), "-o", &path("tide.json")]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("no chord in the words") && said.err.contains("overhand part"), "{}", said.err);
    assert!(!folder.path().join("tide.json").exists());
}

/// Two bars of 3/4 at 100.5 beats a minute last 3.58 s; the strings ring on for some seconds.
#[test]
fn bars_are_rendered_as_sound_with_either_hand() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).display().to_string();
    let bars = ["--bars", "1-2", "--hand", "right", "--click"];
    let wav = call(&[&["export", WALTZ, "-o", &path("two.wav")][..], &bars].concat());
    assert_eq!(wav.code, Some(0), "{}", wav.err);
    let flac = call(&[&["export", WALTZ, "-o", &path("two.flac")][..], &bars].concat());
    assert_eq!(flac.code, Some(0), "{}", flac.err);
    assert_eq!(files(folder.path()), ["two.flac", "two.wav"], "nothing is left beside them");
    let reader = hound::WavReader::open(path("two.wav")).unwrap();
    let seconds = f64::from(reader.duration()) / f64::from(reader.spec().sample_rate);
    assert!((3.5..13.0).contains(&seconds), "{seconds}");
    let flac = std::fs::read(path("two.flac")).unwrap();
    // RFC 9639: the mark, then STREAMINFO, whose last 36 bits before the sum count the samples.
    assert_eq!(&flac[..4], b"fLaC");
    let total =
        u64::from(flac[21] & 0x0F) << 32 | u64::from(u32::from_be_bytes(flac[22..26].try_into().unwrap()));
    assert_eq!(total, u64::from(reader.duration()), "the same samples in both");
    let wav_size = std::fs::metadata(path("two.wav")).unwrap().len();
    assert!(flac.len() as u64 * 10 < wav_size * 8, "{} of {wav_size} bytes", flac.len());
}

/// Ctrl+C is the signal INT of POSIX; TERM is what ends a program that is not on a terminal.
#[cfg(unix)]
#[test]
fn sound_that_is_stopped_half_way_leaves_nothing_behind() {
    for signal in ["INT", "TERM"] {
        let folder = tempfile::tempdir().unwrap();
        let wav = folder.path().join("song.wav");
        let mut writing = overhand();
        // The slowest there is: some ten minutes of sound, so that it is far from done.
        writing.args(["export", BALLAD, "--speed", "30", "-o"]).arg(&wav).stderr(Stdio::piped());
        let writing = writing.stdout(Stdio::piped()).spawn().unwrap();
        let begun = Instant::now();
        let grows = || {
            let entries = std::fs::read_dir(folder.path()).unwrap();
            entries.map(|entry| entry.unwrap().metadata().unwrap().len()).any(|size| size > 100_000)
        };
        while !grows() {
            assert!(begun.elapsed() < Duration::from_secs(60), "nothing is written");
            std::thread::sleep(Duration::from_millis(5));
        }
        assert!(!wav.exists(), "what is not whole does not have its name yet");
        let sent = Command::new("sh").args(["-c", &format!("kill -{signal} {}", writing.id())]).status();
        assert!(sent.unwrap().success());
        let said = writing.wait_with_output().unwrap();
        let told = String::from_utf8(said.stderr).unwrap();
        assert_eq!(said.status.code(), Some(1), "{signal}: {told}");
        assert!(told.contains("nothing was left behind"), "{signal}: {told}");
        assert_eq!(files(folder.path()), [""; 0], "{signal}");
    }
}

/// Per bar as played: its meter, key and chords with their places.
fn bars(song: &str) -> Vec<String> {
    let part = call(&["part", song, "--json"]).json();
    let bar = |bar: &Value| {
        let chords = bar["chords"].as_array().unwrap().iter();
        let start = bar["start"].as_f64().unwrap();
        let chord = |chord: &Value| format!("{} {}", chord["start"].as_f64().unwrap() - start, chord["name"]);
        format!("{} {} {}", bar["meter"], bar["key"], chords.map(chord).collect::<Vec<_>>().join(", "))
    };
    part["bars"].as_array().unwrap().iter().map(bar).collect()
}

#[test]
fn what_is_exported_is_imported_to_the_same_chords_meters_and_keys() {
    let folder = tempfile::tempdir().unwrap();
    for song in [BALLAD, WALTZ] {
        let expected = bars(song);
        for ending in ["mid", "musicxml", "mxl"] {
            let path = |name: &str| folder.path().join(name).display().to_string();
            let (file, back) = (path(&format!("song.{ending}")), path("back.json"));
            assert_eq!(call(&["export", song, "-o", &file, "--force"]).code, Some(0));
            let said = call(&["import", &file, "-o", &back, "--force"]);
            assert_eq!(said.code, Some(0), "{}", said.err);
            assert_eq!(bars(&back), expected, "{song} by way of .{ending}");
        }
    }
}

#[test]
fn a_text_chart_is_imported_and_what_is_no_song_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).display().to_string();
    std::fs::write(path("chart.txt"), "Lanterns\nKey: D\n\nVerse\n| D | A/C# | Bm | G |\n").unwrap();
    let said = call(&["import", &path("chart.txt"), "-o", &path("chart.json"), "--json"]);
    assert_eq!(said.code, Some(0), "{}", said.err);
    let json: Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!(
        (&json["title"], &json["key"], &json["chords"]),
        (&"Lanterns".into(), &"D major".into(), &4.into())
    );
    let again = call(&["import", &path("chart.txt"), "-o", &path("chart.json")]);
    assert_eq!(again.code, Some(1));
    assert!(again.err.contains("--force"), "{}", again.err);
    for (name, bytes) in [
        ("picture.png", &b"\x89PNG\r\n\x1a\n\0\0"[..]),
        ("half.musicxml", b"<?xml version=\"1.0\"?><score-partwise><part id=\"P1\"><measure>"),
        ("half.mid", b"MThd\0\0"),
        ("half.mxl", b"PK\x03\x04 and then nothing"),
        ("empty.txt", b""),
    ] {
        std::fs::write(path(name), bytes).unwrap();
        let said = call(&["import", &path(name), "-o", &path("none.json")]);
        assert_eq!(said.code, Some(1), "{name}: {}", said.err);
        assert!(said.err.contains(name), "{}", said.err);
        assert!(!Path::new(&path("none.json")).exists());
    }
}
