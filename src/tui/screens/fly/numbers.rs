//! The row of numbers: altitude, vertical speed (on a path the sink rate beside the path's own), on speed, lever, engine, stay.

use ratatui::text::Line;

use crate::drill::reader::plain;
use crate::drill::{Aids, Kind, Target};
use crate::run::Run;
use crate::sim::math::tan;
use crate::tui::flight::Flight;
use crate::tui::screens::words::fpm;
use crate::tui::theme::{Mark, Role, Theme};
use crate::units::{DEG, FPM, FT, KT};

/// An angle of attack off by less than this is called on speed, deg.
const ON_SPEED_DEG: f64 = 0.3;

/// The row, in fixed columns. The lever's number is the setting wanted, so that a key press shows at once; `>` says that the
/// lever is still on its way there.
pub fn row(flight: &Flight, theme: &Theme) -> Line<'static> {
    let run = flight.run();
    let on_its_way = (flight.wanted() - run.lever()).abs() > 5e-4;
    let way = if on_its_way { '>' } else { ' ' };
    let state = run.world().state();
    let altitude = plain((state.h_m / FT).round() + 0.0);
    let gives = run.world().aircraft().engine.lever_for(state.engine);
    let on_speed = on_speed(run, theme);
    let [lever, engine] = [flight.wanted(), gives].map(|share| 100.0 * share);
    let levers = format!("{on_speed:<10} lever{way}{lever:>5.1} %  engine {engine:>3.0} %");
    let stays = match run.leg().stay_s() > 0.0 {
        true => Role::Strong,
        false => Role::Ink,
    };
    let first = format!("{altitude:>6} ft {}  ", moving(flight));
    Line::from(vec![
        theme.span(first, Role::Strong),
        theme.span(levers, Role::Ink),
        theme.span(format!("  {}", stay(run)), stays),
    ])
}

/// Vertical speed; on a path the sink rate and, unless the path is hidden or there are no aids, the path's own at this closure.
fn moving(flight: &Flight) -> String {
    let run = flight.run();
    let state = run.world().state();
    match run.leg().target {
        Target::Path(glide) if !run.leg().approach.is_down() => {
            let sink = fpm(-state.vz_mps);
            match (flight.aids, flight.hidden_until_m()) {
                (Aids::Bare, _) | (_, Some(_)) => format!("sink {sink:>6} ft/min"),
                _ => {
                    let asked = fpm(glide.closure_mps(state) * tan(glide.slope_rad));
                    format!("sink {sink:>6} path {asked:>5} ft/min")
                }
            }
        }
        _ => {
            let sign = if state.vz_mps / FPM >= 0.5 { "+" } else { "" };
            let vertical = format!("{sign}{}", fpm(state.vz_mps));
            format!("{vertical:>7} ft/min")
        }
    }
}

fn on_speed(run: &Run, theme: &Theme) -> String {
    if run.leg().approach.is_down() {
        return "on deck".to_string();
    }
    // While slowing in, what counts is how many knots are left to lose.
    if let Some(fast_mps) = run.fast_mps(run.tick()) {
        let fast_kt = fast_mps / KT;
        let side = if fast_kt > -0.5 { "fast" } else { "slow" };
        return format!("{side} {:.0} kt", fast_kt.abs());
    }
    let alpha_rad = run.world().air_data().alpha_rad;
    let off_deg = (alpha_rad - run.world().aircraft().alpha_on_rad) / DEG;
    let degree = theme.mark(Mark::DEGREE);
    match off_deg {
        off if off >= ON_SPEED_DEG => format!("slow {off:.1}{degree}"),
        off if off <= -ON_SPEED_DEG => format!("fast {:.1}{degree}", -off),
        _ => "on speed".to_string(),
    }
}

fn stay(run: &Run) -> String {
    let leg = run.leg();
    // No stay counts before the aeroplane has slowed to on speed.
    if run.fast_mps(run.tick()).is_some() {
        return extras(run);
    }
    let asked_s = leg.kind.stay_s().map_or_else(String::new, plain);
    match leg.kind {
        Kind::Hold(_) => format!("hold {:.1}/{asked_s} s", leg.time_s()),
        Kind::Path(_) => String::new(),
        _ => format!("stay {:.1}/{asked_s} s", leg.stay_s()),
    }
}

/// Whether an extra is on its way, given the share of it that is out.
pub(super) fn is_moving(share: f64) -> bool {
    share > 0.0 && share < 1.0
}

/// The extra that is on its way out and its share, or how many are out.
fn extras(run: &Run) -> String {
    let world = run.world();
    let Some(slowing) = world.slowing() else {
        return String::new();
    };
    let shares: Vec<_> = slowing.shares(world.aircraft(), run.tick()).collect();
    let out = shares.iter().filter(|(_, share)| *share == 1.0).count();
    let moving = shares.iter().find(|(_, share)| is_moving(*share));
    match (moving, shares.len()) {
        (Some((extra, share)), _) => format!("{} {:.0} %", extra.name, 100.0 * share),
        (None, of) if out == of => "extras all out".to_string(),
        (None, of) => format!("extras {out} of {of}"),
    }
}
