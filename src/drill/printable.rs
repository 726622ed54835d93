//! Text from outside made fit for a terminal, and its width there in columns.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The longest text from outside that a message repeats, characters.
const LONGEST: usize = 120;

/// Whether a character is visible in its place: no control character, no line end, nothing invisible that turns the
/// direction of writing or joins letters (the format characters of the Unicode standard, category Cf, that have no width).
pub fn is_plain(c: char) -> bool {
    let is_format = matches!(c,
        '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}'
        | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e007f}');
    !c.is_control() && !is_format
}

/// A text with every character escaped that is not plain, except those that `keeps` lets through.
pub fn escaped(text: &str, keeps: impl Fn(char) -> bool) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        match is_plain(c) || keeps(c) {
            true => shown.push(c),
            false => shown.extend(c.escape_default()),
        }
    }
    shown
}

/// A text from outside made safe to print in one line: escaped, and cut to a limited length.
pub fn printable(text: &str) -> String {
    let end = text.char_indices().nth(LONGEST);
    escaped(&text[..end.map_or(text.len(), |(at, _)| at)], |_| false)
}

/// The width of a text in columns.
pub fn columns(text: &str) -> usize {
    text.width()
}

/// As much of a text as fits into `most` columns.
pub fn cut(text: &str, most: usize) -> &str {
    let mut taken = 0;
    let over = text.char_indices().find(|(_, c)| {
        taken += c.width().unwrap_or(0);
        taken > most
    });
    over.map_or(text, |(at, _)| &text[..at])
}

/// A sentence broken between words into lines of at most `most` columns, each after `indent`.
pub fn wrapped(indent: &str, sentence: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in sentence.split_whitespace() {
        match lines.last_mut() {
            Some(line) if columns(line) + 1 + columns(word) <= most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(format!("{indent}{word}")),
        }
    }
    lines
}

/// A text padded with blanks to at least `least` columns.
pub fn padded(text: &str, least: usize) -> String {
    let blanks = least.saturating_sub(columns(text));
    format!("{text}{}", " ".repeat(blanks))
}
