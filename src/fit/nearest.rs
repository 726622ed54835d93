//! The nearest of the shipped aeroplanes: what the rows cannot determine is taken from it.

use super::rows::SteadyRow;
use super::{Drive, Given};
use crate::brief::carry_on::EngineAnswer;
use crate::drill::library;
use crate::drill::reader::plain;
use crate::sim::aircraft::Aircraft;
use crate::sim::atmosphere::{self, RHO0_KGM3};
use crate::sim::math::{ln, sqrt};
use crate::sim::trim;
use crate::units::KT;

/// The nearest aeroplane, and what was compared.
#[derive(Clone, Debug)]
pub struct Nearest {
    pub aircraft: Aircraft,
    /// The mass of the fitted aeroplane: of the rows' masses, the one nearest to their mean, kg.
    pub mass_kg: f64,
    /// The speed on speed at sea level and that mass, by the rows, m/s.
    pub speed_mps: f64,
    /// In what it is nearest, in words.
    pub why: String,
}

impl Nearest {
    /// The nearest aeroplane of the given kind, or of all kinds: nearest in the logarithms of mass, on-speed speed and,
    /// where it is given, the time the engine takes from idle.
    pub fn to(rows: &[SteadyRow], given: &Given) -> Nearest {
        let mass_kg = middle_mass_kg(rows);
        let speeds = rows.iter().map(|row| {
            let thinner = atmosphere::at(row.h_m).rho_kgm3 / RHO0_KGM3;
            row.speed_mps * sqrt(thinner * mass_kg / row.mass_kg)
        });
        let speed_mps = speeds.sum::<f64>() / rows.len() as f64;
        let shipped = library::AIRCRAFT
            .iter()
            .filter_map(|shipped| shipped.aircraft().ok());
        let of_kind =
            shipped.filter(|aircraft| given.kind.is_none_or(|kind| kind == Drive::of(aircraft)));
        let far = |aircraft: &Aircraft| {
            let own_mps = trim::on_speed(aircraft, 0.0, 0.0).speed_mps;
            let from_idle = given
                .from_idle_s
                .zip(EngineAnswer::of(aircraft, 0.0).idle_to_95_s);
            let ratios = [
                mass_kg / aircraft.mass_kg,
                speed_mps / own_mps,
                from_idle.map_or(1.0, |(given_s, own_s)| given_s / own_s),
            ];
            ratios
                .iter()
                .map(|ratio| ln(*ratio) * ln(*ratio))
                .sum::<f64>()
        };
        let measured = of_kind.map(|aircraft| (far(&aircraft), aircraft));
        let (_, aircraft) = measured
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .expect("a test reads every shipped aeroplane; there are both kinds");
        let kind = match given.kind {
            Some(Drive::Jet) => "of the jets that ship ",
            Some(Drive::Propeller) => "of the propellers that ship ",
            None => "",
        };
        let engine = match (
            given.from_idle_s,
            EngineAnswer::of(&aircraft, 0.0).idle_to_95_s,
        ) {
            (Some(s), Some(own_s)) => {
                format!(", the engine from idle in {s:.1} s against {own_s:.1}")
            }
            _ => String::new(),
        };
        let why = format!(
            "{kind}the nearest in mass and speed: {} kg against {}, {:.0} kt on speed at sea level against {:.0}{engine}",
            plain(mass_kg.round()),
            plain(aircraft.mass_kg),
            speed_mps / KT,
            trim::on_speed(&aircraft, 0.0, 0.0).speed_mps / KT,
        );
        Nearest {
            aircraft,
            mass_kg,
            speed_mps,
            why,
        }
    }
}

fn middle_mass_kg(rows: &[SteadyRow]) -> f64 {
    let mean = rows.iter().map(|row| row.mass_kg).sum::<f64>() / rows.len() as f64;
    let masses = rows.iter().map(|row| row.mass_kg);
    masses
        .min_by(|a, b| (a - mean).abs().total_cmp(&(b - mean).abs()))
        .unwrap_or(mean)
}
