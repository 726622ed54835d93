//! Aeroplanes nobody has flown, and what a person would read off them.

use leveloff::fit::rows::Row;
use leveloff::fit::{Drive, Given, Reading};
use leveloff::sim::aircraft::{Aircraft, Engine, EngineKind};
use leveloff::sim::atmosphere;
use leveloff::sim::trim;
use leveloff::units::{DEG, FT, G, KT};

/// SplitMix64 (Steele, Lea, Flood 2014).
pub struct Chance(pub u64);

impl Chance {
    /// Evenly from `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        let share = ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64;
        low + share * (high - low)
    }
}

/// Of any mass, speed, drag and engine within what such aeroplanes have: wider than the four that ship.
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
    // Now as strong that level flight takes the lever that was drawn.
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

/// Six rows as `fit` asks for them, three near the steepest sink and three near the steepest climb, two of them light and heavy, all in
/// other air, and as a person reads them: 1 % of lever, 50 ft/min, 1 kt, 100 ft. `on_the_mark`: flown until the vertical speed stands on a multiple
/// of 50 ft/min, and only then read.
pub fn rows(aircraft: &Aircraft, seed: u64, on_the_mark: bool) -> Vec<Row> {
    let mut chance = Chance(seed ^ 0x5eed);
    let reading = Reading::USUAL;
    let (lightest, heaviest) = aircraft.mass_range_kg;
    let near = |step: f64, x: f64| (x / step).round() * step;
    let masses = [1.0, 1.0, 1.0, 1.0]
        .map(|share| share * aircraft.mass_kg)
        .into_iter()
        .chain([lightest, heaviest]);
    let shares = [0.0, 0.08, 0.92, 1.0, 0.04, 0.96];
    masses
        .zip(shares)
        .map(|(mass_kg, share)| {
            let mass_kg = near(if mass_kg > 3000.0 { 100.0 } else { 10.0 }, mass_kg);
            let plane = aircraft.at_mass(mass_kg);
            let h_m = chance.between(500.0, 3500.0) * FT;
            // Paths the lever can hold with a little to spare, 5 degrees at most.
            let can =
                |deg: &f64| (0.04..=0.97).contains(&trim::on_speed(&plane, h_m, deg * DEG).lever);
            let degs: Vec<f64> = (-50..=50)
                .map(|tenths| f64::from(tenths) / 10.0)
                .filter(can)
                .collect();
            let (low, high) = (degs[0], degs[degs.len() - 1]);
            let wanted = low + (share + chance.between(-0.04, 0.04)).clamp(0.0, 1.0) * (high - low);
            let free = trim::on_speed(&plane, h_m, wanted * DEG);
            let mark_mps = near(reading.vertical_mps, free.vertical_mps());
            let flown = match on_the_mark {
                true => trim::at_vertical(&plane, h_m, mark_mps),
                false => free,
            };
            Row {
                lever: near(reading.lever, flown.lever),
                vertical_mps: mark_mps,
                speed_mps: near(reading.speed_mps, flown.speed_mps),
                mass_kg,
                h_m: near(reading.h_m, h_m),
                at: 0,
            }
        })
        .collect()
}

/// What is told beside the rows.
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

/// What drives an aeroplane.
pub fn kind(aircraft: &Aircraft) -> Drive {
    match aircraft.engine.kind {
        EngineKind::Jet { .. } => Drive::Jet,
        EngineKind::Propeller { .. } => Drive::Propeller,
    }
}
