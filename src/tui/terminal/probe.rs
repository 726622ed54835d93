//! The one question asked of the terminal: does it report keys being let go?
//!
//! Asked is for the state of the kitty keyboard protocol and then for the primary device attributes, which almost every terminal
//! answers: with their answer the first one has come or never will. The answers are read from a second, non-blocking opening
//! of the terminal, so that nothing is left waiting on it when a terminal stays silent; keys typed meanwhile are kept.

use std::fs::{File, OpenOptions};
use std::io::Read;
use std::os::unix::fs::OpenOptionsExt;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use super::shared;

/// A terminal that has not answered by then is a plain one.
pub(super) const CAP: Duration = Duration::from_millis(200);

const QUESTION: &[u8] = b"\x1b[?u\x1b[c";

#[cfg(any(target_os = "linux", target_os = "android"))]
const O_NONBLOCK: i32 = 0o4000;
#[cfg(not(any(target_os = "linux", target_os = "android")))]
const O_NONBLOCK: i32 = 0x0004;

/// Whether an answer is still awaited.
static UNDER_WAY: AtomicBool = AtomicBool::new(false);

/// Asks, waits for the answer at most [`CAP`], and has releases reported if they can be. Returns the keys typed meanwhile.
pub(super) fn ask() -> Vec<KeyEvent> {
    UNDER_WAY.store(true, Ordering::SeqCst);
    let heard = hear();
    UNDER_WAY.store(false, Ordering::SeqCst);
    let heard = read(&heard);
    if heard.kitty {
        // A terminal that fails here fails the next frame too.
        let _ = shared().set_keys();
    }
    typed(&heard.rest)
}

/// Waits until no answer is awaited any more, at most a little over [`CAP`].
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
    if shared().send(QUESTION).is_err() {
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

/// What is there to read now.
fn take(tty: &mut File, heard: &mut Vec<u8>) -> usize {
    let mut buffer = [0; 256];
    let taken = tty.read(&mut buffer).unwrap_or(0);
    heard.extend_from_slice(&buffer[..taken]);
    taken
}

#[derive(Debug, Default, PartialEq, Eq)]
struct Heard {
    kitty: bool,
    complete: bool,
    /// All that is no answer.
    rest: Vec<u8>,
}

/// Sorts answers (`CSI ? flags u`, `CSI ? ... c`) from typed keys.
fn read(bytes: &[u8]) -> Heard {
    let mut heard = Heard::default();
    let mut left = bytes;
    while let Some((&first, after)) = left.split_first() {
        if let Some(body) = left.strip_prefix(b"\x1b[?") {
            let end = body
                .iter()
                .position(|byte| !matches!(byte, b'0'..=b'9' | b';' | b':'));
            match end {
                Some(end) if matches!(body[end], b'u' | b'c') => {
                    heard.kitty |= body[end] == b'u';
                    heard.complete |= body[end] == b'c';
                    left = &body[end + 1..];
                    continue;
                }
                // Cut off in the middle.
                None => return heard,
                Some(_) => {}
            }
        }
        heard.rest.push(first);
        left = after;
    }
    heard
}

/// The keys behind the bytes of a plain terminal, as far as anyone types them in the first moments: characters, Enter, Tab,
/// Escape, Backspace, Ctrl with a letter, arrows. Other sequences are dropped.
fn typed(bytes: &[u8]) -> Vec<KeyEvent> {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_are_told_from_keys() {
        let heard = read(b"j\x1b[?0u\x1b[A\x1b[?62;4;22ck");
        assert!(heard.kitty && heard.complete);
        assert_eq!(heard.rest, b"j\x1b[Ak");

        let plain = read(b"\x1b[?1;2c");
        assert!(!plain.kitty && plain.complete && plain.rest.is_empty());
    }

    #[test]
    fn an_answer_in_pieces_is_awaited() {
        let whole = b"\x1b[?15u\x1b[?62c";
        for cut in 0..whole.len() {
            let heard = read(&whole[..cut]);
            assert!(!heard.complete, "{cut}");
        }
        assert_eq!(
            read(whole),
            Heard {
                kitty: true,
                complete: true,
                rest: vec![]
            }
        );
    }

    #[test]
    fn keys_typed_meanwhile_are_kept() {
        let plain = |code| KeyEvent::new(code, KeyModifiers::NONE);
        assert_eq!(
            typed("qé\r\t\x7f\x1a\x1b[A\x1bOB\x1b[1;5C\x1b[I\x1b".as_bytes()),
            [
                plain(KeyCode::Char('q')),
                plain(KeyCode::Char('é')),
                plain(KeyCode::Enter),
                plain(KeyCode::Tab),
                plain(KeyCode::Backspace),
                KeyEvent::new(KeyCode::Char('z'), KeyModifiers::CONTROL),
                plain(KeyCode::Up),
                plain(KeyCode::Down),
                plain(KeyCode::Right),
                plain(KeyCode::Esc),
            ]
        );
        assert_eq!(typed(b""), []);
    }
}
