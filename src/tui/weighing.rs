//! Par and bill, computed in the background so that no flight and no key ever waits for them.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::time::Duration;

use crate::drill::Drill;
use crate::logbook::Logbook;
use crate::reach;
use crate::run::Run;
use crate::score::Reference;
use crate::tui::job::Job;
use crate::units::TICKS_PER_S;
use crate::why::explain::Brief;
use crate::why::{self, PARS_SHARE, Pars, Weighed};

/// The work begins this long after the flight, or once something is asked of it: a flight that is begun again sooner costs
/// nothing.
const GRACE: Duration = Duration::from_secs(1);

/// A run as it was weighed, and the other hands' runs it was weighed against.
pub struct WeighedRun {
    /// Score and bill.
    pub weighed: Weighed,
    /// What `best` and `steady` made of the drill.
    pub pars: Pars,
}

/// The weighing of one flight: par and best are computed while it is flown, the bill once it is over. If it is dropped before it
/// is done, the work is given up.
pub struct Weighing {
    /// The work; it is done once the run given to [`Weighing::weigh`] is weighed.
    pub job: Job<WeighedRun>,
    asks: Sender<Ask>,
    shown: Arc<Seen>,
    /// When the points in reach were last asked for, ticks of the run.
    asked_at: u64,
    /// How many tasks had begun then.
    asked_in: usize,
}

enum Ask {
    InReach(Box<Run>),
    Weigh(Box<Run>),
}

/// The part of the work's state that is visible from outside.
#[derive(Default)]
struct Seen {
    is_busy: AtomicBool,
    /// Points that are still in reach, plus one; 0 where they are not known.
    in_reach: AtomicU32,
}

impl Weighing {
    /// Begins the work for a flight of this drill with this seed; `brief` is the drill's, as far as it is known.
    pub fn begin(logbook: &Logbook, drill: &Arc<Drill>, seed: u64, brief: Brief) -> Weighing {
        let (asks, asked) = mpsc::channel();
        let shown = Arc::new(Seen::default());
        let (logbook, drill, seen) = (logbook.clone(), drill.clone(), shown.clone());
        let job = Job::alone("weighing", move |tell| {
            let pars = |tell: &mut dyn FnMut(f64)| logbook.pars(&drill, seed, tell);
            let weighed = work(pars, &brief, &asked, &seen, tell);
            weighed.ok_or_else(|| "the flight was given up".to_string())
        });
        Weighing {
            job,
            asks,
            shown,
            asked_at: 0,
            asked_in: 0,
        }
    }

    /// Asks for a run to be weighed. Only the first one is.
    pub fn weigh(&self, run: &Run) {
        let _ = self.asks.send(Ask::Weigh(Box::new(run.clone())));
    }

    /// Points still in reach of the task under way, as far as they are known; asked anew every second of the run.
    pub fn in_reach(&mut self, run: &Run) -> Option<f64> {
        // What is known of the task before says nothing of this one.
        let is_new = run.legs().len() != self.asked_in;
        let is_due = is_new || !(self.asked_at..self.asked_at + TICKS_PER_S).contains(&run.tick());
        if is_due && !self.shown.is_busy.swap(true, Ordering::Relaxed) {
            if is_new {
                self.shown.in_reach.store(0, Ordering::Relaxed);
            }
            (self.asked_at, self.asked_in) = (run.tick(), run.legs().len());
            let _ = self.asks.send(Ask::InReach(Box::new(run.clone())));
        }
        if self.asked_in != run.legs().len() {
            return None;
        }
        let known = self.shown.in_reach.load(Ordering::Relaxed);
        known.checked_sub(1).map(f64::from)
    }
}

fn work(
    pars: impl Fn(&mut dyn FnMut(f64)) -> Pars,
    brief: &Brief,
    asked: &Receiver<Ask>,
    shown: &Seen,
    tell: &mut dyn FnMut(f64),
) -> Option<WeighedRun> {
    let mut ask = match asked.recv_timeout(GRACE) {
        Ok(ask) => Some(ask),
        Err(RecvTimeoutError::Timeout) => None,
        Err(RecvTimeoutError::Disconnected) => return None,
    };
    let pars = pars(&mut |share| tell(PARS_SHARE * share));
    let mut known = None;
    let run = loop {
        match ask.take().map_or_else(|| asked.recv().ok(), Some)? {
            Ask::Weigh(run) => break run,
            Ask::InReach(run) => {
                let points = in_reach(&run, &pars, &mut known);
                let told = points.map_or(0, |points| points.round() as u32 + 1);
                shown.in_reach.store(told, Ordering::Relaxed);
                shown.is_busy.store(false, Ordering::Relaxed);
            }
        }
    };
    let weighed = why::weigh_with(&run, Some(&pars), brief, &mut |share| {
        tell(PARS_SHARE + (1.0 - PARS_SHARE) * share)
    });
    tell(1.0);
    Some(WeighedRun { weighed, pars })
}

/// Points in reach of the leg under way; `known` keeps the reference that the leg is measured against.
fn in_reach(run: &Run, pars: &Pars, known: &mut Option<(usize, Reference)>) -> Option<f64> {
    let leg = run.legs().len() - 1;
    if run.end().is_some() || !run.drill().tasks[run.leg().task].scored {
        return None;
    }
    let (_, reference) = match known.take().filter(|(of, _)| *of == leg) {
        Some(known) => known,
        None => (leg, pars.reference(run, leg, &run.each_leg_start().last()?)),
    };
    *known = Some((leg, reference));
    reach::in_reach(run, &reference)
}
