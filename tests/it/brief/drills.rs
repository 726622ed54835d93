//! Briefs of drills: level-offs flown in a run, and the questions that come before.

use std::sync::Arc;
use std::time::Instant;

use leveloff::brief::carry_on::CarryOn;
use leveloff::brief::level_off::{LEVER_PER_S, Planned, SecondMove};
use leveloff::brief::{DrillBrief, Predict};
use leveloff::drill::{Drill, library};
use leveloff::hands::{self, Hand, Sight};
use leveloff::run::{Run, thousandths};
use leveloff::sim::trim;
use leveloff::units::{DEG, FPM, FT, KT, TICKS_PER_S};

use super::{assert_near, assert_readable, drill_of, shipped};

/// A hand that flies a brief: power to go, level power at the height to go, and then perhaps the second move.
struct Briefed {
    altitude_m: f64,
    to_go_m: f64,
    go_lever: f64,
    level_lever: f64,
    second: Option<SecondMove>,
    begun: Option<u64>,
}

impl Hand for Briefed {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if (self.altitude_m - sight.altitude_m).abs() <= self.to_go_m {
            self.begun.get_or_insert(sight.tick);
        }
        let wanted = match (self.begun, self.second) {
            (None, _) => self.go_lever,
            (Some(_), None) => self.level_lever,
            (Some(begun), Some(second)) => {
                let s = (sight.tick - begun) as f64 / TICKS_PER_S as f64;
                let moved = (second.after_s..second.after_s + second.for_s).contains(&s);
                self.level_lever
                    + if moved {
                        second.move_percent / 100.0
                    } else {
                        0.0
                    }
            }
        };
        let most = LEVER_PER_S / TICKS_PER_S as f64;
        let next = sight.lever + (wanted - sight.lever).clamp(-most, most);
        Some(thousandths(next))
    }
}

/// One step of a drill flown as its brief says, from the start.
fn flown(drill: &Drill, brief: &DrillBrief, with_second: bool) -> Run {
    let task = &brief.tasks[0];
    let go = task.go.unwrap();
    let level_off = go.level_off.unwrap();
    let mut hand = Briefed {
        altitude_m: task.altitude_ft.unwrap() * FT,
        to_go_m: level_off.to_go_ft * FT,
        go_lever: go.lever.unwrap(),
        level_lever: task.level_lever.unwrap(),
        second: go.second_move.filter(|_| with_second),
        begun: None,
    };
    hands::fly(Arc::new(drill.clone()), 1, &mut hand)
}

fn one_step(name: &str, start: &str, to_ft: f64) -> Drill {
    drill_of(&format!(
        "title = \"t\"\nabout = \"a\"\naircraft = \"{name}\"\n[start]\naltitude_ft = 1500\n{start}\n\
         [[task]]\nstep = {{ to_ft = {to_ft}, band_ft = 10, hold_s = 1000, within_s = 200 }}\n"
    ))
}

/// Altitude of the first stop after the aeroplane has got going, ft, and of the next.
fn stops_ft(run: &Run, direction: f64) -> (f64, f64) {
    let points = run.trace().points();
    let fast = points
        .iter()
        .position(|p| p.state.vz_mps * direction > 60.0 * FPM)
        .unwrap();
    let first = fast
        + points[fast..]
            .iter()
            .position(|p| p.state.vz_mps * direction <= 0.0)
            .unwrap();
    let second = first
        + points[first..]
            .iter()
            .position(|p| p.state.vz_mps * direction > 0.0)
            .unwrap();
    (points[first].state.h_m / FT, points[second].state.h_m / FT)
}

#[test]
fn the_first_stop_lies_on_the_number() {
    for shipped in library::AIRCRAFT {
        let name = shipped.aircraft().unwrap().name;
        let small = if name == "prop trainer" { 90.0 } else { 130.0 };
        for change in [-4.0 * small, -small, small, 4.0 * small] {
            let to_ft = 1500.0 + change;
            let drill = one_step(&name, "", to_ft);
            let brief = DrillBrief::new(&drill);
            let level_off = brief.tasks[0].go.unwrap().level_off.unwrap();
            let (first, second) = stops_ft(&flown(&drill, &brief, false), change.signum());
            assert_near(&format!("{name} {change}: first stop"), first, to_ft, 1.0);
            let back = (second - first).abs();
            assert_near(
                &format!("{name} {change}: swing"),
                back,
                level_off.swings_back_ft.unwrap(),
                1.0,
            );
        }
    }
}

