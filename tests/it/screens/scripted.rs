//! The loop's events from a list.

use std::collections::VecDeque;
use std::time::{Duration, Instant};

use leveloff::tui::terminal::{Event, Events, Stamped};

/// Events from a list, with a clock that moves only when the loop waits: the whole program in a test, at full speed.
#[derive(Debug, Clone)]
pub struct Script {
    now: Instant,
    left: VecDeque<Stamped>,
}

impl Script {
    /// Events at times after the start, in ascending order. Once all have been taken, the terminal is [`Event::Closed`].
    pub fn new(events: impl IntoIterator<Item = (Duration, Event)>) -> Self {
        let now = Instant::now();
        let left = events
            .into_iter()
            .map(|(after, event)| Stamped {
                at: now + after,
                event,
            })
            .collect();
        Self { now, left }
    }
}

impl Events for Script {
    fn now(&self) -> Instant {
        self.now
    }

    fn next(&mut self, until: Instant) -> Option<Stamped> {
        match self.left.front() {
            Some(first) if first.at <= until.max(self.now) => {
                self.now = self.now.max(first.at);
                self.left.pop_front()
            }
            Some(_) => {
                self.now = self.now.max(until);
                None
            }
            None => Some(Stamped {
                at: self.now,
                event: Event::Closed,
            }),
        }
    }
}

#[test]
fn a_script_moves_its_clock_by_waiting() {
    let ms = Duration::from_millis;
    let mut script = Script::new([(ms(10), Event::FocusLost), (ms(10), Event::Quit(15))]);
    let start = script.now();
    assert_eq!(script.next(start), None);
    assert_eq!(script.next(start + ms(4)), None);
    assert_eq!(script.now(), start + ms(4));
    let lost = script.next(start + ms(16)).unwrap();
    assert_eq!((lost.at, lost.event), (start + ms(10), Event::FocusLost));
    assert_eq!(script.now(), start + ms(10));
    // Already due: taken even without waiting, and the clock never goes back.
    assert_eq!(script.next(start).unwrap().event, Event::Quit(15));
    assert_eq!(script.next(start + ms(99)).unwrap().event, Event::Closed);
    assert_eq!(script.now(), start + ms(10));
}
