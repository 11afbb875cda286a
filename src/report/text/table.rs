//! The tables of numbers: columns where they fit, two lines a number where they do not. Of two numbers that say nearly the
//! same it holds the one that people ask for.

use super::page::Page;
use super::wrap::{width, wrap};
use crate::report::document::{AccountPart, Measure, Words};
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

/// Findings whose numbers the level account holds.
const LEVELS: [&str; 2] = ["level_expansion", "level_loss"];

/// Whether a number belongs here: it has no near duplicate that does.
fn belongs(measure: &Measure, all: &[Measure]) -> bool {
    let mut better = SAID_BY.iter().filter(|(finding, member, _)| measure.finding == *finding && measure.member == *member);
    !better.any(|(finding, _, other)| all.iter().any(|one| one.finding == *finding && one.member == *other))
}

/// Writes the measures, in their order; those of the levels only where no account has said them.
pub(super) fn measures(page: &mut Page, all: &[Measure], accounted: bool) {
    let said = |measure: &Measure| accounted && LEVELS.contains(&measure.finding);
    let shown = all.iter().filter(|measure| belongs(measure, all) && !said(measure));
    let rows: Vec<Row> = shown.map(|m| Row { label: &m.label, words: &m.words }).collect();
    let columns = Columns::of(page, 2, rows.iter());
    rows.iter().for_each(|row| write(page, &columns, row));
}

/// Writes the parts of the level account, each under its title; all share their columns.
pub(in crate::report) fn account(page: &mut Page, parts: &[&AccountPart]) {
    let all: Vec<Row> = parts.iter().flat_map(|part| rows(part)).collect();
    let columns = Columns::of(page, 4, all.iter());
    for part in parts {
        page.paragraph(2, &part.title);
        rows(part).iter().for_each(|row| write(page, &columns, row));
    }
}

fn rows(part: &AccountPart) -> Vec<Row<'_>> {
    part.rows.iter().map(|row| Row { label: &row.label, words: &row.words }).collect()
}

/// A name with its number.
struct Row<'a> {
    label: &'a str,
    words: &'a Words,
}

/// Widths of the columns that need one; `label` is `None` where there is no room for a table.
struct Columns {
    indent: usize,
    label: Option<usize>,
    value: usize,
}

impl Columns {
    fn of<'a>(page: &Page, indent: usize, rows: impl Iterator<Item = &'a Row<'a>> + Clone) -> Self {
        let widest = |cell: fn(&Row) -> usize| rows.clone().map(cell).max().unwrap_or(0);
        let (value, interval) = (widest(|row| width(&row.words.value)), widest(|row| width(&row.words.interval)));
        let left = page.width().saturating_sub(indent + GUTTER + value + GUTTER + interval);
        let label = (left >= NARROWEST_LABEL).then(|| left.min(widest(|row| width(&words::plain(row.label)))));
        Self { indent, label, value }
    }
}

fn write(page: &mut Page, columns: &Columns, row: &Row) {
    let indent = columns.indent;
    let name = words::plain(row.label);
    let Some(label) = columns.label else {
        let interval = if row.words.interval.is_empty() { String::new() } else { format!(" ({})", row.words.interval) };
        page.paragraph(indent, &name);
        page.paragraph(indent + 2, &format!("{}{interval}", row.words.value));
        return;
    };
    for (index, line) in wrap(&name, label).iter().enumerate() {
        let pad = " ".repeat(label.saturating_sub(width(line)));
        let (number, range) = if index == 0 { (row.words.value.as_str(), row.words.interval.as_str()) } else { ("", "") };
        let before = " ".repeat(columns.value.saturating_sub(width(number)) + GUTTER);
        page.line(&format!("{:indent$}{line}{pad}{before}{number}{:GUTTER$}{range}", "", ""));
    }
}
