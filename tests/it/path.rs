//! Paths down to a deck: their geometry against hand-computed values, every possible end, the instant of touchdown, and
//! figures and points computed a second time from the trace.
//!
//! "CALC" stands for plain trigonometry with a nautical mile of 1852 m and a foot of 0.3048 m; the ends and points are the
//! rules of this program, without a published source.

use std::collections::BTreeSet;
use std::f64::consts::TAU;
use std::sync::Arc;

use super::cli::Shell;
use super::flying::{aircraft, all_shipped, close, drill};
use leveloff::brief::PathBrief;
use leveloff::brief::path::{Descent, Flier};
use leveloff::drill::path::{Call, Outcome};
use leveloff::drill::{Drill, Glide, Kind, Target};
use leveloff::hands::{self, Hand, Script, Sight, Steady};
use leveloff::run::moves::{Lever, LeverMove, flown_until};
use leveloff::run::{End, Recording, Run};
use leveloff::score::{self, Figure, HandFigures, Key, Score};
use leveloff::sim::air::Wind;
use leveloff::sim::dynamics::{State, step};
use leveloff::sim::trim;
use leveloff::units::{DEG, FPM, FT, KT, NM, TICK_S};

/// The variable parts of a test's drill. The default is a path of 3.5 degrees from 3.1 nm, 80 ft, gates at 2, 1 and 0.5 nm.
struct Made<'a> {
    start: &'a str,
    air: &'a str,
    deck: &'a str,
    from_nm: f64,
    gates_nm: &'a str,
}

impl Default for Made<'_> {
    fn default() -> Self {
        Made {
            start: "altitude_ft = 1250\ndistance_nm = 4.2",
            air: "",
            deck: "speed_kt = 12",
            from_nm: 3.1,
            gates_nm: "2, 1, 0.5",
        }
    }
}

impl Made<'_> {
    fn text(&self) -> String {
        let Made {
            start,
            air,
            deck,
            from_nm,
            gates_nm,
        } = self;
        format!(
            "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\n{start}\n[air]\n{air}\n[deck]\nheight_ft = 60\n\
             zone_ft = 240\n{deck}\n[[task]]\npath = {{ slope_deg = 3.5, from_nm = {from_nm}, band_ft = 80, \
             gates_nm = [{gates_nm}] }}\n"
        )
    }

    fn drill(&self) -> Arc<Drill> {
        Arc::new(drill(&self.text()).unwrap_or_else(|error| panic!("{error}")))
    }
}

fn flown(drill: &Arc<Drill>, rows: &[(u64, u16)]) -> (Run, Score) {
    let run = hands::fly(drill.clone(), 1, &mut Script::new(rows.to_vec()));
    let score = score::score(&run);
    (run, score)
}

fn by_steady(drill: &Arc<Drill>, seed: u64) -> (Run, Score) {
    let run = hands::fly(drill.clone(), seed, &mut Steady::new(drill));
    let score = score::score(&run);
    (run, score)
}

fn glide(drill: &Drill) -> Glide {
    match &drill.tasks.last().unwrap().kind {
        Kind::Path(path) => path.glide,
        other => panic!("{other:?}"),
    }
}

fn outcome(run: &Run) -> Option<Outcome> {
    run.leg().approach.outcome
}

fn card(slope_deg: f64, speed_kt: f64, deck_kt: f64, wind_kt: f64) -> PathBrief {
    PathBrief::new(&Descent {
        slope_rad: slope_deg * DEG,
        deck_m: 60.0 * FT,
        deck_mps: deck_kt * KT,
        wind_mps: wind_kt * KT,
        lost_mps: 0.0,
        flier: Flier::Speed(speed_kt * KT),
        gates_m: vec![3.0 * NM, 2.0 * NM, NM],
    })
}

// Geometry.

/// CALC: 60 ft + distance times tan 3.5 degrees.
const GATES: [(f64, f64); 3] = [(3.0, 1175.0), (2.0, 803.0), (1.0, 432.0)];

#[test]
fn gates_stand_where_the_slope_says() {
    let line = glide(&Made::default().drill());
    for ((nm, ft), gate) in GATES.iter().zip(card(3.5, 130.0, 15.0, 10.0).gates) {
        close("the line, ft", line.altitude_m(nm * NM) / FT, *ft, 0.5);
        close("the card, ft", gate.altitude_ft, *ft, 0.5);
        let exact_ft = 60.0 + nm * 1852.0 / 0.3048 * (3.5_f64).to_radians().tan();
        close("exactly", line.altitude_m(nm * NM) / FT, exact_ft, 1e-9);
        close("exactly", gate.altitude_ft, exact_ft, 1e-9);
        close("distance", gate.distance_nm, *nm, 1e-12);
        // CALC: 105 kt of closure.
        close("to go, s", gate.to_go_s, nm / 105.0 * 3600.0, 1e-9);
        close("to go, s", gate.to_go_s, nm * 34.286, 0.01);
    }
}

#[test]
fn feet_in_a_mile() {
    // CALC: 6076.12 ft times the tangent.
    for (slope, ft) in [(3.0, 318.4), (3.25, 345.0), (3.5, 371.6), (4.0, 424.9)] {
        let gates = card(slope, 130.0, 0.0, 0.0).gates;
        close(
            "ft in a mile",
            gates[1].altitude_ft - gates[2].altitude_ft,
            ft,
            0.05,
        );
    }
}

#[test]
fn a_moving_deck_and_wind_tilt_the_path() {
    // CALC: closure 130 - 15 - 10 kt; the same sink over 120 kt of ground speed and 130 kt through the air.
    let now = card(3.5, 130.0, 15.0, 10.0).now;
    close("closure", now.closure_kt, 105.0, 1e-9);
    close("over the water", now.water_deg, 3.06, 0.005);
    close("through the air", now.air_deg, 2.83, 0.005);
    close("sink", now.sink_fpm / 60.0, 10.84, 0.005);
    assert_eq!(now.lever, None);
    // CALC: closure times the tangent, ft/s.
    for (closure, slope, fps) in [(105.0, 3.5, 10.84), (95.0, 4.0, 11.21), (140.0, 3.5, 14.45)] {
        let sink_fpm = card(slope, closure, 0.0, 0.0).now.sink_fpm;
        close("sink at the deck, ft/s", sink_fpm / 60.0, fps, 0.01);
    }
    // CALC: 1 / tan 3.5 degrees.
    close("spread", card(3.5, 130.0, 0.0, 0.0).along_ft, 16.35, 0.005);
}

