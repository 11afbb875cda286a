//! The report for a terminal: verdict first, everything that decides on the first screen.
//!
//! Lines never exceed the asked width, measured in terminal cells, so that a phone's 40 columns serve as well as 80. Colour
//! only repeats what the words already say.

use super::document::{Document, Reason};
use super::words;
use crate::verdict::decision::{Decision, Verdict};
use anstyle::{AnsiColor, Style as Ansi};
use page::Page;

mod page;
mod table;
mod wrap;

/// How the text is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// Whether escape codes for colour and weight may be written.
    pub color: bool,
    /// Columns of the terminal; fewer than [`NARROWEST`] count as that.
    pub width: usize,
}

/// Below this many columns nothing can be laid out sensibly.
pub const NARROWEST: usize = 24;

/// Lays the report out as lines that end with a line feed.
pub fn render(document: &Document, style: Style) -> String {
    let mut page = Page::new(style.color, style.width.max(NARROWEST));
    answer(&mut page, document);
    if !document.cautions.is_empty() {
        page.heading("Cautions", Ansi::new().bold().fg_color(Some(AnsiColor::Yellow.into())));
        document.cautions.iter().for_each(|caution| page.item(2, "!", caution));
    }
    if !document.reasons.is_empty() {
        page.heading("Reasons", Ansi::new().bold());
        document.reasons.iter().for_each(|one| reason(&mut page, one));
    }
    if !document.next_steps.is_empty() {
        page.heading("What to do now", Ansi::new().bold());
        for (index, step) in document.next_steps.iter().enumerate() {
            page.item(2, &format!("{}.", index + 1), step);
        }
    }
    if !document.measures.is_empty() {
        page.heading("Measured, with the interval that should hold the truth 95 times in 100", Ansi::new().bold());
        table::measures(&mut page, &document.measures);
    }
    log(&mut page, document);
    page.gap();
    page.paragraph(0, "How each number was computed, the plot and the sources: add --report FILE.html and open that page.");
    page.finish()
}

/// Verdict, headline and what belongs directly below.
fn answer(page: &mut Page, document: &Document) {
    let look = match document.verdict {
        Verdict::Pass => AnsiColor::Green,
        Verdict::Recheck => AnsiColor::Red,
        Verdict::Inconclusive => AnsiColor::Yellow,
    };
    let word = document.verdict.spoken().to_uppercase();
    page.tagged(&word, Ansi::new().bold().fg_color(Some(look.into())), &document.title);
    page.paragraph(0, &document.headline);
    for sentence in &document.summary {
        page.gap();
        page.paragraph(0, sentence);
    }
}

/// One finding: what was decided, on what grounds, what to do.
fn reason(page: &mut Page, reason: &Reason) {
    let look = match reason.decision {
        Decision::Pass => Ansi::new().fg_color(Some(AnsiColor::Green.into())),
        Decision::Recheck => Ansi::new().bold().fg_color(Some(AnsiColor::Red.into())),
        Decision::Inconclusive => Ansi::new().fg_color(Some(AnsiColor::Yellow.into())),
        Decision::NotJudged => Ansi::new().dimmed(),
    };
    page.labelled(2, reason.title, reason.decision.spoken(), look);
    page.paragraph(4, &reason.statement);
    reason.advice.iter().for_each(|advice| page.item(4, "-", advice));
}

/// What was read, and what was wrong with it.
fn log(page: &mut Page, document: &Document) {
    let run = &document.run;
    page.heading("The log", Ansi::new().bold());
    page.paragraph(2, &words::log_line(run));
    if !run.channels.is_empty() {
        page.paragraph(2, &format!("Channels: {}.", words::channels(run)));
    }
    if run.defects.is_empty() {
        page.paragraph(2, "Nothing was found wrong with it.");
    }
    run.defects.iter().for_each(|defect| page.item(2, "-", &words::defect(defect)));
}
