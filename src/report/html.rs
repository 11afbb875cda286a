//! The report as one page that needs nothing else: no script, no network, no font.
//!
//! Everything that comes from the log, the notes or the vehicle file is escaped; the page's own policy forbids scripts and
//! fetches besides. The plot is there twice, wide and narrow, and the style shows the one that can be read. Headings go in
//! order, tables say which cells head which, and every decision is a word and a shape before it is a colour.

use super::chart::{self, ChartError, Theme};
use super::document::Document;
use super::words::escape;
use crate::verdict::decision::{Decision, Verdict};

mod parts;

/// The page's look; light, dark and on paper.
const STYLE: &str = include_str!("style.css");
/// Size of the plot on a wide page, in pixels.
const WIDE: (u32, u32) = (920, 580);
/// Size of the plot on a phone, in pixels.
const NARROW: (u32, u32) = (340, 520);
/// How many of the reasons that speak against a pass stand directly below the headline.
const FIRST_REASONS: usize = 3;

/// Writes the page.
///
/// # Errors
///
/// [`ChartError`] where the plot cannot be drawn; with the fixed sizes used here that is a fault of the program.
pub fn render(document: &Document) -> Result<String, ChartError> {
    let mut page = String::with_capacity(128 * 1024);
    page.push_str("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    page.push_str("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n");
    page.push_str("<meta name=\"color-scheme\" content=\"light dark\">\n");
    page.push_str("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n");
    page.push_str(&format!("<title>{}: {}</title>\n", escape(document.verdict.spoken()), escape(&document.title)));
    page.push_str(&format!("<style>\n{STYLE}</style>\n</head>\n<body>\n<main>\n"));
    page.push_str(&answer(document));
    page.push_str(&parts::cautions(&document.cautions));
    page.push_str(&parts::next_steps(&document.next_steps));
    page.push_str(&plot(document)?);
    page.push_str(&parts::reasons(&document.reasons, &document.next_steps));
    page.push_str(&parts::measures(&document.measures));
    page.push_str(&parts::log(&document.run));
    page.push_str(&parts::method(&document.method));
    page.push_str(&parts::sources(&document.sources));
    page.push_str(&format!(
        "</main>\n<footer>\n<p>Written by {} {}. The vehicle maker's procedure outranks anything printed here.</p>\n</footer>\n</body>\n</html>\n",
        env!("CARGO_PKG_NAME"),
        env!("CARGO_PKG_VERSION")
    ));
    Ok(page)
}

/// Verdict, headline, what belongs directly below, and the weightiest reasons.
fn answer(document: &Document) -> String {
    let (class, shape) = match document.verdict {
        Verdict::Pass => ("pass", parts::TICK),
        Verdict::Recheck => ("recheck", parts::ALERT),
        Verdict::Inconclusive => ("inconclusive", parts::QUERY),
    };
    let mut html = format!(
        "<header class=\"answer {class}\">\n<p class=\"about\">{}</p>\n<h1>{shape}<span>{}</span></h1>\n<p class=\"headline\">{}</p>\n",
        escape(&document.title),
        escape(document.verdict.spoken()),
        escape(&document.headline)
    );
    for sentence in &document.summary {
        html.push_str(&format!("<p>{}</p>\n", escape(sentence)));
    }
    let first: Vec<String> = document
        .reasons
        .iter()
        .filter(|reason| matches!(reason.decision, Decision::Recheck | Decision::Inconclusive))
        .take(FIRST_REASONS)
        .map(|reason| {
            format!(
                "<li>{} <strong>{}.</strong> {}</li>\n",
                parts::decision(reason.decision),
                escape(reason.title),
                escape(&reason.statement)
            )
        })
        .collect();
    if !first.is_empty() {
        html.push_str(&format!("<ul class=\"first\">\n{}</ul>\n", first.concat()));
    }
    html.push_str("</header>\n");
    html
}

/// Both plots in one figure, their text alternative visible below.
fn plot(document: &Document) -> Result<String, ChartError> {
    let wide = chart::svg(&document.chart, Theme::Page, WIDE)?;
    let narrow = chart::svg(&document.chart, Theme::Page, NARROW)?;
    Ok(format!(
        "<figure>\n<div class=\"wide\" role=\"img\" aria-labelledby=\"plot-text\">\n{wide}</div>\n\
         <div class=\"narrow\" role=\"img\" aria-labelledby=\"plot-text\">\n{narrow}</div>\n\
         <figcaption id=\"plot-text\">{}</figcaption>\n</figure>\n",
        escape(&document.chart.description)
    ))
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
