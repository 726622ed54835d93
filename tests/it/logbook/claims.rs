//! The claims of a recording, checked against its flight: true ones pass, false ones are reported.

use leveloff::hands::{self, Script};
use leveloff::logbook::{Logbook, claims};
use leveloff::run::{End, Recording, Run};
use leveloff::score::score;
use leveloff::sim::world::Fault;

use crate::flying::shipped;
use crate::folder::Folder;

/// The false claims of a saved run with something changed.
fn faults(run: &Run, change: &dyn Fn(&mut Recording)) -> Vec<String> {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let score = score(run);
    let recording = Recording {
        at: "2026-11-25T22:30:15+01:00".to_string(),
        ..Recording::of(run)
    };
    let kept = logbook.save(&recording, run.drill(), &score, &[]).unwrap();
    let mut kept = logbook.recording(&kept.id).unwrap();
    change(&mut kept);
    claims::faults(&kept, run, score.points)
}

/// One run flown to its end, one that was left and one that ended in the surface.
fn runs() -> [Run; 3] {
    let drill = shipped("boat-slip");
    let by = |rows: &[(u64, u16)]| hands::fly(drill.clone(), 1, &mut Script::new(rows.to_vec()));
    let mut left = Run::new(drill.clone(), 1);
    (0..128).for_each(|_| left.fly());
    left.leave();
    left.fly();
    let runs = [by(&[]), left, by(&[(64, 0)])];
    let ends = runs.each_ref().map(|run| run.end());
    let wanted = [End::Complete, End::Left, End::Fault(Fault::Surface)];
    assert_eq!(ends, wanted.map(Some));
    runs
}

#[test]
fn what_is_true_is_let_stand_however_it_ended() {
    for run in &runs() {
        let none: [String; 0] = [];
        assert_eq!(faults(run, &|_| {}), none);
        // A stall of the clock may come at any moment of the run.
        let stalls = |kept: &mut Recording| kept.stalls_s = vec![0.0, 0.5, run.time_s()];
        assert_eq!(faults(run, &stalls), none);
    }
}

#[test]
fn what_is_not_true_is_told() {
    let [run, ..] = &runs();
    let after_s = run.time_s() + 2.0;
    let one = |part: &str, change: &dyn Fn(&mut Recording)| {
        let told = faults(run, change);
        assert!(
            told.len() == 1 && told[0].contains(part),
            "{part}: {told:?}"
        );
    };
    one("no seal", &|kept| kept.seal = None);
    one("does not match its time", &|kept| {
        kept.at.replace_range(..4, "2025")
    });
    one("did not end as it says", &|kept| kept.left = true);
    one("did not end as it says", &|kept| {
        kept.fault = Some(Fault::Surface);
    });
    one("moves that change nothing", &|kept| {
        kept.lever.push((9, 400))
    });
    one("a mark lies after", &|kept| {
        kept.marks = vec![run.tick() + 1]
    });
    one("a stall of its clock", &|kept| {
        kept.stalls_s = vec![after_s]
    });
    one("a stall of its clock", &|kept| kept.stalls_s = vec![-0.1]);
    one("but a different text", &|kept| kept.drill_text += "# mine");
    one("but a different text", &|kept| {
        kept.aircraft_text += "# mine"
    });
    one("today's rules give it", &|kept| kept.points = Some(99.9));
}
