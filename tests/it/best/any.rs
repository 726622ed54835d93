//! `best` against `steady` on random drills: tasks of every kind in any air.

use std::fmt::Write as _;
use std::sync::Arc;

use super::{both, flying, pairs};
use leveloff::drill::Drill;
use leveloff::drill::parse::{self, AircraftText};
use leveloff::drill::reader::Source;
use leveloff::hands::Steady;
use leveloff::hands::{self, best};
use leveloff::score::leg_cost;

/// Numbers from a seed (the linear congruential generator of Knuth's MMIX, from memory).
struct Chance(u64);

impl Chance {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = self.0.wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        (low + self.share() * (high - low)).round()
    }

    fn one<'a>(&mut self, of: &[&'a str]) -> &'a str {
        of[(self.share() * of.len() as f64) as usize]
    }
}

/// Two to five tasks, or holds and a path; a drill that breaks the rules between tasks is made up again.
fn made_up(seed: u64) -> Arc<Drill> {
    let mut chance = Chance(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5bf0_3635);
    loop {
        let text = text(&mut chance);
        if let Ok(drill) = flying::drill(&text) {
            return Arc::new(drill);
        }
    }
}

fn text(chance: &mut Chance) -> String {
    let mut altitude_ft = chance.between(700.0, 4000.0);
    let aircraft = chance.one(&flying::NAMES);
    let mut text = format!(
        "title = 'T'\nabout = 'A'\naircraft = '{aircraft}'\n[start]\naltitude_ft = {altitude_ft}\n"
    );
    writeln!(text, "lever_off = {}", chance.between(-10.0, 10.0) / 100.0).unwrap();
    let is_path = chance.share() < 0.2;
    if is_path {
        writeln!(text, "distance_nm = {}", altitude_ft / 300.0 + 0.3).unwrap();
    }
    writeln!(
        text,
        "[air]\ngusts = {{ u20_kt = {} }}",
        chance.between(-6.0, 18.0).max(0.0)
    )
    .unwrap();
    writeln!(text, "headwind_kt = {}", chance.between(-10.0, 20.0)).unwrap();
    if is_path {
        writeln!(text, "wake = {}", chance.share() < 0.5).unwrap();
        let (height_ft, speed_kt) = (chance.between(10.0, 70.0), chance.between(0.0, 15.0));
        writeln!(
            text,
            "[deck]\nheight_ft = {height_ft}\nspeed_kt = {speed_kt}\nzone_ft = 500\npitch_deg = 1"
        )
        .unwrap();
    }
    let tasks = chance.between(2.0, 5.0) as usize;
    for n in 0..tasks {
        text += "[[task]]\n";
        let kind = match is_path {
            true if n + 1 == tasks => "path",
            true => "hold",
            false => chance.one(&["hold", "step", "step", "rate", "rate", "surprise"]),
        };
        let band_ft = chance.between(10.0, 50.0);
        let hold_s = chance.between(5.0, 25.0);
        let row = match kind {
            "hold" => {
                format!("altitude_ft = {altitude_ft}, band_ft = {band_ft}, seconds = {hold_s}")
            }
            "step" => {
                altitude_ft += chance.between(-500.0, 500.0);
                format!(
                    "to_ft = {altitude_ft}, band_ft = {band_ft}, hold_s = {hold_s}, within_s = 75"
                )
            }
            "rate" => {
                let (to, band) = (
                    100.0 * chance.between(-8.0, 6.0),
                    chance.between(60.0, 200.0),
                );
                format!("to_fpm = {to}, band_fpm = {band}, hold_s = {hold_s}, within_s = 40")
            }
            "path" => "slope_deg = 3.5, from_nm = 1.5, band_ft = 80, gates_nm = [1]".to_string(),
            _ => {
                let count = chance.between(2.0, 6.0);
                let (low, high) = (altitude_ft - 400.0, altitude_ft + 400.0);
                format!(
                    "count = {count}, kinds = ['hold', 'step', 'rate'], low_ft = {low}, high_ft = {high}, max_fpm = 700, \
                     band_ft = {band_ft}, band_fpm = 150, hold_s = {hold_s}, within_s = 60"
                )
            }
        };
        writeln!(text, "{kind} = {{ {row} }}").unwrap();
    }
    text
}

