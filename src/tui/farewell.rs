//! What is said once the terminal is the shell's again: a screen that has gone tells nothing.

use std::sync::{Mutex, PoisonError};

static SAID: Mutex<Vec<String>> = Mutex::new(Vec::new());

/// Keeps something to be said at the end.
pub fn say(text: String) {
    SAID.lock()
        .unwrap_or_else(PoisonError::into_inner)
        .push(text);
}

/// What there is to say, told once.
pub fn take() -> Vec<String> {
    std::mem::take(&mut SAID.lock().unwrap_or_else(PoisonError::into_inner))
}
