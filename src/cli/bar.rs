//! Long work: a line on a terminal that shows how far it is, and the work itself on all processors.

use std::io::{self, IsTerminal, Write};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

/// How long work goes on in silence.
const PATIENCE: Duration = Duration::from_millis(500);
/// Cells of a whole bar.
const CELLS: usize = 30;

/// One line that shows how far the work is, once it has taken some time; erased when it is dropped.
pub struct Bar<W: Write> {
    out: W,
    doing: &'static str,
    since: Instant,
    patience: Duration,
    shown: String,
}

impl Bar<io::Stderr> {
    /// On standard error, and only where that is a terminal.
    pub fn new(doing: &'static str) -> Bar<io::Stderr> {
        let err = io::stderr();
        let patience = match err.is_terminal() {
            true => PATIENCE,
            false => Duration::MAX,
        };
        Bar::on(err, doing, patience)
    }
}

impl<W: Write> Bar<W> {
    /// A bar that is shown once its work has taken longer than `patience`.
    pub fn on(out: W, doing: &'static str, patience: Duration) -> Bar<W> {
        Bar {
            out,
            doing,
            since: Instant::now(),
            patience,
            shown: String::new(),
        }
    }

    /// Shows how much is done, 0 to 1.
    pub fn show(&mut self, done: f64) {
        if self.since.elapsed() < self.patience {
            return;
        }
        let line = line(self.doing, done);
        if self.shown != line {
            self.say(&format!("\r{line}"));
            self.shown = line;
        }
    }

    /// Prints; a failure to do so is ignored.
    fn say(&mut self, text: &str) {
        let _ = write!(self.out, "{text}").and_then(|()| self.out.flush());
    }
}

impl<W: Write> Drop for Bar<W> {
    fn drop(&mut self) {
        if !self.shown.is_empty() {
            self.say(&format!("\r{}\r", " ".repeat(self.shown.len())));
        }
    }
}

/// The bar as text, `done` of 1.
pub fn line(doing: &str, done: f64) -> String {
    let done = done.clamp(0.0, 1.0);
    let bar = "#".repeat((done * CELLS as f64) as usize);
    let percent = 100.0 * done;
    format!("{doing} [{bar:<CELLS$}] {percent:3.0} %")
}

/// The results of `work` for the items, in their order, worked out on all processors.
pub fn each<T: Sync, R: Send>(
    doing: &'static str,
    items: &[T],
    work: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    let processors = std::thread::available_parallelism().map_or(1, usize::from);
    let next = AtomicUsize::new(0);
    let state = Mutex::new((Bar::new(doing), Vec::with_capacity(items.len())));
    let take = || {
        while let Some((index, item)) = {
            let index = next.fetch_add(1, Ordering::Relaxed);
            items.get(index).map(|item| (index, item))
        } {
            let result = work(item);
            // A panic in another thread ends the scope with a panic too; the results are then not used.
            if let Ok(mut state) = state.lock() {
                let (bar, results) = &mut *state;
                results.push((index, result));
                bar.show(results.len() as f64 / items.len() as f64);
            }
        }
    };
    std::thread::scope(|scope| {
        (0..processors.min(items.len())).for_each(|_| drop(scope.spawn(take)));
    });
    let (_, mut results) = state
        .into_inner()
        .unwrap_or_else(|poisoned| poisoned.into_inner());
    results.sort_by_key(|(index, _)| *index);
    results.into_iter().map(|(_, result)| result).collect()
}
