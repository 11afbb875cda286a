//! Load slope: does the reading at road speed go up with the heat input?
//!
//! ```text
//! T = c + b·(heat input after a lag of LAG_S) + residual
//! ```
//!
//! over everything at road speed, with the covariance grown by what the correlated residuals are worth. What is returned is the
//! change of the reading from the 5th to the 95th percentile of the lagged heat input, which does not depend on the heat's own
//! scale.
//!
//! Limits: a healthy thermostat has a small slope too, or a negative one where the heater of a mapped valve opens it under load;
//! only together with a rise beyond the ordinary does a slope mean a radiator.

use crate::analysis::heat_input::HeatInput;
use crate::analysis::phases::Phases;
use crate::estimate::{Estimate, Unit};
use crate::numeric::{autocorrelation, line::Line, robust};
use crate::run::Trace;

/// How long heat takes to show in the reading of a loaded engine and radiator, in seconds (memory).
const LAG_S: f64 = 60.0;

/// Width of the clock, in seconds.
const CLOCK_S: f64 = 5.0;

/// The change of the reading with heat input over the stretches; `None` where there is less than two minutes of them or the heat
/// never changes.
pub(super) fn find(drive: &Trace, phases: &Phases, heat: &HeatInput, moving: &[[f64; 2]]) -> Option<Estimate> {
    let (first, last) = (*drive.time.first()?, *drive.time.last()?);
    let keep = (-CLOCK_S / LAG_S).exp();
    let mut lagged = heat.at(first, phases);
    let (mut time, mut input, mut reading) = (Vec::new(), Vec::new(), Vec::new());
    let mut stretch = moving.iter().peekable();
    for k in 0..((last - first) / CLOCK_S).clamp(0.0, 1e6) as usize {
        let at = first + k as f64 * CLOCK_S;
        lagged = heat.at(at, phases) + (lagged - heat.at(at, phases)) * keep;
        while stretch.next_if(|[_, to]| *to < at).is_some() {}
        if stretch.peek().is_some_and(|[from, _]| *from <= at) {
            time.push(at);
            input.push(lagged);
            reading.push(drive.at(at)?);
        }
    }
    let span = robust::quantile(&input, 0.95)? - robust::quantile(&input, 0.05)?;
    if time.len() < 24 || span <= 1e-6 {
        return None;
    }
    let line = Line::through(&input, &reading, None)?;
    let n_eff = autocorrelation::of_residuals(&time, &line.residuals(&input, &reading), 2).n_eff;
    let line = line.correlated(time.len() as f64, n_eff);
    Some(Estimate::from_interval(line.slope * span, line.slope_interval().map(|slope| slope * span), Unit::Kelvin))
}
