//! The key numbers of a log: which they are, what their columns are called, where a kept report has them.

use crate::report::document::Measure;
use serde_json::Value;

/// One number that was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number {
    /// Best value.
    pub value: f64,
    /// Lower end of its 95 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// What is fixed about a key number.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// Name of its column, unit included; those of its interval's ends follow with `_low` and `_high`.
    pub column: &'static str,
    /// Finding and member of [`Measure`].
    measure: (&'static str, &'static str),
    /// Where the JSON contract has it, under `findings`.
    pointer: &'static str,
}

const fn key(column: &'static str, finding: &'static str, member: &'static str, pointer: &'static str) -> Key {
    Key { column, measure: (finding, member), pointer }
}

/// The key numbers, in the order of the drive: every number that a report lists.
#[rustfmt::skip]
pub const KEYS: [Key; 23] = [
    key("sensor_offset_k", "sensor_offset", "", "/sensor_offset"),
    key("warm_up_rate_k_per_min", "warm_up", "rate", "/warm_up/rate"),
    key("opening_temperature_degc", "opening", "temperature", "/opening/temperature"),
    key("opening_time_s", "opening", "time", "/opening/time"),
    key("opening_knee_temperature_degc", "opening", "knee_temperature", "/opening/knee_temperature"),
    key("opening_knee_time_s", "opening", "knee_time", "/opening/knee_time"),
    key("regulation_settling_time_s", "regulation", "settling_time", "/regulation/settling_time"),
    key("regulation_low_degc", "regulation", "low", "/regulation/low"),
    key("regulation_high_degc", "regulation", "high", "/regulation/high"),
    key("regulation_swing_period_s", "regulation", "swing_period", "/regulation/swing_period"),
    key("regulation_swing_amplitude_k", "regulation", "swing_amplitude", "/regulation/swing_amplitude"),
    key("fan_on_degc", "heat_rejection", "fan_on", "/heat_rejection/fan_on"),
    key("fan_off_degc", "heat_rejection", "fan_off", "/heat_rejection/fan_off"),
    key("boiling_margin_k", "boiling_margin", "", "/boiling_margin"),
    key("boiling_margin_at_cap_k", "boiling_margin", "at_cap", "/boiling_margin/at_cap_pressure"),
    key("cooling_time_constant_s", "cooling_down", "time_constant", "/cooling_down/time_constant"),
    key("trapped_air_probability", "trapped_air", "probability", "/trapped_air/probability"),
    key("coolant_growth_ml", "level_expansion", "coolant_growth", "/level_expansion/coolant_growth"),
    key("level_rise_expected_ml", "level_expansion", "expected", "/level_expansion/expected"),
    key("level_rise_observed_ml", "level_expansion", "observed", "/level_expansion/observed"),
    key("level_shortfall_ml", "level_expansion", "shortfall", "/level_expansion/shortfall"),
    key("cold_to_cold_ml", "level_loss", "cold_to_cold", "/level_loss/cold_to_cold"),
    key("cold_at_s", "cooling_down", "cold_at_s", "/cooling_down/cold_at_s"),
];

/// Column of the opening's reading.
pub const OPENING: &str = "opening_temperature_degc";

/// Column of the probability of trapped air.
pub const AIR: &str = "trapped_air_probability";

impl Key {
    /// The number among a report's measures.
    pub fn among(&self, measures: &[Measure]) -> Option<Number> {
        let measure = measures.iter().find(|measure| (measure.finding, measure.member) == self.measure)?;
        let [low, high] = measure.estimate.interval_95;
        Number { value: measure.estimate.value, low, high }.known()
    }

    /// The number among a kept report's findings.
    pub fn in_findings(&self, findings: &Value) -> Option<Number> {
        let quantity = findings.pointer(self.pointer)?;
        let number = |at: &str| quantity.pointer(at).and_then(Value::as_f64);
        Number { value: number("/value")?, low: number("/interval_95/0")?, high: number("/interval_95/1")? }.known()
    }

    /// Whether a measure is this number.
    pub fn is(&self, measure: &Measure) -> bool {
        (measure.finding, measure.member) == self.measure
    }
}

impl Number {
    /// Itself, unless one of the three is no number.
    fn known(self) -> Option<Self> {
        [self.value, self.low, self.high].iter().all(|number| number.is_finite()).then_some(self)
    }
}
