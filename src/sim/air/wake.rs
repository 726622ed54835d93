//! The air behind a ship over the last half mile, MIL-F-8785C (1980) 3.7.4.
//!
//! Four parts add up along the flight and four across it: u1, w1 the free air over open water; u2, w2 the steady wake; u3,
//! w3 the part that swings with the ship's pitch; u4, w4 the part the ship stirs up at random. All but the first scale with
//! the wind over deck.
//!
//! **Place.** X is measured from the ship's centre of pitch, negative aft. The standard does not say where the deck ends.
//! Here it ends at X = -431 ft, where the figure of u4 comes down to nothing: stirred air is found behind the deck's end.
//!
//! **Signs.** The functions below keep the standard's: u2 > 0 is less headwind, w2 < 0 is air going up, and the other parts
//! likewise. The wind of this program is positive against the flight and up, so each sum enters with its sign turned.
//!
//! **Reach.** The standard's model begins half a mile out. Its w4 has no figure over X, so ours grows linearly from zero at
//! three quarters of a nautical mile to the standard's value at half a nautical mile; the ship's other parts are zero that
//! far out by their own figures. Forward of a figure's last point its last value holds.

use super::filter::FirstOrder;
use super::noise::{Noise, Stream};
use crate::sim::deck::AimPoint;
use crate::sim::math::{cos, sqrt};
use crate::units::{FT, KT, NM, TICK_S};
use std::f64::consts::{PI, TAU};

/// Where the landing deck ends aft, m from the centre of pitch.
pub const DECK_END_X_M: f64 = -431.0 * FT;
/// Wind over deck below which there is no wake, m/s.
pub const LEAST_WIND_OVER_DECK_MPS: f64 = 5.0 * KT;

/// Scale length of the free air, m; its spectra are S/(1 + (100 ft O)^2), one-sided, in (ft/s)^2 per rad/ft.
const FREE_LENGTH_M: f64 = 100.0 * FT;
/// S of the free air, along and vertical.
const FREE_SPECTRA: [f64; 2] = [200.0, 71.6];
/// The wake's pattern drifts aft at this share of the wind over deck.
const DRIFT: f64 = 0.85;
/// Time constant of w4, s.
const W4_TAU_S: f64 = 3.33;

/// Points (X ft, value), X ascending, read off the standard's figures to about 10 ft and 0.003.
type Figure = [(f64, f64)];
const U2: &Figure = &[
    (-1781.0, 0.0),
    (-1749.0, 0.046),
    (-1652.0, 0.0645),
    (-1568.0, 0.060),
    (-1351.0, 0.030),
    (-1157.0, 0.0415),
    (-417.0, 0.1485),
    (-239.0, 0.0),
];
const W2: &Figure = &[
    (-2622.0, 0.0),
    (-2416.0, -0.0765),
    (-2198.0, -0.086),
    (-1953.0, -0.082),
    (-1430.0, -0.039),
    (-1059.0, -0.007),
    (-741.0, 0.016),
    (-226.0, -0.006),
    (428.0, -0.007),
];
const U4_SIGMA: &Figure = &[
    (-2537.0, 0.0),
    (-1571.0, 0.031),
    (-1205.0, 0.037),
    (-1022.0, 0.0375),
    (-836.0, 0.036),
    (-646.0, 0.027),
    (-431.0, 0.0),
];
const U4_TAU_S: &Figure = &[
    (-1604.0, 1.03),
    (-1462.0, 1.18),
    (-1185.0, 1.06),
    (-821.0, 0.50),
    (-591.0, 0.30),
    (0.0, 0.1),
];
const W4_SIGMA: &Figure = &[(-0.75 * NM / FT, 0.0), (-0.5 * NM / FT, 0.035)];

/// Reads a figure at a place: linear between points, constant beyond the ends.
fn read(figure: &Figure, x_ft: f64) -> f64 {
    let after = figure.partition_point(|&(point_ft, _)| point_ft <= x_ft);
    match (after.checked_sub(1).map(|i| figure[i]), figure.get(after)) {
        (Some((x0, y0)), Some(&(x1, y1))) => y0 + (y1 - y0) * (x_ft - x0) / (x1 - x0),
        (Some((_, y)), None) | (None, Some(&(_, y))) => y,
        (None, None) => 0.0,
    }
}

/// The properties of a ship that the air behind it depends on.
#[derive(Clone, Debug, PartialEq)]
pub struct WakeSpec {
    /// Height of the deck above the water, m: the wind over deck is taken there.
    pub deck_height_m: f64,
    /// The ship's speed away from the aeroplane, m/s.
    pub ship_speed_mps: f64,
    /// Amplitude of the ship's pitch, rad.
    pub pitch_rad: f64,
    /// Period of the ship's pitch and heave, s, above 0.
    pub heave_period_s: f64,
}

/// Place relative to the ship's centre of pitch, m, negative aft, of an aeroplane that has flown `x_m` over the ground by a tick.
pub fn place_m(aim: &AimPoint, x_m: f64, tick: u64) -> f64 {
    DECK_END_X_M - (aim.distance_m(x_m, tick) - aim.deck.zone_m / 2.0)
}

/// The two components of a part, in the unit and with the signs stated by the function that returns them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Components {
    /// Along the wind over deck.
    pub u: f64,
    /// Vertical.
    pub w: f64,
}

