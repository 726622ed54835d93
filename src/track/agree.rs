//! How closely the model, flown with a track's lever, follows the track.

use crate::run::{Leg, Run};
use crate::units::FT;

/// How far the model diverged from a leg of a track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Apart {
    /// The leg's index.
    pub leg: usize,
    /// Largest difference in altitude over the leg, ft, with both starting from its beginning.
    pub apart_ft: f64,
    /// Half the width of the leg's band where it began, ft; for a task that asks for no
    /// altitude, how far 10 s at the edge of its band go.
    pub limit_ft: f64,
}

impl Apart {
    /// Whether a flight by the model from a moment of the leg says something about the hand rather than about a different
    /// aeroplane: the model stays with the track to within half the band's width, so that the same lever ends inside it in both.
    pub fn is_little(&self) -> bool {
        self.apart_ft <= self.limit_ft
    }
}

/// The divergence on each leg that has ended, for a run along a track.
pub fn apart(run: &Run) -> Vec<Apart> {
    let ended = run.legs().iter().zip(run.each_leg_start()).enumerate();
    ended
        .filter_map(|(index, (leg, start))| {
            Some(of_leg(run, index, leg, start.by_model(), leg.end?))
        })
        .collect()
}

fn of_leg(run: &Run, index: usize, leg: &Leg, mut model: Run, end: u64) -> Apart {
    let begun = model.world().state();
    let band = leg.target.band(begun, leg.start);
    let mut apart_m = 0.0_f64;
    let end = leg
        .approach
        .touchdown
        .map_or(end, |down| (down.t_s / crate::units::TICK_S) as u64);
    while model.tick() < end && model.end().is_none() {
        model.fly_by(run.log());
        let told_m = run.trace().state(model.tick() as usize).h_m;
        apart_m = apart_m.max((model.world().state().h_m - told_m).abs());
    }
    // A vertical speed kept to its band for 10 s goes as far as this.
    const SECONDS: f64 = 10.0;
    let limit_m = match leg.target {
        crate::drill::Target::Vertical { .. } => SECONDS * band,
        _ => band,
    };
    Apart {
        leg: index,
        apart_ft: apart_m / FT,
        limit_ft: limit_m / FT,
    }
}
