//! How far long work is: one line on a terminal, and the work itself on all processors.

use std::io::{self, IsTerminal, Write};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

/// How long work goes on in silence.
const PATIENCE: Duration = Duration::from_millis(500);
/// Cells of a whole bar.
const CELLS: usize = 30;

/// One line that tells how far the work is, from some time on; erased when it is dropped.
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
    fn on(out: W, doing: &'static str, patience: Duration) -> Bar<W> {
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

    /// If nobody can see it, so be it.
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

fn line(doing: &str, done: f64) -> String {
    let done = done.clamp(0.0, 1.0);
    let bar = "#".repeat((done * CELLS as f64) as usize);
    let percent = 100.0 * done;
    format!("{doing} [{bar:<CELLS$}] {percent:3.0} %")
}

/// What `work` makes of each item, in their order, on as many processors as there are.
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
            // A panic elsewhere ends the scope; what it leaves is not looked at.
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

#[cfg(test)]
mod tests {
    use super::*;

    const DOING: &str = "weighing the run";

    #[test]
    fn a_bar_fills_from_left_to_right_in_a_line_of_one_width() {
        let texts: Vec<String> = [-1.0, 0.0, 0.5, 1.0, 2.0]
            .map(|done| line(DOING, done))
            .into();
        assert!(texts.iter().all(|text| text.len() == texts[0].len()));
        assert!(texts[0].len() < 78);
        let cells = texts.iter().map(|text| text.matches('#').count());
        assert_eq!(cells.collect::<Vec<_>>(), [0, 0, 15, 30, 30]);
    }

    #[test]
    fn a_bar_comes_late_says_nothing_twice_and_leaves_an_empty_line() {
        let said = |patience| {
            let mut out = Vec::new();
            let mut bar = Bar::on(&mut out, DOING, patience);
            for done in [0.0, 0.5, 0.5001, 1.0] {
                bar.show(done);
            }
            drop(bar);
            String::from_utf8(out).unwrap()
        };
        assert_eq!(said(Duration::MAX), "");
        let shown = said(Duration::ZERO);
        let blank = " ".repeat(line(DOING, 0.0).len());
        let wanted = [
            "",
            &line(DOING, 0.0),
            &line(DOING, 0.5),
            &line(DOING, 1.0),
            &blank,
            "",
        ];
        assert_eq!(shown, wanted.join("\r"));
    }

    #[test]
    fn work_on_all_processors_comes_back_in_order() {
        let items: Vec<u64> = (0..200).collect();
        let done = each("counting", &items, |n| {
            std::thread::sleep(Duration::from_micros(n * 37 % 300));
            n * n
        });
        assert_eq!(done, items.iter().map(|n| n * n).collect::<Vec<_>>());
        assert!(each("counting", &[0; 0], |n: &u64| *n).is_empty());
    }
}
