//! The screens. Outside of this module and [`cli`](crate::cli), nothing knows a terminal or a clock.

pub mod action;
pub mod app;
#[cfg(feature = "axes")]
pub mod axis;
pub mod canvas;
pub mod echo;
pub mod effort;
pub mod farewell;
pub mod flight;
pub mod guided;
pub mod job;
pub mod key_lever;
mod memory;
pub mod pacer;
pub mod prepared;
pub mod printed;
pub mod replay;
pub mod screens;
pub mod shelf;
pub mod shown;
pub mod terminal;
pub mod theme;
mod typed;
mod watched;
mod weighing;
pub mod widgets;

use std::io;
use std::time::Duration;

pub use app::{App, Opening, Wish};
use effort::attempt;
pub use shelf::{Options, Settings, Shelf};
pub use terminal::OpenError;
use terminal::{Display, Event, Events, STALL, Session, is_interrupt};

/// A frame every two ticks while something moves: the scope moves by some eight dots a second at most.
const FRAME: Duration = Duration::from_nanos(2 * pacer::TICK_NS);
/// An event redraws at once, but no sooner than this after the last frame, so that a flood of them leaves time for others.
const SOONEST: Duration = Duration::from_millis(2);
/// Longest wait for an event while nothing moves.
const LONG: Duration = Duration::from_secs(3600);
/// Exit code where the terminal has gone: 128 and SIGHUP.
const GONE: u8 = 129;
/// Exit code where the program broke down: that of any Rust program that panics.
const BROKEN: u8 = 101;
/// Exit code of Ctrl-C: 128 and SIGINT.
const INTERRUPTED: u8 = 130;

/// Takes the terminal, runs the program and gives the terminal back. Returns the exit code.
///
/// # Errors
/// Where there is no terminal to run in.
pub fn run(settings: Settings, shelf: Shelf, start: Opening) -> Result<u8, OpenError> {
    let (mut session, mut live) = Session::open(&settings.options)?;
    Ok(main_loop(&mut session, &mut live, settings, shelf, start))
}

/// The loop, on any screen and any source of events. Returns the exit code.
pub fn main_loop(
    screen: &mut impl Display,
    events: &mut impl Events,
    settings: Settings,
    shelf: Shelf,
    start: Opening,
) -> u8 {
    let mut app = App::new(settings, shelf, start, Duration::ZERO);
    let ended = attempt(|| until_ended(screen, events, &mut app));
    ended.unwrap_or_else(|_| {
        // The panic has been reported already. Try to keep the run under way; a second panic is ignored.
        let _ = attempt(|| app.end());
        BROKEN
    })
}

fn until_ended(screen: &mut impl Display, events: &mut impl Events, app: &mut App) -> u8 {
    let origin = events.now();
    let mut looked_up = false;
    loop {
        app.told(screen.told());
        app.advance(events.now() - origin);
        let Ok(took) = screen.draw(|frame| app.draw(frame)) else {
            app.end();
            return asked_to_end(events).unwrap_or(GONE);
        };
        if app.take_bell() && screen.ring().is_err() {
            app.end();
            return GONE;
        }
        let last_drawn = events.now();
        if took > STALL {
            app.note_stall();
        }
        if !looked_up {
            app.look_up_best();
            looked_up = true;
            continue;
        }
        let mut wake = last_drawn + if app.is_moving() { FRAME } else { LONG };
        while let Some(stamped) = events.next(wake) {
            match handle(screen, app, stamped.event, stamped.at - origin) {
                Ok(Wish::Stay | Wish::Suspend) => {}
                Ok(Wish::Exit(code)) => return code,
                Err(_) => {
                    app.end();
                    return GONE;
                }
            }
            wake = wake.min(last_drawn + SOONEST);
        }
    }
}

/// The exit code for an end that was asked for while the terminal took no output.
fn asked_to_end(events: &mut impl Events) -> Option<u8> {
    loop {
        match events.next(events.now())?.event {
            Event::Quit(signal) => return Some(128 + signal as u8),
            Event::Key(key) if is_interrupt(&key) => return Some(INTERRUPTED),
            Event::Closed => return None,
            _ => {}
        }
    }
}

fn handle(
    screen: &mut impl Display,
    app: &mut App,
    event: Event,
    now: Duration,
) -> io::Result<Wish> {
    // What was due before the event is flown with the lever as it was.
    app.advance(now);
    let mut wish = Wish::Stay;
    match event {
        Event::Key(key) => wish = app.key(&key, now),
        Event::Mouse(mouse) => app.mouse(&mouse, now),
        Event::Axis(at) => app.axis(at, now),
        Event::Resize { cols, rows } => app.resized(cols, rows, now),
        Event::FocusLost => app.focus_lost(now),
        Event::Suspend => {
            app.pause(now);
            screen.suspend()?;
        }
        Event::Resume => {
            app.pause(now);
            screen.resumed()?;
        }
        Event::Quit(signal) => wish = app.exit(128 + signal as u8),
        Event::Closed => wish = app.exit(GONE),
    }
    if wish == Wish::Suspend && screen.can_suspend() {
        app.pause(now);
        screen.suspend()?;
    }
    Ok(wish)
}
