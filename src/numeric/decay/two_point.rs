//! A decay from two readings: before and after, the level approached known.

use crate::estimate::normal_quantile;

/// One reading with its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// When.
    pub time: f64,
    /// What was read.
    pub value: f64,
    /// Standard uncertainty of `value`.
    pub deviation: f64,
}

/// Time constant from two readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoPoint {
    /// τ = Δt / ln((y₁ − A)/(y₂ − A)).
    pub time_constant: f64,
    /// Its standard deviation, linearised.
    pub deviation: f64,
    /// 95 % interval, from that of the logarithm; the upper end is infinite where the readings do not exclude that nothing decays.
    pub interval_95: [f64; 2],
    /// First reading, asymptote and its uncertainty, for what follows.
    first: Reading,
    second: Reading,
    asymptote: (f64, f64),
}

/// From two readings and the level approached with its standard uncertainty.
///
/// `None` unless the second comes later, on the same side of the level and closer to it, and every number is finite.
pub fn two_point(first: Reading, second: Reading, asymptote: f64, asymptote_deviation: f64) -> Option<TwoPoint> {
    let (y1, y2) = (first.value - asymptote, second.value - asymptote);
    let (fall, elapsed) = ((y1 / y2).ln(), second.time - first.time);
    if !(fall > 0.0 && fall.is_finite() && elapsed > 0.0 && elapsed.is_finite()) {
        return None;
    }
    let terms = [first.deviation / y1, second.deviation / y2, asymptote_deviation * (1.0 / y2 - 1.0 / y1)];
    let deviation = terms.iter().map(|term| term * term).sum::<f64>().sqrt();
    let half = normal_quantile(0.975) * deviation;
    let end = |logarithm: f64| if logarithm > 0.0 { elapsed / logarithm } else { f64::INFINITY };
    deviation.is_finite().then(|| TwoPoint {
        time_constant: elapsed / fall,
        deviation: elapsed / (fall * fall) * deviation,
        interval_95: [end(fall + half), end(fall - half)],
        first,
        second,
        asymptote: (asymptote, asymptote_deviation),
    })
}

impl TwoPoint {
    /// When the curve through both readings passes `level`, with its standard deviation (linearised in both readings and the asymptote);
    /// `None` where it never does.
    pub fn passes(&self, level: f64) -> Option<(f64, f64)> {
        let moment = |y1: f64, y2: f64, a: f64| {
            let share = ((y1 - a) / (level - a)).ln() / ((y1 - a) / (y2 - a)).ln();
            self.first.time + (self.second.time - self.first.time) * share
        };
        let (y1, y2, a) = (self.first.value, self.second.value, self.asymptote.0);
        let time = moment(y1, y2, a);
        if !time.is_finite() {
            return None;
        }
        // Differences over a thousandth of a deviation either way stand for the derivatives.
        let effect = |deviation: f64, nudged: &dyn Fn(f64) -> f64| 500.0 * (nudged(1e-3 * deviation) - nudged(-1e-3 * deviation));
        let effects = [
            effect(self.first.deviation, &|d| moment(y1 + d, y2, a)),
            effect(self.second.deviation, &|d| moment(y1, y2 + d, a)),
            effect(self.asymptote.1, &|d| moment(y1, y2, a + d)),
        ];
        Some((time, effects.iter().map(|e| e * e).sum::<f64>().sqrt()))
    }
}
