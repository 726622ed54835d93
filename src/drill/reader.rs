//! Reading TOML so that anything wrong comes back as one line: file, line, column, what is wrong; what would be right.

use std::borrow::Cow;
use std::ops::{Range, RangeInclusive};

use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::printable::is_plain;
pub use super::printable::printable;
use super::{slips, spelling};
use crate::units::FT;

/// What is wrong with a file, and where.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{file}:{line}:{column}: {message}")]
pub struct FileError {
    /// The file as the user named it.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// "What is wrong; what would be right".
    pub message: String,
}

/// A text and the name it goes by in messages.
#[derive(Clone, Copy, Debug)]
pub struct Source<'a> {
    /// The file as the user named it.
    pub file: &'a str,
    /// Its content.
    pub text: &'a str,
}

impl<'a> Source<'a> {
    /// An error at a byte offset.
    pub fn error(&self, at: usize, message: impl Into<String>) -> FileError {
        let before = &self.text[..self.text.floor_char_boundary(at)];
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        FileError {
            file: printable(self.file),
            line: before.matches('\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
            message: message.into(),
        }
    }

    /// Parses the text and passes its top table to `read`.
    pub fn read<T>(
        &self,
        keys: &[&str],
        read: impl FnOnce(&Table) -> Result<T, FileError>,
    ) -> Result<T, FileError> {
        let parsed = DeTable::parse(self.text).map_err(|error| {
            let at = error.span().map_or(0, |span| span.start);
            if let Some((at, slip)) = slips::slip(self.text, at) {
                return self.error(at, slip);
            }
            let what = error.message().replace('\n', ", ");
            self.error(
                at,
                format!("not valid TOML: {what}; write `key = value`, text in double quotes"),
            )
        })?;
        let top = Table::new(*self, TOP, parsed.span(), parsed.get_ref(), keys, &[])?;
        read(&top)
    }
}

/// A value and its byte offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct At<T> {
    pub value: T,
    /// Byte offset, for later messages.
    pub at: usize,
}

impl<T> At<T> {
    /// The value that `make` makes of it, at the same place.
    pub fn map<U>(self, make: impl FnOnce(T) -> U) -> At<U> {
        let (value, at) = (make(self.value), self.at);
        At { value, at }
    }
}

/// What messages call the top of a file.
const TOP: &str = "the file";
/// Where a key of the top has to be: after a line in brackets every key belongs to that table.
const ABOVE: &str = "it belongs above the first line in brackets";

/// A table whose keys are all known.
pub struct Table<'a> {
    source: Source<'a>,
    name: Cow<'static, str>,
    at: usize,
    map: &'a DeTable<'a>,
    keys: &'a [&'a str],
}

