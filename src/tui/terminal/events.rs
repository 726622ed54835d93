//! Everything that happens to the program, in one stream, each with the moment it was heard.

use std::io::{self, IsTerminal};
use std::sync::atomic::Ordering;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::time::{Duration, Instant};

use crossterm::event::{self, Event as Raw, KeyCode, KeyEvent, KeyModifiers, MouseEvent};
use signal_hook::consts::{
    SIGALRM, SIGCONT, SIGHUP, SIGINT, SIGPROF, SIGQUIT, SIGTERM, SIGTSTP, SIGUSR1, SIGUSR2,
    SIGVTALRM, SIGXCPU, SIGXFSZ,
};
use signal_hook::iterator::Signals;

use super::{ENDING, PANICKED, probe};

/// How often the input thread checks whether the terminal is still there. A closed one is always readable but gives no bytes, and
/// keeps the reader underneath busy until the check.
const LOOK: Duration = Duration::from_millis(250);

/// A second signal to end, this long after the first, shows that the main thread does not respond.
const DEAF_AFTER: Duration = Duration::from_secs(1);

/// Signals that end a program by default and that it can catch.
const ENDS: [i32; 11] = [
    SIGTERM, SIGINT, SIGHUP, SIGQUIT, SIGUSR1, SIGUSR2, SIGALRM, SIGVTALRM, SIGPROF, SIGXCPU,
    SIGXFSZ,
];

/// The names of the threads that hear signals and input.
const SIGNALS: &str = "signals";
const INPUT: &str = "input";

/// Whether a thread is one of those.
pub(super) fn hears(thread: Option<&str>) -> bool {
    matches!(thread, Some(SIGNALS | INPUT))
}

/// Whether a key is Ctrl-C, which no screen takes for anything else.
pub fn is_interrupt(key: &KeyEvent) -> bool {
    key.code == KeyCode::Char('c') && key.modifiers == KeyModifiers::CONTROL
}

/// Something that happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// A key. Lone modifier keys are left out. A character includes its shift: `SHIFT` is never set beside one. Where releases
    /// are reported, look at `kind`.
    Key(KeyEvent),
    /// The mouse, where it was asked for.
    Mouse(MouseEvent),
    /// The position of an axis, 0..1. None: the axis is gone.
    Axis(Option<f64>),
    /// The terminal has a new size.
    Resize {
        /// Columns.
        cols: u16,
        rows: u16,
    },
    /// The terminal has lost the focus.
    FocusLost,
    /// A signal to end, by number: exit with 128 more.
    Quit(i32),
    /// A stop from outside: call `suspend`.
    Suspend,
    /// Continued after a stop: call `resumed`.
    Resume,
    /// The terminal is gone: exit with 129.
    Closed,
}

/// An event and when it was heard.
#[derive(Debug, Clone, PartialEq)]
pub struct Stamped {
    /// The clock of [`Events::now`].
    pub at: Instant,
    /// What happened.
    pub event: Event,
}

/// Events and the clock they go by: the outside of the main loop.
pub trait Events {
    /// The time.
    fn now(&self) -> Instant;

    /// Waits for the next event, at most until `until`. With a time already past it only takes an event that is there.
    fn next(&mut self, until: Instant) -> Option<Stamped>;
}

/// Where events come in.
#[derive(Debug, Clone)]
pub struct Inlet(Sender<Option<Stamped>>);

impl Inlet {
    /// Puts an event in. Returns false once nobody listens any more.
    pub fn put(&self, event: Event) -> bool {
        let at = Instant::now();
        match &event {
            Event::Quit(_) => ENDING.store(true, Ordering::SeqCst),
            Event::Key(key) if is_interrupt(key) => ENDING.store(true, Ordering::SeqCst),
            _ => {}
        }
        self.0.send(Some(Stamped { at, event })).is_ok()
    }

    /// Ends a wait without an event.
    pub fn wake(&self) {
        let _ = self.0.send(None);
    }
}

/// The two ends of a queue of events.
pub fn channel() -> (Inlet, Live) {
    let (sender, receiver) = mpsc::channel();
    (Inlet(sender), Live { receiver })
}

/// The events of the terminal and of the system, by the system's clock.
#[derive(Debug)]
pub struct Live {
    receiver: Receiver<Option<Stamped>>,
}

