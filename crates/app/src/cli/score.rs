//! `overhand score`: a take against the part.

use super::score_json::ScoreJson;
use super::table::lined_up;
use super::{Answer, Form, Judge, OffsetChoice, Player, SpeedChoice, song_file};
use exchange::{MidiFile, read_midi};
use practice::{
    ChartTime, Expected, ForeignOptions, Hands, Offset, PedalScore, PlayedNote, Remark, Score, ScoreOptions,
    Speed, Take, TakeSpeed, Timeline, Window, judge_pedal, remarks, score, score_foreign,
};
use std::path::Path;
use voicing::Part;

/// What there is to tell of a take.
pub(super) struct Verdict {
    title: String,
    pub score: Score,
    /// The take begins or ends within the part, and is scored over that alone.
    pub covers_less: bool,
    /// Semitones that would put its keys right.
    pub octave_offer: Option<i8>,
    /// If it was asked for.
    pub pedal: Option<PedalScore>,
}

/// Scores a take against a song, or against the notes of a standard MIDI file.
pub fn answer(song: &Path, take: &Path, player: &Player, judge: &Judge, form: Form) -> Answer {
    match scored(song, take, player, judge) {
        Ok((verdict, warnings)) => {
            let answer = if form.json {
                Answer::json(&ScoreJson::new(&verdict))
            } else {
                Answer::done(text(&verdict))
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
) -> Result<(Verdict, Vec<String>), Answer> {
    let file = midi(take)?;
    let recorded = file.take();
    let hands = player.hand.map(super::HandsChoice::hands);
    if is_midi(song)? {
        if judge.pedal {
            let text = "the pedal is judged against the chords of a song: give the song's own file";
            return Err(Answer::wrong_call(text.to_owned()));
        }
        let expected = midi(song)?.expected().for_hands(hands.unwrap_or_default());
        let title = song.display().to_string();
        let verdict = match &recorded {
            Some(take) => of_recorded(title, &expected, take, judge),
            None => of_foreign(title, &expected, &file, judge, true),
        };
        return Ok((verdict, Vec::new()));
    }
    let (part, warnings) = part_of(song, player, recorded.as_ref())?;
    let timeline = Timeline::new(&part);
    let hands = hands.or(recorded.as_ref().map(|take| take.hands)).unwrap_or_default();
    let verdict = match recorded {
        Some(take) => {
            let take = Take { hands, ..take };
            let expected = take.expected(&part, &timeline);
            let verdict = of_recorded(part.title.clone(), &expected, &take, judge);
            let pedal = judge.pedal.then(|| judge_pedal(&part, &timeline, &take, &verdict.score));
            Verdict { pedal, ..verdict }
        }
        None => {
            let expected = Expected::of_part(&part, &timeline, hands, None);
            let verdict = of_foreign(part.title.clone(), &expected, &file, judge, false);
            let pedal = judge.pedal.then(|| foreign_pedal(&part, &timeline, &file, &verdict.score, hands));
            Verdict { pedal, ..verdict }
        }
    };
    Ok((verdict, warnings))
}

/// The part of a song; in the key that a take recorded here was played in, unless another is asked for.
fn part_of(song: &Path, player: &Player, recorded: Option<&Take>) -> Result<(Part, Vec<String>), Answer> {
    let of_take = recorded.and_then(|take| take.key).filter(|_| player.key.is_none());
    let in_its_key = of_take.map(|key| song_file::part(song, &Player { key: Some(key), ..player.clone() }));
    // The song may have been rewritten in the other mode since.
    in_its_key.and_then(Result::ok).map_or_else(|| song_file::part(song, player), Ok)
}

/// A take that this program recorded carries its clock and speed.
fn of_recorded(title: String, expected: &Expected, take: &Take, judge: &Judge) -> Verdict {
    let offset = match judge.offset_ms {
        Some(OffsetChoice::Fixed(ms)) => Offset::Fixed(ChartTime::from_ms(ms)),
        Some(OffsetChoice::Auto) => Offset::Auto,
        None => Offset::Fixed(ChartTime::ZERO),
    };
    let speed = match judge.speed {
        Some(SpeedChoice::Percent(speed)) => speed,
        Some(SpeedChoice::Auto) | None => take.speed,
    };
    let notes = if speed == take.speed { take.notes.clone() } else { at_speed(take, speed) };
    let score = score(expected, &notes, &ScoreOptions { window: window(judge), offset, speed });
    Verdict { title, score, covers_less: false, octave_offer: None, pedal: None }
}

/// The notes as those of a take played at another speed, counted from its first bar line.
fn at_speed(take: &Take, speed: Speed) -> Vec<PlayedNote> {
    let start = take.tempo.start();
    let moved =
        |t: ChartTime| start + ChartTime::from_ms(speed.shrink_ms(take.speed.stretch_ms((t - start).ms())));
    let note = |n: &PlayedNote| PlayedNote {
        at: moved(n.at),
        length: n.length.map(|l| moved(n.at + l) - moved(n.at)),
        ..*n
    };
    take.notes.iter().map(note).collect()
}

/// Of other takes the shift is found, unless it is told, and where they begin and end, unless all counts.
fn of_foreign(title: String, expected: &Expected, file: &MidiFile, judge: &Judge, whole: bool) -> Verdict {
    let options = ForeignOptions {
        window: window(judge),
        offset: match judge.offset_ms {
            Some(OffsetChoice::Fixed(ms)) => Offset::Fixed(ChartTime::from_ms(ms)),
            Some(OffsetChoice::Auto) | None => Offset::Auto,
        },
        speed: match judge.speed {
            Some(SpeedChoice::Percent(speed)) => TakeSpeed::Given(speed),
            Some(SpeedChoice::Auto) => TakeSpeed::Find,
            None => TakeSpeed::Given(Speed::FULL),
        },
        octave_shift: 12 * judge.octaves,
        whole: whole || judge.whole,
    };
    let found = score_foreign(expected, &file.played(Speed::FULL), &options);
    let covers_less = found.from.is_some() || found.until.is_some();
    Verdict { title, score: found.score, covers_less, octave_offer: found.octave_offer, pedal: None }
}

/// The pedalling of a take from elsewhere, over all of the part that it covers.
fn foreign_pedal(
    part: &Part,
    timeline: &Timeline,
    file: &MidiFile,
    score: &Score,
    hands: Hands,
) -> PedalScore {
    let chart = |t: ChartTime| ChartTime::from_ms(score.speed.shrink_ms(t.ms()));
    let controls =
        file.controls().iter().map(|c| practice::ControlChange { at: chart(c.at), ..*c }).collect();
    let take = Take::new(file.played(score.speed), score.speed, hands, None).with_controls(controls);
    let at = |note: Option<&practice::NoteScore>| note.map(|n| n.expected_at);
    let take = Take { from: at(score.notes.first()), until: at(score.notes.last()), ..take };
    judge_pedal(part, timeline, &take, score)
}

fn window(judge: &Judge) -> Window {
    judge.window_ms.map_or(Window::ByStrike, |ms| Window::Fixed(ChartTime::from_ms(ms)))
}

fn is_midi(path: &Path) -> Result<bool, Answer> {
    let bytes = std::fs::read(path).map_err(|error| song_file::unreadable(path, &error))?;
    Ok(bytes.starts_with(b"MThd"))
}

fn midi(path: &Path) -> Result<MidiFile, Answer> {
    let bytes = std::fs::read(path).map_err(|error| song_file::unreadable(path, &error))?;
    read_midi(&bytes).map_err(|error| Answer::wrong_input(vec![format!("{}: {error}", path.display())]))
}

fn text(verdict: &Verdict) -> String {
    let Verdict { title, score, .. } = verdict;
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
    if verdict.covers_less {
        let bars = score.bars.first().zip(score.bars.last()).map(|(a, b)| (a.bar + 1, b.bar + 1));
        out += &match bars {
            Some((from, to)) if from == to => format!("The take covers bar {from}.\n"),
            Some((from, to)) => format!("The take covers bars {from} to {to}.\n"),
            None => String::new(),
        };
    }
    out += &verdict.octave_offer.map(octave).unwrap_or_default();
    out += &to_work_on(score);
    out += &verdict.pedal.as_ref().map(|pedal| in_bars(pedal, score)).unwrap_or_default();
    out
}

/// An octave (or two) off, with how it is put right.
fn octave(offer: i8) -> String {
    let way = if offer < 0 { "high" } else { "low" };
    let much =
        if offer.abs() == 12 { "an octave".to_owned() } else { format!("{} octaves", offer.abs() / 12) };
    format!("The take lies {much} too {way}: --octaves {} scores it as if it did not.\n", offer / 12)
}

fn in_bars(pedal: &PedalScore, score: &Score) -> String {
    let words = |bar: &practice::BarScore| {
        Some(vec![format!("  bar {}", bar.bar + 1), bar.section.clone(), pedal.words(bar.bar)?])
    };
    let bars: Vec<Vec<String>> = score.bars.iter().filter_map(words).collect();
    let remark = pedal.remark().map(|remark| format!("\nPedal: {remark}.\n")).unwrap_or_default();
    let told = match (pedal.verdicts.is_empty(), bars.is_empty()) {
        (true, _) => "\nPedal: the song asks for none.\n".into(),
        (false, true) => "\nPedal: nothing to mend.\n".into(),
        (false, false) => format!("\nPedal\n{}\n", lined_up(&bars).join("\n")),
    };
    remark + &told
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
