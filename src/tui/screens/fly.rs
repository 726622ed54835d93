//! Flying: the scope, the rail below it, the numbers in one row.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};

use super::words;
use crate::drill::reader::plain;
use crate::drill::path::{Call, Touchdown};
use crate::drill::{Drill, Kind, Target};
use crate::run::Run;
use crate::tui::flight::{Flight, Phase};
use crate::tui::theme::{Mark, Role, Theme};
use crate::tui::widgets::rail::Rail;
use crate::tui::widgets::scope::{GUTTER, Scope};
use crate::units::{DEG, FPM, FT, KT, NM};

/// From here on the tasks stand beside the scope.
const TASKS_FROM: u16 = 112;
const TASKS_WIDTH: u16 = 32;
/// Angle of attack off by less than this is called on speed, deg.
const ON_SPEED_DEG: f64 = 0.3;

/// Draws the flight.
pub fn draw(flight: &mut Flight, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    head(flight, area, buffer, theme);
    let below = 2;
    let above_rail = area.bottom() - 4;
    let mut middle = Rect {
        y: area.y + below,
        height: above_rail - area.y - below,
        ..area
    };
    if area.width >= TASKS_FROM {
        middle.width -= TASKS_WIDTH;
        let side = Rect {
            x: middle.right() + 2,
            width: TASKS_WIDTH - 2,
            ..middle
        };
        tasks(flight.run(), side, buffer, theme);
    }
    let window = flight.window(Scope::altitude_rows(middle));
    let forecast = flight.forecast().to_vec();
    let scope = Scope {
        run: flight.run(),
        window,
        forecast: &forecast,
    };
    scope.render(middle, buffer, theme);
    rail(flight, area, above_rail, buffer, theme);
    let numbers_y = area.bottom() - 2;
    buffer.set_line(area.x, numbers_y, &numbers(flight, theme), area.width);
    foot(flight, area, buffer, theme);
}

fn head(flight: &Flight, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let (run, drill) = (flight.run(), flight.run().drill());
    let quiet = theme.style(Role::Quiet);
    let dot = theme.mark(Mark::Dot);
    let title = Line::from(vec![
        Span::styled(format!(" {}", drill.title), theme.style(Role::Strong)),
        Span::styled(
            format!(
                "   {} {dot} {} {dot} aids {}",
                drill.aircraft.name,
                words::air(&drill.air),
                words::aids(flight.aids)
            ),
            quiet,
        ),
    ]);
    let time = Line::styled(
        format!("{} ", words::clock(run.time_s())),
        theme.style(Role::Ink),
    );
    words::row(buffer, area, area.y, title, time);

    let (index, kind) = (run.task_index(), &run.leg().kind);
    let from_m = run.trace().points()[run.leg().start as usize].state.h_m;
    let asked = Line::from(vec![
        Span::styled(
            format!(" {} of {}  ", index + 1, drill.tasks.len()),
            quiet,
        ),
        Span::styled(words::task(kind, from_m), theme.style(Role::Ink)),
    ]);
    words::row(buffer, area, area.y + 1, asked, standing(run, theme));
}

/// How far off, and how much time is left; a call takes the place of everything.
fn standing(run: &Run, theme: &Theme) -> Line<'static> {
    let (leg, state, tick) = (run.leg(), run.world().state(), run.tick());
    if let Some(Touchdown { distance_m, .. }) = leg.approach.touchdown {
        let text = format!("down, {} ft before the aim point: full power ", words::feet(distance_m));
        return Line::styled(text, theme.style(Role::Warning));
    }
    if let Some((_, call)) = leg.approach.called {
        let why = match call {
            Call::Low => "too low",
            Call::Sinking => "sinking too fast",
        };
        return Line::styled(format!("{why}: go around "), theme.style(Role::Warning));
    }
    let off = (leg.target.error(state, tick) / leg.target.unit()).round();
    let (unit, more, less) = match leg.target {
        Target::Altitude { .. } | Target::Path(_) => ("ft", "above", "below"),
        Target::Vertical { .. } => ("ft/min", "too much up", "too much down"),
    };
    let side = match off {
        off if off > 0.0 => format!("{} {unit} {more}", plain(off)),
        off if off < 0.0 => format!("{} {unit} {less}", plain(-off)),
        _ => "on the number".to_string(),
    };
    let left_s = match &leg.kind {
        Kind::Hold(hold) => Some(hold.seconds - leg.time_s()),
        Kind::Step(step) => Some(step.within_s - leg.time_s()),
        Kind::Rate(rate) => Some(rate.within_s - leg.time_s()),
        Kind::Path(_) | Kind::Surprise(_) => None,
    };
    let left = match (left_s, &leg.target) {
        (Some(left_s), _) if left_s > 0.0 => format!("{left_s:.0} s left "),
        (Some(_), _) => "time is up ".to_string(),
        (None, Target::Path(glide)) => {
            format!("{:.2} nm ", glide.distance_m(state, tick) / NM)
        }
        (None, _) => String::new(),
    };
    let (word, role) = match leg.target.holds(state, tick) {
        true => ("inside", Role::Strong),
        false => ("outside", Role::Ink),
    };
    Line::from(vec![
        Span::styled(format!("{word}, {side}   "), theme.style(role)),
        Span::styled(left, theme.style(Role::Quiet)),
    ])
}

fn rail(flight: &Flight, area: Rect, y: u16, buffer: &mut Buffer, theme: &Theme) {
    let run = flight.run();
    let engine = &run.world().aircraft().engine;
    buffer.set_string(area.x + 1, y + 1, "lever", theme.style(Role::Quiet));
    let rail = Rail {
        lever: run.lever(),
        engine: engine.lever_for(run.world().state().engine),
        level: flight.level_lever(),
    };
    let place = Rect {
        x: area.x + GUTTER,
        y,
        width: area.width.saturating_sub(GUTTER + 1),
        height: 2,
    };
    rail.render(place, buffer, theme);
}

