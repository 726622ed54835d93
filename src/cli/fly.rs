//! `fly` and the menu: the commands that need a terminal.

use std::io::{self, IsTerminal};
use std::path::PathBuf;
use std::sync::Arc;

use clap::ValueEnum;

use super::place::Place;
use super::{Exit, Wrong, air_value, clock, find, output};
use crate::drill::{Drill, library, parse};
use crate::run::recording::Aids;
use crate::tui::theme::Theme;
use crate::tui::{self, Settings, Shelf, Start};

/// Fly a drill
#[derive(clap::Args)]
pub struct Args {
    /// Id of a drill that ships, or a file
    drill: PathBuf,
    /// How much the screen helps
    #[arg(long, value_enum, default_value_t = AidsArg::Full)]
    aids: AidsArg,
    /// Seed of the air and of surprises; drawn and shown where it is not given
    #[arg(long, value_name = "N")]
    seed: Option<u64>,
    /// Gusts instead of the drill's: still, light, lively, rough, or their wind at 20 ft in knots
    #[arg(long, value_name = "WORD|KT", value_parser = air_value)]
    air: Option<String>,
    /// First guess the numbers to fly by; the debrief holds each guess against the truth
    #[arg(long)]
    predict: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum AidsArg {
    /// Forecast and level mark
    Full,
    /// Level mark
    Some,
    /// Neither
    Bare,
}

impl From<AidsArg> for Aids {
    fn from(aids: AidsArg) -> Aids {
        match aids {
            AidsArg::Full => Aids::Full,
            AidsArg::Some => Aids::Some,
            AidsArg::Bare => Aids::Bare,
        }
    }
}

/// A drill by its name, with the air asked for in place of its own.
pub fn drill_in_air(name: &std::path::Path, air: Option<&str>) -> anyhow::Result<Arc<Drill>> {
    Ok(Arc::new(in_air(find::drill(name)?, air)))
}

fn in_air(mut drill: Drill, air: Option<&str>) -> Drill {
    if let Some(u20_mps) = air.and_then(parse::air_word_mps) {
        drill.air.u20_mps = u20_mps;
    }
    drill
}

/// Flies one drill.
pub fn run(args: Args, place: &Place) -> anyhow::Result<Exit> {
    let drill = drill_in_air(&args.drill, args.air.as_deref())?;
    needs_terminal("flying")?;
    let begin = if args.predict {
        Start::Guess
    } else {
        Start::Fly
    };
    open(
        Some((drill, begin)),
        args.aids.into(),
        args.seed,
        args.air,
        place,
    )
}

/// The menu.
pub fn menu(place: &Place) -> anyhow::Result<Exit> {
    needs_terminal("the menu")?;
    open(None, Aids::Full, None, None, place)
}

/// A drill asked for, and how to begin with it at its place on the shelf.
type Asked = (Arc<Drill>, fn(usize) -> Start);

/// The screens: from the menu of what ships, or with the one drill asked for.
fn open(
    asked: Option<Asked>,
    aids: Aids,
    seed: Option<u64>,
    air: Option<String>,
    place: &Place,
) -> anyhow::Result<Exit> {
    let settings = Settings {
        logbook: place.logbook()?,
        aids,
        seed,
        air,
        theme: Theme::detect(|name| std::env::var(name).ok()),
        draw_seed: clock::draw_seed,
        now: clock::now,
    };
    let (drills, start) = shelf(asked, settings.air.as_deref())?;
    match tui::run(settings, Shelf::new(drills), start) {
        Ok(code) => Ok(Exit::Screen(code)),
        Err(error) => {
            output::talk(&format!("leveloff: {error}"));
            Ok(Exit::Screen(error.exit_code()))
        }
    }
}

/// Everything that ships, all in the air asked for, and a drill of one's own before it.
fn shelf(asked: Option<Asked>, air: Option<&str>) -> anyhow::Result<(Vec<Arc<Drill>>, Start)> {
    let mut drills = Vec::new();
    for shipped in library::DRILLS {
        drills.push(Arc::new(in_air(shipped.drill()?, air)));
    }
    let Some((asked, begin)) = asked else {
        return Ok((drills, Start::Menu));
    };
    let place = drills.iter().position(|drill| drill.text == asked.text);
    if place.is_none() {
        drills.insert(0, asked);
    }
    Ok((drills, begin(place.unwrap_or(0))))
}

fn needs_terminal(what: &str) -> Result<(), Wrong> {
    let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    if io::stdin().is_terminal() && io::stdout().is_terminal() && !dumb {
        return Ok(());
    }
    Err(Wrong(format!(
        "{what} needs a terminal; brief, gates, simulate, check, debrief, log, drills and aircraft need none (see --help)"
    )))
}
