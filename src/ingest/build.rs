//! From columns of numbers to traces: units, elapsed time, cleaning, and a note of everything that was done.

use super::assign::Chosen;
use super::infer::Taken;
use super::readings::{self, Readings};
use super::survey;
use super::table::Series;
use super::units::Unit;
use crate::channel::Channel;
use crate::run::{Defect, DefectKind, Trace};
use std::collections::BTreeMap;

/// The unit of a channel's numbers on their way into its trace.
fn convert(channel: Channel, unit: &Unit, value: f64) -> f64 {
    let value = unit.convert(value);
    // A conversion leaves digits that no sensor gave; a millionth of any unit here is far below one.
    if unit.factor == 1.0 && unit.offset == 0.0 || channel == Channel::ReservoirLevel { value } else { (value * 1e9).round() / 1e9 }
}

/// A channel's readings in its own unit, in time order. `time_of` gives the elapsed seconds of a series' nth number.
pub fn readings_of(channel: Channel, series: &Series, unit: &Unit, time_of: impl Fn(usize) -> f64) -> Readings {
    let room = series.value.len();
    let mut found = Readings { time: Vec::with_capacity(room), value: Vec::with_capacity(room), row: Vec::with_capacity(room) };
    let mut sorted = true;
    for (index, (&row, &value)) in series.row.iter().zip(&series.value).enumerate() {
        let time = time_of(index);
        if !time.is_finite() {
            continue;
        }
        sorted &= found.time.last().is_none_or(|&last| last <= time);
        found.time.push(time);
        found.value.push(convert(channel, unit, value));
        found.row.push(row);
    }
    if !sorted {
        let mut order: Vec<usize> = (0..found.time.len()).collect();
        let time = |index: usize| found.time.get(index).copied().unwrap_or(0.0);
        order.sort_by(|&a, &b| time(a).total_cmp(&time(b)));
        found = Readings {
            time: order.iter().map(|&index| time(index)).collect(),
            value: order.iter().filter_map(|&index| found.value.get(index).copied()).collect(),
            row: order.iter().filter_map(|&index| found.row.get(index).copied()).collect(),
        };
    }
    found
}

/// Cleans a channel's readings and makes its trace; what was found goes into `defects`, placed by `line_of`.
pub fn trace_of(
    channel: Channel,
    mut readings: Readings,
    zero: f64,
    line_of: impl Fn(u32) -> Option<u64>,
    defects: &mut Vec<Defect>,
) -> Trace {
    for found in readings::clean(channel, &mut readings, zero) {
        let value = spoken(found.value);
        defects.push(Defect {
            kind: found.kind,
            channel: Some(channel),
            at_s: Some(found.at),
            line: line_of(found.row),
            count: found.count,
            effect: if found.kind == DefectKind::GluedValue {
                found.effect.to_owned()
            } else {
                format!("{} (the first is {value})", found.effect)
            },
        });
    }
    let Readings { mut time, mut value, row } = readings;
    let mut latest = f64::NEG_INFINITY;
    let is_first = |&at: &f64| {
        let later = at > latest;
        latest = latest.max(at);
        later
    };
    let first: Vec<bool> = time.iter().map(is_first).collect();
    if let Some(place) = first.iter().position(|first| !first) {
        defects.push(Defect {
            kind: DefectKind::Duplicate,
            channel: Some(channel),
            at_s: time.get(place).copied(),
            line: row.get(place).and_then(|&row| line_of(row)),
            count: first.iter().filter(|first| !**first).count(),
            effect: "a second reading at the same moment; left out".into(),
        });
        for list in [&mut time, &mut value] {
            let mut first = first.iter();
            list.retain(|_| first.next().is_none_or(|first| *first));
        }
    }
    let step = survey::step(&value);
    Trace { time, value, step }
}

/// A number that was left out, with two decimals; one that no channel could hold as a power of ten, not in three hundred digits.
fn spoken(value: f64) -> String {
    if value.abs() < 1e15 { ((value * 100.0).round() / 100.0).to_string() } else { format!("{value:.1e}") }
}

/// Words where numbers should be, one defect a channel.
pub fn word_defects(
    chosen: &BTreeMap<Channel, Chosen>,
    series: &[Series],
    time_of_row: impl Fn(u32) -> Option<f64>,
    line_of: impl Fn(u32) -> Option<u64>,
) -> Vec<Defect> {
    chosen
        .iter()
        .filter_map(|(&channel, chosen)| {
            let (count, row, word) = series.get(chosen.column)?.words.clone()?;
            Some(Defect {
                kind: DefectKind::NotANumber,
                channel: Some(channel),
                at_s: time_of_row(row),
                line: line_of(row),
                count,
                effect: format!("`{word}` where a number should be; left out"),
            })
        })
        .collect()
}

/// Units that the log does not state: one defect for the coolant, one for all other channels.
pub fn unit_defects(units: &BTreeMap<Channel, Taken>) -> Vec<Defect> {
    let inferred = |channel: &Channel| units.get(channel).filter(|taken| !taken.stated);
    let defect = |channel: Option<Channel>, count: usize, effect: String| Defect {
        kind: DefectKind::UnitInferred,
        channel,
        at_s: None,
        line: None,
        count,
        effect,
    };
    let mut defects = Vec::new();
    if let Some(taken) = inferred(&Channel::CoolantTemperature) {
        defects.push(defect(Some(Channel::CoolantTemperature), 1, format!("no unit stated; taken as {}: {}", taken.unit.label, taken.why)));
    }
    let others: Vec<String> = units
        .iter()
        .filter(|(channel, taken)| !taken.stated && **channel != Channel::CoolantTemperature)
        .map(|(channel, taken)| format!("{} as {}", channel.spoken(), taken.unit.label))
        .collect();
    match others.len() {
        0 => {}
        count => defects.push(defect(None, count, format!("no unit stated; taken: {}", others.join(", ")))),
    }
    defects
}
