//! Sharp changes: does the reading move within seconds while the stretches before and after do not?
//!
//! The edge at a moment is what the reading does over a short width beyond the mean of its neighbours on both sides:
//!
//! ```text
//! e(t) = [T(t+w) − T(t)] − ½·[T(t) − T(t−w)] − ½·[T(t+2w) − T(t+w)]
//! ```
//!
//! A steady rise gives 0; a swing of amplitude A and period P gives 2A·sin(πw/P)·(1 − cos(2πw/P)), a tenth of a step of the same
//! size; a step gives its height. A thermostat that hunts and a fan that cycles therefore stay small without any threshold on them.
//!
//! Two numbers come of it. Burstiness is the fourth moment of the edges over that of a normal distribution: slugs are rare and high.
//! The 1st percentile of broader edges is how sharply the reading falls: a cold slug on the valve's opening does that in health, and so it
//! is weighed against the falls that nothing explains.
//!
//! Limits: polls slower than the width blur the edge.

use super::drive::{Drive, STEP_S};
use crate::numeric::{moments, robust};

/// Width for bursts and for falls, in steps.
const WIDTHS: [usize; 2] = [(6.0 / STEP_S) as usize, (12.0 / STEP_S) as usize];

/// Fewest edges looked at.
const FEWEST: usize = 120;

/// Edges of a stretch of the drive, those in gaps left out.
fn edges(drive: &Drive, from: usize, to: usize, width: usize) -> Vec<f64> {
    let t = &drive.coolant[from..to];
    let known = &drive.known[from..to];
    (width..t.len().saturating_sub(2 * width))
        .filter(|&i| [i - width, i, i + width, i + 2 * width].iter().all(|&at| known[at]))
        .map(|i| (t[i + width] - t[i]) - 0.5 * (t[i] - t[i - width]) - 0.5 * (t[i + 2 * width] - t[i + width]))
        .collect()
}

/// Fourth moment of the edges over three times the square of the second: 1 for normal noise, more for bursts. `None` for a stretch
/// that is too short.
pub fn burstiness(drive: &Drive, from: usize, to: usize) -> Option<f64> {
    let edges = edges(drive, from, to, WIDTHS[0]);
    let mean = moments::mean(&edges).filter(|_| edges.len() >= FEWEST)?;
    let second = edges.iter().map(|edge| (edge - mean).powi(2)).sum::<f64>() / edges.len() as f64;
    let fourth = edges.iter().map(|edge| (edge - mean).powi(4)).sum::<f64>() / edges.len() as f64;
    Some(fourth / (3.0 * second * second + 3e-7))
}

/// How sharply the reading falls: the 1st percentile of edges 12 s wide, its sign turned, in kelvin.
pub fn fall(drive: &Drive, from: usize, to: usize) -> Option<f64> {
    let edges = edges(drive, from, to, WIDTHS[1]);
    robust::quantile(&edges, 0.01).filter(|_| edges.len() >= FEWEST).map(|fall| -fall)
}
