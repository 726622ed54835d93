//! Debriefs of plainly bad flying: the first sentence and the bill, on drills that ship.

use std::fmt::Write;
use std::ops::Range;
use std::sync::Arc;

use leveloff::drill::{Drill, Target};
use leveloff::hands::{self, Brief, Hand, Script, Sight};
use leveloff::plan::{Move, When, recipe::half_percent};
use leveloff::run::Run;
use leveloff::run::recording::HandName;
use leveloff::score::metrics::Key;
use leveloff::score::{self, story, working};
use leveloff::why::par::is_needed;
use leveloff::why::{Bill, LineKind, Pars, Weighed, words};

use crate::flying::{all_shipped, drill as made_of, of_tasks, shipped};
use crate::kept::{by_brief, pars, weigh};

/// A way to fly badly.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Badly {
    Untouched,
    Chops,
    ChopsThenFull,
    Full,
    Chases(f64),
    Waits(f64),
    Sizes(f64),
    Dives,
    NeverLevels,
    Jabs,
    WrongOrder,
    LevelOff(f64),
    /// The first half of the recipe only.
    Stops,
    /// The recipe, and six seconds later one move too many.
    OneMore(f64),
    /// The recipe, with its first move kept this much longer, s.
    Keeps(f64),
}

use Badly::*;

const ALL: [Badly; 20] = [
    Untouched,
    Chops,
    ChopsThenFull,
    Full,
    Chases(0.05),
    Chases(0.15),
    Waits(4.0),
    Waits(8.0),
    Sizes(0.5),
    Sizes(2.0),
    Dives,
    NeverLevels,
    Jabs,
    WrongOrder,
    LevelOff(0.03),
    LevelOff(-0.03),
    Sizes(-1.0),
    Stops,
    OneMore(0.06),
    OneMore(-0.06),
];

struct Beginner {
    how: Badly,
    brief: Brief,
    /// The wanted lever, tick by tick; and the lever at the beginning of a task.
    wanted: Vec<f64>,
    base: f64,
    is_low: bool,
    follows: f64,
}

impl Beginner {
    fn new(drill: &Arc<Drill>, how: Badly) -> Beginner {
        Beginner {
            how,
            brief: by_brief(drill),
            wanted: Vec::new(),
            base: drill.start_lever(),
            is_low: false,
            follows: drill.start_lever(),
        }
    }

    /// The brief's lever, with the recipe spoilt first if that is the fault.
    fn recipe(&mut self, sight: &Sight) -> f64 {
        if sight.task_ticks == 0 {
            self.base = self.follows;
            let mut moves = self.brief.meet(sight).clone();
            match self.how {
                NeverLevels if sight.approach.is_none() => moves.truncate(1),
                WrongOrder => {
                    let levers: Vec<f64> = moves.iter().rev().map(|m| m.lever).collect();
                    moves
                        .iter_mut()
                        .zip(levers)
                        .for_each(|(m, lever)| m.lever = lever);
                }
                LevelOff(by) => {
                    if let Some(last) = moves.last_mut() {
                        last.lever = half_percent(last.lever + by);
                    }
                }
                Stops => moves.truncate(moves.len().div_ceil(2)),
                Keeps(s) => {
                    if let Some(second) = moves.get_mut(1).filter(|m| m.when == When::AfterS) {
                        second.value += s;
                    }
                }
                OneMore(by) => {
                    let when = When::AfterS;
                    moves.extend(moves.last().copied().map(|last| Move {
                        when,
                        value: 6.0,
                        lever: half_percent(last.lever + by),
                    }));
                }
                _ => {}
            }
            if moves.first().is_some_and(|m| m.when == When::AfterS) {
                moves[0].when = When::Start;
            }
            self.brief.replace(moves);
        }
        let own = Sight {
            lever: self.follows,
            ..*sight
        };
        if let Some(lever) = self.brief.follow(&own) {
            self.follows = f64::from(lever) / 1000.0;
        }
        self.follows
    }
}

fn off(sight: &Sight) -> f64 {
    match sight.target {
        Target::Altitude { altitude_m, band_m } => (sight.altitude_m - altitude_m) / band_m,
        Target::Path(glide) => {
            let (distance_m, _) = sight.approach.unwrap();
            let wanted_m = distance_m * leveloff::sim::math::tan(glide.slope_rad) + 18.0;
            (sight.altitude_m - wanted_m) / 15.0
        }
        Target::Vertical { vertical_mps, .. } => sight.vertical_mps - vertical_mps,
    }
}

