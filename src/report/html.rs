//! The report as one page that needs nothing else: no script, no network, no font.
//!
//! The order is that of whoever reads: the answer with its weightiest reasons, the plot, the levels, what to do, then what the answer
//! rests on. Everything that comes from the log, the notes or the vehicle file is escaped; the page's own policy forbids scripts and
//! fetches besides. The plot is there twice, wide and narrow, and the style shows the one that can be read. Headings go in
//! order, tables say which cells head which, and every decision is a word and a shape before it is a colour.

use super::chart::{self, ChartError, Theme};
use super::document::{Chart, Document};
use super::words::escape;
use crate::verdict::decision::{Decision, Verdict};

pub(super) mod account;
pub(crate) mod parts;
pub(super) mod readable;

/// Colours of every page, light and dark.
pub(super) const COLOURS: &str = include_str!("colours.css");
/// The page's look; on a screen and on paper.
pub(crate) const STYLE: &str = include_str!("style.css");
/// Name in the page and heading of the plot of a drive.
pub(super) const THE_DRIVE: (&str, &str) = ("plot", "The drive");
/// The same of the plot of two drives.
const OVERLAY: (&str, &str) = ("overlay", "This drive and the earlier one");
/// Size of the plot on a wide page, in pixels.
pub(super) const WIDE: (u32, u32) = (920, 580);
/// Size of the plot on a phone, in pixels.
pub(super) const NARROW: (u32, u32) = (340, 520);

/// Writes the page.
///
/// # Errors
///
/// [`ChartError`] where the plot cannot be drawn; with the fixed sizes used here that is a fault of the program.
pub fn render(document: &Document) -> Result<String, ChartError> {
    let mut page = String::with_capacity(128 * 1024);
    page.push_str(&head(&title(document), STYLE));
    page.push_str("<body>\n<main>\n");
    page.push_str(&answer(document));
    page.push_str(&plot(THE_DRIVE, &document.chart, WIDE, NARROW)?);
    page.push_str(&differences(document, plot)?);
    page.push_str(&rest(document));
    page.push_str("</main>\n");
    page.push_str(&footer());
    page.push_str("</body>\n</html>\n");
    Ok(page)
}

/// Below every page: who wrote it, and what outranks it.
pub(crate) fn footer() -> String {
    format!(
        "<footer>\n<p>Written by {} {}. The vehicle maker's procedure outranks anything printed here.</p>\n</footer>\n",
        env!("CARGO_PKG_NAME"),
        env!("CARGO_PKG_VERSION")
    )
}

/// What a window or a tab calls the report.
pub fn title(document: &Document) -> String {
    format!("{}: {}", document.verdict.spoken(), document.title)
}

/// The look of the report's parts, for a page that holds them.
pub fn look_of_parts() -> String {
    format!("{COLOURS}{STYLE}")
}

/// The drive's plot for a page with a script that reads values off it.
///
/// # Errors
///
/// [`ChartError`] where the plot cannot be drawn.
pub fn readable_drive(document: &Document) -> Result<String, ChartError> {
    readable::plot(THE_DRIVE, &document.chart, WIDE, NARROW)
}

/// Everything between the levels and the sources, in order.
pub fn rest(document: &Document) -> String {
    [
        parts::cautions(&document.cautions),
        parts::next_steps(&document.next_steps, &document.first_advice()),
        parts::reasons(&document.first_reasons().1, &document.next_steps),
        parts::measures(&document.measures),
        parts::log(&document.run),
        parts::method(&document.method),
        parts::sources(&document.sources),
    ]
    .concat()
}

/// The level account, what moved since an earlier run, and the plot of both; empty where there is nothing of the kind.
///
/// # Errors
///
/// [`ChartError`] where the plot cannot be drawn.
pub fn accounts(document: &Document) -> Result<String, ChartError> {
    differences(document, readable::plot)
}

/// How a plot becomes a section.
pub(super) type Plotted = fn((&str, &str), &Chart, (u32, u32), (u32, u32)) -> Result<String, ChartError>;

fn differences(document: &Document, plotted: Plotted) -> Result<String, ChartError> {
    let mut html = account::table(document.level_account.as_ref()) + &account::differences(document.differences.as_ref());
    if let Some(overlay) = &document.overlay {
        html.push_str(&plotted(OVERLAY, overlay, WIDE, NARROW)?);
    }
    Ok(html)
}

/// Everything before the body: a policy that forbids scripts and fetches, the title, the look.
pub(crate) fn head(title: &str, style: &str) -> String {
    format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <title>{}</title>\n<style>\n{COLOURS}{style}</style>\n</head>\n",
        escape(title)
    )
}

/// Verdict, headline, what belongs directly below, and the weightiest reasons.
pub fn answer(document: &Document) -> String {
    let (class, shape) = look(document.verdict);
    let mut html = format!(
        "<header class=\"answer {class}\">\n<p class=\"about\">{}</p>\n<h1>{shape}<span>{}</span></h1>\n<p class=\"headline\">{}</p>\n",
        escape(&document.title),
        escape(document.verdict.spoken()),
        escape(&document.headline)
    );
    for sentence in &document.summary {
        html.push_str(&format!("<p>{}</p>\n", escape(sentence)));
    }
    let (first, _) = document.first_reasons();
    if !first.is_empty() {
        html.push_str("<h2>Why</h2>\n<ul class=\"first\">\n");
        first.iter().for_each(|reason| html.push_str(&parts::first_reason(reason)));
        html.push_str("</ul>\n");
    }
    html.push_str("</header>\n");
    html
}

/// The plot twice in one figure, wide and narrow, with its text alternative visible below; empty where there is nothing to draw.
pub(super) fn plot((id, title): (&str, &str), plot: &Chart, wide: (u32, u32), narrow: (u32, u32)) -> Result<String, ChartError> {
    if plot.panels.iter().all(|panel| panel.curves.is_empty()) {
        return Ok(String::new());
    }
    let (wide, narrow) = (chart::svg(plot, Theme::Page, wide)?, chart::svg(plot, Theme::Page, narrow)?);
    Ok(format!(
        "<section class=\"plot\">\n<h2>{title}</h2>\n<figure>\n\
         <div class=\"wide\" role=\"img\" aria-labelledby=\"{id}-text\">\n{wide}</div>\n\
         <div class=\"narrow\" role=\"img\" aria-labelledby=\"{id}-text\">\n{narrow}</div>\n\
         <figcaption id=\"{id}-text\">{}</figcaption>\n</figure>\n</section>\n",
        escape(&plot.description)
    ))
}

/// The class that colours a verdict, and its sign.
pub(crate) fn look(verdict: Verdict) -> (&'static str, &'static str) {
    match verdict {
        Verdict::Pass => ("pass", parts::TICK),
        Verdict::Recheck => ("recheck", parts::ALERT),
        Verdict::Inconclusive => ("inconclusive", parts::QUERY),
    }
}

/// The class that colours a decision.
fn class(decision: Decision) -> &'static str {
    match decision {
        Decision::Pass => "pass",
        Decision::Recheck => "recheck",
        Decision::Inconclusive => "inconclusive",
        Decision::NotJudged => "unjudged",
    }
}
