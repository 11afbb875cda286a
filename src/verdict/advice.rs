//! Advice: what to do next, each a thing that a hand can do, with the dangers that go with it.
//!
//! Advice is a closed list so that the same step asked for by two reasons is printed once, in the order in which it is done, and so
//! that no step can be printed without its cautions.

use crate::verdict::cautions::Caution;

/// One step. The order is the order in which steps are done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Advice {
    /// Stop the engine and let it cool.
    StopAndCool,
    /// Check that the reading is believed by a second thermometer.
    CompareSensor,
    /// Record again, from cold, until the reading holds.
    RecordFromCold,
    /// Drive on longer so that the reading holds.
    DriveUntilSteady,
    /// Drive rather than idle.
    DriveNotIdle,
    /// Record with a shorter period.
    RecordFaster,
    /// Record engine speed and vehicle speed beside the coolant.
    AddChannels,
    /// State the thermostat's rating and kind in the vehicle file.
    StateThermostat,
    /// State cap and coolant.
    StateCap,
    /// Note the reservoir cold, hot and cold again.
    NoteLevels,
    /// Have the thermostat tested or replaced.
    TestThermostat,
    /// Look at fan, its relay and sensor.
    CheckFan,
    /// Look at the radiator's face and its flow.
    CheckRadiator,
    /// Check the strength of the coolant.
    CheckMixture,
}

impl Advice {
    /// The step as a sentence.
    pub fn text(self) -> &'static str {
        match self {
            Advice::StopAndCool => {
                "Stop when it is safe, engine off, and let it go cold before anything else; do not drive on to finish the log."
            }
            Advice::CompareSensor => {
                "Compare the coolant reading with a second thermometer on the cold engine, after a night outside; look at the sensor's plug."
            }
            Advice::RecordFromCold => "Record again from a cold start, after a night, until the reading has held steady for ten minutes.",
            Advice::DriveUntilSteady => "Drive on until the reading has held steady for ten minutes, then export the whole log.",
            Advice::DriveNotIdle => {
                "Drive it rather than let it idle: some engines, diesels above all, do not reach opening at idle in the cold."
            }
            Advice::RecordFaster => "Record the coolant temperature at least every two seconds; fewer channels make a faster log.",
            Advice::AddChannels => "Record engine speed, vehicle speed and load (or fuel rate) beside the coolant temperature.",
            Advice::StateThermostat => {
                "State the thermostat's stamped rating, its place and its kind in the vehicle file; they are on the old part or in the maker's data."
            }
            Advice::StateCap => "State the cap's pressure and the coolant's strength in the vehicle file.",
            Advice::NoteLevels => {
                "Note the reservoir level cold before, hot after (cap closed) and cold again after the drive, on the same level spot."
            }
            Advice::TestThermostat => {
                "Take the thermostat out cold and test it in a pot with a thermometer, or fit a new one; follow the maker's procedure."
            }
            Advice::CheckFan => {
                "With the engine off and cold, look at the fan, its plug, fuse and relay; see that it cuts in when the maker says."
            }
            Advice::CheckRadiator => {
                "With the engine cold, look for a clogged radiator face and a cold patch noted after the drive; have its flow tested."
            }
            Advice::CheckMixture => "Check the coolant's strength with a refractometer, cold.",
        }
    }

    /// Dangers that go with the step.
    pub fn cautions(self) -> &'static [Caution] {
        match self {
            Advice::StopAndCool => &[Caution::Overheating, Caution::HotCap],
            Advice::RecordFromCold | Advice::DriveUntilSteady | Advice::DriveNotIdle => &[Caution::Recorder, Caution::Exhaust],
            Advice::TestThermostat => &[Caution::HotCap, Caution::Raised, Caution::Glycol],
            Advice::CheckFan => &[Caution::Fan],
            Advice::CheckRadiator => &[Caution::Fan, Caution::HotCap],
            Advice::CheckMixture => &[Caution::HotCap, Caution::Glycol],
            Advice::NoteLevels => &[Caution::HotCap],
            Advice::CompareSensor | Advice::RecordFaster | Advice::AddChannels | Advice::StateThermostat | Advice::StateCap => &[],
        }
    }
}
