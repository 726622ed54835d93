//! The flight mechanics: a point mass in the vertical plane, angle of attack held by trim, the lever the only input.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod air;
pub mod aircraft;
pub mod atmosphere;
pub mod deck;
pub mod dynamics;
pub mod math;
pub mod slowing;
pub mod stability;
pub mod trim;
pub mod world;

/// Version of the equations and their discretisation. Recordings carry it, since another version may replay to other bits.
pub const MODEL_VERSION: u32 = 2;
