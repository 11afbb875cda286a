//! The table for a terminal: a block a log, worst first; a pass takes a line.
//!
//! The word of the answer stands before everything, so that nothing depends on colour, and every line keeps to the asked width, so that 40
//! columns serve as well as 80. Numbers are in the other forms.

use super::row::{Answer, Row};
use super::{Table, cautions};
use crate::report::text::page::Page;
use crate::report::text::{NARROWEST, Style, first_sentence};
use crate::verdict::decision::Verdict;
use anstyle::{AnsiColor, Style as Ansi};

/// Lays the table out as lines that end with a line feed.
pub fn render(table: &Table, style: Style) -> String {
    let mut page = Page::new(style.color, style.width.max(NARROWEST));
    let passed = |row: &&Row| row.found().is_some_and(|found| found.verdict == Verdict::Pass);
    page.paragraph(0, &table.counts().spoken());
    for row in table.rows.iter().filter(|row| !passed(row) && row.found().is_some()) {
        page.gap();
        block(&mut page, row);
    }
    page.gap();
    table.rows.iter().filter(passed).for_each(|row| block(&mut page, row));
    for row in table.rows.iter().filter(|row| row.found().is_none()) {
        page.gap();
        block(&mut page, row);
    }
    take_care(&mut page, &steps(table));
    page.finish()
}

/// Steps that the table names; the way out of a log that was not read is none.
pub(super) fn steps(table: &Table) -> Vec<&str> {
    table.rows.iter().filter(|row| row.found().is_some()).map(Row::next_step).filter(|step| !step.is_empty()).collect()
}

/// The cautions that go with these steps; nothing where no step is given.
pub(super) fn take_care(page: &mut Page, steps: &[&str]) {
    if !steps.is_empty() {
        page.heading("Take care", Ansi::new().bold());
        cautions(steps).iter().for_each(|caution| page.item(2, "!", first_sentence(caution)));
    }
}

/// One log.
fn block(page: &mut Page, row: &Row) {
    page.tagged(&row.word().to_uppercase(), look(row), &called(row));
    match &row.answer {
        Answer::NotRead(not_read) => page.paragraph(2, &sentence(&not_read.why)),
        Answer::Checked(found) if found.verdict != Verdict::Pass => {
            let title = found.main.title();
            match (title, found.main.reason.as_str()) {
                ("", "") => page.paragraph(2, &found.headline),
                (title, reason) => page.paragraph(2, &format!("{title}: {reason}")),
            }
        }
        Answer::Checked(_) => {}
    }
    let passed = row.found().is_some_and(|found| found.verdict == Verdict::Pass);
    if !passed && !row.next_step().is_empty() {
        page.item(2, "Next:", row.next_step());
    }
    if !row.remark.is_empty() {
        page.item(2, "Note:", &sentence(&row.remark));
    }
}

/// The vehicle and the log.
pub(super) fn called(row: &Row) -> String {
    match row.found().and_then(|found| found.vehicle.as_deref()) {
        Some(vehicle) => format!("{vehicle}, {}", row.log),
        None => row.log.clone(),
    }
}

/// A text with a full stop.
pub(super) fn sentence(text: &str) -> String {
    if text.ends_with(['.', '!', '?']) || text.is_empty() { text.to_owned() } else { format!("{text}.") }
}

/// The look of a row's word.
pub(super) fn look(row: &Row) -> Ansi {
    let colour = match row.found().map(|found| found.verdict) {
        Some(Verdict::Recheck) => AnsiColor::Red,
        Some(Verdict::Inconclusive) => AnsiColor::Yellow,
        Some(Verdict::Pass) => AnsiColor::Green,
        None => return Ansi::new().bold(),
    };
    Ansi::new().bold().fg_color(Some(colour.into()))
}
