//! The thread that works out how else a chord could be held.

use practice::SlotRef;
use song::PlayedSong;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;
use theory::Hand;
use ui::Way;
use voicing::{Part, Settings};

/// So many for each hand.
const MOST: usize = 4;

/// A chord of a song, for a player.
#[derive(Clone, Debug)]
pub struct Question {
    /// The song in its written key.
    pub song: Arc<PlayedSong>,
    /// Its part in the key of the night.
    pub part: Arc<Part>,
    /// For whom.
    pub player: Settings,
    /// Which chord.
    pub at: SlotRef,
}

impl Question {
    /// Whether it asks the same as another.
    pub fn is(&self, other: &Question) -> bool {
        Arc::ptr_eq(&self.part, &other.part) && self.at == other.at
    }

    fn answer(&self) -> Vec<Way> {
        let at = (self.at.bar, self.at.slot);
        let of = |hand: Hand| {
            let others = voicing::alternatives(&self.song, self.part.key, &self.player, at, hand, MOST);
            others.into_iter().map(move |other| Way { hand, other })
        };
        Hand::BOTH.into_iter().flat_map(of).collect()
    }
}

/// The thread. It ends when this is dropped.
#[derive(Debug)]
pub struct Chooser {
    questions: Sender<Question>,
    answers: Receiver<(Question, Vec<Way>)>,
}

impl Chooser {
    /// Starts the thread; `wake` is called after every answer.
    ///
    /// # Errors
    /// Where the system can start no thread.
    pub fn start(wake: impl Fn() + Send + 'static) -> std::io::Result<Chooser> {
        let (questions, to_do) = channel::<Question>();
        let (done, answers) = channel();
        thread::Builder::new().name("chooser".to_owned()).spawn(move || {
            while let Ok(question) = to_do.recv() {
                // Who has walked on wants to know of the chord they are at now.
                let newest = to_do.try_iter().last().unwrap_or(question);
                let ways = newest.answer();
                if done.send((newest, ways)).is_err() {
                    return;
                }
                wake();
            }
        })?;
        Ok(Chooser { questions, answers })
    }

    /// Asks; a question that is still waiting is given up.
    pub fn ask(&self, question: Question) {
        // The thread ends only after this value does.
        let _ = self.questions.send(question);
    }

    /// What was answered since the last call.
    pub fn answers(&self) -> impl Iterator<Item = (Question, Vec<Way>)> + '_ {
        self.answers.try_iter()
    }
}
