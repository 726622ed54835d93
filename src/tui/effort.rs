//! Work that may break down, or be given up because nobody waits for it any more. Neither ends the program.

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::atomic::{AtomicBool, Ordering};

/// The payload of the unwinding by which work is given up.
struct GivenUp;

/// Returns the result of work, or its message where it broke down. What it worked on must not be used after that.
pub fn attempt<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|cause| told(&*cause))
}

/// Ends the work under way where nobody waits for it any more.
pub fn go_on_if(is_wanted: &AtomicBool) {
    if !is_wanted.load(Ordering::Relaxed) {
        // Not a panic: nothing has gone wrong, so nothing is to be reported.
        resume_unwind(Box::new(GivenUp));
    }
}

fn told(cause: &(dyn Any + Send)) -> String {
    let text = cause.downcast_ref::<&str>().copied();
    match text.or(cause.downcast_ref::<String>().map(String::as_str)) {
        Some(text) => format!("the work broke off: {text}"),
        None => "the work broke off".to_string(),
    }
}