/// Altitude, vertical speed, on speed, lever, engine, stay: in fixed columns. The lever's number is the setting wanted,
/// so that a key shows at once; `>` says that the lever is still on its way there.
fn numbers(flight: &Flight, theme: &Theme) -> Line<'static> {
    let run = flight.run();
    let on_its_way = (flight.wanted() - run.lever()).abs() > 5e-4;
    let way = if on_its_way { '>' } else { ' ' };
    let state = run.world().state();
    let altitude = plain((state.h_m / FT).round());
    let vertical = vertical((state.vz_mps / FPM).round());
    let engine = run.world().aircraft().engine.lever_for(state.engine);
    let leg = run.leg();
    let stay = stay(run);
    let ink = theme.style(Role::Ink);
    Line::from(vec![
        Span::styled(
            format!("{altitude:>7} ft  {vertical:>6} ft/min  "),
            theme.style(Role::Strong),
        ),
        Span::styled(format!("{:<11}", on_speed(run, theme)), ink),
        Span::styled(
            format!("lever{way}{:>5.1} %  ", 100.0 * flight.wanted()),
            ink,
        ),
        Span::styled(format!("engine {:>3.0} %  ", 100.0 * engine), ink),
        Span::styled(
            stay,
            theme.style(if leg.stay_s() > 0.0 {
                Role::Strong
            } else {
                Role::Ink
            }),
        ),
    ])
}

fn vertical(fpm: f64) -> String {
    match fpm {
        fpm if fpm > 0.0 => format!("+{}", plain(fpm)),
        fpm => plain(fpm + 0.0),
    }
}

fn on_speed(run: &Run, theme: &Theme) -> String {
    let alpha_rad = run.world().air_data().alpha_rad;
    let off_deg = (alpha_rad - run.world().aircraft().alpha_on_rad) / DEG;
    let degree = theme.mark(Mark::Degree);
    match off_deg {
        off if off >= ON_SPEED_DEG => format!("slow {off:.1}{degree}"),
        off if off <= -ON_SPEED_DEG => format!("fast {:.1}{degree}", -off),
        _ => "on speed".to_string(),
    }
}

fn stay(run: &Run) -> String {
    let leg = run.leg();
    let asked_s = leg.kind.stay_s().map_or_else(String::new, plain);
    match (&leg.kind, &leg.target) {
        (Kind::Hold(_), _) => format!("hold {:.1}/{asked_s} s", leg.time_s()),
        (Kind::Path(_), Target::Path(glide)) => {
            let closure_kt = glide.closure_mps(run.world().state()) / KT;
            format!("closing {closure_kt:.0} kt")
        }
        _ => format!("stay {:.1}/{asked_s} s", leg.stay_s()),
    }
}

fn foot(flight: &Flight, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let (text, role) = match flight.phase() {
        Phase::Ready => (
            " ready: space begins, or the first move of the lever",
            Role::Warning,
        ),
        Phase::Paused => (" paused: space goes on", Role::Warning),
        Phase::Flying => (" up, down move the lever   space pauses", Role::Quiet),
    };
    let keys = Line::styled("r again   q leave   ? help ", theme.style(Role::Quiet));
    words::row(
        buffer,
        area,
        area.bottom() - 1,
        Line::styled(text, theme.style(role)),
        keys,
    );
}

/// The drill's tasks beside the scope: what was, what is, what comes.
fn tasks(run: &Run, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let drill = run.drill();
    let current = run.task_index();
    let first = current.saturating_sub(3);
    let mut y = area.y;
    for (index, task) in drill.tasks.iter().enumerate().skip(first) {
        let role = match index.cmp(&current) {
            std::cmp::Ordering::Less => Role::Quiet,
            std::cmp::Ordering::Equal => Role::Strong,
            std::cmp::Ordering::Greater => Role::Quiet,
        };
        // Of a surprise the one that is flown or was flown last; what is to come is not told.
        let leg = run.legs().iter().rev().find(|leg| leg.task == index);
        let mark = match leg.map(|leg| (leg.end.is_some(), leg.captured)) {
            Some((true, Some(true) | None)) => theme.mark(Mark::Done),
            Some((true, Some(false))) => theme.mark(Mark::Missed),
            Some((false, _)) => theme.mark(Mark::Chosen),
            None => " ",
        };
        for line in task_lines(drill, index, mark, task.scored) {
            if y >= area.bottom() {
                return;
            }
            buffer.set_stringn(area.x, y, line, area.width as usize, theme.style(role));
            y += 1;
        }
        y += 1;
    }
}

fn task_lines(drill: &Drill, index: usize, mark: &str, scored: bool) -> [String; 2] {
    let kind = &drill.tasks[index].kind;
    let unscored = if scored { "" } else { ", unscored" };
    let stay = kind.stay_s().map_or_else(String::new, |stay_s| format!(", {} s", plain(stay_s)));
    let within = match kind.target() {
        Some(Target::Altitude { band_m, .. }) => format!("within {} ft", words::feet(band_m)),
        Some(Target::Vertical { band_mps, .. }) => format!("within {} ft/min", words::fpm(band_mps)),
        Some(Target::Path(glide)) => format!("within {} ft, narrowing", words::feet(glide.band_m)),
        None => "told one at a time".to_string(),
    };
    [
        format!("{mark} {}  {}{unscored}", index + 1, words::task_name(kind)),
        format!("     {within}{stay}"),
    ]
}
