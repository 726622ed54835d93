//! `brief`: flies what the brief says, move by move, and nothing else. What a surprise asks it plans as it is told, from what
//! the instruments say.

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
    /// One that has read the brief of a drill.
    pub fn new(drill: &Arc<Drill>) -> Brief {
        Brief::of(drill, plan::recipes(drill))
    }

    /// One that has the recipes of a drill, task by task.
    pub fn of(drill: &Arc<Drill>, recipes: Vec<Option<Recipe>>) -> Brief {
        Brief {
            drill: drill.clone(),
            recipes,
            moves: Recipe::new(),
            follower: Follower::default(),
        }
    }

    /// Reads the moves of the task that begins; of one that has just been drawn, finds them.
    pub fn meet(&mut self, sight: &Sight) -> &Recipe {
        let known = self.recipes[sight.task].clone();
        self.replace(known.unwrap_or_else(|| self.planned(sight)));
        &self.moves
    }

    /// As far as it can be told from the instruments: on speed, the engine where the lever is, in the wind of the drill.
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

    /// Flies other moves in the task under way.
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

    /// The lever for the tick that begins by the moves of the task under way.
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
