//! Pieces of screens.

pub mod approach;
pub mod dots;
pub mod drag;
pub mod measure;
pub mod page;
pub mod rail;
pub mod scope;
pub mod strip;
pub mod window;
