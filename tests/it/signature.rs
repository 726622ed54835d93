//! The signature of the hand, estimated from runs of `steady` with planted traits. No published source: the truth is what was
//! planted, or found by experiment on the hand and on the aeroplane apart (see `truth`).

mod tally;
mod truth;

use std::sync::Arc;
use std::time::Instant;

use super::flying::{NAMES, drill};
use leveloff::drill::{Drill, library};
use leveloff::hands::steady::Traits;
use leveloff::hands::{self, Hand, Script, Sight, Steady};
use leveloff::run::Run;
use leveloff::sim::air::noise::{Noise, Stream};
use leveloff::units::TICK_S;
use leveloff::why::Signature;
use leveloff::why::signature::moves::{self, Move};
use tally::Tally;

/// From 0.16 to 0.91 s; 20 is `steady`'s own.
const REACTIONS: [u64; 5] = [10, 20, 32, 45, 58];

fn header(name: &str, air: &str) -> String {
    format!(
        "title = 'T'\nabout = 'A'\naircraft = '{name}'\n[start]\naltitude_ft = 1000\n[air]\ngusts = '{air}'\n"
    )
}

fn hold(name: &str, air: &str, seconds: u32) -> Arc<Drill> {
    let task =
        format!("[[task]]\nhold = {{ altitude_ft = 1000, band_ft = 40, seconds = {seconds} }}\n");
    Arc::new(drill(&(header(name, air) + &task)).unwrap())
}

/// Steps up and down of 60 to 150 ft.
fn stairs(name: &str, air: &str) -> Arc<Drill> {
    let mut text = header(name, air);
    for to_ft in [1080, 930, 990, 1110, 1000] {
        text += &format!(
            "[[task]]\nstep = {{ to_ft = {to_ft}, band_ft = 25, hold_s = 15, within_s = 60 }}\n"
        );
    }
    Arc::new(drill(&text).unwrap())
}

fn with_reactions(ticks: &[u64]) -> Vec<Traits> {
    let traits = |reaction_ticks: &u64| Traits {
        reaction_ticks: *reaction_ticks,
        ..Traits::default()
    };
    ticks.iter().map(traits).collect()
}

/// What a run must tell, by quantity: reaction, lead, gain, crossover.
type Tallies = [Tally; 4];

fn tallies() -> Tallies {
    ["reaction", "lead", "gain", "crossover"].map(Tally::new)
}

/// A hand to be flown, and what is true of it.
struct Planted {
    traits: Traits,
    reaction_s: f64,
    lead_s: f64,
    crossover_radps: f64,
}

impl Planted {
    /// Hands at one aeroplane; `late_ticks` is what is added to their reaction on the mean.
    fn all(name: &str, traits: &[Traits], late_ticks: f64) -> Vec<Planted> {
        let drill = hold(name, "still", 60);
        let plane = truth::Plane::new(&drill);
        let planted = |traits: &Traits| Planted {
            traits: *traits,
            reaction_s: (traits.reaction_ticks as f64 + late_ticks) * TICK_S,
            lead_s: truth::lead_s(&drill, traits),
            crossover_radps: truth::crossover_radps(&drill, traits, &plane),
        };
        traits.iter().map(planted).collect()
    }

    /// Adds what a run tells of it.
    fn judge(&self, run: &Run, tallies: &mut Tallies) {
        let signature = Signature::of(run);
        let [reaction, lead, gain, crossover] = tallies;
        reaction.add(signature.reaction_s, self.reaction_s, 1.0);
        lead.add(signature.lead_s, self.lead_s, 1.0);
        gain.add(
            signature.gain,
            self.traits.speed_gain,
            self.traits.speed_gain,
        );
        let truth = self.crossover_radps;
        crossover.add(signature.crossover_radps, truth, truth);
    }

    fn fly(&self, drill: &Arc<Drill>, seed: u64) -> Run {
        hands::fly(drill.clone(), seed, &mut Steady::with(drill, self.traits))
    }
}

/// Reaction within 0.1 s and crossover within 15 % wherever they are given; intervals that hold the truth as often as they say,
/// less what chance may do.
fn assert_true_to(tallies: &Tallies, covered: f64) {
    let [reaction, _, _, crossover] = tallies;
    assert!(reaction.farthest() <= 0.1, "{}", reaction.line());
    assert!(crossover.farthest() <= 0.15, "{}", crossover.line());
    for tally in tallies {
        assert!(tally.coverage() >= covered, "{}", tally.line());
    }
}

