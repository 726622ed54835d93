//! The air's density, pressure and temperature against the U.S. Standard Atmosphere 1976 (NOAA-S/T 76-1562), which equals
//! ICAO/ISO 2533 here; heights are geopotential.

use approx::assert_relative_eq;
use leveloff::sim::atmosphere;
use leveloff::units::{FT, G};
use serde_json::Value;

/// The speed of sound in a gas with the standard's ratio of specific heats for air, 1.4: sqrt(1.4 R T), by the model's R and T.
fn sound_mps(h_m: f64) -> f64 {
    (1.4 * atmosphere::R_AIR * atmosphere::temperature_k(h_m)).sqrt()
}

/// By the gas law from the model's values.
fn pressure_pa(h_m: f64) -> f64 {
    atmosphere::at(h_m).rho_kgm3 * atmosphere::R_AIR * atmosphere::temperature_k(h_m)
}

#[test]
fn standard_atmosphere_to_11_km() {
    // From the PyPI package `ambiance`, every 500 m; it carries more digits of the gas constant than the standard's seven,
    // hence 2e-6.
    let data: Value = serde_json::from_str(include_str!("data/reference/atmosphere.json")).unwrap();
    let rows = data["rows"].as_array().unwrap();
    assert_eq!(rows.len(), 23);
    for (index, row) in rows.iter().enumerate() {
        let number = |key: &str| row[key].as_f64().unwrap();
        let h_m = number("altitude_m");
        assert_eq!(h_m, 500.0 * index as f64);
        assert_relative_eq!(
            atmosphere::temperature_k(h_m),
            number("temperature_k"),
            max_relative = 1e-9
        );
        assert_relative_eq!(pressure_pa(h_m), number("pressure_pa"), max_relative = 2e-6);
        assert_relative_eq!(
            atmosphere::at(h_m).rho_kgm3,
            number("density_kg_m3"),
            max_relative = 2e-6
        );
        assert_relative_eq!(
            sound_mps(h_m),
            number("speed_of_sound_mps"),
            max_relative = 1e-9
        );
    }
}

#[test]
fn printed_table_in_metres() {
    // NOAA-S/T 76-1562, constants from p. 2; the table computed from them, its 1000 m row read in a printed copy.
    // H m, T K, p Pa, rho kg/m3, speed of sound m/s; held to half a unit of the last digit, the last
    // column to a whole one: two of its rows were rounded up from just below the half.
    let table = [
        (0.0, 288.15, 101_325.0, 1.22500, 340.294),
        (500.0, 284.90, 95_460.8, 1.16727, 338.370),
        (1000.0, 281.65, 89_874.6, 1.11164, 336.434),
        (1500.0, 278.40, 84_556.0, 1.05807, 334.487),
        (2000.0, 275.15, 79_495.2, 1.00649, 332.529),
        (3000.0, 268.65, 70_108.5, 0.90912, 328.578),
        (5000.0, 255.65, 54_019.9, 0.73612, 320.530),
    ];
    for (h_m, t_k, p_pa, rho_kgm3, a_mps) in table {
        let close = |ours: f64, printed: f64, half_unit: f64| {
            assert!(
                (ours - printed).abs() <= half_unit,
                "{h_m} m: {ours} {printed}"
            );
        };
        close(atmosphere::temperature_k(h_m), t_k, 0.005);
        close(pressure_pa(h_m), p_pa, 0.05);
        close(atmosphere::at(h_m).rho_kgm3, rho_kgm3, 0.000_005);
        close(sound_mps(h_m), a_mps, 0.001);
    }
}

#[test]
fn printed_table_in_feet() {
    // Computed from NOAA-S/T 76-1562 as above. H ft, rho kg/m3, density ratio.
    let table = [
        (500.0, 1.20718, 0.98545),
        (1000.0, 1.18955, 0.97106),
        (2000.0, 1.15490, 0.94277),
        (3000.0, 1.12102, 0.91512),
        (5000.0, 1.05555, 0.86167),
        (10_000.0, 0.90464, 0.73848),
    ];
    for (h_ft, rho_kgm3, sigma) in table {
        let air = atmosphere::at(h_ft * FT);
        assert!(
            (air.rho_kgm3 - rho_kgm3).abs() <= 0.000_005,
            "{h_ft} ft: {}",
            air.rho_kgm3
        );
        assert!(
            (air.sigma() - sigma).abs() <= 0.000_005,
            "{h_ft} ft: {}",
            air.sigma()
        );
    }
}

/// Against the closed forms in place of the series, on both sides of the limits of the series.
#[test]
fn series_and_closed_forms_agree() {
    let series_end_m = 0.07 * atmosphere::T0_K / atmosphere::LAPSE_K_PER_M;
    let heights = (-20..=100).map(|n| 31.1 * f64::from(n));
    for h_m in heights.chain([-50.0, series_end_m - 1e-9, series_end_m + 1e-9, 11_000.0]) {
        let air = atmosphere::at(h_m);
        let sea = atmosphere::P0_PA / (atmosphere::R_AIR * atmosphere::T0_K);
        let theta = atmosphere::temperature_k(h_m) / atmosphere::T0_K;
        let exponent = G / (atmosphere::R_AIR * atmosphere::LAPSE_K_PER_M) - 1.0;
        assert_relative_eq!(
            air.rho_kgm3,
            sea * theta.powf(exponent),
            max_relative = 2e-15
        );
        assert_relative_eq!(air.sigma(), air.rho_kgm3 / 1.225, max_relative = 2e-15);
        assert_relative_eq!(air.jet, air.sigma().powf(0.7), max_relative = 2e-15);
    }
}
