//! A take that is opened: read, set against its part, and judged as it was when it was played.

use crate::document::Source;
use crate::storage::{SavedTake, read_within};
use exchange::{MidiFile, read_midi};
use practice::{
    Expected, ForeignOptions, Hands, Lap, ScoreOptions, Take, TakeSpeed, Timeline, score, score_foreign,
};
use song::PlayedSong;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use voicing::{Part, Settings};

/// A take that is asked for.
pub enum Question {
    /// One that this program kept, against its own song in the key it was played in.
    Kept(Box<SavedTake>, Settings, Purpose),
    /// One that was recorded elsewhere, against the song in hand.
    Elsewhere(Box<Beside>),
}

/// A take that is set beside the song in hand.
pub struct Beside {
    /// Its file.
    pub file: PathBuf,
    /// The part in hand.
    pub part: Arc<Part>,
    /// Its song: a take that was played in another key is set against that.
    pub song: Arc<PlayedSong>,
    /// What the player plays, where the take does not say it.
    pub hands: Hands,
    /// It stands beside those that are open already.
    pub others: bool,
}

/// What a take is opened for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// To see how it went.
    See,
    /// The same, beside those that are shown already.
    SeeBeside,
    /// To hear it, alone.
    Hear,
    /// To hear it with the part.
    HearWithPart,
}

/// A take that was opened.
pub struct Opened {
    /// What it is called: when it was played, or the name of its file.
    pub name: String,
    /// Its file.
    pub file: PathBuf,
    /// The take, what it was played to, and how it went.
    pub lap: Lap,
    /// What for.
    pub purpose: Purpose,
    /// Something the player should know of it.
    pub remark: Option<String>,
}

/// Reads and judges; or says in one line why that cannot be.
pub fn open(question: Question) -> Result<Opened, String> {
    match question {
        Question::Kept(saved, player, purpose) => kept(&saved, &player, purpose),
        Question::Elsewhere(beside) => elsewhere(*beside),
    }
}

fn kept(saved: &SavedTake, player: &Settings, purpose: Purpose) -> Result<Opened, String> {
    let file = read(&saved.file)?;
    let name = format!("Take of {}", saved.verdict.when());
    let take = file
        .take()
        .ok_or_else(|| format!("{name} does not say how it was played; open its file instead."))?;
    let part = Arc::new(part_of(saved, &take, player)?);
    let lap = judged(part, take);
    let (now, then) = (lap.score.expected, saved.verdict.expected);
    // Without a verdict there is nothing to differ from.
    let changed = then > 0 && (now, lap.score.matched) != (then, saved.verdict.matched);
    let remark = changed.then(|| {
        "The song, or what your hands reach, has changed since: the take is set against the part as it is now.".to_owned()
    });
    Ok(Opened { name, file: saved.file.clone(), lap, purpose, remark })
}

/// The song of a take, in the key it was played in.
fn part_of(saved: &SavedTake, take: &Take, player: &Settings) -> Result<Part, String> {
    let title = &saved.verdict.song;
    let source = saved.verdict.source.as_deref().map(Source::remembered);
    let source = source.ok_or_else(|| format!("Nobody knows where the song {title} of this take is."))?;
    let bytes = source.bytes().map_err(|error| format!("The song of this take cannot be read: {error}."))?;
    let song = song::read_bytes(&bytes)
        .sound()
        .map_err(|_| format!("The song {title} of this take has mistakes now; mend them to see the take."))?;
    let key = take.key.or_else(|| saved.verdict.key.parse().ok()).unwrap_or(song.key);
    let played = song.play();
    voicing::plan(&played, key, player)
        .or_else(|_| voicing::plan(&played, song.key, player))
        .map_err(|e| e.to_string())
}

/// A take with its score, as it is reckoned when a pass is over.
pub fn judged(part: Arc<Part>, take: Take) -> Lap {
    let expected = take.expected(&part, &Timeline::new(&part));
    let options = ScoreOptions { speed: take.speed, ..ScoreOptions::default() };
    let score = score(&expected, &take.notes, &options);
    Lap { part, take: Arc::new(take), score: Arc::new(score) }
}

/// A take from elsewhere: its shift and its speed are found, and it is scored over what it covers.
fn elsewhere(beside: Beside) -> Result<Opened, String> {
    let Beside { file: path, part, song, hands, others } = beside;
    let purpose = if others { Purpose::SeeBeside } else { Purpose::See };
    let file = read(&path)?;
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    if file.notes().is_empty() {
        return Err(format!("{name} has no notes."));
    }
    if let Some(take) = file.take() {
        let other = take.key.filter(|key| *key != part.key);
        let moved = other.and_then(|key| voicing::plan(&song, key, &part.settings).ok()).map(Arc::new);
        let lap = judged(moved.unwrap_or(part), take);
        return Ok(Opened { name, file: path, lap, purpose, remark: None });
    }
    let timeline = Timeline::new(&part);
    let expected = Expected::of_part(&part, &timeline, hands, None);
    let notes = file.played(practice::Speed::FULL);
    let options = ForeignOptions { speed: TakeSpeed::Find, ..ForeignOptions::default() };
    let found = score_foreign(&expected, &notes, &options);
    // An octave off is put right at once, and said.
    let shift = found.octave_offer.unwrap_or(0);
    let found = match found.octave_offer {
        Some(by) => score_foreign(&expected, &notes, &ForeignOptions { octave_shift: by, ..options }),
        None => found,
    };
    if found.score.matched == 0 {
        return Err(format!(
            "{name} has nothing of {} in it: open the song that it is of first.",
            part.title
        ));
    }
    let take = found.take(&notes, file.controls(), shift, hands, &timeline);
    let remark = (shift != 0).then(|| octaves(shift));
    let lap = judged(part, take);
    Ok(Opened { name, file: path, lap, purpose, remark })
}

