//! The real binary in a pseudo-terminal, its screen read back.
//!
//! Every wait is for a condition, with a limit after which the test fails and reports what the screen showed instead.

#![allow(dead_code, reason = "a kit: not every test uses every part")]

use std::collections::HashSet;
use std::io::{Read, Write};
use std::num::NonZeroU16;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

/// Long enough for a loaded machine, short enough to fail within a sitting.
pub const LIMIT: Duration = Duration::from_secs(30);

/// Opening a terminal must not make it our controlling terminal.
#[cfg(target_os = "linux")]
const O_NOCTTY: i32 = 0o400;
#[cfg(not(target_os = "linux"))]
const O_NOCTTY: i32 = 0;

/// What the terminal answers when it is asked for its keyboard protocol and its attributes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answers {
    /// Nothing at all.
    Silence,
    /// Attributes, but no keyboard protocol.
    Plain,
    /// Both, as a terminal that can report releases.
    Kitty,
    /// These, and a white background and support for synchronised output.
    White,
}

/// How to start the binary.
#[derive(Debug, Clone)]
pub struct Start {
    cols: u16,
    rows: u16,
    args: Vec<String>,
    env: Vec<(String, String)>,
    answers: Answers,
    under_shell: bool,
    /// Puts files into the data folder before the start.
    laid: Option<fn(&Path)>,
}

impl Start {
    /// On a screen of that size, with `TERM=xterm-256color`, `LANG=C.UTF-8`, a data folder of its own and no answers.
    pub fn on(cols: u16, rows: u16) -> Self {
        Self {
            cols,
            rows,
            args: Vec::new(),
            env: Vec::new(),
            answers: Answers::Silence,
            under_shell: false,
            laid: None,
        }
    }

    /// With files put into its data folder before the start.
    pub fn laid(mut self, lay: fn(&Path)) -> Self {
        self.laid = Some(lay);
        self
    }

    /// Arguments, added to those given before.
    pub fn args(mut self, args: &[&str]) -> Self {
        self.args.extend(args.iter().map(|arg| (*arg).to_owned()));
        self
    }

    /// A variable of the environment.
    pub fn env(mut self, name: &str, value: &str) -> Self {
        self.env.push((name.to_owned(), value.to_owned()));
        self
    }

    /// What the terminal answers.
    pub fn answers(mut self, answers: Answers) -> Self {
        self.answers = answers;
        self
    }

    /// Below a shell instead of as the only program of the terminal: only there does Ctrl-Z stop it.
    pub fn under_shell(mut self) -> Self {
        self.under_shell = true;
        self
    }

    /// Starts it.
    pub fn spawn(self) -> Pty {
        Pty::spawn(self, Path::new(env!("CARGO_BIN_EXE_leveloff")))
    }

    /// Starts another program in its place, to test the harness itself.
    pub fn spawn_other(self, program: &str) -> Pty {
        Pty::spawn(self, Path::new(program))
    }
}

/// The output that the terminal has seen so far.
struct Seen {
    parser: vt100::Parser<Watch>,
    /// Everything that came so far.
    log: Vec<u8>,
    /// The last descriptor of the program is closed.
    ended: bool,
}

/// Sequences that the parser leaves to us.
#[derive(Debug)]
struct Watch {
    answers: Answers,
    to_send: Vec<u8>,
    keys_pushed: u32,
    keys_popped: u32,
    focus_reports: bool,
}

