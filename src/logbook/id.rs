//! Ids of runs: `20261125-223015-a1b2`, the local time and four hexadecimal digits.

use super::LogbookError;
use crate::sim::math::Digest;

/// The ids that a run flown `at` (RFC 3339) may take, the preferred one first: its last digits follow from the run itself.
///
/// # Errors
/// If `at` is not a time.
pub fn candidates(at: &str, digest: &str) -> Result<impl Iterator<Item = String>, LogbookError> {
    let stem = stem(at).ok_or_else(|| LogbookError::BadTime { at: at.to_string() })?;
    let mut own = Digest::default();
    own.add_bytes(at.as_bytes());
    own.add_bytes(digest.as_bytes());
    let first = u16::from_str_radix(&own.hex()[12..], 16).unwrap_or(0);
    Ok((0..=u16::MAX).map(move |more| format!("{stem}-{:04x}", first.wrapping_add(more))))
}

/// `20261125-223015` of `2026-11-25T22:30:15+01:00`: the digits as written, so local time stays local.
fn stem(at: &str) -> Option<String> {
    const PATTERN: &[u8] = b"0000-00-00T00:00:00";
    let text = at.get(..PATTERN.len())?;
    let fits = text
        .bytes()
        .zip(PATTERN)
        .all(|(found, wanted)| match wanted {
            b'0' => found.is_ascii_digit(),
            _ => found == *wanted,
        });
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    fits.then(|| format!("{}-{}", &digits[..8], &digits[8..]))
}

/// Refuses anything that cannot be an id, so that no id leads out of the folder.
///
/// # Errors
/// If it is empty, too long, or holds anything but letters, digits and hyphens.
pub fn check(id: &str) -> Result<(), LogbookError> {
    const LONGEST: usize = 64;
    let known = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'-';
    if (1..=LONGEST).contains(&id.len()) && id.bytes().all(known) {
        Ok(())
    } else {
        Err(LogbookError::BadId { id: id.to_string() })
    }
}
