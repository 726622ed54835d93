//! A reader who has only the sentence and follows it in the same air: up to that point as it was flown, then the moves of the
//! sentence at its cues, and `steady` once they are made.

use std::collections::BTreeMap;
use std::sync::Arc;

use leveloff::drill::Drill;
use leveloff::hands::{self, Script, Sight};
use leveloff::run::{Run, Travel};
use leveloff::units::{KT, NM};
use leveloff::why::{self, Line, LineKind};

use super::strange::{self, Way};
use super::table;
use crate::flying::{all_shipped, shipped};
use crate::kept::{by_brief, pars, weigh};

/// Time from the last move to looking again, ticks.
const ON: u64 = 96;
/// The least points of a line worth following, and the share of them that counts as most.
const WORTH: f64 = 5.0;
const MOST: f64 = 0.5;

/// The cue of a move.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Cue {
    AtOnce,
    /// In the units in which the target is given.
    ToGo(f64),
    OutNm(f64),
    FastKt(f64),
    Clock(u64),
    /// Time after the move before, s.
    Later(f64),
}

/// The advice of a sentence.
#[derive(Clone, Debug, PartialEq)]
enum Advice {
    Moves(Vec<(Cue, f64)>),
    /// A lever to keep during the line, and one to keep from the moment until which it could be saved.
    Keep(f64),
    Rather(f64),
    /// A lever to set where it was set wrong.
    Set(f64),
    NotBelow(f64),
}

fn number(text: &str) -> Option<f64> {
    text.split(' ').next()?.replace(',', "").parse().ok()
}

/// "0:29" in ticks.
fn clock(text: &str) -> Option<u64> {
    let (min, s) = text.split(' ').next()?.split_once(':')?;
    Some(64 * (60 * min.parse::<u64>().ok()? + s.parse::<u64>().ok()?))
}

/// "32 % at once", "idle at 60 ft to go": a setting and what follows it.
fn setting(text: &str) -> Option<(f64, &str)> {
    if let Some(rest) = text.strip_prefix("idle") {
        return Some((0.0, rest.trim_start()));
    }
    if let Some(rest) = text.strip_prefix("full power") {
        return Some((1.0, rest.trim_start()));
    }
    let (value, rest) = text.split_once(" %")?;
    Some((value.parse::<f64>().ok()? / 100.0, rest.trim_start()))
}

fn cue(text: &str) -> Option<Cue> {
    if text == "at once" {
        return Some(Cue::AtOnce);
    }
    if text == "on the number" {
        return Some(Cue::ToGo(0.0));
    }
    let at = text.strip_prefix("at ").unwrap_or(text);
    match at {
        at if at.ends_with("s later") => Some(Cue::Later(number(at)?)),
        at if at.ends_with("to go") => Some(Cue::ToGo(number(at)?)),
        at if at.ends_with("past it") => Some(Cue::ToGo(-number(at)?)),
        at if at.ends_with("nm out") => Some(Cue::OutNm(number(at)?)),
        at if at.ends_with("kt fast") => Some(Cue::FastKt(number(at)?)),
        at => Some(Cue::Clock(clock(at)?)),
    }
}

/// The advice of a sentence; None if it is about a habit or another task.
fn read(sentence: &str) -> Option<Advice> {
    let (_, next) = sentence
        .split_once("Next time ")
        .or_else(|| sentence.split_once("could still have saved it"))?;
    let next = next.trim_start_matches([':', ' ']);
    let next = next.strip_suffix('.')?;
    // The power that holds in the end has no cue of its own.
    let next = next.split("; about").next()?;
    if let Some(kept) = next.strip_prefix("leave the lever at ") {
        return Some(Advice::Moves(vec![(Cue::AtOnce, setting(kept)?.0)]));
    }
    if let Some(floor) = next.strip_prefix("do not go below ") {
        return Some(Advice::NotBelow(setting(floor)?.0));
    }
    if let Some(kept) = next.strip_prefix("with about ") {
        return Some(Advice::Rather(setting(kept)?.0));
    }
    if let Some(kept) = next.strip_prefix("hold about ") {
        let (lever, at) = setting(kept)?;
        return match at {
            "then" => Some(Advice::Keep(lever)),
            at => Some(Advice::Moves(vec![(cue(at)?, lever)])),
        };
    }
    if let Some(right) = next.strip_prefix("set ") {
        return Some(Advice::Set(setting(right)?.0));
    }
    let mut moves = Vec::new();
    let mut told = next.split(", then ");
    let first = told.next()?;
    if let Some(kept) = first.strip_prefix("keep the lever at ") {
        let (lever, until) = setting(kept)?;
        let (to, _) = setting(told.next()?.strip_prefix("take it to ")?)?;
        moves.push((Cue::AtOnce, lever));
        moves.push((cue(until.strip_prefix("until ")?)?, to));
    } else {
        let (lever, at) = setting(first.strip_prefix("take the lever to ")?)?;
        moves.push((cue(at)?, lever));
    }
    for m in told {
        let (lever, at) = setting(m.strip_prefix("to ")?)?;
        moves.push((cue(at)?, lever));
    }
    Some(Advice::Moves(moves))
}

