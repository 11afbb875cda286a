//! Margins: how far a measure may move between two drives before it is worth a hand's work, each with its reason and its mark.
//!
//! Marks: *(CP)* common practice with no source, *(M)* from memory, *(own)* our own choice.

use crate::analysis::trapped_air;
use crate::run::Run;

/// What is compared, in the order of the drive.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// The wax's temperature at the first lift.
    Opening,
    /// The band's lower edge.
    BandLow,
    /// The band's upper edge.
    BandHigh,
    /// Heat taken per kelvin of warm-up.
    HeatCapacity,
    /// How much more heat a kelvin takes in the upper half of the rise than in the lower.
    HeatLoss,
    /// Rise of the reading at standstill.
    RiseStanding,
    /// Rise of the reading at road speed.
    RiseMoving,
    /// Time constant of the cooling down.
    CoolingDown,
    /// Cold-to-cold loss per heat cycle.
    LevelLoss,
    /// The coolant sensor against the air, cold.
    SensorOffset,
    /// Share of the drive with readings.
    Coverage,
}

impl Measure {
    /// Every measure.
    pub const ALL: [Measure; 11] = [
        Measure::Opening,
        Measure::BandLow,
        Measure::BandHigh,
        Measure::HeatCapacity,
        Measure::HeatLoss,
        Measure::RiseStanding,
        Measure::RiseMoving,
        Measure::CoolingDown,
        Measure::LevelLoss,
        Measure::SensorOffset,
        Measure::Coverage,
    ];

    /// Stable name, as the JSON contract has it.
    pub fn id(self) -> &'static str {
        match self {
            Measure::Opening => "opening.temperature",
            Measure::BandLow => "regulation.low",
            Measure::BandHigh => "regulation.high",
            Measure::HeatCapacity => "warm_up.heat_capacity_ratio",
            Measure::HeatLoss => "warm_up.heat_loss",
            Measure::RiseStanding => "heat_rejection.rise_standing",
            Measure::RiseMoving => "heat_rejection.rise_moving",
            Measure::CoolingDown => "cooling_down.time_constant",
            Measure::LevelLoss => "level_loss.cold_to_cold",
            Measure::SensorOffset => "sensor_offset",
            Measure::Coverage => "log_quality.covered",
        }
    }

    /// The measure in the trade's words, for tables.
    pub fn spoken(self) -> &'static str {
        match self {
            Measure::Opening => "thermostat's opening",
            Measure::BandLow => "band, lower edge",
            Measure::BandHigh => "band, upper edge",
            Measure::HeatCapacity => "heat taken per kelvin of warm-up",
            Measure::HeatLoss => "heat lost while warming up",
            Measure::RiseStanding => "rise at standstill",
            Measure::RiseMoving => "rise at road speed",
            Measure::CoolingDown => "time constant of cooling down",
            Measure::LevelLoss => "coolant taken up in a heat cycle",
            Measure::SensorOffset => "coolant sensor against the air, cold",
            Measure::Coverage => "share of the drive with readings",
        }
    }

    /// Whether its difference is a share of the earlier value.
    pub fn is_share(self) -> bool {
        matches!(self, Measure::HeatCapacity | Measure::HeatLoss | Measure::CoolingDown)
    }

    /// The margin either way, in the difference's unit; `run` is the later drive.
    pub fn margin(self, run: &Run) -> f64 {
        match self {
            // A thermostat is sold to open within 2 K of its stamp (M); a valve that keeps to that is as good as new.
            Measure::Opening => 2.0,
            // One fan step or one gear moves an edge by so much (own); the valve's own shift shows in the opening first.
            Measure::BandLow | Measure::BandHigh => 4.0,
            // A heater turned from off to full moves it by up to this; a radiator in the circuit doubles it (own).
            Measure::HeatCapacity => 0.5,
            // The same, where it weighs most: a radiator that a leaking valve lets in more than doubles it (own).
            Measure::HeatLoss => 1.0,
            // Half of what parts an ordinary rise from one that calls for a fan (own).
            Measure::RiseStanding | Measure::RiseMoving => 4.0,
            // Wind and a bonnet left open change the time constant by a fifth (own).
            Measure::CoolingDown => 0.25,
            // The volume from which gas matters is also the volume from which a loss does (own).
            Measure::LevelLoss => trapped_air::threshold(run),
            // Two sensors agree to 2 K each (M).
            Measure::SensorOffset => 3.0,
            // A tenth of the drive unseen can hide a sign (own).
            Measure::Coverage => 0.1,
        }
    }

    /// Why the margin is what it is, in a sentence for the page.
    pub fn reason(self) -> &'static str {
        match self {
            Measure::Opening => "a thermostat is sold to open within 2 K of its stamp (from memory)",
            Measure::BandLow | Measure::BandHigh => "one fan step or one gear moves an edge by so much (own choice)",
            Measure::HeatCapacity => {
                "a heater turned from off to full moves it by up to this, a radiator in the circuit doubles it (own choice)"
            }
            Measure::HeatLoss => "a radiator that a leaking valve lets in more than doubles it (own choice)",
            Measure::RiseStanding | Measure::RiseMoving => "half of what parts an ordinary rise from one that calls for a fan (own choice)",
            Measure::CoolingDown => "wind and a bonnet left open change it by a fifth (own choice)",
            Measure::LevelLoss => "max(60 mL, 1 % of the capacity), the volume from which gas matters (own choice)",
            Measure::SensorOffset => "two sensors of 2 K each (from memory)",
            Measure::Coverage => "a tenth of the drive unseen can hide a sign (own choice)",
        }
    }
}
