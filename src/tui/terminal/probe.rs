//! The questions asked of the terminal, all at once: does it report keys being let go, what is its background, does it hold a
//! frame back until it is whole?
//!
//! The terminal is asked for its background (OSC 11), for synchronised updates (mode 2026), for the state of the kitty keyboard
//! protocol, and last for its primary device attributes, which almost every terminal answers: once that answer is here, the
//! others have come or never will. The answers are read from a second, non-blocking opening of the terminal, so that nothing is
//! left waiting on it when a terminal stays silent; keys typed meanwhile are kept.

use std::fs::{File, OpenOptions};
use std::io::Read;
use std::os::unix::fs::OpenOptionsExt;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use super::{O_NONBLOCK, shared};
use crate::tui::theme::Background;

/// A terminal that has not answered within this time counts as a plain one.
pub(super) const CAP: Duration = Duration::from_millis(200);

const BACKGROUND: &[u8] = b"\x1b]11;?\x1b\\";
const SYNCHRONISED: &[u8] = b"\x1b[?2026$p";
const KEYS_AND_ATTRIBUTES: &[u8] = b"\x1b[?u\x1b[c";

/// Whether an answer is still awaited.
static UNDER_WAY: AtomicBool = AtomicBool::new(false);

/// Asks, waits for the answer at most [`CAP`], and has releases reported if they can be. Returns the keys typed meanwhile.
pub(super) fn ask() -> Vec<KeyEvent> {
    UNDER_WAY.store(true, Ordering::SeqCst);
    let heard = hear();
    UNDER_WAY.store(false, Ordering::SeqCst);
    let heard = read(&heard);
    shared().told.background = heard.background;
    shared().synchronised = heard.synchronised;
    if heard.kitty {
        // A terminal that fails here fails the next frame too.
        let _ = shared().set_keys();
    }
    typed(&heard.rest)
}

/// Waits until no answer is awaited any more, for at most a little over [`CAP`].
pub(super) fn wait() {
    let since = Instant::now();
    while UNDER_WAY.load(Ordering::SeqCst) && since.elapsed() < CAP + Duration::from_millis(20) {
        std::thread::sleep(Duration::from_millis(1));
    }
}

fn hear() -> Vec<u8> {
    let mut heard = Vec::new();
    let open = OpenOptions::new()
        .read(true)
        .custom_flags(O_NONBLOCK)
        .open("/dev/tty");
    let Ok(mut tty) = open else {
        return heard;
    };
    if shared().send(&questions()).is_err() {
        return heard;
    }
    let since = Instant::now();
    while since.elapsed() < CAP && !read(&heard).complete {
        if take(&mut tty, &mut heard) == 0 {
            std::thread::sleep(Duration::from_millis(2));
        }
    }
    heard
}

/// The questions as bytes. The Linux console cannot report a background. In tmux a frame is held back by tmux itself, and comes
/// out wrong (tmux/tmux issue 5340).
fn questions() -> Vec<u8> {
    let set = |name: &str| std::env::var(name).unwrap_or_default();
    let mut questions = Vec::new();
    if set("TERM") != "linux" {
        questions.extend(BACKGROUND);
        if set("TMUX").is_empty() {
            questions.extend(SYNCHRONISED);
        }
    }
    questions.extend(KEYS_AND_ATTRIBUTES);
    questions
}

/// Reads the bytes that are there now. Returns their number.
fn take(tty: &mut File, heard: &mut Vec<u8>) -> usize {
    let mut buffer = [0; 256];
    let taken = tty.read(&mut buffer).unwrap_or(0);
    heard.extend_from_slice(&buffer[..taken]);
    taken
}

/// What a terminal answered.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Heard {
    /// Whether it can report releases apart from presses.
    pub kitty: bool,
    /// Whether it can hold back a frame until it is whole.
    pub synchronised: bool,
    /// Its background.
    pub background: Background,
    /// Whether it has answered the last question.
    pub complete: bool,
    /// All bytes that are no part of an answer.
    pub rest: Vec<u8>,
}

