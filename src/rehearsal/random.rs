//! The chance in made runs: SplitMix64, a counter that is mixed.
//!
//! Sixty-four bits of state, one addition and three multiply–shift rounds a draw; the same sequence on every machine. Each
//! part of a run (drive, logger, person) draws from a stream of its own, so that adding a draw in one leaves the others alone.
//!
//! # References
//!
//! - Steele, G. L., Lea, D. & Flood, C. H. (2014). Fast splittable pseudorandom number generators. *OOPSLA '14*. (The
//!   constants are from memory; a test holds the published first outputs for seed 1234567.)

use super::arithmetic::fractional_power;

/// A stream of chance.
#[derive(Clone, Debug)]
pub struct Random {
    state: u64,
}

impl Random {
    /// A stream for one purpose: `stream` tells purposes with the same seed apart.
    pub fn new(seed: u64, stream: u64) -> Self {
        let mut random = Self { state: seed ^ stream.wrapping_mul(0xD6E8_FEB8_6659_FD93) };
        random.state = random.bits();
        random
    }

    /// Sixty-four random bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Uniform in `[0, 1)`.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Uniform from `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Uniform in the logarithm from `low` to `high`, both positive.
    pub fn between_log(&mut self, low: f64, high: f64) -> f64 {
        let share = self.unit();
        low * fractional_power(high / low, share)
    }

    /// Nearly normal with mean 0 and standard deviation 1: twelve uniform draws less six (Irwin and Hall). It never goes
    /// beyond ± 6, and its tails are thinner than the normal's beyond ± 3.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }

    /// A normal draw around `centre`, drawn again (at most twenty times) until it falls between `low` and `high`.
    pub fn normal_within(&mut self, centre: f64, deviation: f64, low: f64, high: f64) -> f64 {
        for _ in 0..20 {
            let value = centre + deviation * self.normal();
            if (low..=high).contains(&value) {
                return value;
            }
        }
        centre.clamp(low, high)
    }

    /// True in the given share of draws.
    pub fn chance(&mut self, share: f64) -> bool {
        self.unit() < share
    }

    /// One of the choices, each as likely as its weight; the last one if all weights are 0.
    pub fn choose<T: Copy>(&mut self, choices: &[(f64, T)]) -> Option<T> {
        let total: f64 = choices.iter().map(|(weight, _)| weight).sum();
        let mut left = self.unit() * total;
        for &(weight, choice) in choices {
            left -= weight;
            if left < 0.0 {
                return Some(choice);
            }
        }
        choices.last().map(|&(_, choice)| choice)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sequence_is_the_published_one() {
        let mut random = Random { state: 1_234_567 };
        let drawn: Vec<u64> = (0..3).map(|_| random.bits()).collect();
        assert_eq!(drawn, [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423]);
    }

    #[test]
    fn the_distributions_have_their_mean_and_spread() {
        let mut random = Random::new(5, 0);
        let draws: Vec<f64> = (0..20_000).map(|_| random.normal()).collect();
        let mean = draws.iter().sum::<f64>() / 20_000.0;
        let variance = draws.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / 20_000.0;
        // Four standard errors: 4/√20000 for the mean, 4·√(2/20000) for the variance.
        assert!(mean.abs() < 0.0283 && (variance - 1.0).abs() < 0.04, "{mean} {variance}");
        assert!((0..1000).map(|_| random.between_log(0.1, 10.0)).all(|x| (0.1..=10.0).contains(&x)));
    }
}
