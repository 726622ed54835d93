//! Briefs and power cards, each worked out once for its drill on a thread of its own and kept while the program runs.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::mpsc::{self, Receiver, TryRecvError};
use std::thread;

use crate::brief::{DrillBrief, PowerCard};
use crate::drill::{Drill, Target};
use crate::tui::effort::attempt;

/// What there is to know before a drill is flown.
pub struct Sheet {
    /// What to do, and the numbers behind it.
    pub brief: DrillBrief,
    /// Small corrections at the altitude of the first task; None where the aeroplane cannot fly level there.
    pub card: Option<PowerCard>,
}

enum Awaited {
    Coming(Receiver<Result<Sheet, String>>),
    Here(Box<Sheet>),
    Not(String),
}

impl Awaited {
    fn of(news: Result<Sheet, String>) -> Awaited {
        match news {
            Ok(sheet) => Awaited::Here(Box::new(sheet)),
            Err(why) => Awaited::Not(why),
        }
    }
}

/// What has been asked for so far, by the drill's place on the shelf.
#[derive(Default)]
pub struct Prepared {
    sheets: BTreeMap<usize, Awaited>,
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
        let drill = drill.clone();
        self.ask_for(index, move || Sheet::of(&drill));
    }

    fn ask_for(&mut self, index: usize, work: impl FnOnce() -> Sheet + Send + 'static) {
        self.sheets.entry(index).or_insert_with(|| {
            let (tell, news) = mpsc::channel();
            let name = "brief".to_string();
            let _ = thread::Builder::new().name(name).spawn(move || {
                // Nobody waits any more where the program has ended.
                let _ = tell.send(attempt(work));
            });
            Awaited::Coming(news)
        });
    }

    /// A drill's sheet once it is there, or why there is none. Never waits.
    pub fn sheet(&mut self, index: usize) -> Option<Result<&Sheet, &str>> {
        let state = self.sheets.get_mut(&index)?;
        if let Awaited::Coming(news) = state {
            match news.try_recv() {
                Ok(news) => *state = Awaited::of(news),
                Err(TryRecvError::Empty) => return None,
                Err(TryRecvError::Disconnected) => *state = Awaited::of(Err(NEVER.to_string())),
            }
        }
        match state {
            Awaited::Here(sheet) => Some(Ok(sheet)),
            Awaited::Not(why) => Some(Err(why)),
            Awaited::Coming(_) => None,
        }
    }
}

/// Where no thread could be had.
const NEVER: &str = "it never began";

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::*;

    #[test]
    fn a_sheet_that_breaks_off_is_told() {
        let mut prepared = Prepared::default();
        prepared.ask_for(0, || panic!("no such luck"));
        let since = Instant::now();
        let told = loop {
            if let Some(sheet) = prepared.sheet(0) {
                break sheet.err().map(str::to_string);
            }
            assert!(since.elapsed() < Duration::from_secs(20), "nothing came");
            thread::sleep(Duration::from_millis(1));
        };
        assert_eq!(told.as_deref(), Some("it broke off: no such luck"));
    }
}
