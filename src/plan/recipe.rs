//! A recipe: the few moves, each with a cue that a person can see, by which a task can be flown.

use serde::Serialize;

use super::Sight;
use crate::drill::reader::plain;
use crate::run::{Travel, thousandths};
use crate::units::{FPM, FT, KT, NM, TICK_S};

/// The cue that shows that a move is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// The beginning of the task.
    Start,
    /// Altitude still to go, ft.
    ToGoFt,
    /// Vertical speed still to go, ft/min.
    ToGoFpm,
    /// Airspeed above on speed, kt.
    FastKt,
    /// Distance before the aim point, nautical miles.
    DistanceNm,
    /// Time since the move before, s.
    AfterS,
}

/// A cue, and where the lever goes on it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Move {
    /// The kind of cue.
    pub when: When,
    /// The cue's value, in its unit; 0 for a start.
    pub value: f64,
    /// The lever, 0..1, in steps of half a per cent.
    pub lever: f64,
}

/// The fastest that the lever moves to where a recipe wants it, fraction of travel per
/// second: whole thousandths per tick make it 0.384.
pub const LEVER_PER_S: f64 = 0.4;

/// What can be seen of a task when a tick begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// Ticks since the task began.
    pub ticks: u64,
    /// What the task's cue counts, SI: altitude, vertical speed, airspeed or distance still to go, negative once past.
    pub to_go: f64,
}

/// How far a recipe has been followed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Follower {
    next: usize,
    /// When the last move was made, ticks since the task began.
    made: u64,
    /// Where the last move wants the lever, thousandths.
    wanted: Option<u16>,
    /// Ticks of the task when the recipe was begun, and the direction of the task then.
    begun: Option<(u64, f64)>,
}

impl When {
    /// The unit of its value, SI.
    pub fn unit(self) -> f64 {
        match self {
            When::ToGoFt => FT,
            When::ToGoFpm => FPM,
            When::FastKt => KT,
            When::DistanceNm => NM,
            When::Start | When::AfterS => 1.0,
        }
    }
}

impl Move {
    /// The recipe of a path that can only be broken off.
    pub const FULL_POWER: Move = Move {
        when: When::Start,
        value: 0.0,
        lever: 1.0,
    };

    /// Whether it is due; `made` is when the one before it was made.
    pub fn is_due(&self, seen: &Seen, made: u64) -> bool {
        match self.when {
            When::Start => true,
            When::AfterS => (seen.ticks - made) as f64 * TICK_S >= self.value,
            _ => seen.to_go <= self.value * self.when.unit(),
        }
    }

    /// Its cue in words.
    pub fn cue(&self) -> String {
        let value = plain((self.value * 100.0).round() / 100.0);
        match self.when {
            When::Start => "at once".to_string(),
            When::ToGoFt => format!("at {value} ft to go"),
            When::ToGoFpm => format!("at {value} ft/min to go"),
            When::FastKt => format!("at {value} kt fast"),
            When::DistanceNm => format!("at {value} nm out"),
            When::AfterS => format!("{value} s later"),
        }
    }
}

impl Follower {
    /// The lever that is wanted from the coming tick on, thousandths; None before the first move.
    fn wanted(&mut self, moves: &[Move], seen: &Seen) -> Option<u16> {
        while let Some(due) = moves.get(self.next).filter(|m| m.is_due(seen, self.made)) {
            self.wanted = Some(thousandths(due.lever));
            self.made = seen.ticks;
            self.next += 1;
        }
        self.wanted
    }

    /// The lever for the coming tick, thousandths, from where it is (0..1); None where it stays.
    pub fn lever(&mut self, moves: &[Move], seen: &Seen, lever: f64) -> Option<u16> {
        let next = self.toward(moves, seen, 1000.0 * lever)?;
        (f64::from(next) / 1000.0 != lever).then_some(next)
    }

    /// The same from where it is in thousandths; None before the first move.
    pub fn toward(&mut self, moves: &[Move], seen: &Seen, lever: f64) -> Option<u16> {
        let wanted = self.wanted(moves, seen)?;
        Some(Travel::per_s(LEVER_PER_S).toward(lever, wanted))
    }

    /// The same from what a person sees; the recipe begins with the first sight.
    pub fn follow(&mut self, moves: &[Move], sight: &Sight) -> Option<u16> {
        let (begun, way) = *self
            .begun
            .get_or_insert_with(|| (sight.task_ticks, sight.way()));
        let seen = Seen {
            ticks: sight.task_ticks - begun,
            to_go: way * sight.missing(),
        };
        self.lever(moves, &seen, sight.lever)
    }

    /// Whether a move has been made.
    pub fn has_begun(&self) -> bool {
        self.next > 0
    }

    /// Whether every move has been made.
    pub fn is_done(&self, moves: &[Move]) -> bool {
        self.next >= moves.len()
    }

    /// Whether the lever stays where it is, in thousandths, for ticks that begin with `seen` and end before `later`.
    pub fn rests(&self, moves: &[Move], seen: &Seen, later: &Seen, lever: f64) -> bool {
        // Within half a thousandth, which is how exactly levers are given.
        let is_there = |wanted: u16| (f64::from(wanted) - lever).abs() < 0.5;
        let next = moves.get(self.next);
        self.wanted.is_none_or(is_there)
            && !next.is_some_and(|m| m.is_due(seen, self.made) || m.is_due(later, self.made))
    }
}

/// A lever in steps of half a per cent, within its travel.
pub fn half_percent(lever: f64) -> f64 {
    (lever * 200.0).round().clamp(0.0, 200.0) / 200.0
}

/// A lever in per cent, in tenths where it is no whole number: "37.3 %".
pub fn percent(lever: f64) -> String {
    format!("{} %", plain((1000.0 * lever).round() / 10.0))
}

/// A lever setting as text, in half per cents everywhere, so that the same lever is always
/// the same number: "37.5 %"; "idle" at its end.
pub fn set(to: f64) -> String {
    match half_percent(to) {
        0.0 => "idle".to_string(),
        to => percent(to),
    }
}

/// A recipe without the moves that leave the lever where it is, except for a cue from which the next move waits, and
/// without those that the next move replaces on the same cue.
pub fn told(moves: Vec<Move>) -> Vec<Move> {
    let mut told: Vec<Move> = Vec::new();
    let mut waited = 0.0;
    for (index, m) in moves.iter().enumerate() {
        let waits = |m: &Move| m.when == When::AfterS;
        let next = moves.get(index + 1);
        let is_replaced =
            next.is_some_and(|next| !waits(m) && next.when == m.when && next.value == m.value);
        let stays = told.last().is_some_and(|before| before.lever == m.lever);
        if is_replaced || stays && next.is_none_or(|next| waits(m) || !waits(next)) {
            waited = match next {
                Some(next) if waits(m) && waits(next) => waited + m.value,
                _ => 0.0,
            };
            continue;
        }
        let more = if waits(m) {
            std::mem::take(&mut waited)
        } else {
            0.0
        };
        told.push(Move {
            value: m.value + more,
            ..*m
        });
    }
    told
}
