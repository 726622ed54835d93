//! What keys do: one table, from which the key handling and the help are both made.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use super::key_lever::{Amount, Nudge, Way};

/// Something a person asks for; its rows of [`BINDINGS`] say what it does. `Up` means next, faster or onwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Action {
    Nudge(Nudge),
    /// Set the lever, in tenths of its travel.
    Set(u8),
    SetToMark,
    Type,
    Guided,
    Pause,
    Mark,
    Echo,
    Watch,
    Again,
    Next,
    /// Moves this many lines down in a list or a text; up where it is negative.
    Scroll(i16),
    Find,
    Write(char),
    Erase,
    Guess,
    Numbers,
    Aeroplane,
    Task(Way),
    BillLine(Way),
    By,
    Figure(Way),
    Practise,
    Against,
    Replay,
    Speed(Way),
    Skip(Way),
    Runs,
    SoFar,
    Go,
    Aids,
    Leave,
    Help,
    /// Leave the program at once.
    Quit,
    /// Go to the background.
    Suspend,
    /// Break down, to show that the terminal survives it; only where debug assertions are on.
    Panic,
}

impl Action {
    /// Whether a held key goes on doing it, in a terminal that tells its repeats from presses.
    pub fn repeats(self) -> bool {
        use Action::*;
        matches!(
            self,
            Scroll(_) | Task(_) | BillLine(_) | Figure(_) | Skip(_) | Write(_) | Erase
        )
    }
}

/// Lines or rows that page up and page down move by.
const LEAP: i16 = 10;
/// No more lines than the least window of a text has rows: none may be skipped.
const LINES: i16 = 6;

/// Where a key has its meaning: a screen, or an activity on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    Menu,
    Aeroplane,
    Brief,
    Predict,
    Hands,
    Fly,
    /// Flying, guided.
    Guide,
    /// Flying, while a setting of the lever is being typed.
    Type,
    Watch,
    Weigh,
    Debrief,
    Replay,
    Runs,
    SoFar,
}

/// One row of the table.
pub struct Binding {
    /// Where it holds.
    pub places: &'static [Mode],
    /// The keys, any of which does it.
    pub keys: &'static [KeyCode],
    /// Whether they are pressed with shift. A row without it also holds with shift, unless another row has the shifted key.
    pub shift: bool,
    /// What it does.
    pub action: Action,
    /// The keys as the help names them.
    pub shown: &'static str,
    /// What it does, in words.
    pub what: &'static str,
}

use Mode::{
    Aeroplane, Brief, Debrief, Fly, Guide, Hands, Menu, Predict, Replay, Runs, SoFar, Type, Watch,
    Weigh,
};

const FLY: &[Mode] = &[Fly, Guide];
const FLYING: &[Mode] = &[Fly, Watch];
const PLAYED: &[Mode] = &[Watch, Replay];
const OVER: &[Mode] = &[Weigh, Debrief];
const WRITE: &[Mode] = &[Predict, Type];
const TEXTS: &[Mode] = &[Aeroplane, Brief, Debrief, Runs, SoFar];
const LISTS: &[Mode] = &[Menu, Aeroplane, Brief, Hands, Debrief, Runs, SoFar];
/// Every place.
pub const ALL: &[Mode] = &[
    Menu, Aeroplane, Brief, Predict, Hands, Fly, Guide, Type, Watch, Weigh, Debrief, Replay, Runs,
    SoFar,
];

const fn nudge(way: Way, amount: Amount) -> Action {
    Action::Nudge(Nudge { way, amount })
}

/// Builds the table. A row with empty texts is the shifted twin of another row.
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

