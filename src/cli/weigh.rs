//! What a run is worth, its pars taken from the logbook's folder or computed there and then.

use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

use super::place::Place;
use crate::logbook::cache;
use crate::run::Run;
use crate::why::{self, PARS_SHARE, Pars, Weighed, par};

/// A run weighed, and the pars that took.
pub fn weigh(run: &Run, place: &Place) -> (Weighed, Option<Pars>) {
    let err = io::stderr();
    let patience = match err.is_terminal() {
        true => PATIENCE,
        false => Duration::MAX,
    };
    let mut bar = Bar::new(err, patience);
    let pars = par::is_needed(run).then(|| {
        let mut progress = |done: f64| bar.show(PARS_SHARE * done);
        match place.logbook() {
            Ok(logbook) => logbook.pars(run.drill(), run.seed(), &mut progress),
            Err(_) => cache::pars_unkept(run.drill(), run.seed(), &mut progress),
        }
    });
    let bills = &mut |done: f64| bar.show(PARS_SHARE + (1.0 - PARS_SHARE) * done);
    (why::weigh_with(run, pars.as_ref(), bills), pars)
}

/// How long work goes on in silence.
const PATIENCE: Duration = Duration::from_millis(500);
/// Cells of a whole bar.
const CELLS: usize = 30;

/// One line that tells how far the work is, from some time on; erased when it is dropped.
struct Bar<W: Write> {
    out: W,
    since: Instant,
    patience: Duration,
    shown: String,
}

impl<W: Write> Bar<W> {
    fn new(out: W, patience: Duration) -> Bar<W> {
        Bar {
            out,
            since: Instant::now(),
            patience,
            shown: String::new(),
        }
    }

    fn show(&mut self, done: f64) {
        if self.since.elapsed() < self.patience {
            return;
        }
        let line = line(done);
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

fn line(done: f64) -> String {
    let done = done.clamp(0.0, 1.0);
    let bar = "#".repeat((done * CELLS as f64) as usize);
    let percent = 100.0 * done;
    format!("weighing the run [{bar:<CELLS$}] {percent:3.0} %")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_fills_from_left_to_right_in_a_line_of_one_width() {
        let texts: Vec<String> = [-1.0, 0.0, 0.5, 1.0, 2.0].map(line).into();
        assert!(texts.iter().all(|text| text.len() == texts[0].len()));
        assert!(texts[0].len() < 78);
        let cells = texts.iter().map(|text| text.matches('#').count());
        assert_eq!(cells.collect::<Vec<_>>(), [0, 0, 15, 30, 30]);
    }

    #[test]
    fn a_bar_comes_late_says_nothing_twice_and_leaves_an_empty_line() {
        let said = |patience| {
            let mut out = Vec::new();
            let mut bar = Bar::new(&mut out, patience);
            for done in [0.0, 0.5, 0.5001, 1.0] {
                bar.show(done);
            }
            drop(bar);
            String::from_utf8(out).unwrap()
        };
        assert_eq!(said(Duration::MAX), "");
        let shown = said(Duration::ZERO);
        let blank = " ".repeat(line(0.0).len());
        let wanted = ["", &line(0.0), &line(0.5), &line(1.0), &blank, ""].join("\r");
        assert_eq!(shown, wanted);
    }
}
