//! Deciding from an interval: wholly inside the tolerance passes, wholly outside is a recheck, straddling is inconclusive.
//!
//! This is the simple acceptance rule with a guard band as wide as the expanded uncertainty, on both sides: neither a pass
//! nor a recheck is given away to measurement uncertainty.
//!
//! # References
//!
//! - JCGM 106:2012, clause 8.3: decision rules based on guard bands.

use crate::estimate::Estimate;
use serde::{Deserialize, Serialize};

/// What is decided about one finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Decision {
    /// The interval lies wholly inside the tolerance.
    Pass,
    /// The interval lies wholly outside.
    Recheck,
    /// The interval straddles a limit.
    Inconclusive,
    /// Nothing was recorded that could tell.
    NotJudged,
}

impl Decision {
    /// The word people read.
    pub fn spoken(self) -> &'static str {
        match self {
            Decision::Pass => "pass",
            Decision::Recheck => "recheck",
            Decision::Inconclusive => "inconclusive",
            Decision::NotJudged => "not judged",
        }
    }
}

/// What is decided about the vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Every finding that could tell is inside its limits, opening, regulation and trapped air among them.
    Pass,
    /// At least one finding is outside.
    Recheck,
    /// Neither.
    Inconclusive,
}

impl Verdict {
    /// The word people read.
    pub fn spoken(self) -> &'static str {
        match self {
            Verdict::Pass => "pass",
            Verdict::Recheck => "recheck",
            Verdict::Inconclusive => "inconclusive",
        }
    }

    /// The program's exit code: 0 pass, 1 recheck, 3 inconclusive (2 stands for "could not run").
    pub fn exit_code(self) -> u8 {
        match self {
            Verdict::Pass => 0,
            Verdict::Recheck => 1,
            Verdict::Inconclusive => 3,
        }
    }
}

/// Decides whether the measured quantity lies between `low` and `high`, both in the estimate's unit.
pub fn within(estimate: &Estimate, low: f64, high: f64) -> Decision {
    let [from, to] = estimate.interval_95;
    if from >= low && to <= high {
        Decision::Pass
    } else if to < low || from > high {
        Decision::Recheck
    } else {
        Decision::Inconclusive
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::estimate::Unit;

    #[test]
    fn a_band_from_85_to_91_decides_by_the_whole_interval() {
        for (value, u, expected) in [
            (88.0, 0.5, Decision::Pass),
            (88.0, 2.0, Decision::Inconclusive),
            (90.8, 0.5, Decision::Inconclusive),
            (79.0, 0.5, Decision::Recheck),
            (95.0, 0.5, Decision::Recheck),
        ] {
            assert_eq!(within(&Estimate::normal(value, u, Unit::Celsius), 85.0, 91.0), expected, "{value} u {u}");
        }
    }
}
