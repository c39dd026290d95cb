//! The song file as JSON, version 1: plain types that mirror it field by field. The JSON Schema is generated from
//! them, and new files are written with them. Reading goes another way ([`crate::read`]), which knows places and tells
//! all mistakes at once.

use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;

/// A song: a number chart and how two hands play it.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Song {
    /// The version of the file: 1.
    #[schemars(range(min = 1, max = 1))]
    pub format: u32,
    /// Written by the program at the first save; history follows it through renaming.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<String>,
    /// The title.
    pub title: String,
    /// Free text.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Tonic and mode: "G major", "Eb major", "F# minor".
    pub key: String,
    /// Beats a minute of the meter in force here.
    #[schemars(range(min = 20, max = 300))]
    pub tempo: f64,
    /// The meter, "4/4" where it is left out. Over 8 and divisible by 3 the beat is a dotted quarter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meter: Option<String>,
    /// In 6/8 and its like the beat is the eighth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub count: Option<Count>,
    /// How many bars are counted in before the song; one in slow songs and two in fast ones where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 4))]
    pub count_in: Option<u8>,
    /// How eighths are felt.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub feel: Option<Feel>,
    /// How full the hands play where nothing else says it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 5))]
    pub level: Option<u8>,
    /// A bass player plays along.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bass: Option<bool>,
    /// The part carries pedal marks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pedal: Option<bool>,
    /// The right hand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub right: Option<RightHand>,
    /// The left hand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left: Option<LeftHand>,
    /// The sections.
    #[schemars(length(min = 1))]
    pub sections: Vec<Section>,
    /// Section names in playing order; each once, as written, where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1))]
    pub order: Option<Vec<String>>,
    /// Goals that the coach marks.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 100))]
    pub goals: Option<Vec<Goal>>,
}

/// A goal: what of the song is to go well, how fast, and by when.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Goal {
    /// The section; the whole song where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub section: Option<String>,
    /// Which bars, as the section is written; all of them where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bar: Option<Selector>,
    /// In percent of the chart's tempo; 100 where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 30, max = 130))]
    pub speed: Option<u8>,
    /// By when: year, month and day, "2026-12-04".
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(regex(pattern = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"))]
    pub day: Option<String>,
    /// The coach's words about it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A section: bars of its own, or those of another that it is like.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Section {
    /// Its name.
    #[schemars(length(min = 1))]
    pub name: String,
    /// Lines of bars, one a printed row: "3/4: 1.. 5. | 6".
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1))]
    pub bars: Option<Vec<String>>,
    /// Takes everything of another section but its name and note.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub like: Option<String>,
    /// How often it is played at each place of the order.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 99))]
    pub passes: Option<u32>,
    /// Where some pass differs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub except: Option<Vec<Exception>>,
    /// Free text.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Words to listen for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cue: Option<String>,
    /// Its own key, by name or relative to the song's: "+2" semitones.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub key: Option<String>,
    /// Beats a minute of the meter in force here.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 20, max = 300))]
    pub tempo: Option<f64>,
    /// Its own meter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meter: Option<String>,
    /// In 6/8 and its like the beat is the eighth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub count: Option<Count>,
    /// How eighths are felt.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub feel: Option<Feel>,
    /// How full the hands play where nothing else says it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 5))]
    pub level: Option<u8>,
    /// A bass player plays along.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bass: Option<bool>,
    /// The part carries pedal marks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pedal: Option<bool>,
    /// The right hand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub right: Option<RightHand>,
    /// The left hand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left: Option<LeftHand>,
}

/// An exception: certain bars differ in certain passes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Exception {
    /// Which passes; every pass where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pass: Option<Selector>,
    /// Which bars, as the section is written.
    pub bar: Selector,
    /// From this beat of the bar to the next chord; the whole bar where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 32))]
    pub beat: Option<u8>,
    /// Bars that take the place of written ones.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bars: Option<Lines>,
    /// How many written bars give way; as many as are put in where it is left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub replaces: Option<u32>,
    /// The right hand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub right: Option<RightHand>,
    /// The left hand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left: Option<LeftHand>,
    /// The coach's words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Words to listen for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cue: Option<String>,
}

