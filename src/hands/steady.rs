//! `steady`: a practised person. Looks once a second, reads altitude and vertical speed as finely as the screen lets a person
//! read them, acts a reaction time later that varies, and moves the lever in separate corrections of limited rate and
//! resolution.
//!
//! The law wants a vertical speed in proportion to the altitude that is missing, and a lever for that vertical speed with
//! lead on how it is changing. Its gains scale with the aeroplane's phugoid, its answer time and its 3-degree trims; no
//! number below belongs to one aeroplane.

use std::collections::VecDeque;

use super::{Hand, SHORT_OF_FULL, Sight, slowing};
use crate::drill::path::Glide;
use crate::drill::{Drill, Target};
use crate::plan::power;
use crate::plan::recipe::LEVER_PER_S;
use crate::run::Travel;
use crate::sim::air::noise::{Noise, Stream};
use crate::sim::aircraft::Aircraft;
use crate::sim::math::tan;
use crate::sim::stability;
use crate::sim::trim;
use crate::units::{FPM, FT, G, KT, TICK_S, TICKS_PER_S};

/// The traits of a hand. Times in ticks, lever in fractions of travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Traits {
    /// From one look to the next.
    pub look_ticks: u64,
    /// From a look to the move it causes, least and most: about the 0.2 to 0.4 s of manual-control work
    /// (from memory), plus the time it takes to decide.
    pub reaction_ticks: (u64, u64),
    /// Altitude is read in steps of this, m.
    pub reads_m: f64,
    /// Vertical speed is read in steps of this, m/s.
    pub reads_mps: f64,
    /// Airspeed is read in steps of this, m/s.
    pub reads_fast_mps: f64,
    /// Time over which vertical speed and its change are judged.
    pub view_ticks: usize,
    /// The same on a path.
    pub path_view_ticks: usize,
    /// Ticks added on a path for each m/s of the gusts' wind at 20 ft, so that most gusts cancel out.
    pub path_view_per_mps: f64,
    /// Corrections smaller than this share of the lever of 3 degrees are not made.
    pub dead_band: f64,
    /// Corrections are multiples of this.
    pub resolution: f64,
    /// On a path dead band and resolution are finer by this factor, since half the zone is a few feet there.
    pub path_finer: f64,
    /// On a path: share of the missing altitude that is learned as a lasting error of power, at each look.
    pub learning: f64,
    /// On a path: share of the power for a changing closure that is given in advance.
    pub shear: f64,
    /// Wanted vertical speed per missing altitude, over the phugoid frequency: chosen
    /// so that pilots of other styles earn 70 to 80.
    pub height_gain: f64,
    /// The same on a path: its line moves on, so that hastening towards it swings through it.
    pub path_height_gain: f64,
    /// Lead on the change of vertical speed, over what the engine's answer and the phugoid ask for.
    pub lead: f64,
    /// Highest wanted vertical speed over the 3-degree rate.
    pub haste: f64,
    /// Highest wanted vertical speed whatever the aeroplane, m/s.
    pub fastest_mps: f64,
}

impl Default for Traits {
    fn default() -> Self {
        Traits {
            look_ticks: TICKS_PER_S,
            reaction_ticks: (18, 44),
            reads_m: 5.0 * FT,
            reads_mps: 20.0 * FPM,
            reads_fast_mps: 0.5 * KT,
            view_ticks: 96,
            path_view_ticks: 48,
            path_view_per_mps: 8.0,
            dead_band: 0.09,
            resolution: 0.005,
            path_finer: 0.6,
            learning: 0.03,
            shear: 0.3,
            height_gain: 0.45,
            path_height_gain: 0.42,
            lead: 1.2,
            haste: 1.1,
            fastest_mps: 800.0 * FPM,
        }
    }
}

