//! Helpers that several test modules share: aeroplanes, drills that ship or from text, states on speed, roots.

use std::sync::Arc;

use leveloff::drill::reader::{FileError, Source};
use leveloff::drill::{Drill, library, parse};
use leveloff::sim::aircraft::{Aircraft, Engine, EngineKind};
use leveloff::sim::dynamics::{State, step};
use leveloff::sim::trim::{self, Trim};
use leveloff::units::TICK_S;

/// The four aeroplanes that ship, by name.
pub const NAMES: [&str; 4] = ["first jet", "deck jet", "late jet", "prop trainer"];

/// Changes to the late jet after which its slow swing grows: lift rises steeply, drag is low, pitch follows late.
pub const SLUGGISH: [(&str, &str); 9] = [
    ("lift_per_rad", "7.4"),
    ("lift_at_zero_alpha", "0.69"),
    ("drag_at_zero_lift", "0.0086"),
    ("drag_per_lift_squared", "0.265"),
    ("on_speed_alpha_deg", "6.1"),
    ("mass_kg", "7060.0"),
    ("mass_range_kg", "[7060.0, 7060.0]"),
    ("swing_damping", "0.0"),
    ("pitch_hold_s", "5.6"),
];

/// Fails unless two values are as near to each other as the tolerance says.
#[track_caller]
pub fn close(what: &str, ours: f64, wanted: f64, tolerance: f64) {
    assert!(
        (ours - wanted).abs() <= tolerance,
        "{what}: {ours}, wanted {wanted} within {tolerance}"
    );
}

/// A shipped aeroplane.
pub fn aircraft(name: &str) -> Aircraft {
    library::aircraft(name)
        .unwrap_or_else(|| panic!("{name} ships"))
        .aircraft()
        .unwrap()
}

/// The text of a shipped aeroplane with other values for some of its keys.
pub fn edited(id: &str, changes: &[(&str, &str)]) -> String {
    let shipped = library::aircraft(id).unwrap_or_else(|| panic!("{id} ships"));
    let mut text = shipped.text.to_string();
    for (key, value) in changes {
        let start = format!("{key} ");
        let line = text.lines().find(|line| line.starts_with(&start)).unwrap();
        text = text.replace(line, &format!("{key} = {value}"));
    }
    text
}

/// A shipped drill by its file's stem.
pub fn shipped(id: &str) -> Arc<Drill> {
    let text = library::drill(id).unwrap_or_else(|| panic!("{id} ships"));
    whole(text)
}

/// The shipped drills, in the order in which they teach.
pub fn all_shipped() -> impl Iterator<Item = Arc<Drill>> {
    library::DRILLS.iter().map(whole)
}

fn whole(text: &library::Shipped) -> Arc<Drill> {
    Arc::new(text.drill().unwrap_or_else(|error| panic!("{error}")))
}

/// A drill from its text, with the shipped aeroplanes.
pub fn drill(text: &str) -> Result<Drill, FileError> {
    let source = Source {
        file: "drill.toml",
        text,
    };
    parse::parse("drill", source, &library::find_shipped_aircraft)
}

/// A drill of an aeroplane from the lines of its start, which may go on with its air, and of each of its tasks.
pub fn of_tasks(aircraft: &str, start: &str, tasks: &[impl AsRef<str>]) -> Arc<Drill> {
    let mut text = format!("title = 'T'\nabout = 'A'\naircraft = '{aircraft}'\n[start]\n{start}\n");
    for task in tasks {
        text += &format!("[[task]]\n{}\n", task.as_ref());
    }
    Arc::new(drill(&text).unwrap_or_else(|error| panic!("{error}\n{text}")))
}

/// An aeroplane that keeps the angle of attack at 0 with the thrust along the path, of constant thrust: the conditions of
/// the textbook forms. Lift answers angle of attack only where a caller gives it a slope.
pub fn textbook(mass_kg: f64, area_m2: f64, cl: f64, cd0: f64, k: f64, thrust_n: f64) -> Aircraft {
    Aircraft {
        name: "textbook".to_string(),
        about: "Constant thrust along the path.".to_string(),
        mass_kg,
        mass_range_kg: (mass_kg, mass_kg),
        area_m2,
        cl0: cl,
        cl_per_rad: 0.0,
        cd0,
        k,
        alpha_on_rad: 0.0,
        alpha_stall_rad: 1.0,
        pitch_hold_s: 0.02,
        swing_damping: 0.0,
        engine: Engine {
            kind: EngineKind::Jet {
                max_thrust_n: thrust_n,
            },
            idle_fraction: 0.0,
            slow_s: 1.0,
            quick_s: 1.0,
        },
        extras: Vec::new(),
    }
}

/// The state of a trim at a height, in still air.
pub fn trimmed(aircraft: &Aircraft, h_m: f64, trim: &Trim) -> State {
    let still = Default::default();
    State::on_speed(
        aircraft,
        h_m,
        trim.speed_mps,
        trim.path_rad,
        trim.engine,
        &still,
    )
}

/// The state at the end of every tick of a flight in still air with the lever held, the start first.
pub fn follow(aircraft: &Aircraft, start: State, lever: f64, seconds: f64) -> Vec<State> {
    let still = Default::default();
    let ticks = (seconds / TICK_S).round() as usize;
    let mut states = vec![start];
    for _ in 0..ticks {
        states.push(step(
            aircraft,
            states.last().unwrap(),
            lever,
            &still,
            TICK_S,
        ));
    }
    states
}

/// Where an increasing or decreasing function passes through zero between `low` and `high`, by bisection to the last bit.
pub fn root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let rising = f(high) > 0.0;
    assert!(
        rising != (f(low) > 0.0),
        "no change of sign from {low} to {high}"
    );
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if (f(middle) > 0.0) == rising {
            high = middle;
        } else {
            low = middle;
        }
    }
    0.5 * (low + high)
}

/// Where a function with one hump between `low` and `high` is largest, by golden section; good to about 1e-8 of the span.
pub fn summit(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    for _ in 0..60 {
        let (a, b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
        if f(a) > f(b) {
            high = b;
        } else {
            low = a;
        }
    }
    0.5 * (low + high)
}

/// The path (rad) at a height whose on-speed trim lever is the one given.
pub fn path_for_lever(aircraft: &Aircraft, h_m: f64, lever: f64) -> f64 {
    root(-0.4, 0.4, |path| {
        trim::on_speed(aircraft, h_m, path).lever - lever
    })
}

/// Where a flight turns from down to up or up to down: (seconds, altitude in m). Interpolated by the line between vertical
/// speeds and the cubic through altitudes and vertical speeds.
pub fn stops(states: &[State]) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    for (n, pair) in states.windows(2).enumerate() {
        let (a, b) = (pair[0], pair[1]);
        if a.vz_mps != 0.0 && a.vz_mps * b.vz_mps <= 0.0 {
            let u = a.vz_mps / (a.vz_mps - b.vz_mps);
            let h = a.h_m * (1.0 + 2.0 * u) * (1.0 - u) * (1.0 - u)
                + b.h_m * u * u * (3.0 - 2.0 * u)
                + TICK_S * (a.vz_mps * u * (1.0 - u) * (1.0 - u) - b.vz_mps * u * u * (1.0 - u));
            found.push(((n as f64 + u) * TICK_S, h));
        }
    }
    found
}
