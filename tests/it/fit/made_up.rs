//! Made-up aeroplanes, and the rows that a person would read off them.

use leveloff::fit::rows::SteadyRow;
use leveloff::fit::{Drive, Given, Reading};
use leveloff::sim::aircraft::{Aircraft, Engine, EngineKind};
use leveloff::sim::atmosphere;
use leveloff::sim::trim::{self, Trim};
use leveloff::units::{DEG, FT, G, KT};

/// SplitMix64 (Steele, Lea, Flood 2014).
pub struct Chance(pub u64);

impl Chance {
    /// Uniform from `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        let share = ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64;
        low + share * (high - low)
    }
}

/// An aeroplane of any mass, speed, drag and engine in a realistic range, wider than that of the four that ship.
pub fn aeroplane(seed: u64, kind: Drive) -> Aircraft {
    let mut chance = Chance(seed);
    let is_jet = kind == Drive::Jet;
    let mut of = |jet: (f64, f64), propeller: (f64, f64)| {
        let (low, high) = if is_jet { jet } else { propeller };
        chance.between(low, high)
    };
    let mass_kg = of(
        (2000_f64.ln(), 30_000_f64.ln()),
        (500_f64.ln(), 4000_f64.ln()),
    )
    .exp();
    let speed_mps = of((85.0, 160.0), (50.0, 85.0)) * KT;
    let alpha_rad = of((6.5, 10.0), (5.0, 9.0)) * DEG;
    let cl = of((1.0, 1.45), (1.0, 1.4));
    let cl_per_rad = of((3.8, 5.0), (4.2, 5.4));
    let drag = of((0.14, 0.26), (0.10, 0.17));
    let lift_share = of((0.5, 0.72), (0.5, 0.7));
    let level = of((0.3, 0.55), (0.42, 0.62));
    let idle = of((0.02, 0.09), (0.0, 0.04));
    let fall = of((1.0, 1.0), (0.55, 1.4));
    let swing_damping = of((0.1, 0.5), (0.1, 0.5));
    let slow_s = of((0.8, 4.0), (0.3, 0.6));
    let (quick_s, stall_deg) = (
        slow_s * of((0.35, 0.6), (0.8, 1.0)),
        of((4.5, 7.0), (6.0, 9.0)),
    );
    let cd = drag * cl;
    let kind = match is_jet {
        true => EngineKind::Jet { max_thrust_n: 1.0 },
        false => EngineKind::Propeller {
            static_thrust_n: 1.0,
            useful_power_w: fall * speed_mps,
        },
    };
    let mut aircraft = Aircraft {
        name: "made up".to_string(),
        about: "Made up.".to_string(),
        mass_kg,
        mass_range_kg: (0.87 * mass_kg, 1.12 * mass_kg),
        area_m2: 2.0 * mass_kg * G / (1.225 * speed_mps * speed_mps * cl),
        cl0: cl - cl_per_rad * alpha_rad,
        cl_per_rad,
        cd0: (1.0 - lift_share) * cd,
        k: lift_share * cd / (cl * cl),
        alpha_on_rad: alpha_rad,
        alpha_stall_rad: alpha_rad + stall_deg * DEG,
        pitch_hold_s: 0.5,
        swing_damping,
        engine: Engine {
            kind,
            idle_fraction: idle,
            slow_s,
            quick_s,
        },
        extras: Vec::new(),
    };
    // Now sets the thrust so that level flight takes the drawn lever.
    let flight = trim::on_speed(&aircraft, 0.0, 0.0);
    let wanted_n = flight.thrust_n / (idle + (1.0 - idle) * level);
    let stronger = wanted_n
        / aircraft
            .engine
            .available_n(atmosphere::at(0.0), flight.speed_mps);
    aircraft.engine.kind = match aircraft.engine.kind {
        EngineKind::Jet { max_thrust_n } => EngineKind::Jet {
            max_thrust_n: stronger * max_thrust_n,
        },
        EngineKind::Propeller {
            static_thrust_n,
            useful_power_w,
        } => EngineKind::Propeller {
            static_thrust_n: stronger * static_thrust_n,
            useful_power_w: stronger * useful_power_w,
        },
    };
    aircraft
}

