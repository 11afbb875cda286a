//! The customer's page: the answer on one sheet of A4 or Letter, in words for whoever drives the vehicle.
//!
//! It needs nothing else: no script, no network, no font of its own. Of a reason it holds what was measured and what that comes to, of the
//! plot the temperature, of the levels two sentences, of a caution the first sentence. What says when to stop driving is on every page. What
//! is longer than a sheet holds is cut where a sentence or a step ends, and the page says so.
//!
//! Limits: one sheet for what reports ordinarily say; a name of hundreds of letters runs over.

use super::chart::ChartError;
use super::document::{Chart, Document};
use super::html;
use super::words::escape;
use crate::verdict::decision::Verdict;

mod facts;
mod parts;

pub use facts::Facts;

/// The sheet's look; colours are those of the report.
const STYLE: &str = include_str!("summary/summary.css");
/// Size of the plot on the sheet and on a phone, in pixels.
const WIDE: (u32, u32) = (920, 250);
const NARROW: (u32, u32) = (340, 300);

/// Most bytes of all but the plot that fill a sheet in its ordinary type; beyond it the type is smaller (own choice,
/// measured on A4 and Letter).
const ROOMY_BYTES: usize = 2500;

/// Writes the sheet.
///
/// # Errors
///
/// [`ChartError`] where the plot cannot be drawn; with the fixed sizes used here that is a fault of the program.
pub fn render(document: &Document, facts: &Facts) -> Result<String, ChartError> {
    let mut page = html::head(&format!("Cooling system, {}: {}", document.verdict.spoken(), document.title), STYLE);
    let above = format!("{}{}{}", answer(document), parts::facts(facts), parts::reasons(&document.first_reasons().0));
    let levels = parts::levels(document.level_account.as_ref());
    let care = format!("<div class=\"care\">\n{}{}</div>\n", parts::cautions(&document.cautions), parts::steps(&document.next_steps));
    let density = if above.len() + levels.len() + care.len() > ROOMY_BYTES { " class=\"dense\"" } else { "" };
    page.push_str(&format!("<body{density}>\n<main>\n{above}"));
    page.push_str(&html::plot(html::THE_DRIVE, &temperature(&document.chart), WIDE, NARROW)?);
    page.push_str(&levels);
    page.push_str(&care);
    page.push_str(&parts::questions(facts));
    page.push_str(&format!(
        "</main>\n<footer>\n<p>Written by {} {} from {}. A bracket holds the truth 95 times in 100.</p>\n</footer>\n</body>\n</html>\n",
        env!("CARGO_PKG_NAME"),
        env!("CARGO_PKG_VERSION"),
        escape(&parts::shortened(&document.run.source, 60))
    ));
    Ok(page)
}

/// The verdict as a customer asks for it.
fn plainly(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "The drive after the refill showed nothing wrong.",
        Verdict::Recheck => "Not in order yet: have it looked at before it is used as usual.",
        Verdict::Inconclusive => "Not settled yet: one drive could not tell everything.",
    }
}

fn answer(document: &Document) -> String {
    let (class, sign) = html::look(document.verdict);
    format!(
        "<header class=\"answer {class}\">\n<p class=\"about\">Cooling system after a refill</p>\n<h1>{sign}<span>{}</span></h1>\n\
         <p class=\"headline\">{}</p>\n<p>{}</p>\n</header>\n",
        escape(document.verdict.spoken()),
        plainly(document.verdict),
        escape(&document.headline)
    )
}

/// The plot's first panel, the temperature, alone.
fn temperature(chart: &Chart) -> Chart {
    Chart { panels: chart.panels.iter().take(1).cloned().collect(), ..chart.clone() }
}
