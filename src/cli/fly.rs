//! `fly` and the menu: the commands that need a terminal.

use std::io::{self, IsTerminal};
use std::path::PathBuf;
use std::sync::Arc;

use clap::ValueEnum;

use super::place::Place;
use super::{Exit, Wrong, air_value, clock, find};
use crate::drill::{Drill, parse};
use crate::run::recording::Aids;

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
    let mut drill = find::drill(name)?;
    if let Some(u20_mps) = air.and_then(parse::air_word_mps) {
        drill.air.u20_mps = u20_mps;
    }
    Ok(Arc::new(drill))
}

/// Flies one drill.
pub fn run(args: Args, place: &Place) -> anyhow::Result<Exit> {
    let drill = drill_in_air(&args.drill, args.air.as_deref())?;
    needs_terminal("flying")?;
    let seed = args.seed.unwrap_or_else(clock::draw_seed);
    open(Some((drill, seed)), args.aids.into(), args.air, place)
}

/// The menu.
pub fn menu(place: &Place) -> anyhow::Result<Exit> {
    needs_terminal("the menu")?;
    open(None, Aids::Full, None, place)
}

/// The screens, from a drill or from the menu.
fn open(
    _start: Option<(Arc<Drill>, u64)>,
    _aids: Aids,
    _air: Option<String>,
    place: &Place,
) -> anyhow::Result<Exit> {
    let _logbook = place.logbook()?;
    let _clock: fn() -> String = clock::now;
    anyhow::bail!("this build has no screens; try `leveloff simulate`")
}

fn needs_terminal(what: &str) -> Result<(), Wrong> {
    let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    if io::stdin().is_terminal() && io::stdout().is_terminal() && !dumb {
        return Ok(());
    }
    Err(Wrong(format!(
        "{what} needs a terminal; simulate, check, debrief, log, drills and aircraft need none (see --help)"
    )))
}
