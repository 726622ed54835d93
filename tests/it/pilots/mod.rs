//! Synthetic pilots: human-like test hands of several styles, none of which moves like the built-in hands.
//!
//! A pilot is eyes that read a screen late and coarsely, an errand (the task, and its state), a mind (the style: what to do
//! about it), and an arm or fingers. Faults are planted one at a time.

mod errand;
mod eyes;
mod faults;
mod imaginer;
mod keys;
mod known;
mod movers;
mod needle;
mod planner;
mod post;
mod pulses;
mod slowing;
mod tests;
mod tracker;
mod traits;
mod way;

use leveloff::drill::{Drill, Target};
use leveloff::hands::{Hand, Sight};
use leveloff::sim::air::noise::Noise;
use leveloff::units::{TICK_S, TICKS_PER_S};

use errand::{Aim, Errand};
use eyes::Eyes;
pub use faults::Fault;
use known::Known;
use movers::{FASTEST_PER_S, Fingers, settable, slide};
use post::Post;
use slowing::Slowing;
use traits::{Chance, Traits, between};

/// A style of flying.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// Key presses towards a wanted number.
    Keys,
    /// Follows all the time, with an unsteady hand.
    Tracker,
    /// Executes remembered numbers and looks seldom.
    Planner,
    /// Chases the needle of the vertical speed.
    Needle,
    /// Works by pulses away from level power.
    Pulses,
    /// Imagines the next seconds for a few settings and takes the best.
    Imaginer,
}

/// Every style.
pub fn crew() -> Vec<Style> {
    use Style::*;
    vec![Keys, Tracker, Planner, Needle, Pulses, Imaginer]
}

/// The input of a mind.
struct View<'a> {
    t_s: f64,
    /// The present lever.
    lever: f64,
    aim: Aim,
    known: &'a Known,
    /// Size of corrections, and time looked ahead, over what is usual for the style.
    gain: f64,
    ahead: f64,
    /// Time between looks over what is usual, and unsteadiness.
    looks: f64,
    remnant: f64,
}

/// A style at work.
trait Mind {
    /// How long before the number, at the speed of the way, it begins to stop, s.
    fn lead_s(&self, known: &Known) -> f64;

    /// The same before a line to be followed. It is less, since a line is followed with small corrections from the first moment
    /// on.
    fn line_lead_s(&self, known: &Known) -> f64 {
        0.7 * known.brake.lead_s
    }

    /// The lever wanted from now on; None if it does not look, or leaves the lever alone.
    fn think(&mut self, view: &View, noise: &mut Noise) -> Option<f64>;
}

/// How the lever is moved.
enum Limb {
    Arm { per_s: f64 },
    Fingers(Fingers),
}

/// One pilot.
struct Pilot {
    traits: Traits,
    fault: Option<Fault>,
    known: Known,
    eyes: Eyes,
    errand: Errand,
    mind: Box<dyn Mind>,
    post: Post,
    slowing: Slowing,
    limb: Limb,
    looks: Noise,
    hand: Noise,
    wanted: Option<f64>,
    /// The tick from which on it gives full power: down on the deck, or called to go around.
    full_from: Option<u64>,
}

/// A pilot of a style for a drill, one person per seed; clean without a fault.
pub fn pilot(style: Style, drill: &Drill, seed: u64, fault: Option<Fault>) -> Box<dyn Hand> {
    again(style, drill, seed, seed, fault)
}

/// The same person with other noise.
pub fn again(
    style: Style,
    drill: &Drill,
    person: u64,
    seed: u64,
    fault: Option<Fault>,
) -> Box<dyn Hand> {
    let traits = Traits::drawn(person);
    let known = Known::new(&drill.aircraft, drill.start.altitude_m);
    let mind: Box<dyn Mind> = match style {
        Style::Keys => Box::new(keys::Keys::default()),
        Style::Tracker => Box::new(tracker::Tracker::default()),
        Style::Planner => Box::new(planner::Planner::default()),
        Style::Needle => Box::new(needle::Needle::default()),
        Style::Pulses => Box::new(pulses::Pulses::default()),
        Style::Imaginer => Box::new(imaginer::Imaginer::default()),
    };
    let leads_s = (mind.lead_s(&known), mind.line_lead_s(&known));
    let mut hand = Chance::Hand.of(seed);
    let limb = match style {
        Style::Keys => Limb::Fingers(Fingers::new(&mut hand)),
        _ => Limb::Arm {
            per_s: traits.lever_per_s,
        },
    };
    Box::new(Pilot {
        traits,
        fault,
        errand: Errand::new(seed, &traits, fault, leads_s),
        eyes: Eyes::new(seed, traits.reaction_s),
        post: Post::new(fault, &traits),
        slowing: Slowing::default(),
        looks: Chance::Looks.of(seed),
        known,
        mind,
        limb,
        hand,
        wanted: None,
        full_from: None,
    })
}

