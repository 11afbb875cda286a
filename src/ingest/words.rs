//! The words of headings: trade words in five languages, folded into the notions that tell channels apart.
//!
//! A heading is cut into words at punctuation, at a change from small to capital letters and between letters and digits. A
//! word counts if it is known, if it is a run of known words ("Kühlmitteltemperatur"), or if it is one slip away from a known
//! word of five letters or more (two slips from nine letters).

use std::collections::HashMap;
use std::sync::LazyLock;

mod vocabulary;

pub use vocabulary::*;

/// Known words of five letters or more, by the alphabet, with the letters that are in them: what a misspelt word is compared with.
static LONG: LazyLock<Vec<(&'static str, u32, Notions)>> = LazyLock::new(|| {
    let mut long: Vec<_> =
        KNOWN.iter().filter(|(word, _)| word.len() >= 5).map(|(word, notions)| (*word, letters(word), *notions)).collect();
    long.sort_unstable();
    long
});

/// Which letters are in a word, a bit each; all that are none share one.
fn letters(word: &str) -> u32 {
    word.bytes().fold(0, |set, byte| set | 1 << if byte.is_ascii_lowercase() { byte - b'a' } else { 26 })
}

/// Every known word with its notions, taken from the vocabulary once.
static KNOWN: LazyLock<HashMap<&'static str, Notions>> =
    LazyLock::new(|| WORDS.iter().flat_map(|(notions, words)| words.split_ascii_whitespace().map(|word| (word, *notions))).collect());

/// A heading taken apart.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// All notions found.
    pub notions: Notions,
    /// Words that mean nothing here.
    pub unknown: u32,
    /// Words that were known only after forgiving a slip.
    pub slips: u32,
    /// The number at the end ("sensor 2" → 2), if there is one below 10.
    pub number: Option<u32>,
}

/// Takes a heading apart; units should be gone from it.
pub fn read(heading: &str) -> Reading {
    let mut reading = Reading::default();
    let words = split(heading);
    for (index, word) in words.iter().enumerate() {
        if let Ok(number) = word.parse::<u32>() {
            if number < 10 {
                reading.number = Some(number);
            }
            continue;
        }
        if word == "b" && index + 1 == words.len() {
            reading.number = Some(2);
            continue;
        }
        if let Some((notions, slips)) = meaning(word, reading.notions) {
            reading.notions |= notions;
            reading.slips += slips;
        } else if !EMPTY.split_ascii_whitespace().any(|empty| empty == word) {
            reading.unknown += 1;
        }
    }
    reading
}

/// Words of a heading in small letters without accents; digits stand alone.
pub fn split(heading: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut word = String::new();
    let mut before = ' ';
    for c in heading.chars().take(200) {
        let breaks = !c.is_alphanumeric() || c.is_numeric() != before.is_numeric() || (c.is_uppercase() && before.is_lowercase());
        if breaks && !word.is_empty() {
            words.push(std::mem::take(&mut word));
        }
        if c.is_alphanumeric() {
            for small in c.to_lowercase() {
                fold(small, &mut word);
            }
        }
        before = c;
    }
    if !word.is_empty() {
        words.push(word);
    }
    words
}

/// Appends a letter without its accent.
fn fold(c: char, into: &mut String) {
    if c == 'ß' {
        into.push('s');
    }
    into.push(match c {
        'ä' | 'á' | 'à' | 'â' | 'ã' | 'å' => 'a',
        'é' | 'è' | 'ê' | 'ë' => 'e',
        'í' | 'ì' | 'î' | 'ï' => 'i',
        'ö' | 'ó' | 'ò' | 'ô' | 'õ' => 'o',
        'ü' | 'ú' | 'ù' | 'û' => 'u',
        'ñ' => 'n',
        'ç' => 'c',
        'ß' => 's',
        other => other,
    });
}