/// Every key, a row each: the places, the keys, the action, the keys as text, what they do as text. The help has the same order.
/// Arrows, letters and signs each have all three steps of the lever.
pub const BINDINGS: &[Binding] = bindings! {
    FLY => &[Up, Char('k'), Char('+')], nudge(Way::Up, Amount::Tap), "up, k, +", "lever 1 % up; hold to keep moving";
    FLY => &[Down, Char('j'), Char('-')], nudge(Way::Down, Amount::Tap), "down, j, -", "lever 1 % down; hold to keep moving";
    FLY => &[Right, Char('l'), Char('>'), Char('.')], nudge(Way::Up, Amount::Fine), "right, l, >, .", "lever 0.2 % up";
    FLY => &[Left, Char('h'), Char('<'), Char(',')], nudge(Way::Down, Amount::Fine), "left, h, <, ,", "lever 0.2 % down";
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
    PLAYED => &[Up], Action::Speed(Way::Up), "up", "faster: 1, 2, 4, 16 times";
    PLAYED => &[Down], Action::Speed(Way::Down), "down", "slower";
    &[Guide] => &[Enter], Action::Go, "enter", "go on without doing it";
    &[Guide] => &[Char(' ')], Action::Pause, "space", "go on, pause";
    &[Guide] => &[Char('r')], Action::Again, "r", "from the start";
    &[Guide] => &[Char('q'), Esc], Action::Leave, "q, esc", "to the menu";
    FLYING => &[Char(' ')], Action::Pause, "space", "pause, go on";
    FLYING => &[Char('m')], Action::Mark, "m", "leave a mark for the debrief";
    &[Brief, Fly, Watch] => &[Char('e')], Action::Echo, "e", "echo: off, par, brief, best, earlier";
    FLYING => &[Char('r')], Action::Again, "r", "begin again";
    FLYING => &[Char('q'), Esc], Action::Leave, "q, esc", "leave the run and see its debrief";
    &[Type] => &[Enter], Action::Go, "enter", "set the lever to it";
    &[Type] => &[Esc], Action::Leave, "esc", "leave the lever where it is";
    &[Debrief] => &[Right], Action::Task(Way::Up), "right", "next task, then the whole run";
    &[Debrief] => &[Left], Action::Task(Way::Down), "left", "previous task";
    &[Debrief] => &[Tab], Action::BillLine(Way::Up), "tab", "next line of the bill, flown better";
    &[Debrief] => &[BackTab], Action::BillLine(Way::Down), "shift-tab", "previous line";
    &[Debrief] => &[Char('x')], Action::Practise, "x", "practise the chosen line";
    &[Debrief] => &[Char('c')], Action::Against, "c", "compare: better, par, best, earlier";
    &[Debrief] => &[Char('p')], Action::Replay, "p", "play the run, or the task, again";
    &[Replay] => &[Char(' ')], Action::Pause, "space", "pause, go on";
    &[Replay] => &[Right], Action::Skip(Way::Up), "right", "ten seconds on";
    &[Replay] => &[Left], Action::Skip(Way::Down), "left", "ten seconds back";
    &[Replay] => &[Char('r')], Action::Again, "r", "from the start";
    &[Replay] => &[Char('q'), Esc], Action::Leave, "q, esc", "back to the debrief";
    LISTS => &[Up, Char('k')], Action::Scroll(-1), "up, k", "up";
    LISTS => &[Down, Char('j')], Action::Scroll(1), "down, j", "down";
    &[Menu] => &[Enter], Action::Go, "enter", "open the drill's brief";
    &[Menu] => &[PageUp], Action::Scroll(-LEAP), "page up", "ten drills up";
    &[Menu] => &[PageDown], Action::Scroll(LEAP), "page down", "ten drills down";
    &[Menu, Runs, SoFar] => &[Home], Action::Scroll(i16::MIN), "home", "the first";
    &[Menu, Runs, SoFar] => &[End], Action::Scroll(i16::MAX), "end", "the last";
    &[Menu] => &[Char('/')], Action::Find, "/", "find by name: type, esc clears";
    &[Menu] => &[Char('n')], Action::Next, "n", "the brief of what to fly next";
    TEXTS => &[PageUp], Action::Scroll(-LINES), "page up", "six lines up";
    TEXTS => &[PageDown], Action::Scroll(LINES), "page down", "six lines down";
    &[Brief] => &[Enter, Char(' ')], Action::Go, "enter, space", "fly it";
    &[Brief] => &[Char('m')], Action::Numbers, "m", "more numbers, or fewer";
    &[Menu, Brief] => &[Char('g')], Action::Guess, "g", "guess the numbers first, then fly";
    &[Menu, Brief] => &[Char('w')], Action::Watch, "w", "watch a hand fly it";
    &[Hands] => &[Enter], Action::Go, "enter", "let it fly";
    &[Hands] => &[Char('q'), Esc], Action::Leave, "q, esc", "back";
    &[Menu] => &[Char('f')], Action::Guided, "f", "your first flight, guided";
    &[Menu] => &[Char('p')], Action::Aeroplane, "p", "the aeroplane's page";
    WRITE => DIGITS, Action::Write('0'), "0 to 9", "type a number";
    WRITE => &[Char('.'), Char(',')], Action::Write('.'), "., ,", "type a decimal point";
    WRITE => &[Backspace], Action::Erase, "backspace", "delete the last character";
    &[Predict] => &[Enter], Action::Go, "enter", "take the guess; empty skips it";
    OVER => &[Enter, Char('r')], Action::Again, "enter, r", "fly it again";
    OVER => &[Char('n')], Action::Next, "n", "the brief of what to fly next";
    &[Weigh] => &[Char('q'), Esc], Action::Leave, "q, esc", "see the debrief at once, without par";
    &[Menu] => &[Char('l')], Action::Runs, "l", "your latest runs, to see again";
    &[Menu] => &[Char('s')], Action::SoFar, "s", "so far: your progress, and what next";
    &[SoFar] => &[Tab], Action::By, "tab", "by skill, by drill, by day";
    &[SoFar] => &[Right], Action::Figure(Way::Up), "right", "the next figure of the chosen runs";
    &[SoFar] => &[Left], Action::Figure(Way::Down), "left", "previous figure";
    &[Runs] => &[Enter], Action::Go, "enter", "open its debrief";
    &[Menu, Brief] => &[Char('a')], Action::Aids, "a", "aids: full, some, bare";
    &[Menu] => &[Char('q'), Esc], Action::Leave, "q, esc", "quit";
    &[Aeroplane, Brief, Predict, Debrief, Runs, SoFar] => &[Char('q'), Esc], Action::Leave,
        "q, esc", "back to where you came from";
    ALL => &[Char('?')], Action::Help, "?", "this help";
};