fn octaves(shift: i8) -> String {
    let way = if shift < 0 { "high" } else { "low" };
    let much =
        if shift.abs() == 12 { "an octave".to_owned() } else { format!("{} octaves", shift.abs() / 12) };
    format!("The take lies {much} too {way}; it is shown as if it did not.")
}

fn read(path: &Path) -> Result<MidiFile, String> {
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    let bytes = read_within(path, TAKE_BYTES).map_err(|error| format!("{name} cannot be read: {error}."))?;
    if bytes.len() > TAKE_BYTES {
        return Err(format!("{name} is too long for a take: more than 16 MB."));
    }
    read_midi(&bytes).map_err(|error| format!("{name} is no take: {error}."))
}

/// A take of an hour has less than a tenth of this.
const TAKE_BYTES: usize = 16_000_000;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::{DEMOS, Places, list_takes, save_take};
    use practice::{ChartTime, PlayedNote, Speed};

    fn part() -> Arc<Part> {
        let song = song::read(DEMOS[0].text).song.unwrap();
        Arc::new(voicing::plan(&song.play(), "E major".parse().unwrap(), &Settings::default()).unwrap())
    }

    fn beside(file: PathBuf, part: Arc<Part>) -> Question {
        let song = Arc::new(song::read(DEMOS[0].text).song.unwrap().play());
        Question::Elsewhere(Box::new(Beside { file, part, song, hands: Hands::Both, others: false }))
    }

    /// The first bars as written, each note a little late; as a take that is stretched by a speed.
    fn take(part: &Part, speed: Speed, late_ms: f64) -> Take {
        let expected = Expected::of_part(part, &Timeline::new(part), Hands::Both, None);
        let note = |n: &practice::ExpectedNote| PlayedNote {
            at: n.at + ChartTime::from_ms(late_ms),
            length: Some(ChartTime::from_ms(200.0)),
            key: n.key,
            velocity: 70,
        };
        let notes = expected.notes.iter().filter(|n| n.bar < 12).map(note).collect();
        Take { key: Some(part.key), ..Take::new(notes, speed, Hands::Both, None) }
    }

    #[test]
    fn a_kept_take_is_judged_again_to_the_same_result_in_the_key_it_was_played_in() {
        let folder = tempfile::tempdir().unwrap();
        let places = Places::under(folder.path());
        let part = part();
        let lap = judged(part.clone(), take(&part, Speed::clamped(80.0), 9.0));
        save_take(&places, &lap, DEMOS[0].file.into()).unwrap();
        let saved = list_takes(&places).remove(0);
        let opened = open(Question::Kept(Box::new(saved), Settings::default(), Purpose::See))
            .map_err(|e| panic!("{e}"));
        let opened = opened.unwrap();
        assert_eq!(opened.lap.score, lap.score);
        assert_eq!(opened.lap.part, part);
        assert_eq!(opened.remark, None);
    }

    #[test]
    fn a_take_from_elsewhere_is_found_its_speed_and_its_shift() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("elsewhere.mid");
        let part = part();
        // As other programs write it: without our mark, begun seconds later.
        let bytes = exchange::write_take(&take(&part, Speed::clamped(75.0), 4000.0));
        let mark = b"overhand take ";
        let at = bytes.windows(mark.len()).position(|w| w == mark).unwrap();
        let mut bytes = bytes;
        bytes[at] = b'x';
        std::fs::write(&path, bytes).unwrap();
        let opened = open(beside(path, part)).map_err(|e| panic!("{e}")).unwrap();
        let score = &opened.lap.score;
        assert!((score.speed.percent() - 75.0).abs() < 0.5, "{}", score.speed.percent());
        assert_eq!(score.matched, score.expected, "only what it covers counts");
        assert!(score.bars.iter().all(|bar| bar.bar < 13));
    }

    #[test]
    fn a_learners_take_in_another_key_is_set_against_that_key() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("take.mid");
        let learners = part();
        std::fs::write(&path, exchange::write_take(&take(&learners, Speed::clamped(80.0), 9.0))).unwrap();
        let song = song::read(DEMOS[0].text).song.unwrap();
        let coachs = voicing::plan(&song.play(), song.key, &Settings::default()).unwrap();
        assert_ne!(coachs.key, learners.key);
        let opened = open(beside(path, Arc::new(coachs))).map_err(|e| panic!("{e}")).unwrap();
        assert_eq!(opened.lap.part.key, learners.key);
        assert!(opened.lap.score.matched > 100, "{}", opened.lap.score.matched);
    }

    #[test]
    fn what_is_no_take_is_said() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("letter.mid");
        std::fs::write(&path, b"a letter").unwrap();
        let told = open(beside(path, part())).err().unwrap();
        assert!(told.starts_with("letter.mid is no take"), "{told}");
    }
}
