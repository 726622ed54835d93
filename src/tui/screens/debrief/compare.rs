//! What a run is compared with: the same run flown better, another hand's run, an earlier run, or nothing.

use super::{Debrief, words};
use crate::hands::{self, Script};
use crate::run::Run;
use crate::tui::echo::EchoChoice;
use crate::tui::widgets::stretch::Second;
use crate::units::TICK_S;

/// Another run of the same drill.
#[derive(Clone)]
pub struct Earlier {
    pub id: String,
    /// The points it earned then.
    pub points: Option<f64>,
    /// The run, flown again.
    pub run: Run,
}

impl Debrief {
    /// The run to draw beside this one, and what it is in a few words; None where there is no such run.
    pub(super) fn second_of(&self, choice: EchoChoice) -> Option<(Second, String)> {
        let run = &self.told.run;
        let flown = |log: &[(u64, u16)]| {
            let mut script = Script::new(log.to_vec());
            let other = hands::fly(run.drill().clone(), run.seed(), &mut script);
            let told = format!("{}, task by task", choice.word());
            (Second::beside(run, other), told)
        };
        let pars = self.told.pars.as_ref();
        match choice {
            EchoChoice::Better => {
                let line = self.line()?;
                let better = line.better.as_ref()?;
                let flown = better.fly(run, line.leg);
                let at = words::clock(better.from as f64 * TICK_S);
                let task = match run.is_of_one_task() {
                    true => String::new(),
                    false => format!("task {} ", run.leg_number(line.leg)),
                };
                let told = format!("better from {at}: {task}{:.0} points", better.points);
                Some((Second::changed(&flown, line.leg, better.from), told))
            }
            EchoChoice::Par => Some(flown(&pars?.steady)),
            EchoChoice::Best => Some(flown(&pars?.best)),
            EchoChoice::Earlier => {
                let earlier = self.earlier.as_ref()?;
                let points = match earlier.points {
                    Some(points) => format!("{points:.0} points"),
                    None => "not scored".to_string(),
                };
                let words = format!("run {}, {points}", earlier.id);
                Some((Second::beside(run, earlier.run.clone()), words))
            }
            EchoChoice::Off | EchoChoice::Brief => None,
        }
    }
}