impl<'a> Table<'a> {
    fn new(
        source: Source<'a>,
        name: impl Into<Cow<'static, str>>,
        span: Range<usize>,
        map: &'a DeTable<'a>,
        keys: &'a [&'a str],
        of_top: &[&str],
    ) -> Result<Table<'a>, FileError> {
        let name = name.into();
        let unknown = map
            .keys()
            .filter(|key| !keys.contains(&key.get_ref().as_ref()));
        if let Some(key) = unknown.min_by_key(|key| key.span().start) {
            let typed = printable(key.get_ref());
            let message = match of_top.contains(&key.get_ref().as_ref()) {
                true => format!("`{typed}` is in {name}; {ABOVE}"),
                false => format!(
                    "unknown key `{typed}` in {name}; the known keys are {}{}",
                    keys.join(", "),
                    spelling::hint(&typed, keys)
                ),
            };
            return Err(source.error(key.span().start, message));
        }
        Ok(Table {
            source,
            name,
            at: span.start,
            map,
            keys,
        })
    }

    /// Byte offset of the table.
    pub fn at(&self) -> usize {
        self.at
    }

    /// An error at an offset in this file.
    pub fn error(&self, at: usize, message: impl Into<String>) -> FileError {
        self.source.error(at, message)
    }

    /// The names of the keys present.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.map.keys().map(|key| key.get_ref().as_ref())
    }

    /// Whether a key is present.
    pub fn has(&self, key: &str) -> bool {
        self.map.contains_key(key)
    }

    /// The first of some keys that is present, and the offset of its value.
    pub fn any_of<'k>(&self, keys: &[&'k str]) -> Option<(&'k str, usize)> {
        let mut keys = keys.iter();
        keys.find_map(|key| Some((*key, self.get(key)?.span().start)))
    }

    fn get(&self, key: &str) -> Option<&'a Spanned<DeValue<'a>>> {
        self.map.get(key)
    }

    fn missing(&self, key: &str, right: &str) -> FileError {
        if let Some((table, at)) = self.astray(key) {
            return self.error(at, format!("`{key}` is in {table}; {ABOVE}"));
        }
        self.error(
            self.at,
            format!("`{key}` is missing in {}; give {right}", self.name),
        )
    }

    /// A table further down into which a key of the top has slipped, and the offset of that key.
    fn astray(&self, key: &str) -> Option<(String, usize)> {
        let inside = |name: String, value: &DeValue| {
            let (stray, _) = value.as_table()?.get_key_value(key)?;
            Some((name, stray.span().start))
        };
        let mut tables = self.map.iter().filter(|_| self.name == TOP);
        tables.find_map(|(name, value)| match value.get_ref() {
            DeValue::Array(list) => {
                let name = format!("[[{}]]", name.get_ref());
                list.iter()
                    .find_map(|value| inside(name.clone(), value.get_ref()))
            }
            value => inside(format!("[{}]", name.get_ref()), value),
        })
    }

    fn wrong_type(&self, key: &str, value: &Spanned<DeValue>, right: &str) -> FileError {
        let found = match value.get_ref() {
            DeValue::String(_) => "text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        self.error(
            value.span().start,
            format!("`{key}` is {found}; it takes {right}"),
        )
    }

    /// A number in a range, or the default; without a default the key is required.
    pub fn number(
        &self,
        key: &str,
        range: RangeInclusive<f64>,
        default: Option<f64>,
    ) -> Result<At<f64>, FileError> {
        let right = format!("a number from {}", ends(&range));
        match (self.get(key), default) {
            (Some(value), _) => self.number_in(key, value, range, &right),
            (None, Some(value)) => Ok(At { value, at: self.at }),
            (None, None) => Err(self.missing(key, &right)),
        }
    }

    /// A number in a range, if the key is there.
    pub fn optional_number(
        &self,
        key: &str,
        range: RangeInclusive<f64>,
    ) -> Result<Option<At<f64>>, FileError> {
        let present = self.has(key);
        present.then(|| self.number(key, range, None)).transpose()
    }

    fn number_in(
        &self,
        key: &str,
        value: &Spanned<DeValue>,
        range: RangeInclusive<f64>,
        right: &str,
    ) -> Result<At<f64>, FileError> {
        let at = value.span().start;
        let number = match value.get_ref() {
            DeValue::Integer(integer) => i64::from_str_radix(integer.as_str(), integer.radix())
                .map_or(f64::INFINITY, |i| i as f64),
            DeValue::Float(float) => float.as_str().parse().unwrap_or(f64::NAN),
            _ => return Err(self.wrong_type(key, value, right)),
        };
        if !range.contains(&number) {
            let (shown, share) = (plain(number), as_share(key, number, &range));
            let message = format!("`{key}` is {shown}; it takes {right}{share}");
            return Err(self.error(at, message));
        }
        Ok(At { value: number, at })
    }

    /// A whole number in a range; required where there is no default.
    pub fn count(
        &self,
        key: &str,
        range: RangeInclusive<u32>,
        default: Option<u32>,
    ) -> Result<At<u32>, FileError> {
        let whole = f64::from(*range.start())..=f64::from(*range.end());
        let number = self.number(key, whole, default.map(f64::from))?;
        if number.value.fract() != 0.0 {
            let message = format!(
                "`{key}` is {}; it takes a whole number",
                plain(number.value)
            );
            return Err(self.error(number.at, message));
        }
        Ok(number.map(|number| number as u32))
    }

    /// Two numbers in a list, both in a range.
    pub fn pair(&self, key: &str, range: RangeInclusive<f64>) -> Result<At<(f64, f64)>, FileError> {
        let right = "a list of two numbers, the smaller first";
        let numbers = self.numbers(key, range, right)?;
        match numbers.value[..] {
            [low, high] if low <= high => Ok(numbers.map(|_| (low, high))),
            _ => Err(self.error(
                numbers.at,
                format!("`{key}` does not hold two numbers in order; it takes {right}"),
            )),
        }
    }

    /// A list of numbers, all in a range, required.
    pub fn numbers(
        &self,
        key: &str,
        range: RangeInclusive<f64>,
        right: &str,
    ) -> Result<At<Vec<f64>>, FileError> {
        let list = self.list(key, right)?;
        let each = format!("numbers from {}", ends(&range));
        let number = |value| Ok(self.number_in(key, value, range.clone(), &each)?.value);
        let numbers = list.value.iter().map(number);
        let numbers = numbers.collect::<Result<_, FileError>>()?;
        Ok(list.map(|_| numbers))
    }

    fn list(&self, key: &str, right: &str) -> Result<At<&'a DeArray<'a>>, FileError> {
        self.typed(key, right, DeValue::as_array)
    }

    /// The value of a required key, as `take` returns it; an error where the value has the wrong type.
    fn typed<T>(
        &self,
        key: &str,
        right: &str,
        take: impl FnOnce(&'a DeValue<'a>) -> Option<T>,
    ) -> Result<At<T>, FileError> {
        let value = self.get(key).ok_or_else(|| self.missing(key, right))?;
        let at = value.span().start;
        let taken = take(value.get_ref());
        let taken = taken.map(|value| At { value, at });
        taken.ok_or_else(|| self.wrong_type(key, value, right))
    }

    /// A text of 1 to `longest` characters without control and format characters, required.
    pub fn text(&self, key: &str, longest: usize) -> Result<At<String>, FileError> {
        let right = format!("text of 1 to {longest} characters");
        let text = self.typed(key, &right, DeValue::as_str)?;
        if let Some(c) = text.value.chars().find(|c| !is_plain(*c)) {
            let what = match c.is_control() {
                true => "a control",
                false => "an invisible",
            };
            let message = format!("`{key}` holds {what} character; it takes {right} on one line");
            return Err(self.error(text.at, message));
        }
        let length = text.value.chars().count();
        if !(1..=longest).contains(&length) {
            let message = format!("`{key}` has {length} characters; it takes {right}");
            return Err(self.error(text.at, message));
        }
        Ok(text.map(str::to_string))
    }

    /// True or false, or the default.
    pub fn flag(&self, key: &str, default: bool) -> Result<At<bool>, FileError> {
        if !self.has(key) {
            let (value, at) = (default, self.at);
            return Ok(At { value, at });
        }
        self.typed(key, "true or false", DeValue::as_bool)
    }

    /// One of some words, required.
    pub fn word(&self, key: &str, words: &[&'static str]) -> Result<At<&'static str>, FileError> {
        let right = format!("one of \"{}\"", words.join("\", \""));
        let typed = self.typed(key, &right, DeValue::as_str)?;
        let shown = printable(typed.value);
        match words.iter().find(|word| **word == typed.value) {
            Some(word) => Ok(typed.map(|_| *word)),
            None => Err(self.error(
                typed.at,
                format!("`{key}` is \"{shown}\"; it takes {right}"),
            )),
        }
    }

    /// A list of some of these words, at least one, required.
    pub fn words(
        &self,
        key: &str,
        words: &[&'static str],
    ) -> Result<At<Vec<&'static str>>, FileError> {
        let right = format!("a list of some of \"{}\"", words.join("\", \""));
        let list = self.list(key, &right)?;
        let mut found = Vec::new();
        for value in list.value.iter() {
            let word = value.get_ref().as_str();
            match words.iter().find(|known| Some(**known) == word) {
                Some(known) => found.push(*known),
                None => {
                    let shown = word.map_or("something else".to_string(), |word| {
                        format!("\"{}\"", printable(word))
                    });
                    let message = format!("`{key}` holds {shown}; it takes {right}");
                    return Err(self.error(value.span().start, message));
                }
            }
        }
        if found.is_empty() {
            return Err(self.error(list.at, format!("`{key}` is empty; it takes {right}")));
        }
        Ok(list.map(|_| found))
    }

    /// Whether the value of a key is a text.
    pub fn is_text(&self, key: &str) -> bool {
        self.get(key).is_some_and(|value| value.get_ref().is_str())
    }

    /// Whether a key is there and holds a table.
    pub fn is_table(&self, key: &str) -> bool {
        self.get(key)
            .is_some_and(|value| value.get_ref().is_table())
    }

    /// The error for a key whose value has the wrong type, or that is missing.
    pub fn no_such(&self, key: &str, right: &str) -> FileError {
        match self.get(key) {
            Some(value) => self.wrong_type(key, value, right),
            None => self.missing(key, right),
        }
    }

    /// A table inside, if it is present.
    pub fn table(
        &self,
        key: &str,
        name: impl Into<Cow<'static, str>>,
        keys: &'a [&'a str],
    ) -> Result<Option<Table<'a>>, FileError> {
        self.get(key)
            .map(|value| self.table_in(key, value, name.into(), keys))
            .transpose()
    }

    /// A table inside, required.
    pub fn required_table(
        &self,
        key: &str,
        name: &'static str,
        keys: &'a [&'a str],
    ) -> Result<Table<'a>, FileError> {
        self.table(key, name, keys)?
            .ok_or_else(|| self.missing(key, &format!("the table {name}")))
    }

    fn table_in(
        &self,
        key: &str,
        value: &'a Spanned<DeValue<'a>>,
        name: Cow<'static, str>,
        keys: &'a [&'a str],
    ) -> Result<Table<'a>, FileError> {
        match value.get_ref() {
            DeValue::Table(map) => {
                let of_top = if self.name == TOP { self.keys } else { &[] };
                Table::new(self.source, name, value.span(), map, keys, of_top)
            }
            _ => Err(self.wrong_type(key, value, &format!("a table with {}", keys.join(", ")))),
        }
    }

    /// The tables of a list such as `[[task]]`, required.
    pub fn tables(
        &self,
        key: &str,
        count: RangeInclusive<usize>,
        keys: &'a [&'a str],
    ) -> Result<Vec<Table<'a>>, FileError> {
        let right = format!("{} to {} [[{key}]] tables", count.start(), count.end());
        let list = self.list(key, &right)?;
        if !count.contains(&list.value.len()) {
            let found = list.value.len();
            return Err(self.error(
                list.at,
                format!("there are {found} [[{key}]] tables; give {right}"),
            ));
        }
        let tables = list.value.iter().enumerate().map(|(index, value)| {
            self.table_in(key, value, format!("[[{key}]] {}", index + 1).into(), keys)
        });
        tables.collect()
    }
}

