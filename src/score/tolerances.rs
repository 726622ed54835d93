//! Published altitude tolerances to hold a result against. Ours are tighter; none of this is an examination.

/// A published tolerance on altitude.
pub struct Tolerance {
    /// Half-width, ft.
    pub feet: f64,
    /// What it is asked for, and where that is published.
    pub source: &'static str,
}

/// From wide to narrow.
pub const TOLERANCES: &[Tolerance] = &[
    Tolerance {
        feet: 200.0,
        source: "basic instrument flight, FAA-S-ACS-6",
    },
    Tolerance {
        feet: 150.0,
        source: "private pilot skill test, Part-FCL",
    },
    Tolerance {
        feet: 100.0,
        source: "instrument rating skill test, Part-FCL Appendix 7",
    },
];

/// The tolerances that a largest error in ft would meet.
pub fn met(largest_error_ft: f64) -> impl Iterator<Item = &'static Tolerance> {
    TOLERANCES
        .iter()
        .filter(move |tolerance| largest_error_ft <= tolerance.feet)
}
