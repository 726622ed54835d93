//! `config`: the file of preferences, and the values in force.

use std::fs;
use std::path::PathBuf;

use anyhow::Context;
use serde::Serialize;

use super::preferences::{self, From, KEYS, Preferences};
use super::{output, wrong};

/// Show, find or create the preferences file
#[derive(clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: Option<What>,
}

#[derive(clap::Subcommand)]
enum What {
    /// Show what is set, and where: the environment overrides the file
    Show {
        /// As JSON
        #[arg(long)]
        json: bool,
    },
    /// Show where the file is, or would be
    Path,
    /// Write the file with every key explained and none set
    Init,
}

#[derive(Serialize)]
struct Listing {
    file: Option<String>,
    keys: Vec<KeyRow>,
}

#[derive(Serialize)]
struct KeyRow {
    key: &'static str,
    value: Option<String>,
    from: Option<From>,
}

/// Does one of the three; without a subcommand, shows what is set.
pub fn run(args: Args) -> anyhow::Result<()> {
    match args.what {
        Some(What::Path) => {
            let file = output::name(&file()?);
            output::results(|out| writeln!(out, "{file}"))
        }
        Some(What::Init) => init(),
        Some(What::Show { json }) => show(json),
        None => show(false),
    }
}

fn file() -> anyhow::Result<PathBuf> {
    preferences::path().context("there is no home folder to keep a preferences file in")
}

fn show(json: bool) -> anyhow::Result<()> {
    let set = Preferences::load(|name| std::env::var_os(name))?;
    if json {
        let rows = KEYS.iter().map(|key| {
            let value = set.get(key.name);
            KeyRow {
                key: key.name,
                value: value.map(|(value, _)| value.to_string_lossy().into_owned()),
                from: value.map(|(_, from)| *from),
            }
        });
        return output::versioned(&Listing {
            file: preferences::path().map(|file| file.display().to_string()),
            keys: rows.collect(),
        });
    }
    output::results(|out| {
        KEYS.iter().try_for_each(|key| match set.get(key.name) {
            None => writeln!(out, "{:<8}not set: {}", key.name, key.unset),
            Some((value, from)) => {
                let from = match from {
                    From::Environment => key.variable,
                    From::File => "the file",
                };
                let value = output::clean(&value.to_string_lossy());
                writeln!(out, "{:<8}{value}  (from {from})", key.name)
            }
        })
    })
}

/// Writes the file, never over one that is there.
fn init() -> anyhow::Result<()> {
    let file = file()?;
    let name = output::name(&file);
    if let Some(folder) = file.parent() {
        fs::create_dir_all(folder).with_context(|| format!("cannot write {name}"))?;
    }
    match output::new_file(&file, &preferences::blank())? {
        true => output::text(&format!("{name}\n")),
        false => wrong(format!(
            "{name} already exists; edit it, or move it away first"
        )),
    }
}
