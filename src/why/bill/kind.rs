//! Everything a line can say, in one table.

use crate::drill::reader::plain;

/// The key in JSON, the unit of the amount, the label in the bill (`_` stands for the amount), the wording in a sentence, and
/// the advice for next time ([`super::super::words`] defines the words in braces).
type Row = [&'static str; 5];

macro_rules! kinds {
    ($($kind:ident ($key:literal, $unit:literal, $label:literal, $said:literal, $next:expr);)*) => {
        /// A name, which says what was wrong, or a fact, which says how the flight differed from the better one.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum LineKind {
            $(#[doc = $label] $kind,)*
        }

        impl LineKind {
            /// Every kind, names first.
            pub fn all() -> impl Iterator<Item = LineKind> {
                [$(LineKind::$kind,)*].into_iter()
            }

            fn row(self) -> Row {
                match self {
                    $(LineKind::$kind => [$key, $unit, $label, $said, $next],)*
                }
            }
        }
    };
}

/// All moves of the better flight.
pub const ALL: &str = "Next time {moves}.";
pub const FIRST: &str = "Next time {move}.";
/// The setting to hold in place of a move that should not have been made. If the better flight differs from the task's start
/// on, the advice is [`ALL`] instead.
pub const INSTEAD: &str = "Next time {instead}.";
/// Until when it could be saved, and the better flight's first move.
pub const UNTIL: &str = "Until {until} you could still have saved it: {move}.";
/// Until when it could be saved, and the setting to hold instead.
pub const RATHER: &str = "Until {until} you could still have saved it with about {there}.";
/// The setting to hold, where the lever was off only well after the line could last be saved.
pub const THEN: &str = "Next time hold about {there} then.";
/// The only right answer to a called go-around.
pub const AROUND: &str = "Next time full power as soon as a go-around is called.";
const COUNT: &str = "Next time make one move, count four, look, and only then make the next.";
/// How small the moves should be, and that they are made one at a time.
pub const SMALL: &str = "Next time move {small} at a time, count four, then give it back.";
/// The setting that the lever should not go below.
pub const FLOOR: &str = "Next time do not go below {floor}.";

#[rustfmt::skip]
kinds! {
    LevelOffLate ("level_off_late", "s", "level-off _ s late", "You levelled off _ s late{did}", ALL);
    LevelOffEarly ("level_off_early", "s", "level-off _ s early", "You levelled off _ s early{did}", ALL);
    PowerTooMuch ("power_too_much", "ratio", "first move _ x the right size", "Your first move went _ times as far as needed, to {to}", ALL);
    PowerTooLittle ("power_too_little", "ratio", "first move only _ of the way", "Your first move went only _ of the way, to {to}", ALL);
    SecondMoveMissing ("second_move_missing", "%", "_ % not given back in time", "The power that stopped it was not given back in time", "Next time go back to {back}.");
    PowerUpLate ("power_up_late", "s", "power up _ s late", "You brought the power up _ s late{did}", ALL);
    PowerUpEarly ("power_up_early", "s", "power up _ s early", "You brought the power up _ s early{did}", ALL);
    Pumping ("pumping", "reversals", "pumping, _ turns", "{when} you pumped the lever, _ turns", COUNT);
    Overcontrol ("overcontrol", "%", "corrections of _ % too large", "{when} your corrections were too large, _ % and more: each caused the next", SMALL);
    NotCorrected ("not_corrected", "ft", "off by _, not corrected", "{when} you stayed _ {unit} {side} {uncorrected}", ALL);
    EngineLetDown ("engine_let_down", "s", "_ s near idle", "The lever was near idle for _ s, where the engine answers late", FLOOR);
    DescentLate ("descent_late", "s", "descent begun _ s late", "The power came off _ s late for the descent{did}", FIRST);
    Dive ("dive", "ratio", "dive, _ times the sink", "You dived at _ times the sink of the path, {span}", INSTEAD);
    DescentEarly ("descent_early", "s", "descent begun _ s early", "The power came off _ s early for the descent{did}", ALL);
    LevelPowerOff ("level_power_off", "%", "power kept _ % off", "The power you settled on was _ % too {high}", "Next time set {right}.");
    NeverMoved ("never_moved", "s", "hardly a move in _ s", "You left the lever at {to}", ALL);
    WrongWay ("wrong_way", "%", "first move _ % the wrong way", "You {moved} _ % power where {needed}", ALL);
    BeganLate ("began_late", "s", "moved _ s late", "You moved _ s late", ALL);
    KeptTooLong ("kept_too_long", "s", "first move held _ s too long", "You kept the lever at {to} _ s too long", ALL);
    TooSteep ("too_steep", "s", "too steep for _ s", "You were too steep for _ s, {span}", FLOOR);
    LeftAtIdle ("left_at_idle", "s", "lever at idle for _ s", "From {since} you left the lever at idle, for _ s", INSTEAD);
    LeftAtFull ("left_at_full", "s", "full power for _ s", "From {since} you left the lever at full power, for _ s", INSTEAD);
    NeverLevelled ("never_levelled", "ft", "no level-off in time, _ ft past", "You {levelled} and went _ ft past the number", ALL);
    HighAllTheWay ("high_all_the_way", "ft", "high all the way, _ ft", "You were high nearly all the way, by _ ft on average", FIRST);
    LowAllTheWay ("low_all_the_way", "ft", "low all the way, _ ft", "You were low nearly all the way, by _ ft on average", FIRST);
    NotCalled ("went_around_uncalled", "s", "went around uncalled", "You went around at {b} although nothing called for it", INSTEAD);
    CallMissed ("call_missed", "s", "go-around called, not flown", "A go-around was called at {called} and you did not fly it", AROUND);
    LeverHigh ("lever_high", "%", "lever _ % high", "{when} {had} _ % more power than needed{out}", RATHER);
    LeverLow ("lever_low", "%", "lever _ % low", "{when} {had} _ % less power than needed{out}", RATHER);
    LeverByTurns ("lever_by_turns", "%", "lever _ % off, both ways", "{when} you alternated between too much and too little power, _ % off on average", SMALL);
    Rest ("rest", "", "all the rest", "Small things", "");
}

impl LineKind {
    /// Whether it is a name, which says what was wrong, and not a fact.
    pub fn is_name(self) -> bool {
        self <= LineKind::LevelPowerOff
    }

    /// Whether it says only to which side the lever was off.
    pub fn is_side(self) -> bool {
        matches!(self, LineKind::LeverHigh | LineKind::LeverLow)
    }

    /// Whether it names something that was done too late.
    pub fn is_late(self) -> bool {
        use LineKind::*;
        matches!(self, LevelOffLate | PowerUpLate | DescentLate)
    }

    /// Its name in JSON.
    pub fn key(self) -> &'static str {
        self.row()[0]
    }

    /// The unit of its amount; empty where it has none.
    pub fn unit(self) -> &'static str {
        self.row()[1]
    }

    /// Its label in the bill, a few words.
    pub fn label(self, amount: f64) -> String {
        self.with(self.row()[2], amount)
    }

    /// Its wording in a sentence, with the braces still to be filled.
    pub fn said(self, amount: f64) -> String {
        self.with(self.row()[3], amount)
    }

    /// The advice for next time, with the braces still to be filled; empty where there is none.
    pub fn next_time(self) -> &'static str {
        self.row()[4]
    }

    fn with(self, text: &str, amount: f64) -> String {
        let digits = match self.unit() {
            "ft" | "reversals" => 1.0,
            _ => 10.0,
        };
        let amount = (digits * amount).round() / digits;
        let text = match (self.unit(), amount) {
            ("reversals", 1.0) => text.replace("turns", "turn"),
            _ => text.to_string(),
        };
        text.replace('_', &plain(amount))
    }
}
