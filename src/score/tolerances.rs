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

/// Sink that a stabilised approach does not exceed, ft/min: Flight Safety Foundation ALAR briefing note 7.1 (read in a
/// second-hand copy). There is none published for the decks here, which are invented.
const STABILISED_FPM: f64 = 1000.0;

/// A sink at touchdown in ft/s beside the published figure, in a sentence.
pub fn sink(sink_fps: f64) -> String {
    let most_fps = STABILISED_FPM / 60.0;
    let word = if sink_fps <= most_fps {
        "within"
    } else {
        "beyond"
    };
    format!(
        "sink {sink_fps:.1} ft/s: {word} the {most_fps:.1} of a stabilised approach (ALAR note 7.1)"
    )
}

/// The tolerances that a largest error in ft would meet.
pub fn met(largest_error_ft: f64) -> impl Iterator<Item = &'static Tolerance> {
    TOLERANCES
        .iter()
        .filter(move |tolerance| largest_error_ft <= tolerance.feet)
}
