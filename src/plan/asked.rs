//! A task as the searches see it: what is asked, and how long and how far that can go.

use super::recipe::When;
use crate::drill::{Glide, Kind, Target};
use crate::score::cost::RATE_UNIT_FPM;
use crate::score::scene::steepest_mps;
use crate::sim::air::Wind;
use crate::sim::aircraft::Aircraft;
use crate::sim::dynamics::State;
use crate::sim::trim::{self, ThreeDegrees};
use crate::units::{FPM, TICK_S, TICKS_PER_S};

/// What a second beyond that counts, s: so much that it is a limit, not a price.
pub const TOO_STEEP_S: f64 = 20.0;
/// Below this lever a task counts as begun at idle.
const IDLE: f64 = 0.1;
/// From this share of the 3-degree rate on, a task counts as begun under way.
const UNDER_WAY: f64 = 0.3;
/// After this many times the time to the aim point, a path that has not met the deck never will.
const LONGEST_PATH: f64 = 1.5;

/// A task as the search sees it.
#[derive(Clone, Debug)]
pub struct Asked {
    pub(super) goal: Goal,
    /// The cue that shows how much of it is still to go.
    pub cue: When,
    /// Altitude (m) or vertical speed (m/s) wanted; on a path the altitude at its start.
    pub(super) target: f64,
    /// From the start to the target, + up.
    pub way: f64,
    /// The scale of its arithmetic.
    pub three: ThreeDegrees,
    /// Lever that holds the target for good.
    pub level: f64,
    /// How fast airspeed falls at idle on speed, m/s2.
    pub idles_mps2: f64,
    /// Airspeed on speed, m/s.
    on_mps: f64,
    /// What an unquiet end counts, s per 3 degrees of lever and rate.
    pub calm_s: f64,
    /// What a second steeper than the limit counts, s.
    pub too_steep_s: f64,
    /// Whether a stay has to be more level than a task asks for.
    ends_level: bool,
    pub start: State,
    /// The lever at its start.
    pub lever: f64,
    /// Ticks of the run before it.
    pub(super) from_tick: u64,
}

/// What ends it.
#[derive(Clone, Copy, Debug)]
pub(super) enum Goal {
    Capture(Capture),
    /// Its length, s.
    Hold(f64),
    Path(Glide),
}

/// A value to stop on, in its unit: m or m/s.
#[derive(Clone, Copy, Debug)]
pub(super) struct Capture {
    pub band: f64,
    /// Error that costs a second.
    pub unit: f64,
    pub steep_mps: f64,
    pub hold_s: f64,
    pub within_s: f64,
    /// How far the altitude may move in half a stay that captures, m; unlimited for a rate.
    pub level_m: f64,
}
impl Asked {
    /// A task that begins at a tick in a state with a lever; None for a surprise.
    pub fn new(
        aircraft: &Aircraft,
        kind: &Kind,
        (start, lever, from_tick): (&State, f64, u64),
        calm_s: f64,
    ) -> Option<Asked> {
        let three = trim::three_degrees(aircraft, start.h_m);
        let level_at = |h_m: f64| trim::on_speed(aircraft, h_m, 0.0);
        let on = level_at(start.h_m);
        let (cue, target, level) = match (kind, kind.target()?) {
            (Kind::Slow(slow), _) => (
                When::FastKt,
                slow.altitude_m,
                level_at(slow.altitude_m).lever,
            ),
            (_, Target::Altitude { altitude_m, .. }) => {
                (When::ToGoFt, altitude_m, level_at(altitude_m).lever)
            }
            (_, Target::Vertical { vertical_mps, .. }) => {
                let held = trim::at_vertical(aircraft, start.h_m, vertical_mps);
                (When::ToGoFpm, vertical_mps, held.lever)
            }
            (_, Target::Path(_)) => (When::DistanceNm, start.h_m, on.lever),
        };
        let goal = match kind {
            Kind::Step(step) | Kind::Slow(step) => Goal::Capture(Capture {
                band: step.band_m,
                unit: three.rate_mps,
                steep_mps: match cue {
                    When::FastKt => f64::INFINITY,
                    _ => steepest_mps(three.rate_mps),
                },
                hold_s: step.hold_s,
                within_s: step.within_s,
                level_m: step.level_m(),
            }),
            Kind::Rate(rate) => Goal::Capture(Capture {
                band: rate.band_mps,
                unit: RATE_UNIT_FPM * FPM,
                steep_mps: f64::INFINITY,
                hold_s: rate.hold_s,
                within_s: rate.within_s,
                level_m: f64::INFINITY,
            }),
            Kind::Hold(hold) => Goal::Hold(hold.seconds),
            Kind::Path(path) => Goal::Path(path.glide),
            Kind::Surprise(_) => return None,
        };
        let mut asked = Asked {
            goal,
            cue,
            target,
            way: 1.0,
            three,
            idles_mps2: on.thrust_n * (1.0 - aircraft.engine.idle_fraction / on.engine)
                / aircraft.mass_kg,
            on_mps: on.speed_mps,
            level,
            calm_s,
            too_steep_s: TOO_STEEP_S,
            ends_level: false,
            start: *start,
            lever,
            from_tick,
        };
        if cue == When::DistanceNm || cue != When::FastKt && target < asked.value(start) {
            asked.way = -1.0;
        }
        Some(asked)
    }

