//! A drill flown with many seeds.

use super::Shell;

const MANY: &[&str] = &[
    "simulate",
    "catch-the-sink",
    "--hand",
    "green",
    "--air",
    "light",
    "--seed",
    "5",
    "--repeat",
    "6",
];

#[test]
fn many_runs_are_the_same_as_each_alone_and_their_spread_is_that_of_their_points() {
    let shell = Shell::new();
    let all = shell.json(&[MANY, &["--json"]].concat());
    let runs = all["runs"].as_array().unwrap();
    assert_eq!(runs.len(), 6);
    let mut points = Vec::new();
    for (run, seed) in runs.iter().zip(5..) {
        let seed = format!("{seed}");
        let one = [
            "simulate",
            "catch-the-sink",
            "--hand",
            "green",
            "--air",
            "light",
            "--json",
            "--seed",
            &seed,
        ];
        let one = shell.json(&one);
        for key in ["seed", "digest", "points", "complete", "fault"] {
            assert_eq!(run[key], one[key], "{seed}: {key}");
        }
        let past = &one["tasks"][0]["overshoot_ft"];
        assert_eq!(&run["figures"]["1 overshoot_ft"], past, "{seed}");
        points.push(run["points"].as_f64().unwrap());
    }
    let spread = &all["points"];
    let mean = points.iter().sum::<f64>() / 6.0;
    let sd = (points.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / 5.0).sqrt();
    assert!((spread["mean"].as_f64().unwrap() - mean).abs() < 1e-9);
    assert!((spread["sd"].as_f64().unwrap() - sd).abs() < 1e-9);

    let rows = shell.good(&[MANY, &["--csv"]].concat());
    assert_eq!(rows.lines().count(), 7);
    let columns = rows.lines().map(|row| row.split(',').count());
    let widths: std::collections::BTreeSet<usize> = columns.collect();
    assert_eq!(widths.len(), 1, "{rows}");
    let told = shell.good(MANY);
    assert!(
        told.contains("6 runs") && told.contains("1 overshoot_ft"),
        "{told}"
    );
}

#[test]
fn repeating_has_bounds_and_keeps_nothing() {
    let shell = Shell::new();
    let simulate = ["simulate", "catch-the-sink", "--hand", "green", "--repeat"];
    for more in [
        &["1"] as &[&str],
        &["10001"],
        &["3", "--save"],
        &["3", "--track", "x.csv"],
    ] {
        shell.bad(2, &[&simulate[..], more].concat());
    }
    let last = u64::MAX.to_string();
    shell.bad(2, &[&simulate[..], &["2", "--seed", &last]].concat());
    shell.bad(
        2,
        &["simulate", "catch-the-sink", "--hand", "green", "--csv"],
    );
    shell.good(&[&simulate[..], &["3"]].concat());
    assert!(!shell.folder.join("data").exists());
}
