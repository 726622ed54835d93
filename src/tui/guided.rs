//! A guided flight under way: time goes on while the lever stands where it is asked to stand.

use std::time::Duration;

use super::flight::{Flight, Phase};
use crate::drill::Target;
use crate::drill::guide::{Cue, Guide, When};
use crate::plan::recipe::percent;
use crate::run::Run;
use crate::units::{FPM, FT, TICK_S};

/// A lever this near is where it is asked to be, as a fraction of travel: half of a 1 % tap, which is as near as taps come from
/// any setting, plus a rounding.
pub const NEAR: f64 = 0.005_5;
/// After a halt of this length the screen says that there is no hurry.
const PATIENCE: Duration = Duration::from_secs(8);

/// How far a guided flight has come.
pub struct Guided {
    guide: Guide,
    /// The number of cues so far; the last of them is shown.
    done: usize,
    /// The tick at which that was due, and the vertical speed then, m/s.
    since: u64,
    from_mps: f64,
    /// Where the lever has to be; None where nothing is asked, or nothing any more.
    asked: Option<f64>,
    /// Where the lever stood when time was stopped.
    stopped_at: Option<f64>,
    stopped_since: Option<Duration>,
    now: Duration,
}

impl Guided {
    /// At the start of a flight.
    pub fn new(guide: Guide, flight: &Flight) -> Guided {
        let mut guided = Guided {
            guide,
            done: 0,
            since: 0,
            from_mps: 0.0,
            asked: None,
            stopped_at: None,
            stopped_since: None,
            now: Duration::ZERO,
        };
        guided.goes_on(flight.run(), flight.wanted());
        guided
    }

    /// Flies the ticks that have become due, as long as the lever is where it is asked to be.
    pub fn advance(&mut self, flight: &mut Flight, now: Duration) {
        flight.advance_if(now, |run, wanted| self.goes_on(run, wanted));
        self.now = now;
        let since = self.stopped_since.unwrap_or(now);
        self.stopped_since = self.stopped_at.map(|_| since);
        if flight.is_over() {
            flight.pause(now);
        }
    }

    /// Takes in a cue that is due. Returns whether time goes on, given the run's lever and the one that is wanted.
    fn goes_on(&mut self, run: &Run, wanted: f64) -> bool {
        if let Some(cue) = self.guide.cues.get(self.done)
            && self.is_due(cue, run)
        {
            self.asked = cue.lever.or(self.asked);
            self.since = run.tick();
            self.from_mps = run.world().state().vz_mps;
            self.done += 1;
        }
        let is_set = self.asked.is_none_or(|asked| {
            let is_near = |lever: f64| (lever - asked).abs() <= NEAR;
            is_near(run.lever()) && is_near(wanted)
        });
        self.stopped_at = match is_set {
            true => None,
            false => self.stopped_at.or(Some(wanted)),
        };
        is_set
    }

    fn is_due(&self, cue: &Cue, run: &Run) -> bool {
        let (leg, state) = (run.leg(), run.world().state());
        match cue.when {
            When::AfterS(seconds) => (run.tick() - self.since) as f64 * TICK_S >= seconds,
            When::ToGoFt(feet) => {
                let Target::Altitude { altitude_m, .. } = leg.target else {
                    return false;
                };
                let begun_m = run.trace().state(leg.start as usize).h_m;
                let way = (altitude_m - begun_m).signum();
                way * (altitude_m - state.h_m) <= feet * FT
            }
            When::VerticalFpm(fpm) => {
                let off = |mps: f64| mps - fpm * FPM;
                off(self.from_mps) * off(state.vz_mps) <= 0.0
            }
        }
    }

    /// Whether time stands until the lever is where it is asked to be.
    pub fn is_stopped(&self) -> bool {
        self.stopped_at.is_some()
    }

    /// Drops what is asked; nothing is until the next cue.
    pub fn pass_over(&mut self) {
        self.asked = None;
        self.stopped_at = None;
    }

    /// The title, the text of the cue, and what is to be done now.
    pub fn told(&self, flight: &Flight) -> [String; 3] {
        let said = match (flight.is_over(), is_captured(flight)) {
            (true, true) => &self.guide.captured,
            (true, false) => &self.guide.missed,
            _ => &self.guide.cues[self.done.saturating_sub(1)].say,
        };
        [self.guide.title.clone(), said.clone(), self.to_do(flight)]
    }

    fn to_do(&self, flight: &Flight) -> String {
        let alone = "again, alone? enter flies it alone, r guided again, esc goes to the menu";
        let again = "once more? enter flies it guided again, esc goes to the menu";
        match flight.phase() {
            _ if flight.is_over() && is_captured(flight) => return alone.to_string(),
            _ if flight.is_over() => return again.to_string(),
            Phase::Ready => return "ready: space begins".to_string(),
            Phase::Paused => return "paused: space goes on".to_string(),
            Phase::Flying => {}
        }
        let Some(asked) = self.asked else {
            return String::new();
        };
        let Some(stopped_at) = self.stopped_at else {
            return format!("{} is right: hands off", percent(flight.wanted()));
        };
        let wanted = flight.wanted();
        let keys = keys(asked - wanted);
        let is_wrong_way = (asked - wanted).abs() > (asked - stopped_at).abs() + NEAR;
        let since = self.stopped_since;
        let is_long = since.is_some_and(|since| self.now - since > PATIENCE);
        let first = match (is_wrong_way, is_long) {
            (true, _) => "the other way: ",
            (false, true) => "no hurry: ",
            _ => "time stopped: ",
        };
        let (wanted, asked) = (percent(wanted), percent(asked));
        format!("{first}lever at {wanted}; set {asked}: {keys}")
    }
}

/// Whether its last task was captured.
pub fn is_captured(flight: &Flight) -> bool {
    flight.run().leg().captured == Some(true)
}

/// The taps, in words, that make a change of the lever, a fraction of full travel.
fn keys(change: f64) -> String {
    let arrow = if change > 0.0 { "up" } else { "down" };
    match (100.0 * change.abs()).round() {
        n if n <= 1.0 => format!("{arrow} arrow, once"),
        n if n < 8.0 => format!("{arrow} arrow, {n} times"),
        n => format!("{arrow} arrow, {n} times, or hold it"),
    }
}
