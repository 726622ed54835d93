//! What most likely went wrong where a file is not TOML: a few slips that the parser's own messages do not name.

/// Quotes as word processors set them.
const CURLY: [char; 5] = ['“', '”', '„', '‘', '’'];

/// The slip behind an error at an offset, and the offset of the slip itself.
pub fn slip(text: &str, at: usize) -> Option<(usize, String)> {
    curly(text).or_else(|| {
        let at = text.floor_char_boundary(at);
        let from = text[..at].rfind('\n').map_or(0, |end| end + 1);
        let line = text[from..].lines().next().unwrap_or_default();
        let mut values = line.match_indices('=').map(|(sign, _)| sign + 1);
        values.find_map(|value| {
            let (here, what) = number(&line[value..])?;
            Some((from + value + here, what))
        })
    })
}

/// The first value in curly quotes.
fn curly(text: &str) -> Option<(usize, String)> {
    let begins = |at: usize| {
        text[..at]
            .trim_end_matches([' ', '\t'])
            .ends_with(['=', '['])
    };
    let (at, _) = text.match_indices(CURLY).find(|(at, _)| begins(*at))?;
    let right = "put text in straight quotes: \"...\"";
    Some((at, format!("curly quotes; {right}")))
}

/// A number with thousands separated by commas, or with its unit after it.
fn number(value: &str) -> Option<(usize, String)> {
    let number = value.trim_start();
    let at = value.len() - number.len();
    let is_part = |c: char| c.is_ascii_digit() || "+-.,".contains(c);
    let (digits, rest) = number.split_at(number.find(|c| !is_part(c)).unwrap_or(number.len()));
    let thousands = digits.trim_end_matches(',');
    if let Some((_, groups)) = thousands.split_once(',') {
        let whole = groups.split('.').next().unwrap_or_default();
        let plain = thousands.replace(',', "");
        let is_grouped = whole.split(',').all(|group| group.len() == 3);
        let is_number = is_grouped && plain.parse::<f64>().is_ok();
        return is_number.then(|| (at, format!("write numbers without a comma: {plain}")));
    }
    let unit = rest.trim_start_matches(' ');
    let is_unit = |c: char| c.is_alphabetic() || "%/°".contains(c);
    let (unit, after) = unit.split_at(unit.find(|c| !is_unit(c)).unwrap_or(unit.len()));
    let after = after.trim_start_matches(' ');
    let ends = after.is_empty() || after.starts_with([',', '}', ']', '#', '\r']);
    let is_slip = ends && !unit.is_empty() && digits.parse::<f64>().is_ok();
    let right = format!("write numbers without a unit: {digits}; the key names the unit");
    is_slip.then_some((at, right))
}
