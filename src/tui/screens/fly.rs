//! Flying: the scope, the rail below it, the numbers in one row.

mod legend;
mod news;
mod numbers;

use ratatui::layout::Rect;
use ratatui::text::Line;

use super::{tasks, words};
use crate::drill::printable::{columns, cut};
use crate::drill::reader::plain;
use crate::drill::{Aids, Kind, air_words};
use crate::run::Run;
use crate::tui::canvas::{self, Canvas};
use crate::tui::echo::Beside;
use crate::tui::flight::{Flight, Phase};
use crate::tui::theme::{Role, Theme};
use crate::tui::typed::Typed;
use crate::tui::widgets::rail;
use crate::tui::widgets::scope::{GUTTER, Scope};
use crate::units::TICK_S;

/// From this width on the tasks stand beside the scope.
const TASKS_FROM: u16 = 112;
const TASKS_WIDTH: u16 = 33;
/// From this width on the points in reach stand in the row of numbers.
const REACH_FROM: u16 = 96;

pub fn draw(flight: &mut Flight, area: Rect, canvas: &mut Canvas) {
    head(flight, area, canvas);
    let mut middle = area;
    canvas::top(&mut middle, 2);
    canvas::bottom(&mut middle, area.bottom() - rail_place(area).y);
    if area.width >= TASKS_FROM {
        let mut side = canvas::right(&mut middle, TASKS_WIDTH);
        canvas::left(&mut side, 3);
        tasks::draw(flight, side, canvas);
    }
    let window = flight.window(Scope::altitude_rows(flight.run(), middle));
    let forecast = flight.forecast().to_vec();
    // An echo would give away where a path that is out of sight lies.
    let echo = flight.echo.as_ref().filter(|_| flight.sees_path());
    let scope = Scope {
        run: flight.run(),
        window,
        forecast: &forecast,
        aids: flight.aids,
        echo: echo.and_then(Beside::echo),
        marks: &flight.marks,
        said: news::said(flight),
    };
    scope.render(middle, canvas);
    legend::draw(flight, middle, canvas);
    rail(flight, area, canvas);
    let numbers_y = area.bottom() - 2;
    let numbers = numbers::row(flight, &canvas.theme);
    let in_reach = canvas.theme.line(in_reach(flight), Role::Ink);
    words::row(numbers, in_reach, numbers_y, area, canvas);
    foot(flight, area, canvas);
}

fn head(flight: &Flight, area: Rect, canvas: &mut Canvas) {
    let run = flight.run();
    // Shown here where the row of numbers has no room for it.
    let in_reach = match area.width < REACH_FROM {
        true => in_reach(flight),
        false => String::new(),
    };
    let time = format!("{in_reach}  {} ", words::clock(run.time_s()));
    let time = canvas.theme.line(time, Role::Ink);
    let room = usize::from(area.width).saturating_sub(time.width() + 2);
    let title = title(flight, room, &canvas.theme);
    words::row(title, time, area.y, area, canvas);
    let right = standing(flight, &canvas.theme);
    let room = usize::from(area.width).saturating_sub(right.width() + 2);
    let left = asked(run, room, &canvas.theme);
    let (at, y) = (area.right() - right.width() as u16, area.y + 1);
    canvas.put_line(area.x, y, &left, room as u16);
    canvas.put_line(at, y, &right, area.width);
}

/// The drill's title, and whose run it is where it is not the person's; then as much of the rest as there is room for.
fn title(flight: &Flight, room: usize, theme: &Theme) -> Line<'static> {
    let drill = flight.run().drill();
    let who = flight.shown_by().map(|told| format!("   {told}"));
    let who_wide = who.as_ref().map_or(0, |who| columns(who));
    let name = format!(" {}", drill.title);
    let name = cut(&name, room.saturating_sub(who_wide)).to_string();
    let mut line = Line::from(theme.span(name, Role::Strong));
    let mut more = vec![
        drill.aircraft.name.clone(),
        air_words::in_words(&drill.air).to_string(),
    ];
    match who {
        Some(who) => line.push_span(theme.span(who, Role::Warning)),
        None => more.push(format!("aids {}", flight.aids.word())),
    }
    words::add_parts(&mut line, more, room, theme);
    line
}