#[test]
fn the_power_told_for_a_path_holds_it() {
    // With the brief's power, path and wind the aeroplane keeps the brief's sink and closure: flown, not looked up.
    let plane = aircraft("deck jet");
    let h_m = 500.0 * FT;
    let told = PathBrief::new(&Descent {
        slope_rad: 3.5 * DEG,
        deck_m: 60.0 * FT,
        deck_mps: 15.0 * KT,
        wind_mps: 10.0 * KT,
        lost_mps: 0.0,
        flier: Flier::Aeroplane(&plane, h_m),
        gates_m: vec![],
    })
    .now;
    let lever = told.lever.unwrap();
    let trim = leveloff::sim::trim::on_speed(&plane, h_m, -told.air_deg * DEG);
    let start = super::flying::trimmed(&plane, h_m, &trim);
    let states = super::flying::follow(&plane, start, lever, 5.0);
    close("sink", -states[0].vz_mps / FPM, told.sink_fpm, 0.01);
    for state in &states {
        // Denser air on the way down gives the engine 0.1 % more: 3 ft/min.
        close("sink", -state.vz_mps / FPM, told.sink_fpm, 5.0);
        close("closure", state.vx_mps / KT - 25.0, told.closure_kt, 0.1);
    }
}

#[test]
fn a_deck_that_heaves_takes_ten_seconds_where_its_file_does_not_say() {
    let period_s = |deck: &str| {
        let made = Made {
            deck,
            ..Made::default()
        };
        made.drill().aim.unwrap().deck.heave_period_s
    };
    assert_eq!(period_s("heave_ft = 4"), 10.0);
    assert_eq!(period_s("heave_ft = 4\nheave_period_s = 8"), 8.0);
}

#[test]
fn the_band_narrows_to_half_the_zone_on_the_slope() {
    let line = glide(&Made::default().drill());
    let at_aim_ft = 120.0 * (3.5_f64).to_radians().tan();
    let cases = [
        (3.1, 80.0),
        (4.0, 80.0),
        (0.0, at_aim_ft),
        (-0.01, at_aim_ft),
        (1.55, (80.0 + at_aim_ft) / 2.0),
        (0.775, at_aim_ft + 0.25 * (80.0 - at_aim_ft)),
    ];
    for (nm, ft) in cases {
        close("half-width", line.half_width_m(nm * NM) / FT, ft, 1e-9);
    }
}

#[test]
fn above_the_path_is_positive_and_distance_follows_the_deck() {
    let made = Made::default().drill();
    let (run, _) = flown(&made, &[]);
    let target = run.leg().target;
    assert!(matches!(target, Target::Path(_)));
    for tick in [0, 640, 6400] {
        let state = run.trace().states()[tick as usize];
        // Against the deck's own motion, in feet.
        let away_ft = 4.2 * NM / FT + 12.0 * KT / FT * (tick as f64 / 64.0) - state.x_m / FT;
        let above_ft = state.h_m / FT - 60.0 - away_ft * (3.5_f64).to_radians().tan();
        close("deviation", target.error(&state, tick) / FT, above_ft, 1e-6);
    }
    let at = |tick: u64| target.error(&run.trace().states()[tick as usize], tick);
    assert!(at(0) < 0.0 && at(6400) > 0.0, "{} {}", at(0), at(6400));
}

// How paths end.

#[test]
fn the_steady_hand_is_down_in_the_zone() {
    let (run, score) = by_steady(&Made::default().drill(), 1);
    assert_eq!(
        (run.end(), outcome(&run)),
        (Some(End::Complete), Some(Outcome::InZone))
    );
    let task = &score.tasks[0];
    assert_eq!(task.outcome(), Some(Outcome::InZone));
    assert_eq!(task.figure(Key::Missed), Some(Figure::Flag(false)));
    let points = task.points.unwrap();
    assert!(points > 0.0, "{points}");
    // Half the zone either way.
    assert!(task.number(Key::TouchdownFt).unwrap().abs() <= 120.0);
    // CALC: the deck jet's closure times tan 3.5 degrees is 10 to 13 ft/s; a hand that holds the band stays near that.
    let sink = task.number(Key::SinkFps).unwrap();
    assert!((7.0..17.0).contains(&sink), "{sink}");
}

#[test]
fn a_level_pass_goes_past_the_zone() {
    let (run, score) = flown(&Made::default().drill(), &[]);
    let task = &score.tasks[0];
    assert_eq!((run.fault(), task.outcome()), (None, Some(Outcome::Past)));
    assert!(score.complete);
    assert_eq!(task.points, Some(0.0));
    assert_eq!(task.figure(Key::TouchdownFt), Some(Figure::Unknown));
    assert_eq!(task.figure(Key::SinkFps), Some(Figure::Unknown));
    assert_eq!(task.figure(Key::FullPowerS), Some(Figure::Unknown));
    // It ends with the first tick that ends beyond the zone.
    let line = glide(run.drill());
    let away = |tick: u64| line.distance_m(&run.trace().states()[tick as usize], tick) / FT;
    assert!(away(run.tick()) < -120.0 && away(run.tick() - 1) >= -120.0);
}

#[test]
fn idle_comes_short_and_the_surface_is_no_fault() {
    for deck in ["speed_kt = 12", "heave_ft = 5", ""] {
        let made = Made {
            deck,
            ..Made::default()
        };
        let (run, score) = flown(&made.drill(), &[(0, 0)]);
        let task = &score.tasks[0];
        assert_eq!((run.end(), run.fault()), (Some(End::Complete), None));
        assert_eq!(
            (task.outcome(), task.points),
            (Some(Outcome::Short), Some(0.0))
        );
        // Far out it flies on until it reaches the surface.
        assert!(run.world().state().h_m <= 0.0);
        assert!(run.trace().states()[run.tick() as usize - 1].h_m > 0.0);
    }
}

#[test]
fn below_the_deck_at_its_edge_is_short() {
    // Level at 55 ft towards a deck at 60 ft: it ends at the edge, above the surface.
    let made = Made {
        start: "altitude_ft = 55\ndistance_nm = 0.4",
        from_nm: 0.3,
        gates_nm: "0.1",
        ..Made::default()
    };
    let (run, score) = flown(&made.drill(), &[]);
    assert_eq!(score.tasks[0].outcome(), Some(Outcome::Short));
    let line = glide(run.drill());
    let away = |tick: u64| line.distance_m(&run.trace().states()[tick as usize], tick) / FT;
    assert!(away(run.tick()) <= 120.0 && away(run.tick() - 1) > 120.0);
    assert!(run.world().state().h_m / FT > 50.0);
}

