//! The air: a steady wind, gusts, and the wake of a ship.
//!
//! A pure function of what the drill asks, the seed, and where and how fast the aeroplane flies from tick to tick. The
//! wind is held over a tick, sampled at its start. The white noise underneath depends on (seed, stream, tick) only; the
//! filters that make gusts of it follow speed and height. Whatever is flown, the same seed brings the same noise.

pub mod dryden;
pub mod filter;
pub mod noise;
mod profile;
pub mod wake;

pub use dryden::{Scales, scales};
pub use profile::{LOWEST_HEIGHT_M, REFERENCE_HEIGHT_M, TERMINAL_ROUGHNESS_M, log_profile};
pub use wake::WakeSpec;

use dryden::Gusts;
use wake::Wake;

use crate::units::TICK_S;

/// What the drill asks of the air. The default is still air.
#[derive(Clone, Debug, PartialEq)]
pub struct AirSpec {
    /// Wind at 20 ft, m/s, positive against the flight.
    pub headwind_mps: f64,
    /// Roughness of the surface, m, above 0 and below 20 ft.
    pub roughness_m: f64,
    /// Wind at 20 ft that sets the gusts' intensity, m/s, not negative; 0 for none.
    pub u20_mps: f64,
    /// A ship whose air takes the place of the gusts.
    pub wake: Option<WakeSpec>,
    /// How the steady wind changes during the run.
    pub shift: Option<Shift>,
}

/// A change of the steady wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shift {
    /// Size of the change at 20 ft, m/s, positive against the flight.
    pub by_mps: f64,
    /// When it begins, s.
    pub at_s: f64,
    /// How long it takes, s; the wind changes at a constant rate.
    pub over_s: f64,
}

impl Shift {
    /// The part of the change that is in effect at the beginning of a tick, m/s.
    pub fn at(&self, tick: u64) -> f64 {
        let share = (tick as f64 * TICK_S - self.at_s) / self.over_s;
        self.by_mps * share.clamp(0.0, 1.0)
    }
}

impl Default for AirSpec {
    fn default() -> Self {
        AirSpec {
            headwind_mps: 0.0,
            roughness_m: TERMINAL_ROUGHNESS_M,
            u20_mps: 0.0,
            wake: None,
            shift: None,
        }
    }
}

impl AirSpec {
    /// The steady wind at a height and a tick.
    pub fn mean_at(&self, tick: u64, height_m: f64) -> Wind {
        let shifted_mps = self.shift.map_or(0.0, |shift| shift.at(tick));
        let at_20ft_mps = self.headwind_mps + shifted_mps;
        if at_20ft_mps == 0.0 {
            return Wind::default();
        }
        Wind {
            headwind_mps: log_profile(at_20ft_mps, self.roughness_m, height_m),
            ..Wind::default()
        }
    }
}

/// Wind over one tick, m/s: how the air moves over the ground.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wind {
    /// Steady wind, positive against the flight.
    pub headwind_mps: f64,
    /// Gust and wake along the flight, positive against it.
    pub gust_u_mps: f64,
    /// Gust and wake across the flight, positive up.
    pub gust_w_mps: f64,
}

/// The air of one run. A clone continues identically.
#[derive(Clone, Debug)]
pub struct Air {
    spec: AirSpec,
    unsteady: Unsteady,
    next_tick: u64,
}

#[derive(Clone, Debug)]
enum Unsteady {
    Nothing,
    Gusts(Gusts),
    Wake(Box<Wake>),
}

impl Air {
    /// The air before the first tick. The first sample is already stationary.
    pub fn new(spec: &AirSpec, seed: u64) -> Air {
        Air {
            spec: spec.clone(),
            unsteady: match &spec.wake {
                Some(ship) => Unsteady::Wake(Box::new(Wake::new(ship, wind_over_deck(spec), seed))),
                None if spec.u20_mps > 0.0 => Unsteady::Gusts(Gusts::new(spec.u20_mps, seed)),
                None => Unsteady::Nothing,
            },
            next_tick: 0,
        }
    }

    /// Lets no new gusts arise from now on. Existing ones fade through their filters, which is their expected course.
    pub fn settle(&mut self) {
        match &mut self.unsteady {
            Unsteady::Nothing => {}
            Unsteady::Gusts(gusts) => gusts.settle(),
            Unsteady::Wake(wake) => wake.settle(),
        }
    }

    /// Whether there is no wind at all, ever.
    pub fn is_still(&self) -> bool {
        self.spec.headwind_mps == 0.0
            && self.spec.shift.is_none()
            && matches!(self.unsteady, Unsteady::Nothing)
    }

    /// The wind of the tick, for the airspeed and the height above the surface at its start.
    ///
    /// `wake_x_m` is the place relative to the ship's centre of pitch, negative aft. Without it a wake gives its free
    /// air only. `airspeed_mps` is not negative. Must be called once for every tick from 0 on, in ascending order,
    /// since each call advances the filters by one tick.
    pub fn sample(
        &mut self,
        tick: u64,
        airspeed_mps: f64,
        height_m: f64,
        wake_x_m: Option<f64>,
    ) -> Wind {
        debug_assert_eq!(
            tick, self.next_tick,
            "the air is sampled once a tick, ascending"
        );
        self.next_tick = tick + 1;
        let (gust_u_mps, gust_w_mps) = match &mut self.unsteady {
            Unsteady::Nothing => (0.0, 0.0),
            Unsteady::Gusts(gusts) => gusts.next(airspeed_mps, height_m),
            Unsteady::Wake(wake) => wake.next(tick, airspeed_mps, wake_x_m),
        };
        Wind {
            gust_u_mps,
            gust_w_mps,
            ..self.spec.mean_at(tick, height_m)
        }
    }

    /// The current steady wind at a height, without gusts and wake: the part that can be known beforehand.
    pub fn mean(&self, height_m: f64) -> Wind {
        self.mean_at(self.next_tick, height_m)
    }

    /// The same at another tick.
    pub fn mean_at(&self, tick: u64, height_m: f64) -> Wind {
        self.spec.mean_at(tick, height_m)
    }
}

/// Wind over a ship's deck, m/s: the ship's speed and the headwind at the deck's height. 0 without a ship's wake.
pub fn wind_over_deck(spec: &AirSpec) -> f64 {
    spec.wake.as_ref().map_or(0.0, |ship| {
        ship.ship_speed_mps + log_profile(spec.headwind_mps, spec.roughness_m, ship.deck_height_m)
    })
}
