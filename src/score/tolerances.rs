//! Published altitude tolerances to compare a result with. Ours are tighter; none of this is an examination.

/// Half-widths of published tolerances, ft, from narrow to wide: the test and where it is published.
const TOLERANCES: [(f64, &str); 3] = [
    (100.0, "instrument rating skill test, Part-FCL Appendix 7"),
    (150.0, "private pilot skill test, Part-FCL"),
    (200.0, "basic instrument flight, FAA-S-ACS-6"),
];

/// Sink that a stabilised approach does not exceed, ft/min: Flight Safety Foundation ALAR briefing note 7.1 (read in a
/// second-hand copy). None is published for the decks here, which are invented.
const STABILISED_FPM: f64 = 1000.0;

/// Compares a sink at touchdown, ft/s, with the published figure, in a sentence.
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

/// Compares a largest error, ft, with the tolerances that it would meet, in a sentence.
pub fn sentence(largest_ft: f64) -> String {
    let met = TOLERANCES.iter().filter(|(feet, _)| largest_ft <= *feet);
    let names: Vec<String> = met
        .map(|(feet, source)| format!("{feet:.0} ft ({source})"))
        .collect();
    let inside = match names.is_empty() {
        true => "none of the published tolerances".to_string(),
        false => names.join("; "),
    };
    format!("Largest error {largest_ft:.0} ft: inside {inside}.")
}
