//! Drag-curve mechanics against the two example aeroplanes of Anderson, *Introduction to Flight* (inputs read in a second-hand
//! copy, in the chapter on aeroplane performance; what the book prints is from memory, so the answers held here are computed
//! from the closed forms for a parabolic polar and the book's inputs, to the digits printed; 3 % where the book reads a graph).
//!
//! The examples fly through the trainer's own trim: angle of attack 0, so that thrust lies along the path and level lift is
//! weight; speed is chosen through the lift coefficient.

use super::flying::{close, root, summit, textbook};
use leveloff::sim::aircraft::{Aircraft, EngineKind};
use leveloff::sim::trim::{self, Trim};
use leveloff::sim::{atmosphere, stability};
use leveloff::units::{DEG, FPM, FT, KT};

/// One pound force, N (international pound times standard gravity).
const LB: f64 = 0.453_592_37 * 9.80665;
/// One horsepower, W: 550 ft lb/s.
const HP: f64 = 550.0 * FT * LB;
/// The book's sea-level density, 0.002377 slug/ft3, in kg/m3.
const BOOK_RHO_KGM3: f64 = 0.002377 * LB / (FT * FT * FT * FT);

/// Half a metre below the standard's sea level: the height at which our air has the book's density exactly.
fn sea_level_m() -> f64 {
    root(-10.0, 10.0, |h_m| {
        atmosphere::at(h_m).rho_kgm3 - BOOK_RHO_KGM3
    })
}

struct Example {
    plane: Aircraft,
    h_m: f64,
}

impl Example {
    fn new(weight_lb: f64, area_ft2: f64, span_ft: f64, cd0: f64, e: f64) -> Example {
        let k = area_ft2 / (core::f64::consts::PI * e * span_ft * span_ft);
        let (mass_kg, area_m2) = (weight_lb * 0.453_592_37, area_ft2 * FT * FT);
        Example {
            plane: textbook(mass_kg, area_m2, 0.5, cd0, k, 1.0),
            h_m: sea_level_m(),
        }
    }

    /// The propeller example: 230 hp at 0.8, power the same at every speed.
    fn propeller() -> Example {
        let mut example = Example::new(2950.0, 174.0, 35.8, 0.025, 0.8);
        example.plane.engine.kind = EngineKind::Propeller {
            static_thrust_n: 1e12,
            useful_power_w: 230.0 * HP * 0.8 / sigma(example.h_m),
        };
        example
    }

    /// The jet example: twice 3650 lb, the same at every speed.
    fn jet() -> Example {
        let mut example = Example::new(19_815.0, 318.0, 53.3, 0.02, 0.81);
        let lapse = atmosphere::at(example.h_m).jet;
        example.plane.engine.kind = EngineKind::Jet {
            max_thrust_n: 2.0 * 3650.0 * LB / lapse,
        };
        example
    }

    fn at(&self, cl: f64, path_rad: f64) -> Trim {
        let plane = Aircraft {
            cl0: cl,
            ..self.plane.clone()
        };
        trim::at_alpha(&plane, 0.0, self.h_m, path_rad)
    }

    fn level(&self, cl: f64) -> Trim {
        self.at(cl, 0.0)
    }

    fn available_n(&self, speed_mps: f64) -> f64 {
        let air = atmosphere::at(self.h_m);
        self.plane.engine.available_n(air, speed_mps)
    }

    /// The lift coefficient of level flight at a speed in ft/s.
    fn cl_at_fps(&self, speed_fps: f64) -> f64 {
        root(0.01, 4.0, |cl| self.level(cl).speed_mps / FT - speed_fps)
    }

    fn cl_of_least(&self, what: impl Fn(&Trim) -> f64) -> f64 {
        summit(0.05, 3.0, |cl| -what(&self.level(cl)))
    }

    /// (minimum drag, minimum power)
    fn cl_of_least_drag_and_power(&self) -> (f64, f64) {
        (
            self.cl_of_least(|t| t.thrust_n),
            self.cl_of_least(|t| t.thrust_n * t.speed_mps),
        )
    }

    /// Excess power of level flight, W: the book's way to a rate of climb.
    fn excess_w(&self, cl: f64) -> f64 {
        let level = self.level(cl);
        (self.available_n(level.speed_mps) - level.thrust_n) * level.speed_mps
    }

    /// Vertical speed of the steady climb at full power, m/s: the same with lift no longer equal to weight.
    fn climb_mps(&self, cl: f64) -> f64 {
        let path = root(-0.5, 0.8, |path| self.at(cl, path).lever - 1.0);
        self.at(cl, path).vertical_mps()
    }

    /// Path of the glide without thrust, rad.
    fn glide_rad(&self, cl: f64) -> f64 {
        root(-1.0, 0.0, |path| self.at(cl, path).thrust_n)
    }

    fn fastest_fps(&self) -> f64 {
        let (least_drag, _) = self.cl_of_least_drag_and_power();
        let full = |cl: f64| self.level(cl).lever - 1.0;
        self.level(root(1e-3, least_drag, full)).speed_mps / FT
    }

    fn thrust_lb(&self, speed_fps: f64) -> f64 {
        self.level(self.cl_at_fps(speed_fps)).thrust_n / LB
    }
}

fn sigma(h_m: f64) -> f64 {
    atmosphere::at(h_m).sigma()
}

#[test]
fn the_books_air_is_ours() {
    assert!(sea_level_m().abs() < 1.0);
    close(
        "k, propeller",
        Example::propeller().plane.k,
        0.05402,
        0.000_005,
    );
    close("k, jet", Example::jet().plane.k, 0.04399, 0.000_005);
}

