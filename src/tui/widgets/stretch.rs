//! A stretch of a run on a time axis, and what may be drawn with it: a second run, marks.

use std::ops::Range;

use super::measure::Measure;
use crate::run::{Leg, Run};

/// What the pictures of a debrief show.
pub struct Stretch<'a> {
    pub run: &'a Run,
    /// The ticks in sight; the end may lie after that of the run.
    pub ticks: Range<usize>,
    /// The chosen leg; None for the whole run.
    pub leg: Option<usize>,
    /// A run to compare it with.
    pub second: Option<&'a Second>,
    /// Ticks at which the learner left a mark.
    pub marks: &'a [u64],
    /// The tick up to which the points of the bill's chosen line could still be saved.
    pub until: Option<u64>,
}

/// Another run, drawn dotted.
#[derive(Clone, Debug)]
pub struct Second {
    pub run: Run,
    /// The parts of it that are drawn.
    pub pieces: Vec<Piece>,
    /// The tick from which it differs, where it is the learner's own run flown better from there.
    pub change: Option<u64>,
}

/// A leg of a second run, moved to where the learner's own leg begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// The leg of the learner's run with which it is compared.
    pub beside: usize,
    /// Its leg in the second run.
    pub leg: usize,
    /// Its ticks in the second run.
    pub ticks: Range<usize>,
    /// How many ticks later it stands on the learner's axis.
    pub shift: i64,
}

impl Second {
    /// The learner's own run, flown better from a tick on.
    pub fn changed(run: &Run, leg: usize, from_tick: u64) -> Second {
        let first = run.trace().first_tick().max(from_tick as usize);
        let ticks = first..run.trace().ticks().max(first);
        Second {
            pieces: vec![Piece {
                beside: leg,
                leg,
                ticks,
                shift: 0,
            }],
            change: Some(from_tick),
            run: run.clone(),
        }
    }

    /// Another run of the same drill, task by task. Legs that ask for something else are left out.
    pub fn beside(own: &Run, other: Run) -> Second {
        let legs = own.legs().iter().zip(other.legs()).enumerate();
        let same = legs.filter(|(_, (own, other))| own.kind == other.kind);
        let pieces = same
            .map(|(index, (own, leg))| Piece {
                beside: index,
                leg: index,
                ticks: leg.start as usize..leg.end.unwrap_or(other.tick()) as usize,
                shift: own.start as i64 - leg.start as i64,
            })
            .collect();
        Second {
            pieces,
            change: None,
            run: other,
        }
    }

    /// The tick on the learner's axis at which it ends beside a leg.
    pub fn end_beside(&self, leg: usize) -> Option<usize> {
        let pieces = self.pieces.iter().filter(|piece| piece.beside == leg);
        pieces.map(Piece::end).max()
    }
}

impl Piece {
    fn own(&self, tick: usize) -> usize {
        (tick as i64 + self.shift).max(0) as usize
    }

    /// Where it ends on the learner's axis.
    pub fn end(&self) -> usize {
        self.own(self.ticks.end)
    }

    /// Its tick at a tick of the learner's axis; None outside the piece.
    pub fn at(&self, own_tick: usize) -> Option<usize> {
        let tick = usize::try_from(own_tick as i64 - self.shift).ok()?;
        (self.ticks.start <= tick && tick <= self.ticks.end).then_some(tick)
    }
}

impl<'a> Stretch<'a> {
    pub fn whole(run: &'a Run) -> Stretch<'a> {
        Stretch {
            run,
            ticks: 0..run.trace().ticks(),
            leg: None,
            second: None,
            marks: &[],
            until: None,
        }
    }

    /// One leg of a run with a little before and after it, extended where the second run takes longer for it.
    pub fn of_leg(run: &'a Run, leg: usize, second: Option<&'a Second>) -> Stretch<'a> {
        let (start, end) = ends(run, leg);
        let longer = second.and_then(|second| second.end_beside(leg));
        let end = end.max(longer.unwrap_or(end)).max(start + 1);
        let margin = (end - start) / 30 + 32;
        Stretch {
            ticks: start.saturating_sub(margin)..end + margin,
            leg: Some(leg),
            second,
            ..Stretch::whole(run)
        }
    }

    /// The pieces of the second run that belong here, each with the last tick of the axis at which it is drawn.
    pub fn pieces(&self) -> impl Iterator<Item = (&'a Second, &'a Piece, usize)> {
        let (leg, run, last) = (self.leg, self.run, self.ticks.end);
        let of = move |second: &'a Second| {
            second.pieces.iter().filter_map(move |piece| {
                // Over the whole run, a task that took longer would run into the next one.
                let until = match (leg, second.change) {
                    (None, None) => ends(run, piece.beside).1,
                    _ => last,
                };
                leg.is_none_or(|leg| leg == piece.beside)
                    .then(|| (second, piece, until.min(last)))
            })
        };
        self.second.into_iter().flat_map(of)
    }

    /// The last tick in sight that was flown.
    pub fn last_flown(&self) -> usize {
        self.ticks.end.min(self.run.trace().ticks())
    }

    /// The leg being flown at a tick.
    pub fn leg_at(&self, tick: usize) -> &'a Leg {
        let legs = self.run.legs();
        let begun = legs.iter().take_while(|leg| leg.start as usize <= tick);
        begun.last().unwrap_or(&legs[0])
    }

    /// The run's value at a tick in a measure, with respect to the task flown then.
    pub fn value(&self, side: Measure, tick: usize) -> f64 {
        side.at(&self.leg_at(tick).target, self.run, tick)
    }

    /// The legs that lie at least partly in sight, with their indices.
    pub fn legs(&self) -> impl Iterator<Item = (usize, &'a Leg)> {
        let (run, ticks) = (self.run, self.ticks.clone());
        let legs = self.run.legs().iter().enumerate();
        legs.filter(move |(index, _)| {
            let (start, end) = ends(run, *index);
            start < ticks.end && ticks.start < end.max(start + 1)
        })
    }

    /// Whether a leg is chosen; of the whole run, every leg is.
    pub fn shows(&self, leg: usize) -> bool {
        self.leg.is_none_or(|shown| shown == leg)
    }

    /// Whether a tick belongs to the chosen leg; of the whole run, every tick counts.
    pub fn is_chosen(&self, tick: usize) -> bool {
        self.leg.is_none_or(|leg| {
            let (start, end) = ends(self.run, leg);
            (start..=end).contains(&tick)
        })
    }
}

/// First and last tick of a leg; a leg that was cut off ends with the run.
fn ends(run: &Run, leg: usize) -> (usize, usize) {
    let leg = &run.legs()[leg];
    (leg.start as usize, leg.end.unwrap_or(run.tick()) as usize)
}
