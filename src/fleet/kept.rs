//! A kept run as a row: from its findings as the JSON contract has them.
//!
//! The words are the kept report's own, also where this program would write them otherwise today.

use super::number::KEYS;
use super::row::{Answer, Found, Main, Row, Said, decisions};
use crate::report::words::plain;
use crate::verdict::decision::{Decision, Verdict};
use chrono::NaiveDateTime;
use serde::Deserialize;
use serde_json::Value;

/// What the archive says of a run at a glance.
#[derive(Clone, Debug, PartialEq)]
pub struct About {
    /// The run's name.
    pub id: String,
    /// The log's file name.
    pub source: String,
    /// When the vehicle was driven: by the log's clock, else when it was kept.
    pub driven: NaiveDateTime,
    /// By the log's clock alone.
    pub started: Option<NaiveDateTime>,
    /// Seconds from the first row to the last.
    pub duration_s: f64,
    /// The vehicle's name.
    pub vehicle: Option<String>,
    /// The latest verdict's word.
    pub verdict: String,
    /// The latest answer as a sentence.
    pub headline: String,
}

/// A kept run.
#[derive(Clone, Debug, PartialEq)]
pub struct KeptRun {
    /// What is known at a glance.
    pub about: About,
    /// Its row in a table.
    pub row: Row,
    /// Measures that changed since the run that it was compared with; empty where it was compared with none.
    pub changed: Vec<String>,
}

/// The members of the contract that are read; the others are passed over.
#[derive(Deserialize, Default)]
#[serde(default)]
struct Contract {
    program: Program,
    reasons: Vec<Reason>,
    findings: Value,
    comparison: Comparison,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Program {
    version: String,
}

#[derive(Deserialize)]
struct Reason {
    finding: String,
    decision: Decision,
    #[serde(default)]
    statement: String,
    #[serde(default)]
    advice: Vec<String>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Comparison {
    changes: Vec<Change>,
}

#[derive(Deserialize)]
struct Change {
    measure: String,
    decision: String,
}

impl KeptRun {
    /// Of a run whose latest report is `findings`.
    ///
    /// # Errors
    ///
    /// In words, what of it cannot be read.
    pub fn of(about: About, findings: &str) -> Result<Self, String> {
        let contract: Contract = serde_json::from_str(findings).map_err(|error| format!("its findings cannot be read: {error}"))?;
        let verdicts = [Verdict::Recheck, Verdict::Inconclusive, Verdict::Pass];
        let verdict = verdicts.into_iter().find(|verdict| verdict.spoken() == about.verdict);
        let verdict = verdict.ok_or_else(|| format!("its verdict is none that this program knows: {}", plain(&about.verdict)))?;
        let said: Vec<Said> = contract
            .reasons
            .iter()
            .map(|reason| Said {
                finding: &reason.finding,
                decision: reason.decision,
                statement: &reason.statement,
                advice: reason.advice.first().map(String::as_str),
            })
            .collect();
        // The contract holds no list of steps; the first advice of any reason stands in for it.
        let first_step = said.iter().find_map(|said| said.advice);
        let found = Found {
            vehicle: about.vehicle.as_deref().map(plain),
            started: about.started,
            duration_s: about.duration_s,
            verdict,
            headline: plain(&about.headline),
            main: Main::of(verdict, &said, first_step),
            decisions: decisions(&said),
            numbers: KEYS.map(|key| key.in_findings(&contract.findings)),
        };
        let row = Row {
            log: plain(&format!("{} {}", about.id, about.source)),
            sha256: String::new(),
            vehicle_file: String::new(),
            levels_file: String::new(),
            remark: String::new(),
            program: plain(&contract.program.version),
            answer: Answer::Checked(Box::new(found)),
        };
        let changed = contract.comparison.changes.into_iter().filter(|change| change.decision == "changed");
        Ok(Self { changed: changed.map(|change| plain(&change.measure)).collect(), row, about })
    }
}
