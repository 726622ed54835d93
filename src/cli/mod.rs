//! The command line: one definition of arguments, one dispatch, one printer of errors, one list of exit codes.
//!
//! Results go to standard output, messages to standard error. Each command is a file.

mod aircraft;
#[cfg(feature = "axes")]
mod axes;
pub mod bar;
mod brief;
mod check;
mod class;
pub mod clock;
mod compare;
mod completions;
mod config;
mod debrief;
mod drills;
mod examples;
mod find;
mod fit;
mod fly;
mod gates;
mod hand;
mod judge;
mod log;
mod man;
mod next;
mod note;
mod output;
mod place;
mod preferences;
mod received;
mod repeat;
mod screen;
mod simulate;
mod verify;
mod weigh;

use std::fmt::Display;
use std::io::{self, Write};
use std::ops::RangeInclusive;
use std::path::PathBuf;
use std::process::ExitCode;
use std::str::FromStr;

use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

use crate::drill::reader::{FileError, ends};
use crate::export::CAUTION;
use place::Place;

/// Practise controlling a flight path by power alone.
///
/// Without a command, it opens the menu. `DRILL` is the id of a drill that ships (see `leveloff drills`) or a file.
#[derive(Parser)]
#[command(name = "leveloff", version, after_help = CAUTION)]
struct Cli {
    /// Folder for the logbook, instead of the usual one; also LEVELOFF_DATA
    #[arg(long, global = true, value_name = "DIR")]
    data: Option<PathBuf>,
    /// A lesson to follow instead of the ladder that ships; also LEVELOFF_LESSON
    #[arg(long, global = true, value_name = "FILE")]
    lesson: Option<PathBuf>,
    #[command(flatten)]
    screen: screen::Args,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Subcommand)]
enum Command {
    Fly(fly::Args),
    Brief(brief::Args),
    Simulate(simulate::Args),
    Check(check::Args),
    Debrief(debrief::Args),
    Judge(judge::Args),
    Log(log::Args),
    Next(next::Args),
    Note(note::Args),
    Compare(compare::Args),
    Verify(verify::Args),
    Class(class::Args),
    Drills(drills::Args),
    Aircraft(aircraft::Args),
    Fit(fit::Args),
    Gates(gates::Args),
    #[cfg(feature = "axes")]
    Axes(axes::Args),
    Config(config::Args),
    Man(man::Args),
    Completions(completions::Args),
}

/// How the program ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Exit {
    /// It was done as asked.
    Done,
    /// It was tried and failed.
    Failed,
    /// The command was used wrongly, or a file is not right.
    Wrong,
    /// As the screen says: 0, or 128 and the signal that ended it.
    Screen(u8),
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(match exit {
            Exit::Done => 0,
            Exit::Failed => 1,
            Exit::Wrong => 2,
            Exit::Screen(code) => code,
        })
    }
}

/// What is wrong with the arguments or with a file, as a whole message; leads to [`Exit::Wrong`].
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
struct Wrong(String);

/// Runs the program on its arguments.
pub fn main() -> ExitCode {
    let matches = definition().try_get_matches_from(std::env::args_os());
    let exit = match matches.and_then(|matches| Cli::from_arg_matches(&matches)) {
        Ok(cli) => run(cli).unwrap_or_else(|error| complain(&error)),
        // Help and version are results and come with code 0.
        Err(message) if message.exit_code() == 0 => {
            let printed = message.print().and_then(|()| io::stdout().flush());
            printed.map_or_else(|error| complain(&error.into()), |()| Exit::Done)
        }
        Err(message) => {
            output::talk(message.render().to_string().trim_end());
            Exit::Wrong
        }
    };
    exit.into()
}

/// The one definition of arguments: help, manual page and completions are made from it.
pub fn definition() -> clap::Command {
    // `--seed -1` is a wrong value, not an unknown option.
    let negative = |arg: clap::Arg| match arg.get_action().takes_values() {
        true => arg.allow_negative_numbers(true),
        false => arg,
    };
    examples::add_to(Cli::command()).mut_subcommands(|command| command.mut_args(negative))
}

