//! Practise controlling a flight path by power alone.
//!
//! The folder names follow the flow: a [`drill`] is flown as a [`run`], which gets a [`score`]. [`reach`] works out which points
//! were still in reach, and [`why`] where and why they were lost. The run is kept in the [`logbook`] and debriefed, and
//! [`progress`] follows the results over the days. [`sim`] holds the flight mechanics, [`plan`] works out beforehand how a task
//! can be flown, [`fit`] makes an aeroplane from readings, [`hands`] move the lever in place of a person, and [`export`] writes
//! results as text. [`tui`] and [`cli`] are the shell around all this.

pub mod brief;
pub mod cli;
pub mod drill;
pub mod export;
pub mod fit;
pub mod hands;
pub mod logbook;
pub mod plan;
pub mod progress;
pub mod reach;
pub mod run;
pub mod score;
pub mod sim;
pub mod track;
pub mod tui;
pub mod units;
pub mod why;
