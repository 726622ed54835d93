//! `log`: the saved runs, and how they change over the days.

use clap::ValueEnum;
use jiff::civil::Date;
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::place::Place;
use super::{clock, output, wrong};
use crate::drill::printable::{padded, printable};
use crate::drill::{Skill, library, spelling};
use crate::export::progress_words;
use crate::export::table::{Cell, Table};
use crate::export::text;
use crate::logbook::{Entries, Entry};
use crate::progress::{Costs, Curve, Flown, Group, Summary, costs, summary};
use crate::run::recording::HandName;
use crate::score::METRICS;
use crate::tui::printed;
use crate::tui::shown::SHOWN;
use crate::tui::theme::Theme;

/// List the saved runs, oldest first; or sum them up, and show whether they improve
///
/// Curves are exponentials through the runs flown to their end, flat where no change can be told from chance; intervals are 95 %.
#[derive(clap::Args)]
pub struct Args {
    /// One line per drill, skill or day
    #[arg(long, value_name = "WHAT", conflicts_with_all = ["over", "costs"])]
    by: Option<By>,
    /// One figure of every run, and the curve through it: points, or a key of `debrief --json`
    #[arg(long, value_name = "FIGURE", num_args = 0..=1, default_missing_value = "points", conflicts_with = "costs", value_parser = figure)]
    over: Option<String>,
    /// What costs most: the bills added up by name; for the last seven days unless --since is given
    #[arg(long)]
    costs: bool,
    /// Only runs of this drill
    #[arg(long, value_name = "ID")]
    drill: Option<String>,
    /// Only runs of this skill: stop, go_and_stop, rates, holds, slowing, paths, ships, surprises
    #[arg(long, value_name = "SKILL", value_parser = skill)]
    skill: Option<Skill>,
    /// Only runs of this hand; `person` by default with --by, --over and --costs
    #[arg(long, value_name = "HAND", value_parser = hand)]
    hand: Option<HandName>,
    /// Only runs from this day on
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    since: Option<Date>,
    /// Only runs up to and including this day
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day)]
    until: Option<Date>,
    /// Sort by this, numbers largest first
    #[arg(long, value_name = "BY", conflicts_with_all = ["over", "costs"])]
    sort: Option<Sort>,
    /// As JSON
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// As CSV
    #[arg(long)]
    csv: bool,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
