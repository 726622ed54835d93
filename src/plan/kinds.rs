//! The recipes that are tried for each kind of task: the cues, and about where their numbers lie.
//!
//! Nothing here has to be right, only near enough for the search to find what is. Levers are counted in levers of 3 degrees
//! from the one that keeps what is asked, times in periods of the phugoid.

use core::f64::consts::PI;

use super::ahead::Setting;
use super::asked::Asked;
use super::draft::{Draft, Free, LEAST, Slot};
use super::power;
use super::recipe::When;
use crate::drill::Glide;
use crate::sim::aircraft::Aircraft;
use crate::sim::math::{exp, tan};
use crate::sim::stability;
use crate::sim::trim;
use crate::units::{FPM, FT, KT, NM};

/// What has to be known of the aeroplane to guess.
#[derive(Clone, Copy, Debug)]
pub struct Known {
    /// Period of the phugoid, s.
    pub period_s: f64,
    /// Answer time of the engine at level power, s.
    pub answer_s: f64,
    /// The same at idle.
    wakes_s: f64,
    /// Lever of 3 degrees on the side the task goes to.
    three: f64,
    /// Vertical speed of 3 degrees, m/s.
    rate_mps: f64,
}

/// The most lever of a path: full power is going around.
const SHORT_OF_FULL: f64 = 0.9;
/// A lever that is off by more at a path's beginning is put right first.
const OFF: f64 = 0.01;
/// The most lever elsewhere.
const FULL: f64 = 1.0;

impl Known {
    /// The numbers of an aeroplane where a task begins.
    pub fn of(aircraft: &Aircraft, asked: &Asked) -> Known {
        let h_m = asked.start.h_m;
        let level = trim::on_speed(aircraft, h_m, 0.0);
        Known {
            period_s: stability::swing(aircraft, h_m, &level).period_s,
            answer_s: aircraft.engine.answer_s(level.engine),
            wakes_s: aircraft.engine.answer_s(0.0),
            three: power::three_degree_lever(aircraft, h_m, asked.way),
            rate_mps: asked.three.rate_mps,
        }
    }

    /// About how many seconds before the target a stop begins.
    pub fn to_go_s(&self) -> f64 {
        0.1 * self.period_s + 2.5 + 1.5 * self.answer_s
    }

    /// A lever after about a share of the phugoid's period.
    fn settles(&self, share: f64, lever: Free) -> Slot {
        Slot::after(share * self.period_s, 0.05 * self.period_s, lever)
    }

    /// A lever about `threes` levers of 3 degrees towards the going side of `from`.
    fn lever(&self, asked: &Asked, from: f64, threes: f64, spread: f64, most: f64) -> Free {
        Free::lever(
            from + asked.way * threes * self.three,
            spread * self.three,
            most,
        )
    }
}

/// Within one half per cent of a lever that is known to be right in the end.
fn near(lever: f64) -> Free {
    Free::near(lever, 0.005)
}

/// A stop, about `to_go_s` seconds of the 3-degree rate before the target, and the lever that holds it.
fn level_off(known: &Known, asked: &Asked, stop: Free, to_go_s: f64) -> Draft {
    let most_ft = (asked.change() / FT - 1.0).max(2.0);
    let guess_ft = (to_go_s * known.rate_mps / FT).min(0.8 * most_ft);
    let spread_ft = 2.0 * known.rate_mps / FT;
    vec![
        Slot::at(When::ToGoFt, (guess_ft, spread_ft), (1.0, most_ft), stop),
        known.settles(0.12, near(asked.level)),
    ]
}

