//! Sound streams that drift, stumble and stop: the line stays within 2 ms of the truth, or says that it is lost.

use crate::support::{bar, chord, part};
use practice::clock::{ClockFollower, ClockLoss};
use practice::{CueKind, Frames, LoopBars, Mode, NoteChange, Session, SessionCommand, Stamp};
use std::sync::Arc;

const HALF_AN_HOUR_MS: f64 = 30.0 * 60_000.0;

/// A stream of which we know the truth.
struct Stream {
    /// Parts in a million that its frames come too fast.
    ppm: f64,
    frames_a_block: i64,
    /// Callbacks come late by up to this, in milliseconds; ...
    jitter_ms: f64,
    /// ... and this share of them by 60 more.
    strays: f64,
    seed: u64,
    frame: i64,
    /// When its next frame comes, truly.
    now_ms: f64,
    generation: u32,
}

impl Stream {
    fn new(ppm: f64, frames_a_block: i64, jitter_ms: f64) -> Stream {
        Stream {
            ppm,
            frames_a_block,
            jitter_ms,
            strays: 0.002,
            seed: 7,
            frame: 0,
            now_ms: 50.0,
            generation: 1,
        }
    }

    /// From nought to one (the linear congruential generator of Knuth's MMIX, from memory).
    fn random(&mut self) -> f64 {
        self.seed = self.seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.seed >> 11) as f64 / (1u64 << 53) as f64
    }

    fn ms_a_frame(&self) -> f64 {
        1000.0 / (48_000.0 * (1.0 + self.ppm / 1e6))
    }

    /// One callback; then the worst error of the line up to 100 ms ahead, if it is trusted. True time is in milliseconds.
    fn block(&mut self, clock: &mut ClockFollower) -> Option<f64> {
        let stray = if self.random() < self.strays { 60.0 } else { 0.0 };
        let at = Stamp::from_ms(self.now_ms + self.random() * self.jitter_ms + stray);
        clock.learn(self.generation, 48_000.0, Frames(self.frame), at);
        let error = clock.loss(at).is_none().then(|| {
            let map = clock.map().expect("a trusted clock has a line");
            let off = |ahead: i64| {
                let truth = Stamp::from_ms(self.now_ms + ahead as f64 * self.ms_a_frame());
                map.stamp(Frames(self.frame + ahead)).ms_since(truth).abs()
            };
            off(0).max(off(4800))
        });
        self.frame += self.frames_a_block;
        self.now_ms += self.frames_a_block as f64 * self.ms_a_frame();
        error
    }

    /// The worst error over a stretch, and the share of blocks at which the clock was trusted.
    fn run(&mut self, clock: &mut ClockFollower, ms: f64) -> (f64, f64) {
        let until = self.now_ms + ms;
        let (mut worst, mut blocks, mut trusted) = (0.0f64, 0u32, 0u32);
        while self.now_ms < until {
            blocks += 1;
            if let Some(error) = self.block(clock) {
                worst = worst.max(error);
                trusted += 1;
            }
        }
        (worst, f64::from(trusted) / f64::from(blocks))
    }
}

#[test]
fn clocks_200_parts_in_a_million_apart_stay_within_2_ms_for_half_an_hour() {
    for (ppm, block, jitter) in [(200.0, 128, 3.0), (-200.0, 512, 2.0), (200.0, 1024, 3.0), (0.0, 4096, 1.0)]
    {
        let (mut stream, mut clock) = (Stream::new(ppm, block, jitter), ClockFollower::default());
        let (worst, trusted) = stream.run(&mut clock, HALF_AN_HOUR_MS);
        assert!(worst < 2.0, "{worst} ms at {ppm} ppm, blocks of {block}, {jitter} ms of jitter");
        assert!(trusted > 0.99, "trusted {trusted} at blocks of {block}");
        let rate = clock.map().unwrap().rate() / 48_000.0 - 1.0;
        assert!((rate * 1e6 - ppm).abs() < 60.0, "{} ppm measured", rate * 1e6);
    }
}

