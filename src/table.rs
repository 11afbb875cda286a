//! The readings of a run as a table: every channel on one clock.
//!
//! Channels are polled in turn, so each has a clock of its own. Here they are put on the coolant's by an as-of join: beside each
//! coolant reading stands the last reading of every other channel, if it is not older than `STALE_S`; else the cell is null.
//! This is the form in which readings leave the program and in which runs are kept.

use crate::channel::Channel;
use crate::run::{Run, Trace};
use polars::prelude::{Column, DataFrame, IdxCa, IdxSize, NamedFrom, PolarsResult, Series};

/// Age from which a reading no longer stands for its channel, in seconds: three times a slow poll.
const STALE_S: f64 = 30.0;

/// The table: `time_s` from the first row, then a column a channel under its stable name, in its unit.
///
/// # Errors
///
/// Only what the dataframe library reports; columns are made to equal length here.
pub fn aligned(run: &Run) -> PolarsResult<DataFrame> {
    let clock: &[f64] = run.trace(Channel::CoolantTemperature).map_or(&[], |coolant| coolant.time.as_slice());
    let mut columns: Vec<Column> = vec![Series::new("time_s".into(), clock).into()];
    for (channel, trace) in &run.traces {
        let readings = Series::new(channel.name().into(), trace.value.as_slice());
        let rows = IdxCa::from_iter(last_before(clock, trace));
        columns.push(readings.take(&rows)?.into());
    }
    DataFrame::new(clock.len(), columns)
}

/// For each moment of the clock the row of the last reading at or before it that is fresh enough.
fn last_before<'a>(clock: &'a [f64], trace: &'a Trace) -> impl Iterator<Item = Option<IdxSize>> + 'a {
    let mut next = 0usize;
    clock.iter().map(move |&now| {
        while trace.time.get(next).is_some_and(|&time| time <= now) {
            next += 1;
        }
        let row = next.checked_sub(1)?;
        trace.time.get(row).is_some_and(|then| now - then <= STALE_S).then(|| IdxSize::try_from(row).ok()).flatten()
    })
}