impl Hand for Beginner {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if sight.is_down {
            return Some(1000);
        }
        let recipe = self.recipe(sight);
        self.wanted.push(recipe);
        let begun = sight.tick >= 64;
        let lever = match self.how {
            Untouched => return None,
            Chops => {
                if begun {
                    0.0
                } else {
                    return None;
                }
            }
            Full => {
                if begun {
                    1.0
                } else {
                    return None;
                }
            }
            ChopsThenFull => {
                self.is_low |= off(sight) < -2.0;
                match (begun, self.is_low) {
                    (false, _) => return None,
                    (_, true) => 1.0,
                    _ => 0.0,
                }
            }
            Chases(by) => {
                if sight.tick % 128 != 64 {
                    return None;
                }
                (sight.lever - by * off(sight).signum()).clamp(0.0, 0.97)
            }
            Waits(s) => *self
                .wanted
                .get(self.wanted.len().checked_sub((s * 64.0) as usize)?)?,
            Sizes(k) => (self.base + k * (recipe - self.base)).clamp(0.0, 0.97),
            Dives => match sight.approach {
                Some((distance_m, _)) if distance_m < 926.0 => 0.0,
                _ => recipe,
            },
            Jabs => match sight.tick % 192 {
                0..32 => (self.base + 0.1).min(0.97),
                _ => self.base,
            },
            NeverLevels | WrongOrder | LevelOff(_) | Stops | OneMore(_) | Keeps(_) => recipe,
        };
        Some((1000.0 * lever).round() as u16)
    }
}

/// The first sentence and the lines of a flight.
fn page(id: &str, pars: &Pars, drill: &Arc<Drill>, how: Badly) -> String {
    let run = hands::fly(drill.clone(), 1, &mut Beginner::new(drill, how));
    let weighed = weigh(&run, Some(pars));
    let points = weighed.score.points.unwrap_or(0.0);
    let mut page = String::new();
    writeln!(
        page,
        "{how:?}, {id}, {points:.0} points\n    {}",
        weighed.first
    )
    .unwrap();
    for line in weighed.told().iter().take(4) {
        writeln!(page, "    {}", line.in_short()).unwrap();
    }
    page
}

/// One of every kind that once got a false or odd sentence, or no advice: a chop, a dive, full power, no level-off, level power
/// off, a first move twice too large or the wrong way, one move too many, and turns of the lever that are no corrections.
#[test]
fn who_flies_badly_reads_what_to_do_differently() {
    let flown = [
        ("onto-the-shelf", vec![Chops, Full, Dives, Waits(4.0)]),
        ("a-mile-out", vec![ChopsThenFull, Chases(0.05), Dives]),
        ("boat-slip", vec![Chops, NeverLevels]),
        ("supply-ship", vec![Dives, Sizes(-1.0)]),
        ("catch-the-sink", vec![ChopsThenFull, NeverLevels]),
        (
            "level-over-the-tarn",
            vec![
                LevelOff(0.03),
                LevelOff(-0.03),
                Sizes(2.0),
                OneMore(-0.06),
                Stops,
            ],
        ),
        ("off-the-fast-road", vec![Sizes(2.0)]),
        ("out-of-idle", vec![Sizes(2.0)]),
    ];
    let mut told = String::new();
    for (id, ways) in flown {
        let drill = shipped(id);
        let pars = pars(&drill, 1);
        ways.into_iter()
            .for_each(|how| told += &page(id, pars, &drill, how));
    }
    insta::assert_snapshot!(told);
}

/// Every move of the brief made four seconds after its cue: in a step, a rate, a hold, slowing in and on a path.
#[test]
fn who_makes_the_right_moves_late_reads_by_how_much_and_when_they_are_due() {
    for (id, cue) in [
        ("catch-the-sink", "at 62 ft to go"),
        ("cliff-top", "at 57 ft to go"),
        ("a-rate-and-no-more", "at 200 ft/min to go"),
        ("level-over-the-tarn", "6 s later"),
        ("off-the-fast-road", "at 2 kt fast"),
        ("supply-ship", "until 3.13 nm out"),
        ("onto-the-shelf", "until 2.98 nm out"),
    ] {
        let drill = shipped(id);
        let pars = pars(&drill, 1);
        let page = page(id, pars, &drill, Waits(4.0));
        let first = page.lines().nth(1).unwrap();
        assert!(first.trim().starts_with("You moved 4 s late"), "{page}");
        assert!(first.contains(cue), "{page}");
    }
}

/// Sinking steeply with the lever of the better flight, and stopping far too late: the advice is to stop, not to keep the lever
/// where it was.
#[test]
fn who_was_no_lower_than_the_better_flight_is_told_when_to_stop() {
    let id = "catch-the-sink";
    let drill = shipped(id);
    let log = vec![(96, 143), (21 * 64, 500), (33 * 64, 350)];
    let run = hands::fly(drill.clone(), 1, &mut Script::new(log));
    let first = weigh(&run, Some(pars(&drill, 1))).first;
    assert!(first.contains("too steep"), "{first}");
    assert!(
        first.contains("ft to go") && !first.contains("go below"),
        "{first}"
    );
}

