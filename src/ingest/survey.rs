//! What is wrong with the log as a whole: pauses, repeated values, channels that stop, rows before the engine fires.

use crate::channel::Channel;
use crate::run::{Defect, DefectKind, Trace};
use std::collections::BTreeMap;

/// A pause counts as a gap when it is longer than this many usual spacings, and than [`LEAST_GAP`].
const GAP_SPACINGS: f64 = 5.0;
/// In seconds; coolant moves by less than a degree in that time.
const LEAST_GAP: f64 = 3.0;
/// Most gaps that are listed one by one.
const MOST_LISTED: usize = 10;

/// Stretches without rows; `times` are those of the rows, in order.
pub fn gaps(times: &[f64], spacing: f64, coarse: bool) -> Vec<[f64; 2]> {
    let least = (GAP_SPACINGS * spacing).max(if coarse { LEAST_GAP + 2.0 } else { LEAST_GAP });
    times.windows(2).filter_map(|pair| Some([*pair.first()?, *pair.get(1)?])).filter(|[from, to]| to - from > least).collect()
}

/// Defects for the gaps: one each, or one for all where there are many.
pub fn gap_defects(gaps: &[[f64; 2]]) -> Vec<Defect> {
    let total: f64 = gaps.iter().map(|[from, to]| to - from).sum();
    let defect =
        |at: f64, count: usize, effect: String| Defect { kind: DefectKind::Gap, channel: None, at_s: Some(at), line: None, count, effect };
    if gaps.len() > MOST_LISTED {
        let longest = gaps.iter().map(|[from, to]| to - from).fold(0.0, f64::max);
        let first = gaps.first().map_or(0.0, |gap| gap[0]);
        return vec![defect(first, gaps.len(), format!("no rows for {total:.0} s in all, {longest:.0} s at most; nothing was filled in"))];
    }
    gaps.iter().map(|[from, to]| defect(*from, 1, format!("no rows for {:.1} s; nothing was filled in", to - from))).collect()
}

/// Channels polled in turn: the same value is written again until the next answer. Told from the engine speed, which in truth
/// is hardly ever the same twice. `None` if most values are fresh.
pub fn stale_repeats(traces: &BTreeMap<Channel, Trace>) -> Option<Defect> {
    let (channel, trace) = [Channel::EngineSpeed, Channel::ManifoldPressure, Channel::AirFlow, Channel::ModuleVoltage]
        .into_iter()
        .find_map(|channel| traces.get(&channel).map(|trace| (channel, trace)))?;
    let (mut repeats, mut fresh, mut first) = (0_usize, 0_usize, None);
    for (index, pair) in trace.value.windows(2).enumerate() {
        match pair {
            [a, _] if *a <= 0.0 => {}
            [a, b] if a == b => {
                repeats += 1;
                first = first.or(trace.time.get(index + 1).copied());
            }
            _ => fresh += 1,
        }
    }
    // Much longer runs are a value that stands still, not a channel that waits its turn.
    if repeats < 20 || repeats < fresh || repeats > 20 * fresh {
        return None;
    }
    let span = trace.time.last()? - trace.time.first()?;
    let refresh = span / trace.len() as f64 * (repeats + fresh) as f64 / fresh.max(1) as f64;
    Some(Defect {
        kind: DefectKind::StaleRepeat,
        channel: Some(channel),
        at_s: first,
        line: None,
        count: repeats,
        effect: format!("kept; each value is written again until its channel is polled, about every {refresh:.1} s"),
    })
}

