//! What history remembers of a pass, and where its bars are once the song was edited.

use crate::support::*;
use practice::history::*;
use practice::learn::*;
use practice::*;
use song::Fingerprint;
use std::sync::Arc;
use theory::Hand;
use voicing::Part;

/// Bars of 4/4 at 60, a chord in each half, struck twice; each bar is known by its text.
pub fn song(texts: &[&str]) -> Part {
    let twice = |right: &[u8], left: &[u8]| SlotOf { every: 2, ..chord(4, right, left) };
    let one = || bar((4, 4), 60.0, &[twice(&[60, 64, 67], &[36]), twice(&[60, 65, 69], &[41])]);
    let mut part = part(&texts.iter().map(|_| one()).collect::<Vec<_>>());
    part.bars.iter_mut().zip(texts).for_each(|(bar, text)| bar.played.text = (*text).to_owned());
    part
}

pub fn name() -> SongName {
    SongName { id: Some("k3".into()), title: "Towpath".into() }
}

pub fn on_day(day: i64) -> Moment {
    Moment { unix_ms: day * 86_400_000, zone_minutes: 0 }
}

/// A pass of which the notes are played that a test says, each so many milliseconds late.
pub fn pass(part: &Part, take: Take, day: i64) -> PassRecord {
    let score = take.score(part, &Timeline::new(part));
    let lap = Lap { part: Arc::new(part.clone()), take: Arc::new(take), score: Arc::new(score) };
    PassRecord::of(&lap, name(), About::default(), on_day(day))
}

pub fn played_but(part: &Part, leaves_out: impl Fn(&ExpectedNote) -> bool) -> Vec<PlayedNote> {
    let notes = expected(part).notes;
    notes.iter().filter(|n| !leaves_out(n)).map(|n| played(n.at.ms(), n.key.number())).collect()
}

fn whole(part: &Part, wrong: &[usize], day: i64) -> PassRecord {
    let notes = played_but(part, |n| wrong.contains(&n.bar) && n.hand == Hand::Left);
    pass(part, Take::new(notes, Speed::clamped(80.0), Hands::Both, None), day)
}

#[test]
fn a_record_has_each_bar_and_each_strike_as_it_went() {
    let part = song(&["1", "4"]);
    let record = whole(&part, &[1], 0);
    let clean: Vec<bool> = record.bars.iter().map(|bar| bar.clean).collect();
    assert_eq!(clean, [true, false]);
    // By hand: two bars of four seconds at 80 % of the tempo.
    assert_eq!((record.seconds, record.layout.len(), record.is_clean()), (10.0, 2, false));
    let left: Vec<(usize, bool, How)> = record.bars[1]
        .strikes
        .iter()
        .filter(|s| s.hand == Hand::Left)
        .map(|s| (s.slot, s.first, s.how))
        .collect();
    let missed = How::Missed;
    assert_eq!(left, [(0, true, missed), (0, false, missed), (1, true, missed), (1, false, missed)]);
    assert!(record.bars[1].strikes.iter().filter(|s| s.hand == Hand::Right).all(|s| s.is_good()));
}

#[test]
fn a_bar_that_was_not_played_to_its_end_is_not_remembered() {
    let part = song(&["1", "4", "5"]);
    let notes = played_but(&part, |n| n.at > ChartTime::from_ms(5500.0));
    let mut take = Take::new(notes, Speed::FULL, Hands::Both, None);
    take.until = Some(ChartTime::from_ms(5600.0));
    let record = pass(&part, take, 0);
    assert_eq!(record.bars.iter().map(|bar| bar.bar).collect::<Vec<_>>(), [0]);
    assert!(record.stopped && !record.is_clean());
}

#[test]
fn bars_keep_their_identity_when_the_song_is_edited() {
    let before = song(&["1", "4", "5", "6"]);
    let after = song(&["2", "1", "4", "6"]);
    let records = [whole(&before, &[1, 2], 0), whole(&after, &[], 1)];
    let placed = place(&records, &fingerprints(&after));
    let where_now: Vec<(usize, usize)> = placed[0].bars.iter().map(|(now, bar)| (bar.bar, *now)).collect();
    assert_eq!(where_now, [(0, 1), (1, 2), (3, 3)]);
    assert_eq!((placed[0].elsewhere, placed[1].elsewhere), (1, 0), "the 5 is kept, and not guessed at");
    assert!(!placed[0].bars[1].1.clean);
}