/// Drafts for a step: go, stop, and hold.
pub(super) fn step(known: &Known, asked: &Asked) -> Vec<Draft> {
    let to_go_s = known.to_go_s();
    let stop = |threes: f64, to_go_s: f64| {
        let lever = known.lever(asked, asked.level, threes, 0.3, FULL);
        level_off(known, asked, lever, to_go_s)
    };
    let stops = [stop(-0.3, to_go_s), stop(0.1, 1.6 * to_go_s)];
    let kick = |threes: f64| Slot::start(known.lever(asked, asked.level, threes, 0.25, FULL));
    let eased = |seconds: f64, threes: f64, stop: &Draft| {
        let lever = known.lever(asked, asked.level, threes, 0.25, FULL);
        let ease = Slot::after(seconds, 0.3 * seconds, lever);
        [vec![kick(1.8), ease], stop.clone()].concat()
    };
    let way_s = asked.change() / known.rate_mps;
    let mut drafts = vec![
        eased(0.14 * known.period_s, 1.0, &stops[0]),
        eased((0.5 * way_s).min(0.4 * known.period_s), 1.0, &stops[1]),
    ];
    for threes in [1.0, 1.4] {
        for stop in &stops {
            drafts.push([vec![kick(threes)], stop.clone()].concat());
        }
    }
    // Slowly enough for level power alone to stop it.
    let most_ft = (asked.change() / FT - 1.0).max(2.0);
    let at = (0.3 * most_ft, 0.2 * most_ft);
    let stays = Slot::at(When::ToGoFt, at, (1.0, most_ft), near(asked.level));
    drafts.push(vec![kick(0.6), stays]);
    if asked.is_under_way() {
        drafts.extend(stops.clone());
    }
    if asked.is_against() {
        // The turn would carry it beyond the steepest: less lever in between, until that swing is over.
        let kept = |threes: f64, share: f64| {
            known.settles(share, known.lever(asked, asked.level, threes, 0.3, FULL))
        };
        for (turns, eases) in [(0.9, 0.1), (1.6, -0.2)] {
            let turned = vec![kick(turns), kept(eases, 0.15), kept(1.0, 0.25)];
            drafts.push([turned, stops[0].clone()].concat());
        }
    }
    if asked.is_let_down() {
        // From idle an engine may answer so late that it takes more power than the one that holds,
        // and some of it back in the swing afterwards.
        for (going, to_go_s) in [(0.5, to_go_s), (1.0, 2.0 * to_go_s)] {
            let mut caught = stop(-0.8, to_go_s);
            let swing = known.lever(asked, asked.level, 0.2, 0.3, FULL);
            caught.insert(1, known.settles(0.1, swing));
            drafts.push([vec![kick(going)], caught].concat());
        }
        // Or the engine is woken with nearly all of the lever, and the lever is then set to what the way takes.
        for (going, stop) in [(0.9, &stops[0]), (0.6, &stops[1])] {
            let woken = Slot::after(
                known.wakes_s,
                0.3 * known.wakes_s,
                known.lever(asked, asked.level, going, 0.3, FULL),
            );
            let wakes = Slot::start(Free::lever(0.9, 0.1, FULL));
            drafts.push([vec![wakes, woken], stop.clone()].concat());
        }
    }
    drafts
}

/// Drafts for a correction: a move, level power, a touch in the same direction as the swing comes to
/// a stop on its own, and the lever that holds.
///
/// Two pulses half a period apart, the second smaller by what the swing has lost meanwhile, leave no swing: exactly for a
/// linear swing, and near enough for the search.
pub(super) fn correction(
    known: &Known,
    asked: &Asked,
    aircraft: &Aircraft,
    change_m: f64,
) -> Vec<Draft> {
    let level = trim::on_speed(aircraft, asked.start.h_m, 0.0);
    let swing = stability::swing(aircraft, asked.start.h_m, &level);
    let damped = (1.0 - swing.damping * swing.damping).max(0.05).sqrt();
    let left = exp(-PI * swing.damping / damped);
    let period_s = swing.period_s / damped;
    // Lever times time that the change takes in total, fraction of travel times s.
    let area_s = change_m.abs() / (known.rate_mps / known.three);
    let pulse = |share: f64, seconds: f64| {
        let size = share * area_s / seconds;
        let lever = asked.level + asked.way * size;
        Free::lever(lever, 0.3 * size, FULL)
    };
    let exact = Free {
        guess: asked.level,
        spread: 0.001,
        range: (asked.level, asked.level),
    };
    [0.08, 0.15]
        .into_iter()
        .map(|share| {
            let (move_s, touch_s) = (share * swing.period_s, 0.5 * share * swing.period_s);
            let wait_s = (0.5 * (period_s - move_s - touch_s)).max(1.0);
            vec![
                Slot::start(pulse(1.0 / (1.0 + left), move_s)),
                Slot::after(move_s, 0.3 * move_s, near(level.lever)),
                Slot::after(wait_s, 0.2 * wait_s, pulse(left / (1.0 + left), touch_s)),
                Slot::after(touch_s, 0.3 * touch_s, exact),
            ]
        })
        .collect()
}

