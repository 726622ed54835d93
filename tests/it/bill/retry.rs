//! The test that counts: the same pilot flies again, in new air and with new noise, and follows the first line if that has a
//! name.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;

use leveloff::drill::{Drill, Kind, Target};
use leveloff::hands::{self, Hand, Sight};
use leveloff::run::moves::Lever;
use leveloff::run::{Run, Travel};
use leveloff::why::{Line, LineKind, Pars};

use crate::kept::weigh;

use super::table::{drill, faults, rightly};
use crate::pilots::{Fault, Style, again, crew, pilot};

/// Only lines worth following up.
const WORTH: f64 = 10.0;
/// Time from the last advised move until the pilot goes on alone, ticks.
const ON: u64 = 96;

/// The advised cue of a move, as a person sees it.
#[derive(Clone, Copy, Debug)]
enum Cue {
    ToGoM(f64),
    DistanceM(f64),
    Ticks(u64),
}

/// A pilot that follows the advice in one leg.
struct Told {
    pilot: Box<dyn Hand>,
    leg: usize,
    legs: usize,
    way: f64,
    moves: Vec<(Cue, f64)>,
    next: usize,
    made: u64,
    wanted: f64,
}

impl Told {
    /// The advice of a line: the first moves of its better flight, from where that one differs.
    fn new(pilot: Box<dyn Hand>, run: &Run, line: &Line) -> Option<Told> {
        let better = line.better.as_ref().filter(|better| better.ends_well)?;
        let flown = better.fly(run, line.leg);
        let leg = &run.legs()[line.leg];
        let begun = &run.trace().at(leg.start as usize).state;
        let way = match &leg.target {
            Target::Altitude { altitude_m, .. } => (altitude_m - begun.h_m).signum(),
            _ => 0.0,
        };
        let is_step = matches!(leg.kind, Kind::Step(_));
        let cue = |tick: u64| {
            let state = &flown.trace().at(tick as usize).state;
            match &leg.target {
                _ if tick <= leg.start + 128 => Cue::Ticks(tick - leg.start),
                Target::Altitude { altitude_m, .. } if is_step => {
                    Cue::ToGoM(way * (altitude_m - state.h_m))
                }
                Target::Path(glide) => Cue::DistanceM(glide.distance_m(state, tick)),
                _ => Cue::Ticks(tick - leg.start),
            }
        };
        let lever = Lever::of(&flown, line.leg);
        let told = lever
            .moves()
            .into_iter()
            .filter(|m| m.start >= better.from && m.by().abs() >= 0.01);
        let told: Vec<_> = told.take(2).collect();
        let first = [(cue(better.from), lever.at(better.from))];
        let moves = first
            .into_iter()
            .chain(told.iter().map(|m| (cue(m.start), m.to)));
        Some(Told {
            pilot,
            leg: line.leg,
            legs: 0,
            way,
            moves: moves.collect(),
            next: 0,
            made: 0,
            wanted: 0.0,
        })
    }
}

impl Hand for Told {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        let own = self.pilot.lever(sight);
        if sight.task_ticks == 0 {
            self.legs += 1;
        }
        if self.legs != self.leg + 1 || sight.is_down || sight.is_called {
            return own;
        }
        while let Some((cue, lever)) = self.moves.get(self.next) {
            let is_due = match (*cue, &sight.target) {
                (Cue::Ticks(ticks), _) => sight.task_ticks >= ticks,
                (Cue::ToGoM(to_go_m), Target::Altitude { altitude_m, .. }) => {
                    self.way * (altitude_m - sight.altitude_m) <= to_go_m
                }
                (Cue::DistanceM(m), _) => sight.approach.is_some_and(|(at_m, _)| at_m <= m),
                _ => false,
            };
            if !is_due {
                break;
            }
            (self.wanted, self.made) = (*lever, sight.tick);
            self.next += 1;
        }
        let is_over = self.next == self.moves.len() && sight.tick >= self.made + ON;
        match self.next == 0 || is_over {
            true => own,
            false => Travel::per_s(0.4).next(sight.lever, self.wanted),
        }
    }
}

/// Points before and after, the cost that the sentence stated, and the points of the better flight.
struct Retry {
    kind: LineKind,
    before: f64,
    after: f64,
    promised: f64,
    better: f64,
}

/// The fault after the pilot has corrected it by the stated amount; None if nothing is left.
fn less(fault: Fault, amount: f64) -> Option<Fault> {
    let timed = |by_s: f64, with: fn(f64) -> Fault, against: fn(f64) -> Fault| match by_s {
        by_s if by_s > 0.2 => Some(with(by_s)),
        by_s if by_s < -0.2 => Some(against(-by_s)),
        _ => None,
    };
    let (late, early) = (
        |by_s| Fault::LevelOffLate { by_s },
        |by_s| Fault::LevelOffEarly { by_s },
    );
    let (begun_late, begun_early) = (
        |by_s| Fault::DescentLate { by_s },
        |by_s| Fault::DescentEarly { by_s },
    );
    match fault {
        Fault::LevelOffLate { by_s } => timed(by_s - amount, late, early),
        Fault::LevelOffEarly { by_s } => timed(by_s - amount, early, late),
        Fault::DescentLate { by_s } => timed(by_s - amount, begun_late, begun_early),
        Fault::DescentEarly { by_s } => timed(by_s - amount, begun_early, begun_late),
        Fault::Going { times } => Some(Fault::Going {
            times: times / amount,
        }),
        Fault::LevelBelief { off } => Some(Fault::LevelBelief {
            off: off - off.signum() * amount / 100.0,
        }),
        // Habits are gone.
        _ => None,
    }
}

