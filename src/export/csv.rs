//! The track of a run as CSV, sixteen rows a second.

use crate::run::Run;
use crate::sim::air::Air;
use crate::units::{DEG, TICK_S};

/// Ticks between rows.
pub const EVERY_TICKS: usize = 4;

/// The columns of every track.
pub const COLUMNS: &str = "t_s,lever,engine,speed_mps,path_deg,altitude_m,distance_m,alpha_deg";
/// The columns added if the air moves.
pub const AIR_COLUMNS: &str = "headwind_mps,gust_u_mps,gust_w_mps";

/// The states of a run from its start on; the last row is not after its end. `lever` and the wind are those of the tick that
/// begins at the row's instant; speed and path are through the air.
pub fn track(run: &Run) -> String {
    let still = Air::new(&run.drill().air, run.seed()).is_still();
    let mut text = match still {
        true => COLUMNS.to_string(),
        false => format!("{COLUMNS},{AIR_COLUMNS}"),
    };
    text.push('\n');
    let trace = run.trace();
    for tick in (0..=trace.ticks()).step_by(EVERY_TICKS) {
        let (state, wind) = (trace.state(tick), trace.wind(tick));
        let air = state.air_data(&wind);
        let mut row = vec![
            tick as f64 * TICK_S,
            trace.lever_at(tick),
            state.engine,
            air.speed_mps,
            air.path_rad / DEG,
            state.h_m,
            state.x_m,
            air.alpha_rad / DEG,
        ];
        if !still {
            row.extend([wind.headwind_mps, wind.gust_u_mps, wind.gust_w_mps]);
        }
        let row: Vec<String> = row.iter().map(|x| nine_decimals(*x)).collect();
        text += &(row.join(",") + "\n");
    }
    text
}

/// Nine decimals. A number that rounds to zero is written without a sign.
fn nine_decimals(x: f64) -> String {
    let text = format!("{x:.9}");
    match text.strip_prefix('-') {
        Some(size) if !size.contains(|c: char| ('1'..='9').contains(&c)) => size.to_string(),
        _ => text,
    }
}