/// Drafts for a rate: off, most of the way back, and the lever that holds.
pub(super) fn rate(known: &Known, asked: &Asked) -> Vec<Draft> {
    let change = asked.change();
    // The lever the change costs in the end, in levers of 3 degrees.
    let threes = change / known.rate_mps;
    let lever = |off: f64, spread: f64| {
        known.lever(asked, asked.level, off * threes, spread * threes, FULL)
    };
    // A round number, as a person reads it.
    let range = (10.0, 10.0 * (0.1 * change / FPM - 1.0).floor().max(1.0));
    let going = |kick: f64, share: f64, back: f64| {
        let value = (share * change / FPM, 0.15 * change / FPM);
        vec![
            Slot::start(lever(kick, 0.4)),
            Slot::at(When::ToGoFpm, value, range, lever(back, 0.3)),
        ]
    };
    let holds = known.settles(0.15, near(asked.level));
    // Where the engine answers late, the lever that caught the rate is too much by the time the engine gets there.
    let eased = known.settles(0.1, lever(0.2, 0.3));
    vec![
        [going(0.7, 0.4, -0.3), vec![holds]].concat(),
        [going(1.5, 0.5, -0.4), vec![holds]].concat(),
        [going(1.0, 0.7, -0.6), vec![eased, holds]].concat(),
    ]
}

/// Drafts for slowing in: idle, power back some knots before it is slow, and the lever that holds.
pub(super) fn slow(known: &Known, asked: &Asked) -> Vec<Draft> {
    let idle = Slot::start(Free::near(0.0, 0.0));
    let at = |seconds: f64, lever: Free| {
        let per_s = asked.idles_mps2 / KT;
        Slot::at(When::FastKt, (seconds * per_s, per_s), (0.0, 40.0), lever)
    };
    let lever = |threes: f64| known.lever(asked, asked.level, threes, 0.3, FULL);
    let holds = |share: f64| {
        let seconds = share * known.period_s;
        Slot::after(seconds, 0.5 * seconds, near(asked.level))
    };
    let (soon_s, late_s) = (known.answer_s + 0.5, 2.0 * known.answer_s + 1.0);
    vec![
        vec![idle, at(soon_s, near(asked.level))],
        vec![idle, at(soon_s, lever(0.5)), holds(0.1)],
        vec![idle, at(late_s, lever(-0.5)), holds(0.1)],
        vec![
            idle,
            at(late_s, lever(0.8)),
            known.settles(0.1, lever(-0.3)),
            holds(0.1),
        ],
    ]
}

/// Drafts for a hold: bring back what is off, and hold; with `changes`, also an answer to a wind that
/// changes in that many seconds, over that many.
pub(super) fn hold(
    known: &Known,
    asked: &Asked,
    seconds: f64,
    changes: Option<(f64, f64)>,
) -> Vec<Draft> {
    let off = asked.lever - asked.level;
    let spread = 0.3 * known.three;
    let lever = |off: f64| Free::lever(asked.level + off, spread, FULL);
    let second = 0.3 * (seconds - 0.2 * known.period_s).max(1.0);
    let drafts = [
        vec![
            Slot::start(lever(-0.8 * off)),
            known.settles(0.1, near(asked.level)),
        ],
        vec![
            Slot::start(lever(-off)),
            known.settles(0.08, lever(0.3 * off)),
            known.settles(0.12, near(asked.level)),
        ],
        // Half per cents are coarse over a long time: one for the first part, its neighbour for the rest.
        vec![
            Slot::start(lever(-off)),
            known.settles(0.1, near(asked.level)),
            Slot::after(second, 0.5 * second, near(asked.level)),
        ],
    ];
    let changing = changes.map(|(in_s, over_s)| {
        let answer = |off: f64| Free::lever(asked.level + off * known.three, spread, FULL);
        vec![
            Slot::start(lever(-off)),
            known.settles(0.1, near(asked.level)),
            Slot::after(in_s.max(1.0), 0.3 * over_s, answer(-0.3)),
            Slot::after(over_s, 0.3 * over_s, near(asked.level)),
        ]
    });
    let drafts = drafts.into_iter().chain(changing);
    [vec![Slot::start(near(asked.level))]]
        .into_iter()
        .chain(drafts)
        .collect()
}

