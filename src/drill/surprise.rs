//! `surprise`: a series of holds, steps and rates drawn from the seed, called one at a time.

use super::reader::{FileError, Table, plain};
use super::{Hold, Kind, Rate, Step, parse};
use crate::sim::air::noise::{Noise, Stream};
use crate::sim::aircraft::Aircraft;
use crate::sim::trim;
use crate::units::{FPM, FT};

pub const KEYS: &[&str] = &[
    "count", "kinds", "low_ft", "high_ft", "max_fpm", "band_ft", "band_fpm", "hold_s", "within_s",
];

/// The kinds that can be drawn.
const DRAWN: &[&str] = &["hold", "step", "rate"];
/// The least length of a drawn step, bands.
const STEP_BANDS: f64 = 4.0;
/// Drawn rates are whole multiples of this, ft/min.
const RATE_GRID_FPM: f64 = 100.0;
/// Where none of those fits and nothing else may be drawn, rates are multiples of this, ft/min.
const FINE_GRID_FPM: f64 = 10.0;
/// Random shares set aside for each drawn task: its kind and its number.
const SHARES: u64 = 2;

/// The limits within which tasks are drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Surprise {
    /// How many tasks are drawn.
    pub count: u32,
    pub kinds: Vec<&'static str>,
    /// Lowest altitude asked for, m.
    pub low_m: f64,
    /// Highest altitude asked for, m.
    pub high_m: f64,
    /// Largest vertical speed asked for, m/s.
    pub max_mps: f64,
    /// Half-width of the bands of altitudes, m.
    pub band_m: f64,
    /// Half-width of the bands of vertical speeds, m/s.
    pub band_mps: f64,
    /// Length of every stay and of every hold, s.
    pub hold_s: f64,
    /// Time allowed for every step and rate, s.
    pub within_s: f64,
}

/// The situation that the next task is drawn for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Before {
    /// The altitude asked for last, m.
    pub altitude_m: f64,
    /// The vertical speed asked for last, m/s; 0 after a hold or a step.
    pub vertical_mps: f64,
    /// Whether a rate was asked for last.
    pub after_rate: bool,
    /// The altitude now, m.
    pub now_m: f64,
    /// The vertical speed now, m/s.
    pub now_mps: f64,
}

impl Surprise {
    /// Reads a surprise, and refuses it where its limits leave nothing to draw.
    pub fn read(
        table: &Table,
        aircraft: &Aircraft,
        after_rate: bool,
    ) -> Result<Surprise, FileError> {
        // The lowest rate there is: it grows with height.
        let rate_mps = trim::three_degrees(aircraft, 0.0).rate_mps;
        let count = table.count("count", 1..=50, None)?;
        let kinds = table.words("kinds", DRAWN)?;
        let low = table.number("low_ft", parse::ALTITUDE_FT, None)?;
        let high = table.number("high_ft", parse::ALTITUDE_FT, None)?;
        let max = table.number("max_fpm", 100.0..=2000.0, None)?;
        let band = table.number("band_ft", parse::BAND_FT, None)?;
        let band_fpm = table.number("band_fpm", parse::BAND_FPM, None)?;
        let hold = table.number("hold_s", parse::SECONDS, None)?;
        let within = table.number("within_s", parse::SECONDS, None)?;
        // Wide enough that from anywhere inside there is a step of four bands one way or the other.
        let least_ft = 2.0 * STEP_BANDS * band.value;
        if high.value - low.value < least_ft {
            let message = format!(
                "`high_ft` is {}, low_ft {}; steps of four bands either way need {} ft between them",
                plain(high.value),
                plain(low.value),
                plain(least_ft)
            );
            return Err(table.error(high.at, message));
        }
        if max.value <= band_fpm.value {
            let message = format!(
                "`max_fpm` is {}, inside the band of {}; it must be larger than band_fpm",
                plain(max.value),
                plain(band_fpm.value)
            );
            return Err(table.error(max.at, message));
        }
        let least_s = STEP_BANDS * band.value * FT / rate_mps + 5.0;
        if within.value < least_s {
            let message = format!(
                "`within_s` is {}; a step of four bands at the 3-degree rate plus 5 s needs at least {:.1}",
                plain(within.value),
                (least_s * 10.0).ceil() / 10.0
            );
            return Err(table.error(within.at, message));
        }
        if after_rate && kinds.value == ["hold"] {
            let message = "`kinds` is only hold straight after a rate; put a step between, to say where to hold";
            return Err(table.error(kinds.at, message));
        }
        let surprise = Surprise {
            count: count.value,
            kinds: kinds.value,
            low_m: low.value * FT,
            high_m: high.value * FT,
            max_mps: max.value * FPM,
            band_m: band.value * FT,
            band_mps: band_fpm.value * FPM,
            hold_s: hold.value,
            within_s: within.value,
        };
        if surprise.kinds.contains(&"rate") && !surprise.draws_steps() {
            let (least_fpm, most_fpm) = surprise.rates_fpm(aircraft);
            // The rate asked for last and the one flown now rule out two bands each; a
            // rate on the fine grid is drawn from the rest.
            let wide_fpm = 4.0 * band_fpm.value + 3.0 * FINE_GRID_FPM;
            if most_fpm - least_fpm < wide_fpm {
                let message = format!(
                    "`max_fpm` leaves rates from {} to {} ft/min; if no steps are drawn in their place, they need {} from end to end",
                    plain(least_fpm),
                    plain(most_fpm),
                    plain(wide_fpm)
                );
                return Err(table.error(max.at, message));
            }
        }
        Ok(surprise)
    }

