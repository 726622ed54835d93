//! The figures of both hands beside the learner's: what `steady` and `best` did with the same drill in the same air.

use crate::hands::{self, Script};
use crate::run::Run;
use crate::score::{Score, TaskScore, score};
use crate::why::Pars;

/// What both hands' flights of a learner's drill measure.
pub struct Rivals {
    steady: Score,
    best: Score,
}

impl Rivals {
    /// Flies both hands' logs again.
    pub fn of(run: &Run, pars: &Pars) -> Rivals {
        let flown = |log: &[(u64, u16)]| {
            let mut script = Script::new(log.to_vec());
            score(&hands::fly(run.drill().clone(), run.seed(), &mut script))
        };
        Rivals {
            steady: flown(&pars.steady),
            best: flown(&pars.best),
        }
    }

    /// The task as the hand flew it that set its par; None where that hand was asked for something else or has no cost.
    pub fn par(&self, place: Place, task: &TaskScore) -> Option<&TaskScore> {
        let flown = place.of(&self.steady)?;
        is_it(flown, task, task.reference.par).then_some(flown)
    }

    /// The task as the hand flew it that set its best: where `best` is no better, that is `steady`.
    pub fn best(&self, place: Place, task: &TaskScore) -> Option<&TaskScore> {
        let flown = [&self.best, &self.steady];
        flown
            .into_iter()
            .filter_map(|score| place.of(score))
            .find(|flown| is_it(flown, task, task.reference.best))
    }
}

/// Where a task stands in a score.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// Index of the drill's task.
    pub task: usize,
    /// Index among those drawn for it, if it is a surprise.
    pub drawn: Option<usize>,
}

impl Place {
    fn of(self, score: &Score) -> Option<&TaskScore> {
        let task = score.tasks.get(self.task)?;
        match self.drawn {
            Some(drawn) => task.drawn.get(drawn),
            None => Some(task),
        }
    }
}

fn is_it(flown: &TaskScore, task: &TaskScore, cost: Option<f64>) -> bool {
    cost.is_some() && flown.cost == cost && flown.task.kind == task.task.kind
}
