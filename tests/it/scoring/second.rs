//! A plain second implementation of every figure, cost and point, written from the definitions alone, in feet and seconds
//! throughout; compared over flights of many kinds.

use std::sync::Arc;

use super::super::flying::drill;
use leveloff::drill::Drill;
use leveloff::hands::{Hand, Sight, Steady};
use leveloff::run::Run;
use leveloff::score::{self, Figure, Key};
use leveloff::sim::dynamics::State;
use leveloff::sim::trim;
use leveloff::units::{DEG, FPM, FT, KT};

/// The demands of a task, as in the drill's text.
#[derive(Clone, Copy)]
enum Ask {
    Hold {
        at: f64,
        band: f64,
        seconds: f64,
    },
    Step {
        to: f64,
        band: f64,
        hold_s: f64,
        within_s: f64,
    },
}

impl Ask {
    fn toml(&self) -> String {
        match self {
            Ask::Hold { at, band, seconds } => {
                format!("hold = {{ altitude_ft = {at}, band_ft = {band}, seconds = {seconds} }}")
            }
            Ask::Step {
                to,
                band,
                hold_s,
                within_s,
            } => {
                format!(
                    "step = {{ to_ft = {to}, band_ft = {band}, hold_s = {hold_s}, within_s = {within_s} }}"
                )
            }
        }
    }

    fn number_and_band(&self) -> (f64, f64) {
        match *self {
            Ask::Hold { at, band, .. } => (at, band),
            Ask::Step { to, band, .. } => (to, band),
        }
    }
}

/// A task as found in a trace: first tick, tick after the last, ticks of the captured stay.
struct Flown {
    first: usize,
    last: usize,
    stay: Option<usize>,
}

/// Cuts a flight into tasks by its altitudes at ticks (ft); the last entry may be missing if the flight ends first. Also
/// returns the number of ticks at which a stay was long enough but not level.
fn cut(asks: &[Ask], altitude_ft: &[f64]) -> (Vec<Flown>, usize) {
    let mut tasks = Vec::new();
    let mut drifted = 0;
    let mut first = 0;
    'tasks: for ask in asks {
        let (number, band) = ask.number_and_band();
        let mut stay = 0;
        let began = first;
        for tick in began..altitude_ft.len() - 1 {
            let inside = (altitude_ft[tick + 1] - number).abs() <= band;
            stay = if inside { stay + 1 } else { 0 };
            let seconds = (tick + 1 - began) as f64 / 64.0;
            let over = match *ask {
                Ask::Hold { seconds: asked, .. } => (seconds >= asked).then_some(None),
                Ask::Step {
                    hold_s, within_s, ..
                } => {
                    // The capturing stay is the last `asked` ticks, and level: half of that time ago the altitude differed by
                    // no more than half the band, or 100 ft/min for that time.
                    let asked = (hold_s * 64.0).ceil() as usize;
                    let level = f64::max(band / 2.0, 100.0 / 60.0 * hold_s / 2.0);
                    let is_level = || {
                        (altitude_ft[tick + 1] - altitude_ft[tick + 1 - asked / 2]).abs() <= level
                    };
                    drifted += usize::from(stay >= asked && !is_level());
                    if stay >= asked && is_level() {
                        Some(Some(asked))
                    } else {
                        let late = seconds > within_s + 2.0 * hold_s;
                        (!inside && seconds > within_s || late).then_some(None)
                    }
                }
            };
            if let Some(stay) = over {
                tasks.push(Flown {
                    first: began,
                    last: tick + 1,
                    stay,
                });
                first = tick + 1;
                continue 'tasks;
            }
        }
        break;
    }
    (tasks, drifted)
}

/// Mean square root, mean, standard deviation.
fn statistics(values: &[f64]) -> (f64, f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let rms = (values.iter().map(|v| v * v).sum::<f64>() / n).sqrt();
    let scatter = (values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / n).sqrt();
    (rms, mean, scatter)
}

fn turns(levers: &[f64]) -> f64 {
    // In thousandths, with a little slack for the unrounded first value and binary fractions.
    const TURN: f64 = 15.0 - 1e-6;
    let mut turns = 0.0;
    let mut rising = None;
    let (mut lowest, mut highest) = (levers[0], levers[0]);
    for &lever in levers {
        match rising {
            None => {
                if (lever - levers[0]).abs() >= TURN {
                    rising = Some(lever > levers[0]);
                    (lowest, highest) = (lever, lever);
                }
            }
            Some(true) if lever <= highest - TURN => {
                (rising, lowest, turns) = (Some(false), lever, turns + 1.0)
            }
            Some(false) if lever >= lowest + TURN => {
                (rising, highest, turns) = (Some(true), lever, turns + 1.0)
            }
            Some(_) => (lowest, highest) = (lowest.min(lever), highest.max(lever)),
        }
    }
    turns
}

