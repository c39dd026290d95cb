//! The command line: each call becomes an answer of plain values, which `main` prints.

mod alternatives;
mod answer;
mod args;
mod arpeggio;
mod check;
mod chords;
mod devices;
mod export;
mod history;
mod import;
mod part;
mod part_json;
mod plan;
mod plan_json;
mod plan_session;
mod run;
mod scale;
mod score;
mod score_json;
mod song_file;
mod table;

pub use answer::{Answer, Code};
pub use args::{Action, Call, Form, HandsChoice, HistoryDeed, Judge, OffsetChoice, Player, SpeedChoice};
pub use part::round;
pub use song_file::unreadable;

/// Does what was called for.
pub fn answer(action: &Action) -> Answer {
    match action {
        Action::Check { songs, form } => check::answer(songs, *form),
        Action::Part { song, player, alternatives: Some(place), form } => {
            alternatives::answer(song, player, *place, *form)
        }
        Action::Part { song, player, form, .. } => part::answer(song, player, *form),
        Action::Scale { key, run, form } => scale::answer(&key.join(" "), *run, *form),
        Action::Arpeggio { chord, inversion, run, form } => {
            arpeggio::answer(&chord.join(" "), *inversion, *run, *form)
        }
        Action::Chords { song: Some(song), inversions, form, .. } => {
            chords::of_song(song, *inversions, *form)
        }
        Action::Chords { key, sevenths, inversions, form, .. } => {
            chords::of_key(&key.join(" "), *sevenths, *inversions, *form)
        }
        Action::Score { song, take, player, judge, form } => score::answer(song, take, player, judge, *form),
        Action::History { deed, form } => history::answer(deed.as_ref(), form.json),
        Action::Plan(call) if call.simulate => {
            plan::converse(std::io::stdin().lock(), std::io::stdout().lock())
        }
        Action::Plan(call) => plan_session::answer(call),
        Action::Export(call) => export::answer(call),
        Action::Import(call) => import::answer(call),
        Action::Devices { form } => devices::answer(*form),
    }
}