enum By {
    Drill,
    Skill,
    Day,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
enum Sort {
    /// Latest first
    When,
    /// By drill; with --by, by what it groups
    Name,
    /// Most points first; with --by, the best
    Points,
    /// Longest first; with --by, most runs first
    Length,
}

/// Reads a word in the form that files use, or says which there are.
fn word<T: DeserializeOwned>(text: &str, words: &[&str]) -> Result<T, String> {
    let word = text.replace([' ', '-'], "_");
    let read = serde_json::from_value(word.clone().into());
    read.map_err(|_| {
        let hint = spelling::hint(&word, words);
        format!("give one of {}{hint}", words.join(", "))
    })
}

fn skill(text: &str) -> Result<Skill, String> {
    const SKILLS: [&str; 8] = [
        "stop",
        "go_and_stop",
        "rates",
        "holds",
        "slowing",
        "paths",
        "ships",
        "surprises",
    ];
    word(text, &SKILLS)
}

fn hand(text: &str) -> Result<HandName, String> {
    let built_in = SHOWN.iter().map(|shown| shown.name);
    let names: Vec<&str> = ["person", "script"].into_iter().chain(built_in).collect();
    word(text, &names)
}

fn day(text: &str) -> Result<Date, String> {
    let day = text.parse();
    day.map_err(|_| "give a real day as year-month-day, such as 2026-11-25".to_string())
}

fn figure(key: &str) -> Result<String, String> {
    match key == "points" || METRICS.iter().any(|metric| metric.key == key) {
        true => Ok(key.to_string()),
        false => {
            let keys: Vec<&str> = METRICS.iter().map(|metric| metric.key).collect();
            Err(format!("give points, or one of {}", keys.join(", ")))
        }
    }
}

/// Filters the runs, puts them together and prints the result.
pub fn run(args: Args, place: &Place) -> anyhow::Result<()> {
    let logbook = place.logbook()?;
    let mut found = logbook.entries()?.with_skills();
    let unreadable = found.unreadable;
    let all = found.entries.len();
    if let Some(drill) = &args.drill {
        check_known(drill, &found)?;
    }
    let is_list = args.by.is_none() && args.over.is_none() && !args.costs;
    let hand = args.hand.or((!is_list).then_some(HandName::Person));
    let since = match (args.since, args.costs) {
        (None, true) => Some(costs::week(args.until.map_or_else(today, Ok)?)),
        (since, _) => since,
    };
    let mut others = 0;
    found.entries.retain(|entry| {
        let day = || entry.at.get(..10)?.parse::<Date>().ok();
        let is_asked = args
            .drill
            .as_ref()
            .is_none_or(|drill| entry.drill == *drill)
            && args.skill.is_none_or(|skill| entry.skill == Some(skill))
            && since.is_none_or(|since| day().is_some_and(|day| day >= since))
            && args
                .until
                .is_none_or(|until| day().is_some_and(|day| day <= until));
        let is_theirs = hand.is_none_or(|hand| entry.hand == hand);
        others += usize::from(is_asked && !is_theirs);
        is_asked && is_theirs
    });
    if found.entries.is_empty() && !args.json && !args.csv {
        nothing(all, others, !is_list && args.hand.is_none());
    } else if is_list {
        list(&args, found)?;
    } else {
        let flown: Vec<Flown> = found.entries.into_iter().map(Entry::flown).collect();
        let flown: Vec<&Flown> = flown.iter().collect();
        match (args.by, &args.over) {
            (Some(by), _) => put_together(&args, by, &flown, unreadable)?,
            (None, Some(figure)) => over(&args, figure, &flown, unreadable)?,
            (None, None) => cost_table(&args, &flown, unreadable)?,
        }
    }
    if unreadable > 0 {
        let file = output::name(&logbook.dir().join("logbook.jsonl"));
        output::talk(&format!(
            "Unreadable lines of {file}, left out: {unreadable}."
        ));
    }
    Ok(())
}

/// Complains about a drill that neither ships nor has any run.
fn check_known(drill: &str, found: &Entries) -> anyhow::Result<()> {
    let shipped = library::DRILLS.iter().map(|shipped| shipped.id);
    let flown = found.entries.iter().map(|entry| entry.drill.as_str());
    let known: Vec<&str> = shipped.chain(flown).collect();
    if known.contains(&drill) {
        return Ok(());
    }
    let (name, hint) = (printable(drill), spelling::hint(drill, &known));
    wrong(format!(
        "there is no run of a drill `{name}`, and no drill that ships has this id{hint}; `leveloff log` lists the runs"
    ))
}

/// Says why there is no run to show: `all` are kept, and `others` were left out only because of their hand.
fn nothing(all: usize, others: usize, is_persons: bool) {
    output::talk(match (all, is_persons) {
        (0, _) => "No runs yet: fly a drill, or `leveloff simulate` one with --save.",
        (_, true) => "No run flown by a person matches.",
        (_, false) => "No run matches.",
    });
    if is_persons && others > 0 {
        output::talk(&format!(
            "Left out, not flown by a person: {others} (--hand counts those of one hand)."
        ));
    }
}

/// The present day, by local time.
pub(super) fn today() -> anyhow::Result<Date> {
    Ok(clock::now()[..10].parse()?)
}

/// The result as JSON.
#[derive(Serialize)]
struct Listing<'a> {
    #[serde(flatten)]
    told: Listed<'a>,
    unreadable: usize,
}

#[derive(Serialize)]
#[serde(untagged)]
enum Listed<'a> {
    Runs {
        entries: Vec<Entry>,
    },
    Together {
        by: String,
        rows: &'a [Summary],
        days: usize,
    },
    Over {
        figure: &'a str,
        curve: Option<&'a Curve>,
        runs: Vec<RunValue<'a>>,
    },
    Costs(&'a Costs),
}

