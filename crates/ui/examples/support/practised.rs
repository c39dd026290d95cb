//! Songs that were practised for some days, for the pictures.

use crate::fixture::{self, Stand};
use practice::history::{Help, Marks};
use practice::learn::{
    BarDay, Chance, HardBar, PracticeDay, Readiness, Ready, Reason, SectionReady, sections,
};
use ui::{DayShown, ItemShown, Page, Practice, SetShown, SetSongShown, SongShown, Trigger, TriggerDeed};

/// The first of December 2026, in days since 1 January 1970.
const TODAY: i64 = 20_788;

/// A song with hard bars, before practising.
pub fn planned(page: Page) -> Stand {
    let mut stand = Stand::new(fixture::LANTERNS);
    stand.practice = Practice {
        minutes: 20,
        by: Some((TODAY + 5, "Sunday 6 December".into())),
        by_typed: "2026-12-06".into(),
        today: TODAY,
        items: items(),
        song: Some(song(&stand)),
        triggers: vec![
            (TriggerDeed::Again, theory::MidiKey::new(21).map(Trigger::Key)),
            (TriggerDeed::Next, Some(Trigger::Pedal(66))),
            (TriggerDeed::Stop, None),
        ],
        ..Practice::default()
    };
    stand.view.page = page;
    stand
}

/// In the middle of a drill, a pass that listens.
pub fn under_way() -> Stand {
    let mut stand = planned(Page::Practice);
    stand.practice.running = true;
    stand.practice.at = 2;
    stand.practice.now.text = "bar 11: 40 ms later than the rest; right hand, 60 %".into();
    stand.practice.now.minutes_left = 1.2;
    stand.practice.now.marks = Marks::After;
    stand.does(&[practice::SessionCommand::GoToBar(10)], 0.0);
    stand
}

/// A pass is over and the player is asked; there is a word about hands and ears, and a set.
pub fn asked() -> Stand {
    let mut stand = in_a_set(Page::Practice);
    stand.practice.running = true;
    stand.practice.at = 2;
    stand.practice.now.text = "bar 11; both hands, 75 %".into();
    stand.practice.now.asked = true;
    stand.practice.caution = Some(
        "Rest a few minutes in every half hour, keep headphones moderate, and stop at pain, numbness or tingling: then ask \
         a teacher or a clinician.",
    );
    stand
}

/// A rest, with what was just said.
pub fn rest() -> Stand {
    let mut stand = planned(Page::Practice);
    stand.practice.running = true;
    stand.practice.at = 7;
    stand.practice.now.text = "rest".into();
    stand.practice.now.minutes_left = 2.4;
    stand.practice.told = Some("Bar 11 is clean at 100 %. It is asked again tomorrow.".into());
    stand
}

/// From memory, with less and less help.
pub fn from_memory(help: Help) -> Stand {
    let mut stand = under_way();
    stand.practice.from_memory = true;
    stand.practice.now.help = help;
    (stand.session.slot, stand.session.next) = (None, None);
    stand
}

/// The plan's warm-up in the room of scales and chords.
pub fn warm_up() -> Stand {
    let room = ui::Room { scale: fixture::key("D major").into(), ..ui::Room::default() };
    let mut stand = Stand::of_part(ui::exercise(&room, None, voicing::KeyRange::FULL));
    stand.practice = planned(Page::Practice).practice;
    (stand.view.page, stand.view.room) = (Page::Room, room);
    stand.practice.running = true;
    stand.practice.now.text = "the scale of D major, both hands".into();
    (stand.practice.now.warm_up, stand.practice.now.minutes_left) = (true, 1.2);
    stand
}

/// Nothing was heard of the song yet.
pub fn unheard() -> Stand {
    let mut stand = planned(Page::Ready);
    if let Some(song) = &mut stand.practice.song {
        song.ready.is_a_guess = true;
    }
    stand
}

/// A set list is open.
pub fn in_a_set(page: Page) -> Stand {
    let mut stand = planned(page);
    stand.practice.set = Some(set());
    // After the warm-up two items of one song, two of another, and the rest of the first again.
    for (item, song) in
        stand.practice.items[2..].iter_mut().zip([FIRST, FIRST, THIRD, THIRD, FIRST, "", FIRST])
    {
        item.song = (!item.is_rest).then(|| song.into());
    }
    stand
}

/// A set list whose file is gone.
pub fn lost_set() -> Stand {
    let mut stand = planned(Page::Practice);
    let trouble = "The set list sets/evening-at-the-mill.json is not there.".to_owned();
    stand.practice.set =
        Some(SetShown { title: "evening-at-the-mill".into(), trouble: Some(trouble), ..SetShown::default() });
    stand
}

const FIRST: &str = "Lanterns at the Lock";
const THIRD: &str = "Frost on the Sluice";

