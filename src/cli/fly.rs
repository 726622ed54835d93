//! `fly` and the menu: the commands that need a terminal.

use std::io::{self, IsTerminal};
use std::path::PathBuf;
use std::sync::Arc;

use clap::ValueEnum;
use clap::builder::PossibleValue;

use super::place::Place;
use super::{Exit, Wrong, air_value, clock, find, hand, output, pilot_name, screen, whole, wrong};
use crate::drill::Aids;
use crate::drill::reader::printable;
use crate::drill::{Drill, library, parse};
use crate::logbook::{Logbook, LogbookError};
use crate::run::recording::HandName;
use crate::tui::echo::EchoChoice;
use crate::tui::theme::Theme;
use crate::tui::{self, Opening, Settings, Shelf};

/// Fly a drill
#[derive(clap::Args)]
pub struct Args {
    /// Id of a drill that ships, or a file
    drill: PathBuf,
    /// How much the screen helps, instead of what the drill says
    #[arg(long, value_enum)]
    aids: Option<Aids>,
    /// Seed of the air and of surprises; if not given, one is drawn and shown
    #[arg(long, value_name = "N", value_parser = whole(0..=u64::MAX))]
    seed: Option<u64>,
    /// Gusts instead of the drill's: still, light, lively, rough, or their wind at 20 ft in knots
    #[arg(long, value_name = "WORD|KT", value_parser = air_value)]
    air: Option<String>,
    /// First guess the numbers to fly by; the debrief compares each guess with the truth
    #[arg(long)]
    predict: bool,
    /// Another run beside yours: par, brief, best, or the id of an earlier run of the drill
    #[arg(long, value_name = "par|brief|best|ID")]
    echo: Option<String>,
    /// Name of the pilot, kept with the run and shown in its debrief
    #[arg(long, value_name = "NAME", value_parser = pilot_name)]
    pilot: Option<String>,
    /// Watch a built-in hand fly it
    #[arg(long, value_name = "HAND", value_parser = hand::parser(), conflicts_with = "predict")]
    hand: Option<HandName>,
}

impl ValueEnum for Aids {
    fn value_variants<'a>() -> &'a [Aids] {
        &Aids::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        let help = match self {
            Aids::Full => "Forecast and level mark",
            Aids::Some => "Level mark",
            Aids::Bare => "Neither",
        };
        Some(PossibleValue::new(self.word()).help(help))
    }
}

/// Finds a drill by its name, with the air asked for in place of its own. Behind a ship there are no gusts to replace.
pub fn drill_in_air(name: &std::path::Path, air: Option<&str>) -> anyhow::Result<Arc<Drill>> {
    let drill = find::drill(name)?;
    if air.is_some() && drill.air.wake.is_some() {
        return wrong(format!(
            "the air of {} is its ship's wake, which has no gusts to replace; leave out --air",
            printable(&drill.id)
        ));
    }
    Ok(Arc::new(in_air(drill, air)))
}

fn in_air(mut drill: Drill, air: Option<&str>) -> Drill {
    if let Some(u20_mps) = air.and_then(parse::air_word_mps) {
        drill.air.u20_mps = u20_mps;
    }
    drill
}

/// Flies one drill.
pub fn run(args: Args, place: &Place, screen: &screen::Args) -> anyhow::Result<Exit> {
    let drill = drill_in_air(&args.drill, args.air.as_deref())?;
    if let Some(hand) = args.hand {
        hand::check(hand, &drill)?;
    }
    let (echo, earlier) = match args.echo.as_deref() {
        None => (EchoChoice::Off, None),
        Some("par") => (EchoChoice::Par, None),
        Some("brief") => (EchoChoice::Brief, None),
        Some("best") => (EchoChoice::Best, None),
        Some(id) => {
            earlier(&place.logbook()?, &drill, id)?;
            (EchoChoice::Earlier, Some(id.to_string()))
        }
    };
    needs_terminal("flying")?;
    let settings = settings(place, screen)?;
    let settings = Settings {
        aids: args.aids.or(settings.aids),
        echo,
        seed: args.seed,
        air: args.air,
        pilot: args.pilot.or(settings.pilot),
        ..settings
    };
    let id = drill.id.clone();
    let (mut shelf, index) = shelf(place, Some(drill), settings.air.as_deref())?;
    if let Some(earlier) = earlier {
        shelf.ask_earlier(&id, earlier);
    }
    let start = match args.hand {
        Some(hand) => Opening::Watch(index, hand),
        None if args.predict => Opening::Guess(index),
        None => Opening::Fly(index),
    };
    Ok(open(settings, shelf, start))
}

