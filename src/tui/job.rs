//! A run that is flown or read on a thread of its own, so that no frame waits for it.

use std::sync::Arc;
use std::sync::mpsc::{self, Receiver, TryRecvError};
use std::thread;

use crate::drill::Drill;
use crate::hands::{self, Brief, Script};
use crate::logbook::Logbook;
use crate::run::Run;

/// Whose run is wanted.
#[derive(Clone, Debug)]
pub enum Wanted {
    /// The run that is shown as par, on a drill with a seed; a logbook may know it already.
    Par(Logbook, Arc<Drill>, u64),
    /// The hand `brief`, on a drill with a seed.
    Brief(Arc<Drill>, u64),
    /// The hand `best`, on a drill with a seed; a logbook may know it already.
    Best(Logbook, Arc<Drill>, u64),
    /// A run that was kept, by its id.
    Kept(Logbook, String),
}

enum News {
    Share(f64),
    Done(Box<Result<Run, String>>),
}

/// The work under way.
pub struct Job {
    news: Receiver<News>,
    /// How much of it is done, 0..1.
    share: f64,
}

impl Job {
    /// Begins. The work goes on to its end, whether or not anyone waits for it.
    pub fn begin(wanted: Wanted) -> Job {
        let (tell, news) = mpsc::channel();
        thread::spawn(move || {
            let run = wanted.fly(&mut |share| {
                // Nobody waits any more: the result is dropped in the same way.
                let _ = tell.send(News::Share(share));
            });
            let _ = tell.send(News::Done(Box::new(run)));
        });
        Job { news, share: 0.0 }
    }

    /// How much of it is done, 0..1.
    pub fn share(&self) -> f64 {
        self.share
    }

    /// Its run once that is there, or why there is none. Never waits.
    pub fn take(&mut self) -> Option<Result<Run, String>> {
        loop {
            match self.news.try_recv() {
                Ok(News::Share(share)) => self.share = share,
                Ok(News::Done(run)) => return Some(*run),
                Err(TryRecvError::Empty) => return None,
                Err(TryRecvError::Disconnected) => {
                    return Some(Err("it broke off".to_string()));
                }
            }
        }
    }
}

impl Wanted {
    fn fly(self, progress: &mut dyn FnMut(f64)) -> Result<Run, String> {
        match self {
            Wanted::Par(logbook, drill, seed) => {
                let pars = logbook.pars(&drill, seed, progress);
                Ok(hands::fly(drill, seed, &mut Script::new(pars.steady)))
            }
            Wanted::Brief(drill, seed) => {
                let mut hand = Brief::new(&drill);
                Ok(hands::fly(drill, seed, &mut hand))
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
