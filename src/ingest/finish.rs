//! The last step: the run and how it was understood, put together, with the defects of the log as a whole.

use super::dialect::Dialect;
use super::error::Problem;
use super::text::Text;
use super::understanding::{ColumnUnderstanding, Layout, Understanding};
use super::{Ingested, LEAST_DURATION, MOST_DURATION, survey};
use crate::channel::Channel;
use crate::run::{Defect, Run, Trace};
use chrono::NaiveDateTime;
use std::collections::BTreeMap;

/// All that the run and its understanding are made of.
pub(crate) struct Parts<'a> {
    pub source: &'a str,
    pub text: &'a Text<'a>,
    pub dialect: &'a Dialect<'a>,
    pub rows: usize,
    pub layout: Layout,
    pub times: Vec<f64>,
    pub spacing: f64,
    pub coarse: bool,
    pub started: Option<NaiveDateTime>,
    pub clock: String,
    pub traces: BTreeMap<Channel, Trace>,
    pub defects: Vec<Defect>,
    pub columns: Vec<ColumnUnderstanding>,
}

/// Puts the run together.
///
/// # Errors
///
/// [`Problem::TooShort`] for less than [`LEAST_DURATION`], [`Problem::TooLong`] for more than [`MOST_DURATION`].
pub(crate) fn finish(parts: Parts) -> Result<Ingested, Problem> {
    let Parts { source, text, dialect, rows, layout, times, spacing, coarse, started, clock, traces, mut defects, columns } = parts;
    let duration = times.last().copied().unwrap_or(0.0) - times.first().copied().unwrap_or(0.0);
    if duration < LEAST_DURATION {
        return Err(Problem::TooShort { seconds: duration, rows, least: LEAST_DURATION });
    }
    if duration > MOST_DURATION {
        return Err(Problem::TooLong { days: duration / 86_400.0, most: MOST_DURATION / 86_400.0 });
    }
    let gaps = survey::gaps(&times, spacing, coarse);
    defects.extend(survey::gap_defects(&gaps));
    defects.extend(survey::stale_repeats(&traces));
    defects.extend(survey::stopped(&traces, times.last().copied().unwrap_or(0.0)));
    defects.extend(survey::before_start(&traces));
    defects.sort_by(|a, b| a.kind.cmp(&b.kind).then(a.at_s.unwrap_or(-1.0).total_cmp(&b.at_s.unwrap_or(-1.0))));
    let understanding = Understanding {
        encoding: text.encoding.to_owned(),
        compressed: text.compressed,
        delimiter: char::from(dialect.delimiter),
        decimal_comma: dialect.decimals.comma,
        preamble_lines: dialect.preamble,
        heading_line: dialect.heading_line,
        second_heading_line: dialect.below.as_ref().map(|(line, _)| *line),
        layout,
        clock,
        rows,
        duration_s: duration,
        columns,
        gaps: gaps.clone(),
        problem: None,
    };
    let run = Run { source: source.to_owned(), started, duration, samples: times.len(), traces, gaps, defects, ..Run::default() };
    Ok(Ingested { run, understanding })
}