/// Key and value of every figure, cost, and points if the task is scored; None where there is none.
type Expected = (Vec<(Key, Option<f64>)>, Option<f64>, f64);

fn second_opinion(run: &Run, ask: &Ask, flown: &Flown) -> Expected {
    let plane = &run.drill().aircraft;
    let trace = run.trace();
    let (number, band) = ask.number_and_band();
    let ends = flown.first + 1..flown.last + 1;
    let altitude = |tick: usize| trace.state(tick).h_m / FT;
    let vertical_fpm = |tick: usize| trace.state(tick).vz_mps / FPM;
    let start_m = trace.state(flown.first).h_m;

    let level = trim::on_speed(plane, start_m, 0.0);
    let r = level.speed_mps * (3.0 * DEG).sin() / FT;
    let u = 100.0 * (level.lever - trim::on_speed(plane, start_m, -3.0 * DEG).lever);

    let before = match flown.first {
        0 => run.drill().start_lever(),
        first => trace.lever_at(first - 1),
    };
    let mut levers = vec![1000.0 * before];
    levers.extend((flown.first..flown.last).map(|tick| 1000.0 * trace.lever_at(tick)));
    let travel: f64 = levers.windows(2).map(|w| (w[1] - w[0]).abs() / 10.0).sum();

    let (mut alpha, mut speed) = (Vec::new(), Vec::new());
    for tick in ends.clone() {
        let (s, wind) = (trace.state(tick), trace.wind(tick));
        let along = s.vx_mps + wind.headwind_mps + wind.gust_u_mps;
        let up = s.vz_mps - wind.gust_w_mps;
        alpha.push((s.theta_rad - up.atan2(along) - plane.alpha_on_rad) / DEG);
        speed.push((along.hypot(up) - trim::on_speed(plane, s.h_m, 0.0).speed_mps) / KT);
    }
    let all = |key: Key, value: f64| (key, Some(value));
    let common = [
        all(Key::LeverTravel, travel),
        all(Key::LeverReversals, turns(&levers)),
        all(Key::AlphaErrorDeg, statistics(&alpha).0),
        all(Key::SpeedWanderKt, statistics(&speed).0),
    ];
    match *ask {
        Ask::Hold { seconds, .. } => {
            let errors: Vec<f64> = ends.clone().map(|tick| altitude(tick) - number).collect();
            let (rms, bias, scatter) = statistics(&errors);
            let inside =
                errors.iter().filter(|e| e.abs() <= band).count() as f64 / errors.len() as f64;
            let mut figures = vec![
                all(Key::InBand, inside),
                all(Key::RmsFt, rms),
                all(Key::BiasFt, bias),
                all(Key::ScatterFt, scatter),
            ];
            figures.extend(common);
            let cost = rms + 0.1 * r * (travel * 60.0 / seconds) / u;
            (figures, Some(cost), (100.0 * (1.0 - cost / band)).max(0.0))
        }
        Ask::Step { within_s, .. } => {
            let from = start_m / FT;
            let way = if number >= from { 1.0 } else { -1.0 };
            let overshoot = ends
                .clone()
                .map(|tick| way * (altitude(tick) - number))
                .fold(0.0, f64::max);
            let limit = 1000.0_f64.min(1.5 * r * 60.0);
            let steep = ends
                .clone()
                .filter(|tick| vertical_fpm(*tick).abs() > limit)
                .count() as f64
                / 64.0;
            let reached = ends
                .clone()
                .find(|tick| way * (altitude(*tick) - number) >= 0.0)
                .unwrap_or(flown.last + 1);
            let moving = |tick: &usize| way * vertical_fpm(*tick) >= 50.0;
            let short = (flown.first + 1..reached)
                .skip_while(|tick| !moving(tick))
                .find(|tick| !moving(tick))
                .map_or(0.0, |tick| way * (number - altitude(tick)));
            let stay: Option<Vec<f64>> = flown.stay.map(|n| {
                (flown.last + 1 - n..=flown.last)
                    .map(|tick| altitude(tick) - number)
                    .collect()
            });
            let capture = flown
                .stay
                .map(|n| (flown.last - flown.first - n) as f64 / 64.0);
            let stay = stay.map(|errors| statistics(&errors));
            let cost = stay.zip(capture).map(|((rms, ..), capture)| {
                capture + (overshoot + rms) / r + 0.5 * travel / u + 2.0 * steep
            });
            let floor = (number - from).abs() / r;
            let begins_inside = (from - number).abs() <= band;
            let points = match cost {
                Some(cost) if !begins_inside => {
                    (100.0 * (within_s - cost) / (within_s - floor)).clamp(0.0, 100.0)
                }
                _ => 0.0,
            };
            let mut figures = vec![
                (Key::CaptureS, capture),
                all(Key::OvershootFt, overshoot),
                all(Key::ShortFt, short),
                (Key::RmsFt, stay.map(|s| s.0)),
                (Key::BiasFt, stay.map(|s| s.1)),
                (Key::ScatterFt, stay.map(|s| s.2)),
                all(Key::SteepS, steep),
            ];
            figures.extend(common);
            (figures, cost, points)
        }
    }
}