/// Channels whose last reading comes well before the end of the log.
pub fn stopped(traces: &BTreeMap<Channel, Trace>, end: f64) -> Vec<Defect> {
    let mut defects = Vec::new();
    for (&channel, trace) in traces {
        let (Some(first), Some(last)) = (trace.time.first(), trace.time.last()) else { continue };
        let usual = (last - first) / trace.len().max(2) as f64;
        if end - last > (10.0 * usual).max(15.0) {
            defects.push(Defect {
                kind: DefectKind::TraceStops,
                channel: Some(channel),
                at_s: Some(*last),
                line: None,
                count: 1,
                effect: format!("no reading in the last {:.0} s of the log; nothing was filled in", end - last),
            });
        }
    }
    // An engine speed frozen at one value is no reading either: no engine turns that evenly.
    if let Some(trace) = traces.get(&Channel::EngineSpeed)
        && let Some(&frozen) = trace.value.last().filter(|value| **value > 0.0)
        && let Some(since) = trace.iter().rev_find_change(frozen)
        && trace.time.last().is_some_and(|&last| last - since > 30.0 && end - last < 15.0)
        && trace.value.iter().any(|value| *value != frozen)
    {
        defects.push(Defect {
            kind: DefectKind::TraceStops,
            channel: Some(Channel::EngineSpeed),
            at_s: Some(since),
            line: None,
            count: 1,
            effect: format!("stands at {frozen} rpm for the last {:.0} s of the log; kept", end - since),
        });
    }
    defects
}

/// Finds where a trace's closing run of one value begins.
trait RevFindChange {
    fn rev_find_change(self, value: f64) -> Option<f64>;
}

impl<I: Iterator<Item = (f64, f64)>> RevFindChange for I {
    fn rev_find_change(self, value: f64) -> Option<f64> {
        self.fold(None, |since, (time, now)| if now == value { since.or(Some(time)) } else { None })
    }
}

/// Rows from before the engine fired.
pub fn before_start(traces: &BTreeMap<Channel, Trace>) -> Option<Defect> {
    let trace = traces.get(&Channel::EngineSpeed)?;
    let still = trace.value.iter().take_while(|value| **value == 0.0).count();
    let fires = *trace.time.get(still)?;
    (still > 0).then(|| Defect {
        kind: DefectKind::BeforeStart,
        channel: None,
        at_s: trace.time.first().copied(),
        line: None,
        count: still,
        effect: format!("kept; the engine fires {fires:.1} s after the first row"),
    })
}

/// Step between neighbouring values that the unit can report: the smallest distance between two different values, where most
/// distances are multiples of it; else the smallest one as it stands. 0 for a trace of one value.
pub fn step(values: &[f64]) -> f64 {
    let mut distinct = values.to_vec();
    distinct.dedup();
    distinct.sort_unstable_by(f64::total_cmp);
    distinct.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let mut distances: Vec<f64> = distinct.windows(2).filter_map(|pair| Some(pair.get(1)? - pair.first()?)).collect();
    distances.sort_unstable_by(f64::total_cmp);
    let Some(&least) = distances.first() else { return 0.0 };
    let regular = |step: f64| {
        let fits = distances.iter().filter(|distance| ((*distance / step).round() * step - *distance).abs() < 0.05 * step + 1e-6).count();
        fits * 10 >= distances.len() * 9
    };
    let median = distances.get(distances.len() / 2).copied().unwrap_or(least);
    let found = if regular(least) {
        least
    } else if regular(median) {
        median
    } else {
        least
    };
    // Rounding of the conversion from °F leaves 0.55555…; nothing is gained by more than six decimals.
    (found * 1e6).round() / 1e6
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_step_of_a_unit_is_seen_in_its_values() {
        assert_eq!(step(&[24.0, 25.0, 27.0, 30.0, 30.0]), 1.0);
        assert_eq!(step(&[10.0, 10.555_555_6, 11.666_666_7]), 0.555_556);
        assert_eq!(step(&[80.0, 80.0]), 0.0);
        assert_eq!(step(&[]), 0.0);
    }

    #[test]
    fn a_pause_of_many_spacings_is_a_gap() {
        assert_eq!(gaps(&[0.0, 0.5, 1.0, 16.0, 16.5], 0.5, false), [[1.0, 16.0]]);
        assert_eq!(gaps(&[0.0, 0.5, 3.0], 0.5, false), Vec::<[f64; 2]>::new(), "2.5 s are too short to matter");
        assert_eq!(gaps(&[0.0, 10.0, 20.0], 10.0, false), Vec::<[f64; 2]>::new(), "a slow log has no gaps");
    }
}
