//! What keys do: one table, from which the key handling and the help are both made.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use super::key_lever::{Amount, Nudge, Way};

/// Something a person asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Action {
    /// Move the lever.
    Nudge(Nudge),
    /// Set the lever to a tenth of its travel.
    Set(u8),
    /// Set the lever to the mark on the rail.
    SetToMark,
    /// Type a setting of the lever.
    Type,
    /// Fly the first flight, guided.
    Guided,
    /// Stop and go on.
    Pause,
    /// Leave a mark at this moment.
    Mark,
    /// Another run beside one's own, or none.
    Echo,
    /// Choose a hand and watch it fly.
    Watch,
    /// Begin the same drill again.
    Again,
    /// What to fly next.
    Next,
    /// So many lines down in a list or a text, up where it is negative.
    Move(i16),
    /// Look for a drill by its name.
    Find,
    /// Write a digit or a point.
    Write(char),
    /// Take the last character back.
    Erase,
    /// Guess the numbers before flying.
    Guess,
    /// More or fewer numbers of a brief.
    Numbers,
    /// The chosen drill's aeroplane.
    Aeroplane,
    /// The next task (up) or the one before (down).
    Task(Way),
    /// The next line of the bill (up) or the one before (down).
    BillLine(Way),
    /// Runs put together by something else.
    By,
    /// The next figure over the runs (up) or the one before (down).
    Figure(Way),
    /// Practise the chosen line of the bill.
    Practise,
    /// Another run beside this one.
    Against,
    /// Fly the run again from its log.
    Replay,
    /// Time runs faster (up) or slower (down).
    Speed(Way),
    /// Some seconds on (up) or back (down).
    Skip(Way),
    /// The runs that were kept.
    Runs,
    /// What practice has come to.
    SoFar,
    /// Go on: choose, begin.
    Go,
    /// Another amount of help on the fly screen.
    Aids,
    /// Leave this screen.
    Leave,
    /// Show or hide the help.
    Help,
    /// Leave the program at once.
    Quit,
    /// To the background.
    Suspend,
    /// Break down, to show that the terminal survives it; only where debug assertions are on.
    Panic,
}

/// Lines that a leap passes.
const LEAP: i16 = 10;

/// Where a key means something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The list of drills.
    Menu,
    /// The aeroplane's page.
    Aeroplane,
    /// Before flying.
    Brief,
    /// Guessing before flying.
    Predict,
    /// Choosing a hand to watch.
    Hands,
    /// Flying.
    Fly,
    /// Flying, guided.
    Guide,
    /// Flying, while a setting of the lever is being typed.
    Type,
    /// Watching a hand fly.
    Watch,
    /// Over, while it is being weighed.
    Weigh,
    /// Afterwards.
    Debrief,
    /// A run flown again from its log.
    Replay,
    /// The list of runs that were kept.
    Runs,
    /// What practice has come to.
    SoFar,
}

/// One row of the table.
pub struct Binding {
    /// Where it holds.
    pub places: &'static [Place],
    /// The keys, any of which does it.
    pub keys: &'static [KeyCode],
    /// Whether that is with shift; without, shift makes no difference but where another row has it.
    pub shift: bool,
    /// What it does.
    pub action: Action,
    /// How the keys are told.
    pub shown: &'static str,
    /// What it does, in words.
    pub what: &'static str,
}

const MENU: &[Place] = &[Place::Menu];
const BRIEF: &[Place] = &[Place::Brief];
const FLY: &[Place] = &[Place::Fly, Place::Guide];
const GUIDE: &[Place] = &[Place::Guide];
const TYPE: &[Place] = &[Place::Type];
const WATCH: &[Place] = &[Place::Watch];
const FLYING: &[Place] = &[Place::Fly, Place::Watch];
const DEBRIEF: &[Place] = &[Place::Debrief];
const OVER: &[Place] = &[Place::Weigh, Place::Debrief];
const REPLAY: &[Place] = &[Place::Replay];
const PREDICT: &[Place] = &[Place::Predict];
const WRITE: &[Place] = &[Place::Predict, Place::Type];
const TEXTS: &[Place] = &[Place::Aeroplane, Place::Brief, Place::Debrief, Place::Runs];
const LISTS: &[Place] = &[
    Place::Menu,
    Place::Aeroplane,
    Place::Brief,
    Place::Hands,
    Place::Debrief,
    Place::Runs,
    Place::SoFar,
];
/// Every place.
pub const ALL: &[Place] = &[
    Place::Menu,
    Place::Aeroplane,
    Place::Brief,
    Place::Predict,
    Place::Hands,
    Place::Fly,
    Place::Guide,
    Place::Type,
    Place::Watch,
    Place::Weigh,
    Place::Debrief,
    Place::Replay,
    Place::Runs,
    Place::SoFar,
];

const fn nudge(way: Way, amount: Amount) -> Action {
    Action::Nudge(Nudge { way, amount })
}

