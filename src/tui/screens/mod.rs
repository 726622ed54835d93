//! One file per screen: how it is drawn and, where it has one, its own state.

pub(super) mod aeroplane;
pub mod brief;
pub mod debrief;
pub(super) mod figures;
pub(super) mod fly;
pub(super) mod guided;
pub(super) mod hands;
pub(super) mod help;
pub(super) mod menu;
pub(super) mod predict;
pub mod replay;
pub(super) mod runs;
pub(super) mod sofar;
pub(super) mod tasks;
pub(super) mod weigh;
pub mod words;