/// Full power while a descent is running that has to be stopped later comes too early; it is not the wrong way.
#[test]
fn power_that_will_be_needed_is_not_called_the_wrong_way() {
    let drill = shipped("catch-the-sink");
    let run = hands::fly(drill.clone(), 1, &mut Script::new(vec![(64, 1000)]));
    let weighed = weigh(&run, Some(pars(&drill, 1)));
    let told = weighed.told();
    assert!(!told.is_empty());
    for line in told {
        assert_ne!(line.kind, LineKind::WrongWay, "{}", line.sentence);
    }
    // And the story says where that led.
    let story = story::tell(&run, &weighed.score).join(" ");
    assert!(story.contains("ft above at the end; 0 points"), "{story}");
}

/// Advice that ends on a power that does not hold says which one does.
#[test]
fn advice_does_not_end_on_a_power_that_does_not_hold() {
    for (id, log, held) in [
        (
            "catch-the-sink",
            vec![(2, 223), (20 * 64, 350)],
            "holds the number",
        ),
        ("half-a-mile-low", vec![(64, 0)], "holds the path"),
        ("a-mile-out", vec![(64, 0)], "holds the path"),
    ] {
        let drill = shipped(id);
        let run = hands::fly(drill.clone(), 1, &mut Script::new(log));
        let weighed = weigh(&run, Some(pars(&drill, 1)));
        let told = weighed.told();
        let told: Vec<&str> = told.iter().map(|line| line.sentence.as_str()).collect();
        assert!(
            told.iter().any(|said| said.contains(held)),
            "{id}: {told:#?}"
        );
    }
}

/// Par is the mean over phases of looks, so that a run of the same hand may be a hundredth below it.
#[test]
fn what_is_shown_as_par_is_praised_as_par() {
    let drill = shipped("catch-the-sink");
    let mut steady = hands::built_in(HandName::Steady, &drill, 0).unwrap();
    let run = hands::fly(drill.clone(), 0, &mut *steady);
    let weighed = weigh(&run, Some(pars(&drill, 0)));
    let points = weighed.score.points.unwrap();
    assert!((74.5..75.0).contains(&points), "{points}");
    assert!(
        weighed.first.starts_with("As good as par: "),
        "{}",
        weighed.first
    );
}

/// The line and the figure of the score count the same time.
#[test]
fn too_steep_is_as_long_in_the_bill_as_among_the_figures() {
    let drill = shipped("catch-the-sink");
    let mut green = hands::built_in(HandName::Green, &drill, 0).unwrap();
    let run = hands::fly(drill.clone(), 0, &mut *green);
    let weighed = weigh(&run, Some(pars(&drill, 0)));
    let lines = &weighed.bills[0].lines;
    let line = lines.iter().find(|line| line.kind == LineKind::TooSteep);
    let steep_s = weighed.score.tasks[0].number(Key::SteepS).unwrap();
    assert!(steep_s > 3.0, "{steep_s}");
    assert_eq!(line.expect("a line of it").amount, steep_s);
}

/// A first move three times too large is not called late for coming a second and a half late.
#[test]
fn who_moves_far_too_much_is_not_told_that_it_came_a_little_late() {
    let id = "level-over-the-tarn";
    let drill = shipped(id);
    let run = hands::fly(drill.clone(), 1, &mut Script::new(vec![(128, 230)]));
    let first = weigh(&run, Some(pars(&drill, 1))).first;
    assert!(!first.contains("late:"), "{first}");
    assert!(first.contains("take the lever to 33"), "{first}");
    // Nor is it said to have stayed off the number: it goes on down.
    assert!(!first.contains("stayed"), "{first}");
}

/// A person answers within a second: a first move 0.7 s after the better flight's is not late, 1.6 s after is.
#[test]
fn who_answers_within_a_second_is_not_late() {
    let drill = shipped("half-a-mile-on-it");
    let pars = pars(&drill, 1);
    let [soon, late] = [1.6, 2.5].map(|s| page(&drill.id, pars, &drill, Waits(s)));
    assert!(!soon.contains("moved"), "{soon}");
    assert!(late.contains("moved 2.5 s late"), "{late}");
}

/// A hold is flawless, and needs no par, up to an error of a hundredth of a foot.
#[test]
fn what_is_flawless_to_the_hundredth_needs_no_par() {
    for (off_ft, needs) in [(0.0075, false), (0.0125, true)] {
        let text = format!(
            "title = 'T'\nabout = 'A'\naircraft = 'deck-jet'\n[start]\naltitude_ft = 1000\n\
             [[task]]\nhold = {{ altitude_ft = {}, band_ft = 20, seconds = 5 }}\n",
            1000.0 + off_ft
        );
        let run = hands::fly(
            Arc::new(made_of(&text).unwrap()),
            1,
            &mut Script::new(Vec::new()),
        );
        assert_eq!(is_needed(&run), needs, "{off_ft} ft");
    }
}

/// Prints all debriefs: `ONLY` names a drill, `HOW` a way.
#[test]
#[ignore = "a page to read"]
fn read_them_all() {
    let [only, how] = ["ONLY", "HOW"].map(|name| std::env::var(name).ok());
    for drill in all_shipped() {
        let id = &drill.id;
        if only.as_ref().is_some_and(|only| only != id) {
            continue;
        }
        let pars = pars(&drill, 1);
        for badly in ALL {
            if how
                .as_ref()
                .is_none_or(|how| format!("{badly:?}").starts_with(how))
            {
                print!("{}", page(id, pars, &drill, badly));
            }
        }
    }
}

