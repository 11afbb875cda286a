//! What a report says, before anyone decides how it looks.
//!
//! Sentences are written and digits decided once, when the document is built; text, HTML, JSON, CSV and pictures only lay it
//! out. A number that a person reads as words stands beside the words, so that no format has to compute anything.

use crate::channel::Channel;
use crate::estimate::Estimate;
use crate::run::Defect;
use crate::verdict::decision::{Decision, Verdict};
use serde::Serialize;
use serde_json::Value;

/// A whole report.
#[derive(Clone, Debug)]
pub struct Document {
    /// What the report is about, in one line: the vehicle's name or the log's.
    pub title: String,
    /// The log.
    pub run: RunSummary,
    /// The answer.
    pub verdict: Verdict,
    /// The answer as a sentence that can be read aloud.
    pub headline: String,
    /// Two or three sentences that belong directly below the headline: what was not judged, what matters most.
    pub summary: Vec<String>,
    /// Warnings of harm that apply to this run; shown before any advice.
    pub cautions: Vec<String>,
    /// Why, most weighty first.
    pub reasons: Vec<Reason>,
    /// The reservoir's levels as a small worked table; `None` where none were noted.
    pub level_account: Option<Account>,
    /// What moved since an earlier run, as a table like the level account's; `None` where nothing was compared.
    pub differences: Option<Account>,
    /// What to do now, in order, without repeats.
    pub next_steps: Vec<String>,
    /// Every number that was measured.
    pub measures: Vec<Measure>,
    /// How it was computed; long, collapsed where a format can.
    pub method: Vec<Section>,
    /// Published sources that the numbers rest on.
    pub sources: Vec<String>,
    /// The findings as the JSON contract has them.
    pub findings: Value,
    /// The comparison with an earlier run as the JSON contract has it; `None` where nothing was compared.
    pub comparison: Option<Value>,
    /// The picture.
    pub chart: Chart,
    /// The reading of this run and of the one compared with, over the heat put in; `None` where nothing was compared.
    pub overlay: Option<Chart>,
}

/// What is said about the log itself.
#[derive(Clone, Debug, Serialize)]
pub struct RunSummary {
    /// Name of the file, never a path.
    pub source: String,
    /// ISO 8601 date and time of the first row, where the log has a date.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub started: Option<String>,
    /// Seconds from the first row to the last.
    pub duration_s: f64,
    /// Rows read.
    pub samples: usize,
    /// Channels recognised.
    pub channels: Vec<Channel>,
    /// What was wrong with the log.
    pub defects: Vec<Defect>,
}

/// One finding's decision with its words.
#[derive(Clone, Debug, Serialize)]
pub struct Reason {
    /// Which finding decides: its name in the JSON contract.
    pub finding: &'static str,
    /// The finding's name in the trade's words, for headings.
    #[serde(skip)]
    pub title: &'static str,
    /// What was decided.
    pub decision: Decision,
    /// Measured value, limit and place, as sentences.
    pub statement: String,
    /// What to do about it, each a thing that a hand can do.
    pub advice: Vec<String>,
}

/// One measured number.
#[derive(Clone, Debug)]
pub struct Measure {
    /// The finding that it belongs to.
    pub finding: &'static str,
    /// Its member there.
    pub member: &'static str,
    /// Its name in words: "thermostat opens at".
    pub label: String,
    /// The number.
    pub estimate: Estimate,
    /// The number as people read it, in the document's units; [`Measure::estimate`] stays in the JSON contract's.
    pub words: Words,
}

impl Measure {
    /// A number with its words in the JSON contract's units.
    pub fn new(finding: &'static str, member: &'static str, label: impl Into<String>, estimate: Estimate) -> Self {
        Self { finding, member, label: label.into(), estimate, words: Words::of(&estimate) }
    }
}

/// A number as people read it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Words {
    /// With its unit: `87.1 °C`, `4:57 min`.
    pub value: String,
    /// Its 95 % interval, without the unit: `86.1 to 88.1`; empty for what has none.
    pub interval: String,
}

impl Words {
    /// Of an estimate, in its own unit.
    pub fn of(estimate: &Estimate) -> Self {
        Self { value: estimate.spoken_value(), interval: estimate.spoken_interval() }
    }
}

/// A small worked table that can be followed with a pencil: what was read on the reservoir and what follows, or what moved between drives.
#[derive(Clone, Debug)]
pub struct Account {
    /// Its parts from the top: the notes, then one sum after the other.
    pub parts: Vec<AccountPart>,
    /// What belongs below the table, as sentences.
    pub remarks: Vec<String>,
    /// The whole in a few sentences, for whoever follows no table.
    pub in_brief: Vec<String>,
}

/// One headed part of the account.
#[derive(Clone, Debug)]
pub struct AccountPart {
    /// Heading.
    pub title: String,
    /// Whether the rows are what was noted, and not what was reckoned from it.
    pub noted: bool,
    /// Rows.
    pub rows: Vec<AccountRow>,
}