/// Opens the menu.
pub fn menu(place: &Place, screen: &screen::Args) -> anyhow::Result<Exit> {
    needs_terminal("the menu")?;
    show(Opening::Menu, place, screen)
}

/// Opens the screens at a given place.
pub fn show(start: Opening, place: &Place, screen: &screen::Args) -> anyhow::Result<Exit> {
    let (shelf, _) = shelf(place, None, None)?;
    Ok(open(settings(place, screen)?, shelf, start))
}

/// Checks that a run can be the echo on a drill.
fn earlier(logbook: &Logbook, drill: &Drill, id: &str) -> anyhow::Result<()> {
    let recording = logbook.recording(id).map_err(|error| match error {
        LogbookError::BadId { .. } => Wrong(format!(
            "--echo takes par, brief, best or the id of a run; {error}"
        ))
        .into(),
        LogbookError::NoRun { .. } => Wrong(error.to_string()).into(),
        error => anyhow::Error::from(error),
    })?;
    if recording.drill != drill.id {
        let (flown, wanted) = (printable(&recording.drill), &drill.id);
        return wrong(format!(
            "run {id} is of the drill `{flown}`, not of `{wanted}`; give a run of the drill you want to fly"
        ));
    }
    match recording.replay() {
        Ok(_) => Ok(()),
        Err(why) => wrong(format!(
            "run {id} cannot be flown again: {why}; choose another"
        )),
    }
}

/// The settings with which the screens begin where nothing else is asked for.
fn settings(place: &Place, screen: &screen::Args) -> anyhow::Result<Settings> {
    Ok(Settings {
        logbook: place.logbook()?,
        aids: place.preferences.text("aids").and_then(Aids::of),
        echo: EchoChoice::Off,
        seed: None,
        air: None,
        pilot: place.preferences.text("pilot").map(String::from),
        theme: Theme::detect(|name| std::env::var(name).ok()),
        options: screen.options(&place.preferences)?,
        draw_seed: clock::draw_seed,
        sheet: tui::prepared::Sheet::of,
        tells_in_reach: std::thread::available_parallelism().is_ok_and(|count| count.get() > 1),
        now: clock::now,
    })
}

fn open(settings: Settings, shelf: Shelf, start: Opening) -> Exit {
    let ended = tui::run(settings, shelf, start);
    for text in tui::farewell::take() {
        output::talk(&format!("leveloff: {text}"));
    }
    match ended {
        Ok(code) => Exit::Screen(code),
        Err(error) => {
            output::talk(&format!("leveloff: {error}"));
            Exit::Screen(error.exit_code())
        }
    }
}

/// The shelf: the drill asked for where it is not among the others, the own drills of the lesson that is followed, then
/// everything that ships, all in the air asked for. Also returns the place of the drill asked for.
fn shelf(
    place: &Place,
    asked: Option<Arc<Drill>>,
    air: Option<&str>,
) -> anyhow::Result<(Shelf, usize)> {
    let lesson = place.lesson()?;
    let own = lesson.rungs.iter().filter_map(|rung| rung.own.as_deref());
    let mut drills: Vec<Arc<Drill>> = own
        .map(|drill| Arc::new(in_air(drill.clone(), air)))
        .collect();
    for shipped in library::DRILLS {
        drills.push(Arc::new(in_air(shipped.drill()?, air)));
    }
    let mut shelf = Shelf::new(drills);
    shelf.lesson = lesson;
    let place = asked.as_ref().and_then(|asked| shelf.place_of(asked));
    if let (Some(asked), None) = (asked, place) {
        shelf.drills.insert(0, asked);
    }
    Ok((shelf, place.unwrap_or(0)))
}

/// Whether there is a terminal that screens can be drawn on.
pub fn is_terminal() -> bool {
    io::stdin().is_terminal() && io::stdout().is_terminal() && !is_dumb()
}

fn is_dumb() -> bool {
    std::env::var_os("TERM").is_some_and(|term| term == "dumb")
}

fn needs_terminal(what: &str) -> Result<(), Wrong> {
    if is_terminal() {
        return Ok(());
    }
    let why = match is_dumb() {
        true => ", and TERM is `dumb`, one that draws no screens; set TERM to match your terminal",
        false => "",
    };
    Err(Wrong(format!(
        "{what} needs a terminal{why}; the commands that print need none (see --help)"
    )))
}