#[test]
fn the_same_bar_in_another_section_is_another_bar() {
    let verse = song(&["1", "4"]);
    let mut chorus = verse.clone();
    chorus.sections = vec!["Chorus".into()];
    let records = [whole(&verse, &[], 0)];
    assert_eq!(place(&records, &fingerprints(&chorus))[0].elsewhere, 2);
}

#[test]
fn fingerprints_of_a_part_are_those_of_its_song() {
    let text = r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
        "sections": [ { "name": "Intro", "passes": 2, "bars": ["3/4: 1.. 5. | 4", "%"] } ] }"#;
    let song = song::read(text).sound().unwrap().play();
    let part = voicing::plan(&song, "Eb major".parse().unwrap(), &voicing::Settings::default()).unwrap();
    assert_eq!(fingerprints(&part), song.fingerprints(), "in whatever key");
}

/// Passes of eight bars over some days: so many a day, with these bars wrong.
fn practised(part: &Part, days: &[(i64, usize, &[usize])]) -> Vec<PassRecord> {
    let passes = |(day, times, wrong): &(i64, usize, &[usize])| vec![whole(part, wrong, *day); *times];
    days.iter().flat_map(passes).collect()
}

#[test]
fn a_coach_recalls_what_was_hard_and_which_hand_it_was() {
    let part = song(&["1", "4", "5", "6"]);
    let records = practised(&part, &[(0, 4, &[2])]);
    let placed = place(&records, &fingerprints(&part));
    let mut coach = Coach::recalling(&part, Speed::clamped(80.0), &placed);
    let advice = coach.next(0.5).unwrap();
    // The left hand was left out of it.
    assert_eq!((advice.bars, advice.hands, advice.why), (LoopBars::new(2, 2), Hands::Left, Why::Hard));
    assert_eq!(advice.change, None, "it fails all over the bar");
    let ready = readiness(&part, &coach, 0.5, Some(10.5));
    assert!(ready.bars[2].today.mean < 0.4 && ready.bars[0].today.mean > 0.8, "{ready:?}");
    let (now, there) = (ready.bars[0].today, ready.bars[0].on_the_day.unwrap());
    assert!(
        there.mean < now.mean && there.high - there.low > now.high - now.low,
        "ten days without practice"
    );
    let product: f64 = ready.bars.iter().map(|bar| bar.today.mean).product();
    assert!((ready.song.today.mean - product).abs() < 1e-9 && ready.sections.len() == 1);
}

#[test]
fn what_was_clean_twice_at_the_target_is_asked_again_a_day_later() {
    let part = song(&["1", "4"]);
    let records = practised(&part, &[(0, 2, &[])]);
    let placed = place(&records, &fingerprints(&part));
    let coach = Coach::recalling(&part, Speed::clamped(80.0), &placed);
    let due: Vec<Option<f64>> = coach.spacings().map(|(_, spacing)| spacing.map(|s| s.due())).collect();
    assert_eq!(due, [Some(1.0), Some(1.0)]);
}

#[test]
fn progress_is_told_in_plain_words() {
    let part = song(&["1", "4", "5"]);
    let at = |percent: f64, wrong: &[usize], day: i64| {
        let notes = played_but(&part, |n| wrong.contains(&n.bar) && n.hand == Hand::Left);
        pass(&part, Take::new(notes, Speed::clamped(percent), Hands::Both, None), day)
    };
    let records = [at(60.0, &[], 0), at(85.0, &[0, 1, 2], 9), at(85.0, &[2], 10), at(60.0, &[], 12)];
    let placed = place(&records, &fingerprints(&part));
    let days = practice_days(&placed, 3);
    assert_eq!(days.iter().map(|day| day.date).collect::<Vec<_>>(), [0, 9, 10, 12]);
    assert_eq!(days.iter().map(|day| day.clean_at(60.0)).collect::<Vec<_>>(), [3, 0, 2, 3]);
    let words = progress_words(&days, 12, 4);
    // By hand: three bars of four seconds, twice at 85 % (14.1 s each) and once at 60 % (20 s).
    assert_eq!(
        words,
        ["1 minute played this week, on 3 days", "bars 1 to 2 went from 60 to 85 % speed this week"]
    );
    assert_eq!(progress_words(&days, 40, 4), ["Nothing of this song was played this week."]);
}

#[test]
fn a_layout_without_the_bar_is_no_trouble() {
    let part = song(&["1"]);
    let mut record = whole(&part, &[], 0);
    record.layout = vec![Fingerprint(7)];
    record.bars[0].bar = 9;
    let records = [record];
    assert_eq!(place(&records, &fingerprints(&part))[0].elsewhere, 1);
}
