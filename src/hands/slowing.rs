//! How `steady` slows in: it loses airspeed at a rate in proportion to the excess, looked ahead by as long as the engine
//! takes to answer, with the power for that speed less the thrust that the loss takes off.

use crate::sim::aircraft::Aircraft;
use crate::sim::atmosphere;
use crate::sim::dynamics::Rig;
use crate::sim::trim;
use crate::units::KT;

/// How far below on speed it aims, m/s, so that it is certain to get there: half a step of the airspeed as it is read.
const BELOW_MPS: f64 = 0.25 * KT;
/// Time in which the excess is lost, s: a longer one is slower by as much, a shorter one carries past.
const PACE_S: f64 = 2.25;
/// How far it looks ahead, in answer times of the engine on speed: out of idle the engine takes longer.
const ANSWER: f64 = 1.4;

/// The lever for an airspeed above on speed (m/s) and its rate of change (m/s2), at an altitude
/// in m; `lead` is how well the hand looks ahead.
pub(super) fn lever(
    aircraft: &Aircraft,
    h_m: f64,
    (fast_mps, trend): (f64, f64),
    lead: f64,
) -> f64 {
    let on = trim::on_speed(aircraft, h_m, 0.0);
    let ahead_s = lead * ANSWER * aircraft.engine.answer_s(on.engine);
    let ahead_mps = (fast_mps + ahead_s * trend).max(0.0);
    let speed_mps = on.speed_mps + ahead_mps;
    let level = trim::at_speed(aircraft, &Rig::default(), h_m, speed_mps);
    let thrust_n = level.map_or(on.thrust_n, |level| level.trim.thrust_n)
        - aircraft.mass_kg * (ahead_mps + BELOW_MPS) / PACE_S;
    let available_n = aircraft.engine.available_n(atmosphere::at(h_m), speed_mps);
    aircraft.engine.lever_for(thrust_n / available_n)
}
