//! A short drill from a moment of a run, as a drill file, to practise one line of its bill again and again.

use std::sync::Arc;

use toml::{Table, Value};

use crate::drill::parse::{self, AircraftText};
use crate::drill::reader::{Source, clock};
use crate::drill::{Drill, Hold, Kind, Target};
use crate::run::Run;
use crate::sim::air::Shift;
use crate::sim::trim;
use crate::units::{DEG, FPM, FT, KT, NM, TICK_S, TICKS_PER_S};
use crate::why::Line;

/// The drill begins this long before the line, ticks: time to look and to see it come.
const BEFORE: u64 = 4 * TICKS_PER_S;
/// Where a drill file cannot begin there (too near the number for a step), it begins this much sooner, repeatedly, ticks.
const SOONER: u64 = TICKS_PER_S;
/// A hold is practised for at least this long, s.
const HOLD_S: f64 = 20.0;
/// Id of such drills: no shipped file has it.
pub const ID: &str = "practice";

/// The drill of a line: its leg's task alone, from the state, lever, engine and air of a few seconds before; the gusts are new.
pub fn of(run: &Run, line: &Line) -> Option<Arc<Drill>> {
    let start = run.legs()[line.leg].start;
    let latest = line.from.saturating_sub(BEFORE).max(start);
    let sooner = (0..=(latest - start) / SOONER).map(|n| latest - n * SOONER);
    let mut moments = sooner.chain([start]);
    moments.find_map(|tick| read(run, &text(run, line, tick)?))
}

fn read(run: &Run, text: &str) -> Option<Arc<Drill>> {
    let file = "practice.toml";
    let find = |_: &str| {
        Ok(AircraftText {
            file: "the aeroplane".to_string(),
            text: run.drill().aircraft_text.clone(),
        })
    };
    parse::parse(ID, Source { file, text }, &find)
        .ok()
        .map(Arc::new)
}

/// The file's text for a moment.
fn text(run: &Run, line: &Line, tick: u64) -> Option<String> {
    let drill = run.drill();
    let leg = &run.legs()[line.leg];
    let own: Table = drill.text.parse().ok()?;
    let mut file = Table::new();
    let title = format!("Practice: {}", line.kind.label(line.amount));
    let (n, from) = (run.leg_number(line.leg), clock(tick as f64 * TICK_S));
    let about = format!("Task {n} of \"{}\", from {from} on.", drill.title);
    let mut put = |key: &str, value: Value| file.insert(key.to_string(), value);
    put("title", title.chars().take(80).collect::<String>().into());
    put("about", about.chars().take(200).collect::<String>().into());
    for key in ["aircraft", "aids", "mass_kg"] {
        own.get(key).and_then(|value| put(key, value.clone()));
    }
    put("start", start(run, line, tick).into());
    let air = own.get("air").and_then(Value::as_table);
    let mut air = air.cloned().unwrap_or_default();
    air.remove("gusts");
    if drill.air.u20_mps > 0.0 {
        let gusts = table([("u20_kt", drill.air.u20_mps / KT)]);
        air.insert("gusts".to_string(), gusts);
    }
    if let Some(shift) = drill.air.shift {
        shift_left(&mut air, shift, drill.air.headwind_mps, tick);
    }
    put("air", air.into());
    if let Some(Value::Table(mut deck)) = own.get("deck").cloned() {
        if let Some(period_s) = drill.aim.map(|aim| aim.deck.heave_period_s) {
            let from_s = drill.aim.map_or(0.0, |aim| aim.deck.heave_from_s);
            let from_s = (from_s + tick as f64 * TICK_S) % period_s;
            deck.insert("heave_from_s".to_string(), round(from_s).into());
        }
        put("deck", deck.into());
    }
    let left_s = (leg.end.unwrap_or(run.tick()) - tick) as f64 * TICK_S;
    let task = task(run, &leg.kind, tick, left_s)?;
    put("task", Value::Array(vec![task.into()]));
    toml::to_string(&file).ok()
}

/// What is left of a change of the wind after a tick; the part that is over belongs to the wind at the start.
fn shift_left(air: &mut Table, shift: Shift, headwind_mps: f64, tick: u64) {
    let gone_s = tick as f64 * TICK_S - shift.at_s;
    if gone_s <= 0.0 {
        air.insert("shift_at_s".to_string(), round(-gone_s).into());
        return;
    }
    let changed_mps = shift.at(tick);
    let headwind_kt = (headwind_mps + changed_mps) / KT;
    air.insert("headwind_kt".to_string(), round(headwind_kt).into());
    for key in ["shift_kt", "shift_at_s", "shift_over_s"] {
        air.remove(key);
    }
    let left_s = shift.over_s - gone_s;
    if left_s > 0.0 {
        let by_kt = (shift.by_mps - changed_mps) / KT;
        air.insert("shift_kt".to_string(), round(by_kt).into());
        air.insert("shift_at_s".to_string(), 0.0.into());
        // A drill file's change takes a second at least.
        air.insert("shift_over_s".to_string(), round(left_s.max(1.0)).into());
    }
}

