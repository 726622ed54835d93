//! The share of all losses that the lines explain, and how often a name is right.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;
use std::time::Instant;

use leveloff::drill::{Drill, Kind, Target};
use leveloff::hands;
use leveloff::reach;
use leveloff::run::recording::HandName;
use leveloff::run::{Leg, Run};
use leveloff::units::KT;
use leveloff::why::explain::Brief;
use leveloff::why::{Bill, Case, Line, LineKind, Pars};

use crate::flying::{NAMES, drill as made_of, shipped};
use crate::kept::{pars, weigh};
use crate::pilots::{Fault, Style, crew, pilot};
use crate::plan::made_up;

/// A planted fault shows if the task earned at least this much less than the clean twin's, and less than this in all.
const SHOWS: f64 = 8.0;
const POOR: f64 = 70.0;
/// A leg that lost more than this must get a line.
const SILENT: f64 = 5.0;

/// The faults, in sizes that depend on the drill's number.
pub fn faults(n: u64, drill: &Drill) -> Vec<Fault> {
    let propeller = if drill.aircraft.name == "prop trainer" {
        2.5
    } else {
        1.0
    };
    let pick = |place: u64, sizes: [f64; 3]| sizes[((n * 7 + place) % 3) as usize];
    let off = propeller * pick(3, [0.015, 0.02, 0.03]);
    vec![
        Fault::LevelOffLate {
            by_s: pick(0, [2.0, 3.0, 4.5]),
        },
        Fault::LevelOffEarly {
            by_s: pick(1, [2.0, 3.0, 4.5]),
        },
        Fault::Going {
            times: pick(2, [0.45, 0.55, 0.65]),
        },
        Fault::Going {
            times: pick(0, [1.4, 1.6, 1.9]),
        },
        Fault::SecondMoveMissing,
        Fault::LevelBelief { off },
        Fault::LevelBelief { off: -off },
        Fault::NoAnticipation,
        Fault::PumpingFast,
        Fault::PumpingSlow,
        Fault::Overcontrol,
        Fault::NotCorrected,
        Fault::Dive,
        Fault::DescentLate {
            by_s: pick(1, [4.0, 6.0, 9.0]),
        },
        Fault::DescentEarly {
            by_s: pick(2, [4.0, 6.0, 9.0]),
        },
        Fault::Chop,
    ]
}

/// The right name of a fault in a kind of task.
pub fn rightly(fault: Fault, task: &Kind) -> LineKind {
    let (is_step, is_path) = (matches!(task, Kind::Step(_)), matches!(task, Kind::Path(_)));
    match fault {
        Fault::LevelOffLate { .. } => LineKind::LevelOffLate,
        Fault::LevelOffEarly { .. } => LineKind::LevelOffEarly,
        Fault::Going { times } if times > 1.0 => LineKind::PowerTooMuch,
        Fault::Going { .. } => LineKind::PowerTooLittle,
        Fault::SecondMoveMissing => LineKind::SecondMoveMissing,
        Fault::LevelBelief { .. } => LineKind::LevelPowerOff,
        Fault::NoAnticipation if is_step => LineKind::LevelOffLate,
        Fault::PumpingFast => LineKind::Pumping,
        Fault::NoAnticipation | Fault::PumpingSlow | Fault::Overcontrol => LineKind::Overcontrol,
        Fault::NotCorrected => LineKind::NotCorrected,
        Fault::Dive if is_path => LineKind::Dive,
        Fault::DescentLate { .. } => LineKind::DescentLate,
        Fault::DescentEarly { .. } => LineKind::DescentEarly,
        Fault::Chop if is_path => LineKind::EngineLetDown,
        Fault::Dive | Fault::Chop => LineKind::PowerTooMuch,
    }
}

/// Whether a leg gave a fault room to show.
pub fn has_room(fault: Fault, run: &Run, leg: &Leg) -> bool {
    let state = &run.trace().at(leg.start as usize).state;
    let is_down = leg.target.error(state, leg.start) > 0.0;
    let goes = !matches!(leg.target, Target::Path(_)) && fault.has_room(&leg.kind, is_down);
    goes || matches!(leg.target, Target::Path(_)) && fault.has_room(&leg.kind, true)
}

/// A made-up drill in its air: still, light or lively by its number; every fifth is a hold that begins off its power.
pub fn drill(n: u64) -> Arc<Drill> {
    let mut made = match n % 5 {
        4 => hold(n),
        _ => (*made_up(n)).clone(),
    };
    // The wind at 20 ft of those words: 4 and 8 kt.
    made.air.u20_mps = [0.0, 0.0, 4.0 * KT, 8.0 * KT][(n / 5 % 4) as usize];
    Arc::new(made)
}

