//! Numerics on plain `f64`: fits, robust statistics, break points, decays, swings.
//!
//! Nothing here knows of coolant or cars. Times are seconds and readings are whatever the caller has; every function takes
//! slices, answers `None` or a reason where the data cannot carry an answer, and never panics on any input.
//!
//! Readings of a slow process are correlated, so most methods take an effective number of samples `n_eff` instead of trusting the
//! count: [`autocorrelation`] finds it.

pub mod autocorrelation;
pub mod broken_line;
pub mod decay;
pub mod least_squares;
pub mod line;
pub mod local_level;
pub mod moments;
pub mod nonnegative;
pub mod oscillation;
pub mod plateau;
pub mod ridge;
pub mod robust;

/// Sums that run side by side in [`sum`] and [`dot`], because each addition to one sum waits for the one before.
const LANES: usize = 8;

/// Sum of a term for each value.
fn sum(values: &[f64], term: impl Fn(f64) -> f64) -> f64 {
    let (chunks, rest) = values.as_chunks::<LANES>();
    let mut sums = [0.0; LANES];
    for chunk in chunks {
        sums.iter_mut().zip(chunk).for_each(|(sum, value)| *sum += term(*value));
    }
    sums.iter().sum::<f64>() + rest.iter().map(|value| term(*value)).sum::<f64>()
}

/// Sum of products of two slices, up to the end of the shorter one.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let both = a.len().min(b.len());
    let ((a, a_rest), (b, b_rest)) = (a[..both].as_chunks::<LANES>(), b[..both].as_chunks::<LANES>());
    let mut sums = [0.0; LANES];
    for (a, b) in a.iter().zip(b) {
        sums.iter_mut().zip(a.iter().zip(b)).for_each(|(sum, (x, y))| *sum += x * y);
    }
    sums.iter().sum::<f64>() + a_rest.iter().zip(b_rest).map(|(x, y)| x * y).sum::<f64>()
}
