//! The brief of a path: what a straight line to a moving deck means through the air, over the water and in power.

use serde::Serialize;

use super::aeroplane::possible_lever;
use super::{SCHEMA, percent};
use crate::drill::reader::plain;
use crate::drill::{Drill, Path};
use crate::plan::power;
use crate::sim::air::log_profile;
use crate::sim::aircraft::Aircraft;
use crate::sim::math::{atan2, tan};
use crate::units::{DEG, FPM, FT, KT, NM};

/// A path and what flies it, SI.
#[derive(Clone, Debug)]
pub struct Descent<'a> {
    /// Slope against the deck, rad, + down.
    pub slope_rad: f64,
    /// Height of the deck, m.
    pub deck_m: f64,
    /// The deck's speed away from the aeroplane, m/s.
    pub deck_mps: f64,
    /// Wind against the flight, m/s.
    pub wind_mps: f64,
    /// How much of that wind is lost from 200 ft down to 20 ft, m/s.
    pub lost_mps: f64,
    /// What flies.
    pub flier: Flier<'a>,
    /// Distances at which altitudes are given, m.
    pub gates_m: Vec<f64>,
}

/// What flies the path.
#[derive(Clone, Copy, Debug)]
pub enum Flier<'a> {
    /// An aeroplane on speed, and the altitude its power is given for, m.
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
    /// How it is flown in the wind given.
    pub now: Closing,
    /// How it is flown once the wind has shifted; null where it does not.
    pub after_shift: Option<Shifted>,
    /// How it is flown in other winds, as long as the aim point comes nearer.
    pub winds: Vec<Closing>,
    /// Wind lost from 200 ft down to 20 ft, kt: the logarithmic profile of MIL-F-8785C 3.7.3.2.
    pub wind_lost_kt: f64,
    /// How far along the deck a foot of height reaches, ft.
    pub along_ft: f64,
    /// Rules of thumb beside the exact values.
    pub rules: Vec<Rule>,
}

/// A rule of thumb and how far out it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rule {
    /// What it is about.
    pub about: &'static str,
    /// The rule in a few words.
    pub says: &'static str,
    /// Unit of both numbers.
    pub unit: &'static str,
    /// The exact value.
    pub exact: f64,
    /// The value by the rule.
    pub rule: f64,
    /// How much the rule is above the exact value, % of the latter.
    pub error_percent: f64,
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
    /// Altitude there by the rule of 400 ft a mile to sea level, ft: common practice, no source.
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
    /// Power that holds it, lever 0..1; null without an aeroplane or where its engine cannot hold it.
    pub lever: Option<f64>,
}

/// A path once the wind has shifted.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Shifted {
    /// How it is flown then.
    #[serde(flatten)]
    pub closing: Closing,
    /// Wind lost from 200 ft down to 20 ft then, kt.
    pub wind_lost_kt: f64,
}

/// Other winds that the path is given for, kt.
const WINDS_KT: &[f64] = &[0.0, 10.0, 20.0, 30.0];

impl PathBrief {
    /// The numbers of a descent.
    pub fn new(descent: &Descent) -> PathBrief {
        let now = Closing::of(descent, descent.wind_mps);
        let gates = descent.gates_m.iter().map(|&gate_m| GateBrief {
            distance_nm: gate_m / NM,
            altitude_ft: (descent.deck_m + gate_m * tan(descent.slope_rad)) / FT,
            to_go_s: gate_m / (now.closure_kt * KT),
            rule_ft: 400.0 * gate_m / NM,
        });
        PathBrief {
            schema: SCHEMA,
            slope_deg: descent.slope_rad / DEG,
            deck_ft: descent.deck_m / FT,
            deck_kt: descent.deck_mps / KT,
            gates: gates.collect(),
            rules: rules(descent.slope_rad, now.closure_kt, now.sink_fpm),
            now,
            after_shift: None,
            winds: WINDS_KT
                .iter()
                .map(|kt| Closing::of(descent, kt * KT))
                .filter(|closing| closing.closure_kt > 0.5)
                .collect(),
            wind_lost_kt: descent.lost_mps / KT,
            along_ft: 1.0 / tan(descent.slope_rad),
        }
    }

    /// The numbers of a drill's path, in the steady wind half way down.
    pub fn of(drill: &Drill, path: &Path) -> PathBrief {
        let glide = &path.glide;
        let half_way_m = glide.altitude_m(glide.from_m / 2.0);
        let (headwind_mps, roughness_m) = (drill.air.headwind_mps, drill.air.roughness_m);
        let gates_m = std::iter::once(glide.from_m).chain(path.gates_m.iter().copied());
        let descent = Descent {
            slope_rad: glide.slope_rad,
            deck_m: glide.aim.deck.height_m,
            deck_mps: glide.aim.deck.speed_mps,
            wind_mps: log_profile(headwind_mps, roughness_m, half_way_m),
            lost_mps: wind_lost_mps(headwind_mps, roughness_m),
            flier: Flier::Aeroplane(&drill.aircraft, half_way_m),
            gates_m: gates_m.collect(),
        };
        let shift = drill.air.shift.filter(|shift| shift.by_mps != 0.0);
        let after_shift = shift.map(|shift| {
            let after_mps = headwind_mps + shift.by_mps;
            let wind_mps = log_profile(after_mps, roughness_m, half_way_m);
            Shifted {
                closing: Closing::of(&descent, wind_mps),
                wind_lost_kt: wind_lost_mps(after_mps, roughness_m) / KT,
            }
        });
        PathBrief {
            after_shift,
            ..PathBrief::new(&descent)
        }
    }

