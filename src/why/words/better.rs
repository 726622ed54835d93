//! The lever moves of a line's better flight, in words that a person can follow.

use super::{AT_ONCE, NO_WAIT, SEVERAL, Said, levers_of};
use crate::drill::reader::plain;
use crate::drill::{self, Target};
use crate::plan::Move;
use crate::plan::recipe::set;
use crate::run::Run;
use crate::run::moves::{Lever, LeverMove, flown_until};
use crate::score::series::median;
use crate::sim::trim;
use crate::units::{TICK_S, TICKS_PER_S};
use crate::why::LineKind;
use crate::why::explain::cures::SOON;

/// The aeroplane does not stop with the lever farther than this from the power that is kept at the end, over the lever of 3
/// degrees.
const STOPS: f64 = 0.25;
/// Of a flight by `steady` the first moves say most. A path is visible all the way down, and the moves after the first two only
/// trim it.
const MOST: usize = 3;
const MOST_OF_PATH: usize = 2;
const AT_ONCE_CUE: &str = "at once";
/// `steady` looks again within this time and corrects itself, ticks.
const LOOKS: u64 = 2 * TICKS_PER_S;

/// A move in words, and its tick if it is not the brief's.
struct Told {
    lever: f64,
    to: String,
    cue: String,
    tick: Option<u64>,
}

/// A recipe's moves in the brief's words; `kept` is where the lever is before them.
fn by_recipe<'a>(recipe: impl Iterator<Item = &'a Move>, kept: &str) -> Vec<Told> {
    let mut moves = Vec::from_iter(recipe.map(|m| Told {
        lever: m.lever,
        to: set(m.lever),
        cue: m.cue(),
        tick: None,
    }));
    let is_left = moves
        .first()
        .is_some_and(|m| m.to == kept && m.cue == AT_ONCE_CUE);
    moves.drain(..usize::from(is_left));
    moves
}