fn hold(n: u64) -> Drill {
    let name = NAMES[(n / 5 % 4) as usize];
    let altitude_ft = 800 + 100 * (n * 7 % 13);
    let off = [0.03, -0.05, 0.06, -0.04][(n / 20 % 4) as usize];
    let band_ft = [20, 30, 40][(n % 3) as usize];
    let seconds = [60, 75, 90][(n / 3 % 3) as usize];
    let text = format!(
        "title = 'T'\nabout = 'A'\naircraft = '{name}'\n[start]\naltitude_ft = {altitude_ft}\nlever_off = {off}\n\
         [[task]]\nhold = {{ altitude_ft = {altitude_ft}, band_ft = {band_ft}, seconds = {seconds} }}\n"
    );
    made_of(&text).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

/// One leg of one pilot.
pub struct Row {
    style: Style,
    task: &'static str,
    /// The right name of the planted fault; None for clean pilots.
    planted: Option<LineKind>,
    points: f64,
    lost: f64,
    told: f64,
    /// The dearest line with a name, and the dearest of all.
    name: Option<LineKind>,
    first: Option<LineKind>,
    is_silent: bool,
}

fn row(style: Style, run: &Run, bill: &Bill, planted: Option<LineKind>) -> Row {
    let lines = bill.lines.iter().filter(|line| line.kind != LineKind::Rest);
    let told: f64 = lines.clone().map(|line| line.points).sum();
    let named = lines.clone().filter(|line| line.kind.is_name());
    let dearest = named.max_by(|a, b| a.points.total_cmp(&b.points));
    let first = lines.clone().max_by(|a, b| a.points.total_cmp(&b.points));
    let lost = bill.in_reach - bill.points;
    Row {
        style,
        task: run.legs()[bill.leg].kind.name(),
        planted,
        points: bill.points,
        lost,
        told,
        name: dearest.map(|line| line.kind),
        first: first.map(|line| line.kind),
        is_silent: lines.count() == 0 && lost > SILENT,
    }
}

/// Every style on one drill, clean and with each fault: the legs of clean pilots, and those in which a fault shows.
fn flown(n: u64, which: &dyn Fn(usize) -> bool) -> Vec<Row> {
    let drill = drill(n);
    let pars = Pars::of(&drill, n, &mut |_| {});
    let mut rows = Vec::new();
    for (place, style) in crew().into_iter().enumerate() {
        let fly = |fault| {
            let mut pilot = pilot(style, &drill, 100 * n + place as u64, fault);
            let run = hands::fly(drill.clone(), n, &mut *pilot);
            let weighed = weigh(&run, Some(&pars));
            (run, weighed)
        };
        let (twin, clean) = fly(None);
        rows.extend(clean.bills.iter().map(|bill| row(style, &twin, bill, None)));
        for (index, fault) in faults(n, &drill).into_iter().enumerate() {
            let mut tasks = drill.tasks.iter().filter(|task| task.scored);
            if !which(index + place) || !tasks.any(|task| fault.has_room(&task.kind, true)) {
                continue;
            }
            let (run, weighed) = fly(Some(fault));
            for bill in &weighed.bills {
                let leg = &run.legs()[bill.leg];
                let shows = clean
                    .bill(bill.leg)
                    .is_some_and(|twin| twin.points - bill.points >= SHOWS);
                if shows && bill.points < POOR && has_room(fault, &run, leg) {
                    rows.push(row(style, &run, bill, Some(rightly(fault, &leg.kind))));
                }
            }
        }
    }
    rows
}

/// The same of many drills, on two threads.
fn all_flown(drills: std::ops::Range<u64>, which: &(dyn Fn(usize) -> bool + Sync)) -> Vec<Row> {
    let next = AtomicU64::new(drills.start);
    let work = || {
        let mut rows = Vec::new();
        loop {
            let n = next.fetch_add(1, Ordering::Relaxed);
            if n >= drills.end {
                return rows;
            }
            rows.extend(flown(n, which));
        }
    };
    thread::scope(|scope| {
        let threads = [scope.spawn(work), scope.spawn(work)];
        threads
            .into_iter()
            .flat_map(|thread| thread.join().unwrap())
            .collect()
    })
}

/// The sums of the table.
#[derive(Debug, Default)]
struct Sums {
    counted: usize,
    named: usize,
    right: usize,
    clean: usize,
    clean_named: usize,
    silent: usize,
    lost: f64,
    told: f64,
}

impl Sums {
    fn of<'a>(rows: impl Iterator<Item = &'a Row>) -> Sums {
        let mut sums = Sums::default();
        for row in rows {
            sums.lost += row.lost;
            sums.told += row.told;
            sums.silent += usize::from(row.is_silent);
            match row.planted {
                Some(planted) => {
                    sums.counted += 1;
                    sums.named += usize::from(row.name.is_some());
                    sums.right += usize::from(row.name == Some(planted));
                }
                None if row.points >= POOR => {
                    sums.clean += 1;
                    sums.clean_named += usize::from(row.name.is_some());
                }
                None => {}
            }
        }
        sums
    }

    fn told(&self) -> f64 {
        self.told / self.lost
    }

    fn rightly(&self) -> f64 {
        self.right as f64 / self.named.max(1) as f64
    }
}

