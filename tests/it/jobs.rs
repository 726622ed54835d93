//! Work beside the screen: jobs that panic, and jobs that are given up.

use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use leveloff::run::Run;
use leveloff::tui::effort::{attempt, go_on_if};
use leveloff::tui::job::Job;
use leveloff::tui::prepared::{Prepared, Sheet};

use crate::flying::shipped;

fn wait(job: &mut Job) -> Result<Run, String> {
    let since = Instant::now();
    loop {
        if let Some(done) = job.take() {
            return done;
        }
        assert!(since.elapsed() < Duration::from_secs(20), "nothing came");
        thread::sleep(Duration::from_millis(1));
    }
}

#[test]
fn what_breaks_off_is_told_and_the_next_is_done() {
    let mut broken = Job::of(|_| panic!("no such luck"));
    assert_eq!(
        wait(&mut broken).err().as_deref(),
        Some("the work broke off: no such luck")
    );
    let mut next = Job::of(|_| Err("as it should".to_string()));
    assert_eq!(wait(&mut next).err().as_deref(), Some("as it should"));
}

#[test]
fn hundreds_that_nobody_waits_for_are_passed_over_at_once() {
    fn long(progress: &mut dyn FnMut(f64)) -> Result<Run, String> {
        for step in 0..1000 {
            progress(f64::from(step) / 1000.0);
            thread::sleep(Duration::from_millis(5));
        }
        Err("to the end".to_string())
    }
    let since = Instant::now();
    for _ in 0..400 {
        drop(Job::of(long));
    }
    let mut last = Job::of(|_| Err("mine".to_string()));
    assert_eq!(wait(&mut last).err().as_deref(), Some("mine"));
    assert!(
        since.elapsed() < Duration::from_secs(5),
        "{:?}",
        since.elapsed()
    );
}

#[test]
fn what_breaks_down_says_why_and_what_is_given_up_does_not_go_on() {
    assert_eq!(attempt(|| 7), Ok(7));
    let broken: Result<(), String> = attempt(|| panic!("of {}", 3));
    assert_eq!(broken, Err("the work broke off: of 3".to_string()));
    let is_wanted = AtomicBool::new(true);
    go_on_if(&is_wanted);
    is_wanted.store(false, Ordering::Relaxed);
    assert!(attempt(|| go_on_if(&is_wanted)).is_err());
}

#[test]
fn a_brief_that_is_asked_for_last_waits_for_no_other() {
    let drill = shipped("catch-the-sink");
    let mut prepared = Prepared::default();
    (0..40).for_each(|index| prepared.ask(index, &drill, Sheet::of));
    let since = Instant::now();
    while prepared.sheet(39).is_none() {
        assert!(since.elapsed() < Duration::from_secs(20), "nothing came");
        thread::sleep(Duration::from_millis(1));
    }
    assert!(prepared.sheet(39).unwrap().is_ok());
    // The one already begun may have finished as well; it was given up all the same.
    assert!((0..39).all(|index| prepared.sheet(index).is_none()));
}
