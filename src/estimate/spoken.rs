//! A value as people read it, the same in every sentence and every table.
//!
//! Digits follow the uncertainty ([`Estimate::decimals`]), a minus is a minus sign and no hyphen, and a time that lies minutes or
//! hours into the drive is read on a clock, `4:57 min` or `3:58 h`, because nobody finds 14 280 s on a watch.

use super::{Estimate, Unit};

/// From here on, in seconds, an estimated time is read as minutes and seconds.
const MINUTES_FROM_S: f64 = 120.0;

/// From here on, in seconds, a time is read as hours and minutes: its seconds no longer help anyone.
const HOURS_FROM_S: f64 = 3600.0;

/// A moment or a length of the drive with its unit: `4:57 min`, from one hour on `1:04 h`. Not a number: `unknown`.
pub fn clock(seconds: f64) -> String {
    if !seconds.is_finite() {
        return "unknown".to_owned();
    }
    let clock = if seconds.abs().round() >= HOURS_FROM_S { Clock::Hours } else { Clock::Minutes };
    format!("{} {}", clock.read(seconds), clock.unit())
}

/// From here on a number is written as a power of ten: nothing measured is that large, and three hundred digits help nobody.
const POWERS_FROM: f64 = 1e15;

/// A number with these decimals and a minus sign; a negative nothing loses its sign, what is not a number is said to be unknown.
pub fn number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "unknown".to_owned();
    }
    let text = if value.abs() < POWERS_FROM { format!("{value:.decimals$}") } else { format!("{value:.1e}") };
    match text.strip_prefix('-') {
        Some(digits) if digits.bytes().all(|byte| matches!(byte, b'0' | b'.')) => digits.to_owned(),
        Some(digits) => format!("−{digits}"),
        None => text,
    }
}

impl Estimate {
    /// The value with its unit: `87.1 °C`, `4:57 min`.
    pub fn spoken_value(&self) -> String {
        match self.clock() {
            Some(clock) => format!("{} {}", clock.read(self.value), clock.unit()),
            None => format!("{}{}", number(self.value, self.decimals()), self.unit.spoken()),
        }
    }

    /// The 95 % interval without its unit: `86.1 to 88.1`, `4:45 to 5:09`.
    pub fn spoken_interval(&self) -> String {
        let [low, high] = self.interval_95.map(|end| match self.clock() {
            Some(clock) => clock.read(end),
            None => number(end, self.decimals()),
        });
        format!("{low} to {high}")
    }

    /// The value with its interval: `87.1 °C (86.1 to 88.1)`.
    pub fn spoken(&self) -> String {
        format!("{} ({})", self.spoken_value(), self.spoken_interval())
    }

    /// The same in whole units, for what nobody decides by tenths: `42 K (39 to 46)`.
    pub fn spoken_whole(&self) -> String {
        let [low, high] = self.interval_95.map(|end| number(end, 0));
        format!("{}{} ({low} to {high})", number(self.value, 0), self.unit.spoken())
    }

    /// The clock that value and both ends are read on, if any.
    fn clock(&self) -> Option<Clock> {
        match self.unit {
            Unit::Second if self.value.round() >= HOURS_FROM_S => Some(Clock::Hours),
            Unit::Second if self.interval_95[1].max(self.value) >= MINUTES_FROM_S => Some(Clock::Minutes),
            _ => None,
        }
    }
}

/// Which pair of clock units a time is read in.
#[derive(Clone, Copy)]
enum Clock {
    Minutes,
    Hours,
}

impl Clock {
    fn read(self, seconds: f64) -> String {
        if !seconds.is_finite() {
            return "unknown".to_owned();
        }
        let large = match self {
            Clock::Minutes => seconds,
            Clock::Hours => seconds / 60.0,
        };
        let sign = if large <= -0.5 { "−" } else { "" };
        let whole = large.abs().round() as u64;
        format!("{sign}{}:{:02}", whole / 60, whole % 60)
    }

    fn unit(self) -> &'static str {
        match self {
            Clock::Minutes => "min",
            Clock::Hours => "h",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_on_a_clock() {
        for (seconds, expected) in
            [(0.0, "0:00 min"), (297.4, "4:57 min"), (3599.4, "59:59 min"), (3599.6, "1:00 h"), (14_280.0, "3:58 h"), (-30.0, "−0:30 min")]
        {
            assert_eq!(clock(seconds), expected, "{seconds}");
        }
        assert_eq!(clock(f64::NAN), "unknown");
        let opening = Estimate::from_interval(297.0, [285.0, 309.0], Unit::Second);
        assert_eq!(opening.spoken(), "4:57 min (4:45 to 5:09)");
        let cold = Estimate::from_interval(14_280.0, [11_400.0, 17_400.0], Unit::Second);
        assert_eq!(cold.spoken(), "3:58 h (3:10 to 4:50)");
        assert_eq!(Estimate::normal(5121.0, 460.0, Unit::Second).spoken_value(), "1:25 h");
        assert_eq!(Estimate::normal(55.0, 12.0, Unit::Second).spoken_value(), "55 s", "a short time stays in seconds");
    }

    #[test]
    fn a_minus_is_a_minus_sign_and_a_negative_nothing_loses_it() {
        assert_eq!(Estimate::normal(-0.02, 0.9, Unit::Kelvin).spoken(), "0.0 K (−1.8 to 1.7)");
        assert_eq!(Estimate::normal(-0.6, 0.3, Unit::Kelvin).spoken_value(), "−0.6 K");
        assert_eq!(Estimate::normal(-0.3, 1.8, Unit::Kelvin).spoken_whole(), "0 K (−4 to 3)");
    }

    #[test]
    fn no_more_digits_than_a_hand_can_use() {
        assert_eq!(Estimate::normal(0.3792, 0.0084, Unit::KelvinPerMinute).spoken(), "0.38 K/min (0.36 to 0.40)");
        assert_eq!(Estimate::normal(0.0312, 0.0084, Unit::One).spoken_value(), "0.031", "a probability may need three");
        assert_eq!([number(1e305, 2), number(-2.5e16, 0), number(f64::MAX, 1)], ["1.0e305", "−2.5e16", "1.8e308"]);
    }
}
