//! What a coolant trace is recognised by, however its clock or its zero was moved.
//!
//! A copied trace may begin later, or read a constant higher; what stays is how it changes. So the trace becomes its changes: by how
//! much, and how long after the last one. Each run of [`LENGTH`] changes is hashed, and the [`KEPT`] smallest hashes are kept. Of two
//! traces that share most of their runs most of the kept hashes agree (Broder's resemblance, estimated from the smallest hashes), and
//! two drives that differ share next to none: a run of changes would have to repeat to the tenth of a second.
//!
//! Agreement is only a reason to compare the traces themselves ([`super::twin`]).
//!
//! Limits: a trace with fewer than [`LEAST_RUNS`] runs has no fingerprint; a short piece cut out of a long trace shares too little of it.
//!
//! # References
//!
//! - Broder, A. Z. (1997). On the resemblance and containment of documents. *Proc. Compression and Complexity of Sequences*, 21–29.
//!   (From memory.)

use crate::run::Trace;
use serde::{Deserialize, Serialize};

/// Changes in a run that is hashed. Whole degrees a second apart repeat; eight intervals between them hardly do.
pub const LENGTH: usize = 8;

/// Smallest hashes kept.
pub const KEPT: usize = 16;

/// Fewer runs than this do not tell one drive from another.
pub const LEAST_RUNS: usize = 12;

/// Of [`KEPT`] hashes this many must agree for two traces to be compared.
pub const ALIKE: usize = 4;

/// Width of the steps in which an interval between changes is counted, in seconds, and where they begin: off every grid of
/// milliseconds, so that rounding in the last bit of a clock does not move an interval into the next step.
const INTERVAL: (f64, f64) = (0.4, 0.371_718_281_8);

/// The same of a change, in the channel's unit; readings are written with at most a few decimals.
const CHANGE: (f64, f64) = (0.02, 0.371_718_281_8);

/// Smallest hashes, ascending; none for a trace that cannot be told from others.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fingerprint(pub Vec<u32>);

impl Fingerprint {
    /// Whether two traces are alike enough to be compared.
    pub fn alike(&self, other: &Self) -> bool {
        self.0.iter().filter(|hash| other.0.binary_search(hash).is_ok()).count() >= ALIKE
    }
}

/// A trace's fingerprint.
pub fn of(trace: &Trace) -> Fingerprint {
    let mut hashes: Vec<u32> = runs(trace).into_iter().map(|(_, hash)| (hash >> 32) as u32).collect();
    hashes.sort_unstable();
    hashes.dedup();
    if hashes.len() < LEAST_RUNS {
        return Fingerprint::default();
    }
    hashes.truncate(KEPT);
    Fingerprint(hashes)
}

/// Each run of changes: the row at which it ends, and its hash.
pub fn runs(trace: &Trace) -> Vec<(usize, u64)> {
    let mut changes: Vec<(usize, u64)> = Vec::new();
    let (mut last_value, mut last_time) = (None::<f64>, None::<f64>);
    for (row, (time, value)) in trace.iter().enumerate() {
        let change = value - last_value.unwrap_or(value);
        if last_value.is_some() && counted(change, CHANGE) == counted(0.0, CHANGE) {
            continue;
        }
        // The first change has no interval before it: it only starts the count.
        if let (Some(_), Some(since)) = (last_value, last_time) {
            changes.push((row, mixed(counted(change, CHANGE), counted(time - since, INTERVAL))));
        }
        if last_value.is_some() {
            last_time = Some(time);
        }
        last_value = Some(value);
    }
    changes.windows(LENGTH).filter_map(|run| Some((run.last()?.0, run.iter().fold(0, |hash, &(_, change)| mixed(hash, change))))).collect()
}

/// How many steps of a width.
fn counted(value: f64, (width, offset): (f64, f64)) -> u64 {
    // A whole number far below 2^63; its sign folds into the bits.
    ((value / width + offset).floor() as i64) as u64
}

/// Two numbers as one with well-spread bits: multiply and fold, with odd constants whose bits look random (digits of √2 and √3).
fn mixed(first: u64, second: u64) -> u64 {
    let bits = (first ^ 0x6A09_E667_F3BC_C909).wrapping_mul(0xBB67_AE85_84CA_A73B) ^ second;
    let bits = (bits ^ (bits >> 32)).wrapping_mul(0x6A09_E667_F3BC_C909);
    let bits = (bits ^ (bits >> 29)).wrapping_mul(0xBB67_AE85_84CA_A73B);
    bits ^ (bits >> 32)
}