/// The table. A row that tells nothing is the twin with shift of another.
macro_rules! bindings {
    ($($places:expr => $keys:expr, $action:expr, $shown:literal, $what:literal;)+) => {
        &[$(Binding {
            places: $places,
            keys: $keys,
            shift: $shown.is_empty(),
            action: $action,
            shown: $shown,
            what: $what,
        }),+]
    };
}

use KeyCode::{
    BackTab, Backspace, Char, Down, End, Enter, Esc, Home, Left, PageDown, PageUp, Right, Tab, Up,
};

#[rustfmt::skip]
const DIGITS: &[KeyCode] = &[
    Char('0'), Char('1'), Char('2'), Char('3'), Char('4'), Char('5'), Char('6'), Char('7'), Char('8'), Char('9'),
];

/// Every key, a row each: where, which, what it asks for, how the keys and what they do are told. The order is that of the help. Arrows,
/// letters and signs each have all three steps of the lever.
pub const BINDINGS: &[Binding] = bindings! {
    FLY => &[Up, Char('k'), Char('+')], nudge(Way::Up, Amount::Tap), "up, k, +", "lever 1 % up; held it runs";
    FLY => &[Down, Char('j'), Char('-')], nudge(Way::Down, Amount::Tap), "down, j, -", "lever 1 % down; held it runs";
    FLY => &[Right, Char('l'), Char('>'), Char('.')], nudge(Way::Up, Amount::Fine), "right, l, >", "lever 0.2 % up";
    FLY => &[Left, Char('h'), Char('<'), Char(',')], nudge(Way::Down, Amount::Fine), "left, h, <", "lever 0.2 % down";
    FLY => &[PageUp, Char('K'), Char('*')], nudge(Way::Up, Amount::Coarse), "page up, K, *", "lever 5 % up; shift-up too";
    FLY => &[PageDown, Char('J'), Char('/')], nudge(Way::Down, Amount::Coarse),
        "page dn, J, /", "lever 5 % down; shift-down too";
    FLY => &[Up], nudge(Way::Up, Amount::Coarse), "", "";
    FLY => &[Down], nudge(Way::Down, Amount::Coarse), "", "";
    FLY => DIGITS, Action::Set(0), "0 to 9", "lever to 0, 10, ... 90 %";
    FLY => &[End], Action::Set(0), "end", "lever to 0 %";
    FLY => &[Home], Action::Set(10), "home", "lever to 100 %";
    FLY => &[Char('=')], Action::Type, "=", "type a setting, such as 37.5";
    FLY => &[Char('v')], Action::SetToMark, "v", "lever to level power, or the path's";
    WATCH => &[Up], Action::Speed(Way::Up), "up", "faster: 1, 2, 4 times";
    WATCH => &[Down], Action::Speed(Way::Down), "down", "slower";
    GUIDE => &[Enter], Action::Go, "enter", "go on without what is asked";
    GUIDE => &[Char(' ')], Action::Pause, "space", "go on, pause";
    GUIDE => &[Char('r')], Action::Again, "r", "from the start";
    GUIDE => &[Char('q'), Esc], Action::Leave, "q, esc", "to the menu";
    FLYING => &[Char(' ')], Action::Pause, "space", "pause, go on";
    FLYING => &[Char('m')], Action::Mark, "m", "leave a mark for the debrief";
    &[Place::Brief, Place::Fly, Place::Watch] => &[Char('e')], Action::Echo, "e", "echo: off, par, brief, best, earlier";
    FLYING => &[Char('r')], Action::Again, "r", "begin again";
    FLYING => &[Char('q'), Esc], Action::Leave, "q, esc", "leave the run and see its debrief";
    TYPE => &[Enter], Action::Go, "enter", "set the lever to it";
    TYPE => &[Esc], Action::Leave, "esc", "leave the lever where it is";
    DEBRIEF => &[Right], Action::Task(Way::Up), "right", "next task; after the last all of it";
    DEBRIEF => &[Left], Action::Task(Way::Down), "left", "the task before";
    DEBRIEF => &[Tab], Action::BillLine(Way::Up), "tab", "next line of the bill, flown better";
    DEBRIEF => &[BackTab], Action::BillLine(Way::Down), "shift-tab", "the line before";
    DEBRIEF => &[Char('x')], Action::Practise, "x", "practise the chosen line";
    DEBRIEF => &[Char('c')], Action::Against, "c", "beside: better, par, best, earlier";
    DEBRIEF => &[Char('p')], Action::Replay, "p", "play the run, or the task, once more";
    REPLAY => &[Char(' ')], Action::Pause, "space", "pause, go on";
    REPLAY => &[Up], Action::Speed(Way::Up), "up", "faster: 1, 4, 16 times";
    REPLAY => &[Down], Action::Speed(Way::Down), "down", "slower";
    REPLAY => &[Right], Action::Skip(Way::Up), "right", "ten seconds on";
    REPLAY => &[Left], Action::Skip(Way::Down), "left", "ten seconds back";
    REPLAY => &[Char('r')], Action::Again, "r", "from its start";
    REPLAY => &[Char('q'), Esc], Action::Leave, "q, esc", "back to the debrief";
    LISTS => &[Up, Char('k')], Action::Move(-1), "up, k", "up";
    LISTS => &[Down, Char('j')], Action::Move(1), "down, j", "down";
    MENU => &[Enter], Action::Go, "enter", "open the drill's brief";
    MENU => &[PageUp], Action::Move(-LEAP), "page up", "ten drills up";
    MENU => &[PageDown], Action::Move(LEAP), "page down", "ten drills down";
    &[Place::Menu, Place::Runs] => &[Home], Action::Move(i16::MIN), "home", "the first";
    &[Place::Menu, Place::Runs] => &[End], Action::Move(i16::MAX), "end", "the last";
    MENU => &[Char('/')], Action::Find, "/", "find by name: type, esc clears";
    MENU => &[Char('n')], Action::Next, "n", "the brief of what to fly next";
    TEXTS => &[PageUp], Action::Move(-LEAP), "page up", "ten lines up";
    TEXTS => &[PageDown], Action::Move(LEAP), "page down", "ten lines down";
    BRIEF => &[Enter, Char(' ')], Action::Go, "enter", "fly it";
    BRIEF => &[Char('m')], Action::Numbers, "m", "more numbers, or fewer";
    &[Place::Menu, Place::Brief] => &[Char('g')], Action::Guess, "g", "guess the numbers first, then fly";
    &[Place::Menu, Place::Brief] => &[Char('w')], Action::Watch, "w", "watch a hand fly it";
    &[Place::Hands] => &[Enter], Action::Go, "enter", "let it fly";
    &[Place::Hands] => &[Char('q'), Esc], Action::Leave, "q, esc", "back to the brief";
    MENU => &[Char('f')], Action::Guided, "f", "your first flight, guided";
    MENU => &[Char('p')], Action::Aeroplane, "p", "the aeroplane's page";
    WRITE => DIGITS, Action::Write('0'), "0 to 9", "write a number";
    WRITE => &[Char('.'), Char(',')], Action::Write('.'), "point", "write a decimal point";
    WRITE => &[Backspace], Action::Erase, "backspace", "take the last character back";
    PREDICT => &[Enter], Action::Go, "enter", "take the guess; none passes it over";
    OVER => &[Enter, Char('r')], Action::Again, "enter, r", "fly it again";
    OVER => &[Char('n')], Action::Next, "n", "the brief of what to fly next";
    &[Place::Weigh] => &[Char('q'), Esc], Action::Leave, "q, esc", "see the debrief at once, without par";
    MENU => &[Char('l')], Action::Runs, "l", "the latest runs, to see them again";
    MENU => &[Char('s')], Action::SoFar, "s", "so far: your progress, and what next";
    &[Place::SoFar] => &[Tab], Action::By, "tab", "by skill, by drill, by day";
    &[Place::SoFar] => &[Right], Action::Figure(Way::Up), "right", "the next figure of the chosen runs";
    &[Place::SoFar] => &[Left], Action::Figure(Way::Down), "left", "the figure before";
    &[Place::Runs] => &[Enter], Action::Go, "enter", "open its debrief";
    &[Place::Menu, Place::Brief] => &[Char('a')], Action::Aids, "a", "aids: full, some, bare";
    MENU => &[Char('q'), Esc], Action::Leave, "q, esc", "quit";
    &[ Place::Aeroplane, Place::Brief, Place::Predict, Place::Debrief, Place::Runs, Place::SoFar] => &[Char('q'), Esc], Action::Leave,
        "q, esc", "back to where you came from";
    ALL => &[Char('?')], Action::Help, "?", "this help";
};

