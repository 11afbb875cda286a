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
    page.push_str(&head(&format!("{}: {}", document.verdict.spoken(), document.title), STYLE));
    page.push_str("<body>\n<main>\n");
    page.push_str(&answer(document));
    page.push_str(&plot(THE_DRIVE, &document.chart, WIDE, NARROW)?);
    page.push_str(&account::table(document.level_account.as_ref()));
    page.push_str(&account::differences(document.differences.as_ref()));
    if let Some(overlay) = &document.overlay {
        page.push_str(&plot(OVERLAY, overlay, WIDE, NARROW)?);
    }
    page.push_str(&parts::cautions(&document.cautions));
    page.push_str(&parts::next_steps(&document.next_steps, &document.first_advice()));
    page.push_str(&parts::reasons(&document.first_reasons().1, &document.next_steps));
    page.push_str(&parts::measures(&document.measures));
    page.push_str(&parts::log(&document.run));
    page.push_str(&parts::method(&document.method));
    page.push_str(&parts::sources(&document.sources));
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
fn answer(document: &Document) -> String {
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
