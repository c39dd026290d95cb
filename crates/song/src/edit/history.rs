//! A song being written: its text, and every edit back to the beginning.

use super::{Change, EditError, Edited, apply, apply_all};
use crate::Edit;

/// A song's text with all that was done to it. Undo and redo have no end.
///
/// ```
/// use song::edit::{Change, Draft};
/// let text = r#"{ "format": 1, "title": "Lock", "sections": [ { "name": "Verse", "bars": ["1"] } ] }"#;
/// let mut draft = Draft::new(text.into());
/// let typed = |text: &str| Change::Row { section: 0, row: 0, text: text.into() };
/// draft.apply(&typed("1 |")).unwrap();
/// draft.apply(&typed("1 | 4")).unwrap();
/// assert!(draft.text().contains(r#""bars": ["1 | 4"]"#));
/// // What was typed in one go is one step.
/// assert_eq!(draft.undo().as_deref(), Some("typing in a row"));
/// assert_eq!(draft.text(), text);
/// draft.redo();
/// assert!(draft.text().contains(r#""bars": ["1 | 4"]"#));
/// ```
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Draft {
    text: String,
    past: Vec<Step>,
    future: Vec<Step>,
    /// What is being typed, while it goes on.
    typing: Option<Typing>,
    /// What history is to know the song by, should its file not say so.
    identity: Option<String>,
}

/// What one undo takes back.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Step {
    name: String,
    /// There and back, in the order in which they were made.
    edits: Vec<(Edit, Edit)>,
}

/// Where somebody types. Edits of one place belong together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Typing(pub String);

impl Draft {
    /// A song as it was opened.
    pub fn new(text: String) -> Draft {
        Draft { text, ..Draft::default() }
    }

    /// The same song, which gets this identity with the first edit if it has none; undo takes both back.
    ///
    /// ```
    /// # use song::edit::{Change, Draft};
    /// let text = "{\n  \"format\": 1,\n  \"sections\": [ { \"name\": \"Verse\", \"bars\": [\"1\"] } ]\n}\n";
    /// let mut draft = Draft::new(text.into()).known_as("k3v9".into());
    /// draft.apply(&Change::Row { section: 0, row: 0, text: "1 | 4".into() }).unwrap();
    /// assert!(draft.text().contains(r#""id": "k3v9""#));
    /// draft.undo();
    /// assert_eq!(draft.text(), text);
    /// ```
    #[must_use]
    pub fn known_as(self, identity: String) -> Draft {
        Draft { identity: Some(identity), ..self }
    }

    /// The text as it is now.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Makes an edit. Typing in one place is one step until [`Draft::pause`] or another edit.
    ///
    /// # Errors
    /// What cannot be done; nothing is changed then.
    pub fn apply(&mut self, change: &Change) -> Result<&Edit, EditError> {
        let (known, edited) = self.edited(|text| apply(text, change))?;
        let typing = change.typing();
        let goes_on = typing.is_some() && typing == self.typing && !self.past.is_empty();
        self.record(edited, &change.name(), goes_on);
        self.put_before(known);
        self.typing = typing;
        Ok(self.last())
    }

    /// Makes several edits as one step; all or none.
    ///
    /// # Errors
    /// The first that cannot be done; nothing is changed then.
    pub fn apply_all(&mut self, changes: &[Change], name: &str) -> Result<&Edit, EditError> {
        let (known, edited) = self.edited(|text| apply_all(text, changes))?;
        self.record(edited, name, false);
        self.put_before(known);
        self.typing = None;
        Ok(self.last())
    }

    /// Another text in place of this one, such as a file that was changed outside, as one step.
    pub fn replace(&mut self, text: String, name: &str) {
        let edited = Edited::between(&self.text, text);
        self.record(edited, name, false);
        self.typing = None;
    }

    /// What is typed from now on is a step of its own: after a pause, or when the cursor goes elsewhere.
    pub fn pause(&mut self) {
        self.typing = None;
    }

    /// What undo would take back.
    pub fn can_undo(&self) -> Option<&str> {
        self.past.last().map(|step| step.name.as_str())
    }

    /// What redo would do again.
    pub fn can_redo(&self) -> Option<&str> {
        self.future.last().map(|step| step.name.as_str())
    }

    /// Takes the last step back, and tells its name; nothing if there is none.
    pub fn undo(&mut self) -> Option<String> {
        let step = self.past.pop()?;
        for (_, undo) in step.edits.iter().rev() {
            self.text = undo.apply(&self.text);
        }
        self.typing = None;
        let name = step.name.clone();
        self.future.push(step);
        Some(name)
    }

    /// Makes the last step taken back again, and tells its name; nothing if there is none.
    pub fn redo(&mut self) -> Option<String> {
        let step = self.future.pop()?;
        for (done, _) in &step.edits {
            self.text = done.apply(&self.text);
        }
        self.typing = None;
        let name = step.name.clone();
        self.past.push(step);
        Some(name)
    }

    fn record(&mut self, edited: Edited, name: &str, goes_on: bool) {
        let Edited { text, done, undo } = edited;
        if text != self.text || self.past.is_empty() {
            self.future.clear();
        }
        self.text = text;
        match self.past.last_mut() {
            Some(step) if goes_on => step.edits.push((done, undo)),
            _ => self.past.push(Step { name: name.into(), edits: vec![(done, undo)] }),
        }
    }

    /// The text edited, with an identity before that if it is to have one; what changes nothing brings none.
    fn edited(
        &self,
        edit: impl Fn(&str) -> Result<Edited, EditError>,
    ) -> Result<(Option<Edited>, Edited), EditError> {
        if let Some(known) = self.identified() {
            let edited = edit(&known.text)?;
            if edited.text != known.text {
                return Ok((Some(known), edited));
            }
        }
        Ok((None, edit(&self.text)?))
    }

    /// The text with an identity, if it is to have one and has none. What does not become a song by that is left as it is.
    fn identified(&self) -> Option<Edited> {
        let identity = self.identity.as_ref().filter(|_| !self.text.contains("\"id\""))?;
        let text = crate::with_id(&self.text, identity).ok()?;
        Some(Edited::between(&self.text, text))
    }

    /// Makes an edit the one before the last of the last step.
    fn put_before(&mut self, known: Option<Edited>) {
        let Some((Edited { done, undo, .. }, step)) = known.zip(self.past.last_mut()) else { return };
        step.edits.insert(step.edits.len() - 1, (done, undo));
    }

    fn last(&self) -> &Edit {
        let step = self.past.last().and_then(|step| step.edits.last());
        &step.expect("a step was recorded just before").0
    }
}
