//! The report for programs: JSON, schema version 1.
//!
//! The contract is `docs/schema.json`, explained in `docs/json-schema.md`. Members keep the order in which people read a
//! report; what is unknown is absent or `null`, never 0.

use super::document::{Document, Reason, RunSummary};
use crate::verdict::decision::Verdict;
use serde::Serialize;
use serde_json::Value;

/// Version of the contract; it changes when a member is renamed, removed or means something else, not when one is added.
pub const SCHEMA_VERSION: u32 = 1;

/// The members of the contract, in order.
#[derive(Serialize)]
struct Contract<'a> {
    schema_version: u32,
    program: Program,
    run: &'a RunSummary,
    verdict: Verdict,
    reasons: &'a [Reason],
    findings: &'a Value,
    #[serde(skip_serializing_if = "Option::is_none")]
    comparison: Option<&'a Value>,
}

/// What wrote the report.
#[derive(Serialize)]
struct Program {
    name: &'static str,
    version: &'static str,
}

/// Writes the report as indented JSON with a line feed at the end.
///
/// # Errors
///
/// None is known: a document holds nothing that JSON cannot. The writer's own error is handed on rather than hidden.
pub fn render(document: &Document) -> Result<String, serde_json::Error> {
    let contract = Contract {
        schema_version: SCHEMA_VERSION,
        program: Program { name: env!("CARGO_PKG_NAME"), version: env!("CARGO_PKG_VERSION") },
        run: &document.run,
        verdict: document.verdict,
        reasons: &document.reasons,
        findings: &document.findings,
        comparison: document.comparison.as_ref(),
    };
    let mut text = serde_json::to_string_pretty(&contract)?;
    text.push('\n');
    Ok(text)
}