/// What a word means, and how many slips were forgiven. `so_far` are the notions of the words before it.
fn meaning(word: &str, so_far: Notions) -> Option<(Notions, u32)> {
    if let Some(notions) = exact(word) {
        return Some((notions, 0));
    }
    if let Some(notions) = compound(word, 0) {
        return Some((notions, 0));
    }
    // "run time" is the one pair of short words worth a slip: a misspelt "time" after "run" can be nothing else.
    if so_far & RUN != 0 && word.len() == 4 && distance_at_most("time", word, 1) {
        return Some((TIME, 1));
    }
    let allowed = match word.len() {
        0..5 => return None,
        5..9 => 1,
        _ => 2,
    };
    let set = letters(word);
    (1..=allowed).find_map(|slips| {
        // A slip changes two letters of the set at most: most words are told apart by that alone. Of several words equally near the
        // first by alphabet counts, so that the answer never depends on chance.
        let near = |(known, letters, _): &&(&str, u32, Notions)| {
            (letters ^ set).count_ones() as usize <= 2 * slips && distance_at_most(known, word, slips)
        };
        LONG.iter().find(near).map(|(_, _, notions)| (*notions, 1))
    })
}

fn exact(word: &str) -> Option<Notions> {
    KNOWN.get(word).copied()
}

/// A word made of known words of three letters or more.
fn compound(word: &str, depth: u32) -> Option<Notions> {
    if depth > 4 || word.len() < 3 || !word.is_ascii() {
        return None;
    }
    if depth > 0
        && let Some(notions) = exact(word)
    {
        return Some(notions);
    }
    let shortest = if word.starts_with("ol") { 2 } else { 3 };
    (shortest..word.len().saturating_sub(2)).rev().find_map(|length| {
        let (head, rest) = word.split_at_checked(length)?;
        Some(exact(head)? | compound(rest, depth + 1)?)
    })
}

/// Whether `left` becomes `right` by at most `most` insertions, deletions, replacements or swaps of neighbours.
fn distance_at_most(left: &str, right: &str, most: usize) -> bool {
    let (left, right) = (left.as_bytes(), right.as_bytes());
    if left.len().abs_diff(right.len()) > most {
        return false;
    }
    // Rows of the table of distances: of the beginning of `left` before last, the last, and now, each to every beginning of `right`.
    let mut two_before: Vec<usize> = Vec::new();
    let mut before: Vec<usize> = (0..=right.len()).collect();
    let mut last = None;
    for (i, a) in left.iter().enumerate() {
        let mut now = vec![i + 1];
        let mut best = i + 1;
        for ((j, b), steps) in right.iter().enumerate().zip(before.windows(2)) {
            let &[replaced, deleted] = steps else { continue };
            best = (replaced + usize::from(a != b)).min(deleted + 1).min(best + 1);
            let swapped = j.checked_sub(1).is_some_and(|other| right.get(other) == Some(a) && last == Some(b));
            if let Some(apart) = j.checked_sub(1).and_then(|other| two_before.get(other)).filter(|_| swapped) {
                best = best.min(apart + 1);
            }
            now.push(best);
        }
        last = Some(a);
        two_before = std::mem::replace(&mut before, now);
    }
    before.last().is_some_and(|&distance| distance <= most)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_in_any_dress() {
        for (heading, notions) in [
            ("COOLANT_TEMPERATURE", COOLANT | TEMPERATURE),
            ("coolantTemp", COOLANT | TEMPERATURE),
            ("Kühlmitteltemperatur", COOLANT | TEMPERATURE),
            ("Coolent Temprature", COOLANT | TEMPERATURE),
            ("Öltemperatur", OIL | TEMPERATURE),
            ("Motordrehzahl", ENGINE | ROTATION),
            ("Température liquide de refroidissement", TEMPERATURE | COOLANT),
            ("ENGINE_RUN_TINE", ENGINE | RUN | TIME),
        ] {
            assert_eq!(read(heading).notions, notions, "{heading}");
        }
        assert_eq!(read("ECT2").number, Some(2));
        assert_eq!(read("IAT bank 1").number, Some(1));
    }
}