/// The legs of some drills that cost `best` more than `steady`, and the number of all legs.
fn worse(seeds: std::ops::Range<u64>) -> (Vec<String>, usize) {
    let (mut worse, mut legs) = (Vec::new(), 0);
    let (mut steadys, mut bests) = (0.0, 0.0);
    for seed in seeds {
        let drill = made_up(seed);
        let (steady, best) = both(&drill, seed);
        assert!(best.legs().len() >= steady.legs().len(), "{}", drill.text);
        for (index, pair) in pairs(&steady, &best).iter().enumerate() {
            legs += 1;
            // Seconds and shares only; the feet of holds would drown them.
            if let (true, Some(cost)) = (pair.kind != "hold", pair.steady) {
                steadys += cost;
                bests += pair.best.unwrap_or(f64::NAN);
            }
            if pair.is_worse() {
                worse.push(format!(
                    "{seed}, leg {}, {}: {:?} after {:?}\n{}",
                    index + 1,
                    pair.kind,
                    pair.best,
                    pair.steady,
                    drill.text
                ));
            }
        }
    }
    println!("steady {steadys:.2}, best {bests:.2} without holds");
    (worse, legs)
}

#[test]
fn never_worse_on_a_few_drills_made_up_by_chance() {
    let (worse, legs) = worse(1..5);
    assert!(legs > 8);
    assert!(worse.is_empty(), "{}", worse.join("\n"));
}

#[test]
#[ignore = "hundreds of drills, DRILLS=n; run it in release"]
fn never_worse_on_many_drills_made_up_by_chance() {
    let drills: u64 = std::env::var("DRILLS").map_or(200, |n| n.parse().unwrap());
    let (worse, legs) = worse(1..drills + 1);
    println!("{} of {legs} legs of {drills} drills worse", worse.len());
    assert!(worse.is_empty(), "{}", worse.join("\n"));
}

/// A wide wing without damping of its swing, behind a ship that runs away from it: the model looking ahead tumbles, and its NaN
/// must not stop the search.
#[test]
fn a_model_that_tumbles_ahead_does_not_stop_the_search() {
    const WIDE: &str = "name = 'wide wing'\nabout = 'Hardly loaded.'\nmass_kg = 46659.30912394109\n\
        mass_range_kg = [45259.52985022286, 48992.27458013815]\n[wing]\narea_m2 = 678.4344702128158\n\
        lift_at_zero_alpha = 0.7094761270157663\nlift_per_rad = 7.019940729537217\n\
        drag_at_zero_lift = 0.07455594142361867\ndrag_per_lift_squared = 0.2301801186745378\n\
        on_speed_alpha_deg = 7.198264082929359\nstall_alpha_deg = 13.450737075498282\npitch_hold_s = 2\n\
        swing_damping = 0\n[engine]\nkind = 'jet'\nmax_thrust_n = 441860.4269132234\nidle_fraction = 0.05\n\
        slow_s = 0.4\nquick_s = 0.4\n";
    let text = "title = 'T'\nabout = 'A'\naircraft = 'wide.toml'\n\
        start = { altitude_ft = 800, path_deg = 0.6, engine = 0.51, distance_nm = 7.543 }\n\
        [deck]\nheight_ft = 0\nzone_ft = 50\nspeed_kt = 30\nheave_ft = 1\nheave_period_s = 7.7\npitch_deg = 0.5\n\
        [air]\nheadwind_kt = 5\ngusts = 'rough'\nwake = true\n\
        [[task]]\nhold = { altitude_ft = 800, band_ft = 50, seconds = 2 }\n\
        [[task]]\npath = { slope_deg = 1, from_nm = 3.77, band_ft = 50, gates_nm = [3.49, 1.22] }\n";
    let source = Source {
        file: "drill.toml",
        text,
    };
    let find = |_: &str| {
        Ok(AircraftText {
            file: "wide.toml".to_string(),
            text: WIDE.to_string(),
        })
    };
    let drill = Arc::new(parse::parse("drill", source, &find).unwrap());
    let steady = hands::fly(drill.clone(), 0, &mut Steady::new(&drill));
    let best = best::fly(&steady, &mut |_| {});
    assert_eq!(best.legs().len(), 2);
    assert!(best.end().is_some());
}