#[test]
fn planted_reaction_and_crossover_are_recovered_in_gusts() {
    let mut all = tallies();
    for (name, air) in NAMES
        .into_iter()
        .zip(["lively", "rough", "lively", "rough"])
    {
        let drill = hold(name, air, 180);
        for planted in Planted::all(name, &with_reactions(&REACTIONS), 0.0) {
            planted.judge(&planted.fly(&drill, 1), &mut all);
        }
    }
    for tally in &all {
        assert_eq!((tally.known(), tally.runs()), (20, 20), "{}", tally.line());
    }
    assert_true_to(&all, 0.8);
}

#[test]
fn a_lever_that_never_moves_has_no_signature() {
    for air in ["still", "rough"] {
        let run = hands::fly(hold("deck jet", air, 180), 1, &mut Script::default());
        assert_eq!(Signature::of(&run), Signature::default());
        assert!(Signature::of(&run).rows().is_empty());
    }
}

#[test]
fn what_the_recording_does_not_bound_is_not_given() {
    let seen = |drill: Arc<Drill>| {
        let run = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
        (run.log().len(), Signature::of(&run))
    };
    for name in NAMES {
        // Too short for anything.
        let (moves, signature) = seen(hold(name, "rough", 20));
        assert!(moves > 0);
        assert_eq!(signature, Signature::default(), "{name}");
        // Long enough to count the moves, too few of them for the rest.
        let (_, signature) = seen(hold(name, "light", 60));
        assert!(
            name == "prop trainer" || signature.reaction_s.is_none(),
            "{name}"
        );
        // Nothing to do, and then smooth motion.
        let (_, signature) = seen(hold(name, "still", 180));
        assert_eq!(signature, Signature::default(), "{name}");
        let (moves, signature) = seen(stairs(name, "still"));
        assert!(moves > 40, "{name}");
        assert_eq!(signature.reaction_s, None, "{name}");
        assert_eq!(signature.crossover_radps, None, "{name}");
    }
}

#[test]
fn vertical_speeds_alone_tell_no_crossover() {
    let mut text = header("deck jet", "rough");
    for to_fpm in [400, -400, 400] {
        text += &format!(
            "[[task]]\nrate = {{ to_fpm = {to_fpm}, band_fpm = 10, hold_s = 50, within_s = 50 }}\n"
        );
    }
    let drill = Arc::new(drill(&text).unwrap());
    let run = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
    let signature = Signature::of(&run);
    let reaction = signature.reaction_s.unwrap();
    assert!(
        (reaction.value - 20.0 * TICK_S).abs() <= 0.1,
        "{reaction:?}"
    );
    assert!(signature.gain.is_some());
    assert_eq!(signature.crossover_radps, None);
}

#[test]
fn a_path_tells_of_corrections_only() {
    let drill = library::drill("behind-the-ship").unwrap().drill().unwrap();
    let drill = Arc::new(drill);
    let run = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
    assert!(Signature::of(&run).corrections_per_min.is_some());
    assert_no_law(&run, "behind the ship");
}

/// Moves that follow nothing: the lever wanders about level power.
fn wandering(drill: &Drill, seed: u64, every_s: f64, size: f64) -> Script {
    let mut noise = Noise::new(seed, Stream::Surprise);
    let (mut rows, mut t_s, mut off) = (Vec::new(), 1.0, 0.0);
    while t_s < 180.0 {
        off = 0.8 * off + size * (2.0 * noise.share() - 1.0);
        let lever = drill.start_lever() + off;
        rows.push(((t_s / TICK_S) as u64, (lever * 1000.0).round() as u16));
        t_s += 2.0 * every_s * noise.share();
    }
    Script::new(rows)
}

fn assert_no_law(run: &Run, what: &str) {
    let signature = Signature::of(run);
    let counted = Signature {
        corrections_per_min: signature.corrections_per_min,
        ..Signature::default()
    };
    assert_eq!(signature, counted, "{what}");
}

