//! What is said about just one place: where an editor shows what is set there, apart from what holds there otherwise.

use super::Place;
use crate::{Exception, HandSettings, Selector, Settings, Song};
use theory::Hand;

/// What is said about one place.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Said {
    /// Words to the player.
    pub note: Option<String>,
    /// Words to listen for.
    pub cue: Option<String>,
    /// What the right hand is told.
    pub right: HandSettings,
    /// What the left hand is told.
    pub left: HandSettings,
}

impl Said {
    /// What a hand is told.
    pub const fn hand(&self, hand: Hand) -> &HandSettings {
        match hand {
            Hand::Right => &self.right,
            Hand::Left => &self.left,
        }
    }
}

/// What is said about a place itself: by the song, the section, or the section's own exceptions that reach all of it. What
/// holds there because it is said further out, or for a chord of the bar alone, is not among it.
///
/// ```
/// use song::edit::{Place, said};
/// let song = song::read(r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72, "note": "soft",
///   "sections": [ { "name": "Verse", "passes": 2, "bars": ["1 | 4"], "except": [
///     { "bar": [1, 2], "right": { "notes": 2 } }, { "pass": 2, "bar": 2, "note": "louder" } ] } ] }"#).sound().unwrap();
/// let bar = |pass| said(&song, Place::Bar { section: 0, bar: 1, pass, beat: None });
/// assert_eq!((bar(Some(2)).note.as_deref(), bar(None).note), (Some("louder"), None));
/// assert_eq!(bar(None).right.notes.unwrap().value, 2);
/// assert_eq!(said(&song, Place::Song).note.as_deref(), Some("soft"));
/// ```
pub fn said(song: &Song, place: Place) -> Said {
    match place {
        Place::Song => of_level(song.note.as_ref(), None, &song.plays),
        Place::Section(section) => match song.sections.get(section) {
            Some(own) => of_level(own.note.as_ref(), own.cue.as_ref(), &own.plays),
            None => Said::default(),
        },
        Place::Exception { section, exception } => {
            let own = song.sections.get(section).and_then(|own| own.exceptions.get(exception));
            own.map(|own| together([own])).unwrap_or_default()
        }
        Place::Pass { section, pass } => {
            let count = bars(song, section);
            together(covering(song, section, Some(pass), 1..=count, None))
        }
        Place::Bar { section, bar, pass, beat } => {
            together(covering(song, section, pass, bar + 1..=bar + 1, beat))
        }
    }
}

/// The numbers, in the section's own list, of the exceptions that say anything about a bar in a pass, or in any pass; a
/// bar that gives way to those put in with a bar before it counts as well.
pub fn exceptions_about(song: &Song, section: usize, bar: u32, pass: Option<u32>) -> Vec<usize> {
    let Some(own) = song.sections.get(section) else { return Vec::new() };
    let (bars, passes) = (bars(song, section), passes(song, section));
    let about = |exception: &Exception| {
        let in_pass = match (&exception.pass, pass) {
            (Some(selector), Some(pass)) => selector.value.contains(pass, passes),
            _ => true,
        };
        let length = exception.bars.as_ref().map_or(1, |put_in| put_in.gives_way().max(1));
        let reaches = |first: u32| (first..first.saturating_add(length)).contains(&(bar + 1));
        in_pass && exception.bar.value.numbers(bars).into_iter().any(reaches)
    };
    let numbered = own.exceptions.iter().enumerate();
    numbered.filter(|(_, exception)| about(exception)).map(|(number, _)| number).collect()
}

fn of_level(note: Option<&String>, cue: Option<&String>, plays: &Settings) -> Said {
    Said { note: note.cloned(), cue: cue.cloned(), right: plays.right.clone(), left: plays.left.clone() }
}

fn bars(song: &Song, section: usize) -> u32 {
    if section >= song.sections.len() {
        return 0;
    }
    song.rows(section).iter().map(|row| row.bars.len() as u32).sum()
}

fn passes(song: &Song, section: usize) -> u32 {
    let lineage = song.lineage(section);
    lineage.iter().rev().find_map(|from| song.sections[*from].passes).unwrap_or(1)
}

/// The section's own exceptions that reach all of some bars in a pass (or in every pass), from just that beat on.
fn covering(
    song: &Song,
    section: usize,
    pass: Option<u32>,
    wanted: std::ops::RangeInclusive<u32>,
    beat: Option<u8>,
) -> impl Iterator<Item = &Exception> {
    let exceptions = song.sections.get(section).map_or(&[][..], |own| &own.exceptions);
    let (bars, passes) =
        if exceptions.is_empty() { (0, 0) } else { (bars(song, section), passes(song, section)) };
    let all_passes = move |selector: &Selector| match pass {
        Some(pass) => selector.contains(pass, passes),
        None => selector.numbers(passes).len() as u32 == passes,
    };
    exceptions.iter().filter(move |exception| {
        exception.pass.as_ref().is_none_or(|selector| all_passes(&selector.value))
            && exception.beat.map(|beat| beat.value) == beat
            && wanted.clone().all(|bar| exception.bar.value.contains(bar, bars))
    })
}

/// Later ones win, field by field.
fn together<'a>(exceptions: impl IntoIterator<Item = &'a Exception>) -> Said {
    let mut said = Said::default();
    for exception in exceptions {
        said.note = exception.note.clone().or(said.note);
        said.cue = exception.cue.clone().or(said.cue);
        tell(&mut said.right, &exception.right);
        tell(&mut said.left, &exception.left);
    }
    said
}

fn tell(hand: &mut HandSettings, later: &HandSettings) {
    if later.notes.is_some() || later.shape.is_some() || later.tones.is_some() {
        (hand.notes, hand.shape, hand.tones) = (later.notes, later.shape, later.tones.clone());
        hand.shapes.clear();
    }
    hand.shapes.retain(|shape| later.shapes.iter().all(|other| other.chord != shape.chord));
    hand.shapes.extend(later.shapes.iter().cloned());
    hand.near = later.near.or(hand.near);
    hand.figure = later.figure.clone().or(hand.figure.take());
    hand.restart = later.restart.or(hand.restart);
}