#[test]
fn a_call_has_its_points_in_reach_and_is_told_either_way() {
    let drill = shipped("no-room-left");
    let pars = pars(&drill, 1);
    let weighed = |log: &[(u64, u16)]| {
        let run = hands::fly(drill.clone(), 1, &mut Script::new(log.to_vec()));
        let weighed = weigh(&run, Some(pars));
        (story::tell(&run, &weighed.score).join(" "), weighed)
    };
    let ((ended, left), (_, obeyed)) = (weighed(&[]), weighed(&pars.steady));
    let told = "a go-around was called and not flown";
    assert!(ended.contains(told), "{ended}");
    let working = working::lines(&left.score.tasks[0]);
    assert_eq!(working, [format!("{told}: 0 points")]);
    assert!((left.bills[0].in_reach - 25.0).abs() < 1e-9, "{left:?}");
    let told = "25 points. Next time full power as soon as a go-around is called.";
    assert!(left.first.ends_with(told), "{}", left.first);
    let lost: f64 = left.bills[0].lines.iter().map(|line| line.points).sum();
    assert!((lost - 25.0).abs() < 1e-9, "{lost}");
    assert_eq!(
        obeyed.first,
        "You went around when it was called: 25 of the 25 points that were in reach."
    );
}

/// The wind dies on the way down; full power comes long after the call.
#[test]
fn a_go_around_flown_long_after_the_call_is_not_praised_as_flown_when_called() {
    let text = "title = 'T'\nabout = 'A'\naircraft = 'first-jet'\n[start]\naltitude_ft = 900\ndistance_nm = 3\n\
        [air]\nheadwind_kt = 22\nshift_kt = -16\nshift_at_s = 75\nshift_over_s = 6\n\
        [deck]\nheight_ft = 40\nzone_ft = 400\n\
        [[task]]\npath = { slope_deg = 4, from_nm = 2.0, band_ft = 70, gates_nm = [1.2, 0.6] }\n";
    let drill = Arc::new(made_of(text).unwrap());
    let pars = pars(&drill, 1);
    let weighed = |full_s: u64| {
        let log = vec![(64 * 49, 215), (64 * full_s, 1000)];
        let run = hands::fly(drill.clone(), 1, &mut Script::new(log));
        let weighed = weigh(&run, Some(pars));
        let told = story::tell(&run, &weighed.score).join(" ");
        (weighed.first, told)
    };
    let (late, ended) = weighed(113);
    assert!(
        late.contains("but full power came 26 s after the call"),
        "{late}"
    );
    assert!(ended.contains("full power 26 s after the call"), "{ended}");
    let (prompt, ended) = weighed(89);
    assert!(
        prompt.starts_with("You went around when it was called"),
        "{prompt}"
    );
    assert!(ended.starts_with("Gone around as called"), "{ended}");
}

/// Too steep on the way up: a floor for the lever is the wrong way.
#[test]
fn who_climbs_too_steeply_is_not_told_to_keep_the_power_up() {
    let log = vec![(64, 500), (1008, 378)];
    let first = weighed(
        "deck-jet",
        "altitude_ft = 1500",
        "step = { to_ft = 1900, band_ft = 25, hold_s = 20, within_s = 90 }",
        log,
    );
    let steep = first.bills[0].lines.iter();
    let steep = steep.filter(|line| line.kind == LineKind::TooSteep);
    let told: Vec<&str> = steep.map(|line| &*line.sentence).collect();
    assert!(!told.is_empty(), "{first:?}");
    assert!(
        told.iter().all(|told| !told.contains("do not go below")),
        "{told:?}"
    );
}

#[test]
fn a_lever_that_was_hardly_moved_is_told_where_it_was_left() {
    let drill = shipped("catch-the-sink");
    let pars = pars(&drill, 1);
    let run = hands::fly(drill, 1, &mut Script::new(vec![(4 * 64, 213)]));
    let first = weigh(&run, Some(pars)).first;
    assert!(first.starts_with("You left the lever at 21.3 %"), "{first}");
}

/// The first sentence for a lever script, (s, thousandths), on one task in the prop trainer.
fn first_line(start: &str, task: &str, log: &[(f64, u16)]) -> String {
    let log = log.iter().map(|(t_s, lever)| ((64.0 * t_s) as u64, *lever));
    weighed("prop-trainer", start, task, log.collect()).first
}

/// A pilot who begins with too much power and keeps the rest of it has made no move towards the number, and none that stops.
#[test]
fn who_goes_with_what_is_left_and_stops_nowhere_never_levelled_off() {
    let start = "altitude_ft = 800\nlever_off = 0.4";
    let climb = "step = { to_ft = 1000, band_ft = 20, hold_s = 10, within_s = 60 }";
    let never = first_line(start, climb, &[(0.5, 850)]);
    assert!(
        never.starts_with("You never levelled off and went"),
        "{never}"
    );
    assert!(never.contains("Next time take the lever to"), "{never}");
    let stopped = first_line(start, climb, &[(0.5, 850), (27.0, 640)]);
    assert!(!stopped.contains("never"), "{stopped}");
}

