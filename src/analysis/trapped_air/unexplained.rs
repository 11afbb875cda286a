//! Unexplained changes: does the reading rise or fall in a way that neither its own course nor what drives it foretells?
//!
//! Coolant that fills its circuit follows heat, road speed and its own recent course, each vehicle in its own way; slugs of vapour,
//! flow that comes and goes and a wetted core that changes do not. So the run teaches its own law:
//!
//! ```text
//! T(t+15 s) − T(t)  ≈  rises over the last 8, 15, 30, 60 s · stretches of T (the valve bends the law) ·
//!                      heat, road speed, revs over the last minute, the last 15 s and the next 15 s ·
//!                      how far T stands above or below its median × each of those · standing or moving
//! ```
//!
//! by ridge regression, and what that leaves is unexplained. Fan cycles, hunting, climbs and descents repeat within a run and are
//! learned with it; a rare change that nothing announces is not. The 99th percentile of rises and the 1st of falls measure it; the size
//! of ordinary changes goes with them, because a livelier drive leaves more.
//!
//! Limits: five minutes of readings at least. Gas that disturbs throughout is partly learned as the vehicle's own way.

use super::drive::{Drive, STEP_S};
use crate::numeric::{moments, ridge, robust};

/// How far ahead the change is foretold, in steps.
const AHEAD: usize = (15.0 / STEP_S) as usize;

/// How far back the law looks, in steps.
const BACK: usize = (60.0 / STEP_S) as usize;

/// Rises that the law looks at, in steps.
const RISES: [usize; 4] = [8, 15, 30, 60];

/// Shares of the readings where the law may bend.
const BENDS: [f64; 4] = [0.15, 0.4, 0.7, 0.92];

/// Fewest steps looked at.
const FEWEST: usize = 300;

/// Weight of the penalty on coefficients: small, for they are many and alike.
const PENALTY: f64 = 0.015;

/// Road speed below which a vehicle stands, km/h.
const STANDS: f64 = 2.0;

/// How many of the greatest rises are kept.
const GREATEST: usize = 3;

/// What is left unexplained of one stretch.
#[derive(Clone, Debug, PartialEq)]
pub struct Unexplained {
    /// 99th percentile of what is left, K in 15 s.
    pub rise: f64,
    /// 1st percentile, its sign turned, K in 15 s.
    pub fall: f64,
    /// 98th percentile in the last third.
    pub late_rise: f64,
    /// The rise in the first and second half of the stretch.
    pub halves: [f64; 2],
    /// Standard deviation of the changes themselves, K in 15 s.
    pub ordinary: f64,
    /// When rises beyond the 99th percentile were first and last seen, in seconds from the first row.
    pub at_s: [f64; 2],
    /// When the greatest unexplained rises began, greatest first, in seconds from the first row, and how great they were, K in 15 s.
    pub greatest: Vec<[f64; 2]>,
}

/// Measures a stretch of the drive, in steps from `from` to `to`; `None` where it is too short.
pub fn measure(drive: &Drive, from: usize, to: usize) -> Option<Unexplained> {
    let reading = drive.coolant.get(from..to)?;
    if reading.len() < FEWEST {
        return None;
    }
    let moments_of_time: Vec<usize> = (BACK..reading.len() - AHEAD).collect();
    let change: Vec<f64> = moments_of_time.iter().map(|&t| reading[t + AHEAD] - reading[t]).collect();
    let drivers = [&drive.heat, &drive.speed, &drive.revs].map(|driver| &driver[from..to]);
    let left = ridge::residuals(&law(reading, drivers, &moments_of_time), &change, PENALTY)?;
    let unknown = sums(drive.known[from..to].iter().map(|&known| f64::from(u8::from(!known))));
    let known: Vec<(usize, f64)> = moments_of_time
        .iter()
        .zip(left)
        .filter(|(t, _)| unknown[(*t + AHEAD + 8).min(reading.len())] - unknown[t.saturating_sub(15)] < 0.5)
        .map(|(&t, rest)| (t, rest))
        .collect();
    if known.len() < FEWEST / 3 {
        return None;
    }
    let rests = |part: &[(usize, f64)]| part.iter().map(|(_, rest)| *rest).collect::<Vec<f64>>();
    let rise = robust::quantile(&rests(&known), 0.99)?;
    let (early, late) = known.split_at(known.len() / 2);
    let mut beyond = known.iter().filter(|(_, rest)| *rest >= rise).map(|&(t, _)| drive.time(from + t));
    let first = beyond.next()?;
    Some(Unexplained {
        rise,
        fall: -robust::quantile(&rests(&known), 0.01)?,
        late_rise: robust::quantile(&rests(&known[known.len() * 2 / 3..]), 0.98)?,
        halves: [robust::quantile(&rests(early), 0.99)?, robust::quantile(&rests(late), 0.99)?],
        ordinary: moments::deviation(&change)?,
        at_s: [first, beyond.next_back().unwrap_or(first) + AHEAD as f64 * STEP_S],
        greatest: greatest(&known).into_iter().map(|(t, rest)| [drive.time(from + t), rest]).collect(),
    })
}

/// The greatest of what is left, each a minute from the others.
fn greatest(left: &[(usize, f64)]) -> Vec<(usize, f64)> {
    let mut order = left.to_vec();
    order.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut chosen: Vec<(usize, f64)> = Vec::new();
    for (t, rest) in order {
        if chosen.len() == GREATEST {
            break;
        }
        if chosen.iter().all(|(other, _)| t.abs_diff(*other) >= BACK) {
            chosen.push((t, rest));
        }
    }
    chosen
}

/// The columns of the law at each of some moments.
fn law(reading: &[f64], drivers: [&[f64]; 3], times: &[usize]) -> Vec<Vec<f64>> {
    let middle = robust::median(reading).unwrap_or(0.0);
    let above = at(times, |t| (reading[t] - middle).max(0.0));
    let below = at(times, |t| (reading[t] - middle).min(0.0));
    let stands = at(times, |t| f64::from(u8::from(drivers[1][t] < STANDS)));
    let mut columns: Vec<Vec<f64>> = RISES.iter().map(|&back| at(times, |t| reading[t] - reading[t - back])).collect();
    columns.push(at(times, |t| reading[t]));
    for share in BENDS {
        let bend = robust::quantile(reading, share).unwrap_or(middle);
        columns.push(at(times, |t| (reading[t] - bend).max(0.0)));
    }
    for driver in drivers {
        let sums = sums(driver.iter().copied());
        let mean = |from: usize, to: usize| (sums[to] - sums[from]) / (to - from) as f64;
        let next = at(times, |t| mean(t, t + AHEAD));
        let bent = [product(&above, &next), product(&below, &next)];
        columns.extend([next, at(times, |t| mean(t - AHEAD, t)), at(times, |t| mean(t - BACK, t - AHEAD))]);
        columns.extend(bent);
    }
    let standing = [product(&stands, &above), product(&stands, &below)];
    columns.push(stands);
    columns.extend(standing);
    columns
}

/// A column of the law.
fn at(times: &[usize], value: impl Fn(usize) -> f64) -> Vec<f64> {
    times.iter().map(|&t| value(t)).collect()
}

/// Two columns, moment by moment.
fn product(a: &[f64], b: &[f64]) -> Vec<f64> {
    a.iter().zip(b).map(|(a, b)| a * b).collect()
}

/// Running sums, one more than values.
fn sums(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut sum = 0.0;
    std::iter::once(0.0)
        .chain(values.map(|value| {
            sum += value;
            sum
        }))
        .collect()
}
