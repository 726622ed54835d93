//! The drill's tasks beside the scope: those past, the current one, and those to come.

use ratatui::layout::Rect;

use super::words;
use crate::drill::reader::plain;
use crate::drill::{Kind, Target};
use crate::run::Leg;
use crate::tui::canvas::Canvas;
use crate::tui::flight::Flight;
use crate::tui::theme::{Mark, Role, Theme};
use crate::tui::widgets::posts;
use crate::units::{FT, NM};

/// Tasks before the one being flown that stay in sight.
const BEHIND: usize = 3;

pub fn draw(flight: &Flight, area: Rect, canvas: &mut Canvas) {
    let run = flight.run();
    let mut y = area.y;
    let theme = canvas.theme;
    let mut put = |line: &str, role: Role| {
        if y < area.bottom() {
            canvas.put_within(area.x, y, line, area.width, role);
            y += 1;
        }
    };
    let current = run.task_index();
    let tasks = run.drill().tasks.iter().enumerate();
    for (index, task) in tasks.skip(current.saturating_sub(BEHIND)) {
        let role = |is_now| if is_now { Role::Strong } else { Role::Quiet };
        let legs: Vec<&Leg> = run.legs().iter().filter(|leg| leg.task == index).collect();
        let unscored = if task.scored { "" } else { ", unscored" };
        let name = words::task_name(&task.kind);
        let is_surprise = matches!(task.kind, Kind::Surprise(_));
        let mark = match (is_surprise, legs.last()) {
            (true, Some(_)) if index < current => theme.mark(Mark::DONE),
            (true, Some(_)) => theme.mark(Mark::CHOSEN),
            (_, leg) => leg.map_or(" ", |leg| mark_of(leg, &theme)),
        };
        let n = index + 1;
        let now = role(index == current);
        put(&format!("{mark} {n}  {name}{unscored}"), now);
        put(&format!("     {}", asked(&task.kind)), now);
        // Of a surprise, only tasks that have been drawn are shown, not those to come.
        if is_surprise {
            let first = legs.len().saturating_sub(BEHIND + 1);
            for leg in &legs[first..] {
                let (mark, name) = (mark_of(leg, &theme), words::task_name(&leg.kind));
                put(&format!("   {mark} {name}"), role(leg.end.is_none()));
            }
        }
        if index == current {
            gates(flight, &theme, &mut put);
        }
        put("", Role::Quiet);
    }
}

/// Adds each gate with its altitude and, once it has been passed with the path in sight, the deviation there.
fn gates(flight: &Flight, theme: &Theme, put: &mut impl FnMut(&str, Role)) {
    let is_seen = flight.sees_path();
    let done = theme.mark(Mark::DONE);
    let posts = posts::of_path(flight.run());
    for post in posts.iter().filter(|post| post.is_gate) {
        let distance_nm = post.distance_m / NM;
        let place = format!("{distance_nm:.2} nm {:>8}", post.label());
        match post.deviation_m.filter(|_| is_seen) {
            Some(deviation_m) => {
                let off = format!("{:+.0}", (deviation_m / FT).round() + 0.0);
                put(&format!("   {done} {place} {off:>4} ft"), Role::Quiet);
            }
            None => put(&format!("     {place}"), Role::Ink),
        }
    }
}

fn mark_of(leg: &Leg, theme: &Theme) -> &'static str {
    match (leg.end.is_some(), leg.captured) {
        (true, Some(true) | None) => theme.mark(Mark::DONE),
        (true, Some(false)) => theme.mark(Mark::MISSED),
        (false, _) => theme.mark(Mark::CHOSEN),
    }
}

/// The band and the stay of a task.
fn asked(kind: &Kind) -> String {
    let within = match kind.target() {
        Some(Target::Altitude { band_m, .. }) => format!("within {} ft", words::feet(band_m)),
        Some(Target::Vertical { band_mps, .. }) => {
            format!("within {} ft/min", words::fpm(band_mps))
        }
        Some(Target::Path(glide)) => format!("within {} ft, narrowing", words::feet(glide.band_m)),
        None => "called one at a time".to_string(),
    };
    match kind.stay_s() {
        Some(stay_s) => format!("{within}, {} s", plain(stay_s)),
        None => within,
    }
}