    /// In words and tables.
    pub fn lines(&self) -> Vec<String> {
        let now = &self.now;
        let mut lines = vec![
            format!(
                "{} degree path to a {}, wind {:.0} kt",
                plain((self.slope_deg * 100.0).round() / 100.0),
                self.deck_words(),
                now.wind_kt + 0.0
            ),
            format!(
                "  closure {:.0} kt, sink {:.0} ft/min or {:.2} ft/s",
                now.closure_kt,
                now.sink_fpm,
                now.sink_fpm / 60.0
            ),
            format!(
                "  {:.2} degrees over the water, {:.2} through the air",
                now.water_deg, now.air_deg
            ),
            format!(
                "  power {}; a foot of height is {:.2} ft along the deck",
                percent(now.lever),
                self.along_ft
            ),
        ];
        if let Some(Shifted { closing, .. }) = &self.after_shift {
            lines.push(format!(
                "  once shifted: wind {:.0} kt, closure {:.0} kt, sink {:.0} ft/min, power {}",
                closing.wind_kt + 0.0,
                closing.closure_kt,
                closing.sink_fpm,
                percent(closing.lever)
            ));
        }
        lines.extend([
            String::new(),
            "  distance   altitude   to go   400 ft/nm to sea".to_string(),
        ]);
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
        lines.push(String::new());
        lines
            .push("   wind   closure         sink    power   over water   through air".to_string());
        for wind in &self.winds {
            lines.push(format!(
                "  {:>2.0} kt   {:>4.0} kt {:>5.0} ft/min {:>8} {:>8.2} deg  {:>8.2} deg",
                wind.wind_kt,
                wind.closure_kt,
                wind.sink_fpm,
                percent(wind.lever),
                wind.water_deg,
                wind.air_deg
            ));
        }
        let then_kt = self.after_shift.map(|then| then.wind_lost_kt);
        let most_kt = self.wind_lost_kt.abs().max(then_kt.unwrap_or(0.0).abs());
        if most_kt >= 0.5 {
            let then = then_kt.map(|kt| format!(", {:.1} once shifted", kt + 0.0));
            lines.push(format!(
                "  from 200 ft down to 20 ft, {:.1} kt of the wind is lost{}",
                self.wind_lost_kt + 0.0,
                then.unwrap_or_default()
            ));
        }
        lines.push(String::new());
        lines.push("  rules of thumb                            rule   exact".to_string());
        for rule in &self.rules {
            let name = format!("{}: {}", rule.about, rule.says);
            lines.push(format!(
                "  {name:<39}{:>7.1}{:>8.1} {:<6} ({:+.1} %)",
                rule.rule, rule.exact, rule.unit, rule.error_percent
            ));
        }
        lines
    }

    fn deck_words(&self) -> String {
        let height = plain(self.deck_ft.round());
        match self.deck_kt == 0.0 {
            true => format!("fixed strip at {height} ft"),
            false => format!(
                "deck at {height} ft moving away at {} kt",
                plain((self.deck_kt * 10.0).round() / 10.0)
            ),
        }
    }
}

/// Wind lost on the way down from 200 ft to 20 ft in the logarithmic profile, m/s; `headwind_mps` is that at 20 ft.
pub fn wind_lost_mps(headwind_mps: f64, roughness_m: f64) -> f64 {
    let at = |ft: f64| log_profile(headwind_mps, roughness_m, ft * FT);
    at(200.0) - at(20.0)
}

/// The 3-degree rule comes from FAA-H-8083-3C and CNATRA P-821; one in sixty and 400 ft a mile are common practice, no source.
fn rules(slope_rad: f64, closure_kt: f64, sink_fpm: f64) -> Vec<Rule> {
    let mile_ft = NM / FT;
    let five_fpm = 5.0 * closure_kt;
    let three_fpm = closure_kt * KT * tan(3.0 * DEG) / FPM;
    let slope_ft = tan(slope_rad) * mile_ft;
    let sixty_ft = slope_rad / DEG / 60.0 * mile_ft;
    let rule = |about, says, unit, rule: f64, exact: f64| Rule {
        about,
        says,
        unit,
        exact,
        rule,
        error_percent: 100.0 * (rule / exact - 1.0),
    };
    let sink = |about, exact| rule(about, "5 x closing speed", "ft/min", five_fpm, exact);
    let mile = |says, rule_ft| rule("height in a mile", says, "ft", rule_ft, slope_ft);
    vec![
        sink("sink on 3 degrees", three_fpm),
        sink("sink on this path", sink_fpm),
        mile("one in sixty a degree", sixty_ft),
        mile("400 ft (3.77 degrees)", 400.0),
    ]
}

impl Closing {
    fn of(descent: &Descent, wind_mps: f64) -> Closing {
        let (slope_rad, deck_mps) = (descent.slope_rad, descent.deck_mps);
        let (closure_mps, sink_mps, along_mps, lever) = match descent.flier {
            Flier::Speed(along_mps) => {
                let closure_mps = along_mps - wind_mps - deck_mps;
                (closure_mps, closure_mps * tan(slope_rad), along_mps, None)
            }
            Flier::Aeroplane(aircraft, h_m) => {
                let flown = power::on_path(aircraft, h_m, slope_rad, deck_mps, wind_mps);
                let lever = possible_lever(&flown.trim);
                (flown.closure_mps, flown.sink_mps, flown.along_mps, lever)
            }
        };
        Closing {
            wind_kt: wind_mps / KT,
            closure_kt: closure_mps / KT,
            sink_fpm: sink_mps / FPM,
            water_deg: atan2(sink_mps, along_mps - wind_mps) / DEG,
            air_deg: atan2(sink_mps, along_mps) / DEG,
            lever,
        }
    }
}