/// The hint for a lever setting that was given in per cent: "; 38 % is 0.38".
pub fn as_share(key: &str, percent: f64, range: &RangeInclusive<f64>) -> String {
    // To twelve decimals, since a division leaves dust: 1.3 over 100 is not the nearest number to 0.013.
    let share = (percent * 1e10).round() / 1e12;
    match key.starts_with("lever") && *range.end() <= 1.0 && range.contains(&share) {
        true => format!("; {} % is {}", plain(percent), plain(share)),
        false => String::new(),
    }
}

/// The ends of a range: "1 to 100".
pub fn ends(range: &RangeInclusive<f64>) -> String {
    format!("{} to {}", plain(*range.start()), plain(*range.end()))
}

/// Seconds as minutes and seconds: "1:05".
pub fn clock(seconds: f64) -> String {
    let whole = seconds.max(0.0) as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

/// Feet of a length in m, to a millionth: whole feet in a file stay whole on their way through metres.
pub fn feet(m: f64) -> f64 {
    (m / FT * 1e6).round() / 1e6
}

/// A number as a person writes it: thousands separated, no needless digits.
pub fn plain(x: f64) -> String {
    if !x.is_finite() {
        return if x.is_nan() {
            "not a number"
        } else {
            "beyond any number"
        }
        .into();
    }
    let text = format!("{x}");
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let digits = whole.trim_start_matches('-');
    let mut grouped = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i) % 3 == 0 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    let sign = if whole.starts_with('-') { "-" } else { "" };
    format!("{sign}{grouped}{rest}")
}

/// A number with so many decimals, and no minus sign before a zero.
pub fn fixed(x: f64, decimals: usize) -> String {
    let text = format!("{x:.decimals$}");
    match text.strip_prefix('-') {
        Some(zero) if zero.bytes().all(|c| matches!(c, b'0' | b'.')) => zero.to_string(),
        _ => text,
    }
}