/// Six taps, three a second, are one move, not six moves too small to count.
#[test]
fn who_taps_slowly_has_moved_the_lever() {
    let drill = shipped("catch-the-sink");
    let pars = pars(&drill, 1);
    let taps = (0..6).map(|tap| (64 + 21 * tap, 213 - 10 * tap as u16));
    let run = hands::fly(drill, 1, &mut Script::new(taps.collect()));
    let first = weigh(&run, Some(pars)).first;
    assert!(first.starts_with("You never levelled off"), "{first}");
}

/// Slowing in asks for idle: bringing the power up half a second late is not leaving the lever at idle; waiting once slow is.
#[test]
fn idle_is_not_left_there_while_it_is_asked_for() {
    let start = "altitude_ft = 1000\noff_speed_kt = 20";
    let slow = "slow = { band_ft = 40, hold_s = 10, within_s = 60 }";
    let late = first_line(start, slow, &[(0.5, 0), (11.0, 700), (14.5, 560)]);
    assert!(late.contains("less power than needed"), "{late}");
    let left = first_line(start, slow, &[(0.5, 0)]);
    assert!(left.contains("left the lever at idle"), "{left}");
}

/// A hold that begins on its number asks for nothing at first: a move much later did not go the wrong way. Where the better
/// flight makes no move worth mentioning, the advice is to leave the lever.
#[test]
fn who_makes_one_move_too_many_is_told_where_to_leave_the_lever() {
    let start = "altitude_ft = 1000";
    let hold = "hold = { altitude_ft = 1000, band_ft = 30, seconds = 60 }";
    let stays = first_line(start, hold, &[(30.0, 700)]);
    assert!(stays.contains("12.6 % "), "{stays}");
    assert!(stays.contains(" 57.5 %"), "{stays}");
    assert!(!stays.contains("had to come off"), "{stays}");
    let back = first_line(start, hold, &[(16.0, 520), (24.0, 570)]);
    assert!(back.contains("leave the lever at 57.5 %"), "{back}");
}

/// A lever script on one task, flown and weighed.
fn weighed(aircraft: &str, start: &str, task: &str, log: Vec<(u64, u16)>) -> Weighed {
    let drill = of_tasks(aircraft, start, &[task]);
    let pars = pars(&drill, 1);
    weigh(&hands::fly(drill, 1, &mut Script::new(log)), Some(pars))
}

/// The lever was not left at idle: it stood there when the run began.
#[test]
fn a_lever_that_began_at_idle_and_was_never_moved_was_never_moved() {
    let hold = "hold = { altitude_ft = 1500, band_ft = 200, seconds = 30 }";
    let weighed = weighed(
        "deck-jet",
        "altitude_ft = 1500\nlever = 0",
        hold,
        Vec::new(),
    );
    let kinds = Vec::from_iter(weighed.told().iter().map(|line| line.kind));
    assert_eq!(kinds.first(), Some(&LineKind::NeverMoved), "{kinds:?}");
    assert!(!kinds.contains(&LineKind::LeftAtIdle), "{kinds:?}");
}

#[test]
fn a_rate_that_is_not_reached_is_told_with_its_side_and_terms_that_add_up() {
    let rate = "rate = { to_fpm = -600, band_fpm = 80, hold_s = 20, within_s = 60 }";
    let weighed = weighed("deck-jet", "altitude_ft = 2500", rate, vec![(64, 330)]);
    let told = "ft/min above the rate without correcting it";
    assert!(weighed.first.contains(told), "{}", weighed.first);
    for line in weighed.told() {
        let sum: f64 = line.terms.unwrap().iter().sum();
        assert!((sum - line.cost).abs() < 1e-9, "{line:?}");
    }
}

/// The first sentence where nothing was in reach from the beginning of a leg.
fn out_of_reach(run: &Run, leg: usize) -> String {
    let mut score = score::score(run);
    score.points = Some(0.0);
    let bill = Bill {
        leg,
        task: run.legs()[leg].task + 1,
        in_reach: 0.0,
        points: 0.0,
        reach: Vec::new(),
        lines: Vec::new(),
    };
    words::first(run, &score, &[bill])
}