/// What the task asks, with its number among the drill's tasks and among those a surprise draws. In full where there is room.
fn asked(run: &Run, room: usize, theme: &Theme) -> Line<'static> {
    let (drill, leg) = (run.drill(), run.leg());
    let from_m = run.trace().state(leg.start as usize).h_m;
    let (n, of) = (leg.task + 1, drill.tasks.len());
    let (full, short) = match &drill.tasks[leg.task].kind {
        Kind::Surprise(surprise) => {
            let legs = run.legs().iter();
            let drawn = legs.filter(|other| other.task == leg.task).count();
            let drawn = format!(", {drawn} of {}  ", surprise.count);
            (format!(" {n} of {of}{drawn}"), format!(" {n}{drawn}"))
        }
        _ => (format!(" {n} of {of}  "), format!(" {n} of {of}  ")),
    };
    let line = |place: String, asked: String| {
        Line::from(vec![
            theme.span(place, Role::Quiet),
            theme.span(asked, Role::Ink),
        ])
    };
    let in_short = words::task_short(&leg.kind, from_m);
    // The band is also drawn below.
    let without_band = in_short.split(", ").next().unwrap_or(&in_short).to_string();
    let shortest = line(short.clone(), without_band);
    let full = line(full, words::task(&leg.kind, from_m));
    let mut lines = [full, line(short, in_short)].into_iter();
    lines.find(|line| line.width() <= room).unwrap_or(shortest)
}

/// How far off the aeroplane is and, except on a path, how much time is left. On a path without aids nothing is shown; while a
/// path is out of sight, only where it comes into sight.
fn standing(flight: &Flight, theme: &Theme) -> Line<'static> {
    let run = flight.run();
    let (leg, state, tick) = (run.leg(), run.world().state(), run.tick());
    let off = (leg.target.error(state, tick) / leg.target.unit()).round();
    let unit = leg.target.unit_name();
    let side = match off {
        off if off > 0.0 => format!("{} {unit} above", plain(off)),
        off if off < 0.0 => format!("{} {unit} below", plain(-off)),
        _ if matches!(leg.kind, Kind::Path(_)) => "on the path".to_string(),
        _ => "on the number".to_string(),
    };
    let left_s = match &leg.kind {
        Kind::Hold(hold) => Some(hold.seconds - leg.time_s()),
        Kind::Step(step) | Kind::Slow(step) => Some(step.within_s - leg.time_s()),
        Kind::Rate(rate) => Some(rate.within_s - leg.time_s()),
        Kind::Path(_) | Kind::Surprise(_) => None,
    };
    let left = match left_s {
        Some(left_s) if left_s > 0.0 => format!("{left_s:.0} s left "),
        Some(_) => "time is up ".to_string(),
        None => String::new(),
    };
    let (word, role) = match leg.target.holds(state, tick) {
        true => ("inside", Role::Strong),
        false => ("outside", Role::Ink),
    };
    if leg.approach.is_down() {
        return Line::default();
    }
    if let Some(show_m) = flight.hidden_until_m() {
        let told = format!("path out of sight until {} nm ", words::nm(show_m));
        return theme.line(told, Role::Ink);
    }
    let is_path = matches!(leg.kind, Kind::Path(_));
    let mut spans = vec![theme.span(left, Role::Quiet)];
    if !is_path || flight.aids != Aids::Bare {
        spans.insert(0, theme.span(format!("{word}, {side}   "), role));
    }
    Line::from(spans)
}

