//! `overhand score`: a take against the part.

use super::score_json::ScoreJson;
use super::table::lined_up;
use super::{Answer, Form, Judge, OffsetChoice, Player, SpeedChoice, song_file};
use exchange::{MidiFile, read_midi};
use practice::{
    ChartTime, Expected, LoopBars, Offset, PlayedNote, Remark, Score, ScoreOptions, Speed, Timeline, Window,
    remarks, score,
};
use std::path::Path;

/// Scores a take against a song, or against the notes of a standard MIDI file.
pub fn answer(song: &Path, take: &Path, player: &Player, judge: &Judge, form: Form) -> Answer {
    match scored(song, take, player, judge) {
        Ok((score, title, warnings)) => {
            let answer = if form.json {
                Answer::json(&ScoreJson::new(&score))
            } else {
                Answer::done(text(&score, &title))
            };
            answer.telling(warnings)
        }
        Err(answer) => answer,
    }
}

fn scored(
    song: &Path,
    take: &Path,
    player: &Player,
    judge: &Judge,
) -> Result<(Score, String, Vec<String>), Answer> {
    let take = midi(take)?;
    let recorded = take.take();
    let hands = player.hand.map(super::HandsChoice::hands);
    let bars = recorded.as_ref().and_then(|take| take.bars);
    let (expected, title, warnings) = if is_midi(song)? {
        let hands = hands.unwrap_or_default();
        (midi(song)?.expected().for_hands(hands), song.display().to_string(), Vec::new())
    } else {
        let (part, warnings) = song_file::part(song, player)?;
        let hands = hands.or(recorded.as_ref().map(|take| take.hands)).unwrap_or_default();
        let expected = expected(&part, hands, bars, recorded.as_ref());
        (expected, part.title, warnings)
    };
    let score = judge_take(&expected, &take, judge);
    Ok((score, title, warnings))
}

fn expected(
    part: &voicing::Part,
    hands: practice::Hands,
    bars: Option<LoopBars>,
    recorded: Option<&practice::Take>,
) -> Expected {
    let timeline = Timeline::new(part);
    match recorded {
        Some(take) => practice::Take { hands, ..take.clone() }.expected(part, &timeline),
        None => Expected::of_part(part, &timeline, hands, bars),
    }
}

/// A take that this program recorded carries its clock and speed; of others the shift is found, unless it is told.
fn judge_take(expected: &Expected, file: &MidiFile, judge: &Judge) -> Score {
    let recorded = file.take();
    let offset = match judge.offset_ms {
        Some(OffsetChoice::Fixed(ms)) => Offset::Fixed(ChartTime::from_ms(ms)),
        Some(OffsetChoice::Auto) => Offset::Auto,
        None if recorded.is_some() => Offset::Fixed(ChartTime::ZERO),
        None => Offset::Auto,
    };
    let window = judge.window_ms.map_or(Window::ByStrike, |ms| Window::Fixed(ChartTime::from_ms(ms)));
    let options = ScoreOptions { window, offset, speed: Speed::FULL };
    let notes = |speed: Speed| -> Vec<PlayedNote> {
        match &recorded {
            Some(take) if take.speed == speed => take.notes.clone(),
            _ => file.played(speed),
        }
    };
    let own = recorded.as_ref().map_or(Speed::FULL, |take| take.speed);
    let speed = match judge.speed {
        Some(SpeedChoice::Percent(speed)) => speed,
        Some(SpeedChoice::Auto) if recorded.is_none() => {
            practice::find_speed(expected, &file.played(Speed::FULL), window)
        }
        Some(SpeedChoice::Auto) | None => own,
    };
    score(expected, &notes(speed), &ScoreOptions { speed, ..options })
}

fn is_midi(path: &Path) -> Result<bool, Answer> {
    let bytes = std::fs::read(path).map_err(|error| song_file::unreadable(path, &error))?;
    Ok(bytes.starts_with(b"MThd"))
}

fn midi(path: &Path) -> Result<MidiFile, Answer> {
    let bytes = std::fs::read(path).map_err(|error| song_file::unreadable(path, &error))?;
    read_midi(&bytes).map_err(|error| Answer::wrong_input(vec![format!("{}: {error}", path.display())]))
}

fn text(score: &Score, title: &str) -> String {
    let mut out = format!("{title}\n\n");
    out += &format!("{} of {} notes", score.matched, score.expected);
    out += &match (score.missed, score.extra) {
        (0, 0) => ", nothing missed and nothing else played\n".to_owned(),
        (missed, 1) => format!(": {missed} missed, 1 played that is not in the part\n"),
        (missed, extra) => format!(": {missed} missed, {extra} played that are not in the part\n"),
    };
    out += &chords(score);
    out += &in_time(score);
    if score.speed != Speed::FULL {
        out += &format!("Played at {} % of the chart's tempo.\n", super::round(score.speed.percent()));
    }
    out += &to_work_on(score);
    out
}

/// Chords that were right elsewhere on the keyboard, and chords whose notes came apart.
fn chords(score: &Score) -> String {
    let of_chords = |remark: &Remark| matches!(remark, Remark::OtherPosition(_) | Remark::NotTogether(_));
    remarks(score)
        .into_iter()
        .filter(of_chords)
        .map(|remark| format!("Chords: {}.\n", remark.text()))
        .collect()
}

/// Lead, lag and evenness in the time that went by at the speed of the take, in the words that the window has.
fn in_time(score: &Score) -> String {
    let mut said: Vec<String> =
        remarks(score).into_iter().filter(|remark| remark.is_of_time()).map(Remark::text).collect();
    if score.offset != ChartTime::ZERO {
        said.push(format!("a shift of {} ms was taken off", super::round(score.offset.ms())));
    }
    if said.is_empty() { String::new() } else { format!("Time: {}.\n", said.join("; ")) }
}

fn to_work_on(score: &Score) -> String {
    let mut out = String::new();
    let bars: Vec<Vec<String>> = score
        .bars
        .iter()
        .filter(|bar| !bar.clean_in_time)
        .map(|bar| {
            let extra = match bar.extra {
                0 => String::new(),
                1 => "1 other".to_owned(),
                extra => format!("{extra} others"),
            };
            vec![
                format!("  bar {}", bar.bar + 1),
                bar.section.clone(),
                format!("{} of {}", bar.matched, bar.expected),
                bar.mean_ms.map(|ms| format!("{:+.0} ms", score.speed.stretch_ms(ms))).unwrap_or_default(),
                extra,
            ]
        })
        .collect();
    if bars.is_empty() {
        let clean = score.bars.iter().all(|bar| bar.clean);
        return if clean { "Every bar is clean.\n" } else { "Every bar is clean for time.\n" }.to_owned();
    }
    out += "\nBars to work on\n";
    out += &lined_up(&bars).join("\n");
    out + "\n"
}
