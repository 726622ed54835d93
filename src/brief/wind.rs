//! What the air of a drill does, in numbers and words.

use serde::Serialize;

use crate::drill::parse::GUST_WORDS;
use crate::drill::reader::plain;
use crate::drill::{Drill, Target};
use crate::sim::air::{log_profile, scales, wind_over_deck};
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
    /// The drill's word for it, where there is one.
    pub gusts: Option<&'static str>,
    /// Root mean square of the gusts along the flight at the start, kt.
    pub gust_along_rms_kt: f64,
    /// Root mean square of the vertical gusts there, ft/min.
    pub gust_up_rms_fpm: f64,
    /// Wind over the deck, kt; null without a ship's wake.
    pub wind_over_deck_kt: Option<f64>,
}

impl AirBrief {
    /// The air of a drill; None where it is still.
    pub fn of(drill: &Drill) -> Option<AirBrief> {
        let air = &drill.air;
        if air.headwind_mps == 0.0 && air.u20_mps == 0.0 && air.wake.is_none() {
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
            lines.push("  it changes no level power, only the way over the ground".to_string());
        }
        if let Some(kt) = self.wind_over_deck_kt {
            lines.push(format!(
                "wake of a ship: {kt:.0} kt of wind over its deck; sink and less headwind close behind it"
            ));
        } else if self.gusts_u20_kt > 0.0 {
            let word = self.gusts.unwrap_or("as given");
            lines.push(format!(
                "gusts {word}: about {:.0} kt along and {:.0} ft/min up or down (rms); correct what stays, not each one",
                self.gust_along_rms_kt, self.gust_up_rms_fpm
            ));
        }
        lines
    }
}
