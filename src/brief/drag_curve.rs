//! The drag curve: thrust and power that level flight takes, from the stall to well past minimum drag.
//!
//! Computed from the model's own level trim over angle of attack, so the share of weight that thrust carries is in it. That
//! puts the speeds of minimum drag and minimum power slightly off the textbook's (Anderson, *Introduction to Flight*:
//! thrust along the path, V of minimum power = V of minimum drag / 3^(1/4)).

use serde::Serialize;

use super::solve::{crossing, least};
use crate::drill::reader::plain;
use crate::sim::aircraft::Aircraft;
use crate::sim::math::tan;
use crate::sim::trim::{self, Trim};
use crate::units::{DEG, G, KT};

/// Points of the curve.
const POINTS: usize = 41;
/// The curve ends at this share of the speed of minimum drag.
const FAST_END: f64 = 1.6;
/// Lift coefficient below which nothing flies level at a speed worth drawing.
const LEAST_LIFT: f64 = 0.05;
/// The lowest angle of attack that is considered, degrees: below it, lift is a straight line only in the model.
const LEAST_ALPHA_DEG: f64 = -20.0;

/// The smallest picture, columns and rows: its words need the columns, its curve the rows.
const LEAST_PICTURE: (usize, usize) = (72, 10);
/// Rows of a picture that are not plot: title, axis, speeds, names of the marks.
const FRAME_ROWS: usize = 4;
/// Knots between the speeds named along the axis; the first that keeps them [`APART`] is used.
const AXIS_STEPS_KT: [f64; 7] = [5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
/// The fewest columns between two named speeds.
const APART: f64 = 7.0;

/// Thrust and power for level flight against speed, at one mass and altitude.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DragCurve {
    pub on_speed_kt: f64,
    /// Speed of the stall's angle of attack, kt.
    pub stall_kt: f64,
    /// Speed of least thrust, kt; null where it would lie below the stall.
    pub min_drag_kt: Option<f64>,
    /// Speed of least power, kt; null where it would lie below the stall.
    pub min_power_kt: Option<f64>,
    /// Power (thrust times speed) that level flight on speed takes, W.
    pub power_on_speed_w: f64,
    /// From the stall up, evenly spaced in speed.
    pub points: Vec<DragPoint>,
}

/// Level flight at one speed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DragPoint {
    /// True airspeed, kt.
    pub speed_kt: f64,
    /// Angle of attack, degrees.
    pub alpha_deg: f64,
    /// Thrust required, N.
    pub thrust_n: f64,
    /// The same as a share of weight.
    pub thrust_to_weight: f64,
    /// Power required: thrust times speed, W.
    pub power_w: f64,
}

impl DragCurve {
    /// The curve of an aeroplane at a height in m.
    pub fn of(aircraft: &Aircraft, h_m: f64) -> DragCurve {
        let level = |alpha_rad: f64| trim::at_alpha(aircraft, alpha_rad, h_m, 0.0);
        let stall_rad = aircraft.alpha_stall_rad;
        // What carries the aeroplane, including the part of a thrust that equals drag;
        // with the nose far down drag takes away lift.
        let carrying = |alpha: f64| {
            let cl = aircraft.lift_coefficient(alpha);
            cl + aircraft.drag_coefficient(cl) * tan(alpha).min(0.0) - LEAST_LIFT
        };
        let no_lift_rad = (LEAST_LIFT - aircraft.cl0) / aircraft.cl_per_rad;
        let no_lift_rad = no_lift_rad.max(LEAST_ALPHA_DEG * DEG);
        let fastest_rad = match carrying(no_lift_rad) < 0.0 {
            true => crossing(no_lift_rad, aircraft.alpha_on_rad, carrying),
            false => no_lift_rad,
        };
        let drag_rad = least(fastest_rad, stall_rad, |alpha| level(alpha).thrust_n);
        let power_rad = least(fastest_rad, stall_rad, |alpha| power_w(&level(alpha)));
        let before_stall = |alpha_rad: f64| {
            (alpha_rad < stall_rad - 1e-6 * (stall_rad - fastest_rad))
                .then(|| level(alpha_rad).speed_mps / KT)
        };

        let on_speed = level(aircraft.alpha_on_rad);
        let stall_mps = level(stall_rad).speed_mps;
        let end_mps = (FAST_END * level(drag_rad).speed_mps)
            .max(1.2 * on_speed.speed_mps)
            .min(level(fastest_rad).speed_mps);
        let points = (0..POINTS)
            .map(|i| {
                let share = i as f64 / (POINTS - 1) as f64;
                let speed_mps = stall_mps + share * (end_mps - stall_mps);
                let alpha_rad = crossing(fastest_rad, stall_rad, |alpha| {
                    level(alpha).speed_mps - speed_mps
                });
                DragPoint::of(aircraft, alpha_rad, &level(alpha_rad))
            })
            .collect();
        DragCurve {
            on_speed_kt: on_speed.speed_mps / KT,
            stall_kt: stall_mps / KT,
            min_drag_kt: before_stall(drag_rad),
            min_power_kt: before_stall(power_rad),
            power_on_speed_w: power_w(&on_speed),
            points,
        }
    }