// Warm crystals change: from 200 slow to 200 fast in half an hour.
#[test]
fn a_rate_that_changes_is_followed() {
    let (mut stream, mut clock) = (Stream::new(-200.0, 256, 2.0), ClockFollower::default());
    for _ in 0..400 {
        stream.ppm += 1.0;
        let (worst, trusted) = stream.run(&mut clock, HALF_AN_HOUR_MS / 400.0);
        assert!(worst < 2.0 && trusted > 0.9, "{worst} ms, trusted {trusted}");
    }
}

#[test]
fn a_stream_that_starts_again_is_lost_until_it_is_known() {
    let (mut stream, mut clock) = (Stream::new(200.0, 256, 2.0), ClockFollower::default());
    for start in 0..6u32 {
        let (worst, trusted) = stream.run(&mut clock, HALF_AN_HOUR_MS / 6.0);
        assert!(worst < 2.0 && trusted > 0.99, "{worst} ms, trusted {trusted}");
        assert_eq!(clock.breaks(), start);
        (stream.frame, stream.generation, stream.ppm) = (0, start + 2, -stream.ppm);
        stream.now_ms += 340.0;
        stream.block(&mut clock);
        assert_eq!(clock.loss(Stamp::from_ms(stream.now_ms)), Some(ClockLoss::Restarted));
    }
}

// Frames and stamps go on as before: only the stream's number tells that what was known holds no longer.
#[test]
fn another_stream_is_another_line_though_nothing_else_shows_it() {
    let (mut stream, mut clock) = (Stream::new(200.0, 480, 0.0), ClockFollower::default());
    stream.run(&mut clock, 20_000.0);
    assert_eq!(clock.loss(Stamp::from_ms(stream.now_ms)), None);
    let next = (Frames(stream.frame), Stamp::from_ms(stream.now_ms));
    assert!(!clock.clone().learn(1, 48_000.0, next.0, next.1), "the same one goes on");
    assert!(clock.learn(2, 44_100.0, next.0, next.1), "it says so");
    assert_eq!(clock.loss(next.1), Some(ClockLoss::Restarted));
    let rate = clock.map().unwrap().rate();
    assert!((rate - 44_100.0).abs() < 1e-6, "nothing of the old rate is left: {rate}");
    assert_eq!(clock.map().unwrap().stamp(next.0), next.1);
}

#[test]
fn a_machine_asleep_for_a_minute_loses_the_clock_and_finds_it_again() {
    // Either the stamps stood still too, or they went on; and the frames stood still, or jumped.
    for (stamps_ms, frames) in [(60_000.0, 0), (60_000.0, 2_880_000), (60_000.0, 1_000), (0.0, 2_880_000)] {
        let (mut stream, mut clock) = (Stream::new(200.0, 256, 2.0), ClockFollower::default());
        stream.run(&mut clock, HALF_AN_HOUR_MS / 6.0);
        let before = Stamp::from_ms(stream.now_ms);
        stream.now_ms += stamps_ms;
        stream.frame += frames;
        if stamps_ms > 0.0 {
            let asleep = before.plus_ms(30_000.0);
            assert_eq!(clock.loss(asleep), Some(ClockLoss::Silent));
            stream.block(&mut clock);
            assert_eq!(
                clock.loss(Stamp::from_ms(stream.now_ms)),
                Some(ClockLoss::Silent),
                "not known at once"
            );
        } else {
            for _ in 0..24 {
                stream.block(&mut clock);
            }
        }
        let (worst, trusted) = stream.run(&mut clock, HALF_AN_HOUR_MS / 6.0);
        assert!(worst < 2.0 && trusted > 0.99, "{worst} ms, trusted {trusted}");
        assert_eq!(clock.breaks(), 1);
        let broken = clock.last_break().unwrap();
        assert!(broken.from <= before.plus_ms(100.0) && broken.to.ms_since(before) < stamps_ms + 200.0);
    }
}