impl Traits {
    /// A beginner: reacts late, takes too little account of the trend of vertical speed, is hasty, and moves coarsely. Our
    /// own choice, no source, except for the longer delay, which is the first thing that practice mends (from memory).
    pub fn green() -> Traits {
        Traits {
            reaction_ticks: (45, 90),
            path_view_per_mps: 0.0,
            dead_band: 0.17,
            resolution: 0.02,
            path_finer: 1.0,
            learning: 0.0,
            shear: 0.0,
            height_gain: 0.55,
            path_height_gain: 0.55,
            haste: 1.3,
            lead: 0.33,
            ..Traits::default()
        }
    }
}

/// Full lever.
const FULL: f64 = 1.0;

/// The gains for one aeroplane at one height.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Gains {
    level_lever: f64,
    speed_mps: f64,
    lever_per_mps: f64,
    per_s: f64,
    lead_s: f64,
    fastest_mps: f64,
}

/// The hand.
#[derive(Clone, Debug)]
pub struct Steady {
    traits: Traits,
    /// How many ticks after every full second it looks.
    phase: u64,
    aircraft: Aircraft,
    task: Option<Wanted>,
    recent_mps: VecDeque<f64>,
    recent_closure_mps: VecDeque<f64>,
    recent_fast_mps: VecDeque<f64>,
    decided: Option<(u64, f64)>,
    wanted: Option<f64>,
}

impl Steady {
    /// A hand that knows the aeroplane of a drill as someone who has flown it a while does.
    pub fn new(drill: &Drill) -> Steady {
        Steady::with(drill, Traits::default())
    }

    /// The same with other traits.
    pub fn with(drill: &Drill, traits: Traits) -> Steady {
        // A ship's free air moves the aeroplane as much as gusts of this wind do: its 1.06 ft/s are a tenth of it.
        const SHIP_MPS: f64 = 10.6 * FT;
        let three = trim::three_degrees(&drill.aircraft, drill.start.altitude_m).lever;
        let gusts_mps = match drill.air.wake {
            Some(_) => SHIP_MPS,
            None => drill.air.u20_mps,
        };
        let path_view_ticks = traits.path_view_ticks as f64 + traits.path_view_per_mps * gusts_mps;
        Steady {
            traits: Traits {
                path_view_ticks: path_view_ticks as usize,
                dead_band: three * traits.dead_band,
                ..traits
            },
            phase: 0,
            aircraft: drill.aircraft.clone(),
            task: None,
            recent_mps: VecDeque::new(),
            recent_closure_mps: VecDeque::new(),
            recent_fast_mps: VecDeque::new(),
            decided: None,
            wanted: None,
        }
    }

    /// The same hand, looking `ticks` ticks after every full second.
    pub fn at_phase(self, ticks: u64) -> Steady {
        Steady {
            phase: ticks % self.traits.look_ticks,
            ..self
        }
    }

    /// Watches without acting, so that the hand takes over with a feel for how the vertical speed is changing.
    pub fn watch(&mut self, sight: &Sight) {
        let kept = match sight.target {
            Target::Path(_) => self.traits.path_view_ticks,
            _ => self.traits.view_ticks,
        };
        let read = |value: f64, step: f64| (value / step).round() * step;
        let vertical_mps = read(sight.vertical_mps, self.traits.reads_mps);
        note(&mut self.recent_mps, vertical_mps, kept);
        if let Some((_, closure_mps)) = sight.approach {
            note(&mut self.recent_closure_mps, closure_mps, kept);
        }
        if let Some(fast_mps) = sight.fast_mps {
            let fast_mps = read(fast_mps, self.traits.reads_fast_mps);
            note(&mut self.recent_fast_mps, fast_mps, kept);
        }
    }

    /// Reaction time after the look at a tick: random, but the same whenever the drill is flown.
    fn reaction_ticks(&self, tick: u64) -> u64 {
        let (least, most) = self.traits.reaction_ticks;
        let share = Noise::new(tick, Stream::Learner).share();
        least + (share * (most - least) as f64) as u64
    }

