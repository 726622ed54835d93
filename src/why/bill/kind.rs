//! What can be said of a line: one table.

use crate::drill::reader::plain;

/// A name, which says what was wrong, or a fact, which says how the flight differed from the better one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// The level-off came late.
    LevelOffLate,
    /// The level-off came early.
    LevelOffEarly,
    /// The move that set the aeroplane going was too large.
    PowerTooMuch,
    /// The move that set the aeroplane going was too small.
    PowerTooLittle,
    /// What stopped the aeroplane was given back late, or not at all.
    SecondMoveMissing,
    /// The power that keeps what is asked was set wrong.
    LevelPowerOff,
    /// The lever was moved to and fro in quick turns.
    Pumping,
    /// Corrections were too large, so that each made the next.
    Overcontrol,
    /// The aeroplane was left where it was outside the band.
    NotCorrected,
    /// The engine was let down near idle, from where it answers late.
    EngineLetDown,
    /// On a path, power came off late for the descent.
    DescentLate,
    /// On a path, power came off early for the descent.
    DescentEarly,
    /// On a path, a dive far steeper than the path.
    Dive,
    /// The lever was never moved.
    NeverMoved,
    /// The first move went away from what was asked.
    WrongWay,
    /// The first move came long after the task began.
    BeganLate,
    /// Steeper than what costs nothing.
    TooSteep,
    /// A swing with the right lever at rest: nothing was done about it.
    SwingWatched,
    /// Above the path for most of the way.
    HighAllTheWay,
    /// Below the path for most of the way.
    LowAllTheWay,
    /// Went around though nothing called for it.
    NotCalled,
    /// The lever followed the heaving deck.
    DeckChased,
    /// More lever than the better flight, on average.
    LeverHigh,
    /// Less lever than the better flight, on average.
    LeverLow,
    /// More and less lever than the better flight by turns.
    LeverByTurns,
    /// All that is too small to be told.
    Rest,
}

/// A row of the table: its key in JSON, the unit of its amount, and how a line of the bill says it (`_` is the amount).
struct Row(Kind, &'static str, &'static str, &'static str);

const TABLE: [Row; 26] = [
    Row(
        Kind::LevelOffLate,
        "level_off_late",
        "s",
        "level-off _ s late",
    ),
    Row(
        Kind::LevelOffEarly,
        "level_off_early",
        "s",
        "level-off _ s early",
    ),
    Row(
        Kind::PowerTooMuch,
        "power_too_much",
        "ratio",
        "first move _ times too large",
    ),
    Row(
        Kind::PowerTooLittle,
        "power_too_little",
        "ratio",
        "first move only _ of the way",
    ),
    Row(
        Kind::SecondMoveMissing,
        "second_move_missing",
        "%",
        "_ % not given back in time",
    ),
    Row(
        Kind::LevelPowerOff,
        "level_power_off",
        "%",
        "power kept _ % wrong",
    ),
    Row(Kind::Pumping, "pumping", "reversals", "pumping, _ turns"),
    Row(
        Kind::Overcontrol,
        "overcontrol",
        "%",
        "corrections of _ % too large",
    ),
    Row(
        Kind::NotCorrected,
        "not_corrected",
        "ft",
        "_ ft off, not corrected",
    ),
    Row(Kind::EngineLetDown, "engine_let_down", "s", "_ s near idle"),
    Row(
        Kind::DescentLate,
        "descent_late",
        "s",
        "descent begun _ s late",
    ),
    Row(
        Kind::DescentEarly,
        "descent_early",
        "s",
        "descent begun _ s early",
    ),
    Row(Kind::Dive, "dive", "ratio", "dive, _ times the sink"),
    Row(
        Kind::NeverMoved,
        "never_moved",
        "s",
        "lever not moved for _ s",
    ),
    Row(
        Kind::WrongWay,
        "wrong_way",
        "%",
        "first move _ % the wrong way",
    ),
    Row(Kind::BeganLate, "began_late", "s", "first move _ s late"),
    Row(Kind::TooSteep, "too_steep", "s", "too steep for _ s"),
    Row(
        Kind::SwingWatched,
        "swing_watched",
        "ft",
        "a swing of _ ft watched",
    ),
    Row(
        Kind::HighAllTheWay,
        "high_all_the_way",
        "ft",
        "high all the way, _ ft",
    ),
    Row(
        Kind::LowAllTheWay,
        "low_all_the_way",
        "ft",
        "low all the way, _ ft",
    ),
    Row(
        Kind::NotCalled,
        "went_around_uncalled",
        "s",
        "went around uncalled",
    ),
    Row(
        Kind::DeckChased,
        "deck_chased",
        "reversals",
        "deck chased, _ turns",
    ),
    Row(Kind::LeverHigh, "lever_high", "%", "lever _ % high"),
    Row(Kind::LeverLow, "lever_low", "%", "lever _ % low"),
    Row(
        Kind::LeverByTurns,
        "lever_by_turns",
        "%",
        "lever _ % off by turns",
    ),
    Row(Kind::Rest, "rest", "", "all the rest"),
];

impl Kind {
    fn row(self) -> &'static Row {
        TABLE
            .iter()
            .find(|row| row.0 == self)
            .expect("every kind has its row")
    }

    /// Its name in JSON.
    pub fn key(self) -> &'static str {
        self.row().1
    }

    /// The unit of its amount; empty where it has none.
    pub fn unit(self) -> &'static str {
        self.row().2
    }

    /// How a line of the bill says it, in a few words.
    pub fn label(self, amount: f64) -> String {
        let digits = match self.unit() {
            "ft" | "reversals" => 1.0,
            _ => 10.0,
        };
        let said = plain((digits * amount).round() / digits);
        self.row().3.replace('_', &said)
    }

    /// Whether it says what was wrong, by evidence, and not only how the flight differed.
    pub fn is_name(self) -> bool {
        self <= Kind::Dive
    }

    /// Every kind, in the table's order.
    pub fn all() -> impl Iterator<Item = Kind> {
        TABLE.iter().map(|row| row.0)
    }
}