fn retried(
    n: u64,
    drill: &Arc<Drill>,
    pars: &[Pars; 2],
    style: Style,
    fault: Fault,
    seed: u64,
) -> Option<Retry> {
    let run = hands::fly(
        drill.clone(),
        n,
        &mut *pilot(style, drill, seed, Some(fault)),
    );
    let weighed = weigh(&run, Some(&pars[0]));
    let line = weighed.told().first().copied()?;
    let before = weighed.bill(line.leg)?.points;
    if line.points < WORTH {
        return None;
    }
    if !line.kind.is_name() {
        return None;
    }
    let task = &run.legs()[line.leg].kind;
    // If rightly named, it has less of the fault; if wrongly, it has the fault as before.
    let is_right = rightly(fault, task) == line.kind;
    let left = if is_right {
        less(fault, line.amount)
    } else {
        Some(fault)
    };
    let own = again(style, drill, seed, seed + 77, left);
    // Advice in moves with cues is followed literally: the power to go with, and when to stop with it.
    let is_power = matches!(line.kind, LineKind::PowerTooMuch | LineKind::PowerTooLittle);
    let mut hand: Box<dyn Hand> = match is_right && !is_power {
        true => own,
        false => Box::new(Told::new(own, &run, line)?),
    };
    let retry = hands::fly(drill.clone(), n + 1, &mut *hand);
    let after = weigh(&retry, Some(&pars[1])).bill(line.leg)?.points;
    let better = line.better.as_ref()?.points;
    Some(Retry {
        kind: line.kind,
        before,
        after,
        promised: line.points,
        better,
    })
}

/// `DRILLS` is the number of drills, by default 12. `ONLY` selects planted faults by the spelling of their name, by default all.
#[test]
#[ignore = "hundreds of flights, twice"]
fn who_does_what_was_told_does_better() {
    let drills = std::env::var("DRILLS")
        .ok()
        .and_then(|text| text.parse().ok());
    let only = std::env::var("ONLY").unwrap_or_default();
    let (next, last) = (AtomicU64::new(15_000), 15_000 + drills.unwrap_or(12));
    let work = || {
        let mut retries = Vec::new();
        loop {
            let n = next.fetch_add(1, Ordering::Relaxed);
            if n >= last {
                return retries;
            }
            let drill = drill(n);
            let pars = [n, n + 1].map(|seed| Pars::of(&drill, seed, &mut |_| {}));
            for (place, style) in crew().into_iter().enumerate() {
                for fault in faults(n, &drill) {
                    if !format!("{fault:?}").starts_with(&only) {
                        continue;
                    }
                    let mut tasks = drill.tasks.iter().filter(|task| task.scored);
                    if tasks.any(|task| fault.has_room(&task.kind, true)) {
                        retries.extend(retried(
                            n,
                            &drill,
                            &pars,
                            style,
                            fault,
                            100 * n + place as u64,
                        ));
                    }
                }
            }
        }
    };
    let retries: Vec<Retry> = thread::scope(|scope| {
        let threads = [scope.spawn(work), scope.spawn(work)];
        threads
            .into_iter()
            .flat_map(|thread| thread.join().unwrap())
            .collect()
    });
    let share = |of: &[&Retry], is: &dyn Fn(&Retry) -> bool| {
        of.iter().filter(|retry| is(retry)).count() as f64 / of.len().max(1) as f64
    };
    let all: Vec<&Retry> = retries.iter().collect();
    for kind in LineKind::all() {
        let of_kind: Vec<&Retry> = retries.iter().filter(|retry| retry.kind == kind).collect();
        if of_kind.is_empty() {
            continue;
        }
        let got_of = |full: &dyn Fn(&Retry) -> f64| {
            let got = |retry: &&Retry| (retry.after - retry.before) / full(retry);
            let mut got: Vec<f64> = of_kind.iter().map(got).collect();
            got.sort_by(f64::total_cmp);
            got[got.len() / 2]
        };
        println!(
            "{:22} {:4} retried, better {:3.0} %, worse by 3 points {:3.0} %, got of promised {:.2}, of the better flight {:.2}",
            kind.key(),
            of_kind.len(),
            100.0 * share(&of_kind, &|retry| retry.after > retry.before),
            100.0 * share(&of_kind, &|retry| retry.after < retry.before - 3.0),
            got_of(&|retry| retry.promised),
            got_of(&|retry| retry.better - retry.before)
        );
    }
    let better = share(&all, &|retry| retry.after > retry.before);
    let worse = share(&all, &|retry| retry.after < retry.before - 3.0);
    println!(
        "{} retried, better {:.1} %, worse {:.1} %",
        all.len(),
        100.0 * better,
        100.0 * worse
    );
    assert!(better >= 0.88 && worse <= 0.05, "{better} {worse}");
}
