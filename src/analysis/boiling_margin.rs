//! Boiling margin: how close did the coolant come to boiling?
//!
//! ```text
//! margin(t) = boiling point(mixture, pressure) − (reading(t) − stated offset)
//! ```
//!
//! The least margin of the whole run is given, at local air pressure: what a system boils at when its cap does not hold. With a stated cap
//! also at air pressure plus the cap's, which is a ceiling and not a promise: the pressure that builds up is seldom the cap's.
//!
//! Air pressure comes from the barometric channel; from the intake manifold before the engine fires, when it stands open to the air; else
//! it is sea level, with an interval that reaches up to 1500 m. The mixture is the stated one, else half ethylene glycol with an
//! interval that spans 30 to 60 % of either glycol (both from memory as what is usual).
//!
//! Limits: local boiling on hot metal comes earlier than in the bulk; a sensor in vapour may read low, and then the margin is too
//! great; a peak shorter than a quarter of a minute reads up to 2 K low; slow sampling may miss it; dissolved gas and inhibitors are left out.
//!
//! # References
//!
//! - [`crate::coolant::boiling`] and what it names.
//! - `docs/detectors/boiling_margin.md`.

use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::coolant::boiling::{air_pressure_at_altitude, boiling_point};
use crate::coolant::{self, Mixture};
use crate::estimate::{Estimate, Unit, normal_quantile};
use crate::numeric::robust;
use crate::run::{Run, Trace};
use crate::units::{Pressure, VolumeFraction};
use crate::vehicle;
use serde::Serialize;

/// Highest altitude that an unknown one is reckoned with, in m (assumption: most roads lie below).
pub const HIGHEST_M: f64 = 1500.0;

/// What weather moves air pressure by, half-width of the 95 % interval in kPa (memory).
pub const WEATHER_KPA: f64 = 3.0;

/// Half-width of the 95 % interval of a pressure read by a control unit, in kPa: whole kilopascals and the sensor's own error (memory).
const READ_KPA: f64 = 2.0;

/// Air pressures that can be, in kPa; a reading outside is not believed.
const AIR_KPA: [f64; 2] = [50.0, 110.0];

/// Shares by volume that an unstated mixture is reckoned with: usual, lowest, highest (memory).
const UNSTATED_SHARE: [f64; 3] = [0.5, 0.3, 0.6];

/// Half-width of the 95 % interval of a stated share: what stayed in the block at the drain and how a fill is measured. Our own choice.
const STATED_SHARE_WITHIN: f64 = 0.05;

/// Highest share that has a boiling point.
const HIGHEST_SHARE: f64 = 0.7;

/// Caps open within this share of their marking (truck maintenance manual: 10 %).
pub const CAP_WITHIN: f64 = 0.10;

/// Half-width of the 95 % interval of the sensor about 100 °C, in kelvin: 3 to 5 % of an NTC's resistance in service manuals are
/// 1 to 1.7 K.
pub const SENSOR_K: f64 = 1.7;

/// Where the air pressure was taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PressureSource {
    /// The barometric channel.
    Barometer,
    /// The intake manifold before the engine fired.
    Manifold,
    /// Nothing in the log: sea level assumed.
    Assumed,
}

impl PressureSource {
    /// Where it came from, in words.
    pub fn spoken(self) -> &'static str {
        match self {
            PressureSource::Barometer => "the barometric channel",
            PressureSource::Manifold => "the intake manifold before the engine fired",
            PressureSource::Assumed => "an assumption: sea level to 1500 m",
        }
    }
}

