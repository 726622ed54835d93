//! `aircraft`: what an aeroplane needs to fly on speed.

use std::fmt::Write;
use std::path::PathBuf;

use serde::Serialize;

use super::{Exit, find, output};
use crate::drill::library;
use crate::drill::reader::plain;
use crate::run::recording::SCHEMA;
use crate::sim::aircraft::Aircraft;
use crate::sim::{stability, trim};
use crate::units::{DEG, FPM, FT, KT};

/// Steepest whole degree of the table.
const STEEPEST_DEG: i32 = 6;

/// Show an aeroplane's trims and how it swings, or list those that ship
#[derive(clap::Args)]
pub struct Args {
    /// Name of an aeroplane that ships, or a file
    name: Option<PathBuf>,
    /// Altitude of the figures, 0 to 30000
    #[arg(long, value_name = "FT", default_value_t = 1000.0, value_parser = altitude_ft)]
    altitude_ft: f64,
    /// As JSON
    #[arg(long)]
    json: bool,
}

fn altitude_ft(text: &str) -> Result<f64, String> {
    let number = text.parse().ok().filter(|ft| (0.0..=30_000.0).contains(ft));
    number.ok_or_else(|| "give feet from 0 to 30000".to_string())
}

#[derive(Serialize)]
struct Sheet {
    schema: u32,
    name: String,
    altitude_ft: f64,
    mass_kg: f64,
    trim: Vec<Row>,
    phugoid: Swing,
    dgamma_dv_deg_per_kt: f64,
}

#[derive(Serialize)]
struct Row {
    path_deg: i32,
    speed_mps: f64,
    lever: Option<f64>,
    vertical_speed_fpm: f64,
}

/// Both None where the aeroplane runs away without swinging.
#[derive(Serialize)]
struct Swing {
    period_s: Option<f64>,
    damping: Option<f64>,
}

#[derive(Serialize)]
struct Listing {
    schema: u32,
    aircraft: Vec<Known>,
}

#[derive(Serialize)]
struct Known {
    id: &'static str,
    name: String,
    about: String,
    mass_kg: f64,
}

/// One aeroplane's sheet, or the list.
pub fn run(args: Args) -> anyhow::Result<Exit> {
    match &args.name {
        None => list(args.json)?,
        Some(name) => {
            let aircraft = find::aircraft(name)?;
            let sheet = Sheet::new(&aircraft, args.altitude_ft);
            match args.json {
                true => output::json(&sheet)?,
                false => {
                    let text = sheet.text(&aircraft);
                    output::results(|out| out.write_all(text.as_bytes()))?;
                }
            }
        }
    }
    Ok(Exit::Done)
}

fn list(json: bool) -> anyhow::Result<()> {
    let mut known = Vec::new();
    for shipped in library::AIRCRAFT {
        let aircraft = shipped.aircraft()?;
        known.push(Known {
            id: shipped.id,
            name: aircraft.name,
            about: aircraft.about,
            mass_kg: aircraft.mass_kg,
        });
    }
    if json {
        return output::json(&Listing {
            schema: SCHEMA,
            aircraft: known,
        });
    }
    output::results(|out| {
        let mut rows = known.iter();
        rows.try_for_each(|row| writeln!(out, "{:<14}  {}", row.name, row.about))
    })
}

impl Sheet {
    fn new(aircraft: &Aircraft, altitude_ft: f64) -> Sheet {
        let h_m = altitude_ft * FT;
        let level = trim::on_speed(aircraft, h_m, 0.0);
        let swing = stability::phugoid(aircraft, h_m, &level);
        let rows = (-STEEPEST_DEG..=STEEPEST_DEG).map(|path_deg| {
            let trim = trim::on_speed(aircraft, h_m, f64::from(path_deg) * DEG);
            Row {
                path_deg,
                speed_mps: trim.speed_mps,
                lever: trim.is_possible().then_some(trim.lever),
                vertical_speed_fpm: trim.vertical_mps() / FPM,
            }
        });
        Sheet {
            schema: SCHEMA,
            name: aircraft.name.clone(),
            altitude_ft,
            mass_kg: aircraft.mass_kg,
            trim: rows.collect(),
            phugoid: Swing {
                period_s: swing.map(|swing| swing.period_s),
                damping: swing.map(|swing| swing.damping),
            },
            dgamma_dv_deg_per_kt: stability::path_per_speed_deg_per_kt(aircraft, h_m),
        }
    }

    fn text(&self, aircraft: &Aircraft) -> String {
        let (lightest, heaviest) = aircraft.mass_range_kg;
        let mut rows = String::new();
        for row in self.trim.iter().rev() {
            let lever = match row.lever {
                Some(lever) => format!("{:.1}", 100.0 * lever),
                None => "beyond".to_string(),
            };
            // Writing to a String cannot fail.
            let _ = writeln!(
                rows,
                "{:>+5} deg  {:>7.1} kt  {lever:>7} %  {:>+7.0} ft/min",
                row.path_deg,
                row.speed_mps / KT,
                row.vertical_speed_fpm
            );
        }
        let swing = match (self.phugoid.period_s, self.phugoid.damping) {
            (Some(period_s), Some(damping)) => {
                format!("period {period_s:.1} s (undamped), damping ratio {damping:.3}")
            }
            _ => "none: it runs away without swinging".to_string(),
        };
        let slope = self.dgamma_dv_deg_per_kt;
        let side = if slope > 0.0 {
            "back side: slower is steeper down"
        } else {
            "front side"
        };
        format!(
            "{}: {}\n\
             {} kg (may be flown at {} to {} kg), at {} ft, in still air, on speed:\n\n\
             \x20    path      speed      lever    vertical speed\n\
             {rows}\n\
             Phugoid: {swing}\n\
             Path per speed at fixed power: {slope:+.3} deg/kt ({side})\n",
            aircraft.name,
            aircraft.about,
            plain(self.mass_kg),
            plain(lightest),
            plain(heaviest),
            plain(self.altitude_ft),
        )
    }
}
