//! What the better flight of a line does with the lever, as a person would be told it.

use super::{AT_ONCE, Said, levers_of};
use crate::drill::reader::plain;
use crate::drill::{self, Target};
use crate::plan::recipe::set;
use crate::run::moves::{Lever, LeverMove, flown_until};
use crate::score::series::median;
use crate::units::{TICK_S, TICKS_PER_S};
use crate::why::LineKind;
use crate::why::explain::cures::SOON;

/// Nothing stops with the lever farther than this from the power that is kept at the end, over the lever of 3 degrees.
const STOPS: f64 = 0.25;
/// More moves than a recipe has are not told.
const MOST: usize = 4;
/// `steady` looks again so soon, and corrects itself, ticks.
const LOOKS: u64 = 2 * TICKS_PER_S;

impl Said<'_> {
    /// Whether the better flight's first move takes the lever to where it was missing, or there is none to make.
    pub(super) fn first_helps(&self) -> bool {
        let moves = self.better_moves_made().unwrap_or_default();
        let is_high = self.line.kind == LineKind::LeverHigh;
        let first = moves.first().filter(|m| m.start < self.line.when.end);
        first.is_none_or(|first| (first.by() < 0.0) == is_high)
    }

    /// What the better flight does first, and with `all` what then.
    pub(super) fn moves(&self, all: bool) -> Option<String> {
        let (better, from) = self.better?;
        let moves = self.better_moves_made()?;
        let soon = self.leg.start.max(from) + AT_ONCE;
        // Where the first thing to do is to leave it where it is, for as long as the line lasts perhaps.
        let last = better.trace().ticks() as u64;
        let kept = set(better.trace().lever_at(soon.min(last) as usize));
        let first = match moves.first() {
            Some(first) if all || first.start <= soon.max(self.line.when.end) => first,
            None if self.missed_a_call() => return None,
            _ => return Some(format!("leave the lever at {kept}")),
        };
        let cue = match first.start <= self.leg.start + AT_ONCE {
            true => "at once".to_string(),
            false => self.place(better, first.start),
        };
        let to = set(first.to);
        let told = match all && first.start > soon {
            true => {
                let until = cue.strip_prefix("at ").unwrap_or(&cue);
                format!("keep the lever at {kept} until {until}, then take it to {to}")
            }
            false => format!("take the lever to {to} {cue}"),
        };
        // As far as the move that comes to the power that is kept at the end: before that nothing stops.
        let kept = better.trace().lever_at(flown_until(better));
        let stops = |m: &LeverMove| (m.to - kept).abs() <= STOPS * self.three;
        let is_path = matches!(self.leg.target, Target::Path(_));
        let is_rate = matches!(self.leg.target, Target::Vertical { .. });
        // What keeps its altitude has no number to go by; slowing in it has while it is fast.
        let is_level = |tick: u64| match self.leg.kind {
            drill::Kind::Hold(_) => true,
            drill::Kind::Slow(_) => better.fast_mps(tick).is_none(),
            _ => false,
        };
        let most = match is_path {
            true => 2,
            // Of what `steady` makes of it the first moves tell most.
            false => MOST - usize::from(!self.is_brief),
        };
        let before_stop = moves.iter().skip(1).take_while(|m| !stops(m)).count();
        let count = most.min(2 + before_stop);
        let then = moves.windows(2).take(count - 1).filter(|_| all);
        Some(then.fold(told, |told, pair| {
            let (before, m) = (pair[0], pair[1]);
            // What follows soon is counted in seconds, as in the brief: there is little to see in between.
            let place = self.place(better, m.start);
            let is_there = place == self.place(better, before.start);
            let is_seen = match is_rate {
                true => self.to_go(better, m.start).is_some(),
                false => m.start - before.start > SOON && !is_level(m.start),
            };
            let cue = match is_seen && !is_there {
                true => place,
                false => {
                    let half_s = (2.0 * (m.start - before.start) as f64 * TICK_S).round();
                    format!("{} s later", plain(half_s / 2.0))
                }
            };
            format!("{told}, then to {} {cue}", set(m.to))
        }))
    }

    /// The moves of the better flight from where it parts on, those worth telling.
    pub(super) fn better_moves(&self) -> Option<Vec<LeverMove>> {
        let (better, from) = self.better?;
        // What follows a touchdown is another matter.
        let until = flown_until(better) as u64;
        let told = |m: &LeverMove| m.end >= from && m.start < until && m.by().abs() >= self.least;
        let moves = Lever::of(better, self.line.leg).moves();
        Some(moves.into_iter().filter(told).collect())
    }

    /// The same as a person would make them: what the next looks add to a move, or take back of it a little, is part of it.
    fn better_moves_made(&self) -> Option<Vec<LeverMove>> {
        let mut moves = self.better_moves()?;
        if self.is_brief {
            return Some(moves);
        }
        moves.dedup_by(|later, m| {
            let is_more = later.by() * m.by() > 0.0;
            let is_soon = later.start <= m.end + LOOKS;
            let is_one = is_soon && (is_more || later.by().abs() <= STOPS * self.three);
            if is_one {
                (m.end, m.to) = (later.end, later.to);
            }
            is_one
        });
        Some(moves)
    }

    /// How large the moves of the better flight are.
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