/// Points of the line's task if the advice is followed and the lever is then left alone, or flown on if `watched`. None if the
/// sentence gives no advice that can be followed.
fn done(run: &Run, line: &Line, watched: bool) -> Option<f64> {
    let advice = read(&line.sentence)?;
    let leg = &run.legs()[line.leg];
    let better = line.better.as_ref()?;
    let mut again = Run::new(run.drill().clone(), run.seed());
    let own = |again: &Run, log: &[(u64, u16)]| {
        let made = log.partition_point(|(tick, _)| *tick <= again.tick());
        log[..made].last().map(|(_, lever)| *lever)
    };
    let begins = match line.sentence.contains("Next time") {
        true => leg.start,
        false => line.until?.saturating_sub(128).max(leg.start),
    };
    let travel = Travel::per_s(0.4);
    let (mut next, mut made, mut wanted) = (0, 0, None);
    let mut way = 0.0;
    while again.end().is_none() && again.legs().len() <= line.leg + 1 {
        let tick = again.tick();
        let is_there = again.legs().len() == line.leg + 1;
        let sight = Sight::of(&again);
        if is_there && tick == leg.start {
            way = sight.missing().signum();
        }
        let mut lever = own(&again, run.log());
        let mut is_over = false;
        if is_there && tick >= begins {
            let (unit, is_path) = (leg.target.unit(), sight.approach.is_some());
            match &advice {
                Advice::Moves(moves) => {
                    while let Some((cue, to)) = moves.get(next) {
                        let is_due = match *cue {
                            Cue::AtOnce => true,
                            Cue::ToGo(to_go) => {
                                let least = if leg.target.unit_name() == "ft" {
                                    0.5
                                } else {
                                    5.0
                                };
                                !is_path && way * sight.missing() / unit <= to_go + least
                            }
                            Cue::OutNm(nm) => is_path && sight.missing() <= (nm + 0.005) * NM,
                            Cue::FastKt(kt) => {
                                sight.fast_mps.is_none_or(|mps| mps <= (kt + 0.5) * KT)
                            }
                            Cue::Clock(at) => tick >= at,
                            Cue::Later(s) => tick >= made + (64.0 * s) as u64,
                        };
                        if !is_due {
                            break;
                        }
                        (wanted, made) = (Some(*to), tick);
                        next += 1;
                    }
                    is_over = next == moves.len() && tick >= made + ON;
                }
                Advice::Keep(to) | Advice::Rather(to) => {
                    let from = match advice {
                        Advice::Keep(_) => line.when.start,
                        _ => line.when.start.min(line.until?),
                    };
                    wanted = (tick >= from).then_some(*to);
                    is_over = tick >= line.when.end.max(from + ON);
                }
                Advice::Set(to) => {
                    wanted = (tick >= line.from).then_some(*to);
                    is_over = tick >= line.from + ON;
                }
                Advice::NotBelow(floor) => {
                    let own =
                        lever.map_or(run.drill().start_lever(), |own| f64::from(own) / 1000.0);
                    wanted = (tick >= better.from).then(|| own.max(*floor));
                    is_over = tick >= line.to;
                }
            }
            if let Some(wanted) = wanted {
                lever = travel.next(sight.lever, wanted);
            }
        }
        let is_down = sight.is_down;
        let is_called = sight.is_called;
        if is_over && watched && !is_down && !is_called {
            let mut steady = hands::taking_over(&again, &again, tick + 32);
            hands::fly_leg(&mut again, &mut steady);
            continue;
        }
        if is_down || is_called {
            lever = Some(1000);
        }
        if let Some(lever) = lever {
            again.set_lever(lever);
        }
        again.fly();
    }
    let score = why::score(&again, Some(pars(run.drill(), run.seed())));
    Some(score.flown().nth(line.leg)?.points.unwrap_or(0.0))
}