#[test]
fn full_power_goes_around() {
    let (run, score) = flown(&Made::default().drill(), &[(0, 1000)]);
    let task = &score.tasks[0];
    assert_eq!(task.outcome(), Some(Outcome::WentAround));
    // It was not called, so it earns nothing.
    assert_eq!(
        (task.points, task.figure(Key::Missed)),
        (Some(0.0), Some(Figure::Flag(false)))
    );
    // Two seconds of climbing without a break, the lever at full: 128 ticks that end climbing.
    let states = run.trace().states();
    let climbing = (1..states.len())
        .rev()
        .take_while(|tick| states[*tick].vz_mps > 0.0);
    assert_eq!(climbing.count(), 128);
    assert!((0..run.trace().ticks()).all(|tick| run.trace().lever_at(tick) == 1.0));
}

/// Full power by taps four times a second is one move, like full power set at once.
#[test]
fn a_go_around_begins_with_the_first_tap_towards_full_power() {
    let drill = Made::default().drill();
    let begins = 10 * 64;
    for taps in [1, 6] {
        let tap = |n: u64| (begins + 16 * (n - 1), 1000 - 100 * (taps - n) as u16);
        let (run, _) = flown(&drill, &(1..=taps).map(tap).collect::<Vec<_>>());
        assert_eq!(outcome(&run), Some(Outcome::WentAround), "{taps} taps");
        assert_eq!(flown_until(&run), begins as usize - 1, "{taps} taps");
    }
}

#[test]
fn less_than_full_power_is_no_going_around() {
    for (lever, expected) in [(979, Outcome::Past), (980, Outcome::WentAround)] {
        let (run, _) = flown(&Made::default().drill(), &[(0, lever)]);
        assert_eq!(outcome(&run), Some(expected), "{lever}");
    }
}

#[test]
fn going_around_takes_two_seconds_without_a_break_before_the_deck() {
    let drill = Made::default().drill();
    let (whole, _) = flown(&drill, &[(0, 1000)]);
    let (broken, _) = flown(&drill, &[(0, 1000), (96, 970), (97, 1000)]);
    assert_eq!((whole.tick(), broken.tick()), (128, 97 + 128));
    assert_eq!(outcome(&broken), Some(Outcome::WentAround));
    // Level at 85 ft over a deck at 60 ft: the edge of the zone comes after eleven to twelve seconds.
    let made = Made {
        start: "altitude_ft = 85\ndistance_nm = 0.4",
        from_nm: 0.3,
        gates_nm: "0.1",
        ..Made::default()
    };
    let drill = made.drill();
    let (level, _) = flown(&drill, &[]);
    let line = glide(&drill);
    let states = level.trace().states();
    let edge = (0..).find(|tick| line.distance_m(&states[*tick as usize], *tick) <= 120.0 * FT);
    let edge = edge.unwrap();
    assert!((11 * 64..12 * 64).contains(&edge), "{edge}");
    assert_eq!(
        outcome(&flown(&drill, &[(edge - 150, 1000)]).0),
        Some(Outcome::WentAround)
    );
    assert_eq!(
        outcome(&flown(&drill, &[(edge - 120, 1000)]).0),
        Some(Outcome::Past)
    );
}

#[test]
fn an_approach_that_is_left_has_no_figures() {
    let drill = Made::default().drill();
    let mut run = Run::new(drill, 1);
    (0..640).for_each(|_| run.fly());
    run.leave();
    let score = score::score(&run);
    let task = &score.tasks[0];
    assert!(task.figures.iter().all(|figure| *figure == Figure::Unknown));
    assert_eq!(
        (task.points, task.cost, task.end_s),
        (Some(0.0), None, None)
    );
    assert!(!score.complete);
}

#[test]
fn no_gate_that_was_not_reached_has_a_deviation() {
    let drill = Made::default().drill();
    let reached = |rows: &[(u64, u16)]| match flown(&drill, rows).1.tasks[0].figure(Key::Gates) {
        Some(Figure::Gates(gates)) => gates,
        other => panic!("{other:?}"),
    };
    let none = reached(&[(0, 1000)]);
    assert!(none.iter().all(|gate| gate.deviation_ft.is_none()));
    assert_eq!(
        none.iter().map(|gate| gate.distance_nm).collect::<Vec<_>>(),
        [2.0, 1.0, 0.5]
    );
    let passed = reached(&[]);
    for gate in &passed {
        // A level pass: above by the descent of the path so far.
        close(
            "deviation",
            gate.deviation_ft.unwrap(),
            1250.0 - gate.altitude_ft,
            3.0,
        );
    }
    let idle: Vec<bool> = reached(&[(0, 0)])
        .iter()
        .map(|gate| gate.deviation_ft.is_some())
        .collect();
    assert_eq!(idle.last(), Some(&false), "{idle:?}");
}

// Calls.

/// A start at 200 ft, where the path is a thousand feet higher: low from the first tick on.
fn low() -> Arc<Drill> {
    let made = Made {
        start: "altitude_ft = 200\ndistance_nm = 4.2",
        ..Made::default()
    };
    made.drill()
}

/// A start on the path, 170 ft above the deck, on a path half as steep again.
fn sinking() -> Arc<Drill> {
    let made = Made {
        start: "altitude_ft = 230\ndistance_nm = 0.457\npath_deg = -5",
        from_nm: 0.45,
        gates_nm: "0.2",
        ..Made::default()
    };
    made.drill()
}

#[test]
fn a_call_comes_at_once_where_it_is_very_low_and_waits_where_it_is_only_sinking() {
    let (run, _) = flown(&low(), &[]);
    assert_eq!(run.leg().approach.called, Some((32, Call::Low)));
    let (run, _) = flown(&sinking(), &[]);
    let (tick, call) = run.leg().approach.called.unwrap();
    assert!(
        tick > 32 && tick % 16 == 0 && call == Call::Sinking,
        "{tick}"
    );
}

