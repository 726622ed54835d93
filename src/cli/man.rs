//! `man`: the manual page, from the definition of arguments.

use clap::Command;
use clap_mangen::Man;

use super::{Wrong, output};
use crate::drill::reader::printable;
use crate::drill::spelling;

/// Write the manual page, for `man` to read
#[derive(clap::Args)]
pub struct Args {
    /// The page of one command instead
    command: Option<String>,
}

/// Prints the page in roff.
pub fn run(args: Args, mut definition: Command) -> anyhow::Result<()> {
    definition.build();
    let command = match &args.command {
        None => definition,
        Some(name) => one(&definition, name)?,
    };
    let mut page = Vec::new();
    Man::new(command).render(&mut page)?;
    output::results(|out| out.write_all(&page))
}

fn one(definition: &Command, name: &str) -> Result<Command, Wrong> {
    let commands = definition.get_subcommands();
    let names: Vec<&str> = commands.map(Command::get_name).collect();
    let found = definition.find_subcommand(name).cloned();
    found.ok_or_else(|| {
        let typed = printable(name);
        let hint = spelling::hint(&typed, &names);
        Wrong(format!(
            "there is no command `{typed}`{hint}; give one of: {}",
            names.join(", ")
        ))
    })
}
