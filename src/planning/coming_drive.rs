//! What to expect of the coming drive: where the thermostat should open, how far the level should rise, when to stop, when it is cold.
//!
//! Nothing is reckoned here that a check reckons too. The opening is the stamp with the limits that judge it and the lag of the wax;
//! the level's rise is asked of the same account ([`LevelExpansion`]), on a drive that is made up from what is expected; the wait is
//! [`usual_wait`]. So what the plan announces is what the check will hold the drive against.
//!
//! The limit reading is boiling at local air pressure, at the low end of what strength, weather, altitude and sensor leave open, in
//! whole degrees downward. Pressure under the cap would allow more, but just after a refill nobody knows that the cap holds.
//!
//! Limits: a drive long enough to hold its temperature; the wait is for planning, with time constants that vehicles usually have (common
//! practice, no source), and says when the *reading* counts as cold, never when anything may be opened.

use super::error::{PlanError, within};
use super::figure::Figure;
use super::job::Job;
use super::propagate::{Input, clamped, propagate};
use super::protection::{Protection, boils};
use crate::analysis::ambient::Ambient;
use crate::analysis::boiling_margin::SENSOR_K;
use crate::analysis::cooling_down::{COLD_WITHIN_K, CoolingDown, usual_wait};
use crate::analysis::level_expansion::LevelExpansion;
use crate::analysis::opening::State;
use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::coolant::Base;
use crate::estimate::{Estimate, Unit};
use crate::run::{LevelReading, NoteTime, Occasion, ReadingUnit, Run, Trace};
use crate::vehicle::{Control, Coolant, ReservoirKind, Side, Vehicle};
use crate::verdict::limits;
use crate::verdict::rules::opening::wax_rating;
use serde::Serialize;

/// How fast the reading rises when a thermostat opens, in K/s, and its standard uncertainty: 2 to 8 K/min on the road (own choice, from
/// made runs and real warm-ups).
const RISE_AT_OPENING: (f64, f64) = (0.08, 0.025);

/// What load, speed and fan move the held reading by, standard uncertainty in K (own choice).
const HELD_MOVES_K: f64 = 1.5;

/// Air temperatures that people work in, in °C.
const AIR_C: [f64; 2] = [-50.0, 60.0];

/// Length of the drive that is made up, in seconds; any that ends warm would do.
const DRIVE_S: f64 = 1800.0;

/// What the expected opening follows from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OpensBy {
    /// The stamp of a plain wax element.
    Stamp,
    /// A stamp, if it is that of a plain wax element.
    StampIfWax,
    /// Any thermostat: no stamp is stated.
    AnyThermostat,
    /// Any thermostat: a heated or driven one does not follow its stamp.
    NotByStamp,
}

/// One sign that asks for stopping at once; whichever comes first counts.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StopSign {
    /// The warning lamp.
    WarningLamp,
    /// Steam.
    Steam,
    /// The heater suddenly cold.
    HeaterCold,
    /// A coolant reading.
    Reading {
        /// In °C.
        degc: f64,
    },
}

impl StopSign {
    /// As people say it.
    pub fn spoken(self) -> String {
        match self {
            StopSign::WarningLamp => "the warning lamp".to_owned(),
            StopSign::Steam => "steam".to_owned(),
            StopSign::HeaterCold => "the heater suddenly blowing cold".to_owned(),
            StopSign::Reading { degc } => format!("a coolant reading of {degc:.0} °C"),
        }
    }
}

/// What to expect.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ComingDrive {
    /// Reading at which the thermostat should open, °C.
    pub opens: Estimate,
    /// What that follows from.
    pub opens_by: OpensBy,
    /// Reading that should be held afterwards, °C.
    pub holds: Estimate,
    /// Growth of all coolant from cold to hot, mL.
    pub coolant_growth: Option<Estimate>,
    /// Rise of the level in the reservoir, cold to hot, mL.
    pub level_rise: Option<Estimate>,
    /// The same in millimetres, where a millimetre's volume is stated.
    pub level_rise_mm: Option<Figure>,
    /// Why the rise is not known.
    pub because: Option<String>,
    /// Signs that ask for stopping; whichever comes first.
    pub stop_at: Vec<StopSign>,
    /// From the end of the drive until the reading counts as cold (within 5 K of the air), in seconds.
    pub cold_after: Option<Estimate>,
    /// Air temperature reckoned with, °C.
    pub ambient: Estimate,
    /// Whether it was assumed.
    pub ambient_assumed: bool,
}