impl vt100::Callbacks for Watch {
    fn unhandled_csi(
        &mut self,
        _: &mut vt100::Screen,
        i1: Option<u8>,
        i2: Option<u8>,
        params: &[&[u16]],
        c: char,
    ) {
        let first = params.first().and_then(|param| param.first()).copied();
        match (i1, c) {
            (Some(b'?'), 'p') if i2 == Some(b'$') && self.answers == Answers::White => {
                self.to_send.extend_from_slice(b"\x1b[?2026;2$y");
            }
            (Some(b'?'), 'u') if matches!(self.answers, Answers::Kitty | Answers::White) => {
                self.to_send.extend_from_slice(b"\x1b[?0u");
            }
            (None, 'c') if self.answers != Answers::Silence => {
                self.to_send.extend_from_slice(b"\x1b[?62;22c");
            }
            (Some(b'>'), 'u') => self.keys_pushed += 1,
            (Some(b'<'), 'u') => self.keys_popped += 1,
            (Some(b'?'), 'h') if first == Some(1004) => self.focus_reports = true,
            (Some(b'?'), 'l') if first == Some(1004) => self.focus_reports = false,
            _ => {}
        }
    }

    fn unhandled_osc(&mut self, _: &mut vt100::Screen, params: &[&[u8]]) {
        if self.answers == Answers::White && params == [b"11", &b"?"[..]] {
            self.to_send
                .extend_from_slice(b"\x1b]11;rgb:ffff/ffff/ffff\x1b\\");
        }
    }
}

type Shared = Arc<(Mutex<Seen>, Condvar)>;
type Keyboard = Arc<Mutex<Box<dyn Write + Send>>>;

/// A running program and its terminal. Killed when dropped.
pub struct Pty {
    child: Box<dyn Child + Send + Sync>,
    master: Option<Box<dyn MasterPty + Send>>,
    keyboard: Option<Keyboard>,
    seen: Shared,
    hang_up: Arc<AtomicBool>,
    held: Arc<AtomicBool>,
    reader: Option<JoinHandle<()>>,
    under_shell: bool,
    data: PathBuf,
}