    fn draws_steps(&self) -> bool {
        self.kinds.contains(&"step")
    }

    /// The lowest and the highest rate on the grid that the engine can hold at both limits of altitude, ft/min.
    fn rates_fpm(&self, aircraft: &Aircraft) -> (f64, f64) {
        let most = (self.max_mps / FPM / RATE_GRID_FPM + 1e-9).floor() as i64;
        let fpm = |grid: i64| grid as f64 * RATE_GRID_FPM;
        let holds = |grid: &i64| {
            [self.low_m, self.high_m]
                .iter()
                .all(|h_m| trim::at_vertical(aircraft, *h_m, fpm(*grid) * FPM).is_possible())
        };
        let lowest = (-most..=0).find(holds).unwrap_or(0);
        let highest = (0..=most).rev().find(holds).unwrap_or(0);
        (fpm(lowest), fpm(highest))
    }

    /// The task drawn as number `index` with a seed. The random numbers depend on (seed, index) only; the task made of them
    /// also depends on what was asked before and on where the aeroplane is.
    pub fn draw(&self, aircraft: &Aircraft, seed: u64, index: u64, before: &Before) -> Kind {
        let mut chance = Chance(Noise::new(seed, Stream::Surprise));
        for _ in 0..SHARES * index {
            chance.0.share();
        }
        let possible: Vec<&str> = self
            .kinds
            .iter()
            .copied()
            .filter(|kind| *kind != "hold" || !before.after_rate)
            .collect();
        match chance.pick(&possible) {
            Some("step") => self.draw_step(aircraft, &mut chance, before),
            Some("rate") => match self.draw_rate(aircraft, &mut chance, before) {
                Some(rate) => rate,
                None if self.draws_steps() => self.draw_step(aircraft, &mut chance, before),
                None => self.any_rate(aircraft, before),
            },
            // The reader allows no surprise in which this would follow a rate.
            _ => Kind::Hold(Hold {
                altitude_m: before.altitude_m,
                band_m: self.band_m,
                seconds: self.hold_s,
            }),
        }
    }

