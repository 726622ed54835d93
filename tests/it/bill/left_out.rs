//! The weights of the evidence refitted without one style of hand, and tried on it: how well names hold for hands that nothing
//! was tuned on.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU64, Ordering};
use std::thread;

use leveloff::hands;
use leveloff::score::leg_worth;
use leveloff::why::explain::Brief;
use leveloff::why::explain::evidence::{Evidence, Likely, beside, signs::Motion};
use leveloff::why::{Case, LineKind, Pars};

use super::table::{drill, faults, has_room, rightly};
use crate::pilots::{Fault, Style, crew, pilot};

/// Legs that earned less than this give their dearest line and the planted fault; clean runs count as nothing wrong.
const POOR: f64 = 75.0;
const SHOWS: f64 = 8.0;
/// Lines of fewer points are no evidence.
const LEAST: f64 = 4.0;
/// Steps of a fit, enough for the weights to converge.
const STEPS: usize = 3000;

/// Drill, style and fault of a run, by number.
type RunOf = (u64, usize, usize);

struct Row {
    /// The same for all legs of a run.
    run: RunOf,
    style: Style,
    /// Whether it is fitted and judged; otherwise it is only evidence for the other legs of its run.
    counts: bool,
    evidence: &'static Evidence,
    seen: Vec<f64>,
    planted: LineKind,
    /// The names that were tried, and whether their cure explains the line.
    explained: BTreeMap<LineKind, bool>,
}

fn rows_of(n: u64) -> Vec<Row> {
    let drill = drill(n);
    let pars = Pars::of(&drill, n, &mut |_| {});
    let mut rows = Vec::new();
    for (place, style) in crew().into_iter().enumerate() {
        let mut twins: Vec<f64> = Vec::new();
        let planted = faults(n, &drill).into_iter().map(Some);
        for (index_of, fault) in std::iter::once(None).chain(planted).enumerate() {
            let mut tasks = drill.tasks.iter().filter(|task| task.scored);
            let room = |fault: Fault| tasks.any(|task| fault.has_room(&task.kind, true));
            if !fault.is_none_or(room) {
                continue;
            }
            let mut pilot = pilot(style, &drill, 100 * n + place as u64, fault);
            let run = hands::fly(drill.clone(), n, &mut *pilot);
            let references = pars.references(&run);
            for (index, begun) in run.each_leg_start().enumerate() {
                let reference = references[index];
                let Some(own) = leg_worth(&run, index, &reference) else {
                    continue;
                };
                if fault.is_none() {
                    twins.push(own.points);
                }
                let shows = fault.is_none_or(|fault| {
                    let twin = twins.get(index).copied().unwrap_or(0.0);
                    twin - own.points >= SHOWS && has_room(fault, &run, &run.legs()[index])
                });
                let brief = Brief::new();
                let Some(case) = Case::of(&run, index, begun, reference, &brief) else {
                    continue;
                };
                let stretches = case.stretches();
                let dearest = stretches
                    .iter()
                    .max_by(|a, b| a.points().total_cmp(&b.points()));
                let Some(line) = dearest.filter(|line| line.points() >= LEAST) else {
                    continue;
                };
                let counts = own.points < POOR && shows;
                let scene = case.about(line);
                let evidence = Evidence::of(&run.legs()[index].kind);
                let seen = evidence.seen(&Motion::of(&scene));
                let likely = evidence.likely(&seen).into_iter().map(|(kind, _)| kind);
                let tried = likely.take(if counts { 3 } else { 0 });
                rows.push(Row {
                    run: (n, place, index_of),
                    style,
                    counts,
                    evidence,
                    planted: fault.map_or(LineKind::Rest, |f| rightly(f, &run.legs()[index].kind)),
                    explained: tried
                        .map(|kind| (kind, scene.put_right(kind).is_some()))
                        .collect(),
                    seen,
                });
            }
        }
    }
    rows
}

/// The evidence for a name: its base weight, and the weight of each sign.
type Weights = (f64, Vec<Option<f64>>);

/// A model of the same form as the shipped one: the same signs for the same names.
struct Model {
    evidence: &'static Evidence,
    /// The weights by name.
    weights: Vec<Weights>,
}

