//! A grid of dots, two across and four down in a character cell, drawn as braille or as the nearest ASCII.

use ratatui::layout::Rect;

use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;

/// Dots in a cell, across.
pub const ACROSS: i32 = 2;
/// Dots in a cell, down.
pub const DOWN: i32 = 4;

/// Bit of each dot of a cell in the braille block, by column and row (Unicode 16, chapter 21.1).
const BITS: [[u8; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];

/// The grid over an area. In a cell shared by several roles the highest one gives the style.
pub struct Dots {
    area: Rect,
    cells: Vec<(u8, Role)>,
}

impl Dots {
    /// An empty grid over an area of the screen.
    pub fn new(area: Rect) -> Dots {
        Dots {
            area,
            cells: vec![(0, Role::Quiet); area.area() as usize],
        }
    }

    pub fn width(&self) -> i32 {
        i32::from(self.area.width) * ACROSS
    }

    pub fn height(&self) -> i32 {
        i32::from(self.area.height) * DOWN
    }

    /// Sets a dot, counted from the top left. Does nothing outside the grid.
    pub fn set(&mut self, x: i32, y: i32, role: Role) {
        if !(0..self.width()).contains(&x) || !(0..self.height()).contains(&y) {
            return;
        }
        let index = (y / DOWN) * i32::from(self.area.width) + x / ACROSS;
        let cell = &mut self.cells[index as usize];
        cell.0 |= BITS[(x % ACROSS) as usize][(y % DOWN) as usize];
        cell.1 = cell.1.max(role);
    }

    /// Sets the dots of one column between two heights, both included.
    pub fn column(&mut self, x: i32, from_y: i32, to_y: i32, role: Role) {
        let top = from_y.min(to_y).max(0);
        let bottom = from_y.max(to_y).min(self.height() - 1);
        (top..=bottom).for_each(|y| self.set(x, y, role));
    }

    /// Sets the dots of a column from next to the height of the previous one to `y`, so that a steep line stays unbroken.
    pub fn joined(&mut self, x: i32, last: &mut Option<i32>, y: i32, role: Role) {
        let from = last.map_or(y, |last| last + (y - last).signum());
        self.column(x, from, y, role);
        *last = Some(y);
    }

    /// Draws such a line over several columns. It begins anew after a column without a height.
    pub fn curve(
        &mut self,
        columns: impl IntoIterator<Item = i32>,
        role: Role,
        y: impl Fn(i32) -> Option<i32>,
    ) {
        let mut last = None;
        for x in columns {
            match y(x) {
                Some(y) => self.joined(x, &mut last, y, role),
                None => last = None,
            }
        }
    }

    /// Sets a square of three by three dots, which marks where something is now.
    pub fn spot(&mut self, x: i32, y: i32) {
        (x - 1..=x + 1).for_each(|x| self.column(x, y - 1, y + 1, Role::Marker));
    }

    /// Draws the grid. A cell with a dot replaces what was there; one without leaves it as it is.
    pub fn render(&self, canvas: &mut Canvas) {
        for (index, &(bits, role)) in self.cells.iter().enumerate() {
            if bits == 0 {
                continue;
            }
            let width = usize::from(self.area.width);
            let x = self.area.x + (index % width) as u16;
            let y = self.area.y + (index / width) as u16;
            let braille = char::from_u32(0x2800 + u32::from(bits)).unwrap_or(' ');
            let symbol = canvas.theme.either(braille, ascii(bits, role));
            let cell = &mut canvas.buffer[(x, y)];
            cell.reset();
            cell.set_char(symbol).set_style(canvas.theme.style(role));
        }
    }
}

/// The ASCII character that comes closest to the dots of a cell.
fn ascii(bits: u8, role: Role) -> char {
    if role == Role::Marker {
        return '#';
    }
    let upper = bits & (BITS[0][0] | BITS[0][1] | BITS[1][0] | BITS[1][1]) != 0;
    let lower = bits & (BITS[0][2] | BITS[0][3] | BITS[1][2] | BITS[1][3]) != 0;
    match (upper, lower, role) {
        (_, _, Role::Echo) => '-',
        (_, _, Role::Alternative) => 'o',
        (_, _, Role::Engine) => '~',
        (true, true, Role::Ink) => '*',
        (true, true, _) => ':',
        (true, false, Role::Ink) => '"',
        (true, false, _) => '\'',
        (false, true, Role::Ink) => ',',
        _ => '.',
    }
}
