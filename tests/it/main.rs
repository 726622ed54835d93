//! One integration binary; a module a subject.

mod air;
mod architecture;
mod atmosphere;
#[cfg(feature = "axes")]
mod axes;
mod bad_aircraft;
mod bad_drills;
mod best;
mod bill;
mod brief;
mod cli;
mod demonstrations;
mod drag_curve;
mod drills;
mod energy;
mod flying;
mod folder;
mod ladder;
mod level_off;
mod logbook;
mod long_period;
mod pages;
mod path;
mod physics;
mod pilots;
mod plan;
mod progress;
mod properties;
mod pty;
mod pty_harness;
mod rates;
mod reference;
mod scoring;
mod screens;
mod speed;
mod steady;
