//! Suggestions for a word that is not known.

/// "; the nearest is `x`", or nothing where no known word is near: at most half of its letters may have to change.
pub fn hint(typed: &str, known: &[&str]) -> String {
    let nearest = known
        .iter()
        .map(|candidate| (distance(candidate, typed), candidate))
        .filter(|(letters, candidate)| 2 * letters <= candidate.chars().count())
        .min();
    nearest.map_or(String::new(), |(_, name)| {
        format!("; the nearest is `{name}`")
    })
}

/// How many letters have to be inserted, deleted or replaced to turn one text into the other.
pub fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, to) in b.iter().enumerate() {
            let exchanged = diagonal + usize::from(from != *to);
            diagonal = row[j + 1];
            row[j + 1] = exchanged.min(row[j] + 1).min(row[j + 1] + 1);
        }
    }
    row[b.len()]
}