/// The action of a key in a place. Ctrl-C and Ctrl-Z mean the same everywhere.
pub fn action(place: Mode, key: &KeyEvent) -> Option<Action> {
    if key.modifiers.contains(KeyModifiers::CONTROL) {
        return match key.code {
            Char('c') => Some(Action::Quit),
            Char('z') => Some(Action::Suspend),
            Char('p') if cfg!(debug_assertions) => Some(Action::Panic),
            _ => None,
        };
    }
    let is_meant = |row: &&Binding| row.places.contains(&place) && row.keys.contains(&key.code);
    let rows = BINDINGS.iter().filter(is_meant);
    let with = |shift| rows.clone().find(|row| row.shift == shift);
    let row = with(key.modifiers.contains(KeyModifiers::SHIFT)).or_else(|| with(false))?;
    Some(match (row.action, key.code) {
        (Action::Set(_), Char(digit)) => Action::Set(digit as u8 - b'0'),
        (Action::Write(_), Char(digit)) if digit.is_ascii_digit() => Action::Write(digit),
        (action, _) => action,
    })
}

/// The rows that the help shows for a place.
pub fn help(place: Mode) -> impl Iterator<Item = &'static Binding> {
    let is_shown = move |row: &&Binding| row.places.contains(&place) && !row.shown.is_empty();
    BINDINGS.iter().filter(is_shown)
}
