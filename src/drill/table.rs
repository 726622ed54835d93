//! Tables of numbers from any source: cells separated by comma, semicolon or tab, with or without quotation marks, a byte
//! order mark, blank lines and comments. Where cells are not separated by commas, a comma may be the decimal sign.

/// A line that is neither blank nor a comment, as its cells.
pub struct Row<'a> {
    /// Byte offset of its beginning.
    pub at: usize,
    pub cells: Vec<Cell<'a>>,
}

/// The text between two separators, without blanks and quotation marks.
#[derive(Clone, Copy, Debug)]
pub struct Cell<'a> {
    /// Byte offset of its beginning.
    pub at: usize,
    /// Its text.
    pub text: &'a str,
    has_comma: bool,
}

impl Cell<'_> {
    /// Its number; None where it holds something else.
    pub fn number(&self) -> Option<f64> {
        let number = match self.has_comma {
            true if !self.text.contains('.') => self.text.replacen(',', ".", 1).parse(),
            _ => self.text.parse(),
        };
        number.ok().filter(|number: &f64| number.is_finite())
    }
}

/// The lines of a text that are neither blank nor comments, split at the separator found in the first of them.
pub fn lines(text: &str) -> impl Iterator<Item = Row<'_>> {
    let mut at = 0;
    let mut separator = None;
    text.split_inclusive('\n').filter_map(move |line| {
        // Tabs at the end are empty cells.
        let line_alone = line.trim_end_matches(['\n', '\r', ' ']);
        let content = line_alone.trim_start_matches('\u{feff}');
        let begins = at + line_alone.len() - content.len();
        at += line.len();
        if content.trim().is_empty() || content.starts_with('#') {
            return None;
        }
        let separator = *separator.get_or_insert_with(|| {
            let known = [';', '\t', ','].into_iter();
            known.clone().find(|c| content.contains(*c)).unwrap_or(',')
        });
        let mut next = begins;
        let cells = content.split(separator).map(|raw| {
            let at = next + raw.len() - raw.trim_start().len();
            next += raw.len() + separator.len_utf8();
            let text = raw.trim();
            let inside = text
                .strip_prefix('"')
                .and_then(|rest| rest.strip_suffix('"'));
            Cell {
                at,
                text: inside.map_or(text, str::trim),
                has_comma: separator != ',',
            }
        });
        Some(Row {
            at: begins,
            cells: cells.collect(),
        })
    })
}