/// The least distance to boiling.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BoilingMargin {
    /// At local air pressure, in kelvin; negative beyond boiling.
    #[serde(flatten)]
    pub at_air_pressure: Estimate,
    /// When the reading was highest, in seconds from the first row.
    pub at_s: f64,
    /// At the stated cap's pressure, in kelvin: a ceiling.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_cap_pressure: Option<Estimate>,
    /// Highest reading, the stated offset taken out, °C.
    #[serde(skip)]
    pub highest: f64,
    /// Boiling point at local air pressure, °C.
    #[serde(skip)]
    pub boils_at: Estimate,
    /// Local air pressure, kPa.
    #[serde(skip)]
    pub air: Estimate,
    /// Where the pressure was taken from.
    #[serde(skip)]
    pub pressure_source: PressureSource,
    /// Whether the mixture is stated, not assumed.
    #[serde(skip)]
    pub mixture_stated: bool,
}

/// Bases and shares that the mixture may have: the likely one first.
type Mixtures = Vec<(coolant::Base, f64)>;

impl BoilingMargin {
    /// Examines a run; `None` without a coolant reading.
    pub fn of(run: &Run, phases: &Phases) -> Option<Self> {
        let trace = run.trace(Channel::CoolantTemperature)?;
        let (at_s, reading) = robust::highest_kept(&trace.time, &trace.value, KEPT_S)?;
        let highest = reading - run.vehicle.sensor_offset.kelvin();
        let (air, pressure_source) = air_pressure(run, phases)?;
        let mixtures = mixtures(run.vehicle.coolant);
        let boils_at = boils(&mixtures, &air)?;
        // Rounding may be to the nearest step or down; a whole step covers both.
        let reading_half = SENSOR_K.hypot(trace.step);
        let margin = |point: &Estimate| {
            let [low, high] = point.interval_95;
            let value = point.value - highest;
            let ends = [value - (point.value - low).hypot(reading_half), value + (high - point.value).hypot(reading_half)];
            Estimate::from_interval(value, ends, Unit::Kelvin)
        };
        let with_cap = run.vehicle.reservoir.cap.map(Pressure::kilopascals).filter(|cap| *cap > 0.0).and_then(|cap| {
            let half = |end: f64| (end - air.value).abs().hypot(CAP_WITHIN * cap);
            let [low, high] = air.interval_95;
            let value = air.value + cap;
            boils(&mixtures, &Estimate::from_interval(value, [value - half(low), value + half(high)], Unit::Kilopascal))
        });
        Some(Self {
            at_air_pressure: margin(&boils_at),
            at_s,
            at_cap_pressure: with_cap.as_ref().map(margin),
            highest,
            boils_at,
            air,
            pressure_source,
            mixture_stated: run.vehicle.coolant.is_some(),
        })
    }

    /// What would make the figure sharper, as sentences.
    pub fn would_sharpen(&self) -> Vec<&'static str> {
        let pressure = (self.pressure_source == PressureSource::Assumed).then_some("record barometric pressure");
        let mixture = (!self.mixture_stated).then_some("state the coolant's base and share in the vehicle file");
        pressure.into_iter().chain(mixture).collect()
    }
}

/// How long the coolant must be so hot for it to count, in seconds: a loose connector reads high only now and then, and what boils stays hot.
const KEPT_S: f64 = 30.0;

/// Local air pressure.
fn air_pressure(run: &Run, phases: &Phases) -> Option<(Estimate, PressureSource)> {
    let half = READ_KPA / normal_quantile(0.975);
    let read = |trace: Option<Trace>, source: PressureSource| {
        let value = robust::median(&trace?.value).filter(|value| (AIR_KPA[0]..=AIR_KPA[1]).contains(value))?;
        Some((Estimate::normal(value, half, Unit::Kilopascal), source))
    };
    // Only rows from before the engine turns: one second before it fires the starter already draws.
    let manifold = run.trace(Channel::ManifoldPressure).map(|trace| trace.between(0.0, phases.fired_s - 1.0));
    let manifold = manifold.filter(|_| phases.told_by.is_some() && phases.fired_s > 1.0);
    read(run.trace(Channel::BarometricPressure).cloned(), PressureSource::Barometer)
        .or_else(|| read(manifold, PressureSource::Manifold))
        .or_else(|| {
            let sea = air_pressure_at_altitude(0.0).ok()?.kilopascals();
            let high = air_pressure_at_altitude(HIGHEST_M).ok()?.kilopascals();
            let ends = [high - WEATHER_KPA, sea + WEATHER_KPA];
            Some((Estimate::from_interval(sea, ends, Unit::Kilopascal), PressureSource::Assumed))
        })
}