impl Pty {
    fn spawn(start: Start, program: &Path) -> Self {
        let data = fresh_folder();
        if let Some(lay) = start.laid {
            lay(&data);
        }
        let pair = native_pty_system()
            .openpty(pty_size(start.cols, start.rows))
            .expect("a pseudo-terminal");
        let mut command = if start.under_shell {
            let mut shell = CommandBuilder::new("/bin/sh");
            shell.args(["-c", r#""$0" "$@"; exit $?"#]);
            shell.arg(program);
            shell
        } else {
            CommandBuilder::new(program)
        };
        command.args(&start.args);
        for name in ["NO_COLOR", "COLORTERM", "TMUX", "LC_ALL"] {
            command.env_remove(name);
        }
        command.env("TERM", "xterm-256color");
        command.env("LANG", "C.UTF-8");
        command.env("LEVELOFF_DATA", &data);
        command.env("XDG_CONFIG_HOME", &data);
        for (name, value) in &start.env {
            command.env(name, value);
        }
        command.cwd(&data);
        let child = pair.slave.spawn_command(command).expect("the program");
        // While our copy is open, the end of the program would never show.
        drop(pair.slave);

        let watch = Watch {
            answers: start.answers,
            to_send: Vec::new(),
            keys_pushed: 0,
            keys_popped: 0,
            focus_reports: false,
        };
        let (rows, cols) = (non_zero(start.rows), non_zero(start.cols));
        let seen: Shared = Arc::new((
            Mutex::new(Seen {
                parser: vt100::Parser::new_with_callbacks(rows, cols, 0, watch),
                log: Vec::new(),
                ended: false,
            }),
            Condvar::new(),
        ));
        let keyboard: Keyboard =
            Arc::new(Mutex::new(pair.master.take_writer().expect("a keyboard")));
        let hang_up = Arc::new(AtomicBool::new(false));
        let output = pair.master.try_clone_reader().expect("a screen");
        let held = Arc::new(AtomicBool::new(false));
        let reader = std::thread::spawn({
            let (seen, keyboard) = (seen.clone(), keyboard.clone());
            let (hang_up, held) = (hang_up.clone(), held.clone());
            move || read_screen(output, &seen, &keyboard, (&hang_up, &held))
        });
        Self {
            child,
            master: Some(pair.master),
            keyboard: Some(keyboard),
            seen,
            hang_up,
            held,
            reader: Some(reader),
            under_shell: start.under_shell,
            data,
        }
    }

    fn seen(&self) -> MutexGuard<'_, Seen> {
        self.seen.0.lock().expect("the reader is well")
    }

    /// The text on the screen, rows separated by line ends, without trailing blanks.
    pub fn screen_text(&self) -> String {
        self.seen().parser.screen().contents()
    }

    /// Looks at the whole screen: cells, colours, cursor.
    pub fn screen<T>(&self, look: impl FnOnce(&vt100::Screen) -> T) -> T {
        look(self.seen().parser.screen())
    }

    /// How many bytes have come so far.
    pub fn bytes_seen(&self) -> usize {
        self.seen().log.len()
    }

    /// Everything that came so far.
    pub fn log(&self) -> Vec<u8> {
        self.seen().log.clone()
    }

    /// Waits until the text meets the condition, and returns it. Fails after `limit`.
    #[track_caller]
    pub fn wait_for(&self, mut met: impl FnMut(&str) -> bool, limit: Duration) -> String {
        let mut text = String::new();
        let in_time = self.wait_seen(limit, |seen| {
            text = seen.parser.screen().contents();
            met(&text)
        });
        assert!(in_time, "not within {limit:?}; the screen shows\n{text}\n");
        text
    }

    /// Waits until the text contains `wanted`, at most [`LIMIT`].
    #[track_caller]
    pub fn wait_text(&self, wanted: &str) -> String {
        self.wait_for(|text| text.contains(wanted), LIMIT)
    }

    /// Waits until the program has asked for releases of keys to be reported, at most [`LIMIT`].
    #[track_caller]
    pub fn wait_keys_pushed(&self) {
        let pushed = |seen: &Seen| {
            let watch = seen.parser.callbacks();
            watch.keys_pushed > watch.keys_popped
        };
        assert!(self.wait_seen(LIMIT, pushed), "releases were not asked for");
    }

    fn wait_seen(&self, limit: Duration, mut met: impl FnMut(&Seen) -> bool) -> bool {
        let (_, more) = &*self.seen;
        let guard = self.seen();
        let (_guard, timeout) = more
            .wait_timeout_while(guard, limit, |seen| !met(seen))
            .expect("the reader is well");
        !timeout.timed_out()
    }

    /// Types bytes.
    pub fn send(&self, bytes: impl AsRef<[u8]>) {
        let keyboard = self.keyboard.as_ref().expect("the terminal is open");
        let mut keyboard = keyboard.lock().expect("the keyboard is well");
        keyboard.write_all(bytes.as_ref()).expect("typed");
        keyboard.flush().expect("typed");
    }

    /// Gives the terminal another size.
    pub fn resize(&self, cols: u16, rows: u16) {
        let mut seen = self.seen();
        seen.parser.set_size(non_zero(rows), non_zero(cols));
        let master = self.master.as_ref().expect("the terminal is open");
        master.resize(pty_size(cols, rows)).expect("resized");
    }

    /// Gives the terminal another size, but not the screen that the harness reads.
    pub fn resize_unseen(&self, cols: u16, rows: u16) {
        let master = self.master.as_ref().expect("the terminal is open");
        master.resize(pty_size(cols, rows)).expect("resized");
    }

    /// Makes the terminal stop taking output, or take it again.
    pub fn hold_output(&self, held: bool) {
        self.held.store(held, Ordering::SeqCst);
    }

    /// Waits for the end of the process, without waiting for the rest of its output.
    #[track_caller]
    pub fn wait_dead(&mut self) {
        wait_until(LIMIT, "the end of the process", || {
            self.child.try_wait().expect("a process").is_some()
        });
    }

    /// The process of the program itself, also below a shell.
    pub fn pid(&self) -> u32 {
        let started = self.child.process_id().expect("a process");
        if !self.under_shell {
            return started;
        }
        let mut child = None;
        wait_until(LIMIT, "a child of the shell", || {
            child = child_of(started);
            child.is_some()
        });
        child.unwrap_or(started)
    }

    /// Sends a signal by name, for instance `TERM`.
    pub fn signal(&self, name: &str) {
        let pid = self.pid().to_string();
        let status = Command::new("kill").args(["-s", name, &pid]).status();
        assert!(status.expect("kill runs").success(), "kill -s {name}");
    }

    /// Waits until the program was stopped by job control.
    #[track_caller]
    pub fn wait_stopped(&self) {
        let pid = self.pid();
        wait_until(LIMIT, "a stopped process", || state(pid) == Some('T'));
    }

    /// Closes the terminal, as if its window were closed: all our ends of it.
    pub fn close(&mut self) {
        self.hang_up.store(true, Ordering::SeqCst);
        // The reader holds one of the ends until it has something to read, so write a byte from the program's side.
        let name = self.master.as_ref().and_then(|master| master.tty_name());
        let far_end = std::fs::OpenOptions::new()
            .write(true)
            .custom_flags(O_NOCTTY)
            .open(name.expect("a named terminal"));
        far_end
            .and_then(|mut far_end| far_end.write_all(b"\0"))
            .expect("a byte to read");
        if let Some(reader) = self.reader.take() {
            reader.join().expect("the reader is well");
        }
        self.keyboard = None;
        self.master = None;
    }

    /// Waits for the end of the program, at most [`LIMIT`]. Returns its exit code, or the name of the signal that killed it.
    #[track_caller]
    pub fn exit(&mut self) -> Result<u32, String> {
        let mut status = None;
        wait_until(LIMIT, "the end of the program", || {
            status = self.child.try_wait().expect("a process");
            status.is_some()
        });
        if self.master.is_some() {
            assert!(
                self.wait_seen(LIMIT, |seen| seen.ended),
                "something else still holds the terminal"
            );
        }
        let status = status.expect("just seen");
        match status.signal() {
            Some(name) => Err(name.to_owned()),
            None => Ok(status.exit_code()),
        }
    }

    /// Waits for the end of the program, which must exit with a code, and returns the code.
    #[track_caller]
    pub fn exit_code(&mut self) -> u32 {
        match self.exit() {
            Ok(code) => code,
            Err(signal) => panic!("died of {signal}"),
        }
    }

    /// The modes of the terminal that are not as they were before the program; empty if all are.
    pub fn left_behind(&self) -> Vec<&'static str> {
        let mut left = Vec::new();
        {
            let seen = self.seen();
            let screen = seen.parser.screen();
            let watch = seen.parser.callbacks();
            let mut check = |wrong: bool, what| {
                if wrong {
                    left.push(what);
                }
            };
            check(screen.alternate_screen(), "alternate screen");
            check(screen.hide_cursor(), "hidden cursor");
            check(screen.bracketed_paste(), "bracketed paste");
            check(
                screen.mouse_protocol_mode() != vt100::MouseProtocolMode::None,
                "mouse reports",
            );
            check(watch.focus_reports, "focus reports");
            check(watch.keys_pushed != watch.keys_popped, "keyboard protocol");
            check(
                screen.bold() || screen.inverse() || screen.fgcolor() != vt100::Color::Default,
                "text attributes",
            );
        }
        let modes = self.master.as_ref().and_then(|master| master.get_termios());
        if let Some(modes) = modes {
            let local = format!("{:?}", modes.local_flags);
            let cooked: HashSet<&str> = local.split(|c: char| !c.is_alphanumeric()).collect();
            if !["ICANON", "ECHO", "ISIG"]
                .iter()
                .all(|flag| cooked.contains(flag))
            {
                left.push("raw mode");
            }
        }
        left
    }