/// Sorts answers (`OSC 11 ; colour`, `CSI ? 2026 ; state $ y`, `CSI ? flags u`, `CSI ? ... c`) from typed keys.
pub fn read(bytes: &[u8]) -> Heard {
    let mut heard = Heard::default();
    let mut left = bytes;
    while let Some((&first, after)) = left.split_first() {
        if let Some(body) = left.strip_prefix(b"\x1b[?") {
            let end = body
                .iter()
                .position(|byte| !matches!(byte, b'0'..=b'9' | b';' | b':' | b'$'));
            match end {
                Some(end) if matches!(body[end], b'u' | b'c' | b'y') => {
                    heard.kitty |= body[end] == b'u';
                    heard.complete |= body[end] == b'c';
                    // 1 set, 2 not set: either way the terminal knows the mode. 0 is unknown, 4 never set.
                    heard.synchronised |= matches!(&body[..=end], b"2026;1$y" | b"2026;2$y");
                    left = &body[end + 1..];
                    continue;
                }
                // An answer cut off in the middle.
                None => return heard,
                Some(_) => {}
            }
        }
        if let Some(body) = left.strip_prefix(b"\x1b]11;") {
            let Some(end) = body.iter().position(|byte| matches!(byte, 0x07 | 0x1b)) else {
                return heard;
            };
            heard.background = colour(&body[..end]).map_or(Background::Unknown, Background::of);
            let rest = &body[end..];
            left = rest.strip_prefix(b"\x1b\\").unwrap_or(&rest[1..]);
            continue;
        }
        heard.rest.push(first);
        left = after;
    }
    heard
}

/// A colour as X11 writes it: `rgb:` and three parts of one to four hexadecimal digits.
fn colour(text: &[u8]) -> Option<[f64; 3]> {
    let text = std::str::from_utf8(text).ok()?;
    let (_, parts) = text
        .split_once(':')
        .filter(|(name, _)| name.starts_with("rgb"))?;
    let mut parts = parts.split('/').map(|part| {
        let most = 16_u32.pow(part.len().clamp(1, 4) as u32) - 1;
        let value = u32::from_str_radix(part, 16).ok()?;
        Some(f64::from(value) / f64::from(most))
    });
    Some([parts.next()??, parts.next()??, parts.next()??])
}

/// The keys behind the bytes of a plain terminal, as far as anyone types them in the first moments: characters, Enter, Tab,
/// Escape, Backspace, Ctrl with a letter, arrows. Other sequences are dropped.
pub fn typed(bytes: &[u8]) -> Vec<KeyEvent> {
    let mut keys = Vec::new();
    let text = String::from_utf8_lossy(bytes);
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let code = match c {
            '\x1b' => match chars.next_if(|c| matches!(c, '[' | 'O')) {
                None => Some(KeyCode::Esc),
                Some(_) => match chars.find(|c| matches!(c, '\x40'..='\x7e')) {
                    Some('A') => Some(KeyCode::Up),
                    Some('B') => Some(KeyCode::Down),
                    Some('C') => Some(KeyCode::Right),
                    Some('D') => Some(KeyCode::Left),
                    _ => None,
                },
            },
            '\r' => Some(KeyCode::Enter),
            '\t' => Some(KeyCode::Tab),
            '\x7f' => Some(KeyCode::Backspace),
            '\x01'..='\x1a' => {
                let letter = char::from(b'a' + c as u8 - 1);
                keys.push(KeyEvent::new(KeyCode::Char(letter), KeyModifiers::CONTROL));
                None
            }
            c if c.is_control() || c == char::REPLACEMENT_CHARACTER => None,
            c => Some(KeyCode::Char(c)),
        };
        keys.extend(code.map(|code| KeyEvent::new(code, KeyModifiers::NONE)));
    }
    keys
}
