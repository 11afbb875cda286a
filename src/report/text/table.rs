//! The table of measured numbers: columns where they fit, two lines a number where they do not. Of two numbers that say nearly the
//! same it holds the one that people ask for.

use super::page::Page;
use super::wrap::{width, wrap};
use crate::report::document::Measure;
use crate::report::words;

/// Space between two columns.
const GUTTER: usize = 2;
/// A label column narrower than this is no longer a table that anyone wants to read.
const NARROWEST_LABEL: usize = 22;

/// Numbers that are left to the page, each with the one that says it here.
const SAID_BY: [(&str, &str, &str); 4] = [
    ("opening", "knee_temperature", "temperature"),
    ("opening", "knee_time", "time"),
    ("boiling_margin", "", "at_cap"),
    ("cooling_down", "time_constant", "cold_at_s"),
];

/// Whether a number belongs here: it has no near duplicate that does.
fn belongs(measure: &Measure, all: &[Measure]) -> bool {
    let mut better = SAID_BY.iter().filter(|(finding, member, _)| measure.finding == *finding && measure.member == *member);
    !better.any(|(finding, _, other)| all.iter().any(|one| one.finding == *finding && one.member == *other))
}

/// Writes the measures, in their order.
pub(super) fn measures(page: &mut Page, all: &[Measure]) {
    let measures: Vec<&Measure> = all.iter().filter(|measure| belongs(measure, all)).collect();
    let cells: Vec<(String, String)> = measures.iter().map(|m| (words::value(&m.estimate), words::interval(&m.estimate))).collect();
    let value = cells.iter().map(|(value, _)| width(value)).max().unwrap_or(0);
    let interval = cells.iter().map(|(_, interval)| width(interval)).max().unwrap_or(0);
    let label = page.width().saturating_sub(2 + GUTTER + value + GUTTER + interval);
    let longest = measures.iter().map(|m| width(&m.label)).max().unwrap_or(0);
    for (measure, (number, range)) in measures.iter().zip(&cells) {
        let name = words::plain(&measure.label);
        if label < NARROWEST_LABEL {
            page.paragraph(2, &name);
            page.paragraph(4, &format!("{number} ({range})"));
            continue;
        }
        let column = label.min(longest);
        for (index, line) in wrap(&name, column).iter().enumerate() {
            let pad = " ".repeat(column.saturating_sub(width(line)));
            let (number, range) = if index == 0 { (number.as_str(), range.as_str()) } else { ("", "") };
            let before = " ".repeat(value.saturating_sub(width(number)) + GUTTER);
            page.line(&format!("  {line}{pad}{before}{number}{:GUTTER$}{range}", ""));
        }
    }
}
