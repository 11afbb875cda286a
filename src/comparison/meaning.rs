//! What a difference means in the trade's words, and what to do about it.
//!
//! A closed list, so that no change is printed without its meaning. What a single difference cannot tell apart stands in the sentence.

use super::decision::Decision;
use super::margins::Measure;
use crate::verdict::advice::Advice;

/// What a change of one measure means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// As it was.
    Alike,
    /// Cannot be told from these two drives.
    CannotBeTold,
    /// The valve opens earlier.
    OpensEarlier,
    /// The valve opens later.
    OpensLater,
    /// The radiator is in the circuit from the start, which it was not.
    OpenThroughoutNow,
    /// The valve opens, which it did not need to.
    OpensAgain,
    /// The band reaches lower.
    BandLower,
    /// The band's lower edge has risen.
    BandLessLow,
    /// The band reaches higher.
    BandHigher,
    /// The band's upper edge has fallen.
    BandLessHigh,
    /// A kelvin takes more heat.
    TakesMoreHeat,
    /// A kelvin takes less heat.
    TakesLessHeat,
    /// More heat is lost on the way up.
    LosesMoreHeat,
    /// Less heat is lost on the way up.
    LosesLessHeat,
    /// The reading rises further at a stand.
    FanDoesLess,
    /// It rises less at a stand.
    FanDoesMore,
    /// The reading rises further at road speed.
    RadiatorDoesLess,
    /// It rises less at road speed.
    RadiatorDoesMore,
    /// It cools down slower.
    CoolsSlower,
    /// It cools down faster.
    CoolsFaster,
    /// More coolant goes in a heat cycle.
    LosesMore,
    /// Less coolant goes in a heat cycle.
    LosesLess,
    /// The sensor reads otherwise than the air.
    SensorMoved,
    /// The log shows less of the drive.
    LogWorse,
    /// The log shows more of the drive.
    LogBetter,
}

impl Meaning {
    /// Of a decided difference.
    pub(super) fn of(measure: Measure, decision: Decision, difference: f64) -> Self {
        match decision {
            Decision::Alike => return Meaning::Alike,
            Decision::Inconclusive => return Meaning::CannotBeTold,
            Decision::Changed => {}
        }
        let [up, down] = match measure {
            Measure::Opening => [Meaning::OpensLater, Meaning::OpensEarlier],
            Measure::BandLow => [Meaning::BandLessLow, Meaning::BandLower],
            Measure::BandHigh => [Meaning::BandHigher, Meaning::BandLessHigh],
            Measure::HeatCapacity => [Meaning::TakesMoreHeat, Meaning::TakesLessHeat],
            Measure::HeatLoss => [Meaning::LosesMoreHeat, Meaning::LosesLessHeat],
            Measure::RiseStanding => [Meaning::FanDoesLess, Meaning::FanDoesMore],
            Measure::RiseMoving => [Meaning::RadiatorDoesLess, Meaning::RadiatorDoesMore],
            Measure::CoolingDown => [Meaning::CoolsSlower, Meaning::CoolsFaster],
            Measure::LevelLoss => [Meaning::LosesMore, Meaning::LosesLess],
            Measure::SensorOffset => [Meaning::SensorMoved, Meaning::SensorMoved],
            Measure::Coverage => [Meaning::LogBetter, Meaning::LogWorse],
        };
        if difference > 0.0 { up } else { down }
    }

    /// What it means, as a sentence or a few.
    pub fn spoken(self) -> &'static str {
        match self {
            Meaning::Alike => "As it was.",
            Meaning::CannotBeTold => "These two drives do not tell whether it moved.",
            Meaning::OpensEarlier => "The thermostat opens earlier than it did: the valve is tiring, or does not close fully.",
            Meaning::OpensLater => "The thermostat opens later than it did: the valve is sluggish, or it stood in air.",
            Meaning::OpenThroughoutNow => {
                "The radiator is in the circuit from the start now, which it was not: the thermostat no longer closes."
            }
            Meaning::OpensAgain => {
                "The thermostat closes and opens now; in the earlier drive the radiator was in the circuit from the start."
            }
            Meaning::BandLower => {
                "The reading falls lower than it did: the thermostat closes late or not fully, or the day asked more of the heater."
            }
            Meaning::BandLessLow => "The reading no longer falls as low as it did.",
            Meaning::BandHigher => {
                "The reading climbs higher than it did: look at fan and radiator, unless the day, the load or another thermostat explains it."
            }
            Meaning::BandLessHigh => "The reading no longer climbs as high as it did.",
            Meaning::TakesMoreHeat => {
                "Each kelvin of the warm-up takes more heat than it did: the radiator is partly in the circuit, or the heater drew more that day."
            }
            Meaning::TakesLessHeat => {
                "Each kelvin of the warm-up takes less heat than it did: there is less coolant about the sensor, or the heater drew less that day."
            }
            Meaning::LosesMoreHeat => {
                "More heat is lost towards the end of the warm-up than it was: the thermostat leaks before it opens, or the heater drew more."
            }
            Meaning::LosesLessHeat => "Less heat is lost towards the end of the warm-up than it was.",
            Meaning::FanDoesLess => "Standing, the reading rises further than it did: the fan does less.",
            Meaning::FanDoesMore => "Standing, the reading rises less than it did.",
            Meaning::RadiatorDoesLess => "At road speed the reading rises further than it did: the radiator carries less away.",
            Meaning::RadiatorDoesMore => "At road speed the reading rises less than it did.",
            Meaning::CoolsSlower => "It cools down slower than it did: less wind, a warmer place, or a shut bonnet do that as well.",
            Meaning::CoolsFaster => {
                "It cools down faster than it did: wind, an open bonnet or a fan that runs on do that, and so does a circuit that holds less."
            }
            Meaning::LosesMore => {
                "More coolant goes in a heat cycle than before: air that comes out after the work does that once, a leak every time."
            }
            Meaning::LosesLess => "Less coolant goes in a heat cycle than before.",
            Meaning::SensorMoved => {
                "Cold, the coolant sensor reads otherwise against the air than it did: the sensor, its plug or its wiring has moved."
            }
            Meaning::LogWorse => "This log shows less of its drive than the earlier one.",
            Meaning::LogBetter => "This log shows more of its drive than the earlier one.",
        }
    }

    /// What to do about it.
    pub fn advice(self) -> &'static [Advice] {
        match self {
            Meaning::OpensEarlier | Meaning::OpenThroughoutNow | Meaning::OpensLater => &[Advice::CompareSensor, Advice::TestThermostat],
            Meaning::TakesMoreHeat | Meaning::LosesMoreHeat => &[Advice::RecordFromCold],
            Meaning::BandHigher | Meaning::FanDoesLess => &[Advice::CheckFan, Advice::CheckRadiator],
            Meaning::RadiatorDoesLess => &[Advice::CheckRadiator],
            Meaning::BandLower => &[Advice::TestThermostat],
            Meaning::TakesLessHeat | Meaning::CoolsFaster => &[Advice::NoteLevels],
            Meaning::LosesMore => &[Advice::LookOutside, Advice::AnotherCycle],
            Meaning::SensorMoved => &[Advice::CompareSensor],
            Meaning::LogWorse => &[Advice::RecordFaster],
            _ => &[],
        }
    }
}
