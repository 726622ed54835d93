//! `brief`: flies what the brief says, move by move, and nothing else. It plans the tasks of a surprise when
//! they are called, from what the instruments show.

use std::sync::Arc;

use super::{Hand, Sight};
use crate::drill::Drill;
use crate::plan::{self, Follower, Recipe, Setting, recipe};
use crate::run::Travel;
use crate::sim::dynamics::State;
use crate::sim::trim;

/// The hand.
#[derive(Clone, Debug)]
pub struct Brief {
    drill: Arc<Drill>,
    recipes: Vec<Option<Recipe>>,
    /// The moves of the task under way, and how far they have been followed.
    moves: Recipe,
    follower: Follower,
}

impl Brief {
    /// A hand that has read the brief of a drill.
    pub fn new(drill: &Arc<Drill>) -> Brief {
        Brief::of(drill, plan::recipes(drill))
    }

    /// A hand that has the recipes of a drill, task by task.
    pub fn of(drill: &Arc<Drill>, recipes: Vec<Option<Recipe>>) -> Brief {
        Brief {
            drill: drill.clone(),
            recipes,
            moves: Recipe::new(),
            follower: Follower::default(),
        }
    }

    /// Looks up the moves of the task that begins; plans them if the task has just been drawn.
    pub fn meet(&mut self, sight: &Sight) -> &Recipe {
        let known = self.recipes[sight.task].clone();
        self.replace(known.unwrap_or_else(|| self.planned(sight)));
        &self.moves
    }

    /// The moves planned from what the instruments show: on speed, the engine settled at the lever, in the wind of the drill.
    fn planned(&self, sight: &Sight) -> Recipe {
        let aircraft = &self.drill.aircraft;
        let setting = Setting::of(&self.drill);
        let steady = trim::at_vertical(aircraft, sight.altitude_m, sight.vertical_mps);
        let state = State::on_speed(
            aircraft,
            sight.altitude_m,
            steady.speed_mps,
            steady.path_rad,
            aircraft.engine.settles_at(sight.lever),
            &setting.air.mean_at(sight.tick, sight.altitude_m),
        );
        let begin = (&state, sight.lever, sight.tick);
        plan::of_task(&setting, sight.kind, begin)
    }

    /// Replaces the moves of the task under way.
    pub fn replace(&mut self, moves: Recipe) {
        (self.moves, self.follower) = (moves, Follower::default());
    }

    /// Whether a move of the task has been made.
    pub fn has_begun(&self) -> bool {
        self.follower.has_begun()
    }

    /// Whether every move of the task has been made.
    pub fn is_done(&self) -> bool {
        self.follower.is_done(&self.moves)
    }

    /// The lever for the coming tick by the moves of the task under way.
    pub fn follow(&mut self, sight: &Sight) -> Option<u16> {
        self.follower.follow(&self.moves, sight)
    }
}

impl Hand for Brief {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if sight.is_down {
            return Travel::per_s(recipe::LEVER_PER_S).next(sight.lever, 1.0);
        }
        if sight.task_ticks == 0 {
            self.meet(sight);
        }
        self.follow(sight)
    }
}