impl ComingDrive {
    /// Of a vehicle filled to this strength; `new` is the base of what is poured, `bases` all that are in it.
    pub(super) fn of(
        vehicle: &Vehicle,
        job: &Job,
        new: Base,
        bases: &[Base],
        strength: &Estimate,
        protection: &Protection,
    ) -> Result<Self, PlanError> {
        let offset = vehicle.sensor_offset.kelvin();
        let (opens, holds, opens_by) = readings(vehicle);
        let (ambient, ambient_assumed) = air(job)?;
        let top: Input = (holds.value - offset, holds.standard_uncertainty);
        let made = Made { vehicle, base: new };
        let rise = made.account([ambient.value, top.0, strength.value]);
        let inputs = [(ambient.value, ambient.standard_uncertainty), top, (strength.value, strength.standard_uncertainty)];
        let spread = |of: fn(&LevelExpansion) -> Option<Estimate>| {
            let middle = of(&rise)?;
            let moved = |at: [f64; 3]| of(&made.account(at)).map_or(middle.value, |found| found.value);
            Some(middle.widened(propagate(inputs, Unit::Millilitre, moved).standard_uncertainty))
        };
        let bottle = vehicle.reservoir.kind == Some(ReservoirKind::OverflowBottle);
        let level_rise = spread(|found| found.expected).map(|rise| if bottle { clamped(rise, 0.0, f64::INFINITY) } else { rise });
        let per_mm = vehicle.reservoir.millilitres_per_mm.filter(|per_mm| *per_mm > 0.0);
        let because = if level_rise.is_none() { rise.because.clone() } else { None };
        let mut stop_at = vec![StopSign::WarningLamp, StopSign::Steam, StopSign::HeaterCold];
        stop_at.extend(limit(bases, strength, &protection.air_pressure)?.map(|limit| StopSign::Reading { degc: (limit + offset).floor() }));
        Ok(Self {
            opens: opens.shifted(offset),
            opens_by,
            holds,
            coolant_growth: spread(|found| found.coolant_growth),
            level_rise_mm: level_rise.as_ref().zip(per_mm).map(|(rise, per_mm)| Figure::scaled(rise, 1.0 / per_mm, "mm")),
            level_rise,
            because,
            stop_at,
            cold_after: cold_after(top, &ambient),
            ambient,
            ambient_assumed,
        })
    }

    /// The reading at which to stop, °C.
    pub fn limit_reading(&self) -> Option<f64> {
        self.stop_at.iter().find_map(|sign| if let StopSign::Reading { degc } = sign { Some(*degc) } else { None })
    }
}

/// Opening (before the sensor's offset) and held reading (after it), °C.
fn readings(vehicle: &Vehicle) -> (Estimate, Estimate, OpensBy) {
    let thermostat = &vehicle.thermostat;
    let offset = vehicle.sensor_offset.kelvin();
    let stamp = match (wax_rating(thermostat), thermostat.control, thermostat.rating) {
        (Some(rating), ..) => Some((rating, OpensBy::Stamp)),
        (None, Control::Unknown, Some(rating)) => Some((rating.celsius(), OpensBy::StampIfWax)),
        _ => None,
    };
    let between = |[low, high]: [f64; 2]| Estimate::from_interval((low + high) / 2.0, [low, high], Unit::Celsius);
    let Some((rating, by)) = stamp else {
        let by = if matches!(thermostat.control, Control::Heated | Control::Driven) { OpensBy::NotByStamp } else { OpensBy::AnyThermostat };
        return (between(limits::OPENING_ANY), between(limits::BAND_ANY).shifted(offset), by);
    };
    let about = match thermostat.side {
        Side::Outlet => limits::OUTLET_ABOUT_RATING_K,
        Side::Inlet => limits::INLET_ABOUT_RATING_K,
        Side::Unknown => limits::UNKNOWN_ABOUT_RATING_K,
    };
    let wax = between(about).shifted(rating);
    let ((lag, lag_u), (rise, rise_u)) = (limits::WAX_LAG_S, RISE_AT_OPENING);
    let opens = wax.shifted(lag * rise).widened((lag * rise_u).hypot(lag_u * rise));
    (opens, wax.shifted(limits::HELD_ABOVE_LIFT_K + offset).widened(HELD_MOVES_K), by)
}

