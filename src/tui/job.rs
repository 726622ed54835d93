//! Work in the background, so that no frame waits for it: most often a run.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::sync::{Arc, OnceLock};
use std::thread;
use std::time::{Duration, Instant};

use crate::drill::Drill;
use crate::hands::{self, Script};
use crate::logbook::Logbook;
use crate::run::Run;
use crate::run::recording::HandName;
use crate::tui::effort::{attempt, go_on_if};

/// Whose run is wanted.
#[derive(Clone, Debug)]
pub enum Wanted {
    /// The run that is shown as par, on a drill with a seed; a logbook may have it already.
    Par(Logbook, Arc<Drill>, u64),
    /// A built-in hand, on a drill with a seed.
    Hand(HandName, Arc<Drill>, u64),
    /// The hand `best`, on a drill with a seed; a logbook may have its run already.
    Best(Logbook, Arc<Drill>, u64),
    /// A run that was kept, by its id.
    Kept(Logbook, String),
}

enum News<T> {
    Share(f64),
    Done(Box<Result<T, String>>),
}

/// Work that has been asked for.
type Order = Box<dyn FnOnce() + Send>;

/// Work under way. If it is dropped before it is done, the work is given up.
pub struct Job<T = Run> {
    news: Receiver<News<T>>,
    is_wanted: Arc<AtomicBool>,
    /// How much of it is done, 0..1.
    share: f64,
}

impl Job {
    /// Asks for a run. One thread works through all requests in order, and skips those that nobody waits for any more.
    pub fn begin(wanted: Wanted) -> Job {
        Job::of(move |progress| wanted.fly(progress))
    }
}

impl<T: Send + 'static> Job<T> {
    /// Asks for any work; `work` reports its progress, 0..1.
    pub fn of(
        work: impl FnOnce(&mut dyn FnMut(f64)) -> Result<T, String> + Send + 'static,
    ) -> Job<T> {
        // Where no thread can be started the channel closes, which is reported as work that broke off.
        Job::on(work, |order| drop(desk().send(order)))
    }

    /// The same on a thread of its own, for long work that others would have to wait for.
    pub fn alone(
        name: &str,
        work: impl FnOnce(&mut dyn FnMut(f64)) -> Result<T, String> + Send + 'static,
    ) -> Job<T> {
        let thread = thread::Builder::new().name(name.to_string());
        Job::on(work, |order| drop(thread.spawn(order)))
    }

    fn on(
        work: impl FnOnce(&mut dyn FnMut(f64)) -> Result<T, String> + Send + 'static,
        give: impl FnOnce(Order),
    ) -> Job<T> {
        let (tell, news) = mpsc::channel();
        let is_wanted = Arc::new(AtomicBool::new(true));
        let asked = is_wanted.clone();
        let order = move || {
            let done = attempt(|| {
                go_on_if(&asked);
                work(&mut |share| {
                    go_on_if(&asked);
                    let _ = tell.send(News::Share(share));
                })
            });
            // Where nobody waits any more, the result is dropped.
            let _ = tell.send(News::Done(Box::new(done.and_then(|done| done))));
        };
        give(Box::new(order));
        Job {
            news,
            is_wanted,
            share: 0.0,
        }
    }

    /// How much of it is done, 0..1.
    pub fn share(&self) -> f64 {
        self.share
    }

    /// The result once it is there, or why there is none. Never waits.
    pub fn take(&mut self) -> Option<Result<T, String>> {
        self.wait(Duration::ZERO)
    }

    /// The same, waiting no longer than `at_most`.
    pub fn wait(&mut self, at_most: Duration) -> Option<Result<T, String>> {
        let since = Instant::now();
        loop {
            let left = at_most.saturating_sub(since.elapsed());
            match self.news.recv_timeout(left) {
                Ok(News::Share(share)) => self.share = share,
                Ok(News::Done(done)) => return Some(*done),
                Err(RecvTimeoutError::Timeout) => return None,
                Err(RecvTimeoutError::Disconnected) => {
                    return Some(Err("the work broke off".to_string()));
                }
            }
        }
    }
}

impl<T> Drop for Job<T> {
    fn drop(&mut self) {
        self.is_wanted.store(false, Ordering::Relaxed);
    }
}

/// The result of a job: on its way, there, or not to be had.
pub enum Awaited<T> {
    /// On its way.
    Coming(Job<T>),
    /// There.
    Here(Box<T>),
    /// Not to be had, and why.
    Not(String),
}

impl<T: Send + 'static> Awaited<T> {
    /// The result, or why there will be none; None while it is on its way. Never waits.
    pub fn look(&mut self) -> Option<Result<&T, &str>> {
        if let Awaited::Coming(job) = self
            && let Some(done) = job.take()
        {
            *self = match done {
                Ok(done) => Awaited::Here(Box::new(done)),
                Err(why) => Awaited::Not(why),
            };
        }
        match self {
            Awaited::Coming(_) => None,
            Awaited::Here(done) => Some(Ok(done)),
            Awaited::Not(why) => Some(Err(why)),
        }
    }
}

/// The queue of orders. Its thread starts with the first use and runs for good.
fn desk() -> &'static Sender<Order> {
    static DESK: OnceLock<Sender<Order>> = OnceLock::new();
    DESK.get_or_init(|| {
        let (desk, orders) = mpsc::channel::<Order>();
        let work_off = move || orders.into_iter().for_each(|order| order());
        let _ = thread::Builder::new()
            .name("runs".to_string())
            .spawn(work_off);
        desk
    })
}

impl Wanted {
    fn fly(self, progress: &mut dyn FnMut(f64)) -> Result<Run, String> {
        match self {
            Wanted::Par(logbook, drill, seed) => {
                let pars = logbook.pars(&drill, seed, progress);
                Ok(hands::fly(drill, seed, &mut Script::new(pars.steady)))
            }
            Wanted::Hand(name, drill, seed) => {
                let hand = hands::built_in(name, &drill, seed);
                let mut hand = hand.ok_or("no built-in hand flies it")?;
                Ok(hands::fly(drill, seed, &mut *hand))
            }
            Wanted::Best(logbook, drill, seed) => {
                let pars = logbook.pars(&drill, seed, progress);
                Ok(hands::fly(drill, seed, &mut Script::new(pars.best)))
            }
            Wanted::Kept(logbook, id) => {
                let recording = logbook.recording(&id).map_err(|error| error.to_string())?;
                recording.replay().map_err(|error| error.to_string())
            }
        }
    }
}