/// Drafts for a path: power off for the descent, the lever that holds the path high up, and the one that holds it further down.
pub(super) fn path(
    known: &Known,
    asked: &Asked,
    setting: &Setting,
    glide: &Glide,
    tick: u64,
) -> Vec<Draft> {
    let distance_m = glide.distance_m(&asked.start, tick);
    let slope = |share: f64| {
        let at_m = share * glide.from_m;
        let wind = setting.air.mean_at(tick, glide.altitude_m(at_m));
        power::on_glide(setting.aircraft, glide, at_m, &wind)
    };
    let high = slope(0.8);
    let meets_m = distance_m
        - (glide.altitude_m(distance_m) - asked.start.h_m).max(0.0) / tan(glide.slope_rad);
    let lead_m = high.closure_mps * (0.1 * known.period_s + known.answer_s);
    let at = |guess_m: f64, spread_m: f64, lever: Free| {
        let value = (guess_m / NM, spread_m / NM);
        Slot::at(When::DistanceNm, value, (0.05, distance_m / NM), lever)
    };
    let begins_m = (meets_m + lead_m).min(distance_m);
    let is_on_it = meets_m + 0.5 * lead_m >= distance_m;
    // On a path this steep the power that keeps it is near idle: from above, only idle brings it back.
    let is_idle = high.trim.lever < 2.0 * LEAST;
    let lever = |of: f64, off: f64| {
        let lever = of + off * known.three;
        let lever = Free::lever(lever, 0.15 * known.three, SHORT_OF_FULL);
        if is_idle { lever.down_to_idle() } else { lever }
    };
    let first = |off: f64| match is_on_it {
        true => Slot::start(lever(high.trim.lever, off)),
        false => at(begins_m, 0.5 * lead_m, lever(high.trim.lever, off)),
    };
    let off = asked.lever - asked.level;
    let brought_back = match off.abs() > OFF && !is_on_it {
        true => vec![
            Slot::start(lever(asked.level - 0.8 * off, 0.0)),
            known.settles(0.1, near(asked.level)),
        ],
        false => Vec::new(),
    };
    let (period_s, from_m) = (known.period_s, glide.from_m);
    let further = |shares: &[f64]| -> Vec<Slot> {
        let slots = shares.iter().map(|share| {
            let trim = slope(*share).trim;
            at(share * from_m, 0.08 * from_m, lever(trim.lever, 0.0))
        });
        slots.collect()
    };
    let holds = lever(high.trim.lever, 0.0);
    let begun = |off: f64, wait: f64| {
        let goes = vec![first(off), known.settles(wait, holds)];
        [brought_back.clone(), goes].concat()
    };
    let eased = |off: f64, wait: f64, ease: f64| {
        let ease = Slot::after(ease * period_s, 0.1 * period_s, holds);
        [begun(off, wait), vec![ease]].concat()
    };
    vec![
        [begun(-0.4, 0.1), further(&[0.5, 0.15])].concat(),
        [begun(-0.2, 0.2), further(&[0.75, 0.45, 0.2])].concat(),
        [eased(-0.3, 0.2, 0.3), further(&[0.4, 0.15])].concat(),
        [eased(0.2, 0.3, 0.3), further(&[0.6, 0.2])].concat(),
    ]
}