    /// A step of at least four bands from what was asked last or, after a rate, from where the aeroplane is, and short enough
    /// for the time allowed, in whole tens of feet.
    fn draw_step(&self, aircraft: &Aircraft, chance: &mut Chance, before: &Before) -> Kind {
        const GRID_M: f64 = 10.0 * FT;
        let from_m = if before.after_rate {
            before.now_m
        } else {
            before.altitude_m
        };
        let rate_mps = trim::three_degrees(aircraft, from_m).rate_mps;
        let longest_m = rate_mps * (self.within_s - 5.0);
        let shortest_m = STEP_BANDS * self.band_m;
        let lowest = (self.low_m / GRID_M).ceil() as i64;
        let highest = (self.high_m / GRID_M).floor() as i64;
        let fits = |grid: &i64| {
            let change_m = (*grid as f64 * GRID_M - from_m).abs();
            (shortest_m..=longest_m).contains(&change_m)
        };
        let candidates: Vec<i64> = (lowest..=highest).filter(fits).collect();
        // Where nothing fits, the step goes inwards: from outside the limits to their nearest end, but no nearer than
        // four bands and no farther than the time allows.
        let inwards = (0.5 * (self.low_m + self.high_m) - from_m).signum();
        let outside_m = (from_m.clamp(self.low_m, self.high_m) - from_m).abs();
        let nearest_m = from_m + inwards * outside_m.min(longest_m).max(shortest_m);
        let altitude_m = chance
            .pick(&candidates)
            .map_or(nearest_m, |grid| grid as f64 * GRID_M);
        Kind::Step(Step {
            altitude_m,
            band_m: self.band_m,
            hold_s: self.hold_s,
            within_s: self.within_s,
        })
    }

    /// A vertical speed that the engine can hold, that is new, and that stays inside the limits for as long as it is
    /// asked for, in whole hundreds of feet a minute.
    fn draw_rate(&self, aircraft: &Aircraft, chance: &mut Chance, before: &Before) -> Option<Kind> {
        let fits = |mps: &f64| {
            *mps != 0.0 && self.leaves_m(*mps, before) == 0.0 && holds(aircraft, *mps, before)
        };
        let candidates: Vec<f64> = self.news(RATE_GRID_FPM, before).filter(fits).collect();
        chance.pick(&candidates).map(|mps| self.rate(mps))
    }

    /// Where none stays inside the limits and no step may be drawn instead: the one that leaves them least.
    fn any_rate(&self, aircraft: &Aircraft, before: &Before) -> Kind {
        let all: Vec<f64> = self.news(FINE_GRID_FPM, before).collect();
        let held = all.iter().filter(|mps| holds(aircraft, **mps, before));
        let leaves = |mps: &&f64| self.leaves_m(**mps, before);
        let least = held.min_by(|a, b| leaves(a).total_cmp(&leaves(b)));
        // Far from the limits the engine may be too weak for all of them.
        let mps = least.or(all.first()).copied().unwrap_or(-self.max_mps);
        self.rate(mps)
    }

    /// Vertical speeds on a grid whose band holds neither the one asked for last nor the present one.
    fn news(&self, grid_fpm: f64, before: &Before) -> impl Iterator<Item = f64> {
        /// Makes a change of exactly the band count as none, however binary rounding falls.
        const HAIR_MPS: f64 = 1e-9;
        let grid_mps = grid_fpm * FPM;
        let most = (self.max_mps / grid_mps + 1e-9).floor() as i64;
        let (asked_mps, now_mps) = (before.vertical_mps, before.now_mps);
        let beyond_mps = self.band_mps + HAIR_MPS;
        (-most..=most)
            .map(move |grid| grid as f64 * grid_mps)
            .filter(move |mps| {
                (mps - asked_mps).abs() > beyond_mps && (mps - now_mps).abs() > beyond_mps
            })
    }

    /// How far a vertical speed carries the aeroplane out of the limits while it is asked for, m.
    fn leaves_m(&self, mps: f64, before: &Before) -> f64 {
        /// Time until the rate is reached, for the height it needs, s.
        const ARRIVAL_S: f64 = 10.0;
        let ends_m = before.now_m + mps * (self.hold_s + ARRIVAL_S);
        (ends_m - ends_m.clamp(self.low_m, self.high_m)).abs()
    }

    fn rate(&self, vertical_mps: f64) -> Kind {
        Kind::Rate(Rate {
            vertical_mps,
            band_mps: self.band_mps,
            hold_s: self.hold_s,
            within_s: self.within_s,
        })
    }
}

/// Whether the engine can hold a vertical speed where the aeroplane is.
fn holds(aircraft: &Aircraft, vertical_mps: f64, before: &Before) -> bool {
    trim::at_vertical(aircraft, before.now_m, vertical_mps).is_possible()
}

struct Chance(Noise);

impl Chance {
    /// One of some values, all equally likely; None where there are none.
    fn pick<T: Copy>(&mut self, from: &[T]) -> Option<T> {
        let index = (self.0.share() * from.len() as f64) as usize;
        from.get(index).copied()
    }
}
