//! An aeroplane in about fifteen numbers, and the forces it makes.

use super::atmosphere::Atmosphere;

/// A fictional aeroplane. SI and radians.
#[derive(Clone, Debug, PartialEq)]
pub struct Aircraft {
    /// Name, as drills refer to it.
    pub name: String,
    /// One sentence on its character.
    pub about: String,
    /// Mass it is flown at, kg.
    pub mass_kg: f64,
    /// Lightest and heaviest mass it may be flown at, kg.
    pub mass_range_kg: (f64, f64),
    /// Wing reference area, m2.
    pub area_m2: f64,
    /// Lift coefficient at zero angle of attack.
    pub cl0: f64,
    /// Lift slope, 1/rad.
    pub cl_per_rad: f64,
    /// Drag coefficient at zero lift.
    pub cd0: f64,
    /// Drag coefficient per lift coefficient squared.
    pub k: f64,
    /// The angle of attack it is trimmed to, rad.
    pub alpha_on_rad: f64,
    /// The angle of attack beyond which it stalls, rad.
    pub alpha_stall_rad: f64,
    /// Time in which pitch attitude weathercocks back to on speed, s.
    pub pitch_hold_s: f64,
    /// Share of acceleration fed to pitch; 0 is the pure constant-angle aeroplane.
    pub swing_damping: f64,
    /// What drives it.
    pub engine: Engine,
    /// What comes out as it slows in; the drag and lift of all extras are included in the numbers above.
    pub extras: Vec<Extra>,
}

/// Fraction of available thrust from which on an engine answers as quickly as it can.
const QUICK_FROM: f64 = 0.5;

/// The most extras an aeroplane has.
pub const MOST_EXTRAS: usize = 4;

/// Something that comes out as an aeroplane slows in: wheels, flaps.
#[derive(Clone, Debug, PartialEq)]
pub struct Extra {
    /// Name, for people.
    pub name: String,
    /// Its part of `cd0`.
    pub drag: f64,
    /// Its part of `cl0`.
    pub lift: f64,
    /// Airspeed at or below which it begins to come out, m/s.
    pub out_mps: f64,
    /// How long it takes to come out, s.
    pub out_s: f64,
}

/// An engine: how much it can give, and how late it gives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Engine {
    /// How thrust depends on speed and height.
    pub kind: EngineKind,
    /// Fraction of available thrust left with the lever at 0.
    pub idle_fraction: f64,
    /// Answer time at idle, s.
    pub slow_s: f64,
    /// Answer time at half of available thrust and above, s.
    pub quick_s: f64,
}

/// The two laws of available thrust.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EngineKind {
    /// Thrust does not depend on speed.
    Jet {
        /// Sea level, static, N.
        max_thrust_n: f64,
    },
    /// Thrust falls as speed rises.
    Propeller {
        /// At rest, sea level, N.
        static_thrust_n: f64,
        /// Shaft power times efficiency, sea level, W.
        useful_power_w: f64,
    },
}

impl Aircraft {
    /// Lift coefficient at an angle of attack in rad.
    pub fn lift_coefficient(&self, alpha_rad: f64) -> f64 {
        self.cl0 + self.cl_per_rad * alpha_rad
    }

    /// Lift coefficient at the angle of attack it is trimmed to.
    pub fn on_speed_cl(&self) -> f64 {
        self.lift_coefficient(self.alpha_on_rad)
    }

    /// Drag coefficient at a lift coefficient: the parabolic polar.
    pub fn drag_coefficient(&self, cl: f64) -> f64 {
        self.cd0 + self.k * cl * cl
    }

    /// The masses to look at, kg: lightest, as flown, heaviest.
    pub fn masses_kg(&self) -> [f64; 3] {
        let (lightest, heaviest) = self.mass_range_kg;
        [lightest, self.mass_kg, heaviest]
    }

    /// The same aeroplane at another mass, kg.
    pub fn at_mass(&self, mass_kg: f64) -> Aircraft {
        Aircraft {
            mass_kg,
            ..self.clone()
        }
    }
}

impl Engine {
    /// Thrust the engine could give at full power, N.
    pub fn available_n(&self, air: Atmosphere, airspeed_mps: f64) -> f64 {
        match self.kind {
            EngineKind::Jet { max_thrust_n } => max_thrust_n * air.jet,
            EngineKind::Propeller {
                static_thrust_n,
                useful_power_w,
            } => {
                let at_rest = 1.0 / static_thrust_n;
                let fast = airspeed_mps / useful_power_w;
                air.sigma() / (at_rest * at_rest + fast * fast).sqrt()
            }
        }
    }

    /// Fraction of available thrust at which the engine settles with the lever held.
    pub fn settles_at(&self, lever: f64) -> f64 {
        self.idle_fraction + (1.0 - self.idle_fraction) * lever
    }

    /// The lever that settles at a fraction of available thrust; outside 0..1 where the engine cannot reach it.
    pub fn lever_for(&self, fraction: f64) -> f64 {
        (fraction - self.idle_fraction) / (1.0 - self.idle_fraction)
    }

    /// The lever that settles where the answer time is the given share of the way from `quick_s` to `slow_s`.
    pub fn lever_of_answer(&self, share: f64) -> f64 {
        self.lever_for(QUICK_FROM + share * (self.idle_fraction - QUICK_FROM))
    }

    /// Answer time at an engine state, s: linear from `slow_s` at idle to `quick_s` at half power, constant above.
    pub fn answer_s(&self, fraction: f64) -> f64 {
        if fraction >= QUICK_FROM {
            return self.quick_s;
        }
        let share = (fraction - self.idle_fraction) / (QUICK_FROM - self.idle_fraction);
        self.slow_s + share * (self.quick_s - self.slow_s)
    }
}
