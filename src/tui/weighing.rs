//! Par and bill, computed beside the screen so that no flight and no key ever waits for them.

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread;
use std::time::Duration;

use crate::drill::Drill;
use crate::logbook::Logbook;
use crate::run::Run;
use crate::why::{self, Pars, Weighed};

/// A flight that is begun again sooner than this has asked for nothing.
const GRACE: Duration = Duration::from_secs(1);
/// Share of the work that par and best are; the rest is the bill.
const PARS_SHARE: f64 = 0.7;

/// A run as it was weighed, and the other hands' runs it was weighed against.
pub struct Outcome {
    /// Score and bill.
    pub weighed: Weighed,
    /// What `best` and `steady` made of the drill.
    pub pars: Pars,
}

/// How far it has come.
pub enum Look {
    /// At work, or waiting for the run: the share that is done, 0 to 1.
    Working(f64),
    /// Done; told once.
    Done(Box<Outcome>),
    /// There will be none.
    Failed,
}

/// The weighing of one flight: par and best are computed while it is flown, the bill once it is over. Dropped before it
/// is done, it is forgotten.
pub struct Weighing {
    runs: Sender<Box<Run>>,
    outcomes: Receiver<Box<Outcome>>,
    permille: Arc<AtomicU32>,
}

impl Weighing {
    /// Begins with a flight of this drill with this seed.
    pub fn begin(logbook: &Logbook, drill: &Arc<Drill>, seed: u64) -> Weighing {
        let (runs, asked) = mpsc::channel();
        let (tell, outcomes) = mpsc::channel();
        let permille = Arc::new(AtomicU32::new(0));
        let (logbook, drill, done) = (logbook.clone(), drill.clone(), permille.clone());
        // Where no thread can be had the channel closes, which is told as a failure.
        let _ = thread::Builder::new()
            .name("weighing".to_string())
            .spawn(move || {
                let tell_done = |share: f64| done.store((1000.0 * share) as u32, Ordering::Relaxed);
                if let Some(outcome) = work(&logbook, &drill, seed, &asked, &tell_done) {
                    let _ = tell.send(Box::new(outcome));
                }
            });
        Weighing {
            runs,
            outcomes,
            permille,
        }
    }

    /// Asks for a run to be weighed. Only one is.
    pub fn weigh(&self, run: &Run) {
        let _ = self.runs.send(Box::new(run.clone()));
    }

    /// How far it is, waiting at most so long for its end.
    pub fn wait(&self, at_most: Duration) -> Look {
        match self.outcomes.recv_timeout(at_most) {
            Ok(outcome) => Look::Done(outcome),
            Err(RecvTimeoutError::Disconnected) => Look::Failed,
            Err(RecvTimeoutError::Timeout) => {
                Look::Working(f64::from(self.permille.load(Ordering::Relaxed)) / 1000.0)
            }
        }
    }
}

fn work(
    logbook: &Logbook,
    drill: &Arc<Drill>,
    seed: u64,
    asked: &Receiver<Box<Run>>,
    tell: &dyn Fn(f64),
) -> Option<Outcome> {
    let early = match asked.recv_timeout(GRACE) {
        Ok(run) => Some(run),
        Err(RecvTimeoutError::Timeout) => None,
        Err(RecvTimeoutError::Disconnected) => return None,
    };
    let pars = logbook.pars(drill, seed, &mut |share| tell(PARS_SHARE * share));
    let run = match early {
        Some(run) => run,
        None => asked.recv().ok()?,
    };
    let weighed = why::weigh_with(&run, Some(&pars), &mut |share| {
        tell(PARS_SHARE + (1.0 - PARS_SHARE) * share)
    });
    tell(1.0);
    Some(Outcome { weighed, pars })
}