impl Model {
    fn new(evidence: &'static Evidence) -> Model {
        let of = |kind: &LineKind| {
            let signs = evidence.signs.iter();
            let speaks = signs.map(|sign| sign.3.iter().any(|(of, _)| of == kind).then_some(0.0));
            (0.0, speaks.collect())
        };
        let weights = evidence.base.iter().map(|(kind, _)| of(kind)).collect();
        Model { evidence, weights }
    }

    fn shares(&self, seen: &[f64]) -> Vec<f64> {
        let sums = self.weights.iter().map(|(base, weights)| {
            let spoken = weights.iter().zip(seen);
            base + spoken
                .filter_map(|(w, seen)| Some((*w)? * seen))
                .sum::<f64>()
        });
        let sums: Vec<f64> = sums.collect();
        let most = sums.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let shares: Vec<f64> = sums.iter().map(|sum| (sum - most).exp()).collect();
        let all: f64 = shares.iter().sum();
        shares.iter().map(|share| share / all).collect()
    }

    /// Prints the weights in the form of `tables.rs`, rounded to a quarter, with signs by number.
    fn print(&self) {
        let quarter = |weight: f64| (4.0 * weight).round() / 4.0 + 0.0;
        let kinds = self.evidence.base.iter().map(|(kind, _)| *kind);
        let named: Vec<(LineKind, &Weights)> = kinds.zip(&self.weights).collect();
        let base = named
            .iter()
            .map(|(kind, of)| format!("({kind:?}, {:?})", quarter(of.0)));
        println!("base: &[{}],", base.collect::<Vec<_>>().join(", "));
        for sign in 0..self.evidence.signs.len() {
            let speaks = named.iter().filter_map(|(kind, of)| {
                let weight = quarter(of.1[sign]?);
                (weight != 0.0).then(|| format!("({kind:?}, {weight:?})"))
            });
            println!("{sign}: &[{}]", speaks.collect::<Vec<_>>().join(", "));
        }
    }

    fn likely(&self, row: &Row) -> Likely {
        let kinds = self.evidence.base.iter().map(|(kind, _)| *kind);
        kinds.zip(self.shares(&row.seen)).collect()
    }

    /// Steepest descent with momentum on the log-likelihood, rare names weighing more, with a little shrinking.
    fn fit(&mut self, rows: &[&Row]) {
        let kinds: Vec<LineKind> = self.evidence.base.iter().map(|(kind, _)| *kind).collect();
        let place = |kind: LineKind| kinds.iter().position(|of| *of == kind);
        let rows: Vec<(usize, &Row)> = rows
            .iter()
            .filter_map(|row| Some((place(row.planted)?, *row)))
            .collect();
        let count = |name: usize| rows.iter().filter(|(of, _)| *of == name).count().max(1) as f64;
        let worth: Vec<f64> = (0..kinds.len())
            .map(|name| 1.0 / count(name).sqrt())
            .collect();
        let all: f64 = rows.iter().map(|(name, _)| worth[*name]).sum();
        let mut speed: Vec<(f64, Vec<f64>)> = self
            .weights
            .iter()
            .map(|(_, signs)| (0.0, vec![0.0; signs.len()]))
            .collect();
        for _ in 0..STEPS {
            let mut slope: Vec<(f64, Vec<f64>)> = speed
                .iter()
                .map(|(_, signs)| (0.0, vec![0.0; signs.len()]))
                .collect();
            for (name, row) in &rows {
                for (of, share) in self.shares(&row.seen).into_iter().enumerate() {
                    let off = worth[*name] / all * (f64::from(u8::from(of == *name)) - share);
                    slope[of].0 += off;
                    for (sign, seen) in row.seen.iter().enumerate() {
                        slope[of].1[sign] += off * seen;
                    }
                }
            }
            let shrink = 1.0 / rows.len() as f64;
            for ((weights, speed), slope) in self.weights.iter_mut().zip(&mut speed).zip(slope) {
                speed.0 = 0.9 * speed.0 + slope.0;
                weights.0 += speed.0;
                for (sign, weight) in weights.1.iter_mut().enumerate() {
                    if let Some(weight) = weight {
                        speed.1[sign] = 0.9 * speed.1[sign] + slope.1[sign] - shrink * *weight;
                        *weight += speed.1[sign];
                    }
                }
            }
        }
    }
}