fn set() -> SetShown {
    let chance = |mean: f64| Chance { mean, low: mean - 0.2, high: mean + 0.12 };
    let song = |name: &str, ready: Option<(f64, f64)>| SetSongShown {
        name: name.into(),
        ready: ready.map(|(today, then)| Ready { today: chance(today), on_the_day: Some(chance(then)) }),
        is_read: true,
        trouble: None,
    };
    let day = |name: &str, minutes: f64, songs: &[(&str, &str)]| DayShown {
        name: name.into(),
        minutes,
        songs: songs.iter().map(|(song, text)| ((*song).into(), (*text).into())).collect(),
    };
    let lost = SetSongShown {
        trouble: Some("saturday-quay.json is not there any more.".into()),
        ..song("saturday-quay", None)
    };
    let run = "play it through";
    SetShown {
        title: "Evening at the mill".into(),
        songs: vec![
            song(FIRST, Some((0.62, 0.48))),
            song("Heron Waltz, in E♭ major", None),
            song(THIRD, Some((0.81, 0.7))),
            lost,
        ],
        at: Some(0),
        whole: true,
        is_read: true,
        joins: false,
        trouble: None,
        ready_of_set: true,
        days: vec![
            day("Today", 12.5, &[(FIRST, "learn bars 11, 19; ask again bar 4"), (THIRD, "learn bar 6")]),
            day("Wednesday 2 December", 9.0, &[(FIRST, "learn bar 27; ask again bars 11, 19")]),
            day("Thursday 3 December", 0.0, &[]),
            day("Friday 4 December", 1.0, &[(FIRST, "ask again bar 27")]),
            day("Saturday 5 December", 2.0, &[(FIRST, run), ("Heron Waltz", run), (THIRD, run)]),
            day("Sunday 6 December", 0.5, &[(FIRST, run), ("Heron Waltz", run), (THIRD, run)]),
        ],
    }
}

fn items() -> Vec<ItemShown> {
    [
        ("the scale of D major, both hands", 1.5),
        ("the chords of D major", 1.5),
        ("bar 11: 40 ms later than the rest", 1.5),
        ("bar 4: is it still there?", 0.5),
        ("bar 19: it is the left hand", 1.5),
        ("bar 11: 40 ms later than the rest", 1.5),
        ("the join from bar 8 into bar 9", 1.0),
        ("rest", 3.0),
        ("from beginning to end", 3.3),
    ]
    .map(|(text, minutes)| ItemShown { text: text.into(), song: None, minutes, is_rest: text == "rest" })
    .into()
}

fn song(stand: &Stand) -> SongShown {
    let bars = stand.part.bars.len();
    let chance = |bar: usize| {
        let mean = if [10, 18, 26].contains(&bar) { 0.35 } else { 0.78 + 0.02 * (bar % 9) as f64 };
        Chance { mean, low: (mean - 0.18).max(0.05), high: (mean + 0.08).min(0.99) }
    };
    let then = |bar: usize| Chance { mean: chance(bar).mean - 0.1, ..chance(bar) };
    let ready = |bar: usize| Ready { today: chance(bar), on_the_day: Some(then(bar)) };
    let hard = |bar, reasons: &[Reason]| HardBar { bar, passes: 6, clean: 2, reasons: reasons.to_vec() };
    let section =
        |(name, bars): (String, practice::LoopBars)| SectionReady { name, bars, ready: ready(bars.from()) };
    SongShown {
        title: stand.part.title.clone(),
        ready: Readiness {
            bars: (0..bars).map(ready).collect(),
            sections: sections(&stand.part).into_iter().map(section).collect(),
            song: Ready {
                today: Chance { mean: 0.3, low: 0.1, high: 0.5 },
                on_the_day: Some(Chance { mean: 0.2, low: 0.1, high: 0.4 }),
            },
            alone: Vec::new(),
            changes: Vec::new(),
            is_a_guess: false,
        },
        hard: vec![
            hard(10, &[Reason::AlwaysLate(40.0)]),
            hard(18, &[Reason::OneHand(theory::Hand::Left), Reason::NotTogether(4, 9)]),
            hard(26, &[Reason::UnevenBar]),
        ],
        days: (0..6).map(|day| practised_on(day, bars)).collect(),
        progress: vec!["bars 9 to 12 went from 60 to 85 % speed this week".into()],
        passes: 31,
        elsewhere: 3,
    }
}

fn practised_on(day: usize, bars: usize) -> PracticeDay {
    let of = |bar: usize| {
        let fastest = match (bar + 3 * day) % 7 {
            0 => None,
            n if n < day + 1 => Some(100.0),
            _ => Some(70.0),
        };
        let played = bar < 10 + 6 * day;
        BarDay { passes: if played { 3 } else { 0 }, clean: 2, fastest_clean: fastest }
    };
    PracticeDay {
        date: TODAY - 6 + day as i64,
        minutes: 12.0 + 2.0 * day as f64,
        passes: 9,
        bars: (0..bars).map(of).collect(),
        spread_ms: Some(22.0),
    }
}
