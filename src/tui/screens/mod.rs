//! One file a screen: it draws a state and changes nothing.

pub mod aeroplane;
pub mod brief;
pub mod debrief;
pub mod figures;
pub mod fly;
pub mod guided;
pub mod hands;
pub mod help;
pub mod menu;
pub mod predict;
pub mod replay;
pub mod runs;
pub mod sofar;
pub mod tasks;
pub mod weigh;
pub mod words;
