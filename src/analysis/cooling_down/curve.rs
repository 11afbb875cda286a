//! The falling curve.
//!
//! ```text
//! reading(t) = A + θ₀·f(t) + B·exp(−t/σ)        f(t) = (1 + p·t/τ)^(−1/p),   exp(−t/τ) for p = 0
//! ```
//!
//! A is ambient as the sensor reads it, θ₀ the excess of the slow part at the origin, τ its time constant there. p is how the time
//! constant drifts: heat given off goes with excess^(1 + p), p being a quarter in still air (natural convection), more with
//! radiation, nothing by conduction; a second body that cools faster than the coolant looks like more of the same. B is what is
//! left of the hot soak, or of a fan that runs on; it is gone before any moment that is asked for.
//!
//! Limits: ambient stays as it is.
//!
//! # References
//!
//! - Incropera, F. P. et al. *Fundamentals of Heat and Mass Transfer*, chapters 5 and 9 (lumped cooling; laminar natural
//!   convection goes with ΔT^(5/4)).

/// One curve that the readings allow.
#[derive(Clone, Copy, Debug)]
pub struct Curve {
    /// Ambient as the sensor reads it, °C.
    pub ambient: f64,
    /// Excess of the slow part at the origin, K.
    pub excess: f64,
    /// Time constant at the origin, s.
    pub time_constant: f64,
    /// Drift p.
    pub drift: f64,
}

/// (1 + p·t/τ)^(−1/p), and 0 where a negative drift has reached the end.
pub fn share_left(time: f64, time_constant: f64, drift: f64) -> f64 {
    if drift == 0.0 { (-time / time_constant).exp() } else { (1.0 + drift * time / time_constant).max(0.0).powf(-1.0 / drift) }
}

impl Curve {
    /// Seconds from the origin until the slow part's excess over ambient has come down to `excess`; infinite for none.
    pub fn falls_to(&self, excess: f64) -> f64 {
        let ratio = self.excess / excess;
        if ratio.is_nan() || excess <= 0.0 || ratio <= 0.0 {
            return f64::INFINITY;
        }
        let log = ratio.ln();
        self.time_constant * if self.drift == 0.0 { log } else { (self.drift * log).exp_m1() / self.drift }
    }

    /// Seconds in which an excess of `from` falls to 1/e of it; infinite for none.
    pub fn e_folding(&self, from: f64) -> f64 {
        self.falls_to(from / std::f64::consts::E) - self.falls_to(from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: Curve = Curve { ambient: 20.0, excess: 70.0, time_constant: 6000.0, drift: 0.0 };

    #[test]
    fn an_exponential_falls_by_e_in_each_time_constant_and_a_drifting_one_takes_longer_each_time() {
        assert!((PLAIN.falls_to(70.0 / std::f64::consts::E) - 6000.0).abs() < 1e-6);
        assert!((PLAIN.e_folding(30.0) - 6000.0).abs() < 1e-6);
        let drifting = Curve { drift: 0.25, ..PLAIN };
        assert!(drifting.e_folding(30.0) > drifting.e_folding(70.0) && drifting.e_folding(70.0) > 6000.0);
        assert!((drifting.excess * share_left(drifting.falls_to(5.0), 6000.0, 0.25) - 5.0).abs() < 1e-9);
    }

    #[test]
    fn ambient_itself_is_never_reached() {
        assert_eq!(PLAIN.falls_to(0.0), f64::INFINITY);
        assert_eq!(PLAIN.falls_to(-1.0), f64::INFINITY);
        assert_eq!(PLAIN.falls_to(f64::NAN), f64::INFINITY);
    }
}