// A driver that drops a block without saying so: one of 1024 frames is 21 ms.
#[test]
fn a_dropped_block_is_noticed_within_half_a_second() {
    let (mut stream, mut clock) = (Stream::new(200.0, 1024, 2.0), ClockFollower::default());
    stream.run(&mut clock, 60_000.0);
    stream.now_ms += 1024.0 * stream.ms_a_frame();
    stream.run(&mut clock, 500.0);
    assert_eq!(clock.last_break().map(|b| b.why), Some(ClockLoss::Jumped));
    let (worst, trusted) = stream.run(&mut clock, HALF_AN_HOUR_MS / 6.0);
    assert!(worst < 2.0 && trusted > 0.99 && clock.breaks() == 1, "{worst} ms, trusted {trusted}");
}

// A server at 64 frames that skips one of its cycles about once a second, as on a busy machine: 1.3 ms each time.
#[test]
fn cycles_that_a_busy_server_skips_are_followed_without_a_word() {
    let (mut stream, mut clock) = (Stream::new(100.0, 128, 0.2), ClockFollower::default());
    stream.strays = 0.0;
    stream.run(&mut clock, 1_000.0);
    let (mut worst, mut trusted) = (0.0f64, 1.0f64);
    for n in 0..600u32 {
        let (off, share) = stream.run(&mut clock, 700.0 + f64::from(n * 37 % 600));
        (worst, trusted) = (worst.max(off), trusted.min(share));
        stream.now_ms += 64.0 * stream.ms_a_frame();
    }
    assert!(worst < 2.0 && trusted > 0.999, "{worst} ms, trusted {trusted}");
    assert_eq!(clock.breaks(), 0);
    // Two at once are more than is promised.
    stream.now_ms += 128.0 * stream.ms_a_frame();
    stream.run(&mut clock, 500.0);
    assert_eq!((clock.breaks(), clock.last_break().map(|b| b.why)), (1, Some(ClockLoss::Jumped)));
}

#[test]
fn callbacks_too_uneven_for_2_ms_are_said_to_be_so() {
    let (mut stream, mut clock) = (Stream::new(200.0, 256, 12.0), ClockFollower::default());
    let (_, trusted) = stream.run(&mut clock, 60_000.0);
    assert!(trusted < 0.05, "trusted {trusted}");
    assert_eq!(clock.loss(Stamp::from_ms(stream.now_ms)), Some(ClockLoss::Rough));
}

/// A session whose click is heard from a stream, and a player who strikes exactly when it is heard.
struct Player {
    session: Session,
    asked: Stamp,
    /// When clicks will be heard, truly, and when the session meant them to be.
    heard: std::collections::VecDeque<(Stamp, Stamp)>,
}

impl Player {
    /// Four bars of 4/4 at 120 with one key on each beat, round and round.
    fn new() -> Player {
        let beats = [0, 1, 2, 3].map(|_| chord(2, &[60], &[]));
        let mut session = Session::new(Arc::new(part(&[0, 1, 2, 3].map(|_| bar((4, 4), 120.0, &beats)))));
        let start = Stamp::from_ms(1000.0);
        session.apply(SessionCommand::SetMode(Mode::PlayAlong), start);
        session.apply(SessionCommand::SetLoop(Some(LoopBars::new(0, 3))), start);
        session.apply(SessionCommand::SetCountIn(false), start);
        session.apply(SessionCommand::Start, start);
        Player { session, asked: start, heard: std::collections::VecDeque::new() }
    }

    /// What the program does every few milliseconds; the clicks of times at which the clock is lost are not struck.
    fn goes_on(&mut self, stream: &Stream, clock: &ClockFollower) {
        let now = Stamp::from_ms(stream.now_ms);
        while let Some((at, _)) = self.heard.pop_front_if(|h| h.0 <= now) {
            self.session.note(at, crate::support::key(60), NoteChange::On { velocity: 70 });
            self.session.note(at.plus_ms(80.0), crate::support::key(60), NoteChange::Off);
        }
        self.session.tick(now);
        let to = now.plus_ms(100.0);
        for cue in self.session.cues(self.asked, to) {
            let trusted = clock.map().filter(|_| clock.loss(now).is_none());
            if let (CueKind::Click(_), Some(map)) = (cue.kind, trusted) {
                let frames_ahead = (map.frames(cue.at).0 - stream.frame) as f64;
                let heard = Stamp::from_ms(stream.now_ms + frames_ahead * stream.ms_a_frame());
                if heard >= now {
                    self.heard.push_back((heard, cue.at));
                }
            }
        }
        self.asked = self.asked.max(to);
    }

