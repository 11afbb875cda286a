//! Late opening: did the reading overshoot and fall back further than the wax's ordinary lag explains?
//!
//! Wax that sits in vapour feels the coolant late. In liquid its lag lets the reading overshoot by the rise times some twenty
//! seconds; what goes beyond that, measured against the level that the valve then holds, is the sign.
//!
//! Limits: no stamped rating enters, so neither an inlet-side valve nor a wrong rating raises it. A climb just after the opening may.

use super::drive::Drive;
use crate::analysis::opening::{Opening, State};
use crate::estimate::{Estimate, Unit};
use crate::numeric::robust;

/// Ordinary lag of the wax, in seconds, and how far vehicles differ (as in `verdict::limits`, wider: it may stand in slow coolant).
const LAG_S: (f64, f64) = (21.0, 9.0);

/// Fewest seconds of readings after the overshoot.
const FEWEST_S: f64 = 120.0;

/// Overshoot beyond the ordinary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overshoot {
    /// How far, in kelvin.
    pub excess: Estimate,
    /// About when, in seconds from the first row.
    pub at_s: [f64; 2],
}

/// Looks at the readings about the opening; `None` where there was none, or too little after it.
pub fn look(drive: &Drive, opening: &Opening) -> Option<Overshoot> {
    if opening.state != State::Opened {
        return None;
    }
    let at = opening.knee_time?.value;
    let from = drive.step(at - 60.0);
    let about = drive.coolant.get(from..drive.step(at + 180.0))?;
    let (top, peak) = about.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
    let later = drive.coolant.get(drive.step(at + 120.0)..drive.step(at + 600.0))?;
    let held = robust::median(later).filter(|_| later.len() as f64 >= FEWEST_S)?;
    let swing = robust::spread(later).unwrap_or(1.0);
    let (lag, u_lag) = LAG_S;
    let rise = opening.rise_before;
    let u = 1.0f64.hypot(u_lag * rise).hypot(swing);
    let time = drive.time(from + top);
    Some(Overshoot { excess: Estimate::normal(peak - held - lag * rise, u, Unit::Kelvin), at_s: [time - 30.0, time + 60.0] })
}
