//! The brief of a path: what a straight line to a moving deck means through the air, over the water and in power.

use serde::Serialize;

use super::aeroplane::possible_lever;
use super::{SCHEMA, percent};
use crate::drill::reader::plain;
use crate::drill::{Drill, Path};
use crate::sim::air::log_profile;
use crate::sim::aircraft::Aircraft;
use crate::sim::math::{atan2, cos, tan};
use crate::sim::trim;
use crate::units::{DEG, FPM, FT, KT, NM};

/// A path and what flies it, SI.
#[derive(Clone, Debug)]
pub struct Setting<'a> {
    /// Slope against the deck, rad, + down.
    pub slope_rad: f64,
    /// Height of the deck, m.
    pub deck_m: f64,
    /// The deck's speed away from the aeroplane, m/s.
    pub deck_mps: f64,
    /// Wind against the flight, m/s.
    pub wind_mps: f64,
    /// What flies.
    pub flier: Flier<'a>,
    /// Distances to tell altitudes at, m.
    pub gates_m: Vec<f64>,
}

/// What flies the path.
#[derive(Clone, Copy, Debug)]
pub enum Flier<'a> {
    /// An aeroplane on speed, and the altitude its power is told for, m.
    Aeroplane(&'a Aircraft, f64),
    /// A horizontal speed through the air, m/s.
    Speed(f64),
}

/// A path with its numbers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PathBrief {
    /// Version of this layout.
    pub schema: u32,
    /// Slope against the deck, degrees.
    pub slope_deg: f64,
    /// Height of the deck, ft.
    pub deck_ft: f64,
    /// The deck's speed, kt.
    pub deck_kt: f64,
    /// Altitudes on the way.
    pub gates: Vec<GateBrief>,
    /// In the wind given.
    pub now: Closing,
    /// In other winds.
    pub winds: Vec<Closing>,
}

/// An altitude at a distance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GateBrief {
    /// Distance to the aim point, nautical miles.
    pub distance_nm: f64,
    /// Altitude of the path there, ft.
    pub altitude_ft: f64,
    /// Time from there to the aim point, s.
    pub to_go_s: f64,
    /// What 400 ft a mile to sea level would say, ft: common practice, no source.
    pub rule_ft: f64,
}

/// How the path is flown in a wind.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Closing {
    /// Wind against the flight, kt.
    pub wind_kt: f64,
    /// Speed at which the aim point comes nearer, kt.
    pub closure_kt: f64,
    /// Sink, ft/min, + down.
    pub sink_fpm: f64,
    /// Path over the water, degrees, + down.
    pub water_deg: f64,
    /// Path through the air, degrees, + down.
    pub air_deg: f64,
    /// Power that holds it, lever 0..1; null without an aeroplane or where it cannot.
    pub lever: Option<f64>,
}

/// Other winds that are told, kt.
const WINDS_KT: &[f64] = &[0.0, 10.0, 20.0, 30.0];

impl PathBrief {
    /// The numbers of a setting.
    pub fn new(setting: &Setting) -> PathBrief {
        let now = Closing::of(setting, setting.wind_mps);
        let gates = setting.gates_m.iter().map(|&gate_m| GateBrief {
            distance_nm: gate_m / NM,
            altitude_ft: (setting.deck_m + gate_m * tan(setting.slope_rad)) / FT,
            to_go_s: gate_m / (now.closure_kt * KT),
            rule_ft: 400.0 * gate_m / NM,
        });
        PathBrief {
            schema: SCHEMA,
            slope_deg: setting.slope_rad / DEG,
            deck_ft: setting.deck_m / FT,
            deck_kt: setting.deck_mps / KT,
            gates: gates.collect(),
            now,
            winds: WINDS_KT.iter().map(|kt| Closing::of(setting, kt * KT)).collect(),
        }
    }

    /// The numbers of a drill's path, in the steady wind half way down.
    pub fn of(drill: &Drill, path: &Path) -> PathBrief {
        let glide = &path.glide;
        let half_way_m = glide.altitude_m(glide.from_m / 2.0);
        let gates_m = std::iter::once(glide.from_m).chain(path.gates_m.iter().copied());
        PathBrief::new(&Setting {
            slope_rad: glide.slope_rad,
            deck_m: glide.aim.deck.height_m,
            deck_mps: glide.aim.deck.speed_mps,
            wind_mps: log_profile(drill.air.headwind_mps, drill.air.roughness_m, half_way_m),
            flier: Flier::Aeroplane(&drill.aircraft, half_way_m),
            gates_m: gates_m.collect(),
        })
    }