    /// The hand's view of the task asked for now, made anew when that changes.
    fn task(&mut self, sight: &Sight) -> Wanted {
        match &self.task {
            Some(task) if task.target == sight.target => *task,
            _ => {
                let traits = &self.traits;
                let (from_m, height_gain) = match sight.target {
                    Target::Altitude { altitude_m, .. } => (altitude_m, traits.height_gain),
                    Target::Vertical { .. } => (sight.altitude_m, traits.height_gain),
                    Target::Path(_) => (sight.altitude_m, traits.path_height_gain),
                };
                let task = Wanted {
                    target: sight.target,
                    from_m: sight.altitude_m,
                    learned_mps: 0.0,
                    gains: Gains::new(traits, &self.aircraft, from_m, height_gain),
                };
                self.task = Some(task);
                task
            }
        }
    }

    /// The lever the law asks for.
    fn law(&mut self, sight: &Sight) -> f64 {
        if let Some(fast_mps) = sight.fast_mps.filter(|_| sight.is_held) {
            let (_, trend) = mean_and_trend(&self.recent_fast_mps);
            let lead = self.traits.lead;
            return slowing::lever(&self.aircraft, sight.altitude_m, (fast_mps, trend), lead);
        }
        let task = self.task(sight);
        let reads_m = self.traits.reads_m;
        let seen = Sight {
            altitude_m: (sight.altitude_m / reads_m).round() * reads_m,
            ..*sight
        };
        let wanted_mps = task.wanted_mps(&seen);
        if let (Target::Path(glide), Some(approach)) = (&task.target, seen.approach) {
            let missing_m = glide.altitude_m(approach.0) - seen.altitude_m;
            let is_met = task.is_met(glide, approach);
            return self.path_law(task, wanted_mps, missing_m, is_met);
        }
        let (vertical_mps, trend) = mean_and_trend(&self.recent_mps);
        self.lever_for(&task.gains, wanted_mps, vertical_mps, trend)
    }

    /// The law on a path. Altitude that stays missing is learned once the line is met, as long as the lever has room to
    /// act; before that, what is missing is only the way still to go. A wind that dies towards the ground shows in the
    /// closure: part of the power that speeds the aeroplane up along with it is given in advance.
    fn path_law(&mut self, task: Wanted, wanted_mps: f64, missing_m: f64, is_met: bool) -> f64 {
        let (vertical_mps, trend) = mean_and_trend(&self.recent_mps);
        let (_, pull) = mean_and_trend(&self.recent_closure_mps);
        let shear = self.traits.shear * task.gains.speed_mps * pull / G * task.gains.lever_per_mps;
        let lever = |learned_mps: f64| {
            shear + self.lever_for(&task.gains, wanted_mps + learned_mps, vertical_mps, trend)
        };
        if !is_met || wanted_mps >= 0.0 || !(0.0..=SHORT_OF_FULL).contains(&lever(task.learned_mps))
        {
            return lever(task.learned_mps);
        }
        let learned_mps = task.learned_mps + self.traits.learning * task.gains.per_s * missing_m;
        let lever = lever(learned_mps);
        self.task = Some(Wanted {
            learned_mps,
            ..task
        });
        lever
    }

    /// The lever for a wanted vertical speed, from the present one and its rate of change (m/s^2).
    fn lever_for(&self, gains: &Gains, wanted_mps: f64, vertical_mps: f64, trend: f64) -> f64 {
        let missing_mps = wanted_mps - vertical_mps - gains.lead_s * trend;
        gains.level_lever + gains.lever_per_mps * (wanted_mps + missing_mps)
    }
}

/// Adds the value seen at a tick, and drops those older than `kept` ticks.
fn note(recent: &mut VecDeque<f64>, value: f64, kept: usize) {
    recent.push_back(value);
    while recent.len() > kept + 1 {
        recent.pop_front();
    }
}

/// Mean of values a tick apart, and the slope in 1/s of the straight line that fits them best.
fn mean_and_trend(values: &VecDeque<f64>) -> (f64, f64) {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let (mut along, mut square) = (0.0, 0.0);
    for (index, value) in values.iter().enumerate() {
        let off_s = (index as f64 - 0.5 * (count - 1.0)) * TICK_S;
        along += off_s * (value - mean);
        square += off_s * off_s;
    }
    (mean, if square > 0.0 { along / square } else { 0.0 })
}