fn near(step: f64, x: f64) -> f64 {
    (x / step).round() * step
}

fn near_mass_kg(mass_kg: f64) -> f64 {
    near(if mass_kg > 3000.0 { 100.0 } else { 10.0 }, mass_kg)
}

/// A row as a person reads it: lever to 1 %, 50 ft/min, 1 kt, 100 ft.
fn read(flown: &Trim, mass_kg: f64, h_m: f64) -> SteadyRow {
    let reading = Reading::USUAL;
    SteadyRow {
        lever: near(reading.lever, flown.lever),
        vertical_mps: near(reading.vertical_mps, flown.vertical_mps()),
        speed_mps: near(reading.speed_mps, flown.speed_mps),
        mass_kg,
        h_m: near(reading.h_m, h_m),
        at: 0,
    }
}

/// Six rows as `fit` asks for them: idle and full power, or as near as paths of 12 degrees come, and 1 % and 2 % inside of them,
/// at one weight, read within 100 ft of one altitude.
pub fn asked(aircraft: &Aircraft, seed: u64) -> Vec<SteadyRow> {
    const STEEPEST: f64 = 12.0 * DEG;
    let mut chance = Chance(seed ^ 0x5eed);
    let plane = aircraft.at_mass(near_mass_kg(aircraft.mass_kg));
    let about_m = chance.between(800.0, 3200.0) * FT;
    let percent = |path_rad: f64| 100.0 * trim::on_speed(&plane, about_m, path_rad).lever;
    let least = percent(-STEEPEST).max(0.0).ceil();
    let most = percent(STEEPEST).min(100.0).floor();
    [
        least,
        most,
        least + 1.0,
        most - 1.0,
        least + 2.0,
        most - 2.0,
    ]
    .map(|percent| {
        let h_m = about_m + chance.between(-100.0, 100.0) * FT;
        let (mut low, mut high) = (-1.5 * STEEPEST, 1.5 * STEEPEST);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            match trim::on_speed(&plane, h_m, middle).lever > percent / 100.0 {
                true => high = middle,
                false => low = middle,
            }
        }
        read(&trim::on_speed(&plane, h_m, low), plane.mass_kg, h_m)
    })
    .to_vec()
}

/// Six other rows: three near the steepest sink up to 5 degrees and three near the steepest climb, two of them light and heavy,
/// each at another altitude and at any lever.
pub fn anywhere(aircraft: &Aircraft, seed: u64) -> Vec<SteadyRow> {
    let mut chance = Chance(seed ^ 0x5eed);
    let (lightest, heaviest) = aircraft.mass_range_kg;
    let own_kg = aircraft.mass_kg;
    let masses = [own_kg, own_kg, own_kg, own_kg, lightest, heaviest].map(near_mass_kg);
    let shares = [0.0, 0.08, 0.92, 1.0, 0.04, 0.96];
    let row = |(mass_kg, share): (f64, f64)| {
        let plane = aircraft.at_mass(mass_kg);
        let h_m = chance.between(500.0, 3500.0) * FT;
        // Paths that the lever can hold with a little to spare.
        let can = |deg: &f64| (0.04..=0.97).contains(&trim::on_speed(&plane, h_m, deg * DEG).lever);
        let degs: Vec<f64> = (-50..=50)
            .map(|tenths| f64::from(tenths) / 10.0)
            .filter(can)
            .collect();
        let (low, high) = (degs[0], degs[degs.len() - 1]);
        let share = (share + chance.between(-0.04, 0.04)).clamp(0.0, 1.0);
        let flown = trim::on_speed(&plane, h_m, (low + share * (high - low)) * DEG);
        read(&flown, mass_kg, h_m)
    };
    masses.into_iter().zip(shares).map(row).collect()
}

/// The data given beside the rows.
pub fn given(kind: Option<Drive>) -> Given {
    Given {
        name: "fitted".to_string(),
        kind,
        from_idle_s: None,
        stall_mps: None,
        area_m2: None,
        reading: Reading::USUAL,
    }
}
