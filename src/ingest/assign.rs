//! One column for each channel, or an error that lists both.

use super::columns::{self, Fit, Heading};
use super::error::Problem;
use super::table::Series;
use super::units;
use crate::channel::Channel;
use crate::excerpt::shorten;
use std::collections::BTreeMap;

/// The column chosen for a channel, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Chosen {
    /// Index among the columns (or signals).
    pub column: usize,
    /// Why it was taken.
    pub why: String,
}

/// Chooses a column for each channel. `told` holds what the person named.
///
/// # Errors
///
/// [`Problem::NoColumn`] without any coolant temperature, [`Problem::TwoColumns`] where two fit equally well and differ.
pub fn assign(
    headings: &[Heading],
    fits: &[Option<Fit>],
    series: &[Series],
    told: &BTreeMap<Channel, usize>,
    line: u64,
) -> Result<BTreeMap<Channel, Chosen>, Problem> {
    let mut chosen: BTreeMap<Channel, Chosen> = BTreeMap::new();
    for channel in Channel::all() {
        if let Some(&column) = told.get(&channel) {
            refuse_wrong_unit(channel, headings.get(column), line)?;
            chosen.insert(channel, Chosen { column, why: "as told".into() });
        } else if let Some(found) = best(channel, headings, fits, series, told, line)? {
            chosen.insert(channel, found);
        }
    }
    if !chosen.contains_key(&Channel::CoolantTemperature)
        && let Some(second) = chosen.remove(&Channel::CoolantTemperature2)
    {
        let why = format!("{}; the only coolant temperature here", second.why);
        chosen.insert(Channel::CoolantTemperature, Chosen { why, ..second });
    }
    if !chosen.contains_key(&Channel::CoolantTemperature) {
        let headings = headings.iter().map(|heading| heading.name.trim().to_owned()).collect();
        return Err(Problem::NoColumn { channel: Channel::CoolantTemperature, line, headings });
    }
    Ok(chosen)
}

/// A column that the person named must not state a unit of something else: volts are no temperature.
fn refuse_wrong_unit(channel: Channel, heading: Option<&Heading>, line: u64) -> Result<(), Problem> {
    let Some(heading) = heading else { return Ok(()) };
    let wrong =
        heading.unit.as_ref().filter(|(unit, _)| !units::fits(unit, channel)).map(|(_, text)| text.clone()).or(heading.foreign.clone());
    match wrong {
        Some(unit) => Err(Problem::WrongUnit { channel, heading: shorten(heading.name.trim(), 60), unit: shorten(&unit, 20), line }),
        None => Ok(()),
    }
}

/// The column that fits a channel best, if any does.
///
/// # Errors
///
/// [`Problem::TwoColumns`] where two fit equally well and differ.
pub fn best(
    channel: Channel,
    headings: &[Heading],
    fits: &[Option<Fit>],
    series: &[Series],
    told: &BTreeMap<Channel, usize>,
    line: u64,
) -> Result<Option<Chosen>, Problem> {
    let readings = |column: usize| series.get(column).map_or(0, |series| series.count);
    let candidates: Vec<(usize, &Fit)> = fits
        .iter()
        .enumerate()
        .filter_map(|(column, fit)| Some((column, fit.as_ref()?)))
        .filter(|(column, fit)| fit.channel == channel && !told.values().any(|taken| taken == column))
        .collect();
    // A column without a single number loses to one that has some, whatever it is called.
    let any = candidates.iter().any(|(column, _)| readings(*column) > 0);
    let live: Vec<(usize, &Fit)> = candidates.into_iter().filter(|(column, _)| !any || readings(*column) > 0).collect();
    let Some(top) = live.iter().map(|(_, fit)| fit.score).max() else { return Ok(None) };
    let equals: Vec<(usize, &Fit)> = live.into_iter().filter(|(_, fit)| fit.score == top).collect();
    let Some(&(first, fit)) = equals.first() else { return Ok(None) };
    let same = |column: usize| match (series.get(first), series.get(column)) {
        (Some(a), Some(b)) => a.row == b.row && a.value == b.value,
        _ => false,
    };
    let rivals: Vec<usize> = equals.iter().map(|(column, _)| *column).filter(|&column| !same(column)).collect();
    match rivals.first() {
        None if equals.len() > 1 => Ok(Some(Chosen { column: first, why: format!("{}; another column holds the same readings", fit.why) })),
        None => Ok(Some(Chosen { column: first, why: fit.why.clone() })),
        Some(&rival) => Err(Problem::TwoColumns { channel, line, candidates: columns::told_apart(headings, &[first, rival]) }),
    }
}