/// Moves the lever at odd times, roughly towards the target: gets there sometimes.
struct Nibbler {
    random: u64,
    level: f64,
    eagerness: f64,
    next: u64,
}

impl Nibbler {
    fn new(drill: &Drill, seed: u64) -> Nibbler {
        let level = trim::on_speed(&drill.aircraft, drill.start.altitude_m, 0.0).lever;
        let mut nibbler = Nibbler {
            random: seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1,
            level,
            eagerness: 0.0,
            next: 0,
        };
        nibbler.eagerness = 0.1 + nibbler.fraction();
        nibbler
    }

    /// 0..1 by xorshift.
    fn fraction(&mut self) -> f64 {
        self.random ^= self.random << 13;
        self.random ^= self.random >> 7;
        self.random ^= self.random << 17;
        (self.random >> 11) as f64 / (1_u64 << 53) as f64
    }
}

impl Hand for Nibbler {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if sight.tick < self.next {
            return None;
        }
        self.next = sight.tick + 1 + (200.0 * self.fraction() * self.fraction()) as u64;
        let missing_ft = -self.error_ft(sight);
        let wanted_fpm = (6.0 * missing_ft).clamp(-800.0, 800.0);
        let now_fpm = sight.vertical_mps / FPM;
        let noise = 0.08 * (self.fraction() - 0.5);
        let lever = self.level + self.eagerness * (wanted_fpm - 0.6 * now_fpm) / 6000.0 + noise;
        Some((lever.clamp(0.0, 1.0) * 1000.0) as u16)
    }
}

impl Nibbler {
    fn error_ft(&self, sight: &Sight) -> f64 {
        let state = State {
            h_m: sight.altitude_m,
            vz_mps: sight.vertical_mps,
            ..Default::default()
        };
        sight.target.error(&state, sight.tick) / FT
    }
}