/// Whether full lever, `after` ticks after a state, keeps the aeroplane 10 ft clear of the deck until it climbs: flown here in
/// ft, a tick at a time.
fn rule_flyable(run: &Run, state: &State, lever: f64, after: usize) -> bool {
    let mut state = *state;
    for tick in 0..64 * 60 {
        if state.h_m / FT < 70.0 {
            return false;
        }
        if tick >= after && state.vz_mps > 0.0 {
            return true;
        }
        let lever = if tick < after { lever } else { 1.0 };
        let aircraft = &run.drill().aircraft;
        state = step(aircraft, &state, lever, &Wind::default(), 1.0 / 64.0);
    }
    false
}

/// When and why a go-around is called, from the rule alone and in feet: 3.5 degrees, 80 ft at 3.1 nm, a zone of 240 ft.
fn rule_calls(run: &Run) -> Option<(u64, Call)> {
    let tan = (3.5_f64).to_radians().tan();
    let aim = run.drill().aim.unwrap();
    let (start_ft, deck_fps) = (aim.start_m / FT, aim.deck.speed_mps / FT);
    let (mut low, mut very_low, mut sinking) = (0, 0, 0);
    for (tick, state) in (0..).zip(run.trace().states()).skip(1) {
        let away_ft = start_ft + deck_fps * tick as f64 / 64.0 - state.x_m / FT;
        if away_ft <= 120.0 {
            return None;
        }
        let height_ft = state.h_m / FT - 60.0;
        let half_ft = 120.0 * tan + (away_ft / (3.1 * NM / FT)).min(1.0) * (80.0 - 120.0 * tan);
        let below_ft = away_ft * tan - height_ft;
        let path_fps = (state.vx_mps / FT - deck_fps) * tan;
        let count = |reason: bool, ticks: u64| if reason { ticks + 1 } else { 0 };
        low = count(below_ft > half_ft, low);
        very_low = count(below_ft > 2.0 * half_ft, very_low);
        sinking = count(-state.vz_mps / FT > 1.4 * path_fps, sinking);
        let why = if low >= 32 { Call::Low } else { Call::Sinking };
        if height_ft >= 300.0 || low < 32 && sinking < 32 {
            continue;
        }
        let lever = run.trace().lever_at(tick as usize - 1);
        // A second and a half to answer, and `more` ticks.
        let flyable = |more: usize| rule_flyable(run, state, lever, 96 + more);
        if very_low >= 32 && flyable(0) || tick % 16 == 0 && flyable(0) && !flyable(16) {
            return Some((tick, why));
        }
    }
    None
}

#[test]
fn full_power_may_wait_to_the_last_quarter_of_a_second() {
    let mut run = Run::new(sinking(), 1);
    let (mut never, mut at_once) = (0, 0);
    while run.end().is_none() {
        let state = *run.world().state();
        let in_time = |ticks: usize| rule_flyable(&run, &state, run.lever(), ticks);
        let waits = (0..=8).take_while(|look| in_time(16 * look)).last();
        let left_s = run.go_around_left_s(2.0);
        assert_eq!(
            left_s,
            waits.map(|look| 0.25 * look as f64),
            "{}",
            run.tick()
        );
        never += u32::from(left_s.is_none());
        at_once += u32::from(left_s == Some(0.0));
        (0..16).for_each(|_| run.fly());
    }
    assert!(never > 0 && at_once > 0, "{never} {at_once}");
}

/// A headwind that is about to die takes airspeed away during the go-around: there is less time left although nothing has
/// changed yet.
#[test]
fn a_shift_of_the_wind_to_come_shortens_the_time_left() {
    let left_s = |air: &str| {
        let start = "altitude_ft = 400\ndistance_nm = 0.9\npath_deg = -5";
        let made = Made {
            start,
            air,
            from_nm: 0.8,
            gates_nm: "0.4",
            ..Made::default()
        };
        let mut run = Run::new(made.drill(), 1);
        (0..32).for_each(|_| run.fly());
        (*run.world().state(), run.go_around_left_s(20.0).unwrap())
    };
    let (steady, in_steady_s) = left_s("headwind_kt = 16");
    let (shifts, in_shift_s) =
        left_s("headwind_kt = 16\nshift_kt = -12\nshift_at_s = 1\nshift_over_s = 3");
    assert_eq!(steady, shifts, "the shift has not begun");
    assert!(in_shift_s < in_steady_s, "{in_shift_s} {in_steady_s}");
}

#[test]
fn calls_come_when_the_rule_says() {
    let (mut none, mut low, mut sinking) = (0, 0, 0);
    for altitude_ft in (150..290).step_by(7) {
        for path_deg in ["0", "-2.5", "-3.3", "-4.2"] {
            for lever in [150, 250, 350, 500] {
                let start = format!(
                    "altitude_ft = {altitude_ft}\ndistance_nm = 0.5\npath_deg = {path_deg}"
                );
                let made = Made {
                    start: &start,
                    ..Made::default()
                };
                let (run, _) = flown(&made.drill(), &[(64, lever)]);
                let called = run.leg().approach.called;
                assert_eq!(called, rule_calls(&run), "{start} {lever}");
                match called {
                    None => none += 1,
                    Some((_, Call::Low)) => low += 1,
                    Some((_, Call::Sinking)) => sinking += 1,
                }
            }
        }
    }
    assert!(
        none > 20 && low > 20 && sinking > 10,
        "{none} {low} {sinking}"
    );
}

#[test]
fn a_called_go_around_that_is_flown_earns_a_quarter() {
    let (called, _) = flown(&sinking(), &[]).0.leg().approach.called.unwrap();
    for (drill, full) in [(low(), 48), (sinking(), called + 96)] {
        let (run, score) = flown(&drill, &[(full, 1000)]);
        // Two seconds from the end of the sink, not from the move of the lever.
        let states = run.trace().states();
        let climbs = (full as usize..states.len()).find(|tick| states[tick + 1].vz_mps > 0.0);
        assert_eq!(run.tick(), climbs.unwrap() as u64 + 128);
        let task = &score.tasks[0];
        assert_eq!(task.outcome(), Some(Outcome::WentAround));
        assert_eq!(
            (task.points, task.figure(Key::Missed)),
            (Some(25.0), Some(Figure::Flag(false)))
        );
    }
}

