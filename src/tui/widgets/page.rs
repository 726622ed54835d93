//! A text that can be longer than its place: wrapped with a hanging indent, and scrolled.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::drill::printable::{columns, cut};
use crate::export::told::{Telling, Weight};
use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;

/// How much further the rest of a broken line is indented where the line itself is indented, characters.
const HANG: usize = 2;
/// Units that stay on the same line as the number before them.
const UNITS: [&str; 6] = ["%", "ft", "s", "kt", "nm", "kg"];

/// Lines of text, each with its role.
#[derive(Clone, Debug, Default)]
pub struct Page {
    rows: Vec<(String, Role)>,
}

impl Page {
    /// Adds a line.
    pub fn push(&mut self, line: impl Into<String>, role: Role) {
        self.rows.push((line.into(), role));
    }

    /// Adds lines, each with its role.
    pub fn add(&mut self, lines: impl IntoIterator<Item = (String, Role)>) {
        self.rows.extend(lines);
    }

    /// Adds lines of one role.
    pub fn extend(&mut self, lines: impl IntoIterator<Item = String>, role: Role) {
        self.add(lines.into_iter().map(|line| (line, role)));
    }

    /// Adds lines of one role, each indented by `by` columns.
    pub fn inset(
        &mut self,
        by: usize,
        lines: impl IntoIterator<Item = impl AsRef<str>>,
        role: Role,
    ) {
        let gap = " ".repeat(by);
        let lines = lines.into_iter();
        self.extend(lines.map(|line| format!("{gap}{}", line.as_ref())), role);
    }

    /// Adds lines with their weights after a gap, or nothing where there are none.
    pub fn block(&mut self, lines: Telling) {
        if !lines.is_empty() {
            self.gap();
            self.told(lines);
        }
    }

    /// Adds lines with their weights, without a gap.
    pub fn told(&mut self, lines: Telling) {
        for (weight, line) in lines {
            match weight {
                Weight::Plain => self.inset(1, [line], Role::Ink),
                Weight::Quiet => self.inset(1, [line], Role::Quiet),
            }
        }
    }

    /// Adds an empty line before what follows, unless the page is empty or already ends with one.
    pub fn gap(&mut self) {
        if self.rows.last().is_some_and(|(line, _)| !line.is_empty()) {
            self.push("", Role::Ink);
        }
    }

    /// The rows that the page takes at a width.
    pub fn rows(&self, width: u16) -> u16 {
        height(&self.rows, width)
    }

    /// Scrolls just far enough to bring a line (counted as it was added) into sight in an area.
    pub fn reveal(&self, line: usize, scroll: &mut u16, area: Rect) {
        let line = line.min(self.rows.len().saturating_sub(1));
        let [top, bottom] = [line, line + 1].map(|lines| height(&self.rows[..lines], area.width));
        *scroll = (*scroll).max(bottom.saturating_sub(area.height)).min(top);
    }

    /// Draws what fits from row `scroll` on, which is first limited to the rows there are. Returns whether more lies below.
    pub fn draw(&self, scroll: &mut u16, area: Rect, canvas: &mut Canvas) -> bool {
        let wrapped = self.rows.iter().flat_map(|(line, role)| {
            let parts = hang(line, usize::from(area.width));
            parts.into_iter().map(|part| (part, *role))
        });
        let wrapped: Vec<(String, Role)> = wrapped.collect();
        let hidden = wrapped.len().saturating_sub(usize::from(area.height));
        *scroll = (*scroll).min(hidden as u16);
        let shown = wrapped.iter().skip(usize::from(*scroll));
        for (y, (line, role)) in (area.top()..area.bottom()).zip(shown) {
            canvas.put_within(area.x, y, line, area.width, *role);
        }
        usize::from(*scroll) < hidden
    }
}

/// Draws a page of several areas that may be longer than the screen: first all its `rows`, then onto the screen those from row
/// `scroll` on, which is limited to the rows there are. Returns whether more lies below.
pub fn long(
    rows: u16,
    scroll: &mut u16,
    area: Rect,
    canvas: &mut Canvas,
    draw: impl FnOnce(&mut Canvas),
) -> bool {
    let mut long = Buffer::empty(Rect::new(0, 0, area.width, rows.max(1)));
    let (buffer, theme) = (&mut long, canvas.theme);
    draw(&mut Canvas { buffer, theme });
    let hidden = long.area.height.saturating_sub(area.height);
    *scroll = (*scroll).min(hidden);
    for y in 0..area.height.min(long.area.height) {
        for x in 0..area.width {
            canvas.buffer[(area.x + x, area.y + y)] = long[(x, *scroll + y)].clone();
        }
    }
    *scroll < hidden
}

fn height(rows: &[(String, Role)], width: u16) -> u16 {
    let parts = rows.iter().map(|(line, _)| hang(line, width.into()).len());
    parts.sum::<usize>() as u16
}

/// The column at which the rest of a broken line begins: below the text of a numbered line, with or without a mark before the
/// number; further in than the beginning of an indented line.
fn indent(line: &str) -> usize {
    let count =
        |from: usize, is: fn(char) -> bool| line.chars().skip(from).take_while(|c| is(*c)).count();
    let before = count(0, |c| c == ' ' || c == '>' || c == '▸');
    let digits = count(before, |c| c.is_ascii_digit());
    let spaces = count(before + digits, |c| c == ' ');
    match (before, digits, spaces) {
        (before, 1.., 2..) => before + digits + spaces,
        (0, _, _) => 0,
        (before, _, _) => before + HANG,
    }
}

/// Whether a line may be broken at a space: not between a number and its unit.
fn is_break(line: &[char], at: usize) -> bool {
    let next: String = line[at + 1..]
        .iter()
        .take_while(|c| c.is_alphabetic() || **c == '%')
        .collect();
    line[at] == ' ' && !(line[at - 1].is_ascii_digit() && UNITS.contains(&next.as_str()))
}

/// Breaks a line between words, with a hanging indent.
fn hang(line: &str, width: usize) -> Vec<String> {
    let indent = indent(line);
    if columns(line) <= width || width <= indent {
        return vec![line.to_string()];
    }
    let mut parts = Vec::new();
    let mut rest: Vec<char> = line.chars().collect();
    loop {
        let text: String = rest.iter().collect();
        let begin = rest.iter().take_while(|c| **c == ' ').count();
        let fits = cut(&text, width).chars().count().max(begin + 1);
        if fits >= rest.len() {
            break;
        }
        let mut breaks = (begin + 1..=fits).rev();
        let at = breaks.find(|at| is_break(&rest, *at)).unwrap_or(fits);
        let after = rest.split_off(at);
        parts.push(rest.iter().collect::<String>().trim_end().to_string());
        let words = after.into_iter().skip_while(|c| *c == ' ');
        rest = std::iter::repeat_n(' ', indent).chain(words).collect();
    }
    parts.push(rest.into_iter().collect());
    parts
}
