//! Is one coolant trace a copy of another: the same readings, at other times or a constant apart?
//!
//! Runs of changes that both traces have ([`super::fingerprint`]) each propose how far the one is shifted against the other; the shift
//! that most of them propose is tried on every reading. Two drives never repeat reading by reading, so nothing is weighed: the shorter
//! trace lies in the longer one or it does not.
//!
//! Limits: a copy on another scale, resampled or smoothed is not recognised.

use super::fingerprint;
use crate::run::Trace;
use std::collections::{BTreeMap, HashMap};

/// Share of the shorter trace's readings that must be in the longer one. The rest is what reading a log whose rows were cut or
/// whose clock was rebuilt may change.
const LEAST_SHARE: f64 = 0.9;

/// Readings are the same if they agree to this, in kelvin: a constant added to written decimals comes back to it.
const SAME_READING: f64 = 0.011;

/// Moments are the same if they agree to this, in seconds.
const SAME_MOMENT: f64 = 0.06;

/// Least number of runs of changes that must propose the shift.
const LEAST_VOTES: usize = 3;

/// A trace found in another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Twin {
    /// To be added to the first trace's times to come to the second's, in seconds.
    pub shift_s: f64,
    /// To be added to the first trace's readings, in kelvin.
    pub constant_k: f64,
    /// Readings that agree.
    pub readings: usize,
    /// Their share of the shorter trace.
    pub share: f64,
}

impl Twin {
    /// How the two lie, in words: `moved by 12.0 s and by −3.0 K`.
    pub fn spoken(&self) -> String {
        let mut parts = Vec::new();
        if self.shift_s.abs() >= SAME_MOMENT {
            parts.push(format!("by {:.1} s", self.shift_s.abs()));
        }
        if self.constant_k.abs() >= SAME_READING {
            parts.push(format!("by {:.1} K", self.constant_k.abs()));
        }
        if parts.is_empty() { "reading by reading".to_owned() } else { format!("moved {}", parts.join(" and ")) }
    }
}

/// Whether two traces are one, and how far apart.
pub fn of(first: &Trace, second: &Trace) -> Option<Twin> {
    let (shift_s, constant_k) = proposed(first, second)?;
    let mut near = 0usize;
    let mut readings = 0usize;
    for (time, value) in first.iter() {
        while second.time.get(near).is_some_and(|&at| at < time + shift_s - SAME_MOMENT) {
            near += 1;
        }
        let beside = second.time.iter().zip(&second.value).skip(near).take_while(|(at, _)| **at <= time + shift_s + SAME_MOMENT);
        let mut beside = beside.map(|(_, reading)| (value + constant_k - reading).abs());
        readings += usize::from(beside.any(|apart| apart <= SAME_READING));
    }
    let share = readings as f64 / first.len().min(second.len()).max(1) as f64;
    (share >= LEAST_SHARE).then_some(Twin { shift_s, constant_k, readings, share: share.min(1.0) })
}

/// The shift in time and reading that most common runs of changes propose.
fn proposed(first: &Trace, second: &Trace) -> Option<(f64, f64)> {
    let there: HashMap<u64, usize> = fingerprint::runs(second).into_iter().map(|(row, hash)| (hash, row)).collect();
    let mut votes: BTreeMap<(i64, i64), Vec<(f64, f64)>> = BTreeMap::new();
    for (row, hash) in fingerprint::runs(first) {
        let Some(&other) = there.get(&hash) else { continue };
        let shift = second.time.get(other)? - first.time.get(row)?;
        let constant = second.value.get(other)? - first.value.get(row)?;
        // Half-open steps: a proposal at the edge of two has its twins in the same one but for rounding, and there are many.
        let key = ((shift / SAME_MOMENT + 0.37).floor() as i64, (constant / SAME_READING + 0.37).floor() as i64);
        votes.entry(key).or_default().push((shift, constant));
    }
    let most = votes.into_values().max_by_key(Vec::len).filter(|most| most.len() >= LEAST_VOTES)?;
    let middle = most.len() / 2;
    let median = |mut all: Vec<f64>| {
        all.sort_by(f64::total_cmp);
        all.get(middle).copied()
    };
    Some((median(most.iter().map(|vote| vote.0).collect())?, median(most.iter().map(|vote| vote.1).collect())?))
}