/// A run with a lever, found by trial, that stops the sink after the call just enough to touch down in the zone.
pub fn saved_after_a_call() -> (Run, Score) {
    let (called, _) = flown(&sinking(), &[]).0.leg().approach.called.unwrap();
    (20..140)
        .flat_map(|wait| [500, 700, 900].map(|lever| (wait, lever)))
        .map(|(wait, lever)| flown(&sinking(), &[(called, 1000), (called + wait, lever - 400)]))
        .find(|(_, score)| score.tasks[0].outcome() == Some(Outcome::InZone))
        .expect("levers that bring it into the zone")
}

#[test]
fn a_called_go_around_that_is_not_flown_earns_nothing() {
    let (_, past) = flown(&low(), &[]);
    assert_eq!(past.tasks[0].outcome(), Some(Outcome::Past));
    let (_, down) = flown(&sinking(), &[]);
    for score in [past, down, saved_after_a_call().1] {
        let task = &score.tasks[0];
        assert_eq!(
            task.figure(Key::Missed),
            Some(Figure::Flag(true)),
            "{task:?}"
        );
        assert_eq!(task.points, Some(0.0));
    }
}

#[test]
fn nothing_is_called_three_hundred_feet_above_the_deck() {
    // Level at 360.5 ft, 300.5 ft above a deck at 60 ft, far below the path.
    let made = |altitude_ft: &str| {
        let start = format!("altitude_ft = {altitude_ft}\ndistance_nm = 4.2");
        let made = Made {
            start: &start,
            ..Made::default()
        };
        flown(&made.drill(), &[]).0.leg().approach.called
    };
    assert_eq!(made("360.5"), None);
    assert_eq!(made("359.5"), Some((32, Call::Low)));
}

/// Flies a path by `steady` until a distance, then with the lever held `less` lower. Gives full power `answers` ticks after a
/// call, if set.
struct Sagging {
    steady: Steady,
    from_m: f64,
    less: f64,
    held: Option<u16>,
    called: Option<u64>,
    answers: Option<u64>,
}

impl Hand for Sagging {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if sight.is_called {
            self.called.get_or_insert(sight.tick);
        }
        if let (Some(called), Some(answer)) = (self.called, self.answers)
            && sight.tick >= called + answer
        {
            return Some(1000);
        }
        let (distance_m, _) = sight.approach.unwrap();
        if distance_m < self.from_m {
            let held = ((sight.lever - self.less).max(0.0) * 1000.0) as u16;
            return Some(*self.held.get_or_insert(held));
        }
        self.steady.lever(sight)
    }
}

/// Paths flown low in twenty ways, on every shipped path and in its own air. Every called go-around can be flown by full power
/// a second and a half later; hardly one is so late that the aeroplane is over the deck before it has climbed for two seconds.
/// Nothing is called on a path that stays inside its band.
#[test]
fn every_call_can_be_flown() {
    let (mut calls, mut late, mut inside, mut stalled) = (0, 0, 0, 0);
    for drill in all_shipped() {
        if !matches!(drill.tasks.last().unwrap().kind, Kind::Path(_)) {
            continue;
        }
        for n in 0..20_u64 {
            let sagging = |answers: Option<u64>| Sagging {
                steady: Steady::new(&drill),
                from_m: 250.0 + 90.0 * n as f64,
                less: [0.0, 0.03, 0.06, 0.15, 1.0][n as usize % 5],
                held: None,
                called: None,
                answers,
            };
            let run = hands::fly(drill.clone(), n, &mut sagging(Some(96)));
            let leg = run.legs().last().unwrap();
            // In rough air sudden full power can carry it beyond the stall; that is not the fault of the call.
            if run.fault().is_some() {
                stalled += 1;
            } else if leg.approach.called.is_some() {
                let task = score::score(&run).tasks.pop().unwrap();
                match task.outcome() {
                    Some(Outcome::Past) => {
                        assert_eq!(task.points, Some(0.0));
                        late += 1;
                    }
                    around => assert_eq!(
                        (around, task.points),
                        (Some(Outcome::WentAround), Some(25.0)),
                        "{} {n}",
                        drill.id
                    ),
                }
                calls += 1;
            }
            let below = hands::fly(drill.clone(), n, &mut sagging(None));
            let leg = below.legs().last().unwrap();
            // From where the path begins to count to the beginning of the zone, or to the point where it came down.
            let Target::Path(glide) = &leg.target else {
                panic!("{}", drill.id)
            };
            let kept = (leg.start..=below.tick())
                .map(|tick| (tick, below.trace().state(tick as usize)))
                .filter(|(tick, state)| {
                    let zone_m = glide.aim.deck.zone_m / 2.0;
                    (zone_m..=glide.from_m).contains(&glide.distance_m(state, *tick))
                })
                .all(|(tick, state)| leg.target.holds(state, tick));
            if kept && below.fault().is_none() {
                assert_eq!(leg.approach.called, None, "{} {n}", drill.id);
                inside += 1;
            }
        }
    }
    assert!(
        calls >= 120 && late <= 8 && inside >= 10 && stalled <= 2,
        "{calls} called, {late} late, {inside} inside, {stalled} stalled"
    );
}

/// A go-around answers the call only if it is complete before the deck's edge: finished over the deck, the call was missed.
#[test]
fn a_go_around_that_is_finished_over_the_deck_is_missed() {
    // Level at 45 ft over the deck and 29 ft below the path: called at once, the edge comes after some five seconds.
    let made = Made {
        start: "altitude_ft = 105\ndistance_nm = 0.2",
        gates_nm: "0.1",
        ..Made::default()
    };
    let drill = made.drill();
    let line = glide(&drill);
    let (called, _) = flown(&drill, &[]).0.leg().approach.called.unwrap();
    let (mut around, mut past) = (0, 0);
    for wait in 0..300 {
        let (run, score) = flown(&drill, &[(called + wait, 1000)]);
        let ends_m = line.distance_m(run.world().state(), run.tick());
        let task = &score.tasks[0];
        let missed = task.figure(Key::Missed);
        match outcome(&run) {
            Some(Outcome::WentAround) => {
                assert!(ends_m > 120.0 * FT, "{}", ends_m / FT);
                assert_eq!(
                    (task.points, missed),
                    (Some(25.0), Some(Figure::Flag(false)))
                );
                around += 1;
            }
            Some(Outcome::Past) => {
                assert!(ends_m < -120.0 * FT, "{}", ends_m / FT);
                assert_eq!((task.points, missed), (Some(0.0), Some(Figure::Flag(true))));
                past += 1;
            }
            other => panic!("{other:?}"),
        }
    }
    assert!(around >= 100 && past >= 100, "{around} around, {past} past");
}

