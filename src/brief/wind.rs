//! What the air of a drill does, in numbers and words.

use serde::Serialize;

use crate::drill::parse::GUST_WORDS;
use crate::drill::reader::{clock, plain};
use crate::drill::{Drill, Target};
use crate::sim::air::{Shift, log_profile, scales, wind_over_deck};
use crate::sim::trim;
use crate::units::{FT, KT};

/// The air of a drill that is not still.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AirBrief {
    /// Headwind at 20 ft, kt; negative is a tailwind.
    pub headwind_20_ft_kt: f64,
    /// Altitude at the start, ft.
    pub start_ft: f64,
    /// Headwind there, kt.
    pub headwind_start_kt: f64,
    /// Lowest altitude the drill asks for, ft.
    pub lowest_ft: f64,
    /// Headwind there, kt.
    pub headwind_lowest_kt: f64,
    /// The gusts' wind at 20 ft, kt.
    pub gusts_u20_kt: f64,
    /// The drill's word for the gusts, if there is one.
    pub gusts: Option<&'static str>,
    /// Root mean square of the gusts along the flight at the start, kt.
    pub gust_along_rms_kt: f64,
    /// Root mean square of the vertical gusts there, ft/min.
    pub gust_up_rms_fpm: f64,
    /// Wind over the deck, kt; null without a ship's wake.
    pub wind_over_deck_kt: Option<f64>,
    /// How the steady wind changes during the run; null where it does not.
    pub shift: Option<ShiftBrief>,
}

/// A change of the steady wind, and what it takes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ShiftBrief {
    /// When it begins, s.
    pub at_s: f64,
    /// How long it takes, s.
    pub over_s: f64,
    /// Headwind at 20 ft after it, kt.
    pub headwind_20_ft_kt: f64,
    /// Headwind after it at the altitude of the start, kt.
    pub headwind_start_kt: f64,
    /// How much more lever holds level on speed at that altitude while the shift lasts, %; negative is less.
    pub level_percent: f64,
}

impl ShiftBrief {
    fn of(drill: &Drill, shift: &Shift) -> ShiftBrief {
        let (air, aircraft) = (&drill.air, &drill.aircraft);
        let start_m = drill.start.altitude_m;
        let there = |mps: f64| log_profile(mps, air.roughness_m, start_m);
        let after_mps = air.headwind_mps + shift.by_mps;
        // Airspeed is speed over the ground plus headwind. What the wind loses has to be made up by speed over the ground,
        // and mass times that acceleration is the thrust needed on top of what holds level.
        let lost_mps2 = -there(shift.by_mps) / shift.over_s;
        let level = trim::on_speed(aircraft, start_m, 0.0);
        let engine = aircraft.mass_kg * lost_mps2 / level.thrust_n * level.engine;
        ShiftBrief {
            at_s: shift.at_s,
            over_s: shift.over_s,
            headwind_20_ft_kt: after_mps / KT,
            headwind_start_kt: there(after_mps) / KT,
            level_percent: 100.0 * engine / (1.0 - aircraft.engine.idle_fraction),
        }
    }

    /// In words; `before` has the wind before the shift.
    fn lines(&self, before: &AirBrief) -> [String; 2] {
        let (from, to) = (clock(self.at_s), clock(self.at_s + self.over_s));
        let at_start = change(before.headwind_start_kt, self.headwind_start_kt, true);
        let at_20_ft = change(before.headwind_20_ft_kt, self.headwind_20_ft_kt, false);
        let (start_ft, percent) = (plain(before.start_ft.round()), self.level_percent.abs());
        let size = match percent < 0.5 {
            true => "under 1".to_string(),
            false => format!("about {percent:.0}"),
        };
        let does = match self.level_percent > 0.0 {
            true => "more lever: it costs airspeed, and so height",
            false => "less lever: it gives airspeed, and so height",
        };
        [
            format!(
                "  it shifts {from} to {to}: {at_start} kt at {start_ft} ft, {at_20_ft} at 20 ft"
            ),
            format!("  meanwhile level takes {size} % {does}"),
        ]
    }
}