#[test]
fn the_second_move_keeps_it_there() {
    for shipped in library::AIRCRAFT {
        let name = shipped.aircraft().unwrap().name;
        for change in [-300.0, 300.0] {
            let drill = one_step(&name, "", 1500.0 + change);
            let brief = DrillBrief::new(&drill);
            let go = brief.tasks[0].go.unwrap();
            let (level_off, second) = (go.level_off.unwrap(), go.second_move.unwrap());
            let run = flown(&drill, &brief, true);
            let begun = run.trace().points().iter().position(|p| {
                (p.state.h_m / FT - level_off.altitude_ft).abs() <= level_off.to_go_ft
            });
            let end =
                begun.unwrap() + ((second.after_s + second.for_s) * TICKS_PER_S as f64) as usize;
            let settled = &run.trace().points()[end + 2..end + 20 * TICKS_PER_S as usize];
            for point in settled {
                let off = point.state.h_m / FT - level_off.altitude_ft;
                let promised = second.stays_within_ft + 1.0;
                assert_near(&format!("{name} {change}"), off, second.stays_ft, promised);
            }
            // It is worth making: what it leaves is a small part of the swing.
            assert!(
                second.stays_within_ft < 0.15 * level_off.swings_back_ft.unwrap(),
                "{name} {second:?}"
            );
        }
    }
}

/// The table of carry-on is for a move at once; a level-off moves the lever at 0.4/s, which carries on for half the time the
/// move takes. From a steady path the two must agree.
#[test]
fn settled_level_offs_agree_with_the_carry_on() {
    for shipped in library::AIRCRAFT {
        let aircraft = shipped.aircraft().unwrap();
        let h_m = 450.0;
        let level_off = Planned::settled(&aircraft, h_m, -1.0).unwrap().level_off;
        let at_once = CarryOn::from(&aircraft, h_m + level_off.to_go_ft * FT, level_off.from_fpm);
        let down = trim::on_speed(&aircraft, h_m, -3.0 * DEG).lever;
        let move_s = (level_off.level_lever - down) / LEVER_PER_S;
        let wanted =
            at_once.first_stop_ft.unwrap() + 0.5 * move_s * level_off.from_fpm.abs() / 60.0;
        assert_near(&aircraft.name, level_off.to_go_ft, wanted, 0.6);
        assert_near(
            "ten percent",
            level_off.ten_percent_ft,
            0.1 * level_off.from_fpm.abs(),
            1e-9,
        );
    }
}

#[test]
fn a_step_that_begins_on_its_path_is_a_settled_one() {
    let drill = one_step("first jet", "path_deg = -3", 1300.0);
    let go = DrillBrief::new(&drill).tasks[0].go.unwrap();
    // Not to the foot: on the way down the air thickens and the same lever gives a little less than 3 degrees.
    assert_near(
        "to go",
        go.level_off.unwrap().to_go_ft,
        go.settled_to_go_ft.unwrap(),
        1.5,
    );
}

