//! The command line; everything else is in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    leveloff::cli::main()
}
