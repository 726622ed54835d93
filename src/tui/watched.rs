//! The moves of a hand that is watched, described as it makes them.

use crate::drill::reader::plain;
use crate::drill::{Kind, Target};
use crate::run::Run;
use crate::units::{KT, NM, TICKS_PER_S};

/// The speeds, in multiples of real time, at which a hand can be watched and a run replayed.
pub const SPEEDS: [u32; 4] = [1, 2, 4, 16];
/// After leaving the lever alone for more ticks than this (an eighth of a second), a hand begins another move.
const REST: u64 = TICKS_PER_S / 8;
/// A move stays on the screen for this long after its end, s on the watcher's clock.
const TOLD_S: u64 = 4;

/// A move of the lever: where it goes, and the cue at which it began.
#[derive(Clone, Debug)]
pub struct Watched {
    lever: f64,
    cue: String,
    last: u64,
}

impl Watched {
    /// Takes in that the lever of a run is about to be moved: continues the move `before`, or begins another.
    pub fn moved(before: Option<Watched>, run: &Run, lever: f64) -> Watched {
        let last = run.tick();
        match before {
            Some(going_on) if last - going_on.last <= REST => Watched {
                lever,
                last,
                ..going_on
            },
            _ => Watched {
                lever,
                cue: cue(run),
                last,
            },
        }
    }

    /// "lever to 37.5 %, 62 ft to go", while it is recent; None later. `speed` is the multiple of real time.
    pub fn told(&self, run: &Run, speed: u32) -> Option<String> {
        let ticks = TOLD_S * TICKS_PER_S * u64::from(speed);
        let is_news = run.tick().saturating_sub(self.last) <= ticks;
        is_news.then(|| format!("lever to {:.1} %, {}", 100.0 * self.lever, self.cue))
    }
}

/// The cue that a person goes by in this task, in the words of the brief.
fn cue(run: &Run) -> String {
    let (leg, state, tick) = (run.leg(), run.world().state(), run.tick());
    if leg.approach.is_down() {
        return "on deck".to_string();
    }
    if let Some(fast_mps) = run.fast_mps(tick) {
        return format!("{:.0} kt fast", fast_mps / KT);
    }
    let off_at = |state, tick| leg.target.error(state, tick) / leg.target.unit();
    let off = off_at(state, tick);
    let amount = plain(off.abs().round());
    let side = if off >= 0.0 { "above" } else { "below" };
    match (&leg.target, &leg.kind) {
        (Target::Path(glide), _) => {
            let distance_nm = glide.distance_m(state, tick) / NM;
            format!("{distance_nm:.2} nm out, {amount} ft {side}")
        }
        (_, Kind::Hold(_)) => format!("{amount} ft {side}"),
        _ => {
            let begun = run.trace().state(leg.start as usize);
            let word = match off * off_at(begun, leg.start) >= 0.0 {
                true => "to go",
                false => "past",
            };
            format!("{amount} {} {word}", leg.target.unit_name())
        }
    }
}
