//! `path`: a straight descent to the aim point of a deck, and how it ends.

use super::parse;
use super::reader::{FileError, Table};
use crate::sim::air::{Air, Wind};
use crate::sim::aircraft::Aircraft;
use crate::sim::deck::AimPoint;
use crate::sim::dynamics::{State, step};
use crate::sim::math::{halved, tan};
use crate::units::{DEG, FT, NM, TICK_S, TICKS_PER_S};

pub const KEYS: &[&str] = &["slope_deg", "from_nm", "band_ft", "gates_nm", "show_nm"];

/// Lever that counts as full power.
pub const FULL_POWER: f64 = 0.98;
/// Ticks of climbing at full power that make a go-around.
const GONE_TICKS: u64 = 2 * TICKS_PER_S;
/// Ticks of being low or sinking fast that make a call.
const CALL_TICKS: u64 = TICKS_PER_S / 2;
/// A go-around is called below this height above the mean deck, m.
const CALL_BELOW_M: f64 = 300.0 * FT;
/// Sink, as a multiple of the path's, beyond which the aeroplane sinks too fast wherever it is.
const CALL_SINK: f64 = 1.4;
/// This many half-widths below the path, a call does not wait for the last moment.
const CALL_AT_ONCE: f64 = 2.0;
/// How often it is checked whether a called go-around can still be flown, ticks.
const LOOK_TICKS: u64 = TICKS_PER_S / 4;
/// Time from the call to full power, ticks, and the height above the mean deck that has to be kept then, m.
const ANSWER_TICKS: u64 = 3 * TICKS_PER_S / 2;
const CLEAR_M: f64 = 10.0 * FT;
/// Ticks at rest on a moving deck.
const REST_TICKS: u64 = 2 * TICKS_PER_S;

/// A straight descent to the aim point.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// The line and its band.
    pub glide: Glide,
    /// Distances of the gates from the aim point, m, descending.
    pub gates_m: Vec<f64>,
    /// Distance from which on the path is shown in flight, m; None: all the way. It is scored the same either way.
    pub show_m: Option<f64>,
}

/// The line down to the aim point, in the deck's frame, and the tolerance around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Glide {
    /// Where it leads.
    pub aim: AimPoint,
    /// Slope against the deck, rad, + down.
    pub slope_rad: f64,
    /// Distance from which on it is scored, m.
    pub from_m: f64,
    /// Half-width of the band there and beyond, m.
    pub band_m: f64,
}

impl Glide {
    /// Altitude of the line at a distance in m.
    pub fn altitude_m(&self, distance_m: f64) -> f64 {
        self.aim.deck.height_m + distance_m * tan(self.slope_rad)
    }

    /// Half-width of the band at a distance, m: linear from the aim point, where it is half the zone on the slope.
    pub fn half_width_m(&self, distance_m: f64) -> f64 {
        let at_aim_m = self.aim.deck.zone_m / 2.0 * tan(self.slope_rad);
        let share = (distance_m / self.from_m).clamp(0.0, 1.0);
        at_aim_m + share * (self.band_m - at_aim_m)
    }

    /// Distance to the aim point at a tick, m.
    pub fn distance_m(&self, state: &State, tick: u64) -> f64 {
        self.aim.distance_m(state.x_m, tick)
    }

    /// How far a state is above the line, m.
    pub fn deviation_m(&self, state: &State, tick: u64) -> f64 {
        state.h_m - self.altitude_m(self.distance_m(state, tick))
    }

    /// How fast the distance shrinks, m/s.
    pub fn closure_mps(&self, state: &State) -> f64 {
        state.vx_mps - self.aim.deck.speed_mps
    }
}

/// How an approach ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Below the deck before reaching it.
    Short,
    /// Down in the zone.
    InZone,
    /// Not down before the zone's end.
    Past,
    /// Full power and climbing away.
    WentAround,
}

impl Outcome {
    /// Its name in figures.
    pub fn word(self) -> &'static str {
        match self {
            Outcome::Short => "short",
            Outcome::InZone => "in_zone",
            Outcome::Past => "past",
            Outcome::WentAround => "went_around",
        }
    }
}

/// Why a go-around was called.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Call {
    /// Below the path.
    Low,
    /// Sinking too fast.
    Sinking,
}

/// How many ticks in a row each reason for a call has held.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Reasons {
    /// Below the path by the local half-width.
    low: u64,
    /// Below it by so much that the call comes at once.
    very_low: u64,
    /// Sinking too fast.
    sinking: u64,
}

/// The meeting with the deck.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touchdown {
    /// When it happened, s into the run.
    pub t_s: f64,
    /// Distance before the aim point, m; negative past it.
    pub distance_m: f64,
    /// Sink relative to the deck, m/s, + down.
    pub sink_mps: f64,
    /// Sink relative to the deck at its mean height, over that of the path at this closure.
    pub sink_share: f64,
}

/// The progress of an approach.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Approach {
    reasons: Reasons,
    climbing_ticks: u64,
    rest_ticks: u64,
    /// When a go-around was called and why: tick.
    pub called: Option<(u64, Call)>,
    /// How it ended.
    pub outcome: Option<Outcome>,
    /// The meeting with the deck, in the zone.
    pub touchdown: Option<Touchdown>,
    /// Tick at whose beginning the lever was first at full power after the touchdown.
    pub full_power_tick: Option<u64>,
}