/// `DRILLS` is the number of drills, by default 40.
#[test]
#[ignore = "thousands of flights take many minutes"]
fn table_of_names_on_styles_left_out() {
    let drills = std::env::var("DRILLS")
        .ok()
        .and_then(|text| text.parse().ok());
    let (next, last) = (AtomicU64::new(12_000), 12_000 + drills.unwrap_or(40));
    let work = || {
        let mut rows = Vec::new();
        loop {
            let n = next.fetch_add(1, Ordering::Relaxed);
            if n >= last {
                return rows;
            }
            rows.extend(rows_of(n));
        }
    };
    let rows: Vec<Row> = thread::scope(|scope| {
        let threads = [scope.spawn(work), scope.spawn(work)];
        threads
            .into_iter()
            .flat_map(|thread| thread.join().unwrap())
            .collect()
    });
    let mut tables: Vec<&'static Evidence> = Vec::new();
    for row in &rows {
        if !tables
            .iter()
            .any(|table| std::ptr::eq(*table, row.evidence))
        {
            tables.push(row.evidence);
        }
    }
    for table in &tables {
        let mut model = Model::new(table);
        model.fit(
            &rows
                .iter()
                .filter(|row| row.counts && std::ptr::eq(row.evidence, *table))
                .collect::<Vec<_>>(),
        );
        model.print();
    }
    let mut judged: Vec<(Style, &Row, LineKind, f64)> = Vec::new();
    for style in crew() {
        let mut runs: BTreeMap<RunOf, Vec<(&Row, Likely)>> = BTreeMap::new();
        for table in &tables {
            let of_table = rows.iter().filter(|row| std::ptr::eq(row.evidence, *table));
            let (out, used): (Vec<&Row>, Vec<&Row>) = of_table.partition(|row| row.style == style);
            let mut model = Model::new(table);
            model.fit(
                &used
                    .into_iter()
                    .filter(|row| row.counts)
                    .collect::<Vec<_>>(),
            );
            for row in out {
                let likely = model.likely(row);
                runs.entry(row.run).or_default().push((row, likely));
            }
        }
        for legs in runs.values() {
            for (own, (row, likely)) in legs.iter().enumerate().filter(|(_, leg)| leg.0.counts) {
                let others = legs.iter().enumerate().filter(|(leg, _)| *leg != own);
                let others: Vec<Likely> = others.map(|(_, leg)| leg.1.clone()).collect();
                let (name, share) = beside(likely, &others)[0];
                judged.push((style, row, name, share));
            }
        }
    }
    // Counts: faults named, named rightly, all faults; clean legs named, all clean legs.
    let count = |less: f64, is: &dyn Fn(Style) -> bool| {
        let mut sum = [0_usize; 5];
        for (_, row, name, share) in judged.iter().filter(|judged| is(judged.0)) {
            let explains = row.explained.get(name).copied().unwrap_or(false);
            let named = *name != LineKind::Rest && *share >= row.evidence.sure - less && explains;
            match row.planted {
                LineKind::Rest => {
                    sum[3] += usize::from(named);
                    sum[4] += 1;
                }
                planted => {
                    sum[0] += usize::from(named);
                    sum[1] += usize::from(named && *name == planted);
                    sum[2] += 1;
                }
            }
        }
        sum
    };
    let told = |sum: [usize; 5]| {
        format!(
            "{:5} faults, {:3.0} % named, {:5.1} % of them right; clean and poor {:3}, named {}",
            sum[2],
            100.0 * sum[0] as f64 / sum[2] as f64,
            100.0 * sum[1] as f64 / sum[0] as f64,
            sum[4],
            sum[3]
        )
    };
    for style in crew() {
        println!(
            "{:22} {}",
            format!("{style:?}"),
            told(count(0.0, &|of| of == style))
        );
    }
    for less in [0.3, 0.2, 0.1, 0.0] {
        println!(
            "{:22} {}",
            format!("all, {less} less sure"),
            told(count(less, &|_| true))
        );
    }
    let mut wrong: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for (_, row, name, share) in &judged {
        let explains = row.explained.get(name).copied().unwrap_or(false);
        if ![LineKind::Rest, row.planted].contains(name) && *share >= row.evidence.sure && explains
        {
            *wrong.entry((name.key(), row.planted.key())).or_default() += 1;
        }
    }
    for ((name, planted), times) in wrong {
        println!("{name} given for {planted} {times} times");
    }
    let [named, right, faults, ..] = count(0.0, &|_| true);
    assert!(named as f64 >= 0.4 * faults as f64 && right as f64 >= 0.93 * named as f64);
}
