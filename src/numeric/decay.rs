//! Exponential approach to a level: cooling down, warming up, settling.
//!
//! ```text
//! y(t) = A + (Y − A)·exp(−(t − o)/τ)      A asymptote, Y value at the origin o, τ time constant
//! ```
//!
//! For a fixed τ the rest is a straight line of y against the exponential, solved exactly (variable projection), so only τ is
//! searched: over a grid from less than a sample to a hundred records, every low point of which is refined, so that no starting value is
//! needed and none can mislead. Steps linearised in all parameters finish the work and give the covariance. Intervals of τ and of the moment
//! at which a level is reached are read off the profile S(τ), which is lopsided whenever the record is shorter than a few τ:
//!
//! ```text
//! { S ≤ S_min·(1 + F₀.₉₅(1, n_eff − p)/(n_eff − p)) }      95 %, p free parameters
//! ```
//!
//! Limits: one time constant, noise of one size. With A free, a record shorter than about τ leaves τ unbounded and says so; an
//! asymptote stated by the caller is taken as exact, so one known to ± u is tried at both ends. Residuals of slow readings are correlated: the
//! caller passes `n_eff`, or uses [`fit_correlated`].
//!
//! # References
//!
//! - Golub, G. H. and Pereyra, V. (1973). The differentiation of pseudo-inverses and nonlinear least squares problems whose variables
//!   separate. *SIAM J. Numer. Anal.* 10, 413–432.
//! - Bates, D. M. and Watts, D. G. (1988). *Nonlinear Regression Analysis and Its Applications*, chapter 6 (profiles; from memory).
//! - Fieller, E. C. (1954). Some problems in interval estimation. *J. R. Stat. Soc. B* 16, 175–185 (ratio of two estimates).

mod projected;
mod search;
mod two_point;

use crate::estimate::student_quantile;
use projected::Projected;
pub use search::{fit, fit_correlated};
pub use two_point::{Reading, TwoPoint, two_point};

/// What the caller knows beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Known {
    /// Nothing: asymptote, start and time constant are fitted.
    Nothing,
    /// The level approached.
    Asymptote(f64),
    /// The value at one moment, which becomes the origin.
    Start {
        /// The moment.
        time: f64,
        /// The value there.
        value: f64,
    },
}

/// Why no decay is reported. Each is a normal outcome, not a bug.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoDecay {
    /// Not enough samples (or numbers that are not finite), or not worth enough.
    TooFewSamples {
        /// Samples at hand, or what they are worth if that is less.
        have: usize,
        /// Samples needed.
        need: usize,
    },
    /// The data bear any time constant down to nothing or up to no end: a level, a straight line, or too short a record.
    Unbounded,
}

/// A fitted approach.
#[derive(Clone, Debug, PartialEq)]
pub struct Decay {
    /// Level approached, A.
    pub asymptote: f64,
    /// Value at the origin, Y.
    pub start: f64,
    /// Moment that `start` belongs to: the first sample, or the known one.
    pub origin: f64,
    /// Time constant τ, in the unit of time.
    pub time_constant: f64,
    /// 95 % interval of τ, off the profile.
    pub time_constant_interval: [f64; 2],
    /// Covariance of (asymptote, start, time constant); rows and columns of a known one are 0.
    pub covariance: [[f64; 3]; 3],
    /// Sum of squared residuals.
    pub rss: f64,
    /// Degrees of freedom, n_eff less the free parameters.
    pub degrees_of_freedom: f64,
    /// What the samples were taken to be worth.
    pub n_eff: f64,
    /// Solutions for τ through its interval, for the intervals of whatever follows from the fit.
    profile: Vec<Projected>,
}

/// When a level is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passing {
    /// The moment, on the clock of the samples.
    pub time: f64,
    /// Its standard deviation, linearised.
    pub deviation: f64,
    /// 95 % interval off the profile; the late end is infinite where the data allow that the level is never reached.
    pub interval_95: [f64; 2],
}

impl Decay {
    /// Value of the fitted curve at `time`.
    pub fn at(&self, time: f64) -> f64 {
        self.asymptote + (self.start - self.asymptote) * (-(time - self.origin) / self.time_constant).exp()
    }

    /// Standard deviation of the time constant.
    pub fn time_constant_deviation(&self) -> f64 {
        self.covariance[2][2].sqrt()
    }

    /// Standard deviation of the asymptote; 0 if it was known.
    pub fn asymptote_deviation(&self) -> f64 {
        self.covariance[0][0].sqrt()
    }

    /// What the readings leave over, in their order.
    pub fn residuals(&self, time: &[f64], value: &[f64]) -> Vec<f64> {
        time.iter().zip(value).map(|(t, y)| y - self.at(*t)).collect()
    }

    /// When the curve passes `level`, forward or back from the record; `None` where the fitted curve never does.
    ///
    /// For each τ the share left of the fall, (level − A)/(Y − A), is a ratio of two estimates, and the widest that the limit on S
    /// allows is a quadratic (Fieller). The interval is the union over the τ of the profile.
    pub fn passes(&self, level: f64) -> Option<Passing> {
        let (fall, above) = (self.start - self.asymptote, level - self.asymptote);
        let left = above / fall;
        if left.is_nan() || left <= 0.0 || left.is_infinite() {
            return None;
        }
        let time = self.origin - self.time_constant * left.ln();
        let gradient = [self.time_constant * (1.0 / above - 1.0 / fall), self.time_constant / fall, -left.ln()];
        let variance: f64 = (0..3).map(|i| (0..3).map(|j| gradient[i] * self.covariance[i][j] * gradient[j]).sum::<f64>()).sum();
        let allowed = 1.0 + student_quantile(0.975, self.degrees_of_freedom).powi(2) / self.degrees_of_freedom;
        let limit = allowed * self.rss;
        let mut interval_95 = [time, time];
        for shape in &self.profile {
            let [most, least] = shape.share_left(level, limit);
            let moment = |share: f64| if share > 0.0 { self.origin - shape.time_constant * share.ln() } else { f64::INFINITY };
            interval_95[0] = interval_95[0].min(moment(most));
            interval_95[1] = interval_95[1].max(moment(least));
        }
        Some(Passing { time, deviation: variance.max(0.0).sqrt(), interval_95 })
    }
}
