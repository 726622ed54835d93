//! `[air]` and `[deck]`: the wind, its gusts, and the deck that a path leads to.

use crate::drill::reader::{At, FileError, Table};
use crate::sim::air::{AirSpec, Shift};
use crate::sim::deck::Deck;
use crate::units::{DEG, FT, KT};

const AIR_KEYS: &[&str] = &[
    "headwind_kt",
    "roughness_ft",
    "gusts",
    "wake",
    "shift_kt",
    "shift_at_s",
    "shift_over_s",
];
const DECK_KEYS: &[&str] = &[
    "height_ft",
    "speed_kt",
    "zone_ft",
    "heave_ft",
    "heave_period_s",
    "heave_from_s",
    "pitch_deg",
];

/// The words for gusts and their wind at 20 ft, kt.
pub const GUST_WORDS: &[(&str, f64)] = &[
    ("still", 0.0),
    ("light", 4.0),
    ("lively", 8.0),
    ("rough", 15.0),
];

pub(super) fn read_deck(file: &Table) -> Result<Option<Deck>, FileError> {
    let Some(table) = file.table("deck", "[deck]", DECK_KEYS)? else {
        return Ok(None);
    };
    Ok(Some(Deck {
        height_m: table.number("height_ft", 0.0..=300.0, None)?.value * FT,
        speed_mps: table.number("speed_kt", 0.0..=40.0, Some(0.0))?.value * KT,
        zone_m: table.number("zone_ft", 50.0..=3000.0, None)?.value * FT,
        heave_m: table.number("heave_ft", 0.0..=20.0, Some(0.0))?.value * FT,
        heave_period_s: table
            .number("heave_period_s", 4.0..=30.0, Some(10.0))?
            .value,
        heave_from_s: table.number("heave_from_s", 0.0..=30.0, Some(0.0))?.value,
        pitch_rad: table.number("pitch_deg", 0.0..=5.0, Some(0.0))?.value * DEG,
    }))
}

pub(super) fn read(file: &Table, deck: Option<&Deck>) -> Result<AirSpec, FileError> {
    let Some(table) = file.table("air", "[air]", AIR_KEYS)? else {
        return Ok(AirSpec::default());
    };
    let headwind = table.number("headwind_kt", -40.0..=60.0, Some(0.0))?;
    let roughness = table.number("roughness_ft", 0.0001..=10.0, Some(0.15))?;
    let words: Vec<&'static str> = GUST_WORDS.iter().map(|(word, _)| *word).collect();
    let u20_kt = if table.is_text("gusts") {
        gust_word_kt(table.word("gusts", &words)?.value)
    } else if table.has("gusts") && !table.is_table("gusts") {
        let right = format!(
            "one of \"{}\", or a table with u20_kt, a number from 0 to 60",
            words.join("\", \"")
        );
        return Err(table.no_such("gusts", &right));
    } else {
        let gusts = table.table("gusts", "gusts", &["u20_kt"])?;
        let kt = |gusts: Table| gusts.number("u20_kt", 0.0..=60.0, None);
        gusts.map(kt).transpose()?.map(|kt| kt.value)
    };
    let u20_kt = u20_kt.unwrap_or(0.0);
    let wake = table.flag("wake", false)?;
    if wake.value && deck.is_none() {
        let message = "`wake` is the air behind a ship; give a [deck] as well, or leave it out";
        return Err(table.error(wake.at, message));
    }
    Ok(AirSpec {
        headwind_mps: headwind.value * KT,
        roughness_m: roughness.value * FT,
        u20_mps: u20_kt * KT,
        wake: deck.filter(|_| wake.value).map(Deck::wake),
        shift: read_shift(&table, wake)?,
    })
}

fn read_shift(table: &Table, wake: At<bool>) -> Result<Option<Shift>, FileError> {
    let Some(by) = table.optional_number("shift_kt", -40.0..=40.0)? else {
        for key in ["shift_at_s", "shift_over_s"] {
            if let Some(alone) = table.optional_number(key, 0.0..=3600.0)? {
                let message =
                    format!("`{key}` without `shift_kt`; say by how much the wind changes");
                return Err(table.error(alone.at, message));
            }
        }
        return Ok(None);
    };
    if wake.value {
        let message = "`shift_kt` with `wake`; the air behind a ship needs a steady wind, so leave one of them out";
        return Err(table.error(by.at, message));
    }
    let at = table.number("shift_at_s", 0.0..=3600.0, None)?;
    let over = table.number("shift_over_s", 1.0..=600.0, Some(10.0))?;
    Ok(Some(Shift {
        by_mps: by.value * KT,
        at_s: at.value,
        over_s: over.value,
    }))
}

/// The wind at 20 ft that a word for gusts stands for, kt.
pub fn gust_word_kt(word: &str) -> Option<f64> {
    GUST_WORDS
        .iter()
        .find(|(known, _)| *known == word)
        .map(|(_, kt)| *kt)
}

/// The wind at 20 ft that an `--air` value stands for, m/s: a word for gusts, or knots within 0..60.
pub fn air_word_mps(air: &str) -> Option<f64> {
    let kt = gust_word_kt(air).or_else(|| air.parse().ok())?;
    (0.0..=60.0).contains(&kt).then_some(kt * KT)
}