/// Today's air: as stated, else what a check assumes when nothing tells.
fn air(job: &Job) -> Result<(Estimate, bool), PlanError> {
    let Some(stated) = job.ambient else {
        let nothing = Run::default();
        return Ok((Ambient::of(&nothing, &Phases::of(&nothing)).temperature, true));
    };
    Ok((Estimate::normal(within("air temperature", stated.celsius(), AIR_C, "°C")?, 0.0, Unit::Celsius), false))
}

/// The drive that is made up: cold, warm at its end, a level noted at both.
struct Made<'a> {
    vehicle: &'a Vehicle,
    base: Base,
}

impl Made<'_> {
    /// The check's account of it, at an air temperature, a temperature at the end, and a strength.
    fn account(&self, [air, top, share]: [f64; 3]) -> LevelExpansion {
        let note = |occasion: Occasion| LevelReading {
            time: NoteTime::Order,
            occasion,
            reading: 0.0,
            unit: ReadingUnit::Millimetre,
            ambient: Some(air),
            cap_opened: Some(false),
            method: None,
            note: String::new(),
        };
        let offset = self.vehicle.sensor_offset.kelvin();
        let coolant = Trace {
            time: vec![0.0, DRIVE_S / 2.0, DRIVE_S - 30.0, DRIVE_S],
            value: [air, top, top, top].map(|true_value| true_value + offset).to_vec(),
            step: 0.0,
        };
        let vehicle =
            Vehicle { coolant: Some(Coolant { base: self.base, volume_fraction: share.clamp(0.0, 1.0) }), ..self.vehicle.clone() };
        let run = Run {
            duration: DRIVE_S,
            samples: coolant.len(),
            traces: [(Channel::CoolantTemperature, coolant)].into(),
            vehicle,
            levels: vec![note(Occasion::ColdBefore), note(Occasion::HotAfterDrive)],
            ..Run::default()
        };
        let phases = Phases::of(&run);
        let ambient = Ambient::of(&run, &phases);
        LevelExpansion::of(&run, &phases, &ambient, State::Opened, &CoolingDown::default())
    }
}

/// Coolant temperature at which to stop, before the sensor's offset, °C.
fn limit(bases: &[Base], strength: &Estimate, air: &Estimate) -> Result<Option<f64>, PlanError> {
    /// More concentrate boils higher: the end of the published strengths is on the safe side of whatever lies beyond.
    const STRONGEST: f64 = 0.70;
    let strength =
        Estimate { value: strength.value.min(STRONGEST), interval_95: strength.interval_95.map(|end| end.min(STRONGEST)), ..*strength };
    let boils = boils(bases, &strength, air)?;
    Ok(boils.map(|boils| boils.value - (boils.value - boils.interval_95[0]).hypot(SENSOR_K)))
}

/// How long until the reading counts as cold.
fn cold_after((top, top_u): Input, air: &Estimate) -> Option<Estimate> {
    let [colder, warmer] = air.interval_95;
    let [cooler, hotter] = Estimate::normal(top, top_u, Unit::Celsius).interval_95;
    let [shortest, longest] = usual_wait(top, air.value, COLD_WITHIN_K)?;
    let [low, high] = [usual_wait(cooler, warmer, COLD_WITHIN_K)?[0], usual_wait(hotter, colder, COLD_WITHIN_K)?[1]];
    Some(Estimate::from_interval((shortest + longest) / 2.0, [low.min(shortest), high.max(longest)], Unit::Second))
}
