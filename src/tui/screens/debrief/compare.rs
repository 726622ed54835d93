//! What a run is held against: its own self flown better, another hand's run, an earlier one, nothing.

use super::words;
use crate::hands::{self, Hand, Script, Sight};
use crate::run::Run;
use crate::tui::widgets::stretch::Second;
use crate::units::TICK_S;
use crate::why::{Line, Pars};

/// What stands beside the run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// The better flight of the chosen line.
    Better,
    /// The hand `steady`.
    Par,
    /// The hand `best`.
    Best,
    /// Another run of the same drill: the latest, or the one that was asked for.
    Earlier,
    /// Nothing.
    Nothing,
}

/// Another run of the same drill.
#[derive(Clone)]
pub struct Earlier {
    /// Its id.
    pub id: String,
    /// Its points then.
    pub points: Option<f64>,
    /// The run, flown again.
    pub run: Run,
}

impl Against {
    /// Its word.
    pub fn word(self) -> &'static str {
        match self {
            Against::Better => "better",
            Against::Par => "par",
            Against::Best => "best",
            Against::Earlier => "earlier",
            Against::Nothing => "nothing",
        }
    }

    /// The one after it.
    pub fn next(self) -> Against {
        match self {
            Against::Better => Against::Par,
            Against::Par => Against::Best,
            Against::Best => Against::Earlier,
            Against::Earlier => Against::Nothing,
            Against::Nothing => Against::Better,
        }
    }
}

/// A run flown again by its log from its first tick on, as far as it went: a fork remembers only its last part.
pub fn from_the_start(run: &Run) -> Run {
    let mut script = Script::new(run.log().to_vec());
    let mut again = run.again();
    while again.tick() < run.tick() && again.end().is_none() {
        if let Some(lever) = script.lever(&Sight::of(&again)) {
            again.set_lever(lever);
        }
        again.fly();
    }
    again.leave();
    again
}

/// The runs there are to choose from.
pub struct Choices<'a> {
    /// The learner's.
    pub run: &'a Run,
    /// The chosen line of the bill.
    pub line: Option<&'a Line>,
    /// What the built-in hands made of it.
    pub pars: Option<&'a Pars>,
    /// The other run of the logbook.
    pub earlier: Option<&'a Earlier>,
}

impl Choices<'_> {
    /// The run to draw beside, and what it is in a few words; None where there is none of that.
    pub fn second(&self, against: Against) -> Option<(Second, String)> {
        let flown = |log: &[(u64, u16)]| {
            let mut script = Script::new(log.to_vec());
            let drill = self.run.drill().clone();
            Second::beside(self.run, hands::fly(drill, self.run.seed(), &mut script))
        };
        match against {
            Against::Better => {
                let line = self.line?;
                let better = line.better.as_ref()?;
                let flown = better.fly(self.run, line.leg);
                let at = words::clock(better.from as f64 * TICK_S);
                let told = format!("better from {at}: {:.0} points", better.points);
                Some((Second::changed(&flown, line.leg, better.from), told))
            }
            Against::Par => Some((flown(&self.pars?.steady), "par, task by task".to_string())),
            Against::Best => Some((flown(&self.pars?.best), "best, task by task".to_string())),
            Against::Earlier => {
                let earlier = self.earlier?;
                let points = match earlier.points {
                    Some(points) => format!("{points:.0} points"),
                    None => "not scored".to_string(),
                };
                let words = format!("run {}, {points}", earlier.id);
                Some((Second::beside(self.run, earlier.run.clone()), words))
            }
            Against::Nothing => None,
        }
    }
}
