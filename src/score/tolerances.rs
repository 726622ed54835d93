//! Published altitude tolerances to hold a result against. Ours are tighter; none of this is an examination.

/// A published tolerance on altitude.
pub struct Tolerance {
    /// Half-width, ft.
    pub feet: f64,
    /// What it is asked for, and where that is published.
    pub source: &'static str,
}

/// From narrow to wide.
pub const TOLERANCES: &[Tolerance] = &[
    Tolerance {
        feet: 100.0,
        source: "instrument rating skill test, Part-FCL Appendix 7",
    },
    Tolerance {
        feet: 150.0,
        source: "private pilot skill test, Part-FCL",
    },
    Tolerance {
        feet: 200.0,
        source: "basic instrument flight, FAA-S-ACS-6",
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

/// A largest error in ft beside the tolerances that it would meet, in a sentence.
pub fn sentence(largest_ft: f64) -> String {
    let met = TOLERANCES.iter().filter(|t| largest_ft <= t.feet);
    let names: Vec<String> = met
        .map(|t| format!("{:.0} ft ({})", t.feet, t.source))
        .collect();
    let inside = match names.is_empty() {
        true => "none of the published tolerances".to_string(),
        false => names.join("; "),
    };
    format!("Largest error {largest_ft:.0} ft: inside {inside}.")
}