/// The area of the rail, with its marks, on a screen.
pub fn rail_place(area: Rect) -> Rect {
    Rect {
        x: area.x + GUTTER,
        y: area.bottom() - 4,
        width: area.width.saturating_sub(GUTTER + 1),
        height: 2,
    }
}

fn rail(flight: &Flight, area: Rect, canvas: &mut Canvas) {
    let run = flight.run();
    let engine = &run.world().aircraft().engine;
    let place = rail_place(area);
    canvas.put(area.x + 1, place.y + 1, "lever", Role::Quiet);
    let gives = engine.lever_for(run.world().state().engine);
    rail::draw(run.lever(), gives, &flight.named_levers(), place, canvas);
}

/// The points that can still be had in the task under way. Empty while a path is out of sight, as they would give away how far
/// off it is.
fn in_reach(flight: &Flight) -> String {
    let points = flight.in_reach.filter(|_| flight.sees_path());
    points.map_or_else(String::new, |points| format!("in reach {points:>2.0} "))
}

/// The foot while a setting of the lever is typed.
fn typed(typed: &Typed) -> String {
    let text = typed.text();
    let keys = match typed.number() {
        Some(percent) if percent > 100.0 => "100 is the most: backspace, or esc cancels",
        _ if typed.has_refused() => "digits and a point: enter sets it, esc cancels",
        _ => "enter sets it, esc cancels",
    };
    format!("lever to {text}_ %   {keys}")
}

/// What to do with an axis that has yet to take the lever.
fn pick_up(flight: &Flight) -> Option<String> {
    let at = 100.0 * flight.awaited_axis()?;
    let wanted = 100.0 * flight.wanted();
    let then = match flight.phase() {
        Phase::Ready => "   space begins",
        _ => " to take the lever",
    };
    Some(format!(
        "axis at {at:.0} %: bring it to {wanted:.0} %{then}"
    ))
}

/// Draws the foot: what stands in the way of flying, what has just been done, what is still being worked out, or the keys.
fn foot(flight: &Flight, area: Rect, canvas: &mut Canvas) {
    let is_shown = flight.shown_by().is_some();
    let echo = flight.echo.as_ref().and_then(Beside::told);
    let hand = flight.typed.as_ref().map(typed).or_else(|| pick_up(flight));
    let speed = flight.speed();
    let (text, role) = match (flight.phase(), echo) {
        (Phase::Ready | Phase::Flying, _) if hand.is_some() => {
            (hand.unwrap_or_default(), Role::Strong)
        }
        _ if flight.is_acknowledging() => {
            let at_s = flight.marks.last().copied().unwrap_or(0) as f64 * TICK_S;
            (format!("marked at {}", words::clock(at_s)), Role::Strong)
        }
        (Phase::Paused, _) => ("paused: space goes on".to_string(), Role::Warning),
        (Phase::Ready, Some(told)) => (format!("space begins   {told}"), Role::Warning),
        (Phase::Flying, Some(told)) => (told, Role::Strong),
        (Phase::Ready, _) if is_shown => ("ready: space begins".to_string(), Role::Warning),
        (Phase::Ready, _) => {
            let begins = "ready: space begins, or a move of the lever";
            (begins.to_string(), Role::Warning)
        }
        (Phase::Flying, _) if is_shown => match flight.watched() {
            Some(told) => (format!("{speed}x  {told}"), Role::Strong),
            None => {
                let keys = "space pauses   up, down speed   m mark";
                (format!("{speed}x  {keys}"), Role::Quiet)
            }
        },
        (Phase::Flying, _) => {
            let keys = "up, down move the lever   space pauses   m mark";
            (keys.to_string(), Role::Quiet)
        }
    };
    let text = canvas.theme.line(format!(" {text}"), role);
    // While a setting is typed, the ways out have no keys.
    let out = match flight.typed {
        Some(_) => "",
        None => "r again   q leave",
    };
    words::foot(text, out, area, canvas);
}