    /// The same task with a stay that has to be this level, m in half of it.
    pub fn as_level_as(mut self, level_m: f64) -> Asked {
        if let Goal::Capture(capture) = &mut self.goal {
            capture.level_m = level_m;
        }
        self.ends_level = true;
        self
    }

    /// The same task with a share of the room that a stay may take.
    pub fn narrowed(&self, share: f64) -> Asked {
        let mut asked = self.clone();
        if let Goal::Capture(capture) = &mut asked.goal {
            capture.band *= share;
            capture.level_m *= share;
        }
        asked
    }

    /// Altitude (m) or vertical speed (m/s), whichever the target is.
    pub(super) fn value(&self, state: &State) -> f64 {
        match self.cue {
            When::ToGoFpm => state.vz_mps,
            _ => state.h_m,
        }
    }

    /// The change asked for, in the target's unit, not negative; 0 where none is.
    pub fn change(&self) -> f64 {
        (self.target - self.value(&self.start)).abs()
    }

    /// About how many coarse steps of `ticks` ticks one trial takes.
    pub fn steps(&self, ticks: usize) -> usize {
        let seconds = match &self.goal {
            Goal::Capture(capture) => {
                let way_s = match self.cue {
                    When::FastKt => 0.5 * capture.within_s,
                    When::ToGoFpm => 5.0,
                    _ => self.change() / self.three.rate_mps,
                };
                way_s + capture.hold_s
            }
            Goal::Hold(seconds) => *seconds,
            Goal::Path(glide) => {
                let way_m = glide.distance_m(&self.start, self.from_tick);
                way_m / glide.closure_mps(&self.start).max(1.0)
            }
        };
        (seconds / (ticks as f64 * TICK_S)) as usize + 1
    }

    /// The highest vertical speed that is not too steep, in 3-degree rates.
    pub fn steepest(&self) -> f64 {
        match &self.goal {
            Goal::Capture(capture) => capture.steep_mps / self.three.rate_mps,
            _ => f64::INFINITY,
        }
    }

    /// Whether it begins under way with the engine let down to where it answers latest.
    pub fn is_let_down(&self) -> bool {
        self.is_under_way() && self.lever < IDLE
    }

    /// Whether it is over before a rougher rule of motion goes far astray, and can be flown by many recipes. A task that
    /// slows in, begins at idle or has to end level needs a closer look.
    pub fn is_soon_over(&self) -> bool {
        matches!(self.goal, Goal::Capture(_))
            && self.cue != When::FastKt
            && !self.is_let_down()
            && !self.ends_level
    }

    /// Whether it begins under way towards its target.
    pub fn is_under_way(&self) -> bool {
        self.way * self.start.vz_mps > UNDER_WAY * self.three.rate_mps
    }

    /// Whether it begins under way in the opposite direction.
    pub fn is_against(&self) -> bool {
        self.way * self.start.vz_mps < -UNDER_WAY * self.three.rate_mps
    }

    /// The most ticks that it can last.
    pub fn longest_ticks(&self) -> usize {
        let seconds = match &self.goal {
            Goal::Capture(capture) => capture.within_s + 2.0 * capture.hold_s,
            Goal::Hold(seconds) => *seconds,
            Goal::Path(_) => LONGEST_PATH * self.steps(1) as f64 * TICK_S,
        };
        ((seconds * TICKS_PER_S as f64) as usize).max(1)
    }

    /// What is still to go, as the cue counts it, SI.
    pub(super) fn to_go(&self, state: &State, ticks: u64, wind: &Wind) -> f64 {
        match (&self.goal, self.cue) {
            (Goal::Path(glide), _) => glide.distance_m(state, self.from_tick + ticks),
            (_, When::FastKt) => state.airspeed_mps(wind) - self.on_mps,
            _ => self.way * (self.target - self.value(state)),
        }
    }

    /// What an unquiet end counts, s.
    pub(super) fn unquiet_s(&self, state: &State, lever: f64) -> f64 {
        if self.calm_s == 0.0 {
            return 0.0;
        }
        let off = match &self.goal {
            Goal::Capture(capture) => (self.value(state) - self.target) / capture.band,
            Goal::Hold(_) => 0.0,
            Goal::Path(_) => return 0.0,
        };
        let settled_mps = match self.cue {
            When::ToGoFpm => self.target,
            _ => 0.0,
        };
        let motion = (state.vz_mps - settled_mps) / self.three.rate_mps;
        let power = (lever - self.level) / self.three.lever;
        self.calm_s * (off * off + motion * motion + power * power)
    }
}
