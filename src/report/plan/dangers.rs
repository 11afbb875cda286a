//! A caution that has been said is repeated as a reminder, so that a danger is named at every step where it binds and still gets read.

use crate::report::text::first_sentence;
use crate::verdict::cautions::Caution;

/// The caution in so few words as still say what to do: without the reason that follows a colon, and without the signs of overheating,
/// which stand with the limit reading.
pub(in crate::report) fn reminder(caution: Caution) -> String {
    let first = first_sentence(caution.text());
    match (caution, first.split_once(':')) {
        (Caution::Overheating, Some((head, act))) => format!("{}:{act}", without_signs(head)),
        (Caution::HotCap | Caution::Fan | Caution::Exhaust | Caution::Glycol, Some((act, _))) => format!("{act}."),
        _ => first.to_owned(),
    }
}

/// Overheating in full, its signs left out.
pub(in crate::report) fn in_full(caution: Caution) -> String {
    match (caution, caution.text().split_once(':')) {
        (Caution::Overheating, Some((head, act))) => format!("{}:{act}", without_signs(head)),
        _ => caution.text().to_owned(),
    }
}

fn without_signs(head: &str) -> &str {
    head.split('(').next().unwrap_or(head).trim_end()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reminder_still_says_what_to_do() {
        assert_eq!(reminder(Caution::HotCap), "Never open cap or bleed point hot.");
        assert_eq!(reminder(Caution::Overheating), "Overheating: stop when safe, engine off, open nothing.");
        assert_eq!(reminder(Caution::Recorder), "Never handle the recorder while driving.");
        assert!(
            in_full(Caution::Overheating).starts_with("Overheating: stop when safe")
                && in_full(Caution::Overheating).contains("cold coolant")
        );
    }
}
