//! What a person at the lever can see, and what that says about the task.

use crate::drill::{Kind, Target};
use crate::run::{Leg, Run};

/// What a person at the lever could see at a tick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sight<'a> {
    /// The coming tick.
    pub tick: u64,
    pub altitude_m: f64,
    /// Vertical speed, m/s, + up.
    pub vertical_mps: f64,
    /// The lever, 0..1.
    pub lever: f64,
    /// The drill's task that is being flown, from 0.
    pub task: usize,
    /// Ticks since that task began, or since it was drawn.
    pub task_ticks: u64,
    /// What is asked for now.
    pub kind: &'a Kind,
    /// Its target.
    pub target: Target,
    /// Distance to the aim point, m, and how fast it shrinks, m/s; on a path only.
    pub approach: Option<(f64, f64)>,
    /// Airspeed above on speed, m/s, where the task is to slow in.
    pub fast_mps: Option<f64>,
    /// Whether pitch holds the altitude, as it does until the aeroplane is slow.
    pub is_held: bool,
    /// Whether the aeroplane stands on the deck.
    pub is_down: bool,
    /// Whether a go-around has been called.
    pub is_called: bool,
}

impl<'a> Sight<'a> {
    /// What can be seen in a run now.
    pub fn of(run: &'a Run) -> Sight<'a> {
        let leg = run.leg();
        Sight {
            is_down: leg.approach.is_down(),
            is_called: leg.approach.called.is_some(),
            ..Sight::in_flight(run, leg, run.tick(), run.lever())
        }
    }

    /// What could be seen at an earlier tick of a run by someone who was asked for what a leg asks.
    pub fn back_then(run: &Run, leg: &'a Leg, tick: u64) -> Sight<'a> {
        Sight::in_flight(run, leg, tick, run.trace().lever_before(tick as usize))
    }

    fn in_flight(run: &Run, leg: &'a Leg, tick: u64, lever: f64) -> Sight<'a> {
        let state = &run.trace().at(tick as usize).state;
        let slowing = run.world().slowing();
        Sight {
            tick,
            altitude_m: state.h_m,
            vertical_mps: state.vz_mps,
            lever,
            task: leg.task,
            task_ticks: tick.saturating_sub(leg.start),
            kind: &leg.kind,
            target: leg.target,
            approach: match &leg.target {
                Target::Path(glide) => {
                    Some((glide.distance_m(state, tick), glide.closure_mps(state)))
                }
                _ => None,
            },
            fast_mps: run.to_lose_mps(leg, tick),
            is_held: slowing
                .is_some_and(|slowing| slowing.slow_tick().is_none_or(|slow| tick < slow)),
            is_down: false,
            is_called: false,
        }
    }

    /// What the task's cue counts, SI: missing altitude or vertical speed, excess airspeed, distance.
    pub fn missing(&self) -> f64 {
        match (&self.target, self.fast_mps, self.approach) {
            (_, Some(fast_mps), _) => fast_mps,
            (_, _, Some((distance_m, _))) => distance_m,
            (Target::Altitude { altitude_m, .. }, ..) => altitude_m - self.altitude_m,
            (Target::Vertical { vertical_mps, .. }, ..) => vertical_mps - self.vertical_mps,
            (Target::Path(_), ..) => f64::INFINITY,
        }
    }

    /// Which way the target lies: -1 where altitude or vertical speed has to come down, else +1.
    pub(super) fn way(&self) -> f64 {
        match (self.fast_mps, self.approach) {
            (None, None) if self.missing() < 0.0 => -1.0,
            _ => 1.0,
        }
    }
}
