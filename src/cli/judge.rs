//! `judge`: altitude over time, logged by anything, scored and debriefed like a run of a drill.

use std::path::PathBuf;
use std::sync::Arc;

use super::place::Place;
use super::{Exit, air_value, find, fly, output, screen, weigh, whole, wrong};
use crate::drill::Drill;
use crate::drill::columns::{self, Mapping};
use crate::drill::reader::{Source, plain};
use crate::export::judged::{Gap, Judged, JudgedReport, ModelApart};
use crate::export::told::Debriefed;
use crate::export::{html, json, svg, text};
use crate::run::Run;
use crate::score::{Figure, Key, Score, TaskScore};
use crate::sim::math::range;
use crate::track::{Begin, COLUMNS, LONGEST_GAP_S, Track, agree, fill, story};
use crate::tui::screens::debrief::Debrief;
use crate::tui::theme::Theme;
use crate::tui::{Opening, printed};
use crate::units::{FPM, FT};

/// Judge a flight logged elsewhere as if it were a run of a drill
#[derive(clap::Args)]
#[command(long_about = long_about())]
pub struct Args {
    /// The log: CSV with a header, 1 to 100 rows a second
    #[arg(value_name = "TRACK.csv")]
    track: PathBuf,
    /// Id of a drill that ships, or a file
    #[arg(long, value_name = "DRILL")]
    drill: PathBuf,
    /// Which columns to read, and their units, where the header does not say: altitude=ALT:ft,lever=THR:%
    #[arg(long, value_name = "NAME=COLUMN[:UNIT],...", value_delimiter = ',', value_parser = Mapping::parse)]
    columns: Vec<Mapping>,
    /// When the drill begins, on the track's own clock; if not given, found by its first task
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    start: Option<f64>,
    /// Seed of the air that par flies in, and of surprises
    #[arg(long, value_name = "S", default_value_t = 0, value_parser = whole(0..=u64::MAX))]
    seed: u64,
    /// Gusts instead of the drill's: still, light, lively, rough, or their wind at 20 ft in knots
    #[arg(long, value_name = "WORD|KT", value_parser = air_value)]
    air: Option<String>,
    /// As JSON
    #[arg(long, conflicts_with = "text")]
    json: bool,
    /// As plain text, without screen or picture
    #[arg(long)]
    text: bool,
    /// Write it as one page to print or send
    #[arg(long, value_name = "OUT.html", conflicts_with_all = ["json", "text"])]
    html: Option<PathBuf>,
    /// Write its picture alone
    #[arg(long, value_name = "OUT.svg", conflicts_with_all = ["json", "text"])]
    svg: Option<PathBuf>,
}

fn long_about() -> String {
    // The other columns that can be read are those that only our own tracks have.
    include_str!("judge.txt").replace("{columns}", &columns::help(&COLUMNS[..6]))
}

fn seconds(text: &str) -> Result<f64, String> {
    let number = text.parse().ok().filter(|number: &f64| number.is_finite());
    number.ok_or_else(|| "give a number of seconds".to_string())
}

