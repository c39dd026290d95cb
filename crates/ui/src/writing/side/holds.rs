//! What a hand holds: how many keys or which shape, written tones (at a bar or chord a pin), and where they lie.

use super::field::{Field as Line, wrong};
use super::hands::About;
use super::line::{Offer, hand, label, offers};
use crate::Command;
use crate::stage::Stage;
use egui::{Id, Ui};
use song::edit::{HandField, Place};
use song::{Hold, LeftShape, Tones};
use theory::{Hand, Member, NumberChord, Pitch};

/// Draws it.
pub(crate) fn show(ui: &mut Ui, stage: &mut Stage<'_>, about: &About) {
    match about.hand {
        Hand::Right => notes(ui, stage, about),
        Hand::Left => shapes(ui, stage, about),
    }
    tones(ui, stage, about);
    if matches!(about.place, Place::Song | Place::Section(_) | Place::Pass { .. }) {
        by_chord(ui, stage, about);
    }
    near(ui, stage, about);
}

fn tells(about: &About, field: HandField) -> Command {
    hand(about.place, about.hand, field)
}

fn notes(ui: &mut Ui, stage: &mut Stage<'_>, about: &About) {
    let own = about.own().notes.map(|notes| notes.value);
    let word = |text: String, notes: Option<u8>| {
        Offer::of(
            text.clone(),
            about.name(&format!("keys: {text}")),
            own == notes,
            tells(about, HandField::Notes(notes)),
        )
    };
    let mut words = vec![word("as it was".into(), None)];
    words.extend(song::limits::NOTES.map(|notes| word(notes.to_string(), Some(notes))));
    offers(ui, stage, "keys", words);
}

fn shapes(ui: &mut Ui, stage: &mut Stage<'_>, about: &About) {
    let own = about.own().shape.map(|shape| shape.value);
    let word = |text: &str, shape: Option<LeftShape>| {
        Offer::of(
            text,
            about.name(&format!("shape: {text}")),
            own == shape,
            tells(about, HandField::Shape(shape)),
        )
    };
    let mut words = vec![word("as it was", None)];
    words.extend(LeftShape::ALL.into_iter().map(|shape| word(shape.name(), Some(shape))));
    offers(ui, stage, "shape", words);
}

/// Written tones for every chord there; at a bar or a chord that is a pin.
fn tones(ui: &mut Ui, stage: &mut Stage<'_>, about: &About) {
    let pins = matches!(about.place, Place::Bar { .. });
    label(
        ui,
        stage,
        if pins { "pinned tones, from the lowest up" } else { "tones of every chord, from the lowest up" },
    );
    let own = about.own().tones.as_ref().map(|tones| tones.value.to_string()).unwrap_or_default();
    let holds = match about.holds.as_ref().map(|style| &style.hold) {
        Some(Hold::Tones(tones)) => tones.to_string(),
        _ => "e.g. 3 5 1".into(),
    };
    let name = about.name(if pins { "pinned tones" } else { "tones" });
    let typed = Line::line(&name, &own, &holds).done(ui, stage);
    let read = typed.as_deref().map(|typed| tones_of(typed).map(HandField::Tones));
    take(ui, stage, &name, about, read);
}

/// Tones of one chord, wherever it stands in the section or song.
fn by_chord(ui: &mut Ui, stage: &mut Stage<'_>, about: &About) {
    label(ui, stage, "tones of one chord, wherever it stands: 5/7: 5 1");
    let own: Vec<(NumberChord, String)> =
        about.own().shapes.iter().map(|shape| (shape.chord, shape.tones.value.to_string())).collect();
    for (chord, tones) in own {
        let name = about.name(&format!("tones of {chord}"));
        let away = tells(about, HandField::ChordTones(chord, None));
        let words = vec![Offer::deed("take them away", format!("{name}: take them away"), away)];
        offers(ui, stage, &format!("{chord}: {tones}"), words);
    }
    let name = about.name("tones of one more chord");
    // Once taken, the line is there for the next.
    let typed = Line::line(&name, "", "e.g. 5/7: 5 1").done(ui, stage);
    let read = typed.as_deref().filter(|typed| !typed.trim().is_empty()).map(chord_and_tones);
    take(ui, stage, &name, about, read);
}