/// One row of the account.
#[derive(Clone, Debug)]
pub struct AccountRow {
    /// What it is: "so the level should rise by".
    pub label: String,
    /// The number behind the words, where there is one.
    pub estimate: Option<Estimate>,
    /// The number as people read it, in the document's units.
    pub words: Words,
    /// Whether the part was reckoned for its sake.
    pub result: bool,
}

/// A headed piece of explanation.
#[derive(Clone, Debug)]
pub struct Section {
    /// Heading.
    pub title: String,
    /// Paragraphs.
    pub paragraphs: Vec<String>,
}

impl Document {
    /// How many reasons stand directly below the headline.
    pub const FIRST_REASONS: usize = 3;

    /// The weightiest reasons, and the others. What could not be judged is never among the first.
    pub fn first_reasons(&self) -> (Vec<&Reason>, Vec<&Reason>) {
        let mut first = Vec::new();
        let mut others = Vec::new();
        for reason in &self.reasons {
            let judged = reason.decision != Decision::NotJudged;
            if judged && first.len() < Self::FIRST_REASONS { first.push(reason) } else { others.push(reason) }
        }
        (first, others)
    }

    /// What the first reasons advise that is not among the steps.
    pub fn first_advice(&self) -> Vec<String> {
        let advice = self.first_reasons().0.into_iter().flat_map(|reason| &reason.advice);
        advice.filter(|advice| !self.next_steps.contains(advice)).cloned().collect()
    }
}

/// What the common axis of a chart counts; its numbers are kept in seconds all the same.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Axis {
    /// Time from the first row.
    #[default]
    Time,
    /// Heat put in, as time at the usual input.
    HeatPutIn,
    /// Years from the first run.
    Years,
}

/// Everything that the plot shows; panels share one axis.
#[derive(Clone, Debug, Default)]
pub struct Chart {
    /// Written above the picture where it stands alone, outside a page; empty for none.
    pub title: String,
    /// What the plot shows, with its numbers, as sentences: the text alternative.
    pub description: String,
    /// Panels from the top.
    pub panels: Vec<Panel>,
    /// Stretches of the drive with their names ("warm-up", "regulation", "cooling down"), in time order.
    pub phases: Vec<Phase>,
    /// Length of the common axis, in seconds.
    pub duration_s: f64,
    /// What it counts.
    pub axis: Axis,
}

/// One panel of the plot.
#[derive(Clone, Debug, Default)]
pub struct Panel {
    /// What the vertical axis shows.
    pub label: String,
    /// Its unit.
    pub unit: String,
    /// Share of the plot's height, relative to the others.
    pub weight: f64,
    /// Curves.
    pub curves: Vec<Curve>,
    /// Horizontal bands.
    pub bands: Vec<Band>,
    /// Marked moments.
    pub marks: Vec<Mark>,
}

/// One curve.
#[derive(Clone, Debug, Default)]
pub struct Curve {
    /// Name for the legend.
    pub name: String,
    /// Seconds from the first row, value in the panel's unit; a NaN value breaks the line.
    pub points: Vec<(f64, f64)>,
    /// Whether it is the main reading (drawn strong) or context (drawn faint).
    pub main: bool,
}

/// A horizontal band over a stretch of time; a line where `low == high`.
#[derive(Clone, Debug)]
pub struct Band {
    /// Words written beside it, digits included: "regulation 86.2 to 88.4 °C"; empty for none.
    pub name: String,
    /// From, in seconds.
    pub from_s: f64,
    /// To, in seconds.
    pub to_s: f64,
    /// Lower edge, in the panel's unit.
    pub low: f64,
    /// Upper edge, in the panel's unit.
    pub high: f64,
}

/// A marked moment.
#[derive(Clone, Debug)]
pub struct Mark {
    /// Words written beside it, digits included: "opens 87.1 °C at 4:57"; empty for none.
    pub name: String,
    /// What it marks.
    pub kind: MarkKind,
    /// When, in seconds.
    pub at_s: f64,
    /// Its interval, in seconds; the moment twice if it is exact.
    pub interval_s: [f64; 2],
    /// At which value, in the panel's unit, where it has one.
    pub value: Option<f64>,
    /// That value's interval.
    pub value_interval: Option<[f64; 2]>,
}

/// What a mark stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkKind {
    /// The thermostat opens.
    Opening,
    /// A sign of trapped air.
    Signature,
    /// Something wrong with the log, over the mark's interval: hatched through every panel.
    Defect,
    /// Any other moment.
    Moment,
}

/// A named stretch of the drive.
#[derive(Clone, Debug)]
pub struct Phase {
    /// Its name.
    pub name: String,
    /// From, in seconds.
    pub from_s: f64,
    /// To, in seconds.
    pub to_s: f64,
}