/// Reads the track, lays the drill on it, scores it and shows the result.
pub fn run(args: Args, place: &Place, screen: &screen::Args) -> anyhow::Result<Exit> {
    let drill = fly::drill_in_air(&args.drill, args.air.as_deref())?;
    let (file, text) = (&output::name(&args.track), &find::read(&args.track)?);
    let source = Source { file, text };
    let track = Track::read(source, &args.columns)?;
    if let Some(lacks) = track.lacks(&drill) {
        return Err(source.error(0, lacks).into());
    }
    let begin = begin(&args, &drill, &track, source)?;
    let filled = fill::tape(&drill, args.seed, &track, &begin);
    let run = Run::along(drill, args.seed, Arc::new(filled.tape));
    let (weighed, pars) = weigh::weigh(&run, place);
    let apart = match run.known().lever {
        true => agree::apart(&run),
        false => Vec::new(),
    };
    let holds = |leg: usize| {
        apart
            .iter()
            .any(|apart| apart.leg == leg && apart.is_little())
    };
    let weighed = weighed.billed(&run, holds);
    let judged = Judged {
        rows: track.altitude().t_s.len(),
        rows_per_s: 1.0 / track.altitude().apart_s(),
        noise_ft: filled.noise.altitude_m / FT,
        vertical_noise_fpm: filled.noise.vertical_mps / FPM,
        begin_s: begin.t_s,
        found: begin.how,
        gaps: gaps(&track, begin.t_s, begin.t_s + run.time_s()),
        missing: missing(&run, &weighed.score),
        model: apart
            .iter()
            .map(|apart| ModelApart {
                task: run.leg_number(apart.leg),
                apart_ft: apart.apart_ft,
                limit_ft: apart.limit_ft,
            })
            .collect(),
        by_altitude: (0..run.legs().len())
            .filter(|leg| !holds(*leg))
            .filter_map(|leg| story::tell(&run, leg))
            .collect(),
        file: file.clone(),
    };
    if args.json {
        let report = json::Report::new(&run, &weighed, None);
        output::json(&JudgedReport {
            report,
            track: &judged,
        })?;
        return Ok(Exit::Done);
    }
    let is_drawn = !args.text && args.svg.is_none() && args.html.is_none();
    let told = Debriefed::of_file(run, weighed, pars, judged.told());
    if is_drawn && fly::is_terminal() {
        let debrief = Box::new(Debrief::new(told, None));
        return fly::show(Opening::Debrief(debrief), place, screen);
    }
    if let Some(file) = &args.svg {
        output::file(file, &svg::picture(&told.run, &told.weighed))?;
    }
    if let Some(file) = &args.html {
        output::file(file, &html::page(&told))?;
    }
    if args.svg.is_none() && args.html.is_none() {
        let theme = Theme::detect(|name| std::env::var(name).ok());
        let text = text::debrief(&told);
        let picture = match is_drawn {
            true => printed::picture(&Debrief::new(told, None), &theme),
            false => String::new(),
        };
        output::text(&(picture + &text))?;
    }
    Ok(Exit::Done)
}

/// Where the drill begins.
fn begin(args: &Args, drill: &Drill, track: &Track, source: Source) -> anyhow::Result<Begin> {
    let (first_s, last_s) = (track.first_s(), track.last_s());
    if let Some(start_s) = args.start {
        if !(first_s..last_s).contains(&start_s) {
            let message = format!(
                "--start is {start_s} s, but the track goes from {first_s} to {last_s} s; give a time within it"
            );
            return wrong(message);
        }
        return Ok(Begin::said(start_s));
    }
    let found = Begin::find(drill, track);
    Ok(found.ok_or_else(|| {
        let (low_m, high_m) = range(track.altitude().values.iter().copied());
        let ft = |m: f64| plain((m / FT).round());
        let message = format!(
            "the first task of {} cannot be found in it; give --start SECONDS, or the drill that was flown: the track lies between {} and {} ft, the drill begins at {}",
            drill.id,
            ft(low_m),
            ft(high_m),
            ft(drill.start.altitude_m)
        );
        source.error(0, message)
    })?)
}

fn gaps(track: &Track, from_s: f64, to_s: f64) -> Vec<Gap> {
    let gaps = track.gaps(from_s).into_iter();
    gaps.map(|(from_s, to_s)| Gap {
        from_s,
        to_s,
        bridged: to_s - from_s <= LONGEST_GAP_S,
    })
    .filter(|gap| gap.from_s < to_s)
    .collect()
}

fn missing(run: &Run, score: &Score) -> Vec<&'static str> {
    let known = run.known();
    let tasks = score.tasks.iter();
    let mut asked = tasks.flat_map(|task| task.drawn.iter().chain([task]));
    let hides = |task: &TaskScore| task.figure(Key::ShortFt) == Some(Figure::Unknown);
    let all = [
        ("lever", known.lever),
        ("speed", known.speed),
        ("alpha", known.alpha),
        ("vertical", known.vertical),
        ("moments", !asked.any(hides) || !known.vertical),
    ];
    let missing = all.iter().filter(|(_, known)| !known);
    missing.map(|(name, _)| *name).collect()
}