/// For every line: its kind, the share of its points brought back by following its advice, and the sentence. The share is None
/// without advice.
fn all_done(drill: &Arc<Drill>, way: Way) -> Vec<(LineKind, Option<f64>, String)> {
    let run = strange::run_of(drill, way);
    let weighed = weigh(&run, Some(pars(run.drill(), 1)));
    let told = weighed.told().into_iter().filter_map(|line| {
        let before = weighed.bill(line.leg)?.points;
        let share = done(&run, line, true).map(|points| (points - before) / line.points);
        (line.points >= WORTH).then(|| (line.kind, share, line.sentence.clone()))
    });
    told.collect()
}

/// Following just the sentence keeps most of the points it is about.
#[test]
fn who_has_only_the_sentence_does_better() {
    let ways = [
        Way::EndToEnd,
        Way::Sleeps,
        Way::WrongWayFirst,
        Way::Off(0.06),
    ];
    let mut shares = Vec::new();
    for id in ["a-rate-and-no-more", "stair-in-the-breeze", "short-turf"] {
        let drill = shipped(id);
        for (_, share, sentence) in ways.iter().flat_map(|way| all_done(&drill, *way)) {
            println!("{share:.2?} {sentence}");
            shares.extend(share);
        }
    }
    let well = shares.iter().filter(|share| **share >= MOST).count() as f64;
    assert!(
        shares.len() >= 30 && well >= 0.95 * shares.len() as f64,
        "{well} of {shares:.2?}"
    );
}

/// For a lever left alone the advice is the whole brief, and following it flies as well as the brief.
#[test]
fn what_is_told_of_the_brief_is_all_of_it() {
    for id in [
        "empty-crates",
        "the-wind-gets-up",
        "catch-the-sink",
        "boat-slip",
        "a-rate-and-no-more",
    ] {
        let drill = shipped(id);
        let pars = pars(&drill, 1);
        let run = hands::fly(drill.clone(), 1, &mut Script::new(Vec::new()));
        let weighed = weigh(&run, Some(pars));
        let line = weighed.told()[0];
        let points = done(&run, line, false).unwrap();
        let by_brief = hands::fly(drill.clone(), 1, &mut by_brief(&drill));
        let by_brief = why::score(&by_brief, Some(pars));
        let wanted = by_brief.flown().nth(line.leg).unwrap().points.unwrap();
        assert!(
            points >= wanted - 10.0,
            "{id}: {points} of {wanted}: {}",
            line.sentence
        );
    }
}

/// Pages to read: `DRILLS=quarry-stair,boat-slip` for some drills that ship, `DRILLS=12` for that many made-up ones.
#[test]
#[ignore = "hundreds of flights, twice"]
fn pages_of_readers() {
    let asked = std::env::var("DRILLS").unwrap_or_default();
    let drills: Vec<Arc<Drill>> = match asked.parse::<u64>() {
        Ok(count) => (0..count).map(|n| table::drill(16_000 + n)).collect(),
        Err(_) => all_shipped()
            .filter(|drill| asked.is_empty() || asked.split(',').any(|id| id == drill.id))
            .collect(),
    };
    let mut all: BTreeMap<LineKind, [usize; 4]> = BTreeMap::new();
    for drill in &drills {
        for way in strange::ALL {
            for (kind, share, sentence) in all_done(drill, way) {
                let count = all.entry(kind).or_default();
                match share {
                    Some(share) if share >= MOST => count[0] += 1,
                    Some(share) => {
                        count[if share > 0.0 { 1 } else { 2 }] += 1;
                        println!("{}, {way:?}, {share:.2} of the line: {sentence}", drill.id);
                    }
                    None => count[3] += 1,
                }
            }
        }
    }
    let mut sums = [0; 4];
    for (kind, count) in all {
        let [well, some, no, not] = count;
        println!(
            "{:22} {well:4} well {some:4} some {no:4} no better {not:4} not read",
            kind.key()
        );
        sums.iter_mut().zip(count).for_each(|(sum, of)| *sum += of);
    }
    println!("in all {sums:?}");
}
