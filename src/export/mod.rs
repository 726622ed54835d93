//! Everything exported as text: results as JSON, tracks as CSV, debriefs to read.

pub mod axis;
pub mod class;
pub mod compare;
pub mod csv;
pub mod excerpt;
pub mod html;
pub mod json;
pub mod judged;
pub mod progress_words;
pub mod repeat;
pub mod rivals;
pub mod svg;
pub mod table;
pub mod text;
pub mod told;
pub mod words;

/// What this program is not, in at most three lines of 78 columns; shown wherever a result is shown.
pub const CAUTION: &str = "\
A simplified model for practising anticipation; not an approved training
device, and no credit towards any licence. Its numbers are not for planning or
flying a real approach: flight manual, local rules and instructor come first.";
