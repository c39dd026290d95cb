//! What songs and sections alike may say: tempo, meter, hands and the rest.

use super::Reader;
use crate::json::Object;
use crate::limits;
use crate::report::quoted;
use crate::{Feel, Meter, SectionKey, Settings, Spanned, Tempo};

impl Reader<'_, '_> {
    pub(super) fn settings(&mut self, object: &Object<'_>) -> Settings {
        Settings {
            tempo: self.tempo(object),
            meter: self.meter(object),
            count_eighths: self.choice(object, "count", &[("eighths", true)]),
            feel: self.choice(object, "feel", &[("straight", Feel::Straight), ("swing", Feel::Swing)]),
            level: self.small(object, "level", limits::LEVEL).map(|level| level.value),
            bass: self.boolean(object, "bass"),
            pedal: self.boolean(object, "pedal"),
            right: self.right(object),
            left: self.left(object),
        }
    }

    fn tempo(&mut self, object: &Object<'_>) -> Option<Spanned<Tempo>> {
        let number = self.number(object, "tempo")?;
        let tempo = Tempo::new(number.value);
        if tempo.is_none() {
            let (low, high) = (limits::TEMPO.start(), limits::TEMPO.end());
            self.error(number.span, format!("tempo is from {low} to {high} beats a minute"), "");
        }
        tempo.map(|tempo| Spanned::new(tempo, number.span))
    }

    fn meter(&mut self, object: &Object<'_>) -> Option<Spanned<Meter>> {
        let text = self.text(object, "meter")?;
        let meter = Meter::parse(text.value.trim());
        if meter.is_none() {
            let what = format!("{} is no meter", quoted(&text.value));
            let hint = "write 1 to 32 over 1, 2, 4, 8, 16 or 32, e.g. \"3/4\"";
            self.error_in(&text, (0, text.value.len()), what, hint);
        }
        meter.map(|meter| Spanned::new(meter, text.span))
    }

    /// A section's key: `"+2"` or a name.
    pub(super) fn section_key(&mut self, object: &Object<'_>) -> Option<Spanned<SectionKey>> {
        let text = self.text(object, "key")?;
        let written = text.value.trim();
        let key = if written.starts_with(['+', '-', '−']) { shift(written) } else { named(written) };
        match key {
            Ok(key) => Some(Spanned::new(key, text.span)),
            Err((what, hint)) => {
                self.error_in(&text, (0, text.value.len()), what, hint);
                None
            }
        }
    }

    pub(super) fn small(
        &mut self,
        object: &Object<'_>,
        field: &str,
        range: std::ops::RangeInclusive<u8>,
    ) -> Option<Spanned<u8>> {
        let whole = self.whole(object, field, u32::from(*range.start())..=u32::from(*range.end()))?;
        u8::try_from(whole.value).ok().map(|value| Spanned::new(value, whole.span))
    }

    /// One of a few words.
    pub(super) fn choice<T: Copy>(
        &mut self,
        object: &Object<'_>,
        field: &str,
        words: &[(&str, T)],
    ) -> Option<T> {
        let text = self.text(object, field)?;
        let found = words.iter().find(|(word, _)| *word == text.value);
        if found.is_none() {
            let all: Vec<String> = words.iter().map(|(word, _)| quoted(word)).collect();
            let what = format!("{field} cannot be {}", quoted(&text.value));
            self.error_in(&text, (0, text.value.len()), what, format!("write {}", all.join(" or ")));
        }
        found.map(|(_, value)| *value)
    }
}

fn shift(written: &str) -> Result<SectionKey, (String, String)> {
    let plain = written.replace('−', "-");
    match plain.parse::<i32>() {
        Ok(n) if n.abs() <= limits::KEY_SHIFT => Ok(SectionKey::Shift(n as i8)),
        _ => {
            let what = format!("{} is no number of semitones", quoted(written));
            Err((what, format!("write \"+1\" to \"+{0}\" or \"-1\" to \"-{0}\"", limits::KEY_SHIFT)))
        }
    }
}

fn named(written: &str) -> Result<SectionKey, (String, String)> {
    written.parse().map(SectionKey::Named).map_err(|e: theory::ParseKeyError| {
        (e.message, "a section may also say how far it lies from the song: \"+2\"".to_string())
    })
}