/// A tick as it was flown.
pub struct FlownTick<'a> {
    /// The aeroplane.
    pub aircraft: &'a Aircraft,
    /// State at its beginning.
    pub before: &'a State,
    /// State at its end.
    pub after: &'a State,
    /// The wind over it.
    pub wind: &'a Wind,
    /// The steady wind by height.
    pub air: &'a Air,
    /// The lever over it.
    pub lever: f64,
    /// Number of the tick, which spans from this one to the next.
    pub tick: u64,
}

impl Approach {
    /// Whether the aeroplane stands on the deck.
    pub fn is_down(&self) -> bool {
        self.touchdown.is_some()
    }

    /// Whether the reason for which a go-around was called still holds.
    pub fn is_still_called_for(&self) -> bool {
        match self.called {
            Some((_, Call::Low)) => self.reasons.low > 0,
            Some((_, Call::Sinking)) => self.reasons.sinking > 0,
            None => false,
        }
    }

    /// Whether it went around as it was called to.
    pub fn has_obeyed(&self) -> bool {
        self.called.is_some() && self.outcome == Some(Outcome::WentAround)
    }

    /// Takes in a tick; true once the approach is over.
    pub fn advance(&mut self, glide: &Glide, flown: &FlownTick) -> bool {
        if self.is_down() {
            return self.rest(glide, flown);
        }
        self.outcome = self.judge(glide, flown);
        if self.outcome == Some(Outcome::InZone) && glide.aim.deck.moves() {
            return false;
        }
        self.outcome.is_some()
    }

    fn rest(&mut self, glide: &Glide, flown: &FlownTick) -> bool {
        debug_assert!(glide.aim.deck.moves());
        if self.full_power_tick.is_none() && flown.lever >= FULL_POWER {
            self.full_power_tick = Some(flown.tick);
        }
        self.rest_ticks += 1;
        self.rest_ticks >= REST_TICKS
    }

    fn judge(&mut self, glide: &Glide, flown: &FlownTick) -> Option<Outcome> {
        let half_zone_m = glide.aim.deck.zone_m / 2.0;
        let end = flown.tick + 1;
        let before_m = glide.distance_m(flown.before, flown.tick);
        let after_m = glide.distance_m(flown.after, end);
        let climbing = flown.lever >= FULL_POWER && flown.after.vz_mps > 0.0;
        self.climbing_ticks = if climbing { self.climbing_ticks + 1 } else { 0 };
        if after_m > half_zone_m {
            if flown.after.h_m <= 0.0 {
                return Some(Outcome::Short);
            }
            self.listen_for_call(glide, flown, end);
            return (self.climbing_ticks >= GONE_TICKS).then_some(Outcome::WentAround);
        }
        // Share of the tick after which the aeroplane is over the deck.
        let over_from = match before_m > half_zone_m {
            true => (before_m - half_zone_m) / (before_m - after_m),
            false => 0.0,
        };
        if before_m > half_zone_m && height_over_deck_m(glide, flown, over_from) < 0.0 {
            return Some(Outcome::Short);
        }
        if height_over_deck_m(glide, flown, 1.0) <= 0.0 {
            let share = contact(glide, flown, over_from);
            let touchdown = touchdown(glide, flown, share);
            if touchdown.distance_m < -half_zone_m {
                return Some(Outcome::Past);
            }
            if flown.lever >= FULL_POWER {
                self.full_power_tick = Some(flown.tick);
            }
            self.touchdown = Some(touchdown);
            return Some(Outcome::InZone);
        }
        (after_m < -half_zone_m).then_some(Outcome::Past)
    }

    /// A go-around is called once, and only while full power can still save the aeroplane: as soon as it is very low, or,
    /// where it is low or sinking fast, at the last moment.
    fn listen_for_call(&mut self, glide: &Glide, flown: &FlownTick, end: u64) {
        let state = flown.after;
        let half_width_m = glide.half_width_m(glide.distance_m(state, end));
        let below_m = -glide.deviation_m(state, end);
        let path_sink_mps = glide.closure_mps(state) * tan(glide.slope_rad);
        let count = |reason: bool, ticks: u64| if reason { ticks + 1 } else { 0 };
        self.reasons = Reasons {
            low: count(below_m > half_width_m, self.reasons.low),
            very_low: count(below_m > CALL_AT_ONCE * half_width_m, self.reasons.very_low),
            sinking: count(
                -state.vz_mps > CALL_SINK * path_sink_mps,
                self.reasons.sinking,
            ),
        };
        if self.called.is_some() || state.h_m - glide.aim.deck.height_m >= CALL_BELOW_M {
            return;
        }
        let call = match (
            self.reasons.low >= CALL_TICKS,
            self.reasons.sinking >= CALL_TICKS,
        ) {
            (true, _) => Call::Low,
            (_, true) => Call::Sinking,
            _ => return,
        };
        let at_once = self.reasons.very_low >= CALL_TICKS;
        let looks = end.is_multiple_of(LOOK_TICKS);
        if !at_once && !looks || !is_flyable(glide, flown, ANSWER_TICKS) {
            return;
        }
        if at_once || !is_flyable(glide, flown, ANSWER_TICKS + LOOK_TICKS) {
            self.called = Some((end, call));
        }
    }

