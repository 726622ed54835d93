//! What a drill asks, in a small picture before it is flown: altitude over time at an easy pace, and the bands to be in.

use ratatui::layout::Rect;

use super::dots::{ACROSS, Dots};
use super::plot::{Up, axis, between_texts, label};
use crate::drill::reader::plain;
use crate::drill::{Drill, Kind};
use crate::sim::trim::three_degrees;
use crate::tui::canvas::Canvas;
use crate::tui::screens::words::clock;
use crate::tui::theme::Role;
use crate::units::FT;

/// Time allowed here for settling before a stay, s.
const SETTLING_S: f64 = 10.0;
/// Least and most rows of the picture, including its heading and its times.
pub const ROWS: (u16, u16) = (8, 24);
/// Least columns at which the picture can be read.
const COLUMNS: u16 = 40;

/// A point of the picture: time, s, altitude, ft, and the half-width of the band there, ft.
#[derive(Clone, Copy)]
struct Moment {
    t_s: f64,
    ft: f64,
    band_ft: f64,
}

/// A straight piece of the altitude over time.
struct Piece {
    /// Index of the task, from 0.
    task: usize,
    from: Moment,
    to: Moment,
    /// Whether the altitude is drawn as a line; what a surprise asks for may lie anywhere in its band.
    is_line: bool,
}

/// Breaks a drill into straight pieces: changes of altitude at the 3-degree rate, paths at the closure of the start.
fn pieces(drill: &Drill) -> Vec<Piece> {
    let rate_fps = three_degrees(&drill.aircraft, drill.start.altitude_m).rate_mps / FT;
    let mut pieces: Vec<Piece> = Vec::new();
    let (mut t_s, mut ft) = (0.0, drill.start.altitude_m / FT);
    for (task, asked) in drill.tasks.iter().enumerate() {
        // Each part: its seconds, then altitude and half-width at its beginning and at its end.
        let parts = match &asked.kind {
            Kind::Hold(hold) => {
                let band = (hold.altitude_m / FT, hold.band_m / FT);
                vec![(hold.seconds, band, band)]
            }
            Kind::Step(step) | Kind::Slow(step) => {
                let band = (step.altitude_m / FT, step.band_m / FT);
                let change_s = (band.0 - ft).abs() / rate_fps;
                let change = (change_s, (ft, 0.0), (band.0, 0.0));
                vec![change, (SETTLING_S + step.hold_s, band, band)]
            }
            Kind::Rate(rate) => {
                let seconds = SETTLING_S + rate.hold_s;
                let to_ft = ft + rate.vertical_mps / FT * seconds;
                vec![(seconds, (ft, 0.0), (to_ft, 0.0))]
            }
            Kind::Surprise(surprise) => {
                let (low, high) = (surprise.low_m / FT, surprise.high_m / FT);
                let band = (0.5 * (low + high), 0.5 * (high - low));
                let each_s = SETTLING_S + surprise.hold_s;
                vec![(f64::from(surprise.count) * each_s, band, band)]
            }
            Kind::Path(path) => {
                let glide = &path.glide;
                let closure_mps = drill.closure_mps().max(1.0);
                let at_m = glide.aim.start_m - closure_mps * t_s;
                let from_m = at_m.min(glide.from_m);
                let band = |m: f64| (glide.altitude_m(m) / FT, glide.half_width_m(m) / FT);
                let before = (ft, 0.0);
                vec![
                    ((at_m - from_m) / closure_mps, before, (band(from_m).0, 0.0)),
                    (from_m.max(0.0) / closure_mps, band(from_m), band(0.0)),
                ]
            }
        };
        for (seconds, from, to) in parts.into_iter().filter(|part| part.0 > 0.0) {
            let moment = |t_s, (ft, band_ft)| Moment { t_s, ft, band_ft };
            pieces.push(Piece {
                task,
                from: moment(t_s, from),
                to: moment(t_s + seconds, to),
                is_line: !matches!(asked.kind, Kind::Surprise(_)),
            });
            t_s += seconds;
            ft = to.0;
        }
    }
    pieces
}

/// Draws the picture, if the area is large enough for it.
pub fn draw(drill: &Drill, area: Rect, canvas: &mut Canvas) {
    let place = between_texts(area);
    let pieces = pieces(drill);
    let end_s = pieces.last().map_or(0.0, |piece| piece.to.t_s);
    if area.height < ROWS.0 || area.width < COLUMNS || end_s <= 0.0 {
        return;
    }
    let ends = || pieces.iter().flat_map(|piece| [piece.from, piece.to]);
    let start_ft = drill.start.altitude_m / FT;
    let low = ends().map(|at| at.ft - at.band_ft).fold(start_ft, f64::min);
    let high = ends().map(|at| at.ft + at.band_ft).fold(start_ft, f64::max);
    let mut dots = Dots::new(place);
    let margin = 0.05 * (high - low) + 1.0;
    let up = Up::new(low - margin, high + margin, &dots);
    let width = dots.width();
    let along = |t_s: f64| (t_s / end_s * f64::from(width - 1)).round() as i32;
    for piece in &pieces {
        let (from, to) = (along(piece.from.t_s), along(piece.to.t_s));
        let at = |x: i32, a: f64, b: f64| {
            let share = f64::from(x - from) / f64::from((to - from).max(1));
            a + share * (b - a)
        };
        let ft = |x: i32| at(x, piece.from.ft, piece.to.ft);
        for x in (from..=to).filter(|x| x % ACROSS == 0) {
            let band_ft = at(x, piece.from.band_ft, piece.to.band_ft);
            if band_ft > 0.0 {
                dots.set(x, up.dot(ft(x) + band_ft), Role::Band);
                dots.set(x, up.dot(ft(x) - band_ft), Role::Band);
            }
        }
        if piece.is_line {
            dots.curve(from..=to, Role::Ink, |x| Some(up.dot(ft(x))));
        }
    }
    let y = up.dot(start_ft);
    (0..ACROSS).for_each(|x| dots.column(x, y - 1, y + 1, Role::Marker));
    let quiet = Role::Quiet;
    let heading = "what is asked: altitude in ft over time, at an easy pace";
    canvas.put_within(area.x, area.y, heading, area.width, quiet);
    axis(place, canvas);
    // Label the altitudes that are asked for and that of the start, as far as each has a free row.
    let asked = pieces.iter().rev().flat_map(|piece| match piece.to {
        to if piece.is_line => vec![to.ft],
        to => vec![to.ft + to.band_ft, to.ft - to.band_ft],
    });
    for ft in asked.chain([start_ft]) {
        let y = up.row(ft, place);
        if canvas.is_free(area.x + 5..area.x + 6, y) {
            label(&plain(ft.round()), y, quiet, place, canvas);
        }
    }
    dots.render(canvas);
    let y = place.bottom();
    let end = format!("about {}", clock(end_s));
    let x = place.right().saturating_sub(end.len() as u16);
    canvas.put(x, y, end, quiet);
    let mut free = place.x;
    for (index, piece) in pieces.iter().enumerate() {
        let is_first = index == 0 || pieces[index - 1].task != piece.task;
        let at = place.x + (along(piece.from.t_s) / ACROSS) as u16;
        if is_first && at >= free && at + 3 < x {
            let n = (piece.task + 1).to_string();
            free = at + n.len() as u16 + 1;
            canvas.put(at, y, n, quiet);
        }
    }
}