#[test]
fn what_was_out_of_reach_is_told_with_its_number_and_where_it_began() {
    let steady = |drill: &Arc<Drill>| {
        let mut hand = hands::built_in(HandName::Steady, drill, 1).unwrap();
        hands::fly(drill.clone(), 1, &mut *hand)
    };
    // The tasks of a surprise are counted one by one.
    let run = steady(&shipped("what-the-rock-calls"));
    let told = out_of_reach(&run, 2);
    assert!(told.starts_with("Task 1.3 began "), "{told}");
    // A rate leaves nothing at rest, a step does.
    let [down, up] = [-600, 400].map(|to_fpm| {
        format!("rate = {{ to_fpm = {to_fpm}, band_fpm = 250, hold_s = 8, within_s = 40 }}")
    });
    let step = "step = { to_ft = 1600, band_ft = 30, hold_s = 8, within_s = 120 }";
    let drill = of_tasks("deck-jet", "altitude_ft = 2500", &[&down, step, &up]);
    let run = steady(&drill);
    let told = out_of_reach(&run, 1);
    assert!(told.starts_with("Task 2 began "), "{told}");
    assert!(told.ends_with("no points were in reach."), "{told}");
    let told = out_of_reach(&run, 2);
    assert!(told.ends_with("at rest on its number."), "{told}");
}

/// Who never left level is already inside the band of a gentle rate when it is asked for.
#[test]
fn a_task_that_begins_inside_its_band_is_told_to_have_asked_for_nothing() {
    let rate = |to_fpm: i32| {
        format!("rate = {{ to_fpm = {to_fpm}, band_fpm = 250, hold_s = 8, within_s = 10 }}")
    };
    let drill = of_tasks("deck-jet", "altitude_ft = 2500", &[rate(-600), rate(-200)]);
    let run = hands::fly(drill, 1, &mut Script::new(Vec::new()));
    assert_eq!(
        out_of_reach(&run, 1),
        "Task 2 began inside its own band, so it asked for nothing: no points were in reach."
    );
}

/// The vertical speed leaves a band of its own: at -450 ft/min nothing rises.
#[test]
fn a_rate_that_is_left_is_left_to_a_side_and_neither_rises_nor_sinks_out_of_it() {
    let rate = "rate = { to_fpm = -600, band_fpm = 80, hold_s = 20, within_s = 60 }";
    let drill = of_tasks("deck-jet", "altitude_ft = 2500", &[rate]);
    for (by, side) in [(-150, "low"), (150, "high")] {
        let first = par_but(&drill, 16.0..30.0, by);
        let told = format!("; it left the band on the {side} side: ");
        assert!(first.contains(&told), "{first}");
    }
}

/// A lever a hair above idle where idle is asked for: to say that it was at idle would be no reproach.
#[test]
fn a_lever_just_above_idle_that_was_too_high_is_not_told_to_have_been_at_idle() {
    let drill = shipped("off-the-fast-road");
    let pars = pars(&drill, 1);
    let log = pars
        .best
        .iter()
        .map(|(tick, lever)| (*tick, 12.max(*lever)));
    let run = hands::fly(drill, 1, &mut Script::new(log.collect()));
    let weighed = weigh(&run, Some(pars));
    let told = weighed.told();
    let high = told.iter().find(|line| line.kind == LineKind::LeverHigh);
    let told = &high.unwrap().sentence;
    assert!(told.contains("you had 1.2 % more power"), "{told}");
}

/// Seven quick turns, then the lever left alone for the rest of a minute: most of the time it did not go to and fro.
#[test]
fn a_few_turns_at_the_beginning_are_no_going_to_and_fro() {
    let hold = "hold = { altitude_ft = 1500, band_ft = 30, seconds = 60 }";
    let turns = (1..8).map(|n| (64 * n, if n % 2 == 1 { 530 } else { 230 }));
    let log = turns.chain([(64 * 8, 430)]).collect();
    let weighed = weighed("deck-jet", "altitude_ft = 1500", hold, log);
    let kinds = Vec::from_iter(weighed.told().iter().map(|line| line.kind));
    assert!(
        !kinds.is_empty() && !kinds.contains(&LineKind::LeverByTurns),
        "{kinds:?}"
    );
}

/// The first sentence for a lever script, (s, thousandths), on a drill that ships.
fn first_on(id: &str, log: &[(f64, u16)]) -> String {
    let drill = shipped(id);
    let log = log.iter().map(|(t_s, lever)| ((64.0 * t_s) as u64, *lever));
    let run = hands::fly(drill.clone(), 1, &mut Script::new(log.collect()));
    weigh(&run, Some(pars(&drill, 1))).first
}

/// The first sentence for the flight of `steady` with `by` thousandths more lever for some seconds.
fn par_but(drill: &Arc<Drill>, s: Range<f64>, by: i32) -> String {
    let steady = &pars(drill, 1).steady;
    let [from, to] = [s.start, s.end].map(|s| (64.0 * s) as u64);
    let lever = |tick: u64| {
        let set = steady[steady.partition_point(|(at, _)| *at <= tick) - 1].1;
        let more = if (from..to).contains(&tick) { by } else { 0 };
        (tick, (i32::from(set) + more).clamp(0, 1000) as u16)
    };
    let moved = steady.iter().map(|(tick, _)| *tick).chain([from, to]);
    let mut ticks = Vec::from_iter(moved);
    ticks.sort_unstable();
    let log = ticks.into_iter().map(lever).collect();
    let run = hands::fly(drill.clone(), 1, &mut Script::new(log));
    weigh(&run, Some(pars(drill, 1))).first
}

