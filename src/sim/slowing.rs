//! Slowing in: extras that come out one after the other, and pitch that holds the altitude until the aeroplane is slow.

use super::aircraft::{Aircraft, Extra, MOST_EXTRAS};
use super::dynamics::Rig;
use crate::units::TICK_S;

/// The progress of an aeroplane that is slowing in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slowing {
    holds_m: f64,
    /// The tick with which each extra began to come out.
    begun: [Option<u64>; MOST_EXTRAS],
    slow: Option<u64>,
}

impl Slowing {
    /// The start of slowing in: every extra is in, and pitch holds the altitude `holds_m`.
    pub fn new(holds_m: f64) -> Slowing {
        Slowing {
            holds_m,
            begun: [None; MOST_EXTRAS],
            slow: None,
        }
    }

    /// How the aeroplane is rigged for the tick that begins at an airspeed in m/s. An extra that is due begins to
    /// come out with this tick, and never goes back in.
    pub fn begin(&mut self, aircraft: &Aircraft, tick: u64, airspeed_mps: f64) -> Rig {
        if self.slow.is_some() {
            return Rig::default();
        }
        let mut rig = Rig {
            holds_m: Some(self.holds_m),
            ..Rig::default()
        };
        for (extra, begun) in aircraft.extras.iter().zip(&mut self.begun) {
            if airspeed_mps <= extra.out_mps {
                begun.get_or_insert(tick);
            }
            let is_in = 1.0 - share(extra, *begun, tick);
            rig.drag_in += is_in * extra.drag;
            rig.lift_in += is_in * extra.lift;
        }
        rig
    }

    /// Takes in the angle of attack, rad, at the end of the tick before `tick`. Once that is on speed with every
    /// extra out, pitch is left alone from then on.
    pub fn end(&mut self, aircraft: &Aircraft, tick: u64, alpha_rad: f64) {
        if self.slow.is_none()
            && alpha_rad >= aircraft.alpha_on_rad
            && self.shares(aircraft, tick).all(|(_, share)| share == 1.0)
        {
            self.slow = Some(tick);
        }
    }

    /// The first tick for which pitch is left alone; None until then.
    pub fn slow_tick(&self) -> Option<u64> {
        self.slow
    }

    /// Each extra and how far it is out when a tick begins, 0..1.
    pub fn shares<'a>(
        &'a self,
        aircraft: &'a Aircraft,
        tick: u64,
    ) -> impl Iterator<Item = (&'a Extra, f64)> {
        let extras = aircraft.extras.iter().zip(&self.begun);
        extras.map(move |(extra, begun)| (extra, share(extra, *begun, tick)))
    }
}

fn share(extra: &Extra, begun: Option<u64>, tick: u64) -> f64 {
    begun.map_or(0.0, |begun| {
        ((tick - begun) as f64 * TICK_S / extra.out_s).min(1.0)
    })
}