/// How the right hand plays.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RightHand {
    /// How many keys are held.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 4))]
    pub notes: Option<u8>,
    /// Members from the lowest up: "3 1".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tones: Option<String>,
    /// Tones by chord as written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shapes: Option<BTreeMap<String, String>>,
    /// A note that the lowest key lies close to: "A4".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub near: Option<String>,
    /// One bar's rhythm: "x - x -".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub figure: Option<String>,
    /// Where the figure begins again.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub restart: Option<Restart>,
}

/// How the left hand plays.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LeftHand {
    /// What it holds on the degree it takes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shape: Option<LeftShape>,
    /// Intervals above the degree it takes, from the lowest up: "1 5".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tones: Option<String>,
    /// Tones by chord as written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shapes: Option<BTreeMap<String, String>>,
    /// A note that the lowest key lies close to: "D3".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub near: Option<String>,
    /// One bar's rhythm: "12 12 12 12".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub figure: Option<String>,
    /// Where the figure begins again.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub restart: Option<Restart>,
}

/// Passes or bars: a number, a range "3-5", "last", or a list of these.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Selector {
    /// Counted from 1.
    Number(u32),
    /// A range "3-5" or "last".
    Words(String),
    /// Several.
    List(Vec<Selector>),
}

/// A line of bars, or several.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Lines {
    /// One line.
    One(String),
    /// Several lines.
    Several(Vec<String>),
}

/// What is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Count {
    /// Eighths, in 6/8 and its like.
    Eighths,
}

/// How eighths are felt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Feel {
    /// Even.
    Straight,
    /// Two to one.
    Swing,
}

/// Where a figure begins again.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Restart {
    /// At each bar.
    Bar,
    /// At each chord.
    Chord,
}

/// What the left hand holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[allow(missing_docs)]
pub enum LeftShape {
    #[serde(rename = "root")]
    Root,
    #[serde(rename = "octave")]
    Octave,
    #[serde(rename = "root fifth")]
    RootFifth,
    #[serde(rename = "root fifth octave")]
    RootFifthOctave,
    #[serde(rename = "triad")]
    Triad,
    #[serde(rename = "root fifth tenth")]
    RootFifthTenth,
    #[serde(rename = "none")]
    None,
}

impl Song {
    /// A new file, laid out with one field a line.
    ///
    /// ```
    /// use song::file;
    /// let intro = file::Section { name: "Intro".into(), bars: Some(vec!["1 | 4".into()]), ..Default::default() };
    /// let new = file::Song {
    ///     format: 1, title: "Lock".into(), key: "D major".into(), tempo: 72.0, sections: vec![intro],
    ///     ..Default::default()
    /// };
    /// assert!(song::read(&new.to_text()).diagnostics.is_empty());
    /// ```
    pub fn to_text(&self) -> String {
        let text =
            serde_json::to_string_pretty(self).expect("numbers, texts, lists and text-keyed maps are JSON");
        text + "\n"
    }
}

/// The JSON Schema of the song file, for editors that help while one types.
pub fn schema() -> String {
    let without_null = RecursiveTransform(without_null);
    let settings = SchemaSettings::default().with_transform(without_null);
    let schema = settings.into_generator().into_root_schema_for::<Song>();
    let text = serde_json::to_string_pretty(&schema).expect("a schema is JSON");
    text + "\n"
}

/// A field that says nothing is left out of the file: it is never `null`.
fn without_null(schema: &mut Schema) {
    let Some(object) = schema.as_object_mut() else { return };
    if let Some(Value::Array(types)) = object.get_mut("type") {
        types.retain(|kind| kind != "null");
        if let [only] = types.as_slice() {
            let only = only.clone();
            object.insert("type".into(), only);
        }
    }
    let Some(Value::Array(choices)) = object.get_mut("anyOf") else { return };
    choices.retain(|choice| choice["type"] != "null");
    if let [Value::Object(only)] = choices.as_slice() {
        let only = only.clone();
        object.remove("anyOf");
        object.extend(only);
    }
}