fn json(told: Listed, unreadable: usize) -> anyhow::Result<()> {
    output::versioned(&Listing { told, unreadable })
}

/// Prints one line per run.
fn list(args: &Args, found: Entries) -> anyhow::Result<()> {
    let Entries {
        mut entries,
        unreadable,
    } = found;
    match args.sort {
        None => {}
        Some(Sort::When) => entries.reverse(),
        Some(Sort::Name) => entries.sort_by(|a, b| a.drill.cmp(&b.drill)),
        Some(Sort::Points) => entries.sort_by(|a, b| largest(a.points, b.points)),
        Some(Sort::Length) => entries.sort_by(|a, b| b.end_s.total_cmp(&a.end_s)),
    }
    if args.json {
        return json(Listed::Runs { entries }, unreadable);
    }
    if args.csv {
        return tell(args, &runs(&entries));
    }
    output::lines(entries.iter().map(line))
}

/// A line of the list.
fn line(entry: &Entry) -> String {
    let points = entry
        .points
        .map_or("-".to_string(), |points| format!("{points:.1}"));
    let end = match (entry.fault, entry.complete) {
        (Some(fault), _) => text::word(fault),
        (None, true) => "complete".to_string(),
        (None, false) => "left".to_string(),
    };
    format!(
        "{:<20}  {}  {}  {:<19}  {points:>5}  {end}",
        printable(&entry.id),
        text::when(&entry.at),
        padded(&printable(&entry.drill), 20),
        text::word(entry.hand),
    )
}

fn largest(a: Option<f64>, b: Option<f64>) -> std::cmp::Ordering {
    let number = |x: Option<f64>| x.unwrap_or(f64::NEG_INFINITY);
    number(b).total_cmp(&number(a))
}

fn tell(args: &Args, table: &Table) -> anyhow::Result<()> {
    let text = match args.csv {
        true => table.csv(),
        false => table.text(),
    };
    output::text(&text)
}

/// The runs with every figure, for other programs.
fn runs(entries: &[Entry]) -> Table {
    const OWN: [&str; 11] = [
        "id", "at", "drill", "skill", "aircraft", "hand", "aids", "seed", "end_s", "complete",
        "points",
    ];
    let keys = METRICS.iter().map(|metric| metric.key);
    let row = |entry: &Entry| {
        let mut row = vec![
            Cell::text(&entry.id),
            Cell::text(&entry.at),
            Cell::text(&entry.drill),
            Cell::Text(text::word(entry.skill)),
            Cell::text(&entry.aircraft),
            Cell::Text(text::word(entry.hand)),
            Cell::text(entry.aids.word()),
            Cell::Text(entry.seed.to_string()),
            Cell::Number(entry.end_s, 1),
            Cell::Text(entry.complete.to_string()),
            Cell::maybe(entry.points, 1),
        ];
        let of = |key| entry.figures.iter().find(|(known, _)| known == key);
        row.extend(keys.clone().map(|key| Cell::maybe(of(key).map(|f| f.1), 1)));
        row
    };
    Table {
        head: OWN.into_iter().chain(keys.clone()).collect(),
        rows: entries.iter().map(row).collect(),
    }
}

/// The meaning of three of the columns.
const CHANGE: &str = "change: points from the first runs to the last ones, up to five each, along the curve;\n0 if it may be chance; at least, at most: with 95 % confidence";