/// One task in air without gusts: a path, a step or a rate, with a head wind that may change on the way.
fn one_task(seed: u64) -> Arc<Drill> {
    let mut chance = Chance(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x0c1e_a51e);
    loop {
        if let Ok(drill) = flying::drill(&one_tasks_text(&mut chance)) {
            return Arc::new(drill);
        }
    }
}

fn one_tasks_text(chance: &mut Chance) -> String {
    let altitude_ft = chance.between(700.0, 2500.0);
    let aircraft = chance.one(&flying::NAMES);
    let slope_deg = chance.between(28.0, 55.0) / 10.0;
    let glide_nm = altitude_ft / (slope_deg.to_radians().tan() * 6076.1);
    let from_nm = glide_nm * (0.8 + 0.3 * chance.share());
    let is_path = chance.share() < 0.5;
    let mut text = format!(
        "title = 'T'\nabout = 'A'\naircraft = '{aircraft}'\n[start]\naltitude_ft = {altitude_ft}\n"
    );
    if is_path {
        let distance_nm = from_nm + 0.3 + chance.share();
        writeln!(text, "distance_nm = {distance_nm:.2}").unwrap();
    }
    let headwind_kt = chance.between(-5.0, 25.0);
    writeln!(text, "[air]\nheadwind_kt = {headwind_kt}").unwrap();
    if chance.share() < 0.5 {
        let (shift_kt, at_s) = (chance.between(-15.0, 15.0), chance.between(10.0, 60.0));
        let over_s = chance.between(5.0, 30.0);
        writeln!(text, "shift_kt = {shift_kt}").unwrap();
        writeln!(text, "shift_at_s = {at_s}\nshift_over_s = {over_s}").unwrap();
    }
    let hold_s = chance.between(3.0, 20.0);
    let task = if is_path {
        let (height_ft, speed_kt) = (chance.between(10.0, 70.0), chance.between(0.0, 15.0));
        writeln!(text, "[deck]\nheight_ft = {height_ft}").unwrap();
        writeln!(text, "zone_ft = 500\nspeed_kt = {speed_kt}").unwrap();
        let band_ft = chance.between(60.0, 140.0);
        format!(
            "path = {{ slope_deg = {slope_deg}, from_nm = {from_nm:.2}, band_ft = {band_ft}, gates_nm = [0.5] }}"
        )
    } else if chance.share() < 0.6 {
        let to_ft = altitude_ft + chance.between(-600.0, 500.0);
        let band_ft = chance.between(10.0, 50.0);
        format!(
            "step = {{ to_ft = {to_ft}, band_ft = {band_ft}, hold_s = {hold_s}, within_s = 75 }}"
        )
    } else {
        let to_fpm = 100.0 * chance.between(-8.0, 6.0);
        let band_fpm = chance.between(60.0, 200.0);
        format!(
            "rate = {{ to_fpm = {to_fpm}, band_fpm = {band_fpm}, hold_s = {hold_s}, within_s = 40 }}"
        )
    };
    text + "[[task]]\n" + &task
}

/// The moves of a brief are few; a search for the lowest cost that does worse than they do has not found it.
#[test]
#[ignore = "hundreds of drills, DRILLS=n; run it in release"]
fn hardly_any_brief_beats_best_on_many_drills_made_up_by_chance() {
    let drills: u64 = std::env::var("DRILLS").map_or(200, |n| n.parse().unwrap());
    let mut beaten = 0;
    for seed in 1..drills + 1 {
        let drill = one_task(seed);
        let (steady, best) = both(&drill, 0);
        let brief = hands::fly(drill.clone(), 0, &mut hands::Brief::new(&drill));
        let [steady, best, brief] = [&steady, &best, &brief].map(|run| leg_cost(run, 0));
        let limit = 0.98 * best.unwrap_or(f64::INFINITY);
        if brief.is_some_and(|brief| brief < limit) {
            beaten += 1;
            println!(
                "{seed}: steady {steady:?}, best {best:?}, brief {brief:?}\n{}",
                drill.text
            );
        }
    }
    println!("beaten on {beaten} of {drills}");
    assert!(100 * beaten <= drills);
}
