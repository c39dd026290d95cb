//! Measures from spawn to the first painted frame: the program and an empty window, ten runs each in turns, medians.
//!
//! `cargo build --release -p app --bins --examples && target/release/examples/measure_start`, with a display.
#![allow(missing_docs, clippy::print_stdout)]

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const RUNS: usize = 10;

fn main() -> std::io::Result<()> {
    let here = std::env::current_exe()?;
    let examples = here.parent().ok_or(std::io::ErrorKind::NotFound)?;
    let program = examples.parent().ok_or(std::io::ErrorKind::NotFound)?.join("overhand");
    let empty = examples.join("empty_window");
    let home = std::env::temp_dir().join(format!("overhand-start-{}", std::process::id()));
    std::fs::create_dir_all(&home)?;
    let (mut of_program, mut of_empty) = (Vec::new(), Vec::new());
    for _ in 0..RUNS {
        of_empty.push(first_frame(&empty, &home)?);
        of_program.push(first_frame(&program, &home)?);
    }
    std::fs::remove_dir_all(&home)?;
    let (program, empty) = (median(of_program), median(of_empty));
    println!("empty window {empty:.0} ms, overhand {program:.0} ms: {:.2} times", program / empty);
    Ok(())
}

/// Milliseconds from the spawn until the first frame is painted.
fn first_frame(program: &Path, home: &Path) -> std::io::Result<f64> {
    let sign: PathBuf = home.join("painted");
    let start = Instant::now();
    let mut child = Command::new(program)
        .env("OVERHAND_HOME", home)
        .env("OVERHAND_FIRST_FRAME", &sign)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()?;
    while !sign.exists() {
        if child.try_wait()?.is_some() || start.elapsed() > Duration::from_secs(60) {
            return Err(std::io::Error::other(format!("{} painted nothing", program.display())));
        }
        std::thread::sleep(Duration::from_micros(500));
    }
    let taken = start.elapsed().as_secs_f64() * 1000.0;
    child.kill()?;
    child.wait()?;
    std::fs::remove_file(&sign)?;
    Ok(taken)
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    (times[(times.len() - 1) / 2] + times[times.len() / 2]) / 2.0
}
