//! What moved between two drives or over several, before anyone decides how it looks; then as text, page and JSON.

use super::chart::ChartError;
use super::document::{Account, Chart};
use super::html::{self, account, parts};
use super::json::SCHEMA_VERSION;
use super::text::page::Page;
use super::text::{NARROWEST, Style, first_sentence, table};
use super::words::escape;
use anstyle::Style as Ansi;
use serde_json::{Value, json};

/// What moved.
#[derive(Clone, Debug)]
pub struct Moved {
    /// The two runs, or the vehicle.
    pub title: String,
    /// What moved, as a sentence or a few.
    pub headline: String,
    /// The numbers.
    pub account: Account,
    /// What to do about it, in order.
    pub steps: Vec<String>,
    /// Dangers that go with the steps.
    pub cautions: Vec<String>,
    /// Both readings over the heat put in, or the measures over the years.
    pub chart: Option<Chart>,
    /// The same for programs.
    pub json: Value,
}

/// Name in the page and heading of the picture.
const PICTURE: (&str, &str) = ("moved", "Drawn");

/// Lays it out as lines that end with a line feed.
pub fn text(moved: &Moved, style: Style) -> String {
    let bold = Ansi::new().bold();
    let mut page = Page::new(style.color, style.width.max(NARROWEST));
    page.tagged("WHAT MOVED", bold, &moved.title);
    page.paragraph(0, &moved.headline);
    moved.account.in_brief.iter().for_each(|sentence| page.paragraph(0, sentence));
    page.gap();
    table::account(&mut page, &moved.account.parts.iter().collect::<Vec<_>>());
    page.gap();
    moved.account.remarks.iter().for_each(|remark| page.paragraph(2, remark));
    if !moved.steps.is_empty() {
        page.heading("What to do now", bold);
        moved.cautions.iter().for_each(|caution| page.item(2, "!", first_sentence(caution)));
        moved.steps.iter().enumerate().for_each(|(index, step)| page.item(2, &format!("{}.", index + 1), step));
    }
    page.finish()
}

/// Writes the page.
///
/// # Errors
///
/// [`ChartError`] where the picture cannot be drawn; with the fixed sizes used here that is a fault of the program.
pub fn html(moved: &Moved) -> Result<String, ChartError> {
    Ok(format!(
        "{}<body>\n<main>\n<header class=\"answer\">\n<p class=\"about\">{}</p>\n<h1>What moved</h1>\n{}</header>\n{}</main>\n{}</body>\n</html>\n",
        html::head(&format!("What moved: {}", moved.title), html::STYLE),
        escape(&moved.title),
        sentences(moved),
        sections(moved, html::plot)?,
        html::footer(),
    ))
}

/// What moved, in sentences, as paragraphs of a page.
pub fn sentences(moved: &Moved) -> String {
    let sentences = std::iter::once(&moved.headline).chain(&moved.account.in_brief);
    sentences.map(|sentence| format!("<p>{}</p>\n", escape(sentence))).collect()
}

/// Everything below the sentences, for a page with a script that reads values off the picture.
///
/// # Errors
///
/// [`ChartError`] where the picture cannot be drawn.
pub fn readable(moved: &Moved) -> Result<String, ChartError> {
    sections(moved, html::readable::plot)
}

fn sections(moved: &Moved, plotted: html::Plotted) -> Result<String, ChartError> {
    let picture = moved.chart.as_ref().map(|chart| plotted(PICTURE, chart, html::WIDE, html::NARROW)).transpose()?;
    Ok([
        picture.unwrap_or_default(),
        account::numbers(&moved.account),
        parts::cautions(&moved.cautions),
        parts::next_steps(&moved.steps, &[]),
    ]
    .concat())
}

/// The same as JSON (docs/comparison.md).
///
/// # Errors
///
/// [`serde_json::Error`] if it cannot be written.
pub fn json(moved: &Moved) -> Result<String, serde_json::Error> {
    let mut whole = json!({
        "schema_version": SCHEMA_VERSION,
        "program": { "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") },
        "headline": moved.headline,
    });
    if let (Some(whole), Some(parts)) = (whole.as_object_mut(), moved.json.as_object()) {
        whole.extend(parts.iter().map(|(name, value)| (name.clone(), value.clone())));
    }
    Ok(serde_json::to_string_pretty(&whole)? + "\n")
}
