//! Messages for once the terminal has been given back: a screen that is gone shows nothing.

use std::sync::{Mutex, PoisonError};

static SAID: Mutex<Vec<String>> = Mutex::new(Vec::new());

/// Keeps a message to be printed at the end.
pub fn say(text: String) {
    SAID.lock()
        .unwrap_or_else(PoisonError::into_inner)
        .push(text);
}

/// Takes the messages kept so far, so that each is printed once.
pub fn take() -> Vec<String> {
    std::mem::take(&mut SAID.lock().unwrap_or_else(PoisonError::into_inner))
}