/// A wind that rises nearly to the airspeed: the aim point hardly comes nearer, and in gusts goes away for a while.
#[test]
fn an_aim_point_that_goes_away_for_a_while_is_no_matter_to_a_hand() {
    let text = "title = 'T'\nabout = 'A'\naircraft = 'prop trainer'\n[start]\naltitude_ft = 500\ndistance_nm = 0.6\n\
         [air]\nheadwind_kt = 25\nshift_kt = 9\nshift_at_s = 5\ngusts = 'rough'\n\
         [deck]\nheight_ft = 30\nzone_ft = 300\n[[task]]\n\
         path = { slope_deg = 4, from_nm = 0.5, band_ft = 60, gates_nm = [] }\n";
    let drill = Arc::new(drill(text).unwrap());
    let line = glide(&drill);
    let mut away = 0;
    for seed in 1..=5 {
        let (run, _) = by_steady(&drill, seed);
        let states = run.trace().states().iter();
        away += states.filter(|state| line.closure_mps(state) < 0.0).count();
        assert!(run.end().is_some());
    }
    // Looks are a second apart.
    assert!(away > 64 * 3, "{away} ticks");
}

// Touchdown.

const DECKS: [(&str, &str); 4] = [
    ("speed_kt = 12", ""),
    (
        "speed_kt = 12\nheave_ft = 4\nheave_period_s = 8",
        "headwind_kt = 10",
    ),
    ("", "gusts = 'light'"),
    (
        "speed_kt = 22\nheave_ft = 3\npitch_deg = 1",
        "wake = true\nheadwind_kt = 3",
    ),
];

/// Runs that end in the zone, for each deck.
fn landings() -> Vec<(Run, Score)> {
    let mut found = Vec::new();
    for (deck, air) in DECKS {
        let made = Made {
            deck,
            air,
            ..Made::default()
        };
        let drill = made.drill();
        let landing = (1..40)
            .map(|seed| by_steady(&drill, seed))
            .find(|(run, _)| outcome(run) == Some(Outcome::InZone));
        found.push(landing.unwrap_or_else(|| panic!("never in the zone with {deck:?} {air:?}")));
    }
    found
}

#[test]
fn touchdown_is_found_between_ticks() {
    for (run, score) in landings() {
        let deck = run.drill().aim.unwrap().deck;
        let touchdown = run.leg().approach.touchdown.unwrap();
        let states = run.trace().states();
        let heave_m = |t_s: f64| deck.heave_m * (TAU * t_s / deck.heave_period_s).sin();
        let above = |tick: usize| states[tick].h_m - deck.height_m - heave_m(tick as f64 / 64.0);
        let tick = (touchdown.t_s * 64.0).floor() as usize;
        assert!(above(tick) > 0.0 && above(tick + 1) <= 0.0);
        // The tick again in 1024 pieces, each continued from the one before.
        let plane = &run.drill().aircraft;
        let (mut state, lever, wind) = (
            states[tick],
            run.trace().lever_at(tick),
            run.trace().wind(tick),
        );
        let mut t_s = tick as f64 / 64.0;
        while state.h_m - deck.height_m - heave_m(t_s) > 0.0 {
            state = step(plane, &state, lever, &wind, TICK_S / 1024.0);
            t_s += 1.0 / 65536.0;
        }
        close("touchdown, s", touchdown.t_s, t_s, 0.0001);
        let aim_m = 4.2 * NM + deck.speed_mps * t_s;
        let task = &score.tasks[0];
        close(
            "ahead of aim, ft",
            task.number(Key::TouchdownFt).unwrap(),
            (aim_m - state.x_m) / FT,
            0.02,
        );
        let heave_mps =
            deck.heave_m * TAU / deck.heave_period_s * (TAU * t_s / deck.heave_period_s).cos();
        close(
            "sink, ft/s",
            task.number(Key::SinkFps).unwrap(),
            (heave_mps - state.vz_mps) / FT,
            0.005,
        );
    }
}

#[test]
fn after_touchdown_it_rests_with_a_moving_deck() {
    for (run, score) in landings() {
        let aim = run.drill().aim.unwrap();
        let touchdown = run.leg().approach.touchdown.unwrap();
        let contact = (touchdown.t_s * 64.0).floor() as u64;
        // From the touchdown to the beginning of the first tick with full power.
        let full = (contact as usize + 1..run.trace().ticks())
            .find(|tick| run.trace().lever_at(*tick) >= 0.98);
        let wanted = full.map(|tick| tick as f64 / 64.0 - touchdown.t_s);
        assert_eq!(score.tasks[0].number(Key::FullPowerS), wanted);
        let moves = aim.deck.speed_mps > 0.0 || aim.deck.heave_m > 0.0;
        let rest = if moves { 128 } else { 0 };
        assert_eq!(run.tick(), contact + 1 + rest);
        let away =
            |tick: u64, x_m: f64| aim.start_m + aim.deck.speed_mps * tick as f64 / 64.0 - x_m;
        let states = run.trace().states();
        let first_m = away(contact + 1, states[contact as usize + 1].x_m);
        for tick in contact + 2..=run.tick() {
            let (state, t_s) = (states[tick as usize], tick as f64 / 64.0);
            let heave_m = aim.deck.heave_m * (TAU * t_s / aim.deck.heave_period_s).sin();
            close("on the deck", state.h_m, aim.deck.height_m + heave_m, 1e-9);
            close("in one place on it", away(tick, state.x_m), first_m, 1e-9);
        }
    }
}

/// Full power after the touchdown would be the largest move of nearly every approach, and says nothing about the flying.
#[test]
fn the_hand_in_figures_is_that_of_the_flight_before_the_touchdown() {
    let mut leapt = 0;
    for (run, _) in landings() {
        let down = run.leg().approach.touchdown.unwrap().t_s;
        let whole = Lever::of(&run, 0).moves();
        let (before, after): (Vec<_>, Vec<_>) = whole
            .iter()
            .partition(|made| (made.start as f64) < down * 64.0);
        let largest = |moves: &[&LeverMove]| {
            let sizes = moves.iter().map(|made| 100.0 * made.by().abs());
            sizes.reduce(f64::max)
        };
        let hand = HandFigures::of(&run);
        assert_eq!(hand.largest_percent, largest(&before));
        leapt += usize::from(largest(&after) > hand.largest_percent);
        let flown_min = (down * 64.0).floor() / 64.0 / 60.0;
        close(
            "moves a minute",
            hand.per_minute,
            before.len() as f64 / flown_min,
            1e-9,
        );
    }
    assert!(leapt > 0, "full power was set after a touchdown");
}

