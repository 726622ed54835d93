//! `compare`: two runs side by side.

use super::place::Place;
use super::{Exit, fly, output, received, screen, weigh, wrong};
use crate::export::compare;
use crate::export::told::{Debriefed, Kept};
use crate::tui::Opening;
use crate::tui::screens::debrief::Debrief;

/// Show two runs of a drill side by side
///
/// On a terminal the debrief of the first opens, with the other drawn beside it in dots.
#[derive(clap::Args)]
pub struct Args {
    /// Id of a run, or the file of a recording
    #[arg(value_name = "ID|FILE")]
    one: String,
    /// The other run
    #[arg(value_name = "ID|FILE")]
    other: String,
    /// As plain text, without screen
    #[arg(long)]
    text: bool,
}

/// Shows two runs; refuses those that are not of the same drill.
pub fn run(args: Args, place: &Place, screen: &screen::Args) -> anyhow::Result<Exit> {
    let side = |name: &str| -> anyhow::Result<Debriefed> {
        let recording = received::recording(name, place)?.recording;
        let run = received::replay(&recording, name)?;
        let (weighed, pars) = weigh::weigh(&run, place);
        let kept = Kept::As(recording.id.clone());
        Ok(Debriefed::new(run, recording, weighed, pars, kept))
    };
    let (a, b) = (side(&args.one)?, side(&args.other)?);
    if let Some(why) = compare::refusal(&a, &b) {
        let message =
            format!("these runs cannot be compared: {why}; give two runs of the same drill");
        return wrong(message);
    }
    if !args.text && fly::is_terminal() {
        let said = compare::together(&a, &b);
        let said = said.lines().map(String::from).collect();
        let kept = Kept::Elsewhere(said);
        let told = Debriefed { kept, ..a };
        let debrief =
            Debrief::new(told, None).beside(b.recording.id, b.weighed.score.points, b.run);
        return fly::show(Opening::Debrief(Box::new(debrief)), place, screen);
    }
    output::text(&compare::text(&a, &b))?;
    Ok(Exit::Done)
}