    /// Fails unless the terminal is as it was before the program, now or soon: the last bytes may still be on their way.
    #[track_caller]
    pub fn assert_restored(&self) {
        let since = Instant::now();
        let mut left = self.left_behind();
        while !left.is_empty() && since.elapsed() < Duration::from_secs(2) {
            std::thread::sleep(Duration::from_millis(2));
            left = self.left_behind();
        }
        assert!(left.is_empty(), "left behind in the terminal: {left:?}");
    }

    /// The folder the program keeps its data in; removed with the harness.
    pub fn data(&self) -> &Path {
        &self.data
    }
}

impl Drop for Pty {
    fn drop(&mut self) {
        if self.child.try_wait().ok().flatten().is_none() {
            if self.under_shell
                && let Some(pid) = self.child.process_id().and_then(child_of)
            {
                let _ = Command::new("kill")
                    .args(["-s", "KILL", &pid.to_string()])
                    .status();
            }
            let _ = self.child.kill();
            let _ = self.child.wait();
        }
        let _ = std::fs::remove_dir_all(&self.data);
    }
}

fn read_screen(
    mut output: Box<dyn Read + Send>,
    seen: &Shared,
    keyboard: &Keyboard,
    (hang_up, held): (&AtomicBool, &AtomicBool),
) {
    let (seen, more) = &**seen;
    let mut buffer = [0; 8192];
    loop {
        while held.load(Ordering::SeqCst) {
            std::thread::sleep(Duration::from_millis(2));
        }
        let taken = match output.read(&mut buffer) {
            Ok(0) | Err(_) => break,
            Ok(taken) => taken,
        };
        let answer = {
            let mut seen = seen.lock().expect("the test is well");
            seen.parser.process(&buffer[..taken]);
            seen.log.extend_from_slice(&buffer[..taken]);
            std::mem::take(&mut seen.parser.callbacks_mut().to_send)
        };
        more.notify_all();
        if hang_up.load(Ordering::SeqCst) {
            return;
        }
        if !answer.is_empty() {
            let mut keyboard = keyboard.lock().expect("the test is well");
            let _ = keyboard.write_all(&answer).and_then(|()| keyboard.flush());
        }
    }
    if let Ok(mut seen) = seen.lock() {
        seen.ended = true;
    }
    more.notify_all();
}