#[test]
fn full_power_is_timed_from_touchdown() {
    let (first, _) = landings().swap_remove(1);
    let touchdown = first.leg().approach.touchdown.unwrap();
    let contact = (touchdown.t_s * 64.0).floor() as u64;
    let again = |moves: &[(u64, u16)]| {
        let mut rows: Vec<(u64, u16)> = first
            .log()
            .iter()
            .copied()
            .filter(|row| row.0 <= contact)
            .collect();
        rows.extend(moves);
        let run = hands::fly(first.drill().clone(), first.seed(), &mut Script::new(rows));
        assert_eq!(run.leg().approach.touchdown, Some(touchdown));
        score::score(&run).tasks[0].number(Key::FullPowerS)
    };
    let full = contact + 1 + 40;
    let wanted_s = full as f64 / 64.0 - touchdown.t_s;
    close(
        "full power",
        again(&[(full, 1000)]).unwrap(),
        wanted_s,
        1e-9,
    );
    close("at 98 %", again(&[(full, 980)]).unwrap(), wanted_s, 1e-9);
    assert_eq!(again(&[(full, 979)]), None);
    // The last tick of the rest on the deck, and one tick too late.
    assert!(again(&[(contact + 128, 1000)]).is_some());
    assert_eq!(again(&[(contact + 129, 1000)]), None);
}

#[test]
fn a_run_onto_a_heaving_deck_replays_to_the_bit() {
    for (run, score) in landings() {
        let text = serde_json::to_string(&Recording::of(&run)).unwrap();
        let kept: Recording = serde_json::from_str(&text).unwrap();
        let again = kept.replay().unwrap();
        assert_eq!(again.digest(), run.digest());
        assert_eq!(again.tick(), run.tick());
        assert!(again.trace().states() == run.trace().states());
        assert_eq!(again.legs(), run.legs());
        assert!(score::score(&again) == score);
    }
}

// Points.

#[test]
fn gates_cost_and_points_come_from_the_trace() {
    let light = Made {
        air: "gusts = 'lively'",
        ..Made::default()
    };
    let mut flights = landings();
    let drill = light.drill();
    flights.extend((1..=6).map(|seed| by_steady(&drill, seed)));
    flights.push(flown(&drill, &[]));
    let tan = (3.5_f64).to_radians().tan();
    for (run, score) in flights {
        let task = &score.tasks[0];
        let deck_fps = run.drill().aim.unwrap().deck.speed_mps / FT;
        let touchdown = run.leg().approach.touchdown;
        let last = touchdown.map_or(run.tick(), |touchdown| {
            (touchdown.t_s * 64.0).floor() as u64 + 1
        });
        let at = |tick: u64| {
            let state = run.trace().states()[tick as usize];
            let away_ft = 4.2 * NM / FT + deck_fps * tick as f64 / 64.0 - state.x_m / FT;
            (away_ft, state.h_m / FT - 60.0 - away_ft * tan)
        };
        let (mut sum, mut count, mut moved) = (0.0, 0.0, 0.0);
        for tick in 1..=last {
            let (away_ft, above_ft) = at(tick);
            let share = away_ft / (3.1 * NM / FT);
            if share <= 1.0 {
                let now = tick as usize - 1;
                let lever = |tick: usize| run.trace().lever_at(tick);
                moved += (lever(now) - lever(now.max(1) - 1)).abs();
                let half_ft = 120.0 * tan + share.max(0.0) * (80.0 - 120.0 * tan);
                sum += (above_ft / half_ft).powi(2);
                count += 1.0;
            }
        }
        let in_zone = outcome(&run) == Some(Outcome::InZone);
        let called = run.leg().approach.called.is_some();
        let cost = touchdown.map(|touchdown| {
            let share: f64 = (sum / count).sqrt();
            // A minute's lever over that of 3 degrees, times a tenth of a second of the 3-degree rate, over the band of 80 ft.
            let plane = &run.drill().aircraft;
            let start_m = run.trace().states()[0].h_m;
            let level = trim::on_speed(plane, start_m, 0.0);
            let down = trim::on_speed(plane, start_m, -3.0_f64.to_radians());
            let rate_fps = level.speed_mps * 3.0_f64.to_radians().sin() / FT;
            let lever = 0.1 * rate_fps * (moved * 60.0 / (count / 64.0))
                / (level.lever - down.lever)
                / 80.0;
            let state = run.trace().states()[last as usize - 1];
            let path_fps = (state.vx_mps / FT - deck_fps) * tan;
            let sink = (-state.vz_mps / FT / path_fps - 1.2).max(0.0);
            share + lever + 0.25 * touchdown.distance_m.abs() / FT / 120.0 + 0.5 * sink
        });
        match cost {
            // The sink here is that at the beginning of the tick.
            Some(cost) => close("cost", task.cost.unwrap().total(), cost, 5e-3),
            None => assert_eq!(task.cost, None),
        }
        let around = outcome(&run) == Some(Outcome::WentAround);
        let points = match cost {
            Some(_) if in_zone && !called => 100.0 * (1.0 - task.cost.unwrap().total()).max(0.0),
            None if around && called => 25.0,
            _ => 0.0,
        };
        close("points", task.points.unwrap(), points, 1e-4);
        assert_eq!(score.points, task.points);
        let Some(Figure::Gates(gates)) = task.figure(Key::Gates) else {
            panic!("{task:?}")
        };
        for (gate, nm) in gates.iter().zip([2.0, 1.0, 0.5]) {
            let passed = (1..=last)
                .map(at)
                .find(|(away_ft, _)| *away_ft <= nm * NM / FT);
            close("gate", gate.deviation_ft.unwrap(), passed.unwrap().1, 1e-6);
            close(
                "altitude",
                gate.altitude_ft,
                60.0 + nm * NM / FT * tan,
                1e-9,
            );
        }
    }
}

// JSON.

