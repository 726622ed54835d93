//! `completions`: what a shell needs to complete arguments, from their definition.

use clap::Command;
use clap_complete::Shell;

use super::output;

/// Write a shell's script for completing arguments
#[derive(clap::Args)]
pub struct Args {
    /// The shell
    shell: Shell,
}

/// Prints a script for the shell.
pub fn run(args: Args, mut definition: Command) -> anyhow::Result<()> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut definition, "leveloff", &mut script);
    output::results(|out| out.write_all(&script))
}
