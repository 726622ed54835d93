//! Hours at the lever in simulated time: `HOURS=8 cargo test --release --test it -- hours_at --ignored --nocapture`.

use ratatui::backend::Backend;

use super::*;

/// Repeatable random numbers (Marsaglia's xorshift, 64 bits, shifts 13, 7, 17).
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }

    fn of<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.below(all.len() as u64) as usize]
    }
}

/// Memory in use by this process, MB (proc(5), statm: pages of 4 kB).
fn memory_mb() -> f64 {
    let statm = std::fs::read_to_string("/proc/self/statm").expect("a Linux");
    let pages = statm.split_whitespace().nth(1).unwrap();
    pages.parse::<f64>().unwrap() * 4096.0 / 1e6
}

fn resize(seat: &mut Seat, width: u64, height: u64) {
    seat.terminal
        .backend_mut()
        .resize(width as u16, height as u16);
    let size = seat.terminal.backend().size().unwrap();
    assert_eq!(
        (u64::from(size.width), u64::from(size.height)),
        (width, height)
    );
}

/// Keys for flying: none of them stops time.
const LEVER: &[KeyCode] = &[
    KeyCode::Up,
    KeyCode::Down,
    KeyCode::Left,
    KeyCode::Right,
    KeyCode::PageUp,
    KeyCode::PageDown,
    KeyCode::Char('v'),
    KeyCode::Char('m'),
    KeyCode::Char('e'),
    KeyCode::Char('3'),
    KeyCode::Char('4'),
];

#[test]
#[ignore = "hours of flying"]
fn hours_at_the_lever_drift_nowhere_and_take_no_more_memory() {
    /// Time between checks whether a run is over, s.
    const STEP_S: f64 = 0.25;
    let hours = std::env::var("HOURS").map_or(0.25, |hours| hours.parse::<f64>().unwrap());
    let mut chance = Chance(0x9e37_79b9_7f4a_7c15);
    let mut seat = Seat::new("campaign", SMALL, MONO);
    let logbook = seat.logbook();
    let any: Vec<KeyCode> = BINDINGS.iter().flat_map(|row| row.keys).copied().collect();
    let (mut flown_s, mut runs, mut keys) = (0.0, 0, 0);
    let mut used: Vec<f64> = Vec::new();
    while flown_s < hours * 3600.0 {
        let drill = &library::DRILLS[chance.below(library::DRILLS.len() as u64) as usize];
        seat.open(&drill.drill().unwrap().title);
        seat.key(KeyCode::Enter);
        let kept = logbook.entries().unwrap().entries.len();
        let began = seat.now;
        seat.key(KeyCode::Char(' '));
        let mut pressed = Vec::new();
        let ended = loop {
            seat.wait(STEP_S);
            // A run that goes badly wrong may be over within the time that counts as given up.
            let text = seat.text();
            if !text.contains("ft/min")
                || ["being weighed", "kept as"]
                    .iter()
                    .any(|end| text.contains(end))
            {
                break seat.now;
            }
            if chance.below(8) == 0 {
                let (width, height) = (80 + chance.below(121), 24 + chance.below(37));
                resize(&mut seat, width, height);
            }
            if chance.below(3) == 0 {
                let key = chance.of(LEVER);
                assert_eq!(seat.key(key), Wish::Stay);
                pressed.push(((seat.now - began).as_secs_f64(), key));
            }
        };
        seat.settle();
        let entries = logbook.entries().unwrap().entries;
        let wall_s = (ended - began).as_secs_f64();
        if entries.len() > kept {
            let end_s = entries.last().unwrap().end_s;
            let late_s = wall_s - end_s;
            assert!(
                (-0.02..=STEP_S + 0.1).contains(&late_s),
                "{}: {end_s} s flown in {wall_s} s, {pressed:?}",
                drill.id
            );
        }
        flown_s += wall_s;
        runs += 1;
        keys += pressed.len();
        // Then any key on any screen at any size down to nothing; flights begun by it are left.
        for _ in 0..40 {
            let (width, height) = (1 + chance.below(220), 1 + chance.below(70));
            resize(&mut seat, width, height);
            let key = chance.of(&any);
            // Some keys would end the program.
            let _ = seat.key(key);
            keys += 1;
        }
        resize(&mut seat, 140, 40);
        for _ in 0..40 {
            if seat.text().contains("by power alone") {
                break;
            }
            seat.settle();
            let _ = seat.key(KeyCode::Esc);
        }
        used.push(memory_mb());
    }
    let part = used.len() / 3;
    let mean = |used: &[f64]| used.iter().sum::<f64>() / used.len() as f64;
    let (early, late) = (mean(&used[part..2 * part]), mean(&used[2 * part..]));
    println!(
        "{:.2} hours in {runs} runs, {keys} keys: {early:.1} MB in the second third, {late:.1} MB in the last",
        flown_s / 3600.0
    );
    assert!(part > 0 && late < early + 10.0, "{used:?}");
}