fn mixtures(stated: Option<vehicle::Coolant>) -> Mixtures {
    let clamped = |share: f64| share.clamp(0.0, HIGHEST_SHARE);
    match stated {
        Some(stated) => {
            let base = match stated.base {
                vehicle::Base::EthyleneGlycol => coolant::Base::EthyleneGlycol,
                vehicle::Base::PropyleneGlycol => coolant::Base::PropyleneGlycol,
            };
            [0.0, -STATED_SHARE_WITHIN, STATED_SHARE_WITHIN].map(|off| (base, clamped(stated.volume_fraction + off))).to_vec()
        }
        None => [coolant::Base::EthyleneGlycol, coolant::Base::PropyleneGlycol]
            .into_iter()
            .flat_map(|base| UNSTATED_SHARE.map(|share| (base, share)))
            .collect(),
    }
}

/// Boiling point of the likely mixture at the likely pressure; the interval joins what mixtures and pressures can do, in quadrature. A
/// pressure beyond the table's end is taken at its end.
fn boils(mixtures: &Mixtures, pressure: &Estimate) -> Option<Estimate> {
    let point = |(base, share): (coolant::Base, f64), kilopascals: f64| {
        let mixture = Mixture::by_volume(base, VolumeFraction::new(share)?).ok()?;
        boiling_point(&mixture, Pressure::from_kilopascals(kilopascals.clamp(50.0, 350.0))).ok()
    };
    let likely = *mixtures.first()?;
    let middle = point(likely, pressure.value)?;
    let points: Vec<Estimate> = mixtures.iter().filter_map(|&mixture| point(mixture, pressure.value)).collect();
    let lowest = points.iter().map(|p| p.interval_95[0]).fold(f64::INFINITY, f64::min);
    let highest = points.iter().map(|p| p.interval_95[1]).fold(f64::NEG_INFINITY, f64::max);
    let at = |kilopascals: f64| point(likely, kilopascals).map(|p| p.value);
    let below = (middle.value - lowest).hypot(middle.value - at(pressure.interval_95[0])?);
    let above = (highest - middle.value).hypot(at(pressure.interval_95[1])? - middle.value);
    Some(Estimate::from_interval(middle.value, [middle.value - below, middle.value + above], Unit::Celsius))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::TemperatureDifference;

    fn run(readings: &[f64]) -> Run {
        let time: Vec<f64> = (0..readings.len()).map(|i| i as f64).collect();
        let coolant = Trace { time: time.clone(), value: readings.to_vec(), step: 1.0 };
        Run { duration: readings.len() as f64 - 1.0, traces: [(Channel::CoolantTemperature, coolant)].into(), ..Run::default() }
    }

    fn with(mut run: Run, channel: Channel, value: f64) -> Run {
        let trace = Trace { time: vec![0.0, 1.0, 2.0], value: vec![value; 3], step: 1.0 };
        run.traces.insert(channel, trace);
        run
    }

    fn of(run: &Run) -> BoilingMargin {
        BoilingMargin::of(run, &Phases::of(run)).unwrap()
    }

    /// ASTM D3306 (from memory): half ethylene glycol boils at 107.8 °C at 101.3 kPa; 0.3 K covers its rounding.
    #[test]
    fn half_ethylene_glycol_at_sea_level_and_ninety_degrees_has_eighteen_kelvin_left() {
        let mut drive = with(run(&[80.0, 89.0, 90.0, 90.0, 90.0]), Channel::BarometricPressure, 101.0);
        drive.vehicle.coolant = Some(vehicle::Coolant { base: vehicle::Base::EthyleneGlycol, volume_fraction: 0.5 });
        let found = of(&drive);
        assert!((found.at_air_pressure.value - 17.8).abs() < 0.3, "{found:?}");
        assert_eq!((found.at_s, found.highest, found.pressure_source), (2.0, 90.0, PressureSource::Barometer));
        assert!(found.would_sharpen().is_empty());
        assert_eq!(found.at_cap_pressure, None);
    }

    #[test]
    fn an_unknown_altitude_and_mixture_widen_the_interval_downwards() {
        let found = of(&run(&[90.0; 4]));
        let [low, high] = found.at_air_pressure.interval_95;
        assert_eq!((found.pressure_source, found.mixture_stated), (PressureSource::Assumed, false));
        // From 17.8 K: 30 % propylene glycol boils about 6 K lower and its band another 2 K, 1500 m in low pressure takes 6 K; in
        // quadrature 10 K. 60 % ethylene glycol boils about 4 K higher.
        assert!((6.5..9.0).contains(&low) && (21.0..23.5).contains(&high), "{low} {high}");
        assert_eq!(found.would_sharpen().len(), 2);
    }

    #[test]
    fn thin_air_comes_from_the_manifold_before_the_engine_fires() {
        let mut drive = with(run(&[20.0; 60]), Channel::ManifoldPressure, 83.0);
        let engine = Trace { time: vec![0.0, 10.0, 59.0], value: vec![0.0, 900.0, 900.0], step: 0.0 };
        drive.traces.insert(Channel::EngineSpeed, engine);
        let found = of(&drive);
        assert_eq!((found.pressure_source, found.air.value), (PressureSource::Manifold, 83.0));
        // Water falls by about 5 K from 101 to 83 kPa (steam tables); the mixture by as much.
        assert!((found.boils_at.value - 102.4).abs() < 0.7, "{:?}", found.boils_at);
    }

    #[test]
    fn a_cap_gives_a_ceiling_and_an_offset_is_taken_out() {
        let mut drive = run(&[100.0; 5]);
        drive.vehicle.reservoir.cap = Some(Pressure::from_kilopascals(103.0));
        let plain = of(&drive);
        // A printed figure for a 103 kPa cap is 129 °C (service manual), rounded from Fahrenheit.
        let ceiling = plain.at_cap_pressure.unwrap();
        assert!((ceiling.value + 100.0 - 129.5).abs() < 1.0, "{ceiling:?}");
        drive.vehicle.sensor_offset = TemperatureDifference::from_kelvin(3.0);
        assert!((of(&drive).at_air_pressure.value - plain.at_air_pressure.value - 3.0).abs() < 1e-9);
    }

    #[test]
    fn one_wild_reading_is_no_peak_but_a_slow_log_hides_none() {
        assert_eq!(of(&run(&[88.0, 88.0, 120.0, 88.0, 88.0])).highest, 88.0);
        // A connector that is loose for ten seconds of forty.
        let mut loose = [90.0; 40];
        loose[15..25].fill(140.0);
        assert_eq!(of(&run(&loose)).highest, 90.0);
        let mut slow = run(&[88.0, 88.0, 104.0, 88.0, 88.0]);
        let coolant = slow.traces.get_mut(&Channel::CoolantTemperature).unwrap();
        coolant.time.iter_mut().for_each(|time| *time *= 60.0);
        assert_eq!(of(&slow).highest, 104.0);
    }

    #[test]
    fn no_reading_and_a_barometer_that_reads_nonsense_are_no_panic() {
        assert_eq!(BoilingMargin::of(&Run::default(), &Phases::of(&Run::default())), None);
        assert_eq!(of(&with(run(&[90.0; 3]), Channel::BarometricPressure, 45.0)).pressure_source, PressureSource::Assumed);
        assert!(of(&run(&[90.0])).at_air_pressure.value > 0.0);
    }
}
