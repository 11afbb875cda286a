//! The survey for programs: JSON, and a table with a row a vehicle. What is not known is absent or an empty cell, never 0.

use super::{Drift, NO_INTERVAL, Standing, Survey};
use crate::comparison::trend::{Trend, YEAR};
use crate::fleet::json::{VERSION, program, row};
use serde_json::{Value, json};

/// Writes the survey as indented JSON with a line feed at the end.
///
/// # Errors
///
/// None is known; the writer's own error is handed on rather than hidden.
pub fn render(survey: &Survey) -> Result<String, serde_json::Error> {
    let vehicles: Vec<Value> = survey.vehicles.iter().map(vehicle).collect();
    let not_opened: Vec<Value> = survey.not_opened.iter().map(|(id, why)| json!({ "id": id, "why": why })).collect();
    let whole = json!({
        "fleet_version": VERSION,
        "program": program(),
        "vehicles": vehicles,
        "drifts_tested": survey.tested(),
        "drifts_expected_by_chance": survey.by_chance(),
        "nameless_runs": survey.nameless,
        "next_due_note": NO_INTERVAL,
        "not_opened": not_opened,
    });
    Ok(serde_json::to_string_pretty(&whole)? + "\n")
}

fn vehicle(standing: &Standing) -> Value {
    json!({
        "vehicle_name": standing.vehicle,
        "runs": standing.runs,
        "needs_a_look": standing.look,
        "changed": standing.latest.changed,
        "latest_run": standing.latest.about.id,
        "latest_driven": standing.latest.about.driven,
        "latest": row(&standing.latest.row),
        "opening_trend": trend(standing),
        "next_due": null,
    })
}

fn trend(standing: &Standing) -> Value {
    let (state, years) = (state(standing).replace(' ', "_"), &standing.years);
    match &standing.opening {
        Trend::Stated(stated) => {
            let k_per_year = json!({ "value": YEAR * stated.slope, "interval_95": stated.interval_95.map(|end| YEAR * end) });
            json!({ "state": state, "years": years, "k_per_year": k_per_year, "chance": stated.test.chance })
        }
        _ => json!({ "state": state, "years": years }),
    }
}

/// What the openings tell, as a word.
fn state(standing: &Standing) -> &'static str {
    match standing.drift() {
        Drift::TooFew => "too few runs",
        Drift::NoneShown => "none shown",
        Drift::Small(_) => "small",
        Drift::Beyond(_) => "drifts",
    }
}

/// Columns of the table of vehicles.
const HEADINGS: [&str; 14] = [
    "vehicle_name",
    "needs_a_look",
    "verdict",
    "reason",
    "next_step",
    "changed",
    "latest_run",
    "latest_driven",
    "runs",
    "opening_trend",
    "opening_k_per_year",
    "opening_k_per_year_low",
    "opening_k_per_year_high",
    "next_due",
];

/// Writes a row a vehicle; lines end with a line feed.
///
/// # Errors
///
/// None is known: the table is written to memory. The writer's own error is handed on rather than hidden.
pub fn csv(survey: &Survey) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(HEADINGS)?;
    for standing in &survey.vehicles {
        let latest = &standing.latest;
        let [value, low, high] = match &standing.opening {
            Trend::TooFew { .. } => [const { String::new() }; 3],
            Trend::Stated(stated) => [stated.slope, stated.interval_95[0], stated.interval_95[1]].map(|slope| (YEAR * slope).to_string()),
        };
        writer.write_record([
            standing.vehicle.as_str(),
            if standing.look { "yes" } else { "no" },
            latest.row.word(),
            latest.row.found().map_or("", |found| found.main.reason.as_str()),
            latest.row.next_step(),
            &latest.changed.join(" "),
            &latest.about.id,
            &latest.about.driven.format("%Y-%m-%dT%H:%M:%S").to_string(),
            &standing.runs.to_string(),
            state(standing),
            &value,
            &low,
            &high,
            "",
        ])?;
    }
    let bytes = writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