impl Said<'_> {
    /// Whether the better flight's first move changes the lever to the side on which it was missing, or there is no move to
    /// make.
    pub(super) fn first_helps(&self) -> bool {
        let moves = self.better_moves_made().unwrap_or_default();
        let is_high = self.line.kind == LineKind::LeverHigh;
        let first = moves.first().filter(|m| m.start < self.line.when.end);
        first.is_none_or(|first| (first.by() < 0.0) == is_high)
    }

    /// The better flight's first move, and with `all` those that follow.
    pub(super) fn moves(&self, all: bool) -> Option<String> {
        let (better, from) = self.better?;
        let soon = self.leg.start.max(from) + AT_ONCE;
        let last = better.trace().ticks() as u64;
        let (kept, told) = match self.recipe {
            Some(recipe) => {
                let kept = set(self.lever.before);
                let told = by_recipe(recipe.iter().take(self.most()), &kept);
                (kept, told)
            }
            None => {
                let kept = better.trace().lever_at(soon.min(last) as usize);
                (set(kept), self.by_flight(better)?)
            }
        };
        let Some((first, then)) = told.split_first() else {
            // All there is to do is to leave the lever where it is, perhaps only for as long as the line lasts.
            let is_known = !self.missed_a_call();
            return is_known.then(|| format!("leave the lever at {kept}"));
        };
        let Told { to, cue, tick, .. } = first;
        let until = self.line.until.unwrap_or(u64::MAX);
        let is_later = tick.is_none_or(|tick| tick > soon) && *cue != AT_ONCE_CUE;
        let is_kept = is_later && (all || tick.is_some_and(|tick| tick > until + TICKS_PER_S));
        if !all && tick.is_some_and(|tick| tick > soon.max(self.line.when.end)) {
            return Some(format!("leave the lever at {kept}"));
        }
        if is_kept && kept == *to && then.is_empty() {
            return Some(format!("leave the lever at {kept}"));
        }
        let is_clock = cue.contains(':');
        let is_answer =
            !all && is_clock && tick.is_some_and(|tick| tick >= until && tick - until <= LOOKS);
        let told = match is_kept {
            true => {
                let until = match cue.strip_suffix(" later") {
                    Some(after) => format!("for {after}"),
                    None => format!("until {}", cue.strip_prefix("at ").unwrap_or(cue)),
                };
                format!("keep the lever at {kept} {until}, then take it to {to}")
            }
            // The better flight takes over at the last moment and moves a little later: that is not a cue.
            false if is_answer => format!("take the lever to {to} at once"),
            false => format!("take the lever to {to} {cue}"),
        };
        let holds = self.holds(better, then.last().unwrap_or(first).lever);
        let then = then.iter().filter(|_| all);
        let told = then.fold(told, |told, Told { to, cue, .. }| {
            format!("{told}, then to {to} {cue}")
        });
        Some(match holds.filter(|_| all) {
            Some(holds) => format!("{told}; {holds}"),
            None => told,
        })
    }

    /// The power that keeps what is asked in the end, where the moves that are mentioned do not come near it.
    fn holds(&self, better: &Run, last: f64) -> Option<String> {
        // A recipe that is mentioned whole ends with it.
        if self
            .recipe
            .is_some_and(|recipe| recipe.len() <= self.most())
        {
            return None;
        }
        let aircraft = &self.run.drill().aircraft;
        let end = flown_until(better) as u64;
        let (power, what) = match &self.leg.target {
            Target::Path(_) => {
                let kept = levers_of(better, end.saturating_sub(SEVERAL)..end);
                (median(kept)?, "the path")
            }
            Target::Vertical { vertical_mps, .. } => {
                let h_m = better.trace().state(end as usize).h_m;
                let steady = trim::at_vertical(aircraft, h_m, *vertical_mps);
                (steady.lever, "the rate")
            }
            Target::Altitude { altitude_m, .. } => {
                let level = trim::on_speed(aircraft, *altitude_m, 0.0);
                (level.lever, "the number")
            }
        };
        let is_apart = (power - last).abs() > self.least;
        is_apart.then(|| format!("about {} holds {what}", set(power)))
    }

    /// The largest number of moves that are mentioned.
    fn most(&self) -> usize {
        match self.leg.target {
            Target::Path(_) => MOST_OF_PATH,
            _ => usize::MAX,
        }
    }

    /// The moves of a flight in words, up to the one that reaches the power kept at the end: before that the aeroplane does not
    /// stop.
    fn by_flight(&self, better: &Run) -> Option<Vec<Told>> {
        let moves = self.better_moves_made()?;
        let kept = better.trace().lever_at(flown_until(better));
        let stops = |m: &LeverMove| (m.to - kept).abs() <= STOPS * self.three;
        let most = self.most().min(MOST);
        let before_stop = moves.iter().skip(1).take_while(|m| !stops(m)).count();
        let told = moves.iter().take(most.min(2 + before_stop));
        let mut before: Option<&LeverMove> = None;
        let told = told.map(|m| {
            let cue = match before.replace(m) {
                Some(before) => self.cue_after(better, before, m),
                None if m.start <= self.leg.start + AT_ONCE => AT_ONCE_CUE.to_string(),
                None => self.place(better, m.start),
            };
            let (lever, to, tick) = (m.to, set(m.to), Some(m.start));
            Told {
                lever,
                to,
                cue,
                tick,
            }
        });
        Some(told.collect())
    }

    /// The cue for a move that follows another. A move that follows soon is timed in seconds, as in the brief: there is little
    /// to see in between.
    fn cue_after(&self, better: &Run, before: &LeverMove, m: &LeverMove) -> String {
        // A task that keeps its altitude has no number to go by; slowing in has one while the aeroplane is fast.
        let is_level = match self.leg.kind {
            drill::Kind::Hold(_) => true,
            drill::Kind::Slow(_) => better.fast_mps(m.start).is_none(),
            _ => false,
        };
        let is_seen = match self.leg.target {
            Target::Vertical { .. } => self.to_go(better, m.start).is_some(),
            _ => m.start - before.start > SOON && !is_level,
        };
        let [there, place] = [before, m].map(|m| self.place(better, m.start));
        match is_seen && place != there {
            true => place,
            false => {
                let half_s = (2.0 * (m.start - before.start) as f64 * TICK_S).round();
                format!("{} s later", plain(half_s / 2.0))
            }
        }
    }

    /// The moves of the better flight from the tick at which it departs from the learner's, those worth a mention.
    pub(super) fn better_moves(&self) -> Option<Vec<LeverMove>> {
        let (better, from) = self.better?;
        // What follows a touchdown is another matter.
        let until = flown_until(better) as u64;
        let told = |m: &LeverMove| m.end >= from && m.start < until && m.by().abs() >= self.least;
        let moves = Lever::of(better, self.line.leg).moves();
        Some(moves.into_iter().filter(told).collect())
    }

    /// The same as a person would make them: what the next looks add to a move, or take back from it in small part, belongs to
    /// it.
    fn better_moves_made(&self) -> Option<Vec<LeverMove>> {
        let mut moves = self.better_moves()?;
        moves.dedup_by(|later, m| {
            let is_more = later.by() * m.by() > 0.0;
            let is_soon = later.start <= m.end + LOOKS;
            let is_at_once = later.start < m.start + NO_WAIT;
            let is_small = later.by().abs() <= STOPS * self.three;
            let is_one = is_soon && (is_more || is_small || is_at_once);
            if is_one {
                (m.end, m.to) = (later.end, later.to);
            }
            is_one
        });
        Some(moves)
    }

    /// The median size of the better flight's moves.
    pub(super) fn small(&self) -> f64 {
        let moves = self.better_moves().unwrap_or_default();
        median(moves.iter().map(|m| m.by().abs()).collect()).unwrap_or(self.least)
    }

    /// The lowest lever of the better flight until the line ends.
    pub(super) fn floor(&self) -> Option<f64> {
        let (better, from) = self.better?;
        let levers = levers_of(better, from..self.line.to.max(from + 1));
        levers.into_iter().min_by(f64::total_cmp)
    }
}