fn put_together(args: &Args, by: By, flown: &[&Flown], unreadable: usize) -> anyhow::Result<()> {
    let group = match by {
        By::Drill => Group::Drill,
        By::Skill => Group::Skill,
        By::Day => Group::Day,
    };
    let mut rows = summary::by(flown, group, "points");
    match args.sort {
        None => {}
        Some(Sort::When) => rows.sort_by(|a, b| b.last_at.cmp(&a.last_at)),
        Some(Sort::Name) => rows.sort_by(|a, b| a.key.cmp(&b.key)),
        Some(Sort::Points) => {
            let best = |row: &Summary| row.best.as_ref().map(|best| best.points);
            rows.sort_by(|a, b| largest(best(a), best(b)));
        }
        Some(Sort::Length) => rows.sort_by_key(|row| std::cmp::Reverse(row.runs)),
    }
    let days = summary::days(flown).len();
    if args.json {
        let by = by.to_possible_value();
        let by = text::word(by.map(|value| value.get_name().to_string()));
        let rows = &rows;
        return json(Listed::Together { by, rows, days }, unreadable);
    }
    tell(args, &progress_words::summaries(&rows, group))?;
    if !args.csv && group != Group::Day && !rows.is_empty() {
        let minutes = flown.iter().map(|run| run.seconds).sum::<f64>() / 60.0;
        let runs = progress_words::count(flown.len(), "run");
        let days = progress_words::count(days, "day");
        let all = format!("\n{runs} on {days}, {minutes:.0} min in all");
        let change = rows.iter().any(|row| row.curve.is_some()).then_some(CHANGE);
        output::lines([all.as_str()].into_iter().chain(change))?;
    }
    Ok(())
}

#[derive(Serialize)]
struct RunValue<'a> {
    n: usize,
    id: &'a str,
    at: &'a str,
    drill: &'a str,
    value: f64,
    curve: Option<f64>,
}

/// Prints a figure run by run, and the curve through it.
fn over(args: &Args, figure: &str, flown: &[&Flown], unreadable: usize) -> anyhow::Result<()> {
    let series = summary::series(flown, figure);
    let (curve, values) = (Curve::fit(&series), series.values);
    let known = flown.iter().filter(|run| run.complete);
    let known = known.filter_map(|run| Some((run, run.figure(figure)?)));
    let runs = known.enumerate().map(|(index, (run, value))| RunValue {
        n: index + 1,
        id: &run.id,
        at: &run.at,
        drill: &run.drill,
        value,
        curve: curve.as_ref().map(|curve| curve.at((index + 1) as f64)),
    });
    let runs: Vec<RunValue> = runs.collect();
    if args.json {
        let curve = curve.as_ref();
        let over = Listed::Over {
            figure,
            curve,
            runs,
        };
        return json(over, unreadable);
    }
    if runs.is_empty() && !args.csv {
        output::talk(&format!("No run flown to its end has `{figure}`."));
        return Ok(());
    }
    let metric = METRICS.iter().find(|metric| metric.key == figure);
    let is_fine = metric.is_some_and(|metric| metric.told_in() == "%" || metric.unit == "deg");
    let digits = if is_fine { 3 } else { 1 };
    let row = |point: &RunValue| {
        vec![
            Cell::Number(point.n as f64, 0),
            Cell::text(point.id),
            Cell::text(point.drill),
            Cell::Number(point.value, digits),
            Cell::maybe(point.curve, digits),
        ]
    };
    tell(
        args,
        &Table {
            head: vec!["n", "id", "drill", "value", "curve"],
            rows: runs.iter().map(row).collect(),
        },
    )?;
    if !args.csv {
        let curve = curve.as_ref();
        let title = match (&args.drill, args.skill) {
            (Some(drill), _) => drill.as_str(),
            (None, Some(skill)) => skill.title(),
            (None, None) => "all drills",
        };
        let theme = Theme::detect(|name| std::env::var(name).ok());
        let picture = printed::learning(title, figure, &values, curve, &theme);
        let told = progress_words::curve(curve, figure, values.len());
        output::lines([format!("\n{picture}\n{told}")])?;
    }
    Ok(())
}

/// Prints what cost most.
fn cost_table(args: &Args, flown: &[&Flown], unreadable: usize) -> anyhow::Result<()> {
    let costs = costs(flown);
    if args.json {
        return json(Listed::Costs(&costs), unreadable);
    }
    tell(args, &progress_words::costs(&costs))?;
    if !args.csv {
        output::lines(["", &progress_words::costs_in_all(&costs)])?;
    }
    Ok(())
}
