//! The thread that writes files, so that a slow disk never holds up a frame or a beat.

use crate::storage::{Places, Settings, save_take};
use practice::Take;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::{self, JoinHandle};
use voicing::Part;

/// Something to write.
pub enum Order {
    /// The settings as they are now.
    Settings(Settings),
    /// A take that was finished, with the part it was played to.
    Take(Arc<Take>, Arc<Part>),
}

/// The thread. Dropping it waits until everything is written.
pub struct Keeper {
    orders: Option<Sender<Order>>,
    told: Receiver<String>,
    thread: Option<JoinHandle<()>>,
}

impl Keeper {
    /// Starts the thread; `wake` is called when there is something to tell.
    ///
    /// # Errors
    /// Where the system can start no thread.
    pub fn start(places: Places, wake: impl Fn() + Send + 'static) -> std::io::Result<Keeper> {
        let (orders, to_do) = channel::<Order>();
        let (tell, told) = channel();
        let thread = thread::Builder::new().name("keeper".to_owned()).spawn(move || {
            for order in to_do {
                if let Err(message) = carry_out(order, &places) {
                    // Nobody to tell: the window is closed.
                    let _ = tell.send(message);
                    wake();
                }
            }
        })?;
        Ok(Keeper { orders: Some(orders), told, thread: Some(thread) })
    }

    /// A sender of orders for another thread.
    pub fn line(&self) -> Option<Sender<Order>> {
        self.orders.clone()
    }

    /// Writes, as soon as what came before is written.
    pub fn write(&self, order: Order) {
        if let Some(orders) = &self.orders {
            // The thread ends only after this value does.
            let _ = orders.send(order);
        }
    }

    /// What could not be written since the last call.
    pub fn told(&self) -> Option<String> {
        self.told.try_iter().last()
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

fn carry_out(order: Order, places: &Places) -> Result<(), String> {
    match order {
        Order::Settings(settings) => {
            settings.save(places).map_err(|error| format!("Settings could not be saved: {error}"))
        }
        Order::Take(take, part) => save_take(places, &take, &part)
            .map(drop)
            .map_err(|error| format!("The take could not be saved: {error}")),
    }
}
