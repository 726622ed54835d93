//! Single planted faults. Each means the same in every style where it has a meaning; a pilot with a fault draws the same noise
//! as its clean twin.

use leveloff::drill::Kind;

/// A pilot's fault, present throughout a drill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// The level-off comes `by_s` late.
    LevelOffLate { by_s: f64 },
    /// The level-off comes `by_s` early.
    LevelOffEarly { by_s: f64 },
    /// The power on the way is `times` the right one, with the level-off timed as if it were right.
    Going { times: f64 },
    /// The power past level that stops the way is not given back until the error shows.
    SecondMoveMissing,
    /// Level power is believed to be off by this fraction of travel; slowly unlearned.
    LevelBelief { off: f64 },
    /// No lead: stops on reaching the number, and hardly looks ahead afterwards.
    NoAnticipation,
    /// The lever swings to and fro about once a second.
    PumpingFast,
    /// The lever swings to and fro every 8 to 15 s.
    PumpingSlow,
    /// Corrections are twice too large.
    Overcontrol,
    /// A standing error outside the band is left alone for 15 s and more.
    NotCorrected,
    /// Goes down far too steeply; on a path for some seconds of the last half minute, diving for the deck.
    Dive,
    /// The descent on a path begins `by_s` late.
    DescentLate { by_s: f64 },
    /// The descent on a path begins `by_s` early.
    DescentEarly { by_s: f64 },
    /// The lever goes to idle to go down, until the sink is there.
    Chop,
}

impl Fault {
    /// One plain example of each, for an aeroplane with or without a propeller: 3 degrees take a quarter of the lever's travel
    /// with one, a tenth in the jets.
    pub fn plain(has_propeller: bool) -> Vec<Fault> {
        let off = if has_propeller { 0.05 } else { 0.02 };
        vec![
            Fault::LevelOffLate { by_s: 3.0 },
            Fault::LevelOffEarly { by_s: 3.0 },
            Fault::Going { times: 0.5 },
            Fault::Going { times: 1.5 },
            Fault::SecondMoveMissing,
            Fault::LevelBelief { off },
            Fault::LevelBelief { off: -off },
            Fault::NoAnticipation,
            Fault::PumpingFast,
            Fault::PumpingSlow,
            Fault::Overcontrol,
            Fault::NotCorrected,
            Fault::Dive,
            Fault::DescentLate { by_s: 6.0 },
            Fault::DescentEarly { by_s: 6.0 },
            Fault::Chop,
        ]
    }

    /// Whether a kind of task has room for it; `is_down` if the way leads down.
    pub fn has_room(self, kind: &Kind, is_down: bool) -> bool {
        let is_step = matches!(kind, Kind::Step(_));
        let is_path = matches!(kind, Kind::Path(_));
        match self {
            Fault::LevelOffLate { .. }
            | Fault::LevelOffEarly { .. }
            | Fault::Going { .. }
            | Fault::SecondMoveMissing => is_step,
            Fault::DescentLate { .. } | Fault::DescentEarly { .. } => is_path,
            Fault::Dive => is_path || is_step && is_down,
            Fault::Chop => is_path || !matches!(kind, Kind::Hold(_)) && is_down,
            // These concern keeping a number, which ends every task; a surprise draws its own tasks.
            Fault::LevelBelief { .. }
            | Fault::NoAnticipation
            | Fault::PumpingFast
            | Fault::PumpingSlow
            | Fault::Overcontrol
            | Fault::NotCorrected => true,
        }
    }
}
