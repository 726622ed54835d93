//! Going with the power of 3 degrees instead of markedly more or less, the level-off at the same height to go.

use super::{Candidate, Scene, thousandths};
use crate::run::Run;
use crate::run::moves::Move;
use crate::why::findings::Kind;
use crate::why::findings::landmarks::{Landmarks, asked_m};
use crate::why::findings::refly::{follow, hand_over};
use crate::why::findings::worth::Worth;

/// Going power over that of 3 degrees that is nobody's fault.
const FAIR: std::ops::RangeInclusive<f64> = 0.75..=1.3;

/// Less is too much as well where it cost so many seconds for steepness.
const STEEP_RATIO: f64 = 1.2;
const STEEP_S: f64 = 2.0;
/// Less is no going at all.
const GOES: f64 = 0.1;
/// Going that is over sooner is a kick, not a power, phugoid periods.
const LEAST_PERIODS: f64 = 0.12;
/// Too much power that never made for more than this was none, over the 3-degree rate.
const FAST: f64 = 1.1;

/// Who comes to the end of the leg without a level-off is handed over at this time to go, s.
const TO_GO_S: f64 = 8.0;

/// What a flight is worth, where it was handed over, and the flight.
type Flight = (Worth, u64, Run);

/// The move that sets the aeroplane going, and what is made of it until the level-off, at the power of 3 degrees.
pub fn of(scene: &Scene, marks: &Landmarks, unchanged: Worth) -> Option<Candidate> {
    let ratio = marks.going.beyond / scene.scale.three;
    let too_steep = scene.flown.steep_s >= STEEP_S && ratio > STEEP_RATIO;
    if marks.going.first.by() == 0.0 {
        return None;
    }
    if FAIR.contains(&ratio) && !too_steep {
        return None;
    }
    let (first, onset) = (marks.going.first.start, marks.onset.start);
    let lasted = (onset - marks.going.first.end) as f64;
    let fastest = scene.fastest_mps(first..marks.onset.end) / scene.scale.rate_mps;
    if lasted < LEAST_PERIODS * scene.scale.period || ratio > 1.0 && fastest < FAST {
        return None;
    }
    let going = |lever: f64| scene.scale.level + (lever - scene.scale.level) / ratio;
    let changes = scene.lever().changes.iter();
    let going: Vec<(u64, u16)> = changes
        .map(|&(tick, lever)| match (first..onset).contains(&tick) {
            true => (tick, thousandths(going(f64::from(lever) / 1000.0))),
            false => (tick, lever),
        })
        .collect();

    let asked_m = asked_m(&scene.run.legs()[scene.index])?;
    let to_go_m = |h_m: f64| scene.scale.way * (asked_m - h_m);
    let wanted_m = to_go_m(scene.run.trace().at(onset as usize).state.h_m);
    let before = scene.leg.until(first);
    let legs = before.legs().len();
    // The level-off where it was, by height to go or by the clock: who goes on counting is helped by the second.
    let fly = |is_there: &dyn Fn(&Run) -> bool| -> Option<Flight> {
        let (mut run, mut going) = (before.clone(), going.iter().copied().peekable());
        while !is_there(&run) {
            while let Some((_, lever)) =
                going.next_if(|(tick, _)| *tick <= run.tick() && *tick < onset)
            {
                run.set_lever(lever);
            }
            run.fly();
            if run.end().is_some() || run.legs().len() > legs {
                return None;
            }
        }
        let shift = run.tick() as i64 - onset as i64;
        let moved = |tick: u64| (tick as i64 + shift) as u64;
        let changes = scene.lever().changes.iter();
        let level_off: Vec<(u64, u16)> = changes
            .filter(|(tick, _)| (onset..marks.hand_over).contains(tick))
            .map(|(tick, lever)| (moved(*tick), *lever))
            .collect();
        let at = moved(marks.hand_over);
        let run = hand_over(run, &level_off, at);
        Some((scene.judge.worth(&run)?, at, run))
    };
    let flights = [
        fly(&|run| to_go_m(run.world().state().h_m) <= wanted_m),
        fly(&|run| run.tick() >= onset),
    ];
    let (changed, at, run) = flights
        .into_iter()
        .flatten()
        .min_by(|a, b| a.0.soft_s.total_cmp(&b.0.soft_s))?;
    Some(Candidate {
        kind: match ratio > 1.0 {
            true => Kind::PowerTooMuch,
            false => Kind::PowerTooLittle,
        },
        amount: ratio,
        from_tick: first,
        hand_over_tick: at,
        changed,
        run,
        unchanged,
    })
}

/// The same where it went so slowly that the leg ended before any level-off; what was flown is the unchanged flight.
pub fn without_level_off(scene: &Scene) -> Option<Candidate> {
    let leg = &scene.run.legs()[scene.index];
    let end = leg.end.filter(|_| leg.captured != Some(true))?;
    let goes = |m: &&Move| scene.scale.beyond(m.to) >= GOES * scene.scale.three;
    let first = scene.moves.iter().find(goes)?;
    let lever = scene.lever().median(first.end..end.max(first.end + 1));
    let ratio = scene.scale.beyond(lever) / scene.scale.three;
    if ratio <= GOES || ratio >= *FAIR.start() || !scene.is_short_at(end - 1) {
        return None;
    }
    let asked_m = asked_m(leg)?;
    let three = scene.scale.level + scene.scale.way * scene.scale.three;
    let going = [(first.start, thousandths(three))];
    let mut run = scene.leg.until(first.start);
    let legs = run.legs().len();
    let is_due = |run: &Run| {
        let state = run.world().state();
        let going_mps = scene.scale.way * state.vz_mps;
        scene.scale.way * (asked_m - state.h_m) <= TO_GO_S * going_mps
    };
    while !is_due(&run) && run.end().is_none() && run.legs().len() == legs {
        let next = run.tick() + 1;
        follow(&mut run, &going, next);
    }
    let at = run.tick();
    let run = hand_over(run, &going, at);
    Some(Candidate {
        kind: Kind::PowerTooLittle,
        amount: ratio,
        from_tick: first.start,
        hand_over_tick: at,
        changed: scene.judge.worth(&run)?,
        run,
        unchanged: scene.flown,
    })
}