/// What a key asks for in a place. Ctrl-C and Ctrl-Z mean the same everywhere.
pub fn action(place: Place, key: &KeyEvent) -> Option<Action> {
    if key.modifiers.contains(KeyModifiers::CONTROL) {
        return match key.code {
            Char('c') => Some(Action::Quit),
            Char('z') => Some(Action::Suspend),
            Char('p') if cfg!(debug_assertions) => Some(Action::Panic),
            _ => None,
        };
    }
    let with = |shift: bool| {
        BINDINGS.iter().find(move |binding| {
            binding.places.contains(&place)
                && binding.keys.contains(&key.code)
                && binding.shift == shift
        })
    };
    let shifted = key.modifiers.contains(KeyModifiers::SHIFT);
    with(shifted)
        .or_else(|| with(false))
        .map(|binding| match (binding.action, key.code) {
            (Action::Set(_), Char(digit)) => Action::Set(digit as u8 - b'0'),
            (Action::Write(_), Char(digit)) if digit.is_ascii_digit() => Action::Write(digit),
            (action, _) => action,
        })
}

/// The rows that the help shows for a place.
pub fn help(place: Place) -> impl Iterator<Item = &'static Binding> {
    BINDINGS
        .iter()
        .filter(move |binding| binding.places.contains(&place) && !binding.shown.is_empty())
}
