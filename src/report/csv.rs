//! The measured numbers as a table, one row a number, for a spreadsheet or a script.
//!
//! Numbers are written in full and with a decimal point, units as the JSON contract spells them; an unknown number is an
//! empty cell, never 0.

use super::document::Document;
use super::words;
use serde::Serialize;

/// One row; the field names are the heading.
#[derive(Serialize)]
struct Row<'a> {
    finding: &'a str,
    member: &'a str,
    label: String,
    value: Option<f64>,
    standard_uncertainty: Option<f64>,
    interval_95_low: Option<f64>,
    interval_95_high: Option<f64>,
    unit: crate::estimate::Unit,
}

/// Writes the table with its heading row; lines end with a line feed.
///
/// # Errors
///
/// None is known: the table is written to memory. The writer's own error is handed on rather than hidden.
pub fn render(document: &Document) -> Result<String, csv::Error> {
    let mut writer = csv::WriterBuilder::new().has_headers(false).from_writer(Vec::new());
    writer.write_record(HEADING)?;
    for measure in &document.measures {
        let estimate = &measure.estimate;
        writer.serialize(Row {
            finding: measure.finding,
            member: measure.member,
            label: words::plain(&measure.label),
            value: known(estimate.value),
            standard_uncertainty: known(estimate.standard_uncertainty),
            interval_95_low: known(estimate.interval_95[0]),
            interval_95_high: known(estimate.interval_95[1]),
            unit: estimate.unit,
        })?;
    }
    let bytes = writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// The heading, also of a table without rows.
pub const HEADING: [&str; 8] =
    ["finding", "member", "label", "value", "standard_uncertainty", "interval_95_low", "interval_95_high", "unit"];

fn known(number: f64) -> Option<f64> {
    number.is_finite().then_some(number)
}
