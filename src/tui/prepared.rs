//! Briefs and power cards, each worked out once for its drill on a thread of its own and kept while the program runs.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::mpsc::{self, Receiver, TryRecvError};
use std::thread;

use crate::brief::{DrillBrief, PowerCard};
use crate::drill::{Drill, Target};

/// What there is to know before a drill is flown.
pub struct Sheet {
    /// What to do, and the numbers behind it.
    pub brief: DrillBrief,
    /// Small corrections at the altitude of the first task; None where the aeroplane cannot fly level there.
    pub card: Option<PowerCard>,
}

enum State {
    Coming(Receiver<Sheet>),
    Here(Box<Sheet>),
}

/// What has been asked for so far, by the drill's place on the shelf.
#[derive(Default)]
pub struct Prepared {
    sheets: BTreeMap<usize, State>,
}

impl Sheet {
    fn of(drill: &Arc<Drill>) -> Sheet {
        let h_m = match drill.tasks.first().and_then(|task| task.kind.target()) {
            Some(Target::Altitude { altitude_m, .. }) => altitude_m,
            _ => drill.start.altitude_m,
        };
        Sheet {
            brief: DrillBrief::new(drill),
            card: PowerCard::new(&drill.aircraft, h_m),
        }
    }
}

impl Prepared {
    /// Asks for a drill's sheet; nothing is done where that has been asked before.
    pub fn ask(&mut self, index: usize, drill: &Arc<Drill>) {
        self.sheets.entry(index).or_insert_with(|| {
            let (tell, news) = mpsc::channel();
            let drill = drill.clone();
            thread::spawn(move || {
                // Nobody waits any more where the program has ended.
                let _ = tell.send(Sheet::of(&drill));
            });
            State::Coming(news)
        });
    }

    /// A drill's sheet once it is there. Never waits.
    pub fn sheet(&mut self, index: usize) -> Option<&Sheet> {
        let state = self.sheets.get_mut(&index)?;
        if let State::Coming(news) = state {
            match news.try_recv() {
                Ok(sheet) => *state = State::Here(Box::new(sheet)),
                Err(TryRecvError::Empty | TryRecvError::Disconnected) => return None,
            }
        }
        match state {
            State::Here(sheet) => Some(sheet),
            State::Coming(_) => None,
        }
    }

    /// A drill's brief, waited for where it is still on its way.
    pub fn brief(&mut self, index: usize, drill: &Arc<Drill>) -> &DrillBrief {
        self.ask(index, drill);
        let state = self
            .sheets
            .entry(index)
            .and_modify(|state| {
                if let State::Coming(news) = state {
                    let sheet = news.recv().unwrap_or_else(|_| Sheet::of(drill));
                    *state = State::Here(Box::new(sheet));
                }
            })
            .or_insert_with(|| State::Here(Box::new(Sheet::of(drill))));
        match state {
            State::Here(sheet) => &sheet.brief,
            State::Coming(_) => unreachable!("it has just been waited for"),
        }
    }
}