#[test]
fn moves_that_answer_nothing_have_no_law() {
    for name in NAMES {
        let drill = hold(name, "lively", 180);
        for seed in 0..3 {
            let mut hand = wandering(&drill, seed, 2.0, 0.02);
            let run = hands::fly(drill.clone(), seed, &mut hand);
            assert_no_law(&run, &format!("{name}, wandering, seed {seed}"));
        }
        // A hand's own moves, flown in another air than the one they answered.
        let seen = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
        let mut moves = Script::new(seen.log().to_vec());
        assert_no_law(&hands::fly(drill, 2, &mut moves), name);
    }
}

#[test]
fn corrections_are_separate_moves() {
    let up = |start, last, from, to| Move {
        start,
        last,
        from,
        to,
    };
    // One move in three changes; one that turns within the pause; one too small to count; one after a pause.
    let log = [
        (64, 510),
        (66, 520),
        (78, 530),
        (80, 524),
        (200, 521),
        (213, 531),
        (226, 541),
    ];
    let expected = vec![
        up(64, 78, 500, 530),
        up(80, 80, 530, 524),
        up(213, 213, 521, 531),
        up(226, 226, 531, 541),
    ];
    assert_eq!(moves::of(&log, 0.5), expected);

    // A move every 3 s is twenty a minute, five in each 15 s.
    let drill = hold("first jet", "still", 180);
    let rows = (0..60).map(|n| (192 * n + 20, if n % 2 == 0 { 380 } else { 360 }));
    let run = hands::fly(drill, 1, &mut Script::new(rows.collect()));
    let rate = Signature::of(&run).corrections_per_min.unwrap();
    assert_eq!(rate.value, 20.0);
    assert!(rate.low > 19.0 && rate.high < 21.0, "{rate:?}");
}

#[test]
fn rows_say_what_is_known_with_its_interval() {
    let drill = hold("deck jet", "rough", 180);
    let run = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
    let signature = Signature::of(&run);
    let rows = signature.rows();
    let labels: Vec<&str> = rows.iter().map(|(label, _)| *label).collect();
    let all = [
        "reaction",
        "corrections",
        "lead",
        "gain",
        "crossover in gusts",
    ];
    assert_eq!(labels, all);
    // 20 ticks, to a tick.
    assert_eq!(rows[0].1, "0.31 s (0.29 to 0.33)");
    let known = Signature {
        reaction_s: None,
        gain: None,
        ..signature
    };
    let labels: Vec<&str> = known.rows().iter().map(|(label, _)| *label).collect();
    assert_eq!(labels, ["corrections", "lead", "crossover in gusts"]);
}

/// Someone who sees each second's sights late by a time of its own, up to `latest_ticks`.
struct Wavering {
    hand: Steady,
    noise: Noise,
    late_ticks: usize,
    latest_ticks: usize,
    seen: Vec<Sight>,
}

impl Hand for Wavering {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if sight.tick % 64 == 32 {
            self.late_ticks = (self.noise.share() * (self.latest_ticks + 1) as f64) as usize;
        }
        self.seen.push(*sight);
        let late = self.seen[self.seen.len() - 1 - self.late_ticks.min(self.seen.len() - 1)];
        self.hand.lever(&Sight {
            tick: sight.tick,
            lever: sight.lever,
            target: sight.target,
            ..late
        })
    }
}

