//! Faults of the hand itself, laid over the wishes of the mind: the same for every style.

use super::View;
use super::errand::Phase;
use super::faults::Fault;
use super::traits::Traits;

/// The step between the wanted lever and the moved one.
#[derive(Debug)]
pub struct Post {
    fault: Option<Fault>,
    /// Period of a pumping hand, s, and its amplitude, over the lever of 3 degrees.
    period_s: f64,
    swing: f64,
    wanted: Option<f64>,
    /// The largest lever given.
    pub most: f64,
    three_lever: f64,
    /// Whether the lever is at idle until the sink is there; None before the way down has begun.
    chop: Option<bool>,
    brake: Braking,
}

/// The state of power past level that is not given back.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Braking {
    No,
    /// The lever farthest past.
    Held(f64),
    Over,
}

impl Post {
    pub fn new(fault: Option<Fault>, traits: &Traits) -> Post {
        // About a second, or 8 to 15 s; a quick swing is small, a slow one about what 3 degrees take.
        let (period_s, swing) = match fault {
            Some(Fault::PumpingFast) => (traits.pumping, 0.15),
            Some(Fault::PumpingSlow) => (11.5 * traits.pumping, 0.8),
            _ => (1.0, 0.0),
        };
        Post {
            fault,
            period_s,
            swing,
            wanted: None,
            most: 1.0,
            three_lever: 0.0,
            chop: None,
            brake: Braking::No,
        }
    }

    /// Takes in the lever that the mind wants.
    pub fn see(&mut self, view: &View, plain: f64) {
        self.three_lever = view.known.three_lever;
        let wanted = match self.fault {
            Some(Fault::Chop) => self.chopped(view, plain),
            Some(Fault::SecondMoveMissing) => self.kept(view, plain),
            _ => plain,
        };
        self.wanted = Some(wanted);
    }

    /// The lever wanted at a moment.
    pub fn lever(&self, t_s: f64) -> Option<f64> {
        // A triangle wave: a hand that rocks the lever to and fro.
        let share = (t_s / self.period_s).fract();
        let rocked = (4.0 * (share - 0.5).abs() - 1.0) * self.swing * self.three_lever;
        Some((self.wanted? + rocked).clamp(0.0, self.most))
    }

    /// Idle on the way down until a little more than the wanted sink is there.
    fn chopped(&mut self, view: &View, plain: f64) -> f64 {
        const ENOUGH: f64 = 1.05;
        let aim = &view.aim;
        let (sink_mps, is_way) = match aim.phase {
            Phase::Going => (-aim.going_mps, true),
            Phase::Stopping => (-aim.keep_mps, aim.is_line || aim.is_rate),
            Phase::Keeping => (0.0, false),
        };
        if !is_way || aim.going_mps >= 0.0 {
            self.chop = None;
            return plain;
        }
        let is_there = -(aim.rel_mps + aim.keep_mps) >= ENOUGH * sink_mps;
        let is_idle = self.chop.unwrap_or(true) && !is_there;
        self.chop = Some(is_idle);
        if is_idle { 0.0 } else { plain }
    }

    /// Holds the lever as far past level as it went, until the aeroplane has turned back and left the number.
    fn kept(&mut self, view: &View, plain: f64) -> f64 {
        /// At least this far past, over the lever of the rate that was stopped.
        const PAST: f64 = 0.4;
        /// Share of the band from which on an error is seen.
        const SEEN: f64 = 0.6;
        let aim = &view.aim;
        let dir = aim.going_mps.signum();
        self.brake = match (aim.phase, self.brake) {
            (Phase::Going, _) => Braking::No,
            (Phase::Stopping, Braking::No) if !aim.is_line && !aim.is_rate => {
                Braking::Held(aim.keep_lever + PAST * view.known.lever_for(aim.turn_mps))
            }
            (_, Braking::Held(farthest)) => {
                let is_back = dir * aim.missing_m > SEEN * aim.band && dir * aim.rel_mps < 0.0;
                let farther = if dir < 0.0 {
                    farthest.max(plain)
                } else {
                    farthest.min(plain)
                };
                if is_back {
                    Braking::Over
                } else {
                    Braking::Held(farther)
                }
            }
            (_, brake) => brake,
        };
        match self.brake {
            Braking::Held(farthest) => farthest,
            _ => plain,
        }
    }
}
