//! The figures of both hands beside the learner's: how `steady` and `best` flew the same drill in the same air.

use crate::hands::{self, Script};
use crate::run::Run;
use crate::score::HandFigures;
use crate::score::{Score, TaskScore, score};
use crate::why::Pars;

/// The scores of both hands' flights of a learner's drill.
pub struct Rivals {
    steady: Score,
    best: Score,
    /// How par's hand moved the lever.
    pub hand: HandFigures,
}

impl Rivals {
    /// Flies both hands' logs again.
    pub fn of(run: &Run, pars: &Pars) -> Rivals {
        let flown = |log: &[(u64, u16)]| {
            let mut script = Script::new(log.to_vec());
            hands::fly(run.drill().clone(), run.seed(), &mut script)
        };
        let steady = flown(&pars.steady);
        Rivals {
            hand: HandFigures::of(&steady),
            steady: score(&steady),
            best: score(&flown(&pars.best)),
        }
    }

    /// The task as flown in the runs shown as par and best; None where such a run was asked for something else or has no cost.
    pub fn of_task(&self, place: TaskPlace, task: &TaskScore) -> [Option<&TaskScore>; 2] {
        let is_it = |flown: &&TaskScore| {
            flown.cost.is_some()
                && task.reference.par.is_some()
                && flown.task.kind == task.task.kind
        };
        [&self.steady, &self.best].map(|score| place.of(score).filter(is_it))
    }
}

/// Where a task stands in a score.
#[derive(Clone, Copy, Debug)]
pub struct TaskPlace {
    /// Index of the drill's task.
    pub task: usize,
    /// Index among those drawn for it, if it is a surprise.
    pub drawn: Option<usize>,
}

/// Every task of a score, in order; a surprise is followed by the tasks drawn for it.
pub fn places(score: &Score) -> impl Iterator<Item = (TaskPlace, &TaskScore)> {
    score.tasks.iter().enumerate().flat_map(|(task, score)| {
        let place = move |drawn| TaskPlace { task, drawn };
        let drawn = score.drawn.iter().enumerate();
        let drawn = drawn.map(move |(n, score)| (place(Some(n)), score));
        std::iter::once((place(None), score)).chain(drawn)
    })
}

impl TaskPlace {
    /// The task's number for people: "2", and "2.1" for the first task drawn by a surprise.
    pub fn number(self) -> String {
        match self.drawn {
            Some(drawn) => format!("{}.{}", self.task + 1, drawn + 1),
            None => (self.task + 1).to_string(),
        }
    }

    fn of(self, score: &Score) -> Option<&TaskScore> {
        let task = score.tasks.get(self.task)?;
        match self.drawn {
            Some(drawn) => task.drawn.get(drawn),
            None => Some(task),
        }
    }
}