#[test]
fn a_brief_says_what_is_off_and_what_the_air_does() {
    let drill = drill_of(
        "title = \"t\"\nabout = \"a\"\naircraft = \"late jet\"\n\
         [start]\naltitude_ft = 1000\nlever_off = 0.06\noff_speed_kt = -4\n\
         [air]\nheadwind_kt = 15\ngusts = \"lively\"\n\
         [[task]]\nhold = { altitude_ft = 1000, band_ft = 20, seconds = 30 }\n\
         [[task]]\nstep = { to_ft = 200, band_ft = 20, hold_s = 20, within_s = 150 }\n",
    );
    let brief = DrillBrief::new(&drill);
    assert_near("off", brief.start.off_percent, 6.0, 1e-9);
    assert_near("slow", brief.start.off_speed_kt, -4.0, 1e-9);
    let level = trim::on_speed(&drill.aircraft, 1000.0 * FT, 0.0);
    assert_near(
        "hold",
        brief.tasks[0].level_lever.unwrap(),
        level.lever,
        1e-12,
    );
    assert_eq!(brief.tasks[0].go, None);
    let air = brief.air.unwrap();
    // MIL-F-8785C 3.7.3.2: u(200 ft) is 1.47060 of u(20 ft); 3.7.3.4: sigma_w is a tenth of the wind at 20 ft.
    assert_near("headwind", air.headwind_lowest_kt, 15.0 * 1.47060, 1e-3);
    assert_near("gusts", air.gust_up_rms_fpm, 0.1 * 8.0 * KT / FPM, 1e-9);
    assert_eq!(air.gusts, Some("lively"));
    let text = brief.lines().join("\n");
    for part in [
        "6.0 % of lever too much",
        "4 kt too slow",
        "headwind 27 kt at 1,000 ft, 22 kt at 200 ft",
        "gusts lively",
    ] {
        assert!(text.contains(part), "{part} in\n{text}");
    }
    assert_eq!(DrillBrief::new(&one_step("deck jet", "", 1200.0)).air, None);
}

#[test]
fn shipped_drills_have_briefs() {
    for shipped in library::DRILLS {
        let drill = shipped.drill().unwrap();
        let began = Instant::now();
        let brief = DrillBrief::new(&drill);
        // Under 20 ms where it is compiled for speed; the tests are not, and share the machine.
        assert!(
            began.elapsed().as_millis() < 500,
            "{} took {:?}",
            shipped.id,
            began.elapsed()
        );
        assert_readable(&brief.lines());
        assert_eq!(brief.tasks.len(), drill.tasks.len());
        let json = serde_json::to_value(&brief).unwrap();
        assert_eq!(json["schema"], 1);
        for task in &brief.tasks {
            assert!(task.level_lever.is_some());
            if let Some(go) = task.go {
                assert!(go.level_off.is_some(), "{} task {}", shipped.id, task.n);
                assert!(go.vertical_speed_fpm * go.change_ft > 0.0);
            }
        }
        // Second moves are given once for each direction.
        let seconds = brief
            .tasks
            .iter()
            .filter_map(|task| task.go?.second_move)
            .count();
        assert!(seconds <= 2);
    }
}

#[test]
fn predictions_are_held_against_what_is_flown() {
    let drill = one_step("deck jet", "", 1200.0);
    let brief = DrillBrief::new(&drill);
    let predict = Predict::of(&brief);
    let power = predict.level_power.as_ref().unwrap();
    let level = trim::on_speed(&shipped("deck jet"), 1200.0 * FT, 0.0);
    assert_near("power", power.truth, 100.0 * level.lever, 1e-9);
    let height = predict.level_off.as_ref().unwrap();
    assert_eq!(
        height.truth,
        brief.tasks[0].go.unwrap().level_off.unwrap().to_go_ft
    );

    assert!(power.compare(power.truth + 0.9).near);
    let much = power.compare(power.truth + 3.0);
    assert!(
        !much.near && much.line.contains("3.0 % too much"),
        "{}",
        much.line
    );
    assert!(
        power
            .compare(power.truth - 3.0)
            .line
            .contains("3.0 % too little")
    );
    assert!(
        height
            .compare(height.truth + 30.0)
            .line
            .contains("30 ft too early")
    );
    assert!(
        height
            .compare(height.truth - 30.0)
            .line
            .contains("30 ft too late")
    );
    assert_near("off", height.compare(50.0).off, 50.0 - height.truth, 1e-12);
    assert_readable(&predict.lines());
    assert_readable(&[much.line]);
    let json = serde_json::to_value(&predict).unwrap();
    assert_eq!(
        (
            json["level_off"]["unit"].as_str(),
            json["level_power"]["unit"].as_str()
        ),
        (Some("ft"), Some("%"))
    );

    let hold = drill_of(
        "title = \"t\"\nabout = \"a\"\naircraft = \"deck jet\"\n[start]\naltitude_ft = 900\n\
         [[task]]\nhold = { altitude_ft = 900, band_ft = 20, seconds = 30 }\n",
    );
    assert_eq!(Predict::of(&DrillBrief::new(&hold)).level_off, None);
}
