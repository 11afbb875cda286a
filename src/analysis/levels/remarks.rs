//! The free text beside a reading: was coolant seen outside, and was it read on another spot?
//!
//! Read with caution, because a word decides: a clause counts only if it holds a phrase from a short list and nothing that denies
//! it, asks it, or says that it is over. "No leak", "leak test passed", "dripped while filling" and "clip tightened, leak gone" count for
//! nothing.
//!
//! Limits: English only, and only what stands in the lists. What is missed here is still on the person's own list of things to look at.

/// What says that coolant is outside.
const OUTSIDE: [&str; 16] = [
    "puddle",
    "dripping",
    "drips",
    "drip from",
    "drip under",
    "weeping",
    "seeping",
    "leaking",
    "leaks",
    "coolant leak",
    "leak at",
    "leak from",
    "leak seen",
    "coolant under",
    "coolant on the ground",
    "coolant on the floor",
];

/// What takes it back: denial, doubt, another liquid, or a fault that is over.
const NOT_SO: [&str; 32] = [
    "no ",
    "not ",
    "n't",
    "none",
    "never",
    "nothing",
    "without",
    "dry",
    "test",
    "check",
    "look",
    "if ",
    "maybe",
    "?",
    "fixed",
    "repaired",
    "tightened",
    "cured",
    "replaced",
    "stopped",
    "gone",
    "was leaking",
    "before the repair",
    "oil",
    "fuel",
    "rain",
    "washer",
    "condens",
    "air con",
    "a/c",
    "filling",
    "draining",
];

/// What says that it was read elsewhere than the other readings.
const ELSEWHERE: [&str; 8] =
    ["other spot", "another spot", "different spot", "different place", "another place", "other place", "on a slope", "not level"];

/// Whether the note says that coolant was seen outside the circuit.
pub fn coolant_seen_outside(note: &str) -> bool {
    let text = note.to_lowercase();
    let says = |clause: &str, list: &[&str]| list.iter().any(|phrase| clause.contains(phrase));
    // A word that denies may stand in the next clause ("leak at the hose, tightened"), so the whole note must be free of it.
    let padded = format!("{text} ");
    says(&padded, &OUTSIDE) && !says(&padded, &NOT_SO)
}

/// Whether the note says that the vehicle stood elsewhere, or not level.
pub fn other_spot(note: &str) -> bool {
    let text = note.to_lowercase();
    ELSEWHERE.iter().any(|phrase| text.contains(phrase)) && !text.contains("not on a slope")
}

/// A temperature in °C that the note names: "drained at 60 degC", "140 degF". The first number with a unit counts.
pub fn temperature(note: &str) -> Option<f64> {
    let text = note.replace(['(', ')', ',', ';'], " ");
    let words: Vec<&str> = text.split_whitespace().collect();
    let read = |text: &str| crate::units::parse::temperature(text).ok().map(crate::units::Temperature::celsius);
    let named = |word: &str| word.chars().any(|c| c.is_ascii_digit()) && word.ends_with(['C', 'F']);
    words.iter().enumerate().find_map(|(index, word)| {
        let alone = named(word).then(|| read(word)).flatten();
        let with_next = || words.get(index + 1).filter(|next| next.ends_with(['C', 'F'])).and_then(|next| read(&format!("{word} {next}")));
        alone.or_else(with_next)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_plain_statement_counts_as_coolant_outside() {
        for note in ["puddle under the radiator", "weeping at the lower hose", "Dripping from the pump", "coolant leak at heater hose"] {
            assert!(coolant_seen_outside(note), "{note}");
        }
        for note in [
            "",
            "no leak",
            "dry underneath",
            "leak test passed",
            "looked for leaks",
            "leak at the clip, tightened",
            "no puddle",
            "puddle of rain water",
            "oil dripping",
            "isn't leaking",
            "from outside",
            "is it leaking?",
            "wet from washing",
        ] {
            assert!(!coolant_seen_outside(note), "{note}");
        }
    }

    #[test]
    fn a_temperature_is_read_only_with_its_unit() {
        assert_eq!(temperature("drained at 60 degC"), Some(60.0));
        assert_eq!(temperature("lukewarm, about 40°C"), Some(40.0));
        assert_eq!(temperature("at 140 degF"), Some(60.0));
        assert_eq!(temperature("60 minutes after"), None);
        assert_eq!(temperature("brown, no particles"), None);
    }
}