    /// In words and tables.
    pub fn lines(&self) -> Vec<String> {
        let now = &self.now;
        let mut lines = vec![
            format!(
                "{} degrees to a deck at {} ft that moves away at {} kt, wind {:.0} kt",
                plain((self.slope_deg * 100.0).round() / 100.0),
                plain(self.deck_ft.round()),
                plain(self.deck_kt.round()),
                now.wind_kt
            ),
            format!(
                "  closure {:.0} kt, sink {:.0} ft/min, power {}; {:.2} degrees over the water, {:.2} through the air",
                now.closure_kt,
                now.sink_fpm,
                percent(now.lever),
                now.water_deg,
                now.air_deg
            ),
            "  distance   altitude   to go   400 ft a mile says".to_string(),
        ];
        for gate in &self.gates {
            lines.push(format!(
                "  {:>5.2} nm   {:>5} ft  {:>4.0} s   {:>5} ft ({:+.0})",
                gate.distance_nm,
                plain(gate.altitude_ft.round()),
                gate.to_go_s,
                plain(gate.rule_ft.round()),
                gate.rule_ft - gate.altitude_ft
            ));
        }
        lines.push("  wind   closure   sink          power    over water   through air".to_string());
        for wind in &self.winds {
            lines.push(format!(
                "  {:>2.0} kt   {:>4.0} kt   {:>5.0} ft/min  {:>6}   {:>5.2}        {:>5.2}",
                wind.wind_kt,
                wind.closure_kt,
                wind.sink_fpm,
                percent(wind.lever),
                wind.water_deg,
                wind.air_deg
            ));
        }
        lines.extend(self.rules());
        lines
    }

    /// Rules of thumb beside the exact values.
    fn rules(&self) -> Vec<String> {
        let exact_ft = tan(self.slope_deg * DEG) * NM / FT;
        let by_60_ft = NM / FT / 60.0 * self.slope_deg;
        let five_fpm = 5.0 * self.now.closure_kt;
        vec![
            format!(
                "  a mile is {exact_ft:.1} ft of path; one in sixty says {by_60_ft:.1} ({:+.1} %)",
                100.0 * (by_60_ft / exact_ft - 1.0)
            ),
            format!(
                "  sink is {:.0} ft/min; five times the closing speed, a rule for 3 degrees, says {five_fpm:.0} ({:+.1} %)",
                self.now.sink_fpm,
                100.0 * (five_fpm / self.now.sink_fpm - 1.0)
            ),
        ]
    }
}

impl Closing {
    fn of(setting: &Setting, wind_mps: f64) -> Closing {
        // The path through the air sets the horizontal speed and that the path: three rounds settle to a millidegree.
        let (mut air_rad, mut along_mps) = (setting.slope_rad, 0.0);
        let mut closure_mps = 0.0;
        for _ in 0..6 {
            along_mps = match setting.flier {
                Flier::Speed(along_mps) => along_mps,
                Flier::Aeroplane(aircraft, h_m) => {
                    trim::on_speed(aircraft, h_m, -air_rad).speed_mps * cos(air_rad)
                }
            };
            closure_mps = along_mps - wind_mps - setting.deck_mps;
            air_rad = atan2(closure_mps * tan(setting.slope_rad), along_mps);
        }
        let sink_mps = closure_mps * tan(setting.slope_rad);
        let lever = match setting.flier {
            Flier::Speed(_) => None,
            Flier::Aeroplane(aircraft, h_m) => {
                possible_lever(&trim::on_speed(aircraft, h_m, -air_rad))
            }
        };
        Closing {
            wind_kt: wind_mps / KT,
            closure_kt: closure_mps / KT,
            sink_fpm: sink_mps / FPM,
            water_deg: atan2(sink_mps, along_mps - wind_mps) / DEG,
            air_deg: air_rad / DEG,
            lever,
        }
    }
}
