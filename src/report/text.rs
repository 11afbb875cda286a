//! The report for a terminal: verdict and the weightiest reasons first, then the levels, then what to do, then the rest.
//!
//! The text is the short form. Of a caution it holds the first sentence, of the level account what was reckoned and not what was
//! noted, of the defects those that can matter to a reader, of the numbers one of each kind; the page holds all of them.
//!
//! Lines never exceed the asked width, measured in terminal cells, so that a phone's 40 columns serve as well as 80. Colour
//! only repeats what the words already say.

use super::document::{AccountPart, Document, Reason};
use super::words;
use crate::run::DefectKind;
use crate::verdict::decision::{Decision, Verdict};
use anstyle::{AnsiColor, Style as Ansi};
use page::Page;

pub(crate) mod page;
pub(super) mod table;
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
    let bold = Ansi::new().bold();
    let (first, others) = document.first_reasons();
    answer(&mut page, document);
    if !first.is_empty() {
        page.heading("Why", bold);
        first.iter().for_each(|one| statement(&mut page, one));
    }
    let accounted = levels(&mut page, document);
    differences(&mut page, document);
    steps(&mut page, document);
    if !others.is_empty() {
        page.heading("What else was looked at", bold);
        others.iter().for_each(|one| reason(&mut page, one, &document.next_steps));
    }
    if !document.measures.is_empty() {
        page.heading("Measured, with the interval that should hold the truth 95 times in 100", bold);
        table::measures(&mut page, &document.measures, accounted);
    }
    log(&mut page, document);
    page.gap();
    page.paragraph(0, "For the plot, the cautions in full and how each number was computed, add --report FILE.html and open that page.");
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

/// The sums of the level account, side by side with their intervals; whether there are any.
fn levels(page: &mut Page, document: &Document) -> bool {
    let parts = document.level_account.iter().flat_map(|account| &account.parts);
    let reckoned: Vec<&AccountPart> = parts.filter(|part| !part.noted).collect();
    if !reckoned.is_empty() {
        page.heading("Level account", Ansi::new().bold());
        table::account(page, &reckoned);
    }
    !reckoned.is_empty()
}

/// What moved since an earlier run.
fn differences(page: &mut Page, document: &Document) {
    let Some(differences) = &document.differences else { return };
    page.heading("Against the earlier run", Ansi::new().bold());
    differences.in_brief.iter().for_each(|sentence| page.paragraph(2, sentence));
    table::account(page, &differences.parts.iter().collect::<Vec<_>>());
    differences.remarks.iter().for_each(|remark| page.paragraph(2, remark));
}

/// What to do now, behind the cautions that bind it.
fn steps(page: &mut Page, document: &Document) {
    let advised = !document.next_steps.is_empty() || !document.first_advice().is_empty();
    if !advised && document.cautions.is_empty() {
        return;
    }
    page.heading(if advised { "What to do now" } else { "Take care" }, Ansi::new().bold());
    document.cautions.iter().for_each(|caution| page.item(2, "!", first_sentence(caution)));
    for (index, step) in document.next_steps.iter().enumerate() {
        page.item(2, &format!("{}.", index + 1), step);
    }
    document.first_advice().iter().for_each(|advice| page.item(2, "-", advice));
}

/// The text up to and with its first full stop.
pub(crate) fn first_sentence(text: &str) -> &str {
    text.find(". ").and_then(|end| text.get(..=end)).unwrap_or(text)
}

/// One finding: what was decided, and on what grounds.
fn statement(page: &mut Page, reason: &Reason) {
    let look = match reason.decision {
        Decision::Pass => Ansi::new().fg_color(Some(AnsiColor::Green.into())),
        Decision::Recheck => Ansi::new().bold().fg_color(Some(AnsiColor::Red.into())),
        Decision::Inconclusive => Ansi::new().fg_color(Some(AnsiColor::Yellow.into())),
        Decision::NotJudged => Ansi::new().dimmed(),
    };
    page.labelled(2, reason.title, reason.decision.spoken(), look);
    page.paragraph(4, &reason.statement);
}

/// One finding with what to do about it, unless that stands among the steps.
fn reason(page: &mut Page, reason: &Reason, steps: &[String]) {
    statement(page, reason);
    reason.advice.iter().filter(|advice| !steps.contains(advice)).for_each(|advice| page.item(4, "-", advice));
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
    if let Some(units) = words::units_taken(&run.defects) {
        page.paragraph(2, &units);
    }
    run.defects.iter().filter(|defect| matters(defect.kind)).for_each(|defect| page.item(2, "-", &words::defect(defect)));
}

/// Whether a defect can move what a person reads from the log. How loggers work every day does not, and units have their own line.
fn matters(kind: DefectKind) -> bool {
    !matches!(kind, DefectKind::BeforeStart | DefectKind::StaleRepeat | DefectKind::CoarseClock | DefectKind::UnitInferred)
}