/// A skilled approach with a dive, or a pull, at its very end: reported with its own few seconds and its own size, not as
/// corrections that were too large, nor spread over the time before.
#[test]
fn what_spoilt_the_end_of_a_good_approach_is_told_where_it_was() {
    for (by, side) in [(-120, "less"), (120, "more")] {
        let first = par_but(&shipped("a-mile-out"), 32.75..60.0, by);
        let when = first.starts_with("From 0:32 to 0:3") || first.starts_with("From 0:33 to 0:3");
        let told = format!("% {side} power than needed");
        assert!(when && first.contains(&told), "{first}");
        let percent = first.split("had ").nth(1).unwrap().split(' ').next();
        let percent: f64 = percent.unwrap().parse().unwrap();
        assert!((9.0..=15.0).contains(&percent), "{first}");
    }
}

/// One large chop among small corrections, given back after four seconds.
#[test]
fn a_chop_is_not_told_as_corrections_that_were_too_large() {
    let first = par_but(&shipped("a-mile-out"), 21.5..25.5, -150);
    assert!(first.contains("less power than needed"), "{first}");
}

/// Half the power needed, kept for a minute, was not off by turns.
#[test]
fn a_lever_that_stood_still_was_not_off_by_turns() {
    let levers = [
        (12.6, 327),
        (63.2, 391),
        (68.2, 376),
        (76.2, 275),
        (78.2, 305),
        (80.2, 340),
        (84.2, 370),
    ];
    let first = first_on("quarry-stair", &levers);
    assert!(!first.contains("alternated"), "{first}");
    assert!(!first.contains("at a time"), "{first}");
}

/// Power on and off about what holds the height kept, in place of coming down: that is no lack of corrections.
#[test]
fn who_chases_far_from_the_number_is_not_told_that_nothing_was_corrected() {
    let chased = |above: u16, below: u16| {
        let turns = (0..20).map(|n| {
            (
                0.5 + 4.0 * f64::from(n),
                if n % 2 == 0 { above } else { below },
            )
        });
        first_on("catch-the-sink", &Vec::from_iter(turns))
    };
    let chaser = chased(450, 280);
    assert!(
        chaser.contains("ft high and no correction lasted"),
        "{chaser}"
    );
    let restless = chased(372, 358);
    assert!(
        restless.contains("ft high without correcting it"),
        "{restless}"
    );
}

/// Full power to the end is a worse fault than its lateness, and no wrong idea of level power.
#[test]
fn who_leaves_it_at_full_power_is_told_that() {
    let first = first_on("level-over-the-tarn", &[(13.0, 1000)]);
    assert!(
        first.starts_with("From 0:13 you left the lever at full power"),
        "{first}"
    );
}

/// Amounts in seconds are what a clock beside the lever would show.
#[test]
fn how_long_something_lasted_is_told_to_the_tenth() {
    let hold = "hold = { altitude_ft = 1500, band_ft = 200, seconds = 60 }";
    let full = weighed(
        "deck-jet",
        "altitude_ft = 1500",
        hold,
        vec![(64 * 13, 1000)],
    );
    assert!(
        full.first.contains("at full power, for 47 s"),
        "{}",
        full.first
    );

    let drill = shipped("no-room-left");
    let run = hands::fly(drill.clone(), 1, &mut Script::new(Vec::new()));
    let weighed = weigh(&run, Some(pars(&drill, 1)));
    let (called, _) = run.legs()[0].approach.called.unwrap();
    let missed = weighed.told()[0];
    assert_eq!(missed.kind, LineKind::CallMissed);
    assert_eq!(missed.amount, (missed.to - called) as f64 / 64.0);
    assert!(missed.amount > 1.0, "{missed:?}");
}

/// Advice includes the move that stops: without its last moves the brief's recipe goes on into the ground.
#[test]
fn what_is_to_be_done_is_told_as_far_as_the_move_that_stops_it() {
    let first = first_on("out-of-idle", &[]);
    assert!(first.contains("ft to go"), "{first}");
    let first = first_on("slow-for-the-geese", &[]);
    assert!(first.contains("kt fast, then to"), "{first}");
}

/// Slowing in, far too much power counts as that, whenever it came.
#[test]
fn power_that_is_far_too_much_did_not_come_late() {
    let first = first_on("a-narrow-gap", &[(0.8, 0), (26.1, 742), (34.1, 492)]);
    assert!(first.contains("more power than needed"), "{first}");
}

/// It sinks from the beginning, so power that stops it near the number is the stop, perhaps too large, and not the wrong way.
#[test]
fn who_stops_a_descent_that_was_under_way_did_not_move_the_wrong_way() {
    let first = first_on("catch-the-sink", &[(20.5, 450), (23.5, 400)]);
    assert!(!first.contains("had to come off"), "{first}");
    assert!(first.contains("more power than needed"), "{first}");
    assert!(first.contains("with about 22.5 %"), "{first}");
}

