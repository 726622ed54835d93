//! Pieces of screens.

pub mod dots;
pub mod rail;
pub mod scope;
pub mod strip;
