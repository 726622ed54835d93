//! Pieces of screens.

pub(super) mod asked;
pub(super) mod bars;
pub(super) mod bill_strip;
pub(super) mod dots;
pub(super) mod drag;
mod echo_trace;
pub(super) mod learning;
pub(super) mod lever;
pub mod measure;
pub mod page;
mod plot;
pub(super) mod posts;
pub(super) mod rail;
pub(super) mod said;
pub mod scope;
pub mod stretch;
pub(super) mod strip;
pub(super) mod swell;
pub mod window;
