//! A lever script: `t_s,lever` rows, each in effect from the nearest tick on.

use super::{Hand, Sight};
use crate::drill::reader::{FileError, Source, as_share, printable};
use crate::run::thousandths;
use crate::units::TICKS_PER_S;

/// A lever that follows a list of settings.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Script {
    /// (tick, thousandths), ascending.
    rows: Vec<(u64, u16)>,
    next: usize,
}

impl Script {
    /// A script from moves in the form of a recording: ticks ascending, thousandths of travel.
    pub fn new(rows: Vec<(u64, u16)>) -> Script {
        Script { rows, next: 0 }
    }

    /// Reads CSV with the header `t_s,lever`; blank lines are skipped and there may be no rows.
    ///
    /// # Errors
    /// The first line that is wrong, with what would be right.
    pub fn parse(source: Source) -> Result<Script, FileError> {
        let mut at = 0;
        let mut rows = Vec::new();
        let (mut header_seen, mut last_s) = (false, f64::NEG_INFINITY);
        for line in source.text.split_inclusive('\n') {
            let content = line.trim();
            if content.is_empty() {
            } else if !header_seen {
                if content.trim_start_matches('\u{feff}') != "t_s,lever" {
                    let shown = printable(content);
                    return Err(source.error(
                        at,
                        format!("the first line is `{shown}`; it must be the header `t_s,lever`"),
                    ));
                }
                header_seen = true;
            } else {
                let (t_s, lever) = row(content).map_err(|what| source.error(at, what))?;
                if t_s < last_s {
                    return Err(source.error(
                        at,
                        format!("`t_s` is {t_s} after {last_s}; times must ascend"),
                    ));
                }
                last_s = t_s;
                rows.push((
                    (t_s * TICKS_PER_S as f64).round() as u64,
                    thousandths(lever),
                ));
            }
            at += line.len();
        }
        if !header_seen {
            return Err(source.error(0, "there is no header; the first line must be `t_s,lever`"));
        }
        Ok(Script::new(rows))
    }
}

fn row(line: &str) -> Result<(f64, f64), String> {
    let cells: Vec<&str> = line.split(',').map(str::trim).collect();
    let [t_s, lever] = cells[..] else {
        return Err(format!("{} cells in a row; give `t_s,lever`", cells.len()));
    };
    let number = |name: &str, text: &str, highest: f64| match text.parse::<f64>() {
        Ok(x) if (0.0..=highest).contains(&x) => Ok(x),
        read => Err(format!(
            "`{name}` is `{}`; it takes a number from 0 to {highest}{}",
            printable(text),
            as_share(name, read.unwrap_or(f64::NAN), &(0.0..=highest))
        )),
    };
    Ok((number("t_s", t_s, 1e6)?, number("lever", lever, 1.0)?))
}

impl Hand for Script {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        let mut found = None;
        while let Some((_, lever)) = self.rows.get(self.next).filter(|row| row.0 <= sight.tick) {
            found = Some(*lever);
            self.next += 1;
        }
        found
    }
}
