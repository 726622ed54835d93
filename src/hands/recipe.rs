//! `brief`: flies what the brief says, move by move, and nothing else. What a surprise asks it plans as it is told, from what
//! the instruments say.

use std::sync::Arc;

use super::{Hand, Sight};
use crate::drill::{Drill, Hold, Kind, Rate, Step, Surprise, Target};
use crate::plan::{self, Flying, Follower, Recipe, Seen, Setting, recipe};
use crate::run::Travel;
use crate::sim::air::Wind;
use crate::sim::dynamics::State;
use crate::sim::trim;

/// The hand.
#[derive(Clone, Debug)]
pub struct Brief {
    drill: Arc<Drill>,
    recipes: Vec<Option<Recipe>>,
    /// The moves of the task under way, how far they have been followed, and which way the task goes.
    moves: Recipe,
    follower: Follower,
    way: f64,
}

impl Brief {
    /// One that has read the brief of a drill.
    pub fn new(drill: &Arc<Drill>) -> Brief {
        Brief {
            drill: drill.clone(),
            recipes: plan::recipes(drill),
            moves: Recipe::new(),
            follower: Follower::default(),
            way: 1.0,
        }
    }

    fn meet(&mut self, sight: &Sight, flying: &Flying) {
        self.follower = Follower::default();
        self.way = flying.way_to(&sight.target);
        self.moves = match (
            &self.recipes[sight.task],
            &self.drill.tasks[sight.task].kind,
        ) {
            (Some(moves), _) => moves.clone(),
            (None, Kind::Surprise(surprise)) => self.planned(sight, surprise),
            (None, _) => Recipe::new(),
        };
    }

    /// The recipe of a task that has just been drawn.
    fn planned(&self, sight: &Sight, surprise: &Surprise) -> Recipe {
        let kind = match sight.target {
            Target::Vertical {
                vertical_mps,
                band_mps,
            } => Kind::Rate(Rate {
                vertical_mps,
                band_mps,
                hold_s: surprise.hold_s,
                within_s: surprise.within_s,
            }),
            Target::Altitude { altitude_m, band_m } => {
                let is_step = (altitude_m - sight.altitude_m).abs() > band_m;
                match is_step {
                    true => Kind::Step(Step {
                        altitude_m,
                        band_m,
                        hold_s: surprise.hold_s,
                        within_s: surprise.within_s,
                    }),
                    false => Kind::Hold(Hold {
                        altitude_m,
                        band_m,
                        seconds: surprise.hold_s,
                    }),
                }
            }
            Target::Path(_) => return Recipe::new(),
        };
        // As far as it can be told from the instruments: on speed, the engine where the lever is.
        let aircraft = &self.drill.aircraft;
        let steady = trim::at_vertical(aircraft, sight.altitude_m, sight.vertical_mps);
        let state = State::on_speed(
            aircraft,
            sight.altitude_m,
            steady.speed_mps,
            steady.path_rad,
            aircraft.engine.settles_at(sight.lever),
            &Wind::default(),
        );
        plan::of_task(
            &Setting::of(&self.drill),
            &kind,
            (&state, sight.lever, sight.tick),
        )
    }
}

impl Brief {
    /// The moves of the task under way.
    pub fn moves(&self) -> &Recipe {
        &self.moves
    }

    /// Flies other moves in the task under way.
    pub fn replace(&mut self, moves: Recipe) {
        (self.moves, self.follower) = (moves, Follower::default());
    }

    /// Whether a move of the task has been made.
    pub fn has_begun(&self) -> bool {
        self.follower != Follower::default()
    }

    /// Whether every move of the task has been made.
    pub fn is_done(&self) -> bool {
        self.follower.is_done(&self.moves)
    }

    /// The lever for the tick that begins by the moves of the task under way.
    pub fn follow(&mut self, sight: &Sight) -> Option<u16> {
        let seen = Seen::of(&sight.target, self.way, sight.task_ticks, &flying(sight));
        self.follower.lever(&self.moves, &seen, sight.lever)
    }
}

/// What the instruments say.
fn flying(sight: &Sight) -> Flying {
    Flying {
        fast_mps: sight.fast_mps,
        altitude_m: sight.altitude_m,
        vertical_mps: sight.vertical_mps,
        distance_m: sight
            .approach
            .map_or(f64::INFINITY, |(distance_m, _)| distance_m),
    }
}

impl Hand for Brief {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if sight.is_down {
            return Travel::per_s(recipe::LEVER_PER_S).next(sight.lever, 1.0);
        }
        if sight.task_ticks == 0 {
            self.meet(sight, &flying(sight));
        }
        self.follow(sight)
    }
}
