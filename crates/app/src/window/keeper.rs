//! The thread that keeps files: it writes settings and takes, and reads takes again, so that a slow disk never holds up a
//! frame or a beat.

use super::practice_keeper::{self, PracticeOrder, PracticeTold};
use super::song_keeper::{SongKeeper, SongOrder, SongTold};
use super::take_file::{self, Opened, Question};
use crate::storage::{self, Places, SavedTake, Settings};
use practice::Lap;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::{self, JoinHandle};
use std::time::Duration;

/// Something to do.
pub enum Order {
    /// Write the settings as they are now.
    Settings(Settings),
    /// Something with a song.
    Song(SongOrder),
    /// Keep a pass that was played, of the song that lies there.
    Take(Lap, PathBuf),
    /// List the takes.
    List,
    /// Mark a take as one to keep, or no longer.
    Keep(SavedTake, bool),
    /// Delete a take.
    Delete(SavedTake),
    /// Read a take and judge it.
    Open(Question),
    /// Something with the history of practice.
    Practice(PracticeOrder),
}

/// What it has to tell.
pub enum Told {
    /// What could not be done, for the player.
    Trouble(String),
    /// What became of a song.
    Song(SongTold),
    /// The takes there are now.
    Takes(Vec<SavedTake>),
    /// A take that was asked for.
    Opened(Box<Opened>),
    /// What there is to tell of practice.
    Practice(PracticeTold),
}

/// The thread. Dropping it waits until everything is written.
pub struct Keeper {
    orders: Option<Sender<Order>>,
    told: Receiver<Told>,
    thread: Option<JoinHandle<()>>,
}

impl Keeper {
    /// Starts the thread; without places nothing is kept, and takes can still be opened. `wake` is called when there is
    /// something to tell.
    ///
    /// # Errors
    /// Where the system can start no thread.
    pub fn start(places: Option<Places>, wake: impl Fn() + Send + 'static) -> std::io::Result<Keeper> {
        let (orders, to_do) = channel::<Order>();
        let (tell, told) = channel();
        let thread = thread::Builder::new().name("keeper".to_owned()).spawn(move || {
            let mut songs = SongKeeper::new(places.clone());
            while let Some(order) = next(&to_do, songs.idle()) {
                let mut trouble = None;
                let news = match order {
                    Some(Order::Song(order)) => songs.carry_out(order).map(Told::Song),
                    Some(Order::Practice(order)) => {
                        let (news, told) = practice_keeper::carry_out(order, places.as_ref());
                        trouble = told.map(Told::Trouble);
                        news.map(Told::Practice)
                    }
                    Some(order) => carry_out(order, places.as_ref()),
                    None => None,
                };
                for news in news.into_iter().chain(trouble).chain(songs.work().into_iter().map(Told::Song)) {
                    // Nobody to tell: the window is closed.
                    let _ = tell.send(news);
                    wake();
                }
            }
            songs.finish();
        })?;
        Ok(Keeper { orders: Some(orders), told, thread: Some(thread) })
    }

    /// A sender of orders for another thread.
    pub fn line(&self) -> Option<Sender<Order>> {
        self.orders.clone()
    }

    /// Does it, as soon as what came before is done.
    pub fn ask(&self, order: Order) {
        if let Some(orders) = &self.orders {
            // The thread ends only after this value does.
            let _ = orders.send(order);
        }
    }

    /// What there is to tell since the last call.
    pub fn told(&self) -> impl Iterator<Item = Told> + '_ {
        self.told.try_iter()
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        self.orders = None;
        if let Some(thread) = self.thread.take() {
            // A thread that failed has said so already.
            let _ = thread.join();
        }
    }
}

fn carry_out(order: Order, places: Option<&Places>) -> Option<Told> {
    if let Order::Open(question) = order {
        let opened = take_file::open(question);
        return Some(opened.map_or_else(Told::Trouble, |opened| Told::Opened(Box::new(opened))));
    }
    let places = places?;
    let done = match order {
        Order::Settings(settings) => {
            let saved = settings.save(places);
            return saved.err().map(|error| trouble("Settings could not be saved", &error));
        }
        Order::Take(lap, source) => storage::save_take(places, &lap, source)
            .map(drop)
            .map_err(|e| trouble("The take could not be saved", &e)),
        Order::Keep(take, kept) => {
            storage::keep_take(&take, kept).map_err(|e| trouble("The take could not be marked", &e))
        }
        Order::Delete(take) => {
            storage::delete_take(&take.file).map_err(|e| trouble("The take could not be deleted", &e))
        }
        Order::List | Order::Open(_) | Order::Song(_) | Order::Practice(_) => Ok(()),
    };
    Some(done.err().unwrap_or_else(|| Told::Takes(storage::list_takes(places))))
}

/// The next order, or none once a song is due before one comes; at the end nothing.
fn next(to_do: &Receiver<Order>, idle: Option<Duration>) -> Option<Option<Order>> {
    match idle {
        None => to_do.recv().ok().map(Some),
        Some(idle) => match to_do.recv_timeout(idle) {
            Ok(order) => Some(Some(order)),
            Err(RecvTimeoutError::Timeout) => Some(None),
            Err(RecvTimeoutError::Disconnected) => None,
        },
    }
}

fn trouble(what: &str, error: &std::io::Error) -> Told {
    Told::Trouble(format!("{what}: {error}"))
}
