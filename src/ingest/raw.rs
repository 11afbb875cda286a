//! Logs of raw answers: the rows' clock, then the decoding of the frames.

use super::clock;
use super::clock::steps::{Nature, elapse};
use super::columns::Heading;
use super::dialect::Dialect;
use super::error::Problem;
use super::frames::{self, FrameColumns};
use super::readings::Readings;
use super::table;
use super::text::Text;
use super::understanding::{ColumnUnderstanding, Layout, UnitSource};
use super::{Ingested, Options, build, clock_source, finish, timing};
use crate::channel::Channel;
use crate::run::{Defect, DefectKind, Trace};
use std::collections::BTreeMap;

/// Reads a log of raw answers.
///
/// # Errors
///
/// [`Problem`] without clock, without any coolant temperature in the answers, or with too little data.
pub(crate) fn read(
    text: &Text,
    dialect: &Dialect,
    headings: &[Heading],
    sample: &[Vec<&str>],
    places: FrameColumns,
    source: &str,
    options: &Options,
) -> Result<Ingested, Problem> {
    let clock = match (options.period, &options.time_column, places.time) {
        (None, None, Some(index)) => clock::as_source(index, headings, sample, dialect.decimals),
        _ => clock_source(headings, &[], sample, dialect, options)?,
    };
    let mut answers: Vec<(usize, &str, &str)> = Vec::new();
    let table = table::walk(&text.text, dialect, clock, false, |row, cells| {
        answers.push((row, cells.get(places.id).copied().unwrap_or_default(), cells.get(places.bytes).copied().unwrap_or_default()));
    });
    timing::refuse_empty(&table, dialect)?;
    let heading = places.time.and_then(|index| headings.get(index));
    let meaning = timing::meaning(&table, clock, heading, options, &text.text, dialect)?;
    let elapsed = elapse(&meaning.seconds, Nature { of_day: meaning.of_day }, |_, _| false);
    let rows = answers.iter().filter_map(|&(row, id, bytes)| {
        let second = elapsed.seconds.get(row).copied().filter(|second| second.is_finite())?;
        Some((second, id, bytes, table.lines.get(row).map_or(0, |&line| u64::from(line))))
    });
    let decoded = frames::decode(rows);
    let mut defects: Vec<Defect> = decoded.defects;
    timing::row_defects(&table, |row| elapsed.seconds.get(row).copied().filter(|second| second.is_finite()), &mut defects);
    if let Some(inferred) = meaning.inferred {
        defects.push(Defect { kind: DefectKind::UnitInferred, channel: None, at_s: None, line: None, count: 1, effect: inferred });
    }
    let mut traces: BTreeMap<Channel, Trace> = BTreeMap::new();
    let mut columns = Vec::new();
    for (channel, points) in decoded.traces {
        let mut readings = Readings::default();
        for (time, value) in points {
            readings.time.push(time);
            readings.value.push(value);
            readings.row.push(0);
        }
        let range = readings.value.iter().copied().fold(None, |range: Option<[f64; 2]>, value| {
            Some(range.map_or([value, value], |[low, high]| [low.min(value), high.max(value)]))
        });
        columns.push(ColumnUnderstanding {
            heading: channel.j1979().map_or(String::new(), |number| format!("parameter {number:02X}h")),
            channel: Some(channel),
            unit: Some(channel.unit().to_owned()),
            unit_source: UnitSource::Stated,
            readings: readings.value.len(),
            range,
            why: "decoded by SAE J1979".to_owned(),
        });
        let trace = build::trace_of(channel, readings, f64::NAN, |_| None, &mut defects);
        if !trace.is_empty() {
            traces.insert(channel, trace);
        }
    }
    if !traces.contains_key(&Channel::CoolantTemperature) {
        return Err(no_answer(&traces, &defects, table.lines.first().map_or(dialect.first_row, |&line| u64::from(line))));
    }
    let mut times: Vec<f64> = elapsed.seconds.iter().copied().filter(|second| second.is_finite()).collect();
    times.sort_unstable_by(f64::total_cmp);
    finish::finish(finish::Parts {
        source,
        text,
        dialect,
        rows: table.lines.len(),
        layout: Layout::Frames,
        times,
        spacing: elapsed.spacing,
        coarse: elapsed.coarse,
        started: meaning.started,
        clock: meaning.description,
        traces,
        defects,
        columns,
    })
}

/// Why no answer holds the coolant's temperature: what the others hold, or what was wrong with the frames, the commonest fault first.
fn no_answer(traces: &BTreeMap<Channel, Trace>, defects: &[Defect], first_row: u64) -> Problem {
    let held = traces.keys().map(|channel| channel.spoken()).collect::<Vec<_>>().join(", ");
    let fault = defects
        .iter()
        .filter(|defect| matches!(defect.kind, DefectKind::BadFrame | DefectKind::Sentinel))
        .max_by_key(|defect| defect.count);
    let line = fault.and_then(|defect| defect.line).unwrap_or(first_row);
    let found = match fault {
        _ if !held.is_empty() => format!("they hold {held}"),
        Some(defect) => format!("{} × {}", defect.count, defect.effect),
        None => "they are of another service".to_owned(),
    };
    Problem::NoAnswer { line, found }
}
