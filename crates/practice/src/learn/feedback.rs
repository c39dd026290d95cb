//! When marks are shown, and how much help there is.
//!
//! Feedback on every note during play makes players depend on it; passes with and without alternate (reduced-frequency
//! feedback studies). Looking at the result afterwards helps timing (Riley & Coons 2005). Estimating one's own error before
//! seeing it improves learning (self-estimation studies): a [`Guess`] is asked for if the player wants it.

use crate::history::{Guess, Help, Marks};

/// When the marks of passes are shown, as the player chose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Feedback {
    /// While playing until the first clean pass of a stretch, and every other pass from then on.
    #[default]
    UntilClean,
    /// While playing.
    While,
    /// After each pass.
    After,
    /// While playing in every other pass.
    EveryOther,
}

impl Feedback {
    /// All there are, the default first.
    pub const ALL: [Feedback; 4] =
        [Feedback::UntilClean, Feedback::While, Feedback::After, Feedback::EveryOther];

    /// When the marks of the next pass of a stretch are shown, after passes that were clean or not, oldest first.
    ///
    /// ```
    /// use practice::{history::Marks, learn::Feedback};
    /// let next = |passes: &[bool]| Feedback::UntilClean.next(passes);
    /// assert_eq!(next(&[false, false]), Marks::While);
    /// assert_eq!(next(&[false, true]), Marks::After);
    /// assert_eq!(next(&[false, true, true]), Marks::While);
    /// ```
    pub fn next(self, passes: &[bool]) -> Marks {
        let alternating = |after: usize| if after.is_multiple_of(2) { Marks::While } else { Marks::After };
        match self {
            Feedback::While => Marks::While,
            Feedback::After => Marks::After,
            Feedback::EveryOther => alternating(passes.len()),
            Feedback::UntilClean => {
                let first_clean = passes.iter().position(|clean| *clean);
                alternating(first_clean.map_or(0, |first| passes.len() - first))
            }
        }
    }

    /// For a musician.
    pub const fn text(self) -> &'static str {
        match self {
            Feedback::UntilClean => "while I play, until it is clean; then every other pass",
            Feedback::While => "while I play",
            Feedback::After => "after each pass",
            Feedback::EveryOther => "every other pass",
        }
    }
}

/// What is said before a pass whose marks come after it.
pub const LISTENS: &str = "It listens; you see the marks after the pass.";

/// How much help the next pass has when playing from memory: a step less after a clean pass, a step more after one that
/// was not.
///
/// ```
/// use practice::{history::Help, learn::help_after};
/// assert_eq!(help_after(Help::Full, true), Help::Numbers);
/// assert_eq!(help_after(Help::Nothing, false), Help::Sections);
/// ```
pub fn help_after(help: Help, clean: bool) -> Help {
    let at = Help::ALL.iter().position(|step| *step == help).unwrap_or(0);
    let to = if clean { (at + 1).min(Help::ALL.len() - 1) } else { at.saturating_sub(1) };
    Help::ALL[to]
}

/// What is said of a guess once the verdict is there: whether one hears oneself.
pub fn guessed(guess: Guess, clean: bool, slips: usize) -> String {
    let heard = if clean {
        Guess::Clean
    } else if slips <= 2 {
        Guess::Slips
    } else {
        Guess::NotYet
    };
    match (guess == heard, guess) {
        (true, _) => format!("You heard it right: {}.", heard.text()),
        (false, Guess::NotYet) => format!("Better than you thought: {}.", heard.text()),
        (false, _) if heard == Guess::Clean => "Better than you thought: clean.".to_owned(),
        (false, _) => format!("You said {}; it was {}. Look at the marks.", guess.text(), heard.text()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_other_pass_is_marked_while_it_is_played() {
        let marks = |feedback: Feedback, clean: &[bool]| -> Vec<Marks> {
            (0..=clean.len()).map(|n| feedback.next(&clean[..n])).collect()
        };
        use Marks::{After, While};
        assert_eq!(marks(Feedback::EveryOther, &[false; 3]), [While, After, While, After]);
        assert_eq!(
            marks(Feedback::UntilClean, &[false, true, false, false, true]),
            [While, While, After, While, After, While],
            "what fails later does not bring marks back at every pass"
        );
        assert_eq!(marks(Feedback::After, &[true]), [After, After]);
    }

    #[test]
    fn help_fades_step_by_step_and_comes_back_on_a_failure() {
        let mut help = Help::Full;
        let steps = [true, true, false, true, true, true, false].map(|clean| {
            help = help_after(help, clean);
            help
        });
        let names = steps.map(Help::text);
        let (numbers, sections) = (Help::Numbers.text(), Help::Sections.text());
        assert_eq!(names, [numbers, sections, numbers, sections, "nothing", "nothing", sections]);
        assert_eq!(help_after(Help::Full, false), Help::Full);
    }

    #[test]
    fn a_guess_is_set_beside_what_was_heard() {
        assert_eq!(guessed(Guess::Clean, true, 0), "You heard it right: clean.");
        assert_eq!(guessed(Guess::NotYet, false, 1), "Better than you thought: a slip or two.");
        assert_eq!(guessed(Guess::Slips, true, 0), "Better than you thought: clean.");
        assert!(guessed(Guess::Clean, false, 5).contains("it was not yet"));
    }
}