fn print(what: &str, sums: &Sums) {
    println!(
        "{what:22} {:5} counted, {:3.0} % named, {:5.1} % of them right; told {:.1} %; clean named {} of {}; silent {}",
        sums.counted,
        100.0 * sums.named as f64 / sums.counted.max(1) as f64,
        100.0 * sums.rightly(),
        100.0 * sums.told(),
        sums.clean_named,
        sums.clean,
        sums.silent
    );
}

#[test]
fn most_of_what_was_lost_is_told_and_names_are_mostly_right() {
    let rows = all_flown(9000..9004, &|index| index.is_multiple_of(4));
    let sums = Sums::of(rows.iter());
    print("all", &sums);
    assert!(sums.counted >= 40, "{sums:?}");
    assert!(sums.told() >= 0.94, "{sums:?}");
    assert!(sums.rightly() >= 0.85, "{sums:?}");
    assert!(sums.named as f64 >= 0.4 * sums.counted as f64, "{sums:?}");
    assert_eq!(sums.silent, 0, "{sums:?}");
}

/// Power that comes off a second or two early leads the path: that is no early descent, whatever follows.
#[test]
fn a_second_or_two_is_no_early_descent() {
    let n = 15_003;
    let drill = drill(n);
    let mut hand = pilot(
        Style::Tracker,
        &drill,
        100 * n + 1,
        Some(Fault::Overcontrol),
    );
    let run = hands::fly(drill.clone(), n, &mut *hand);
    let weighed = weigh(&run, Some(pars(&drill, n)));
    let told = Vec::from_iter(weighed.told().into_iter().map(|line| line.kind));
    assert!(
        !told.is_empty() && !told.contains(&LineKind::DescentEarly),
        "{told:?}"
    );
}

/// Six seconds early must not become half a minute on a path that the brief joins late and steeply.
#[test]
fn early_is_what_is_below_the_path() {
    let n = 15_056;
    let drill = drill(n);
    let fault = Fault::DescentEarly { by_s: 6.0 };
    let mut hand = pilot(Style::Imaginer, &drill, 100 * n + 5, Some(fault));
    let run = hands::fly(drill.clone(), n, &mut *hand);
    let weighed = weigh(&run, Some(pars(&drill, n)));
    let told = weighed.told();
    let early = told
        .iter()
        .filter(|line| line.kind == LineKind::DescentEarly);
    assert!(early.clone().count() > 0, "{told:?}");
    assert!(early.clone().all(|line| line.amount < 12.0), "{told:?}");
}

/// The dearest line of a leg of a pilot with a fault.
fn dearest(n: u64, place: usize, fault: Fault, leg: usize) -> Line {
    let drill = drill(n);
    let mut hand = pilot(crew()[place], &drill, 100 * n + place as u64, Some(fault));
    let run = hands::fly(drill.clone(), n, &mut *hand);
    let weighed = weigh(&run, Some(pars(&drill, n)));
    let lines = weighed.bill(leg).unwrap().lines.iter();
    let dearest = lines.max_by(|a, b| a.points.total_cmp(&b.points));
    dearest.unwrap().clone()
}

/// Four and a half seconds late, with a larger push past level as a result.
#[test]
fn a_stop_that_pushes_hard_because_it_is_late_is_late() {
    let late = Fault::LevelOffLate { by_s: 4.5 };
    for place in [0, 4] {
        let line = dearest(9011, place, late, 0);
        assert_eq!(line.kind, LineKind::LevelOffLate, "{}", line.sentence);
        assert!((2.5..=6.0).contains(&line.amount), "{}", line.sentence);
    }
    // The cue is the learner's own move, not that of the better flight.
    let line = dearest(9016, 2, Fault::LevelOffLate { by_s: 3.0 }, 0);
    assert!(line.sentence.contains("late, at 24 ft to go"), "{line:?}");
}

/// About as early as planted: the points that a hard stop just before the number could still save do not count.
#[test]
fn a_stop_is_early_by_what_the_own_moves_would_have_been_later() {
    for (n, place, by_s) in [(15_016, 5, 4.5), (15_017, 2, 2.0), (15_031, 1, 4.5)] {
        let leg = usize::from(n == 15_016);
        let line = dearest(n, place, Fault::LevelOffEarly { by_s }, leg);
        assert_eq!(line.kind, LineKind::LevelOffEarly, "{}", line.sentence);
        assert!((line.amount - by_s).abs() < 1.5, "{}", line.sentence);
    }
}

