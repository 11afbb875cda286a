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
