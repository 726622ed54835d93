//! Rows and columns: for a person as aligned text, for other programs as CSV.

use ratatui::text::Span;

use crate::drill::reader::{fixed, printable};

/// A cell of a table.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Text.
    Text(String),
    /// A number, with the decimals a person reads.
    Number(f64, usize),
    /// An unknown value.
    Unknown,
}

impl Cell {
    /// A number, or an unknown value.
    pub fn maybe(number: Option<f64>, decimals: usize) -> Cell {
        number.map_or(Cell::Unknown, |x| Cell::Number(x, decimals))
    }

    /// Text from any source.
    pub fn text(text: &str) -> Cell {
        Cell::Text(text.to_string())
    }

    fn shown(&self) -> String {
        match self {
            Cell::Text(text) => printable(text),
            Cell::Number(x, decimals) => fixed(*x, *decimals),
            Cell::Unknown => "-".to_string(),
        }
    }

    fn csv(&self) -> String {
        match self {
            // A stranger's text that a spreadsheet would take for a formula must stay text.
            Cell::Text(text) if text.starts_with(['=', '+', '-', '@']) => {
                Cell::Text(format!("'{text}")).csv()
            }
            Cell::Text(text) if text.contains([',', '"', '\n', '\r']) => {
                format!("\"{}\"", text.replace('"', "\"\""))
            }
            Cell::Text(text) => text.clone(),
            Cell::Number(x, _) => x.to_string(),
            Cell::Unknown => String::new(),
        }
    }
}

/// A table under its headings.
pub struct Table {
    /// The headings, as CSV has them.
    pub head: Vec<&'static str>,
    /// The rows, each with a cell for every heading.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// A table with the headings in `head`, separated by blanks.
    pub fn new(head: &'static str, rows: impl IntoIterator<Item = Vec<Cell>>) -> Table {
        Table {
            head: head.split(' ').collect(),
            rows: rows.into_iter().collect(),
        }
    }

    /// The table as CSV (RFC 4180); unknown values are empty.
    pub fn csv(&self) -> String {
        let line = |cells: Vec<String>| cells.join(",") + "\n";
        let head = line(self.head.iter().map(|name| (*name).to_string()).collect());
        let rows = self.rows.iter();
        let rows = rows.map(|row| line(row.iter().map(Cell::csv).collect()));
        head + &rows.collect::<String>()
    }

    /// The table as text for a person: columns aligned by display width, numbers to the right.
    pub fn text(&self) -> String {
        let head = self.head.iter().map(|name| name.replace('_', " "));
        let mut lines: Vec<Vec<String>> = vec![head.collect()];
        let shown = |row: &Vec<Cell>| row.iter().map(Cell::shown).collect();
        lines.extend(self.rows.iter().map(shown));
        let width = |text: &String| Span::raw(text).width();
        let widths: Vec<usize> = (0..self.head.len())
            .map(|column| lines.iter().map(|line| width(&line[column])).max())
            .map(|widest| widest.unwrap_or(0))
            .collect();
        let is_number = |column: usize| {
            let mut cells = self.rows.iter().map(|row| &row[column]);
            cells.any(|cell| matches!(cell, Cell::Number(..)))
        };
        let numbers: Vec<bool> = (0..self.head.len()).map(is_number).collect();
        let mut text = String::new();
        for line in &lines {
            let mut whole = String::new();
            for (column, cell) in line.iter().enumerate() {
                let gap = " ".repeat(widths[column] - width(cell));
                whole += &match numbers[column] {
                    true => format!("{gap}{cell}  "),
                    false => format!("{cell}{gap}  "),
                };
            }
            text += whole.trim_end();
            text.push('\n');
        }
        text
    }
}