/// Aeroplane, lines of the start, lines of the air, tasks and whether they are scored.
type Case = (&'static str, &'static str, &'static str, Vec<(Ask, bool)>);

fn cases() -> Vec<Case> {
    let hold = |at, band, seconds| Ask::Hold { at, band, seconds };
    let step = |to, band, hold_s, within_s| Ask::Step {
        to,
        band,
        hold_s,
        within_s,
    };
    vec![
        (
            "deck jet",
            "altitude_ft = 1500\nlever_off = -0.1",
            "",
            vec![
                (hold(1500.0, 25.0, 8.0), true),
                (step(1350.0, 40.0, 6.0, 30.0), true),
                (step(1500.0, 25.0, 4.0, 35.5), true),
            ],
        ),
        (
            "late jet",
            "altitude_ft = 2400.5\noff_speed_kt = 8",
            "headwind_kt = 12\ngusts = 'lively'",
            vec![
                (step(2700.0, 60.0, 3.3, 50.0), true),
                (hold(2680.0, 60.0, 7.01), false),
                (step(2550.0, 30.0, 10.0, 40.0), true),
            ],
        ),
        (
            "prop trainer",
            "altitude_ft = 900\npath_deg = -2",
            "gusts = 'light'",
            vec![
                (step(820.0, 20.0, 5.0, 40.0), true),
                (step(860.0, 12.0, 8.0, 30.0), false),
                (hold(860.0, 12.0, 5.0), true),
            ],
        ),
        (
            "first jet",
            "altitude_ft = 180\npath_deg = -3",
            "headwind_kt = -10\ngusts = 'rough'",
            vec![
                (step(120.0, 50.0, 9.0, 30.0), true),
                (hold(120.0, 40.0, 6.0), true),
                (step(60.0, 25.0, 12.0, 40.0), true),
            ],
        ),
    ]
}

#[test]
fn a_second_implementation_agrees_on_every_figure() {
    let (mut captured, mut missed, mut unfinished, mut inside, mut short, mut steep, mut partial) =
        (0, 0, 0, 0, 0, 0, 0);
    let mut drifted = 0;
    for (name, start, air, tasks) in cases() {
        let mut text = format!(
            "title = 'T'\nabout = 'A'\naircraft = '{name}'\n[start]\n{start}\n[air]\n{air}\n"
        );
        for (ask, scored) in &tasks {
            text += &format!("[[task]]\n{}\nscored = {scored}\n", ask.toml());
        }
        let drill = Arc::new(drill(&text).unwrap());
        let asks: Vec<Ask> = tasks.iter().map(|(ask, _)| *ask).collect();
        for seed in 0..50 {
            let mut hand: Box<dyn Hand> = match seed % 10 {
                0 => Box::new(Steady::new(&drill)),
                _ => Box::new(Nibbler::new(&drill, seed)),
            };
            let mut run = Run::new(drill.clone(), seed);
            let leaves = if seed % 7 == 3 {
                64 * (5 + seed)
            } else {
                u64::MAX
            };
            while run.end().is_none() {
                if run.tick() == leaves {
                    run.leave();
                }
                if let Some(lever) = hand.lever(&Sight::of(&run)) {
                    run.set_lever(lever);
                }
                run.fly();
            }
            let score = score::score(&run);

            let mut altitude_ft: Vec<f64> = run
                .trace()
                .states()
                .iter()
                .map(|state| state.h_m / FT)
                .collect();
            if run.fault().is_some() {
                altitude_ft.pop();
            }
            let (flown, ticks) = cut(&asks, &altitude_ft);
            drifted += ticks;
            assert_eq!(score.tasks.len(), asks.len());
            assert_eq!(score.complete, flown.len() == asks.len());
            let mut sum = (0.0, 0.0);
            for (index, (task, (ask, scored))) in score.tasks.iter().zip(&tasks).enumerate() {
                let what = format!("{name}, seed {seed}, task {}", index + 1);
                let Some(flown) = flown.get(index) else {
                    unfinished += 1;
                    assert!(task.figures.iter().all(|f| *f == Figure::Unknown), "{what}");
                    assert_eq!(
                        (task.end_s, task.cost, task.points),
                        (None, None, scored.then_some(0.0)),
                        "{what}"
                    );
                    sum.1 += f64::from(u8::from(*scored));
                    continue;
                };
                assert_eq!(task.start_s, Some(flown.first as f64 / 64.0), "{what}");
                assert_eq!(task.end_s, Some(flown.last as f64 / 64.0), "{what}");
                let (figures, cost, points) = second_opinion(&run, ask, flown);
                for (key, expected) in figures.iter().copied() {
                    agree(&format!("{what}, {key:?}"), task.number(key), expected);
                }
                let flags = usize::from(matches!(ask, Ask::Step { .. }));
                assert_eq!(
                    figures.len() + flags,
                    task.figures.len(),
                    "{what}: a figure without a second opinion"
                );
                if flags == 1 {
                    let stayed = flown.stay.is_some();
                    assert_eq!(
                        task.figure(Key::Captured),
                        Some(Figure::Flag(stayed)),
                        "{what}"
                    );
                    captured += usize::from(stayed);
                    missed += usize::from(!stayed);
                    inside += usize::from(cost.is_some() && points == 0.0);
                    short += usize::from(task.number(Key::ShortFt) > Some(0.0));
                    steep += usize::from(task.number(Key::SteepS) > Some(0.0));
                }
                partial += usize::from(points > 0.0 && points < 100.0);
                let own = task.cost.map(|cost| cost.total());
                agree(&format!("{what}, cost"), own, cost);
                agree(
                    &format!("{what}, points"),
                    task.points,
                    scored.then_some(points),
                );
                if *scored {
                    sum = (sum.0 + points, sum.1 + 1.0);
                }
            }
            agree(
                &format!("{name}, seed {seed}, points"),
                score.points,
                Some(sum.0 / sum.1),
            );
        }
    }
    // Every branch of the definitions occurred.
    let seen = [
        captured, missed, unfinished, inside, short, steep, partial, drifted,
    ];
    assert!(seen.iter().all(|count| *count >= 5), "{seen:?}");
}

fn agree(what: &str, ours: Option<f64>, theirs: Option<f64>) {
    match (ours, theirs) {
        (None, None) => {}
        (Some(a), Some(b)) if (a - b).abs() <= 1e-9 * (1.0 + b.abs()) => {}
        _ => panic!("{what}: {ours:?}, the second implementation {theirs:?}"),
    }
}