#[test]
fn propeller_example() {
    let example = Example::propeller();
    let (least_drag, least_power) = example.cl_of_least_drag_and_power();
    let level = example.level(least_drag);
    close("CL at best L/D", least_drag, 0.6803, 0.000_05);
    close(
        "L/D",
        example.plane.mass_kg * 9.80665 / level.thrust_n,
        13.606,
        0.0005,
    );
    close("V min drag, ft/s", level.speed_mps / FT, 144.8, 0.05);
    close(
        "V min power, ft/s",
        example.level(least_power).speed_mps / FT,
        110.0,
        0.05,
    );
    close("min thrust, lb", level.thrust_n / LB, 216.8, 0.05);
    close(
        "thrust at 200 ft/s, lb",
        example.thrust_lb(200.0),
        263.6,
        0.05,
    );
    close(
        "thrust at 300 ft/s, lb",
        example.thrust_lb(300.0),
        490.6,
        0.05,
    );

    let glide = summit(0.1, 2.0, |cl| example.glide_rad(cl));
    close(
        "best glide, deg",
        -example.glide_rad(glide) / DEG,
        4.204,
        0.0005,
    );

    let climb = summit(0.2, 3.0, |cl| example.excess_w(cl));
    let weight_n = example.plane.mass_kg * 9.80665;
    close("excess, hp", example.excess_w(climb) / HP, 133.9, 0.05);
    close(
        "climb, ft/min",
        example.excess_w(climb) / weight_n / FPM,
        1498.0,
        0.5,
    );
    let steepest = summit(0.2, 2.5, |cl| example.climb_mps(cl));
    close(
        "steady climb, ft/min",
        example.climb_mps(steepest) / FPM,
        1498.0,
        0.03 * 1498.0,
    );
    close("fastest, ft/s", example.fastest_fps(), 261.6, 0.05);
}

#[test]
fn jet_example() {
    let example = Example::jet();
    let (least_drag, least_power) = example.cl_of_least_drag_and_power();
    let level = example.level(least_drag);
    close("CL at best L/D", least_drag, 0.6743, 0.000_05);
    close(
        "L/D",
        example.plane.mass_kg * 9.80665 / level.thrust_n,
        16.857,
        0.0005,
    );
    // 278.84, printed with half a unit more.
    close("V min drag, ft/s", level.speed_mps / FT, 278.9, 0.1);
    close(
        "V min power, ft/s",
        example.level(least_power).speed_mps / FT,
        211.9,
        0.05,
    );
    close("min thrust, lb", level.thrust_n / LB, 1175.5, 0.05);
    close(
        "thrust at 300 ft/s, lb",
        example.thrust_lb(300.0),
        1188.0,
        0.5,
    );
    close(
        "thrust at 500 ft/s, lb",
        example.thrust_lb(500.0),
        2073.0,
        0.5,
    );

    let glide = summit(0.1, 2.0, |cl| example.glide_rad(cl));
    close(
        "best glide, deg",
        -example.glide_rad(glide) / DEG,
        3.395,
        0.0005,
    );

    let climb = summit(0.02, 1.0, |cl| example.excess_w(cl));
    let weight_n = example.plane.mass_kg * 9.80665;
    close(
        "climb, ft/min",
        example.excess_w(climb) / weight_n / FPM,
        8118.0,
        0.5,
    );
    close(
        "climb speed, ft/s",
        example.level(climb).speed_mps / FT,
        572.8,
        0.05,
    );
    let steepest = summit(0.05, 1.0, |cl| example.climb_mps(cl));
    close(
        "steady climb, ft/min",
        example.climb_mps(steepest) / FPM,
        8118.0,
        0.03 * 8118.0,
    );
    close("fastest, ft/s", example.fastest_fps(), 979.5, 0.05);
}

#[test]
fn minimum_power_is_slower_by_the_fourth_root_of_three() {
    // Closed form for a parabolic polar; the two speeds bound the back side for thrust and for power (FAA-H-8083-15 and
    // FAA-H-8083-25, read in second-hand copies).
    for example in [Example::propeller(), Example::jet()] {
        let (least_drag, least_power) = example.cl_of_least_drag_and_power();
        let ratio = example.level(least_drag).speed_mps / example.level(least_power).speed_mps;
        close("V_md/V_mp", ratio, 3.0_f64.powf(0.25), 1e-6);
    }
}

#[test]
fn back_side_at_constant_thrust_begins_at_minimum_drag() {
    // The slope vanishes where a V^2 + b/V^2 has equal values 1 kt either side: V^2 = sqrt(V_md^4) + kt^2, and at V_md itself as
    // the difference shrinks.
    let example = Example::jet();
    let (least_drag, _) = example.cl_of_least_drag_and_power();
    let slope = |cl: f64| {
        let plane = Aircraft {
            cl0: cl,
            // A lift slope so steep that the angle of attack, no longer fixed, never tilts the thrust.
            cl_per_rad: 1e6,
            ..example.plane.clone()
        };
        stability::path_per_speed(&plane, example.h_m)
    };
    assert!(
        slope(1.05 * least_drag) > 0.0,
        "slower than minimum drag is the back side"
    );
    assert!(
        slope(0.95 * least_drag) < 0.0,
        "faster than minimum drag is the front side"
    );
    let boundary = example
        .level(root(0.5 * least_drag, 2.0 * least_drag, slope))
        .speed_mps;
    let least_drag_mps = example.level(least_drag).speed_mps;
    close("boundary over V_md", boundary / least_drag_mps, 1.0, 1e-4);
    let with_the_difference = (least_drag_mps * least_drag_mps + KT * KT).sqrt();
    close("boundary", boundary / with_the_difference, 1.0, 2e-6);
}
