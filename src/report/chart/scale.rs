//! From values to pixels, and which values an axis names.

/// A straight axis: `low` lies at pixel `start`, `high` at pixel `end`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) start: f64,
    pub(super) end: f64,
}

impl Scale {
    /// Where the value lies, in design pixels; values beyond the axis lie on its nearer end.
    pub(super) fn at(&self, value: f64) -> f64 {
        let span = self.high - self.low;
        let share = if span > 0.0 { ((value - self.low) / span).clamp(0.0, 1.0) } else { 0.5 };
        self.start + share * (self.end - self.start)
    }

    /// Whether the value lies on the axis.
    pub(super) fn holds(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }
}

/// Values of an axis in steps of 1, 2 or 5 times a power of ten, at most about `most` of them, with their words.
pub(super) fn value_ticks(low: f64, high: f64, most: f64) -> Vec<(f64, String)> {
    let rough = (high - low) / most.max(1.0);
    if !(rough.is_finite() && rough > 0.0) {
        return Vec::new();
    }
    let power = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * power).find(|&step| step >= rough * 0.999).unwrap_or(10.0 * power);
    let decimals = (-(step.log10() + 1e-9).floor()).clamp(0.0, 9.0) as usize;
    multiples(low, high, step).map(|value| (value, signed(format!("{value:.decimals$}")))).collect()
}

/// Moments of a time axis on round clock times, with their words; and what the words count.
pub(super) fn time_ticks(duration: f64, most: f64) -> (Vec<(f64, String)>, &'static str) {
    const STEPS: [f64; 17] =
        [1.0, 2.0, 5.0, 10.0, 15.0, 30.0, 60.0, 120.0, 300.0, 600.0, 900.0, 1800.0, 3600.0, 7200.0, 10_800.0, 21_600.0, 43_200.0];
    let rough = duration / most.max(1.0);
    let step = STEPS.into_iter().find(|&step| step >= rough).unwrap_or_else(|| (rough / 86_400.0).ceil() * 86_400.0);
    let (words, unit): (fn(u64) -> String, _) = if duration >= 7200.0 {
        (|s| format!("{}:{:02}", s / 3600, s / 60 % 60), "hours:minutes")
    } else if step < 60.0 {
        (|s| format!("{}:{:02}", s / 60, s % 60), "minutes:seconds")
    } else {
        (|s| (s / 60).to_string(), "minutes")
    };
    (multiples(0.0, duration, step).map(|at| (at, words(at as u64))).collect(), unit)
}

/// Years of an axis kept in seconds, with their words; and what the words count.
pub(super) fn year_ticks(duration: f64, most: f64) -> (Vec<(f64, String)>, &'static str) {
    const YEAR_S: f64 = 365.25 * 86_400.0;
    (value_ticks(0.0, duration / YEAR_S, most).into_iter().map(|(years, words)| (years * YEAR_S, words)).collect(), "years")
}

/// Multiples of `step` from `low` to `high`, both included.
fn multiples(low: f64, high: f64, step: f64) -> impl Iterator<Item = f64> {
    let slack = step * 1e-6;
    let first = ((low - slack) / step).ceil();
    let count = (((high + slack) / step).floor() - first + 1.0).clamp(0.0, 100.0) as usize;
    (0..count).map(move |index| (first + index as f64) * step)
}

/// A number with the sign that typesetters use.
fn signed(text: String) -> String {
    text.strip_prefix('-').map(|digits| format!("−{digits}")).unwrap_or(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(ticks: Vec<(f64, String)>) -> Vec<String> {
        ticks.into_iter().map(|(_, words)| words).collect()
    }

    #[test]
    fn values_come_in_round_steps() {
        assert_eq!(words(value_ticks(12.0, 96.0, 5.0)), ["20", "40", "60", "80"]);
        assert_eq!(words(value_ticks(-0.5, 0.5, 4.0)), ["−0.5", "0.0", "0.5"]);
        assert!(value_ticks(5.0, 5.0, 5.0).is_empty());
        assert!(value_ticks(f64::NAN, 5.0, 5.0).is_empty());
    }

    #[test]
    fn years_come_as_years() {
        let (ticks, unit) = year_ticks(4.0 * 365.25 * 86_400.0, 5.0);
        assert_eq!((words(ticks), unit), (["0", "1", "2", "3", "4"].map(str::to_owned).to_vec(), "years"));
    }

    #[test]
    fn times_come_on_the_clock() {
        assert_eq!(time_ticks(2710.0, 6.0), ((0..5).map(|n| (f64::from(n) * 600.0, (n * 10).to_string())).collect(), "minutes"));
        assert_eq!(words(time_ticks(90.0, 4.0).0), ["0:00", "0:30", "1:00", "1:30"]);
        assert_eq!(words(time_ticks(86_400.0, 5.0).0), ["0:00", "6:00", "12:00", "18:00", "24:00"]);
        assert_eq!(words(time_ticks(10.0 * 86_400.0, 5.0).0).len(), 6);
    }
}
