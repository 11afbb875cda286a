//! A pressure test in the notes: did it hold?
//!
//! ```text
//! unexplained = (p_start − p_end) − k · (T_start − T_end)
//! ```
//!
//! As the circuit cools, its coolant shrinks and the gas above it loses pressure; k is what both make of a kelvin. Hoses creep under a
//! pressure that was just pumped up: up to a twentieth of it counts as theirs. A test failed where what neither explains is above
//! zero with its whole interval.
//!
//! Limits: only the last test since the last refill; the temperature is that of the air in the notes, so a test on an engine that cools
//! down from a drive is not understood; a test that holds says nothing of a leak that opens hot.

use crate::analysis::levels::in_order;
use crate::estimate::{Estimate, Unit};
use crate::run::{LevelReading, NoteTime, Occasion, ReadingUnit};

/// Loss of pressure per kelvin, kPa/K, and standard uncertainty: 7 L of half glycol shrink by 3 mL/K, beside half a litre of gas at
/// 200 kPa and hoses that give 0.3 mL/kPa (own choice; a large tank has less).
const PER_KELVIN: (f64, f64) = (1.2, 0.4);

/// Share of the pressure that creeping hoses may take, as the width of a rectangle (common practice, no source).
const CREEP: f64 = 0.05;

/// Half-width of a reading on a test gauge, kPa (common practice, no source).
const GAUGE_HALF_WIDTH_KPA: f64 = 2.0;

/// Standard uncertainty of the change of temperature in a test with and without air temperatures at both ends, K (own choice).
const CHANGE_K: [f64; 2] = [1.0, 2.0];

/// A pressure test.
#[derive(Clone, Debug, PartialEq)]
pub struct PressureTest {
    /// Gauge pressure at its start, kPa.
    pub start_kpa: f64,
    /// Gauge pressure at its end, kPa.
    pub end_kpa: f64,
    /// Fall that neither temperature nor hoses explain.
    pub unexplained: Estimate,
    /// How long it lasted, in seconds, where both times were noted.
    pub lasted_s: Option<f64>,
}

impl PressureTest {
    /// The last complete test since the last refill.
    pub fn of(levels: &[LevelReading]) -> Option<Self> {
        let notes = in_order(levels);
        let refill = notes.iter().rposition(|note| matches!(note.occasion, Occasion::Drained | Occasion::Filled));
        let since = notes.get(refill.map_or(0, |index| index + 1)..)?;
        let is = |occasion: Occasion| move |note: &&LevelReading| note.occasion == occasion && note.unit == ReadingUnit::Kilopascal;
        let ends = since.iter().rposition(is(Occasion::PressureTestEnd))?;
        let starts = since.get(..ends)?.iter().rposition(is(Occasion::PressureTestStart))?;
        let (start, end) = (since.get(starts)?, since.get(ends)?);
        let cooled = start.ambient.zip(end.ambient).map(|(start, end)| start - end);
        let (kelvin, kelvin_u) = cooled.map_or((0.0, CHANGE_K[1]), |kelvin| (kelvin, CHANGE_K[0]));
        let creep = CREEP * start.reading.max(0.0);
        let gauge = GAUGE_HALF_WIDTH_KPA / 3f64.sqrt();
        let u = (2f64.sqrt() * gauge).hypot(PER_KELVIN.0 * kelvin_u).hypot(PER_KELVIN.1 * kelvin).hypot(creep / 12f64.sqrt());
        let value = start.reading - end.reading - PER_KELVIN.0 * kelvin - creep / 2.0;
        Some(Self {
            start_kpa: start.reading,
            end_kpa: end.reading,
            unexplained: Estimate::normal(value, u, Unit::Kilopascal),
            lasted_s: lasted(start.time, end.time),
        })
    }

    /// Whether it did not hold.
    pub fn failed(&self) -> bool {
        self.unexplained.interval_95[0] > 0.0
    }

    /// What it showed, as a sentence.
    pub fn sentence(&self) -> String {
        let over = self.lasted_s.map_or(String::new(), |seconds| format!(" in {:.0} min", seconds / 60.0));
        let held = if self.failed() { "it did not hold" } else { "it held within what temperature, hoses and gauge explain" };
        format!("A pressure test went from {:.0} to {:.0} kPa{over}: {held}.", self.start_kpa, self.end_kpa)
    }
}

fn lasted(start: NoteTime, end: NoteTime) -> Option<f64> {
    let seconds = match (start, end) {
        (NoteTime::Full(start), NoteTime::Full(end)) => (end - start).num_seconds() as f64,
        (NoteTime::OfDay(start), NoteTime::OfDay(end)) => ((end - start).num_seconds() as f64).rem_euclid(86_400.0),
        _ => return None,
    };
    (seconds >= 0.0).then_some(seconds)
}