/// "headwind 16 to 10", "headwind 4 to tailwind 2"; only the numbers where `is_named` is false.
fn change(from_kt: f64, to_kt: f64, is_named: bool) -> String {
    let word = |kt: f64| match (is_named, kt > 0.0) {
        (false, _) => "",
        (true, true) => "headwind ",
        (true, false) => "tailwind ",
    };
    // A wind that starts from 0 is named after what it becomes.
    let first = word(if from_kt == 0.0 { to_kt } else { from_kt });
    let second = match from_kt * to_kt < 0.0 {
        true => word(to_kt),
        false => "",
    };
    let (from, to) = (from_kt.abs(), to_kt.abs());
    format!("{first}{from:.0} to {second}{to:.0}")
}

impl AirBrief {
    /// The air of a drill; None where it is still.
    pub fn of(drill: &Drill) -> Option<AirBrief> {
        let air = &drill.air;
        let shift = air.shift.filter(|shift| shift.by_mps != 0.0);
        if air.headwind_mps == 0.0 && air.u20_mps == 0.0 && air.wake.is_none() && shift.is_none() {
            return None;
        }
        let start_m = drill.start.altitude_m;
        let asked_m = drill
            .tasks
            .iter()
            .filter_map(|task| match task.kind.target()? {
                Target::Altitude { altitude_m, .. } => Some(altitude_m),
                Target::Path(glide) => Some(glide.aim.deck.height_m),
                Target::Vertical { .. } => None,
            });
        let lowest_m = asked_m.fold(start_m, f64::min);
        let headwind_kt = |h_m: f64| log_profile(air.headwind_mps, air.roughness_m, h_m) / KT;
        let gusts = scales(start_m, air.u20_mps);
        let u20_kt = air.u20_mps / KT;
        Some(AirBrief {
            headwind_20_ft_kt: air.headwind_mps / KT,
            start_ft: start_m / FT,
            headwind_start_kt: headwind_kt(start_m),
            lowest_ft: lowest_m / FT,
            headwind_lowest_kt: headwind_kt(lowest_m),
            gusts_u20_kt: u20_kt,
            gusts: GUST_WORDS
                .iter()
                .find(|(_, kt)| (kt - u20_kt).abs() < 1e-9)
                .map(|(word, _)| *word),
            gust_along_rms_kt: gusts.sigma_u_mps / KT,
            gust_up_rms_fpm: gusts.sigma_w_mps / FT * 60.0,
            wind_over_deck_kt: air.wake.as_ref().map(|_| wind_over_deck(air) / KT),
            shift: shift.map(|shift| ShiftBrief::of(drill, &shift)),
        })
    }

    /// In words.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = Vec::new();
        if self.headwind_20_ft_kt != 0.0 {
            let word = if self.headwind_20_ft_kt > 0.0 {
                "headwind"
            } else {
                "tailwind"
            };
            let mut line = format!(
                "{word} {:.0} kt at {} ft",
                self.headwind_start_kt.abs(),
                plain(self.start_ft.round())
            );
            if self.lowest_ft.round() != self.start_ft.round() {
                line += &format!(
                    ", {:.0} kt at {} ft",
                    self.headwind_lowest_kt.abs(),
                    plain(self.lowest_ft.round())
                );
            }
            line += &format!(", {:.0} kt at 20 ft", self.headwind_20_ft_kt.abs());
            lines.push(line);
            let steady = match self.shift {
                Some(_) => "while steady, ",
                None => "",
            };
            lines.push(format!(
                "  {steady}it changes the speed over the ground, not level power"
            ));
        } else if self.shift.is_some() {
            lines.push("no steady wind at first".to_string());
        }
        lines.extend(self.shift.iter().flat_map(|shift| shift.lines(self)));
        if let Some(kt) = self.wind_over_deck_kt {
            lines.push(format!(
                "ship's wake: {kt:.0} kt over its deck; close behind it, sink and less headwind"
            ));
            lines.push(
                "  the moves are for its steady part; its gusts need answers of your own"
                    .to_string(),
            );
        } else if self.gusts_u20_kt > 0.0 {
            let word = self.gusts.unwrap_or("as given");
            lines.push(format!(
                "gusts {word}: {:.1} kt along, {:.0} ft/min up or down (rms); leave single ones alone",
                self.gust_along_rms_kt, self.gust_up_rms_fpm
            ));
            lines.push("  the moves are for the air without them".to_string());
        }
        lines
    }
}
