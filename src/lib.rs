//! Practise controlling a flight path by power alone.
//!
//! The flow is in the folder names: a [`drill`] is flown as a [`run`], which gets a [`score`]; what was in [`reach`] is worked
//! out and where it was lost told with the [`why`] of it; it is kept in the [`logbook`] and debriefed, and [`progress`] says
//! what became of it over the days. [`sim`] holds the flight mechanics, [`plan`] says beforehand how a task can be flown,
//! [`fit`] makes an aeroplane from what was read off one, [`hands`] are those who can move the lever without a person,
//! [`export`] is what leaves as text; [`tui`] and [`cli`] are the shell.

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
