//! The calm of the scope: how often its scale changes while a drill is flown, and that a change can be followed by eye.

use std::sync::Arc;

use leveloff::drill::{Drill, Target};
use leveloff::hands::{Hand, Sight, Steady};
use leveloff::run::Run;
use leveloff::tui::widgets::measure::Measure;
use leveloff::tui::widgets::scope::Window;
use leveloff::units::{FT, TICK_S, TICKS_PER_S};

use crate::flying::shipped;

/// The rows of the scope on the smallest screen.
const ROWS: u16 = 17;
/// Ticks from one picture to the next: 32 a second.
const FRAME: u64 = 2;

/// A pilot who chases the number: more power below it, less above it, at any vertical speed.
struct Chaser {
    /// % of lever a foot.
    per_ft: f64,
    level: f64,
}

impl Hand for Chaser {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if !sight.tick.is_multiple_of(TICKS_PER_S) {
            return None;
        }
        let wanted_m = match (sight.target, sight.approach) {
            (Target::Altitude { altitude_m, .. }, _) => altitude_m,
            (Target::Path(glide), Some((distance_m, _))) => {
                glide.altitude_m(distance_m).min(sight.altitude_m + 30.0)
            }
            _ => sight.altitude_m,
        };
        let off_ft = (wanted_m - sight.altitude_m) / FT;
        let most = 15.0;
        let lever = self.level + (self.per_ft * off_ft).clamp(-most, most);
        Some((10.0 * lever.clamp(0.0, 100.0)).round() as u16)
    }
}

struct Calm {
    changes_a_minute: f64,
    seconds: f64,
    /// The most that an edge moves from one picture to the next, as a share of the picture.
    largest_move: f64,
}

fn flown(drill: &Arc<Drill>, hand: &mut dyn Hand) -> Calm {
    let mut run = Run::new(drill.clone(), 7);
    let mut window = Window::new(&run, Measure::of(&run.leg().target), ROWS);
    let (mut changes, mut largest_move, mut was_moving) = (0, 0.0_f64, false);
    while run.end().is_none() && run.time_s() < 400.0 {
        if let Some(lever) = hand.lever(&Sight::of(&run)) {
            run.set_lever(lever);
        }
        run.fly();
        if !run.tick().is_multiple_of(FRAME) {
            continue;
        }
        let before = window.in_sight();
        window = window.following(&run, Measure::of(&run.leg().target), ROWS);
        let now = window.in_sight();
        let is_moving = now != before;
        changes += u32::from(is_moving && !was_moving);
        was_moving = is_moving;
        let moved = (now.0 - before.0).abs().max((now.1 - before.1).abs());
        largest_move = largest_move.max(moved / (before.1 - before.0));
    }
    let seconds = run.tick() as f64 * TICK_S;
    Calm {
        changes_a_minute: f64::from(changes) * 60.0 / seconds,
        seconds,
        largest_move,
    }
}

#[test]
fn the_scale_changes_seldom_and_never_in_a_jump() {
    for (stem, per_ft) in [
        ("quarry-stair", 0.1),
        ("storm-watch", 0.1),
        ("supply-ship", 0.1),
    ] {
        let drill = shipped(stem);
        let chaser = Chaser {
            per_ft,
            level: 100.0 * drill.start_lever(),
        };
        let hands: [(&str, Box<dyn Hand>); 2] = [
            ("steady", Box::new(Steady::new(&drill))),
            ("a chaser", Box::new(chaser)),
        ];
        for (name, mut hand) in hands {
            let calm = flown(&drill, hand.as_mut());
            println!(
                "{stem:<14} {name:<9} {:>4.0} s  {:.1} changes of scale a minute, an edge moves {:.0} % of the picture in 1/32 s",
                calm.seconds,
                calm.changes_a_minute,
                100.0 * calm.largest_move
            );
            assert!(calm.seconds > 60.0);
            // Room for zooming out for an announced task, in on its band, and out for a swing past it.
            assert!(calm.changes_a_minute <= 3.5, "{stem}, {name}");
            assert!(calm.largest_move < 0.35, "{stem}, {name}");
        }
    }
}
