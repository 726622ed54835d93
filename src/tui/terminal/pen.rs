//! Frames as bytes, and few of them: only what changed, in the style already in force wherever that will do.

use std::io::{self, Write};

use ratatui::backend::{Backend, ClearType, WindowSize};
use ratatui::buffer::Cell;
use ratatui::layout::{Position, Size};
use ratatui::style::{Color, Modifier};

const CLEAR: &[u8] = b"\x1b[0m\x1b[2J";

/// Attributes and their numbers (ECMA-48, SGR).
const ATTRIBUTES: [(Modifier, u8); 5] = [
    (Modifier::BOLD, 1),
    (Modifier::DIM, 2),
    (Modifier::ITALIC, 3),
    (Modifier::UNDERLINED, 4),
    (Modifier::REVERSED, 7),
];

/// Colours and attributes of a cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Look {
    fg: Color,
    bg: Color,
    modifier: Modifier,
}

/// A backend that collects the frame instead of sending it, so that it can be sent by one write. The cursor stays hidden. The
/// style in force is remembered from frame to frame, none at first; [`Backend::clear`] resets it.
#[derive(Debug, Default)]
pub struct Pen {
    frame: Vec<u8>,
    look: Look,
    /// Where the next character would go, if that is certain.
    at: Option<Position>,
}

impl Pen {
    /// Returns the frame so far and begins the next one.
    pub fn take(&mut self) -> Vec<u8> {
        self.at = None;
        std::mem::take(&mut self.frame)
    }

    fn go_to(&mut self, to: Position) -> io::Result<()> {
        match self.at {
            Some(at) if at == to => Ok(()),
            Some(at) if at.y == to.y && at.x + 1 == to.x => self.frame.write_all(b"\x1b[C"),
            Some(at) if at.y == to.y && at.x < to.x => {
                write!(self.frame, "\x1b[{}C", to.x - at.x)
            }
            _ => write!(self.frame, "\x1b[{};{}H", to.y + 1, to.x + 1),
        }
    }

    fn take_on(&mut self, cell: &Cell) -> io::Result<()> {
        let mut look = Look {
            fg: cell.fg,
            bg: cell.bg,
            modifier: cell.modifier,
        };
        // A blank shows neither its colour nor its weight.
        let shown = Modifier::UNDERLINED | Modifier::REVERSED;
        if cell.symbol() == " " && !(look.modifier | self.look.modifier).intersects(shown) {
            (look.fg, look.modifier) = (self.look.fg, self.look.modifier);
        }
        if look == self.look {
            return Ok(());
        }
        let mut codes = Vec::new();
        let mut before = self.look;
        if look.modifier != before.modifier {
            if !look.modifier.contains(before.modifier) {
                codes.push("0".to_string());
                before = Look::default();
            }
            for (modifier, code) in ATTRIBUTES {
                if (look.modifier - before.modifier).contains(modifier) {
                    codes.push(code.to_string());
                }
            }
        }
        if look.fg != before.fg {
            codes.push(code(look.fg, 30));
        }
        if look.bg != before.bg {
            codes.push(code(look.bg, 40));
        }
        self.look = look;
        write!(self.frame, "\x1b[{}m", codes.join(";"))
    }
}

/// The code that sets a colour, by ECMA-48 and, beyond its eight colours, as in xterm: from 30 on for ink, from 40 on for the
/// background.
fn code(colour: Color, from: u8) -> String {
    match colour {
        Color::Reset => (from + 9).to_string(),
        Color::Black => from.to_string(),
        Color::Red => (from + 1).to_string(),
        Color::Green => (from + 2).to_string(),
        Color::Yellow => (from + 3).to_string(),
        Color::Blue => (from + 4).to_string(),
        Color::Magenta => (from + 5).to_string(),
        Color::Cyan => (from + 6).to_string(),
        Color::Gray => (from + 7).to_string(),
        Color::DarkGray => (from + 60).to_string(),
        Color::LightRed => (from + 61).to_string(),
        Color::LightGreen => (from + 62).to_string(),
        Color::LightYellow => (from + 63).to_string(),
        Color::LightBlue => (from + 64).to_string(),
        Color::LightMagenta => (from + 65).to_string(),
        Color::LightCyan => (from + 66).to_string(),
        Color::White => (from + 67).to_string(),
        Color::Indexed(index) => format!("{};5;{index}", from + 8),
        Color::Rgb(red, green, blue) => format!("{};2;{red};{green};{blue}", from + 8),
    }
}

/// Whether a symbol takes one column in every terminal: ASCII, lines, blocks, marks and braille, as the screens use them.
fn is_narrow(symbol: &str) -> bool {
    let mut chars = symbol.chars();
    let is_so = |c: char| matches!(c, ' '..='~' | '\u{b0}' | '\u{b7}' | '\u{2190}'..='\u{28ff}');
    chars.next().is_some_and(is_so) && chars.next().is_none()
}

impl Backend for Pen {
    type Error = io::Error;

    fn draw<'a, I>(&mut self, content: I) -> io::Result<()>
    where
        I: Iterator<Item = (u16, u16, &'a Cell)>,
    {
        for (x, y, cell) in content {
            self.go_to(Position::new(x, y))?;
            self.take_on(cell)?;
            self.frame.write_all(cell.symbol().as_bytes())?;
            self.at = is_narrow(cell.symbol()).then_some(Position::new(x + 1, y));
        }
        Ok(())
    }

    fn hide_cursor(&mut self) -> io::Result<()> {
        Ok(())
    }

    fn show_cursor(&mut self) -> io::Result<()> {
        Ok(())
    }

    /// Never asks the terminal.
    fn get_cursor_position(&mut self) -> io::Result<Position> {
        Ok(Position::ORIGIN)
    }

    fn set_cursor_position<P: Into<Position>>(&mut self, position: P) -> io::Result<()> {
        self.go_to(position.into())
    }

    fn clear(&mut self) -> io::Result<()> {
        (self.look, self.at) = (Look::default(), None);
        self.frame.write_all(CLEAR)
    }

    fn clear_region(&mut self, _: ClearType) -> io::Result<()> {
        self.clear()
    }

    fn size(&self) -> io::Result<Size> {
        let (columns, rows) = crossterm::terminal::size()?;
        Ok(Size::new(columns, rows))
    }

    fn window_size(&mut self) -> io::Result<WindowSize> {
        let columns_rows = self.size()?;
        let pixels = Size::ZERO;
        Ok(WindowSize {
            columns_rows,
            pixels,
        })
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
