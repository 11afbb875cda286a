//! One row: what came of one log.

use super::number::{KEYS, Number};
use super::order;
use crate::report::document::Document;
use crate::report::words::plain;
use crate::run::Run;
use crate::verdict::decision::{Decision, Verdict};
use crate::verdict::ruling::Topic;
use chrono::NaiveDateTime;

/// One log of a fleet. Every text is free of control characters.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The log's path inside the folder, or as the list names it; of a kept run its name.
    pub log: String,
    /// SHA-256 of its bytes; empty if they could not be read.
    pub sha256: String,
    /// The vehicle file that was taken; empty for none.
    pub vehicle_file: String,
    /// The level notes that were taken; empty for none.
    pub levels_file: String,
    /// What is to be said about the pairing; empty for nothing.
    pub remark: String,
    /// Version of the program that judged.
    pub program: String,
    /// What came of it.
    pub answer: Answer,
}

/// What came of a log.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// It was checked.
    Checked(Box<Found>),
    /// It could not be: why, and the way out.
    NotRead(NotRead),
}

/// Why a log could not be checked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotRead {
    /// Where and what.
    pub why: String,
    /// The way out.
    pub hint: String,
}

/// What was found on a log.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The vehicle's name.
    pub vehicle: Option<String>,
    /// Date and time of the first row.
    pub started: Option<NaiveDateTime>,
    /// Seconds from the first row to the last.
    pub duration_s: f64,
    /// The answer.
    pub verdict: Verdict,
    /// The answer as a sentence.
    pub headline: String,
    /// What the answer rests on first.
    pub main: Main,
    /// What was decided on each of [`Topic::ALL`]; `None` where nothing was said.
    pub decisions: [Option<Decision>; Topic::ALL.len()],
    /// The key numbers, in the order of [`KEYS`].
    pub numbers: [Option<Number>; KEYS.len()],
}

/// The main reason with its next step.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Main {
    /// The finding; `None` for one that this program does not know.
    pub topic: Option<Topic>,
    /// Why, as sentences.
    pub reason: String,
    /// What to do first; empty for nothing.
    pub next_step: String,
}

/// One reason of a report, fresh or kept.
#[derive(Clone, Copy, Debug)]
pub struct Said<'a> {
    /// Name of the finding.
    pub finding: &'a str,
    /// What was decided.
    pub decision: Decision,
    /// Why.
    pub statement: &'a str,
    /// What to do about it first.
    pub advice: Option<&'a str>,
}

impl Found {
    /// Of a run that was checked.
    pub fn of(run: &Run, document: &Document) -> Self {
        let said = document.reasons.iter().map(|reason| Said {
            finding: reason.finding,
            decision: reason.decision,
            statement: &reason.statement,
            advice: reason.advice.first().map(String::as_str),
        });
        let said: Vec<Said> = said.collect();
        Self {
            vehicle: run.vehicle.name.as_deref().map(plain),
            started: run.started,
            duration_s: run.duration,
            verdict: document.verdict,
            headline: plain(&document.headline),
            main: Main::of(document.verdict, &said, document.next_steps.first().map(String::as_str)),
            decisions: decisions(&said),
            numbers: KEYS.map(|key| key.among(&document.measures)),
        }
    }

    /// One of the key numbers, by its column.
    pub fn number(&self, column: &str) -> Option<Number> {
        KEYS.iter().zip(&self.numbers).find(|(key, _)| key.column == column).and_then(|(_, number)| *number)
    }
}

/// What was decided on each finding.
pub(super) fn decisions(said: &[Said]) -> [Option<Decision>; Topic::ALL.len()] {
    Topic::ALL.map(|topic| said.iter().find(|said| said.finding == topic.finding()).map(|said| said.decision))
}

impl Main {
    /// The most urgent of the reasons that decide the verdict; `first_step` stands in where that reason advises nothing.
    pub fn of(verdict: Verdict, said: &[Said], first_step: Option<&str>) -> Self {
        let Some(main) = order::deciding(verdict, said) else {
            return Self { next_step: first_step.map(plain).unwrap_or_default(), ..Self::default() };
        };
        Self {
            topic: Topic::from_finding(main.finding),
            reason: plain(main.statement),
            next_step: main.advice.or(first_step).map(plain).unwrap_or_default(),
        }
    }

    /// The finding's title; empty for none.
    pub fn title(&self) -> &'static str {
        self.topic.map_or("", Topic::title)
    }
}

impl Row {
    /// The answer's word: a verdict, or `not read`.
    pub fn word(&self) -> &'static str {
        self.found().map_or("not read", |found| found.verdict.spoken())
    }

    /// What was found, if the log was checked.
    pub fn found(&self) -> Option<&Found> {
        match &self.answer {
            Answer::Checked(found) => Some(found),
            Answer::NotRead(_) => None,
        }
    }

    /// What to do first; of a log that was not read the way out.
    pub fn next_step(&self) -> &str {
        match &self.answer {
            Answer::Checked(found) => &found.main.next_step,
            Answer::NotRead(not_read) => &not_read.hint,
        }
    }
}