impl Events for Live {
    fn now(&self) -> Instant {
        Instant::now()
    }

    /// # Panics
    /// After a panic on another thread, whose message has been printed by then.
    fn next(&mut self, until: Instant) -> Option<Stamped> {
        let wait = until.saturating_duration_since(Instant::now());
        let next = match self.receiver.recv_timeout(wait) {
            Ok(next) => next,
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => Some(Stamped {
                at: Instant::now(),
                event: Event::Closed,
            }),
        };
        if PANICKED.load(Ordering::SeqCst) {
            std::panic::resume_unwind(Box::new("a thread panicked"));
        }
        next
    }
}

/// Starts the thread that hears signals.
pub(super) fn watch_signals(inlet: Inlet) -> io::Result<()> {
    let mut signals = Signals::new(ENDS.iter().chain(&[SIGTSTP, SIGCONT]))?;
    let hear = move || {
        let mut ending = None;
        for signal in signals.forever() {
            let heard = match signal {
                SIGTSTP => inlet.put(Event::Suspend),
                SIGCONT => inlet.put(Event::Resume),
                _ => {
                    let first = *ending.get_or_insert_with(Instant::now);
                    if first.elapsed() > DEAF_AFTER {
                        die(signal);
                    }
                    inlet.put(Event::Quit(signal))
                }
            };
            // Nobody listens once the session is over, so the signal takes its default action. Not SIGHUP: where the terminal has
            // closed, the program is ending already.
            if !heard && signal != SIGHUP {
                die(signal);
            }
        }
    };
    spawn(SIGNALS, hear)
}

fn spawn(name: &str, hear: impl FnOnce() + Send + 'static) -> io::Result<()> {
    let thread = std::thread::Builder::new().name(name.into());
    thread.spawn(hear).map(drop)
}

/// Gives the terminal back and takes the signal's default action, for when the main thread can no longer handle it.
fn die(signal: i32) {
    super::leave();
    let _ = signal_hook::low_level::emulate_default_handler(signal);
}

/// Starts the thread that reads the terminal.
pub(super) fn read_input(inlet: Inlet) -> io::Result<()> {
    let hear = move || {
        for key in probe::ask() {
            inlet.put(Event::Key(plain_shift(key)));
        }
        while let Some(raw) = read() {
            let heard = match raw {
                Raw::Key(key) if matches!(key.code, KeyCode::Modifier(_)) => true,
                Raw::Key(key) => inlet.put(Event::Key(plain_shift(key))),
                Raw::Resize(cols, rows) => inlet.put(Event::Resize { cols, rows }),
                Raw::FocusLost => inlet.put(Event::FocusLost),
                Raw::Mouse(mouse) => inlet.put(Event::Mouse(mouse)),
                // Pasted text is no way to move a lever.
                Raw::FocusGained | Raw::Paste(_) => true,
            };
            if !heard {
                return;
            }
        }
        inlet.put(Event::Closed);
    };
    spawn(INPUT, hear)
}

/// Starts the thread that reads an axis.
#[cfg(feature = "axes")]
pub(super) fn read_axis(
    inlet: Inlet,
    calibration: crate::tui::axis::Calibration,
) -> io::Result<()> {
    let hear = move || {
        let _ = calibration.follow(|at| inlet.put(Event::Axis(Some(at))));
        inlet.put(Event::Axis(None));
    };
    spawn("axis", hear)
}

/// The next event from the terminal; `None` once the terminal is gone.
fn read() -> Option<Raw> {
    loop {
        match event::poll(LOOK) {
            Ok(true) => return event::read().ok(),
            Ok(false) if io::stdin().is_terminal() => {}
            Ok(false) | Err(_) => return None,
        }
    }
}

/// Brings a shifted letter into one form, the capital without `SHIFT`. Some terminals report the capital with its shift, and some
/// the small letter with it.
pub fn plain_shift(mut key: KeyEvent) -> KeyEvent {
    if let KeyCode::Char(c) = key.code
        && key.modifiers.contains(KeyModifiers::SHIFT)
    {
        key.code = KeyCode::Char(c.to_ascii_uppercase());
        key.modifiers.remove(KeyModifiers::SHIFT);
    }
    key
}