    /// How many strikes were judged, and by how many milliseconds at most one was judged early or late.
    fn judged(&mut self, now_ms: f64) -> (usize, f64) {
        self.session.apply(SessionCommand::Stop, Stamp::from_ms(now_ms));
        let view = self.session.view(Stamp::from_ms(now_ms));
        let notes = view.laps.iter().flat_map(|lap| lap.score.notes.iter());
        let errors: Vec<f64> = notes.filter_map(|n| n.error).map(|e| e.ms().abs()).collect();
        (errors.len(), errors.iter().copied().fold(0.0, f64::max))
    }
}

#[test]
fn a_player_on_the_click_is_judged_on_the_beat_within_2_ms_for_half_an_hour() {
    for (ppm, block, jitter) in [(200.0, 512, 3.0), (-200.0, 256, 2.0)] {
        let (mut stream, mut clock) = (Stream::new(ppm, block, jitter), ClockFollower::default());
        let mut player = Player::new();
        while stream.now_ms < HALF_AN_HOUR_MS {
            stream.block(&mut clock);
            player.goes_on(&stream, &clock);
        }
        let (strikes, worst) = player.judged(stream.now_ms);
        assert!(strikes > 3550, "{strikes} of 3600 beats were struck");
        assert!(worst < 2.0, "judged {worst} ms off at {ppm} ppm");
    }
}

#[test]
fn a_verdict_is_right_or_the_clock_is_said_to_be_lost_when_the_stream_starts_again() {
    let (mut stream, mut clock) = (Stream::new(150.0, 512, 2.0), ClockFollower::default());
    let mut player = Player::new();
    for start in 0..5u32 {
        let until = stream.now_ms + 60_000.0;
        while stream.now_ms < until {
            stream.block(&mut clock);
            player.goes_on(&stream, &clock);
        }
        player.heard.clear();
        (stream.frame, stream.generation, stream.ppm) = (0, start + 2, -stream.ppm);
        stream.now_ms += 700.0;
    }
    let (strikes, worst) = player.judged(stream.now_ms);
    assert!(strikes > 540, "{strikes} of 600 beats were struck");
    assert!(worst < 2.0, "judged {worst} ms off");
}

// In each way that stamps and frames may have gone on or stood still meanwhile.
#[test]
fn a_verdict_is_right_after_a_minute_of_sleep_and_the_clock_is_said_to_have_been_lost() {
    for (stamps_ms, frames) in [(60_000.0, 0), (60_000.0, 2_880_000), (60_000.0, 1_000), (0.0, 2_880_000)] {
        let (mut stream, mut clock) = (Stream::new(200.0, 256, 2.0), ClockFollower::default());
        let mut player = Player::new();
        let play_for_a_minute = |stream: &mut Stream, clock: &mut ClockFollower, player: &mut Player| {
            let until = stream.now_ms + 60_000.0;
            while stream.now_ms < until {
                stream.block(clock);
                player.goes_on(stream, clock);
            }
        };
        play_for_a_minute(&mut stream, &mut clock, &mut player);
        let before = Stamp::from_ms(stream.now_ms);
        stream.now_ms += stamps_ms;
        stream.frame += frames;
        player.heard.clear();
        play_for_a_minute(&mut stream, &mut clock, &mut player);
        let (strikes, worst) = player.judged(stream.now_ms);
        assert!(strikes > 234, "{strikes} of 240 beats were struck, {stamps_ms} ms and {frames} frames on");
        assert!(worst < 2.0, "judged {worst} ms off, {stamps_ms} ms and {frames} frames on");
        let broken = clock.last_break().expect("it says that it was lost");
        assert_eq!(clock.breaks(), 1);
        assert!(broken.from <= before.plus_ms(100.0) && broken.to.ms_since(before) < stamps_ms + 200.0);
    }
}
