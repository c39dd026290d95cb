//! Between what practice shows and what the settings remember of it.

use crate::storage::{FeedbackWord, PracticeSettings, TriggerWord, date_text, day_of, weekday_words};
use practice::learn::Feedback;
use theory::MidiKey;
use ui::{Practice, Trigger, TriggerDeed};

/// What is shown at the start.
pub fn shown(kept: &PracticeSettings) -> Practice {
    let trigger = |deed| (deed, of_deed(kept, deed).and_then(trigger));
    Practice {
        minutes: kept.minutes.clamp(1, 600),
        by: kept.by.as_deref().and_then(day_of).map(|day| (day, weekday_words(day))),
        feedback: match kept.feedback {
            FeedbackWord::UntilClean => Feedback::UntilClean,
            FeedbackWord::While => Feedback::While,
            FeedbackWord::After => Feedback::After,
            FeedbackWord::EveryOther => Feedback::EveryOther,
        },
        asks: kept.asks,
        triggers: TriggerDeed::ALL.into_iter().map(trigger).collect(),
        ..Practice::default()
    }
}

/// Keeps what is shown; `by` is the date that the player chose, and not the coach.
pub fn keep(kept: &mut PracticeSettings, shown: &Practice, by: Option<i64>, cautioned: Option<i64>) {
    kept.minutes = shown.minutes;
    kept.by = by.map(date_text);
    kept.feedback = match shown.feedback {
        Feedback::UntilClean => FeedbackWord::UntilClean,
        Feedback::While => FeedbackWord::While,
        Feedback::After => FeedbackWord::After,
        Feedback::EveryOther => FeedbackWord::EveryOther,
    };
    kept.asks = shown.asks;
    let word = |deed: TriggerDeed| shown.triggers.iter().find(|(of, _)| *of == deed)?.1.map(word);
    (kept.again, kept.next, kept.stop) =
        (word(TriggerDeed::Again), word(TriggerDeed::Next), word(TriggerDeed::Stop));
    kept.cautioned = cautioned.map(date_text);
}

fn of_deed(kept: &PracticeSettings, deed: TriggerDeed) -> Option<TriggerWord> {
    match deed {
        TriggerDeed::Again => kept.again,
        TriggerDeed::Next => kept.next,
        TriggerDeed::Stop => kept.stop,
    }
}

fn trigger(word: TriggerWord) -> Option<Trigger> {
    match word {
        TriggerWord::Key(key) => MidiKey::new(key).map(Trigger::Key),
        TriggerWord::Pedal(controller) => Some(Trigger::Pedal(controller)),
    }
}

fn word(trigger: Trigger) -> TriggerWord {
    match trigger {
        Trigger::Key(key) => TriggerWord::Key(key.number()),
        Trigger::Pedal(controller) => TriggerWord::Pedal(controller),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_chosen_is_there_the_next_evening() {
        let kept = PracticeSettings {
            minutes: 45,
            by: Some("2026-12-05".into()),
            feedback: FeedbackWord::EveryOther,
            asks: true,
            again: Some(TriggerWord::Key(21)),
            stop: Some(TriggerWord::Pedal(67)),
            ..PracticeSettings::default()
        };
        let shown = shown(&kept);
        assert_eq!(shown.by.as_ref().map(|(_, words)| words.as_str()), Some("Saturday 5 December"));
        let mut again = PracticeSettings::default();
        keep(&mut again, &shown, shown.by.as_ref().map(|(day, _)| *day), None);
        assert_eq!(again, kept);
    }
}
