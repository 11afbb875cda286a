//! Least squares with bounds, by an active set.
//!
//! A coefficient is either free or held at one of its bounds. From a feasible point, the held one whose release lowers the sum of
//! squares fastest is freed, the free ones are solved exactly, and where that oversteps a bound the step is cut there and the
//! coefficient held. The sum of squares falls at each step and there are finitely many sets, so this ends (Stark and Parker 1995).

use super::{Fit, dot, triangle::Triangle};

/// Steps after which rounding, not progress, must be moving coefficients in and out: far above the two or three passes per column
/// that problems of this size take.
const MOST_STEPS: usize = 400;

/// Smallest gain worth releasing a coefficient for, relative to the length of the target: rounding of the gradient.
const GRADIENT_ROUNDING: f64 = 1e-13;

/// Minimum of the reduced problem within the bounds.
pub(super) fn solve(problem: &Triangle, lower: &[f64], upper: &[f64]) -> Option<Fit> {
    let p = problem.columns.len();
    if lower.len() != p || upper.len() != p || lower.iter().zip(upper).any(|(l, u)| l.is_nan() || u.is_nan() || l > u) {
        return None;
    }
    let low: Vec<f64> = lower.iter().zip(&problem.scale).map(|(v, s)| v * s).collect();
    let high: Vec<f64> = upper.iter().zip(&problem.scale).map(|(v, s)| v * s).collect();
    let fixed: Vec<bool> = low.iter().zip(&high).map(|(l, h)| l == h).collect();

    // Most fits keep their bounds by themselves.
    let all: Vec<bool> = fixed.iter().map(|f| !f).collect();
    if let Some((x, _)) = problem.free_solution(&all, &low)
        && inside(&x, &low, &high)
    {
        return problem.fit(&all, &low);
    }

    // Start with everything that has a bound held at the one nearest to zero.
    let mut x: Vec<f64> = low.iter().zip(&high).map(|(l, h)| nearest_bound(*l, *h)).collect();
    let mut free: Vec<bool> = low.iter().zip(&high).map(|(l, h)| l.is_infinite() && h.is_infinite()).collect();
    let mut barred = fixed.clone();
    settle(problem, &low, &high, &mut free, &mut x)?;
    for _ in 0..MOST_STEPS {
        let Some(released) = steepest(problem, &low, &high, &free, &barred, &x) else {
            return problem.fit(&free, &x);
        };
        let before = x.clone();
        let held = free.clone();
        free[released] = true;
        if settle(problem, &low, &high, &mut free, &mut x).is_none() || x == before {
            // The column depends on the free ones, or rounding alone made it look worth releasing.
            (free, x) = (held, before);
            barred[released] = true;
        } else {
            barred.clone_from(&fixed);
        }
    }
    None
}

/// Solves the free coefficients, cutting the step at the first bound in the way until none is.
fn settle(problem: &Triangle, low: &[f64], high: &[f64], free: &mut [bool], x: &mut [f64]) -> Option<()> {
    for _ in 0..=x.len() {
        let (wanted, _) = problem.free_solution(free, x)?;
        let mut cut: Option<(usize, f64)> = None;
        for j in (0..x.len()).filter(|&j| free[j]) {
            let bound = if wanted[j] < low[j] { low[j] } else { high[j] };
            if wanted[j] < low[j] || wanted[j] > high[j] {
                let share = ((bound - x[j]) / (wanted[j] - x[j])).clamp(0.0, 1.0);
                if cut.is_none_or(|(_, least)| share < least) {
                    cut = Some((j, share));
                }
            }
        }
        let share = cut.map_or(1.0, |(_, share)| share);
        for j in (0..x.len()).filter(|&j| free[j]) {
            x[j] = if share == 1.0 { wanted[j] } else { x[j] + share * (wanted[j] - x[j]) }.clamp(low[j], high[j]);
        }
        let Some((blocked, _)) = cut else { return Some(()) };
        x[blocked] = if wanted[blocked] < low[blocked] { low[blocked] } else { high[blocked] };
        free[blocked] = false;
    }
    Some(())
}

/// The held coefficient whose release towards its inside lowers the sum of squares fastest; `None` at the minimum.
fn steepest(problem: &Triangle, low: &[f64], high: &[f64], free: &[bool], barred: &[bool], x: &[f64]) -> Option<usize> {
    let residual = problem.residual(x);
    let least = GRADIENT_ROUNDING * dot(&problem.target, &problem.target).sqrt();
    (0..x.len())
        .filter(|&j| !free[j] && !barred[j])
        .map(|j| {
            let slope = dot(&problem.columns[j], &residual);
            let gain = if x[j] <= low[j] {
                slope
            } else if x[j] >= high[j] {
                -slope
            } else {
                slope.abs()
            };
            (j, gain)
        })
        .filter(|(_, gain)| *gain > least)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(j, _)| j)
}

/// Whether every coefficient lies within its bounds.
fn inside(x: &[f64], low: &[f64], high: &[f64]) -> bool {
    x.iter().zip(low.iter().zip(high)).all(|(v, (l, h))| l <= v && v <= h)
}

/// The finite bound nearest to zero; zero if there is none.
fn nearest_bound(low: f64, high: f64) -> f64 {
    match (low.is_finite(), high.is_finite()) {
        (true, true) if high.abs() < low.abs() => high,
        (true, _) => low,
        (false, true) => high,
        (false, false) => 0.0,
    }
}