#[test]
fn who_levels_off_beyond_the_number_did_so_far_too_late() {
    let step = "step = { to_ft = 1200, band_ft = 20, hold_s = 10, within_s = 90 }";
    let log = vec![(64, 200), (28 * 64, 480), (31 * 64, 410)];
    let first = weighed("deck-jet", "altitude_ft = 1500", step, log).first;
    let told = "You began to level off far too late and went 261 ft past the number";
    assert!(first.starts_with(told), "{first}");
    // The recipe's second move comes too soon after the first for a cue in feet.
    assert!(first.contains("then to 26.5 % 2.5 s later"), "{first}");
}

/// A later task begins where the one before it ended: a line of the earlier one that cost nearly as much comes first, as line 1
/// of the bill.
#[test]
fn an_earlier_task_that_cost_nearly_as_much_is_told_first() {
    let drill = shipped("cliff-top");
    let run = hands::fly(drill.clone(), 1, &mut Script::new(Vec::new()));
    let weighed = weigh(&run, Some(pars(&drill, 1)));
    let told = weighed.told();
    assert!(told[1].points > told[0].points, "{told:?}");
    assert_eq!([told[0].leg, told[1].leg], [0, 1]);
    assert_eq!(weighed.first, told[0].sentence);
}

/// A single late stop is no series of corrections that were too large.
#[test]
fn who_made_one_move_is_not_told_to_make_smaller_ones() {
    let first = first_on("quarry-stair", &[(14.0, 265), (45.0, 380)]);
    assert!(first.contains("less power than needed"), "{first}");
    assert!(!first.contains("count four"), "{first}");
    assert!(first.contains("ft to go"), "{first}");
}

/// The time from the beginning of a line to an uncalled go-around.
#[test]
fn who_goes_around_uncalled_is_told_how_long_that_took() {
    let drill = shipped("onto-the-shelf");
    let pars = pars(&drill, 1);
    let run = hands::fly(drill, 1, &mut Script::new(vec![(2 * 64, 1000)]));
    let weighed = weigh(&run, Some(pars));
    let told = weighed.told();
    let line = told.iter().find(|line| line.kind == LineKind::NotCalled);
    let line = line.expect("uncalled");
    assert_eq!((line.from, line.to, line.amount), (2 * 64, 3 * 64, 1.0));
}

/// The first sentence is about the line that led into the surface, which is line 1 of the bill.
#[test]
fn the_line_that_led_to_a_fault_is_the_first() {
    let drill = shipped("boat-slip");
    let pars = pars(&drill, 1);
    let run = hands::fly(drill.clone(), 1, &mut Beginner::new(&drill, NeverLevels));
    let weighed = weigh(&run, Some(pars));
    let told = weighed.told();
    assert!(told[1].points > told[0].points, "{told:?}");
    assert_eq!(told[0].leg + 1, run.legs().len());
    assert!(
        weighed.first.ends_with(&told[0].sentence),
        "{}",
        weighed.first
    );
}

/// The brief begins with a large move that is taken back after a few seconds; here it is kept for three or six more.
#[test]
fn who_keeps_the_first_move_too_long_is_told_for_how_long() {
    let first = |id: &str, longer_s: f64| {
        let drill = shipped(id);
        let pars = pars(&drill, 1);
        let run = hands::fly(
            drill.clone(),
            1,
            &mut Beginner::new(&drill, Keeps(longer_s)),
        );
        weigh(&run, Some(pars)).first
    };
    for (id, longer_s, kept, next) in [
        ("empty-crates", 3.0, "62.5 % 2.9 s", "to 46.5 % 3.5 s later"),
        ("idle-and-late", 6.0, "84 % 5.6 s", "to 32.5 % 3.5 s later"),
        ("half-a-mile-high", 3.0, "9.5 % 3 s", "to 21.5 % 4 s later"),
        ("cliff-top", 6.0, "57.5 % 6 s", "to 49.5 % 4.5 s later"),
    ] {
        let told = first(id, longer_s);
        let said = format!("You kept the lever at {kept} too long");
        assert!(told.starts_with(&said) && told.contains(next), "{told}");
    }
    // Half a second is within anybody's accuracy.
    for id in ["empty-crates", "half-a-mile-high", "cliff-top"] {
        let told = first(id, 0.5);
        assert!(!told.contains("too long"), "{told}");
    }
    // Without moves of the lever there are no corrections that were too large.
    let told = first("a-mile-out", 6.0);
    assert!(!told.contains(" 0 %"), "{told}");
}

#[test]
fn nobody_is_told_to_wait_for_no_time() {
    let chases = |k: u16| {
        (
            1.0 + 4.0 * f64::from(k),
            if k.is_multiple_of(2) { 80 } else { 480 },
        )
    };
    let told = first_on("boat-slip", &Vec::from_iter((0..20).map(chases)));
    assert!(told.contains("Next time go back to"), "{told}");
    assert!(told.ends_with("at once."), "{told}");
}
