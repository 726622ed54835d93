//! Pieces of screens.

pub mod along;
pub mod approach;
pub mod asked;
pub mod bars;
pub mod bill_strip;
pub mod dots;
pub mod drag;
mod echo_trace;
mod engine;
pub mod learning;
pub mod lever_curve;
pub mod lever_strip;
pub mod long;
pub mod measure;
pub mod page;
mod plot;
mod posts;
pub mod rail;
pub mod said;
pub mod scope;
pub mod stretch;
pub mod strip;
pub mod swell;
pub mod window;
