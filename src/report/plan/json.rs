//! The plan for programs: the numbers of the plan and the sentences of the sheet. `docs/plan.md` is its reference.

use super::{Sheet, Work};
use crate::planning::Plan;
use crate::report::json::SCHEMA_VERSION;
use serde::Serialize;

#[derive(Serialize)]
struct Contract<'a> {
    schema_version: u32,
    program: Program,
    vehicle: Option<&'a str>,
    answer: &'a [String],
    plan: &'a Plan,
    steps: Vec<Step<'a>>,
}

#[derive(Serialize)]
struct Program {
    name: &'static str,
    version: &'static str,
}

#[derive(Serialize)]
struct Step<'a> {
    step: Work,
    cautions: Vec<&'static str>,
    does: &'a [String],
    tells: &'a [String],
}

/// Writes the plan as indented JSON with a line feed at the end.
///
/// # Errors
///
/// None is known: a plan holds nothing that JSON cannot. The writer's own error is handed on rather than hidden.
pub fn render(plan: &Plan, sheet: &Sheet) -> Result<String, serde_json::Error> {
    let steps = sheet.steps.iter().map(|step| Step {
        step: step.work,
        cautions: step.cautions.iter().map(|caution| caution.text()).collect(),
        does: &step.does,
        tells: &step.tells,
    });
    let contract = Contract {
        schema_version: SCHEMA_VERSION,
        program: Program { name: env!("CARGO_PKG_NAME"), version: env!("CARGO_PKG_VERSION") },
        vehicle: sheet.head.vehicle.as_deref(),
        answer: &sheet.answer,
        plan,
        steps: steps.collect(),
    };
    let mut text = serde_json::to_string_pretty(&contract)?;
    text.push('\n');
    Ok(text)
}
