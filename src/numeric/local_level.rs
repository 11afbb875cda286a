//! Whitening a reading whose model is a little wrong everywhere.
//!
//! Used by the warm-up model: the coolant follows a heat balance, the balance errs slowly (a load nobody logged, a heater turned
//! up), and the reading is rounded. Ordinary least squares would take those slow errors for independent noise and be far too sure.
//!
//! ```text
//! Lᵢ = Lᵢ₋₁ + (model step)ᵢ + wᵢ      wᵢ ~ N(0, walk variance)        what the model does not know adds up
//! yᵢ = Lᵢ + vᵢ                         vᵢ ~ N(0, reading varianceᵢ)    rounding and noise of the reading
//! ```
//!
//! The Kalman filter of that pair turns y into independent innovations of unit variance. It is linear and its gains do not depend
//! on y, so the same filter applied to each column of a linear model gives the generalised least-squares problem; the first
//! value only sets the level (a diffuse start).
//!
//! Limits: uniform steps; a missing reading has infinite variance and yields 0.
//!
//! # References
//!
//! - Harvey, A. C. (1989). *Forecasting, structural time series models and the Kalman filter*. Cambridge University Press,
//!   section 3.4 (regression effects and generalised least squares by the filter; section from memory).

/// The filter for one pair of variances and one pattern of readings.
pub struct Whitener {
    gains: Vec<f64>,
    scales: Vec<f64>,
    log_determinant: Vec<f64>,
}

impl Whitener {
    /// Builds the filter: `reading_variance` one a step (infinite where there is no reading), `walk_variance` a step.
    pub fn new(reading_variance: &[f64], walk_variance: f64) -> Self {
        let mut filter = Self { gains: Vec::new(), scales: Vec::new(), log_determinant: Vec::new() };
        let mut level_variance = f64::INFINITY;
        let mut log_determinant = 0.0;
        for &variance in reading_variance {
            level_variance += walk_variance;
            let (gain, scale) = if variance.is_infinite() {
                (0.0, 0.0)
            } else if level_variance.is_infinite() {
                level_variance = variance;
                (1.0, 0.0)
            } else {
                let innovation = level_variance + variance;
                let gain = level_variance / innovation;
                level_variance *= 1.0 - gain;
                log_determinant += innovation.ln();
                (gain, innovation.sqrt().recip())
            };
            filter.gains.push(gain);
            filter.scales.push(scale);
            filter.log_determinant.push(log_determinant);
        }
        filter
    }

    /// Innovations of a series under the filter, each divided by its standard deviation; as long as the shorter of the two.
    pub fn whiten(&self, series: &[f64]) -> Vec<f64> {
        let mut level = 0.0;
        let filter = self.gains.iter().zip(&self.scales);
        filter
            .zip(series)
            .map(|((gain, scale), value)| {
                let innovation = value - level;
                level += gain * innovation;
                innovation * scale
            })
            .collect()
    }

    /// Sum of the logarithms of the innovation variances over the first `steps`.
    pub fn log_determinant(&self, steps: usize) -> f64 {
        match steps.min(self.log_determinant.len()) {
            0 => 0.0,
            steps => self.log_determinant[steps - 1],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_series_without_walk_is_measured_against_its_running_mean() {
        let whitened = Whitener::new(&[1.0; 4], 0.0).whiten(&[2.0, 4.0, 3.0, 3.0]);
        let expected = [0.0, 2.0 / 2f64.sqrt(), 0.0, 0.0];
        for (got, want) in whitened.iter().zip(expected) {
            assert!((got - want).abs() < 1e-12, "{whitened:?}");
        }
    }

    #[test]
    fn a_missing_reading_adds_nothing_but_lets_the_walk_go_on() {
        let filter = Whitener::new(&[1.0, f64::INFINITY, 1.0], 1.0);
        let whitened = filter.whiten(&[0.0, 99.0, 2.0]);
        assert_eq!(whitened[1], 0.0);
        assert!((whitened[2] - 2.0 / (1.0 + 2.0 + 1.0f64).sqrt()).abs() < 1e-12);
        assert!((filter.log_determinant(3) - 4f64.ln()).abs() < 1e-12);
    }
}