/// Ticks between calls of a mind: 16 times a second is more than any of them uses.
const THINKS: u64 = 4;
/// The looking ahead left to a pilot without anticipation: the needle is still seen moving.
const UNAWARE: f64 = 0.4;
/// On a path full power means going around, so pilots stay clear of it otherwise.
const SHORT_OF_FULL: f64 = 0.95;

impl Pilot {
    fn think(&mut self, sight: &Sight) {
        let Some(reading) = self.eyes.see(sight) else {
            return;
        };
        if !sight.tick.is_multiple_of(THINKS) {
            return;
        }
        let (t_s, dt_s) = (sight.tick as f64 * TICK_S, THINKS as f64 * TICK_S);
        let aim = self.errand.look(&reading, &self.known, t_s, dt_s);
        let is = |fault: Fault| self.fault == Some(fault);
        let view = View {
            t_s,
            lever: sight.lever,
            aim,
            known: &self.known,
            gain: self.traits.gain * if is(Fault::Overcontrol) { 2.0 } else { 1.0 },
            ahead: if is(Fault::NoAnticipation) {
                UNAWARE
            } else {
                self.traits.ahead
            },
            looks: self.traits.looks,
            remnant: self.traits.remnant,
        };
        if let Some(lever) = self.mind.think(&view, &mut self.looks) {
            self.wanted = Some(lever);
        }
        let most = match sight.target {
            Target::Path(_) => SHORT_OF_FULL,
            _ => 1.0,
        };
        let plain = self.wanted.unwrap_or(sight.lever);
        self.post.see(&view, plain);
        self.post.most = most;
    }

    /// Full power, a moment after it is due: at once on a deck that moves, and when a go-around is called.
    fn is_full(&mut self, sight: &Sight) -> bool {
        if (sight.is_down || sight.is_called) && self.full_from.is_none() {
            // Known to be coming on a deck, a surprise when called.
            let after_s = match sight.is_down {
                true => between(&mut self.hand, 0.3, 0.7),
                false => between(&mut self.hand, 0.3, 0.6),
            };
            self.full_from = Some(sight.tick + (after_s * TICKS_PER_S as f64) as u64);
        }
        self.full_from.is_some_and(|from| sight.tick >= from)
    }
}

impl Hand for Pilot {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        self.think(sight);
        if self.is_full(sight) {
            return settable(slide(sight.lever, 1.0, FASTEST_PER_S), sight.lever);
        }
        let ahead = match self.fault {
            Some(Fault::NoAnticipation) => UNAWARE,
            _ => self.traits.ahead,
        };
        let level = self.known.level(sight.altitude_m);
        // The power comes when the engine does, and that when half of the move has been made, seen and decided before.
        let moves_s = match &self.limb {
            Limb::Arm { per_s } => level / per_s,
            Limb::Fingers(fingers) => fingers.takes_s(level),
        };
        let ahead_s = ahead * (0.15 + 0.5 * moves_s + self.known.wakes_s);
        let late_s = self.traits.reaction_s;
        let slowing = self.slowing.lever(sight, level, late_s, ahead_s);
        let wanted = slowing.or(self.post.lever(sight.tick as f64 * TICK_S))?;
        let lever = match &mut self.limb {
            Limb::Arm { per_s } => slide(sight.lever, wanted, *per_s),
            Limb::Fingers(fingers) => fingers.press(sight.lever, wanted, &mut self.hand),
        };
        settable(lever, sight.lever)
    }
}