#[track_caller]
fn wait_until(limit: Duration, what: &str, mut met: impl FnMut() -> bool) {
    let since = Instant::now();
    while !met() {
        assert!(since.elapsed() < limit, "no {what} within {limit:?}");
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// The system's state letter of a process: `T` for stopped.
fn state(pid: u32) -> Option<char> {
    stat(pid)?.0
}

/// The most memory that a process has taken so far, if it still runs.
pub fn peak_kib(pid: u32) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{pid}/status")).ok()?;
    let peak = status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))?;
    peak.trim().trim_end_matches(" kB").parse().ok()
}

fn child_of(parent: u32) -> Option<u32> {
    std::fs::read_dir("/proc")
        .ok()?
        .flatten()
        .filter_map(|entry| entry.file_name().to_str()?.parse().ok())
        .find(|&pid| stat(pid).is_some_and(|(_, of)| of == Some(parent)))
}

/// State and parent of a process.
fn stat(pid: u32) -> Option<(Option<char>, Option<u32>)> {
    let stat = std::fs::read_to_string(format!("/proc/{pid}/stat")).ok()?;
    let mut fields = stat.rsplit_once(')')?.1.split_whitespace();
    let state = fields.next().and_then(|state| state.chars().next());
    Some((state, fields.next().and_then(|parent| parent.parse().ok())))
}

fn fresh_folder() -> PathBuf {
    static NEXT: AtomicU32 = AtomicU32::new(0);
    let number = NEXT.fetch_add(1, Ordering::SeqCst);
    let name = format!("leveloff-pty-{}-{number}", std::process::id());
    let folder = std::env::temp_dir().join(name);
    std::fs::create_dir_all(&folder).expect("a folder");
    folder
}

fn pty_size(cols: u16, rows: u16) -> PtySize {
    PtySize {
        rows,
        cols,
        pixel_width: 0,
        pixel_height: 0,
    }
}

fn non_zero(n: u16) -> NonZeroU16 {
    NonZeroU16::new(n).expect("a screen of at least one cell")
}