fn start(run: &Run, line: &Line, tick: u64) -> Table {
    let drill = run.drill();
    let point = run.trace().at(tick as usize);
    let data = point.state.air_data(&point.wind);
    // A drill file's start needs a path on which steady flight is possible.
    let h_m = point.state.h_m;
    let (low, high) = trim::path_range_deg(&drill.aircraft, h_m, 1);
    let path_deg = (data.path_rad / DEG).clamp(low, high);
    let on_speed = trim::on_speed(&drill.aircraft, h_m, path_deg * DEG);
    let mut start = Table::new();
    let mut put = |key: &str, value: f64| start.insert(key.to_string(), round(value).into());
    put("altitude_ft", h_m / FT);
    if let Kind::Slow(_) = &run.legs()[line.leg].kind {
        // Slowing in always begins at the start of the run.
        put("off_speed_kt", drill.start.off_speed_mps / KT);
        return start;
    }
    put("path_deg", path_deg);
    put("off_speed_kt", (data.speed_mps - on_speed.speed_mps) / KT);
    put("lever", run.trace().lever_before(tick as usize));
    put("engine", point.state.engine);
    if let Target::Path(glide) = &run.legs()[line.leg].target {
        put("distance_nm", glide.distance_m(&point.state, tick) / NM);
    }
    start
}

fn task(run: &Run, kind: &Kind, tick: u64, left_s: f64) -> Option<Table> {
    let asked = match kind {
        Kind::Hold(hold) => {
            let least_s = HOLD_S.min(hold.seconds);
            let seconds = left_s.ceil().clamp(least_s, hold.seconds);
            let part = Hold { seconds, ..*hold };
            table(asked(&Kind::Hold(part)))
        }
        Kind::Step(_) | Kind::Rate(_) => table(asked(kind)),
        Kind::Path(task) => {
            let glide = &task.glide;
            let state = run.trace().state(tick as usize);
            // The band narrows from where the path begins to count. If that is nearer in, the band begins with its width there.
            let from_m = glide.from_m.min(glide.distance_m(state, tick) - 1.0);
            let gates = task.gates_m.iter().filter(|gate| **gate < from_m);
            let mut path = table([
                ("slope_deg", glide.slope_rad / DEG),
                ("from_nm", from_m / NM),
                ("band_ft", glide.half_width_m(from_m) / FT),
            ]);
            if let Value::Table(path) = &mut path {
                let gates: Vec<Value> = gates.map(|gate| round(gate / NM).into()).collect();
                path.insert("gates_nm".to_string(), gates.into());
                if let Some(show_m) = task.show_m.filter(|show_m| *show_m < from_m) {
                    path.insert("show_nm".to_string(), round(show_m / NM).into());
                }
            }
            path
        }
        Kind::Slow(slow) if tick == 0 => table([
            ("band_ft", slow.band_m / FT),
            ("hold_s", slow.hold_s),
            ("within_s", slow.within_s),
        ]),
        Kind::Surprise(_) | Kind::Slow(_) => return None,
    };
    Some(Table::from_iter([(kind.name().to_string(), asked)]))
}

/// What a hold, a step or a rate asks, under the keys of a drill file.
pub(super) fn asked(kind: &Kind) -> Vec<(&'static str, f64)> {
    let mut keys = match kind {
        Kind::Hold(hold) => vec![
            ("altitude_ft", hold.altitude_m / FT),
            ("band_ft", hold.band_m / FT),
            ("seconds", hold.seconds),
        ],
        Kind::Step(step) => vec![
            ("to_ft", step.altitude_m / FT),
            ("band_ft", step.band_m / FT),
            ("hold_s", step.hold_s),
            ("within_s", step.within_s),
        ],
        Kind::Rate(rate) => vec![
            ("to_fpm", rate.vertical_mps / FPM),
            ("band_fpm", rate.band_mps / FPM),
            ("hold_s", rate.hold_s),
            ("within_s", rate.within_s),
        ],
        Kind::Path(_) | Kind::Surprise(_) | Kind::Slow(_) => Vec::new(),
    };
    for (_, value) in &mut keys {
        *value = round(*value);
    }
    keys
}

fn table(entries: impl IntoIterator<Item = (&'static str, f64)>) -> Value {
    let entries = entries.into_iter();
    let entries = entries.map(|(key, value)| (key.to_string(), round(value).into()));
    Value::Table(Table::from_iter(entries))
}

/// Rounds to six decimals, so that whole feet in the file are whole feet again.
fn round(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}