    /// On speed against the speeds of least thrust and least power, in words.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![format!(
            "on speed {:.1} kt, {:.1} kt above the stall at {:.1} kt",
            self.on_speed_kt,
            self.on_speed_kt - self.stall_kt,
            self.stall_kt
        )];
        match self.min_drag_kt {
            Some(min_drag_kt) => {
                let way = match self.on_speed_kt < min_drag_kt {
                    true => "slower, on the back side",
                    false => "faster, on the front side",
                };
                lines.push(format!(
                    "minimum drag {min_drag_kt:.1} kt: on speed is {:.1} kt {way}",
                    (self.on_speed_kt - min_drag_kt).abs(),
                ));
                if self.on_speed_kt < min_drag_kt {
                    lines.push("  where flying slower takes more thrust".to_string());
                }
            }
            None => lines.push(
                "minimum drag lies below the stall: the whole curve is the front side".to_string(),
            ),
        }
        if let Some(min_power_kt) = self.min_power_kt {
            lines.push(format!("minimum power {min_power_kt:.1} kt"));
        }
        let thrust = |point: &DragPoint| {
            format!(
                "{:8.1} kt {:7.0} N {:6.1} % of weight {:8.0} kW",
                point.speed_kt,
                point.thrust_n,
                100.0 * point.thrust_to_weight,
                point.power_w / 1000.0
            )
        };
        lines.push("thrust and power for level flight:".to_string());
        lines.extend(self.points.iter().step_by(5).map(thrust));
        lines
    }

    /// The thrust against speed as plain ASCII, `rows` lines of at most `columns` characters (no fewer than 10 and 72). `O`, `P`
    /// and `D` mark on speed, minimum power and minimum drag on the curve; dots fill the back side, slower than minimum drag.
    pub fn picture(&self, columns: usize, rows: usize) -> Vec<String> {
        let thrusts = || self.points.iter().map(|point| point.thrust_n);
        let (low_n, high_n) = (
            thrusts().fold(f64::INFINITY, f64::min),
            thrusts().fold(0.0, f64::max),
        );
        let labels = [plain(high_n.round()), plain(low_n.round())];
        let margin = labels[0].len().max(labels[1].len());
        let plot_columns = columns.max(LEAST_PICTURE.0) - margin - 2;
        let plot_rows = rows.max(LEAST_PICTURE.1) - FRAME_ROWS;

        let plot = self.plot(plot_columns, plot_rows, low_n, high_n);
        let mut lines = vec![
            "thrust (N) for level flight from the stall up, kt; dots: the back side".to_string(),
        ];
        for (row, cells) in plot.iter().enumerate() {
            let label = match row {
                0 => labels[0].as_str(),
                _ if row + 1 == plot_rows => labels[1].as_str(),
                _ => "",
            };
            let cells: String = cells.iter().collect();
            lines.push(format!("{label:>margin$} |{}", cells.trim_end()));
        }
        let (axis, speeds) = self.axis(plot_columns);
        lines.push(format!("{:margin$} +{axis}", ""));
        lines.push(format!("{:margin$}  {}", "", speeds.trim_end()));
        let mut names = format!("O on speed {:.1} kt", self.on_speed_kt);
        if let Some(kt) = self.min_power_kt {
            names += &format!(", P minimum power {kt:.1}");
        }
        names += &match self.min_drag_kt {
            Some(kt) => format!(", D minimum drag {kt:.1}"),
            None => "; minimum drag lies below the stall".to_string(),
        };
        lines.push(names);
        lines
    }

    /// The cells of a picture, from the top.
    fn plot(&self, columns: usize, rows: usize, low_n: f64, high_n: f64) -> Vec<Vec<char>> {
        let row_of = |speed_kt: f64| {
            let share = (high_n - self.thrust_n(speed_kt)) / (high_n - low_n).max(1e-9);
            ((rows - 1) as f64 * share).round() as usize
        };
        let (slow_kt, fast_kt) = self.ends_kt();
        let mut cells = vec![vec![' '; columns]; rows];
        let mut last = row_of(slow_kt);
        for column in 0..columns {
            let share = column as f64 / (columns - 1) as f64;
            let speed_kt = slow_kt + share * (fast_kt - slow_kt);
            let row = row_of(speed_kt);
            if self.min_drag_kt.is_some_and(|drag_kt| speed_kt < drag_kt) {
                for (row, line) in cells.iter_mut().enumerate() {
                    if (row + column / 2) % 2 == 0 && column % 2 == 0 {
                        line[column] = '.';
                    }
                }
            }
            // The curve has no gaps where it is steep.
            let steep = if row > last {
                last + 1..=row
            } else {
                row..=row.max(last.saturating_sub(1))
            };
            for line in &mut cells[steep] {
                line[column] = '*';
            }
            cells[row][column] = '*';
            last = row;
        }
        let marks = [
            (self.min_power_kt, 'P'),
            (self.min_drag_kt, 'D'),
            (Some(self.on_speed_kt), 'O'),
        ];
        for (speed_kt, mark) in marks {
            if let Some(speed_kt) = speed_kt {
                cells[row_of(speed_kt)][self.column(speed_kt, columns)] = mark;
            }
        }
        cells
    }

    /// The line below a picture and the round speeds below that, each centred under its tick.
    fn axis(&self, columns: usize) -> (String, String) {
        let (slow_kt, fast_kt) = self.ends_kt();
        let columns_per_kt = (columns - 1) as f64 / (fast_kt - slow_kt);
        let step_kt = AXIS_STEPS_KT
            .into_iter()
            .find(|step_kt| step_kt * columns_per_kt >= APART)
            .unwrap_or(fast_kt - slow_kt);
        let (mut axis, mut speeds) = (vec!['-'; columns], vec![' '; columns]);
        let mut speed_kt = (slow_kt / step_kt).ceil() * step_kt;
        while speed_kt <= fast_kt {
            let column = self.column(speed_kt, columns);
            axis[column] = '+';
            let name = format!("{speed_kt:.0}");
            let from = column.saturating_sub(name.len() / 2);
            if from + name.len() <= columns {
                for (cell, digit) in speeds[from..].iter_mut().zip(name.chars()) {
                    *cell = digit;
                }
            }
            speed_kt += step_kt;
        }
        (axis.into_iter().collect(), speeds.into_iter().collect())
    }

    /// Slowest and fastest speed of the curve, kt.
    fn ends_kt(&self) -> (f64, f64) {
        let kt = |point: Option<&DragPoint>| point.map_or(self.on_speed_kt, |point| point.speed_kt);
        (kt(self.points.first()), kt(self.points.last()))
    }

    /// The column of a picture that a speed falls into.
    fn column(&self, speed_kt: f64, columns: usize) -> usize {
        let (slow_kt, fast_kt) = self.ends_kt();
        let share = (speed_kt - slow_kt) / (fast_kt - slow_kt);
        ((columns - 1) as f64 * share.clamp(0.0, 1.0)).round() as usize
    }

    /// Thrust at a speed on the curve, N, linear between its points; beyond them that of the nearest end.
    fn thrust_n(&self, speed_kt: f64) -> f64 {
        let share_in = |pair: &[DragPoint]| {
            (speed_kt - pair[0].speed_kt) / (pair[1].speed_kt - pair[0].speed_kt)
        };
        let mut pairs = self.points.windows(2);
        let pair = pairs
            .clone()
            .find(|pair| speed_kt <= pair[1].speed_kt)
            .or_else(|| pairs.next_back());
        pair.map_or(0.0, |pair| {
            let share = share_in(pair).clamp(0.0, 1.0);
            pair[0].thrust_n + share * (pair[1].thrust_n - pair[0].thrust_n)
        })
    }
}

impl DragPoint {
    fn of(aircraft: &Aircraft, alpha_rad: f64, level: &Trim) -> DragPoint {
        DragPoint {
            speed_kt: level.speed_mps / KT,
            alpha_deg: alpha_rad / DEG,
            thrust_n: level.thrust_n,
            thrust_to_weight: level.thrust_n / (aircraft.mass_kg * G),
            power_w: power_w(level),
        }
    }
}

fn power_w(level: &Trim) -> f64 {
    level.thrust_n * level.speed_mps
}
