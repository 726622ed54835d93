//! An aeroplane fitted to rows: whether its page reproduces them, whether the truth lies in the intervals, what is refused.

mod least_squares;
mod made_up;
mod refused;
mod truth;