/// The better flight moves both ways to bring an error back, so the lever differed by turns; the fault is that the learner did
/// not correct it.
#[test]
fn an_error_that_was_left_is_not_told_as_a_lever_by_turns() {
    for place in [0, 4] {
        let line = dearest(12_000, place, Fault::NotCorrected, 0);
        assert_eq!(line.kind, LineKind::NotCorrected, "{}", line.sentence);
    }
}

/// Prints, by fault and kind of task: how many, how many named so, and the names of the others, the most frequent first.
fn print_cells(rows: &[Row]) {
    let mut cells: BTreeMap<(&str, &str), BTreeMap<&str, usize>> = BTreeMap::new();
    for row in rows {
        if let Some(planted) = row.planted {
            let told = row.name.or(row.first).map_or("nothing", LineKind::key);
            let cell = cells.entry((planted.key(), row.task)).or_default();
            *cell.entry(told).or_default() += 1;
        }
    }
    for ((planted, task), told) in cells {
        let mut told: Vec<(&str, usize)> = told.into_iter().collect();
        told.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        let count: usize = told.iter().map(|(_, count)| count).sum();
        let told: Vec<String> = told.iter().map(|(key, n)| format!("{key} {n}")).collect();
        println!("{planted:20} {task:5} {count:4}: {}", told.join(", "));
    }
}

/// `DRILLS` is the number of drills, by default 40.
#[test]
#[ignore = "thousands of flights take many minutes"]
fn table_of_names() {
    let drills = std::env::var("DRILLS")
        .ok()
        .and_then(|text| text.parse().ok());
    let rows = all_flown(9000..9000 + drills.unwrap_or(40), &|_| true);
    for style in crew() {
        print(
            &format!("{style:?}"),
            &Sums::of(rows.iter().filter(|row| row.style == style)),
        );
    }
    for task in ["step", "rate", "hold", "path"] {
        print(task, &Sums::of(rows.iter().filter(|row| row.task == task)));
    }
    let mut kinds: BTreeMap<&str, Vec<&Row>> = BTreeMap::new();
    for row in rows.iter().filter(|row| row.planted.is_some()) {
        kinds
            .entry(row.planted.unwrap().key())
            .or_default()
            .push(row);
    }
    print_cells(&rows);
    let mut given: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
    for row in rows.iter().filter(|row| row.planted.is_some()) {
        if let Some(name) = row.name {
            let (count, right) = given.entry(name.key()).or_default();
            *count += 1;
            *right += usize::from(row.planted == row.name);
        }
    }
    for (kind, rows) in &kinds {
        print(kind, &Sums::of(rows.iter().copied()));
    }
    for (kind, (count, right)) in given {
        println!("{kind:22} given {count:4} times, right {right:4}");
    }
    let sums = Sums::of(rows.iter());
    print("all", &sums);
    assert!(sums.told() >= 0.95 && sums.rightly() >= 0.92, "{sums:?}");
    assert_eq!(sums.silent, 0, "{sums:?}");
}

/// Three minutes, four tasks, 0.3 s on one core in a release build; ten times that in the tests' build beside others. The points
/// in reach alone, with the references known, take 5 ms.
#[test]
fn a_bill_takes_no_time() {
    let drill = shipped("quarry-stair");
    let pars = pars(&drill, 1);
    let mut hand = hands::built_in(HandName::Green, &drill, 1).unwrap();
    let run = hands::fly(drill.clone(), 1, &mut *hand);
    let references = pars.references(&run);
    let begun: Vec<Run> = run.each_leg_start().collect();
    let brief = Brief::new();
    let since = Instant::now();
    let lines: usize = begun
        .into_iter()
        .enumerate()
        .filter_map(|(leg, begun)| Case::of(&run, leg, begun, references[leg], &brief))
        .map(|case| Bill::of(&case, &[]))
        .map(|bill| bill.lines.len())
        .sum();
    let took = since.elapsed();
    assert!(lines > 3);
    let mut under_way = Run::new(drill.clone(), 1);
    while under_way.legs().len() < 2 {
        under_way.fly();
    }
    (0..640).for_each(|_| under_way.fly());
    let since = Instant::now();
    for _ in 0..10 {
        assert!(reach::in_reach(&under_way, &references[1]).is_some());
    }
    let reach = since.elapsed() / 10;
    println!(
        "bill of {:.0} s: {took:?}; in reach {reach:?}",
        run.time_s()
    );
    assert!(took.as_secs_f64() < 3.0, "{took:?}");
    assert!(reach.as_secs_f64() < 0.05, "{reach:?}");
}
