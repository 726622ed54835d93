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
    /// Slowing in, power came up late.
    PowerUpLate,
    /// Slowing in, power came up early.
    PowerUpEarly,
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
    /// On a path, a dive far steeper than the path.
    Dive,
    /// On a path, it went down before the path was there.
    DescentEarly,
    /// The lever was left where it does not keep what is asked.
    LevelPowerOff,
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

/// A row of the table: its key in JSON, the unit of its amount, how a line of the bill says it (`_` is the amount), how a
/// sentence does, and what is to be done next time ([`super::super::words`] has what the braces stand for).
struct Row(
    Kind,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
);

/// What is done instead, all of it.
const ALL: &str = "Next time {moves}.";
/// Its first move.
const FIRST: &str = "Next time {move}.";
const UNTIL: &str = "Until {until} it could be saved: {move}.";
const COUNT: &str = "Next time make one move, count four, look, and only then the next.";
const SMALL: &str = "Next time move {small} at a time, count four, then give it back.";
const FLOOR: &str = "Next time not below {floor}.";

#[rustfmt::skip]
const TABLE: [Row; 28] = [
    Row(Kind::LevelOffLate, "level_off_late", "s", "level-off _ s late", "You levelled off _ s late{did}", ALL),
    Row(Kind::LevelOffEarly, "level_off_early", "s", "level-off _ s early", "You levelled off _ s early{did}", ALL),
    Row(Kind::PowerTooMuch, "power_too_much", "ratio", "first move _ times too large", "Your first move went _ times as far as it takes, to {to}", ALL),
    Row(Kind::PowerTooLittle, "power_too_little", "ratio", "first move only _ of the way", "Your first move went only _ of the way, to {to}", ALL),
    Row(Kind::SecondMoveMissing, "second_move_missing", "%", "_ % not given back in time", "The power that stopped it was not given back in time", "Next time go back to {back} after it."),
    Row(Kind::PowerUpLate, "power_up_late", "s", "power up _ s late", "You brought the power up _ s late{did}", ALL),
    Row(Kind::PowerUpEarly, "power_up_early", "s", "power up _ s early", "You brought the power up _ s early{did}", ALL),
    Row(Kind::Pumping, "pumping", "reversals", "pumping, _ turns", "{when} you pumped the lever, _ turns", COUNT),
    Row(Kind::Overcontrol, "overcontrol", "%", "corrections of _ % too large", "{when} your corrections were too large, _ % and more: each made the next", SMALL),
    Row(Kind::NotCorrected, "not_corrected", "ft", "off by _, not corrected", "{when} you stayed _ {unit} {side} without bringing it back", FIRST),
    Row(Kind::EngineLetDown, "engine_let_down", "s", "_ s near idle", "The lever was near idle for _ s, from where the engine answers late", FLOOR),
    Row(Kind::DescentLate, "descent_late", "s", "descent begun _ s late", "The power came off _ s late for the descent{did}", FIRST),
    Row(Kind::Dive, "dive", "ratio", "dive, _ times the sink", "You dived with _ times the sink of the path, from {a} to {b}", FIRST),
    Row(Kind::DescentEarly, "descent_early", "s", "descent begun _ s early", "You began down _ s before the path was there", FIRST),
    Row(Kind::LevelPowerOff, "level_power_off", "%", "power kept _ % wrong", "From {a} you kept _ % too {much} power", "Next time set {right} there."),
    Row(Kind::NeverMoved, "never_moved", "s", "lever not moved for _ s", "You left the lever at {to}", ALL),
    Row(Kind::WrongWay, "wrong_way", "%", "first move _ % the wrong way", "You {moved} _ % of power where {needed}", ALL),
    Row(Kind::BeganLate, "began_late", "s", "first move _ s late", "Your first move came _ s late", ALL),
    Row(Kind::TooSteep, "too_steep", "s", "too steep for _ s", "You were too steep for _ s, from {a} to {b}", FLOOR),
    Row(Kind::SwingWatched, "swing_watched", "ft", "a swing of _ ft watched", "From {a} to {b} the lever was right and you watched a swing of _ ft", FIRST),
    Row(Kind::HighAllTheWay, "high_all_the_way", "ft", "high all the way, _ ft", "You were high nearly all the way, by _ ft on average", FIRST),
    Row(Kind::LowAllTheWay, "low_all_the_way", "ft", "low all the way, _ ft", "You were low nearly all the way, by _ ft on average", FIRST),
    Row(Kind::NotCalled, "went_around_uncalled", "s", "went around uncalled", "You went around at {b} though nothing called for it", ""),
    Row(Kind::DeckChased, "deck_chased", "reversals", "deck chased, _ turns", "From {a} to {b} your lever followed the deck up and down", COUNT),
    Row(Kind::LeverHigh, "lever_high", "%", "lever _ % high", "{when} {had} _ % more power than it took{out}", UNTIL),
    Row(Kind::LeverLow, "lever_low", "%", "lever _ % low", "{when} {had} _ % less power than it took{out}", UNTIL),
    Row(Kind::LeverByTurns, "lever_by_turns", "%", "lever _ % off by turns", "{when} you had by turns more and less power than it took, _ % off on average", SMALL),
    Row(Kind::Rest, "rest", "", "all the rest", "Small things", ""),
];

impl Kind {
    fn row(self) -> &'static Row {
        let row = TABLE.iter().find(|row| row.0 == self);
        row.expect("every kind has its row")
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
        self.with(self.row().3, amount)
    }

    /// How a sentence says it, its braces still to be filled.
    pub fn said(self, amount: f64) -> String {
        self.with(self.row().4, amount)
    }

    /// What is to be done next time, its braces still to be filled; empty where nothing is.
    pub fn next_time(self) -> &'static str {
        self.row().5
    }

    fn with(self, text: &str, amount: f64) -> String {
        let digits = match self.unit() {
            "ft" | "reversals" => 1.0,
            _ => 10.0,
        };
        text.replace('_', &plain((digits * amount).round() / digits))
    }

    /// Every kind, in the table's order.
    pub fn all() -> impl Iterator<Item = Kind> {
        TABLE.iter().map(|row| row.0)
    }
}
