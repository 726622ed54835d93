//! The hand in figures: how the lever was moved, by a person or a program.

use crate::run::Run;
use crate::run::moves::{Lever, LeverMove, flown_until};
use crate::run::recording::Means;
use crate::score::series::median;
use crate::units::{TICK_S, TICKS_PER_S};

/// How the lever of a run was moved. The full power that ends a path is left out: it is asked for, and would hide the rest. A
/// move is a change of 0.4 % or more in one direction, its parts at most half a second apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandFigures {
    /// From a task's beginning to its first move, s: the median over the tasks that had one; None where none had.
    pub first_move_s: Option<f64>,
    /// Moves per minute.
    pub per_minute: f64,
    /// The median move, % of travel; None without moves.
    pub median_percent: Option<f64>,
    /// The largest, % of travel; None without moves.
    pub largest_percent: Option<f64>,
    /// Moves in the opposite direction to the one before.
    pub turns: usize,
    /// Share of the time during which the lever stood still, 0..1.
    pub at_rest: f64,
}

impl HandFigures {
    /// The figures of a run, or of the part of it that was flown.
    pub fn of(run: &Run) -> HandFigures {
        let end = flown_until(run) as u64;
        let moves = |leg: usize| {
            let mut lever = Lever::of(run, leg);
            lever.changes.retain(|(tick, _)| *tick < end);
            (run.legs()[leg].start, lever.moves())
        };
        let levers: Vec<(u64, Vec<LeverMove>)> = (0..run.legs().len()).map(moves).collect();
        let moves: Vec<LeverMove> = levers
            .iter()
            .flat_map(|(_, moves)| moves)
            .copied()
            .collect();
        let first = levers
            .iter()
            .filter_map(|(start, moves)| Some((moves.first()?.start - start) as f64 * TICK_S));
        let sizes: Vec<f64> = moves.iter().map(|m| 100.0 * m.by().abs()).collect();
        let under_way: u64 = moves.iter().map(|m| m.end - m.start + 1).sum();
        let ticks = end.max(1) as f64;
        let turns = moves
            .windows(2)
            .filter(|pair| pair[0].by() * pair[1].by() < 0.0);
        HandFigures {
            first_move_s: median(first.collect()),
            per_minute: moves.len() as f64 * 60.0 * TICKS_PER_S as f64 / ticks,
            largest_percent: sizes.iter().copied().reduce(f64::max),
            median_percent: median(sizes),
            turns: turns.count(),
            at_rest: 1.0 - under_way as f64 / ticks,
        }
    }

    /// Each figure beside that of another hand: label, own, other's.
    pub fn beside(&self, other: Option<&HandFigures>) -> Vec<(&'static str, String, String)> {
        let row = |(label, value): &InWords| {
            let others = other.map_or_else(|| "-".to_string(), value);
            (*label, value(self), others)
        };
        ROWS.iter().map(row).collect()
    }
}

type InWords = (&'static str, fn(&HandFigures) -> String);
const ROWS: [InWords; 6] = [
    ("first move after", |hand| told(hand.first_move_s, " s")),
    ("moves a minute", |hand| format!("{:.0}", hand.per_minute)),
    ("median move", |hand| told(hand.median_percent, " %")),
    ("largest move", |hand| told(hand.largest_percent, " %")),
    ("direction changes", |hand| hand.turns.to_string()),
    ("lever at rest", |hand| {
        format!("{:.0} %", 100.0 * hand.at_rest)
    }),
];

fn told(value: Option<f64>, unit: &str) -> String {
    value.map_or_else(|| "-".to_string(), |value| format!("{value:.1}{unit}"))
}

/// The means by which a person moved the lever, in words; None where it was never moved or the means was not noted.
pub fn moved_with(means: &[Means]) -> Option<String> {
    let words: Vec<&str> = means
        .iter()
        .map(|means| match means {
            Means::Keys => "keys",
            Means::Mouse => "mouse",
            Means::Axis => "a throttle or other axis",
        })
        .collect();
    (!words.is_empty()).then(|| format!("moved with {}", words.join(" and ")))
}