fn near(ui: &mut Ui, stage: &mut Stage<'_>, about: &About) {
    label(ui, stage, "lowest key near");
    let own = about.own().near.map(|near| near.value.to_string()).unwrap_or_default();
    let holds = about.holds.as_ref().and_then(|style| style.near);
    let example = if about.hand == Hand::Right { "e.g. G4" } else { "e.g. D3" };
    let hint = holds.map_or(example.to_owned(), |near| near.to_string());
    let name = about.name("lowest key near");
    let typed = Line::line(&name, &own, &hint).wide(110.0).done(ui, stage);
    let read = typed.as_deref().map(|typed| near_of(typed).map(HandField::Near));
    take(ui, stage, &name, about, read);
}

fn near_of(typed: &str) -> Result<Option<Pitch>, String> {
    match typed.trim() {
        "" => Ok(None),
        text => text
            .parse::<Pitch>()
            .ok()
            .filter(|pitch| pitch.key().is_some())
            .map(Some)
            .ok_or_else(|| "Write letter, # or b, and octave; middle C is C4.".to_owned()),
    }
}

fn tones_of(typed: &str) -> Result<Option<Tones>, String> {
    const WRONG: &str = "Write members from the lowest up: 3 5 1; also 6 7 9 11 13, and 2 or 4.";
    let members: Option<Vec<Member>> =
        typed.split_whitespace().map(|word| word.parse().ok().and_then(Member::new)).collect();
    let members = members.ok_or(WRONG)?;
    if members.is_empty() {
        return Ok(None);
    }
    let twice = (1..members.len()).any(|at| members[..at].contains(&members[at]));
    let octave = members == [Member::ROOT, Member::ROOT];
    if members.len() > song::limits::TONES || (twice && !octave) {
        return Err("Name each member once, and no more than a hand has fingers.".into());
    }
    Ok(Some(Tones(members)))
}

fn chord_and_tones(typed: &str) -> Result<HandField, String> {
    let wrong = || "Write a chord, a colon and its tones: 5/7: 5 1.".to_owned();
    let (chord, tones) = typed.rsplit_once(':').ok_or_else(wrong)?;
    let chord = chord.trim().parse::<NumberChord>().map_err(|_| wrong())?;
    let tones = tones_of(tones)?.ok_or_else(wrong)?;
    Ok(HandField::ChordTones(chord, Some(tones)))
}

/// Asks for what was typed, or says what is wrong with it.
fn take(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    id: &str,
    about: &About,
    read: Option<Result<HandField, String>>,
) {
    let asked = read.is_some();
    let error = match read {
        Some(Ok(field)) => {
            stage.out.push(tells(about, field));
            ui.data_mut(|data| data.remove::<String>(Id::unique(("written at the side", id))));
            None
        }
        Some(Err(error)) => Some(error),
        None => None,
    };
    wrong(ui, stage, id, error, asked);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tones_are_read_as_the_song_file_has_them() {
        let read = |text| tones_of(text).map(|tones| tones.map(|tones| tones.to_string()));
        assert_eq!(read(" 3  5 1 "), Ok(Some("3 5 1".into())));
        assert_eq!(read("1 1"), Ok(Some("1 1".into())), "an octave");
        assert_eq!(read(""), Ok(None));
        assert!(read("3 3").is_err() && read("8").is_err() && read("1 3 5 7 9 11").is_err());
    }

    #[test]
    fn a_chord_is_told_its_tones() {
        let told = |text: &str| chord_and_tones(text);
        let wanted = Tones(vec![Member::FIFTH, Member::ROOT]);
        assert_eq!(told("5/7: 5 1"), Ok(HandField::ChordTones("5/7".parse().unwrap(), Some(wanted))));
        assert!(told("5/7").is_err() && told("9: 5").is_err() && told("5/7:").is_err());
    }

    #[test]
    fn a_note_of_the_keyboard_is_a_place() {
        assert_eq!(near_of("A4").unwrap().unwrap().to_string(), "A4");
        assert_eq!(near_of(" "), Ok(None));
        assert!(near_of("A12").is_err() && near_of("x").is_err());
    }
}