fn run(cli: Cli) -> anyhow::Result<Exit> {
    let place = || Place::load(cli.data, cli.lesson);
    match cli.command {
        None => return fly::menu(&place()?, &cli.screen),
        Some(Command::Fly(args)) => return fly::run(args, &place()?, &cli.screen),
        Some(Command::Brief(args)) => brief::run(args)?,
        Some(Command::Simulate(args)) => return simulate::run(args, &place()?),
        Some(Command::Check(args)) => return check::run(args),
        Some(Command::Debrief(args)) => return debrief::run(args, &place()?, &cli.screen),
        Some(Command::Judge(args)) => return judge::run(args, &place()?, &cli.screen),
        Some(Command::Log(args)) => log::run(args, &place()?)?,
        Some(Command::Next(args)) => return next::run(args, &place()?),
        Some(Command::Note(args)) => note::run(args, &place()?)?,
        Some(Command::Compare(args)) => return compare::run(args, &place()?, &cli.screen),
        Some(Command::Class(args)) => class::run(args, &place()?)?,
        Some(Command::Verify(args)) => return verify::run(args, &place()?),
        Some(Command::Drills(args)) => drills::run(args)?,
        Some(Command::Aircraft(args)) => aircraft::run(args)?,
        Some(Command::Fit(args)) => fit::run(args)?,
        Some(Command::Gates(args)) => gates::run(args)?,
        #[cfg(feature = "axes")]
        Some(Command::Axes(args)) => axes::run(args)?,
        Some(Command::Config(args)) => config::run(args)?,
        Some(Command::Man(args)) => man::run(args, definition())?,
        Some(Command::Completions(args)) => completions::run(args, definition())?,
    }
    Ok(Exit::Done)
}

/// The one printer of errors. Returns the exit that an error leads to. A closed pipe is no error: the reader has seen enough.
fn complain(error: &anyhow::Error) -> Exit {
    let closed = |cause: &(dyn std::error::Error + 'static)| {
        let io = cause.downcast_ref::<io::Error>();
        io.is_some_and(|io| io.kind() == io::ErrorKind::BrokenPipe)
    };
    if error.chain().any(closed) {
        return Exit::Done;
    }
    // An error in a file begins with its place, so that editors can jump there.
    if error.is::<FileError>() {
        output::talk(&error.to_string());
        return Exit::Wrong;
    }
    output::talk(&format!("leveloff: {error:#}"));
    match error.is::<Wrong>() {
        true => Exit::Wrong,
        false => Exit::Failed,
    }
}

/// Checks a `--pilot` value.
fn pilot_name(name: &str) -> Result<String, String> {
    let fault = preferences::key("pilot").and_then(|key| key.fault(name.as_ref()));
    fault.map_or_else(|| Ok(name.to_string()), Err)
}

/// Checks an `--air` value.
fn air_value(air: &str) -> Result<String, String> {
    match crate::drill::parse::air_word_mps(air) {
        Some(_) => Ok(air.to_string()),
        None => Err("give still, light, lively, rough, or knots from 0 to 60".to_string()),
    }
}

/// Reads an argument as a whole number in a range.
fn whole<T: FromStr + PartialOrd + Display>(
    range: RangeInclusive<T>,
) -> impl Fn(&str) -> Result<T, String> + Clone
where
    RangeInclusive<T>: Clone,
{
    move |text| {
        let number = text.parse().ok().filter(|number| range.contains(number));
        let (first, last) = (range.start(), range.end());
        number.ok_or_else(|| format!("give a whole number from {first} to {last}"))
    }
}

/// Numbers that are accepted for a task, a mark or a line; whether there is one of that number is checked later.
const NUMBERED: RangeInclusive<usize> = 0..=9_999;

/// Reads an argument as a number in a range.
fn within(
    range: RangeInclusive<f64>,
    unit: &'static str,
) -> impl Fn(&str) -> Result<f64, String> + Clone {
    move |text| {
        let number = text.parse().ok().filter(|number| range.contains(number));
        number.ok_or_else(|| format!("give {unit} from {}", ends(&range)))
    }
}

/// Returns the error for wrong arguments or a wrong file.
fn wrong<T>(message: impl Into<String>) -> anyhow::Result<T> {
    Err(Wrong(message.into()).into())
}
