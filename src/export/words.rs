//! Tasks and amounts in words, as used by every screen and text.

use crate::drill::reader::plain;
use crate::drill::{Drill, Kind, Path, Target};
use crate::units::{DEG, FPM, FT, NM};

/// What a task asks; `from_m` is the altitude asked before it, m: "step down to 1,310 ft, within 25 ft, stay 20 s".
pub fn task(kind: &Kind, from_m: f64) -> String {
    let asked = match kind {
        Kind::Hold(hold) => format!("hold {} ft", feet(hold.altitude_m)),
        Kind::Step(step) if step.altitude_m < from_m => {
            format!("step down to {} ft", feet(step.altitude_m))
        }
        Kind::Step(step) => format!("step up to {} ft", feet(step.altitude_m)),
        Kind::Slow(slow) => format!("slow in at {} ft", feet(slow.altitude_m)),
        Kind::Rate(rate) => format!("go to {} ft/min", fpm(rate.vertical_mps)),
        Kind::Path(path) => {
            let (slope, deck_ft) = (slope(path), feet(path.glide.aim.deck.height_m));
            let sight = |show_m| format!(", in sight from {} nm", nm(show_m));
            let (from_nm, sight) = (nm(path.glide.from_m), path.show_m.map(sight));
            let path = format!("{slope} degree path down to the deck at {deck_ft} ft");
            return format!(
                "{path}, scored from {from_nm} nm{}",
                sight.unwrap_or_default()
            );
        }
        Kind::Surprise(surprise) => {
            let kinds = surprise.kinds.join(", ");
            return format!("{} surprises: {kinds}", surprise.count);
        }
    };
    let band = match kind.target() {
        Some(Target::Vertical { band_mps, .. }) => fpm(band_mps) + " ft/min",
        Some(Target::Altitude { band_m, .. }) => feet(band_m) + " ft",
        Some(Target::Path(_)) | None => String::new(),
    };
    let stay = kind.stay_s().map_or_else(String::new, plain);
    let word = if let Kind::Hold(_) = kind {
        "for"
    } else {
        "stay"
    };
    format!("{asked}, within {band}, {word} {stay} s")
}

/// The same, short enough to leave room beside it: without the stay, and for a path without what the scope shows.
pub fn task_short(kind: &Kind, from_m: f64) -> String {
    if let Kind::Path(path) = kind {
        return format!("{} degree path", slope(path));
    }
    let full = task(kind, from_m);
    match full.rsplit_once(", ") {
        Some((short, _)) => short.to_string(),
        None => full,
    }
}

/// Slope of a path in degrees, at most two decimals.
fn slope(path: &Path) -> String {
    plain((path.glide.slope_rad / DEG * 100.0).round() / 100.0)
}

/// A task in two words, for narrow tables: "step 1,310 ft".
pub fn task_name(kind: &Kind) -> String {
    match kind {
        Kind::Hold(hold) => format!("hold {} ft", feet(hold.altitude_m)),
        Kind::Step(step) => format!("step {} ft", feet(step.altitude_m)),
        Kind::Rate(rate) => format!("to {} ft/min", fpm(rate.vertical_mps)),
        Kind::Slow(slow) => format!("slow in {} ft", feet(slow.altitude_m)),
        Kind::Path(_) => "path".to_string(),
        Kind::Surprise(surprise) => format!("{} surprises", surprise.count),
    }
}

/// Metres per second as whole feet per minute.
pub fn fpm(mps: f64) -> String {
    plain((mps / FPM).round() + 0.0)
}

/// The altitude, m, from which a drill's task starts according to its file.
pub fn from_m(drill: &Drill, index: usize) -> f64 {
    let mut before = drill.tasks[..index].iter().rev();
    let asked_m = before.find_map(|task| match task.kind.target()? {
        Target::Altitude { altitude_m, .. } => Some(altitude_m),
        _ => None,
    });
    asked_m.unwrap_or(drill.start.altitude_m)
}

/// Metres as nautical miles, at most two decimals.
pub fn nm(m: f64) -> String {
    plain((m / NM * 100.0).round() / 100.0)
}

/// Metres as whole feet.
pub fn feet(m: f64) -> String {
    plain((m / FT).round())
}

/// A height difference in m, + above, in words: "6 ft above".
pub fn off(m: f64) -> String {
    let side = if m >= 0.0 { "above" } else { "below" };
    format!("{} ft {side}", feet(m.abs()))
}