/// A task as the hand sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Wanted {
    target: Target,
    /// Altitude at which it was met, m.
    from_m: f64,
    /// On a path: the vertical speed that has turned out to be missing permanently, m/s.
    learned_mps: f64,
    gains: Gains,
}

impl Wanted {
    /// Whether the path, met with the lead that the power reduction needs, has come down to
    /// the aeroplane, which flies level until then.
    fn is_met(&self, glide: &Glide, (distance_m, closure_mps): (f64, f64)) -> bool {
        /// Share of the lead: a line is followed with small corrections from the first
        /// moment on, and so is met a little less early.
        const MEETS: f64 = 0.9;
        glide.altitude_m(distance_m - MEETS * closure_mps * self.gains.lead_s) <= self.from_m
    }

    /// The vertical speed wanted, m/s.
    fn wanted_mps(&self, sight: &Sight) -> f64 {
        let gains = &self.gains;
        let towards = |altitude_m: f64| gains.per_s * (altitude_m - sight.altitude_m);
        match (&self.target, sight.approach) {
            (Target::Vertical { vertical_mps, .. }, _) => *vertical_mps,
            (Target::Path(glide), Some((distance_m, closure_mps))) => {
                if !self.is_met(glide, (distance_m, closure_mps)) {
                    return towards(self.from_m).clamp(-gains.fastest_mps, gains.fastest_mps);
                }
                // If a gust makes the aim point recede for a while, the hand waits for it in level flight.
                let along_mps = -closure_mps.max(0.0) * tan(glide.slope_rad);
                (along_mps + towards(glide.altitude_m(distance_m))).clamp(2.0 * along_mps, 0.0)
            }
            (Target::Altitude { altitude_m, .. }, _) => {
                towards(*altitude_m).clamp(-gains.fastest_mps, gains.fastest_mps)
            }
            (Target::Path(_), None) => 0.0,
        }
    }
}

impl Gains {
    fn new(traits: &Traits, aircraft: &Aircraft, h_m: f64, height_gain: f64) -> Gains {
        let level = trim::on_speed(aircraft, h_m, 0.0);
        let swing = stability::swing(aircraft, h_m, &level);
        let frequency = swing.frequency_radps();
        let answer_s = aircraft.engine.answer_s(level.engine);
        Gains {
            level_lever: level.lever,
            speed_mps: level.speed_mps,
            lever_per_mps: 0.01 / (power::fpm_per_percent(aircraft, h_m) * FPM),
            per_s: height_gain * frequency,
            lead_s: traits.lead
                * (0.75 * (1.0 - swing.damping).max(0.0) / frequency + 1.2 * answer_s),
            fastest_mps: (traits.haste * trim::three_degrees(aircraft, h_m).rate_mps)
                .min(traits.fastest_mps),
        }
    }
}

impl Hand for Steady {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        let on_path = matches!(sight.target, Target::Path(_));
        self.watch(sight);
        if sight.is_down || sight.is_called {
            // On the deck it sets full power, in case the aeroplane has to fly away
            // again; when a go-around is called, it flies it.
            let is_decided = self.decided.is_some_and(|(_, lever)| lever == FULL);
            if !is_decided && self.wanted != Some(FULL) {
                self.decided = Some((sight.tick + self.reaction_ticks(sight.tick), FULL));
            }
        } else if sight.tick % self.traits.look_ticks == self.phase {
            let (finer, most) = match on_path {
                true => (self.traits.path_finer, SHORT_OF_FULL),
                false => (1.0, FULL),
            };
            let resolution = finer * self.traits.resolution;
            let lever = (self.law(sight).clamp(0.0, most) / resolution).round() * resolution;
            let held = self.wanted.unwrap_or(sight.lever);
            if (lever - held).abs() >= finer * self.traits.dead_band {
                self.decided = Some((sight.tick + self.reaction_ticks(sight.tick), lever));
            }
        }
        if let Some((tick, lever)) = self.decided
            && sight.tick >= tick
        {
            self.wanted = Some(lever);
            self.decided = None;
        }
        Travel::per_s(LEVER_PER_S).next(sight.lever, self.wanted?)
    }
}
