//! The one door to the terminal.
//!
//! [`Session::open`] takes the screen over and hands out two halves: the [`Session`], which draws, and the [`Live`] events. Every
//! way out leads through `leave`: the end of the session, a signal, a panic, a stop by job control. It may be called from any
//! thread and any number of times.
//!
//! A frame is collected in memory and sent by one write. No frame ever waits for an answer of the terminal: what is asked of it
//! (`probe`) is asked and heard by the input thread, while the first frame is on its way. Only a stop and the end of the session
//! wait for answers that are still to come.

pub mod events;
pub mod pen;
pub mod probe;

use std::fs::File;
use std::io::{self, IsTerminal, Write};
use std::os::fd::AsFd;
use std::os::unix::fs::OpenOptionsExt;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError, TryLockError};
use std::time::{Duration, Instant};

use crossterm::terminal::{disable_raw_mode, enable_raw_mode};
use ratatui::backend::{Backend, ClearType, TestBackend};
use ratatui::layout::{Rect, Size};
use ratatui::{Frame, Terminal, TerminalOptions, Viewport};
use signal_hook::consts::SIGTSTP;

use super::farewell;
use super::shelf::Options;
use super::theme::Background;
use pen::Pen;

pub use events::{Event, Events, Live, Stamped, is_interrupt};

#[cfg(any(target_os = "linux", target_os = "android"))]
const O_NONBLOCK: i32 = 0o4000;
#[cfg(not(any(target_os = "linux", target_os = "android")))]
const O_NONBLOCK: i32 = 0x0004;
/// The paths tried for output: a second opening of standard output's terminal, so that making it non-blocking does not affect
/// others that have it open.
const DOORS: [&str; 2] = ["/proc/self/fd/1", "/dev/tty"];

/// The largest part of a window that is drawn on, columns and rows: several times that of any screen. What lies beyond stays
/// empty, since a window may call itself 65,535 wide and every cell takes memory.
const MOST: (u16, u16) = (640, 200);

/// A frame that the terminal took longer than this to accept was not seen in time.
pub const STALL: Duration = Duration::from_millis(250);

/// How long `leave` waits for a write under way on another thread, and for the terminal to accept its own write.
const PATIENCE: Duration = Duration::from_millis(300);

// Alternate screen, cursor off, focus reports, bracketed paste.
const ENTER: &[u8] = b"\x1b[?1049h\x1b[?25l\x1b[?1004h\x1b[?2004h";
const LEAVE: &[u8] = b"\x1b[?2004l\x1b[?1004l\x1b[0m\x1b[?25h\x1b[?1049l";
// Four enhancements of the kitty keyboard protocol (1 + 2 + 4 + 8): with fewer, the release of Enter is a second Enter.
const PUSH_KEYS: &[u8] = b"\x1b[>15u";
const POP_KEYS: &[u8] = b"\x1b[<1u";
const CLEAR: &[u8] = b"\x1b[2J";
const BEGIN_FRAME: &[u8] = b"\x1b[?2026h";
const END_FRAME: &[u8] = b"\x1b[?2026l";
// Buttons and wheel, drags, in the encoding that has no last column.
const TAKE_MOUSE: &[u8] = b"\x1b[?1000h\x1b[?1002h\x1b[?1006h";
const GIVE_MOUSE: &[u8] = b"\x1b[?1006l\x1b[?1002l\x1b[?1000l";

/// Why there can be no screen. All but `Io` are found before the terminal is changed; with `Io` it has been changed back.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// Standard input or output leads elsewhere.
    #[error(
        "{stream} is not a terminal, so nothing can be flown here: start it in a terminal window, without redirection"
    )]
    NotATerminal {
        /// `standard input` or `standard output`.
        stream: &'static str,
    },
    /// `TERM=dumb`.
    #[error(
        "this terminal calls itself dumb (TERM=dumb) and cannot show a screen: start it in another one, or set TERM"
    )]
    Dumb,
    /// There is one screen, and it is taken.
    #[error("the screen is already taken by this program")]
    Taken,
    /// The terminal refused.
    #[error("the terminal could not be set up: {0}")]
    Io(#[from] io::Error),
}

