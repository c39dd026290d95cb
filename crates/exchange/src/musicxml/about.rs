//! What a score says about itself: its title, who wrote it, and what else stands on its first page (MusicXML 4.0, "work",
//! "identification", "credit").

use super::own::{self, NOTE_FIELD};
use super::tree::Element;

/// So many lines about a score are kept.
const MOST_NOTES: usize = 20;
/// So long each may be.
const LONGEST: usize = 200;

/// What a field about the score says.
pub(super) fn field<'s>(score: &'s Element, name: &str) -> Option<&'s str> {
    let fields = score.child("identification").and_then(|id| id.child("miscellaneous"))?;
    let field = fields.all("miscellaneous-field").find(|field| field.attribute("name") == Some(name))?;
    Some(field.text.trim())
}

/// The title; another where the score has none.
pub(super) fn title_of(score: &Element, other: &str) -> String {
    let title = work(score).or_else(|| movement(score)).or_else(|| headline(score));
    let title = title.unwrap_or_else(|| line(other));
    if title.is_empty() { "Untitled".to_owned() } else { title }
}

/// Who wrote it, under which terms, what else its page says, and in a score of ours what the coach says about the song.
pub(super) fn notes(score: &Element) -> Vec<String> {
    let ours = own::is_ours(score);
    let about = score.child("identification");
    let creators = about.into_iter().flat_map(|about| about.all("creator")).filter_map(creator);
    let rights =
        about.and_then(|about| about.text_of("rights")).map(|rights| format!("Rights: {}", line(rights)));
    let note = field(score, NOTE_FIELD).filter(|_| ours).map(str::to_owned);
    let second = movement(score).filter(|movement| work(score).is_some_and(|work| work != *movement));
    let second = second.map(|movement| format!("Movement: {movement}"));
    let mut notes: Vec<String> = note.into_iter().chain(second).chain(creators).chain(rights).collect();
    if !ours {
        add_page(score, &mut notes);
    }
    notes.truncate(MOST_NOTES);
    notes
}

/// Words on the page that the title and the notes do not say already.
fn add_page(score: &Element, notes: &mut Vec<String>) {
    let title = title_of(score, "");
    let said = |notes: &[String], words: &str| {
        let words = words.to_lowercase();
        std::iter::once(&title).chain(notes).any(|known| known.to_lowercase().contains(&words))
    };
    for words in credits(score).map(|credit| line(&credit.text)) {
        if notes.len() >= MOST_NOTES {
            return;
        }
        if !words.is_empty() && !said(notes, &words) {
            notes.push(format!("On the page: {words}"));
        }
    }
}

fn work(score: &Element) -> Option<String> {
    score.child("work").and_then(|work| work.text_of("work-title")).map(line)
}

fn movement(score: &Element) -> Option<String> {
    score.text_of("movement-title").map(line)
}

/// A title that stands on the page alone.
fn headline(score: &Element) -> Option<String> {
    let is_title = |credit: &&Element| credit.text_of("credit-type") == Some("title");
    score.all("credit").find(is_title).and_then(|credit| credit.text_of("credit-words")).map(line)
}

fn credits(score: &Element) -> impl Iterator<Item = &Element> {
    score.all("credit").flat_map(|credit| credit.all("credit-words"))
}

fn creator(element: &Element) -> Option<String> {
    let mut letters = element.attribute("type").unwrap_or("author").chars();
    let kind: String = letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
    let name = line(&element.text);
    (!name.is_empty()).then(|| format!("{kind}: {name}"))
}

/// A text in one line.
fn line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(LONGEST).collect()
}
