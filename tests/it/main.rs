//! One integration binary; a module a subject.

mod air;
mod cli;
mod drills;
mod folder;
mod logbook;
mod pty;
mod pty_harness;
mod screens;