/// All airs, holds and stairs, all aeroplanes: what the reports quote.
#[test]
#[ignore = "some minutes"]
fn table_of_planted_hands() {
    let with = |change: &dyn Fn(&mut Traits)| {
        let mut traits = Traits::default();
        change(&mut traits);
        traits
    };
    let gains = [(0.4, 0.7), (0.8, 1.0), (0.55, 1.4), (0.7, 0.6), (0.45, 1.2)]
        .map(|(h, s)| with(&|t| (t.height_gain, t.speed_gain) = (h, s)));
    let looks = [(32, 20), (48, 40), (96, 20), (80, 64), (64, 30)]
        .map(|(look, reaction)| with(&|t| (t.look_ticks, t.reaction_ticks) = (look, reaction)));
    let trends = [10, 22, 40, 51, 80].map(|ticks| with(&|t| t.trend_ticks = ticks));
    let coarse = [
        (0.02, 0.01),
        (0.03, 0.02),
        (0.0, 0.002),
        (0.01, 0.01),
        (0.02, 0.005),
    ]
    .map(|(band, resolution)| with(&|t| (t.dead_band, t.resolution) = (band, resolution)));
    let mut leads = vec![Traits::green()];
    leads.extend([0.0, 0.4, 0.7, 1.3].map(|lead| with(&|t| t.lead = lead)));
    let sets = [
        ("reactions", with_reactions(&REACTIONS)),
        ("gains", gains.into()),
        ("looks", looks.into()),
        ("trends", trends.into()),
        ("coarse", coarse.into()),
        ("leads", leads),
    ];
    let mut all = tallies();
    for (set, hands) in &sets {
        let mut of_set = tallies();
        for name in NAMES {
            let hands = Planted::all(name, hands, 0.0);
            for air in ["still", "light", "lively", "rough"] {
                let mut of_air = tallies();
                for drill in [hold(name, air, 180), stairs(name, air)] {
                    for planted in &hands {
                        (1..4).for_each(|seed| {
                            planted.judge(&planted.fly(&drill, seed), &mut of_air)
                        });
                    }
                }
                for (n, tally) in of_air.iter().enumerate() {
                    println!("{set:9} {name:12} {air:6} {}", tally.line());
                    of_set[n].join(tally);
                    all[n].join(tally);
                }
            }
        }
        for tally in &of_set {
            println!("{set:9} all {}", tally.line());
        }
        assert_true_to(&of_set, 0.8);
    }
    for tally in &all {
        println!("everything {}", tally.line());
    }
    assert_true_to(&all, 0.9);
}

/// What a hand that is not `steady`'s kind does to the figures: its reaction wavers.
#[test]
#[ignore = "a minute"]
fn table_of_wavering_hands() {
    let mut all = tallies();
    for name in NAMES {
        let hands = Planted::all(name, &with_reactions(&[10, 20, 32, 45, 50]), 6.0);
        for air in ["lively", "rough"] {
            let drill = hold(name, air, 180);
            for (planted, seed) in hands
                .iter()
                .flat_map(|planted| [1, 2, 3].map(|n| (planted, n)))
            {
                let mut hand = Wavering {
                    hand: Steady::with(&drill, planted.traits),
                    noise: Noise::new(seed + 77, Stream::Surprise),
                    late_ticks: 0,
                    latest_ticks: 12,
                    seen: Vec::new(),
                };
                planted.judge(&hands::fly(drill.clone(), seed, &mut hand), &mut all);
            }
        }
    }
    for tally in &all {
        println!("{}", tally.line());
    }
    let [reaction, _, _, crossover] = &all;
    assert!(reaction.farthest() <= 0.1 && reaction.coverage() >= 0.8);
    assert!(crossover.farthest() <= 0.25 && crossover.coverage() >= 0.8);
}

/// The interval of the corrections holds the hand's habit: the mean over many runs.
#[test]
#[ignore = "some seconds"]
fn table_of_corrections() {
    let mut all = Tally::new("corrections");
    for name in NAMES {
        for air in ["light", "lively", "rough"] {
            let drill = hold(name, air, 180);
            let rates: Vec<_> = (1..17)
                .map(|seed| {
                    let run = hands::fly(drill.clone(), seed, &mut Steady::new(&drill));
                    let mean = moves::of(run.log(), drill.start_lever()).len() as f64 / 3.0;
                    (mean, Signature::of(&run).corrections_per_min)
                })
                .collect();
            let habit = rates.iter().map(|(mean, _)| mean).sum::<f64>() / rates.len() as f64;
            let mut tally = Tally::new("corrections");
            for (_, rate) in &rates {
                tally.add(*rate, habit, habit);
            }
            println!("{name:12} {air:6} {habit:4.1} a minute {}", tally.line());
            all.join(&tally);
        }
    }
    println!("{}", all.line());
    assert!(all.coverage() >= 0.8);
}

#[test]
#[ignore = "measures time"]
fn a_signature_takes_less_than_a_tenth_of_a_second() {
    let drill = hold("prop trainer", "rough", 180);
    let run = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
    let begin = Instant::now();
    let signature = Signature::of(&run);
    let took = begin.elapsed();
    println!(
        "{took:?} for {} changes: {:?}",
        run.log().len(),
        signature.rows()
    );
    assert!(took.as_secs_f64() < 0.1);
}
