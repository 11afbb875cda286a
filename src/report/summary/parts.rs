//! The sheet's sections, each empty where there is nothing for it.

use super::Facts;
use crate::report::document::{Account, Reason};
use crate::report::html::parts::{decision, list};
use crate::report::text::first_sentence;
use crate::report::words::{escape, plain};
use crate::verdict::cautions::Caution;

/// Most letters of a reason where its sentences allow; about two lines of the sheet (own choice).
const REASON_LETTERS: usize = 210;

/// Most steps; a sheet that holds more is read by nobody (own choice).
const STEPS: usize = 5;

/// Vehicle, date, odometer, coolant, volumes, next due.
pub(super) fn facts(facts: &Facts) -> String {
    let all = [
        ("Vehicle", &facts.vehicle),
        ("Date", &facts.date),
        ("Odometer", &facts.odometer),
        ("Coolant", &facts.coolant),
        ("Volumes", &facts.volumes),
        ("Next due", &facts.next_due),
    ];
    let known: String = all
        .iter()
        .filter_map(|(name, fact)| Some((name, fact.as_ref()?)))
        .map(|(name, fact)| format!("<div><dt>{name}</dt><dd>{}</dd></div>\n", escape(&shortened(fact, 90))))
        .collect();
    if known.is_empty() { String::new() } else { format!("<dl class=\"facts\">\n{known}</dl>\n") }
}

/// The weightiest reasons, each in short.
pub(super) fn reasons(reasons: &[&Reason]) -> String {
    if reasons.is_empty() {
        return String::new();
    }
    let items: String = reasons
        .iter()
        .map(|reason| {
            let said = in_short(&reason.statement, REASON_LETTERS);
            format!("<li>{} <strong>{}.</strong> {}</li>\n", decision(reason.decision), escape(reason.title), escape(&said))
        })
        .collect();
    format!("<section>\n<h2>Why</h2>\n<ul class=\"first\">\n{items}</ul>\n</section>\n")
}

/// The levels in two lines.
pub(super) fn levels(account: Option<&Account>) -> String {
    let said: String =
        account.iter().flat_map(|account| &account.in_brief).map(|sentence| format!("<p>{}</p>\n", escape(sentence))).collect();
    if said.is_empty() { String::new() } else { format!("<section>\n<h2>Coolant level</h2>\n{said}</section>\n") }
}

/// What to do, the first steps.
pub(super) fn steps(steps: &[String]) -> String {
    let shown = list("ol", &steps.iter().take(STEPS).cloned().collect::<Vec<_>>());
    let (listed, rest) = match steps.len() {
        0 => ("<p>Nothing further is asked for now.</p>\n".to_owned(), String::new()),
        count if count > STEPS => (shown, format!("<p>And {} more, in the full report.</p>\n", count - STEPS)),
        _ => (shown, String::new()),
    };
    format!("<section class=\"steps\">\n<h2>What to do next</h2>\n{listed}{rest}</section>\n")
}

/// The first sentence of each caution, behind the one that says when to stop driving.
pub(super) fn cautions(cautions: &[String]) -> String {
    let stop = Caution::Overheating.text();
    let others = cautions.iter().map(String::as_str).filter(|caution| *caution != stop && *caution != Caution::Maker.text());
    let said: Vec<String> = std::iter::once(stop).chain(others).map(|caution| first_sentence(caution).to_owned()).collect();
    format!("<section class=\"cautions\">\n<h2>Take care</h2>\n{}</section>\n", list("ul", &said))
}

/// Who to ask, and what outranks the sheet.
pub(super) fn questions(facts: &Facts) -> String {
    let ask = match &facts.ask {
        Some(ask) => format!("Ask {}.", escape(shortened(ask, 160).trim_end_matches('.'))),
        None => "Ask whoever did the work.".to_owned(),
    };
    format!("<section class=\"questions\">\n<h2>Questions</h2>\n<p>{ask} {}</p>\n</section>\n", escape(Caution::Maker.text()))
}

/// The first and the last sentence, which hold what was measured and what it comes to, and of those between as many as stay within
/// these letters.
fn in_short(text: &str, most: usize) -> String {
    let sentences: Vec<&str> = text.split_inclusive(". ").map(str::trim_end).collect();
    let (Some(first), Some(last)) = (sentences.first(), sentences.last()) else { return String::new() };
    if sentences.len() == 1 {
        return shortened(first, 2 * most);
    }
    let letters = |text: &str| text.chars().count() + 1;
    let mut left = most.saturating_sub(letters(first) + letters(last));
    let mut said = vec![*first];
    for sentence in sentences.get(1..sentences.len() - 1).unwrap_or_default() {
        let Some(rest) = left.checked_sub(letters(sentence)) else { break };
        said.push(sentence);
        left = rest;
    }
    said.push(last);
    shortened(&said.join(" "), 2 * most)
}

/// The text, cut with an ellipsis where it is longer than these letters.
pub(super) fn shortened(text: &str, most: usize) -> String {
    let text = plain(text);
    if text.chars().count() <= most { text } else { text.chars().take(most.saturating_sub(1)).chain(['…']).collect() }
}

#[cfg(test)]
mod tests {
    use super::in_short;

    #[test]
    fn a_reason_in_short_keeps_what_was_measured_and_what_it_comes_to() {
        let text = "It took 590 mL (529 to 652). Cycle by cycle: 194 mL, 180 mL, 216 mL. Of that a steady loss of 190 mL. That is a leak.";
        assert_eq!(in_short(text, 60), "It took 590 mL (529 to 652). That is a leak.");
        assert_eq!(in_short(text, 90), "It took 590 mL (529 to 652). Cycle by cycle: 194 mL, 180 mL, 216 mL. That is a leak.");
        assert_eq!(in_short(text, 500), text);
        assert_eq!(in_short("", 60), "");
        assert_eq!(in_short("It holds.", 60), "It holds.");
    }
}
