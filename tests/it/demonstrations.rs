//! Hands that show a fault: each fault costs points where there is room for it, and every drill has room for some.

use std::sync::Arc;

use leveloff::drill::Drill;
use leveloff::hands::{self, shows};
use leveloff::run::recording::HandName;
use leveloff::why;

use crate::flying::{all_shipped, shipped};
use crate::kept::{self, pars, weigh};

/// Hands that show a fault.
const DEMONSTRATIONS: [HandName; 9] = [
    HandName::LevelOffLate,
    HandName::LevelOffEarly,
    HandName::PowerTooMuch,
    HandName::PowerTooLittle,
    HandName::SecondMoveMissing,
    HandName::Pumping,
    HandName::LevelPowerOff,
    HandName::DescentLate,
    HandName::DescentEarly,
];

/// Every fault costs points against the brief that it spoils, and the bill accounts for them.
#[test]
fn a_fault_that_is_shown_costs_and_is_told() {
    const SHOWN: [(&str, &[(HandName, f64)]); 6] = [
        (
            "quarry-stair",
            &[
                (HandName::LevelOffLate, 40.0),
                (HandName::LevelOffEarly, 15.0),
            ],
        ),
        (
            "boat-slip",
            &[
                (HandName::PowerTooMuch, 30.0),
                (HandName::PowerTooLittle, 15.0),
            ],
        ),
        ("flint-edges", &[(HandName::SecondMoveMissing, 35.0)]),
        ("cliff-top", &[(HandName::SecondMoveMissing, 35.0)]),
        (
            "level-over-the-tarn",
            &[(HandName::Pumping, 30.0), (HandName::LevelPowerOff, 10.0)],
        ),
        (
            "supply-ship",
            &[(HandName::DescentLate, 40.0), (HandName::DescentEarly, 5.0)],
        ),
    ];
    for (id, faults) in SHOWN {
        let drill = shipped(id);
        let pars = Some(pars(&drill, 1));
        let fly = |hand| {
            let mut hand = hands::built_in(hand, &drill, 1).unwrap();
            hands::fly(drill.clone(), 1, &mut *hand)
        };
        let by_brief = hands::fly(drill.clone(), 1, &mut kept::by_brief(&drill));
        let by_brief = why::score(&by_brief, pars);
        for (hand, least) in faults {
            let spoilt = weigh(&fly(*hand), pars);
            let [good, bad] = [&by_brief, &spoilt.score].map(|score| score.points.unwrap());
            assert!(good - bad >= *least, "{id} {hand:?}: {good} {bad}");
            let told: f64 = spoilt.told().iter().map(|line| line.points).sum();
            let bills = spoilt.bills.iter();
            let lost: f64 = bills.map(|bill| bill.in_reach - bill.points).sum();
            assert!(told >= 0.9 * lost, "{id} {hand:?}: {told} of {lost}");
        }
    }
}

/// The demonstrations that the README offers get the name of their fault; what the brief says is not blamed.
#[test]
fn a_level_off_off_its_time_is_called_that() {
    for (id, hand, key) in [
        ("quarry-stair", HandName::LevelOffLate, "level_off_late"),
        ("flint-edges", HandName::LevelOffLate, "level_off_late"),
        ("flint-edges", HandName::LevelOffEarly, "level_off_early"),
        ("gannet-ledges", HandName::LevelOffEarly, "level_off_early"),
    ] {
        let drill = shipped(id);
        let mut spoilt = hands::built_in(hand, &drill, 1).unwrap();
        let run = hands::fly(drill.clone(), 1, &mut *spoilt);
        let weighed = weigh(&run, Some(pars(&drill, 1)));
        assert_eq!(weighed.told()[0].kind.key(), key, "{id}: {}", weighed.first);
    }
}

#[test]
fn every_drill_shows_some_faults_and_every_fault_is_shown_on_some_drills() {
    let drills: Vec<Arc<Drill>> = all_shipped().collect();
    let faults = |drill: &Drill| {
        DEMONSTRATIONS
            .iter()
            .filter(|hand| shows(**hand, drill))
            .count()
    };
    for drill in &drills {
        // More can go wrong in a change than in a hold.
        let is_hold = |task: &leveloff::drill::Task| task.kind.name() == "hold";
        let least = match drill.tasks.iter().all(is_hold) {
            true => 2,
            false => 4,
        };
        assert!(faults(drill) >= least, "{}", drill.id);
        for unblemished in [HandName::Steady, HandName::Green, HandName::Best] {
            assert!(shows(unblemished, drill));
        }
    }
    for hand in DEMONSTRATIONS {
        let count = drills.iter().filter(|drill| shows(hand, drill)).count();
        assert!(3 * count >= drills.len(), "{hand:?}: {count}");
    }
}

fn name(hand: HandName) -> String {
    serde_json::to_string(&hand).unwrap().replace('"', "")
}

/// Prints the dearest line of each hand's flight, for every drill that ships.
#[test]
#[ignore = "a page to read"]
fn pages_of_demonstrations() {
    for hand in DEMONSTRATIONS {
        let (mut named, mut all) = (0, 0);
        for drill in all_shipped().filter(|drill| shows(hand, drill)) {
            let run = hands::fly(
                drill.clone(),
                1,
                &mut *hands::built_in(hand, &drill, 1).unwrap(),
            );
            let weighed = weigh(&run, Some(pars(&drill, 1)));
            let told = weighed.told();
            let key = told.first().map_or("nothing", |line| line.kind.key());
            let is_named = told.iter().any(|line| line.kind.key() == name(hand));
            all += 1;
            named += usize::from(key == name(hand));
            let points = weighed.score.points.unwrap_or(0.0);
            println!(
                "{}, {}: {points:.0} points, {key}, {is_named}: {}",
                name(hand),
                drill.id,
                weighed.first
            );
        }
        println!("== {}: {named} of {all}", name(hand));
    }
}
