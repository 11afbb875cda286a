//! The table for programs: one JSON object.
//!
//! Numbers have their interval and their unit in their name, as the columns of the table; what is unknown is absent, never 0.

use super::number::KEYS;
use super::row::{Answer, Row};
use super::{Counts, Table};
use crate::verdict::ruling::Topic;
use serde_json::{Map, Value, json};

/// Version of the form; it changes when a member is renamed, removed or means something else, not when one is added.
pub const VERSION: u32 = 1;

/// Writes the table as indented JSON with a line feed at the end.
///
/// # Errors
///
/// None is known; the writer's own error is handed on rather than hidden.
pub fn render(table: &Table) -> Result<String, serde_json::Error> {
    let rows: Vec<Value> = table.rows.iter().map(row).collect();
    let whole = json!({ "fleet_version": VERSION, "program": program(), "counts": counts(&table.counts()), "logs": rows });
    Ok(serde_json::to_string_pretty(&whole)? + "\n")
}

/// What wrote it.
pub(super) fn program() -> Value {
    json!({ "name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION") })
}

fn counts(counts: &Counts) -> Value {
    json!(counts)
}

/// One log.
pub(super) fn row(row: &Row) -> Value {
    let mut members = Map::new();
    let mut add = |name: &str, value: Value| {
        if !matches!(&value, Value::Null) && value.as_str() != Some("") {
            members.insert(name.to_owned(), value);
        }
    };
    add("log", json!(row.log));
    add("verdict", json!(row.word().replace(' ', "_")));
    match &row.answer {
        Answer::NotRead(not_read) => {
            add("why", json!(not_read.why));
            add("next_step", json!(not_read.hint));
        }
        Answer::Checked(found) => {
            add("finding", json!(found.main.topic.map(Topic::finding)));
            add("reason", json!(found.main.reason));
            add("next_step", json!(found.main.next_step));
            add("vehicle_name", json!(found.vehicle));
            add("started", json!(found.started));
            add("duration_s", json!(found.duration_s));
            add("headline", json!(found.headline));
            let decided = Topic::ALL.iter().zip(found.decisions);
            add("decisions", decided.filter_map(|(topic, decision)| Some((topic.finding().to_owned(), json!(decision?)))).collect());
            let numbers = KEYS.iter().zip(found.numbers).filter_map(|(key, number)| {
                let number = number?;
                Some((key.column.to_owned(), json!({ "value": number.value, "interval_95": [number.low, number.high] })))
            });
            add("numbers", numbers.collect());
        }
    }
    add("vehicle_file", json!(row.vehicle_file));
    add("levels_file", json!(row.levels_file));
    add("remark", json!(row.remark));
    add("log_sha256", json!(row.sha256));
    add("program", json!(row.program));
    Value::Object(members)
}