impl OpenError {
    /// The code to exit with: 2 where the call was at fault, 74 (`EX_IOERR` of sysexits.h) where the terminal was.
    pub fn exit_code(&self) -> u8 {
        match self {
            Self::NotATerminal { .. } | Self::Dumb => 2,
            Self::Taken | Self::Io(_) => 74,
        }
    }
}

/// What a terminal reports about itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TerminalTraits {
    /// It reports keys being let go.
    pub releases: bool,
    pub background: Background,
}

/// What the main loop needs of a screen, so that it runs on [`Session`] and on a `Terminal<TestBackend>` alike. Apart from
/// drawing, a screen in memory needs none of it.
pub trait Display {
    /// Draws a frame and sends it. Returns how long the terminal took to accept it. An error means that the terminal is gone: end
    /// as on [`Event::Closed`].
    fn draw(&mut self, render: impl FnOnce(&mut Frame<'_>)) -> io::Result<Duration>;

    /// Gives the terminal back, stops the process until it is continued, and takes the screen again. The next frame is drawn in
    /// full. For the key Ctrl-Z (where [`Display::can_suspend`]) and for [`Event::Suspend`].
    fn suspend(&mut self) -> io::Result<()> {
        Ok(())
    }

    /// Whether there is a shell that could continue a stopped process. There is none where the program is the only one of its
    /// window: there the key Ctrl-Z would freeze the window for good.
    fn can_suspend(&self) -> bool {
        true
    }

    /// For [`Event::Resume`]: takes the screen again after a stop that could not be seen coming, and draws the next frame in
    /// full. Does nothing after a stop by [`Display::suspend`].
    fn resumed(&mut self) -> io::Result<()> {
        Ok(())
    }

    /// What the terminal has reported about itself. Nothing until it has answered, which takes it some milliseconds; after 200 ms
    /// an answer is no longer waited for.
    fn told(&self) -> TerminalTraits {
        TerminalTraits::default()
    }

    /// Rings the bell.
    fn ring(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// The terminal, shared by all threads.
struct Shared {
    /// Standard output without the line buffer of `std::io::stdout`, which would cut a frame at 1 KiB.
    out: Option<File>,
    /// Whether the screen is ours at the moment.
    shown: bool,
    told: TerminalTraits,
    /// Whether it can hold a frame back until it is whole.
    synchronised: bool,
    mouse: bool,
}

static SHARED: Mutex<Shared> = Mutex::new(Shared {
    out: None,
    shown: false,
    told: TerminalTraits {
        releases: false,
        background: Background::Unknown,
    },
    synchronised: false,
    mouse: false,
});

/// Set for good once the program has been asked to end: a frame that the terminal does not accept is then given up.
static ENDING: AtomicBool = AtomicBool::new(false);

/// Set for good by a panic of a thread that the program cannot do without, once its message has been printed.
static PANICKED: AtomicBool = AtomicBool::new(false);

fn shared() -> MutexGuard<'static, Shared> {
    SHARED.lock().unwrap_or_else(PoisonError::into_inner)
}

/// As [`shared`], but gives up on a writer that is stuck.
fn shared_soon() -> Option<MutexGuard<'static, Shared>> {
    let since = Instant::now();
    loop {
        match SHARED.try_lock() {
            Ok(guard) => return Some(guard),
            Err(TryLockError::Poisoned(poisoned)) => return Some(poisoned.into_inner()),
            Err(TryLockError::WouldBlock) if since.elapsed() > PATIENCE => return None,
            Err(TryLockError::WouldBlock) => std::thread::sleep(Duration::from_millis(2)),
        }
    }
}

impl Shared {
    /// Sends bytes if the screen is ours; a frame that comes too late for it is dropped.
    fn send(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.write(bytes, || ENDING.load(Ordering::SeqCst))
    }

    /// Writes bytes. Waits for a terminal that takes no output, until `is_given_up`.
    fn write(&mut self, mut bytes: &[u8], is_given_up: impl Fn() -> bool) -> io::Result<()> {
        let Some(out) = self.out.as_mut().filter(|_| self.shown) else {
            return Ok(());
        };
        while !bytes.is_empty() {
            match out.write(bytes) {
                Ok(0) => return Err(io::ErrorKind::WriteZero.into()),
                Ok(taken) => bytes = &bytes[taken..],
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) if error.kind() == io::ErrorKind::WouldBlock => {
                    if is_given_up() {
                        return Err(io::ErrorKind::TimedOut.into());
                    }
                    std::thread::sleep(Duration::from_millis(1));
                }
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }

    /// Sends a frame, as a synchronised update where the terminal supports that. Not where it has a clear, which some terminals
    /// then show too late.
    fn send_frame(&mut self, frame: &[u8]) -> io::Result<()> {
        let clears = frame.windows(CLEAR.len()).any(|bytes| bytes == CLEAR);
        match self.synchronised && !frame.is_empty() && !clears {
            true => self.send(&[BEGIN_FRAME, frame, END_FRAME].concat()),
            false => self.send(frame),
        }
    }

    fn enter(&mut self) -> io::Result<()> {
        enable_raw_mode()?;
        self.shown = true;
        let keys = if self.told.releases { PUSH_KEYS } else { b"" };
        let mouse = if self.mouse { TAKE_MOUSE } else { b"" };
        self.send(&[ENTER, mouse, keys].concat())
    }

    fn set_keys(&mut self) -> io::Result<()> {
        self.told.releases = true;
        self.send(PUSH_KEYS)
    }
}

/// Gives the terminal back as it was found. Errors have nowhere to go: the terminal may be gone.
fn leave() {
    let mut shared = shared_soon();
    if let Some(shared) = &mut shared {
        if !shared.shown {
            return;
        }
        let keys = if shared.told.releases { POP_KEYS } else { b"" };
        let mouse = if shared.mouse { GIVE_MOUSE } else { b"" };
        let since = Instant::now();
        let is_given_up = || since.elapsed() > PATIENCE;
        let _ = shared.write(&[keys, mouse, LEAVE].concat(), is_given_up);
        shared.shown = false;
    }
    let _ = disable_raw_mode();
}

/// The screen, from [`Session::open`] until it is dropped.
#[derive(Debug)]
pub struct Session {
    terminal: Terminal<Pen>,
    can_suspend: bool,
    suspended_here: bool,
}

impl Session {
    /// Takes the screen over: raw mode, alternate screen, no cursor. Once per process, since the thread that reads the keys
    /// never ends before the terminal does.
    ///
    /// From here on a panic of the main thread, or of one that hears signals or input, first gives the terminal back, then prints
    /// its message, and ends the main thread the next time it asks for an event. A panic of any other thread is reported at the
    /// end.
    pub fn open(options: &Options) -> Result<(Self, Live), OpenError> {
        static TAKEN: AtomicBool = AtomicBool::new(false);
        let not = |stream| Err(OpenError::NotATerminal { stream });
        if !io::stdin().is_terminal() {
            return not("standard input");
        }
        if !io::stdout().is_terminal() {
            return not("standard output");
        }
        if std::env::var_os("TERM").is_some_and(|term| term == "dumb") {
            return Err(OpenError::Dumb);
        }
        if TAKEN.swap(true, Ordering::SeqCst) {
            return Err(OpenError::Taken);
        }

        let out = open_output()?;
        let (inlet, live) = events::channel();
        // Before raw mode: a signal in between must not leave the terminal behind in it.
        events::watch_signals(inlet.clone())?;
        hook_panics(inlet.clone());

        let entered = {
            let mut shared = shared();
            shared.out = Some(out);
            shared.mouse = options.mouse;
            shared.enter()
        };
        let terminal = entered.and_then(|()| {
            let mut pen = Pen::default();
            let viewport = Viewport::Fixed(drawn_on(pen.size()?));
            pen.clear_region(ClearType::All)?;
            Terminal::with_options(pen, TerminalOptions { viewport })
        });
        let terminal = terminal.inspect_err(|_| leave())?;
        #[cfg(feature = "axes")]
        if let Some(axis) = &options.axis {
            events::read_axis(inlet.clone(), axis.clone()).inspect_err(|_| leave())?;
        }
        events::read_input(inlet).inspect_err(|_| leave())?;
        let session = Self {
            terminal,
            can_suspend: !leads_its_session(),
            suspended_here: false,
        };
        Ok((session, live))
    }

    /// Makes the next frame a full one. `Terminal::clear` will not do: it asks the terminal for the cursor while the input thread
    /// reads.
    fn repaint(&mut self) -> io::Result<()> {
        let area = drawn_on(self.terminal.size()?);
        self.terminal.backend_mut().clear_region(ClearType::All)?;
        self.terminal.resize(area)
    }
}

impl Display for Session {
    fn draw(&mut self, render: impl FnOnce(&mut Frame<'_>)) -> io::Result<Duration> {
        if drawn_on(self.terminal.size()?) != self.terminal.get_frame().area() {
            self.repaint()?;
        }
        self.terminal.draw(render)?;
        let frame = self.terminal.backend_mut().take();
        let since = Instant::now();
        shared().send_frame(&frame)?;
        Ok(since.elapsed())
    }

    fn suspend(&mut self) -> io::Result<()> {
        probe::wait();
        leave();
        self.suspended_here = true;
        signal_hook::low_level::emulate_default_handler(SIGTSTP)?;
        shared().enter()?;
        self.repaint()
    }

    fn can_suspend(&self) -> bool {
        self.can_suspend
    }

    fn resumed(&mut self) -> io::Result<()> {
        if std::mem::take(&mut self.suspended_here) {
            return Ok(());
        }
        leave();
        shared().enter()?;
        self.repaint()
    }

    fn told(&self) -> TerminalTraits {
        shared().told
    }

    fn ring(&mut self) -> io::Result<()> {
        shared().send(b"\x07")
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        // An answer that comes after the end would be typed into the shell.
        probe::wait();
        leave();
    }
}

/// A screen in memory.
impl Display for Terminal<TestBackend> {
    fn draw(&mut self, render: impl FnOnce(&mut Frame<'_>)) -> io::Result<Duration> {
        match Terminal::draw(self, render) {
            Ok(_) => Ok(Duration::ZERO),
            Err(never) => match never {},
        }
    }
}

fn hook_panics(inlet: events::Inlet) {
    let main = std::thread::current().id();
    let report = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        let thread = std::thread::current();
        if thread.id() != main && !events::hears(thread.name()) {
            return farewell::say(info.to_string());
        }
        leave();
        report(info);
        PANICKED.store(true, Ordering::SeqCst);
        inlet.wake();
    }));
}

/// Opens the terminal of standard output, non-blocking where it can be opened anew.
fn open_output() -> io::Result<File> {
    let open = |door| {
        let mut options = File::options();
        options.write(true).custom_flags(O_NONBLOCK).open(door)
    };
    match DOORS.into_iter().find_map(|door| open(door).ok()) {
        Some(out) => Ok(out),
        None => Ok(File::from(io::stdout().as_fd().try_clone_to_owned()?)),
    }
}

/// The part of a window that is drawn on.
fn drawn_on(size: Size) -> Rect {
    Rect::new(0, 0, size.width.min(MOST.0), size.height.min(MOST.1))
}

/// Whether this process leads its session, as the only program of a window does: there is no shell to continue it. Read from
/// `/proc` (session id, the fourth field after the name); where that is missing, a shell is assumed.
fn leads_its_session() -> bool {
    let Ok(stat) = std::fs::read_to_string("/proc/self/stat") else {
        return false;
    };
    let fields = stat.rsplit_once(')').map(|(_, fields)| fields);
    let session = fields.and_then(|fields| fields.split_whitespace().nth(3));
    session == Some(std::process::id().to_string().as_str())
}