const RUN_KEYS: &[&str] = &[
    "schema", "id", "drill", "aircraft", "seed", "model", "complete", "fault", "end_s", "points",
    "digest", "tasks", "findings",
];
const TASK_KEYS: &[&str] = &[
    "n",
    "kind",
    "scored",
    "points",
    "start_s",
    "end_s",
    "lever_travel",
    "lever_reversals",
    "alpha_error_deg",
    "speed_wander_kt",
    "cost",
    "best",
    "par",
    "handed_on",
    "in_reach",
    "bill",
];
const PATH_KEYS: &[&str] = &[
    "outcome",
    "gates",
    "touchdown_ft",
    "sink_fps",
    "full_power_s",
    "missed",
];
const RATE_KEYS: &[&str] = &[
    "captured",
    "capture_s",
    "overshoot_fpm",
    "rms_fpm",
    "bias_fpm",
    "scatter_fpm",
];
const STEP_KEYS: &[&str] = &[
    "captured",
    "capture_s",
    "overshoot_ft",
    "short_ft",
    "rms_ft",
    "bias_ft",
    "scatter_ft",
    "steep_s",
];
const HOLD_KEYS: &[&str] = &["in_band", "rms_ft", "bias_ft", "scatter_ft"];

fn has_keys(object: &serde_json::Value, keys: &[&[&str]]) {
    let found: BTreeSet<&str> = object
        .as_object()
        .unwrap()
        .keys()
        .map(String::as_str)
        .collect();
    let wanted: BTreeSet<&str> = keys.concat().into_iter().collect();
    assert_eq!(found, wanted);
}

#[test]
fn json_has_the_keys_of_the_contract() {
    let shell = Shell::new();
    shell.folder.file("path.toml", Made::default().text());
    shell.folder.file("level.csv", "t_s,lever\n");
    shell.folder.file("full.csv", "t_s,lever\n0,1\n");

    let down = shell.json(&["simulate", "path.toml", "--hand", "steady", "--json"]);
    has_keys(&down, &[RUN_KEYS]);
    let task = &down["tasks"][0];
    has_keys(task, &[TASK_KEYS, PATH_KEYS]);
    assert_eq!(
        (&task["kind"], &task["outcome"]),
        (&"path".into(), &"in_zone".into())
    );
    assert_eq!(task["missed"], false);
    assert!(task["touchdown_ft"].is_number() && task["sink_fps"].is_number());
    assert!(task["full_power_s"].is_null());
    for key in ["cost", "best", "par"] {
        assert!(task[key].is_number(), "{key}");
    }
    for (gate, nm) in task["gates"]
        .as_array()
        .unwrap()
        .iter()
        .zip([2.0, 1.0, 0.5])
    {
        has_keys(gate, &[&["distance_nm", "altitude_ft", "deviation_ft"]]);
        assert_eq!(gate["distance_nm"], nm);
        assert!(gate["deviation_ft"].is_number());
    }
    let past = shell.json(&["simulate", "path.toml", "--lever", "level.csv", "--json"]);
    assert_eq!(past["tasks"][0]["outcome"], "past");
    assert!(past["tasks"][0]["touchdown_ft"].is_null());
    let around = shell.json(&["simulate", "path.toml", "--lever", "full.csv", "--json"]);
    assert_eq!(around["tasks"][0]["outcome"], "went_around");
    assert!(around["tasks"][0]["gates"][0]["deviation_ft"].is_null());

    let head =
        "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\naltitude_ft = 1500\n[[task]]\n";
    let rate = "rate = { to_fpm = -500, band_fpm = 100, hold_s = 8, within_s = 40 }\n";
    shell.folder.file("rate.toml", format!("{head}{rate}"));
    let rate = shell.json(&["simulate", "rate.toml", "--hand", "steady", "--json"]);
    has_keys(&rate["tasks"][0], &[TASK_KEYS, RATE_KEYS]);
    assert_eq!(
        (&rate["tasks"][0]["kind"], &rate["tasks"][0]["captured"]),
        (&"rate".into(), &true.into())
    );

    let surprise = "surprise = { count = 8, kinds = [\"hold\", \"step\", \"rate\"], low_ft = 1000, high_ft = 2000, max_fpm = 700, \
                    band_ft = 40, band_fpm = 100, hold_s = 8, within_s = 60 }\n";
    shell
        .folder
        .file("surprise.toml", format!("{head}{surprise}"));
    let mut kinds = BTreeSet::new();
    for seed in ["1", "2", "3"] {
        let told = shell.json(&[
            "simulate",
            "surprise.toml",
            "--hand",
            "steady",
            "--seed",
            seed,
            "--json",
        ]);
        let tasks = told["tasks"].as_array().unwrap();
        assert_eq!(tasks.len(), 1);
        let own = [
            "n",
            "kind",
            "scored",
            "points",
            "start_s",
            "end_s",
            "tasks",
            "cost",
            "best",
            "par",
            "handed_on",
            "in_reach",
            "bill",
        ];
        has_keys(&tasks[0], &[&own]);
        let drawn = tasks[0]["tasks"].as_array().unwrap();
        assert_eq!(drawn.len(), 8);
        let mut sum = 0.0;
        for (n, task) in (1..).zip(drawn) {
            assert_eq!(task["n"], n);
            let kind = task["kind"].as_str().unwrap();
            kinds.insert(kind.to_string());
            let figures = match kind {
                "hold" => HOLD_KEYS,
                "step" => STEP_KEYS,
                "rate" => RATE_KEYS,
                other => panic!("{other}"),
            };
            // The keys of a drill file for what was asked.
            let asked: &[&str] = match kind {
                "hold" => &["altitude_ft", "band_ft", "seconds"],
                "step" => &["to_ft", "band_ft", "hold_s", "within_s"],
                _ => &["to_fpm", "band_fpm", "hold_s", "within_s"],
            };
            has_keys(task, &[TASK_KEYS, asked, figures]);
            let band = match kind {
                "rate" => ("band_fpm", 100.0),
                _ => ("band_ft", 40.0),
            };
            assert_eq!(task[band.0], band.1);
            if kind == "step" && task["captured"] == true {
                let to_ft = task["to_ft"].as_f64().unwrap();
                assert!((1000.0..=2000.0).contains(&to_ft) && to_ft % 10.0 == 0.0);
            }
            sum += task["points"].as_f64().unwrap();
        }
        close(
            "mean",
            tasks[0]["points"].as_f64().unwrap(),
            sum / 8.0,
            1e-9,
        );
        close("once", told["points"].as_f64().unwrap(), sum / 8.0, 1e-9);
    }
    assert_eq!(kinds.len(), 3, "{kinds:?}");
}