    /// From touchdown to full power, s.
    pub fn full_power_s(&self) -> Option<f64> {
        let touchdown = self.touchdown?;
        Some((self.full_power_tick? as f64 * TICK_S - touchdown.t_s).max(0.0))
    }

    /// Whether a called go-around was not flown.
    pub fn missed(&self) -> bool {
        self.called.is_some() && self.outcome != Some(Outcome::WentAround)
    }
}

/// Whether full power `after` ticks after the end of a tick, with the lever left alone until then, keeps the aeroplane
/// clear of the mean deck's plane until it climbs, in the mean wind with its shift.
fn is_flyable(glide: &Glide, flown: &FlownTick, after: u64) -> bool {
    /// An engine that has not stopped the sink by then never will.
    const LONGEST: u64 = 60 * TICKS_PER_S;
    let floor_m = glide.aim.deck.height_m + CLEAR_M;
    let mut state = *flown.after;
    for tick in 0..LONGEST {
        if state.h_m < floor_m {
            return false;
        }
        if tick >= after && state.vz_mps > 0.0 {
            return true;
        }
        let lever = if tick < after { flown.lever } else { 1.0 };
        state = step(
            flown.aircraft,
            &state,
            lever,
            &flown.air.mean_at(flown.tick + 1 + tick, state.h_m),
            TICK_S,
        );
    }
    false
}

/// How long full power can still wait until a go-around is no longer possible, s, in steps of a quarter of a second, up to
/// `most_s`; None where it is too late already.
pub fn time_left_s(glide: &Glide, flown: &FlownTick, most_s: f64) -> Option<f64> {
    let looks = (most_s * TICKS_PER_S as f64) as u64 / LOOK_TICKS;
    let waits = (0..=looks).take_while(|look| is_flyable(glide, flown, look * LOOK_TICKS));
    waits.last().map(|look| (look * LOOK_TICKS) as f64 * TICK_S)
}

/// The state after a share of a tick.
fn within(flown: &FlownTick, share: f64) -> State {
    step(
        flown.aircraft,
        flown.before,
        flown.lever,
        flown.wind,
        share * TICK_S,
    )
}

fn height_over_deck_m(glide: &Glide, flown: &FlownTick, share: f64) -> f64 {
    let t_s = (flown.tick as f64 + share) * TICK_S;
    let deck = &glide.aim.deck;
    within(flown, share).h_m - deck.height_m - deck.heave_at_m(t_s)
}

/// The share of the tick at which the aeroplane meets the deck, by halving: to well under a microsecond.
fn contact(glide: &Glide, flown: &FlownTick, from: f64) -> f64 {
    let is_below = |share: f64| height_over_deck_m(glide, flown, share) <= 0.0;
    halved(40, (from, 1.0), is_below).1
}

fn touchdown(glide: &Glide, flown: &FlownTick, share: f64) -> Touchdown {
    let state = within(flown, share);
    let t_s = (flown.tick as f64 + share) * TICK_S;
    let deck = &glide.aim.deck;
    Touchdown {
        t_s,
        distance_m: glide.aim.start_m - state.x_m + deck.speed_mps * t_s,
        sink_mps: deck.heave_rate_mps(t_s) - state.vz_mps,
        sink_share: -state.vz_mps / (glide.closure_mps(&state) * tan(glide.slope_rad)),
    }
}

impl Path {
    pub fn read(table: &Table, aim: AimPoint) -> Result<Path, FileError> {
        let slope = table.number("slope_deg", 1.0..=8.0, None)?;
        let from = table.number("from_nm", 0.1..=15.0, None)?;
        let band = table.number("band_ft", parse::BAND_FT, None)?;
        let gates = table.numbers("gates_nm", 0.0..=15.0, "a list of distances")?;
        let descending = gates.value.windows(2).all(|pair| pair[0] > pair[1]);
        let inside = gates
            .value
            .iter()
            .all(|gate| *gate > 0.0 && *gate < from.value);
        if !descending || !inside {
            let message = format!(
                "`gates_nm` is out of order or out of range; distances must descend, between 0 and from_nm, {}",
                from.value
            );
            return Err(table.error(gates.at, message));
        }
        let show = table.optional_number("show_nm", 0.1..=15.0)?;
        if let Some(show) = show.filter(|show| show.value > from.value) {
            let message = format!(
                "`show_nm` is {}, farther out than the path counts; give at most from_nm, {}",
                show.value, from.value
            );
            return Err(table.error(show.at, message));
        }
        Ok(Path {
            glide: Glide {
                aim,
                slope_rad: slope.value * DEG,
                from_m: from.value * NM,
                band_m: band.value * FT,
            },
            gates_m: gates.value.iter().map(|gate| gate * NM).collect(),
            show_m: show.map(|show| show.value * NM),
        })
    }
}