/// Root mean square of the free air, m/s: u1, w1. The area of S/(1 + (L O)^2) is S pi/(2 L).
pub fn free_air_mps() -> Components {
    let rms = |s: f64| sqrt(s * PI / 200.0) * FT;
    Components {
        u: rms(FREE_SPECTRA[0]),
        w: rms(FREE_SPECTRA[1]),
    }
}

/// The steady part at `x_m`, divided by the wind over deck: u2 > 0 is less headwind, w2 < 0 is air going up.
pub fn steady(x_m: f64) -> Components {
    Components {
        u: read(U2, x_m / FT),
        w: read(W2, x_m / FT),
    }
}

/// Amplitude of the periodic part at `x_m`, divided by (pitch amplitude in rad times wind over deck): u3, w3.
pub fn periodic(x_m: f64) -> Components {
    let x_ft = x_m / FT;
    Components {
        u: if x_ft < -2236.0 {
            0.0
        } else {
            2.22 + 0.0009 * x_ft
        },
        w: if x_ft < -2536.0 {
            0.0
        } else {
            4.98 + 0.0018 * x_ft
        },
    }
}

/// The factor C of the periodic part, -1..1, `t_s` after the start at the aeroplane's place `x_m`. The pattern drifts aft
/// at 0.85 of the wind over deck, which must be above 0.
pub fn periodic_factor(
    t_s: f64,
    x_m: f64,
    wind_over_deck_mps: f64,
    period_s: f64,
    phase_rad: f64,
) -> f64 {
    cos(TAU / period_s * (t_s + x_m / (DRIFT * wind_over_deck_mps)) + phase_rad)
}

/// Root mean square of the random part at `x_m`, divided by the wind over deck: u4, w4.
pub fn random(x_m: f64) -> Components {
    Components {
        u: read(U4_SIGMA, x_m / FT),
        w: read(W4_SIGMA, x_m / FT),
    }
}

/// Time constants of the random part at `x_m`, s: u4, w4.
pub fn random_tau_s(x_m: f64) -> Components {
    Components {
        u: read(U4_TAU_S, x_m / FT),
        w: W4_TAU_S,
    }
}

/// The wake on its way past an aeroplane.
#[derive(Clone, Debug)]
pub(super) struct Wake {
    ship: WakeSpec,
    wind_over_deck_mps: f64,
    phase_rad: f64,
    free_mps: Components,
    ship_w: FirstOrder,
    noise: [Noise; 4],
    /// u1, w1, u4 and w4, each of variance one; None before the first tick.
    state: Option<[f64; 4]>,
}

impl Wake {
    pub(super) fn new(ship: &WakeSpec, wind_over_deck_mps: f64, seed: u64) -> Wake {
        let streams = [Stream::FreeU, Stream::FreeW, Stream::ShipU, Stream::ShipW];
        Wake {
            ship: ship.clone(),
            wind_over_deck_mps,
            phase_rad: TAU * Noise::new(seed, Stream::ShipPhase).share(),
            free_mps: free_air_mps(),
            ship_w: FirstOrder::new(1.0 / W4_TAU_S, TICK_S),
            noise: streams.map(|stream| Noise::new(seed, stream)),
            state: None,
        }
    }

    /// Lets no new gusts arise from now on; the steady and periodic parts of the wake go on.
    pub(super) fn settle(&mut self) {
        self.noise.iter_mut().for_each(Noise::hush);
    }

    /// The next tick's wind in m/s: against the flight, and up. Without a place, or with too little wind over deck for a
    /// wake, only the free air is left, since that comes from the sea and not from the ship.
    pub(super) fn next(&mut self, tick: u64, airspeed_mps: f64, x_m: Option<f64>) -> (f64, f64) {
        let n = self.noise.each_mut().map(Noise::normal);
        let here_m = x_m.unwrap_or(f64::NEG_INFINITY);
        let free = FirstOrder::new(airspeed_mps / FREE_LENGTH_M, TICK_S);
        let ship_u = FirstOrder::new(1.0 / random_tau_s(here_m).u, TICK_S);
        let [u1, w1, u4, w4] = match self.state {
            None => n.map(FirstOrder::start),
            Some([u1, w1, u4, w4]) => [
                free.step(u1, n[0]),
                free.step(w1, n[1]),
                ship_u.step(u4, n[2]),
                self.ship_w.step(w4, n[3]),
            ],
        };
        self.state = Some([u1, w1, u4, w4]);
        let mut sum = Components {
            u: self.free_mps.u * u1,
            w: self.free_mps.w * w1,
        };
        if let Some(x_m) = x_m
            && self.wind_over_deck_mps >= LEAST_WIND_OVER_DECK_MPS
        {
            let (steady, swing, random) = (steady(x_m), periodic(x_m), random(x_m));
            let (t_s, period_s) = (tick as f64 * TICK_S, self.ship.heave_period_s);
            let wind_mps = self.wind_over_deck_mps;
            let c = match self.ship.pitch_rad {
                0.0 => 0.0,
                rad => rad * periodic_factor(t_s, x_m, wind_mps, period_s, self.phase_rad),
            };
            sum.u += wind_mps * (steady.u + swing.u * c + random.u * u4);
            sum.w += wind_mps * (steady.w + swing.w * c + random.w * w4);
        }
        (-sum.u, -sum.w)
    }
}
