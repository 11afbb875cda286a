//! Advice: what to do next, each a thing that a hand can do, with the dangers that go with it.
//!
//! Advice is a closed list so that the same step asked for by two reasons is printed once, in the order in which it is done, and so
//! that no step can be printed without its cautions.

use crate::verdict::cautions::Caution;

/// One step. The order is the order in which steps are done: what is wrong first, then what to state, then the next record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Advice {
    /// Stop the engine and let it cool.
    StopAndCool,
    /// Check that the reading is believed by a second thermometer.
    CompareSensor,
    /// Look at fan, its relay and sensor.
    CheckFan,
    /// Look at the radiator's face and its flow.
    CheckRadiator,
    /// Have the thermostat tested or replaced.
    TestThermostat,
    /// Bleed again at the bleed points, cold.
    BleedAgain,
    /// Run at a fast idle with the heater full hot.
    FastIdle,
    /// Have it filled by vacuum.
    FillByVacuum,
    /// Check the strength of the coolant.
    CheckMixture,
    /// Look for coolant outside the circuit.
    LookOutside,
    /// Have the system pressure-tested.
    PressureTest,
    /// Have the coolant tested for combustion gas.
    CombustionTest,
    /// State the thermostat's rating and kind in the vehicle file.
    StateThermostat,
    /// State cap and coolant.
    StateCap,
    /// Record engine speed and vehicle speed beside the coolant.
    AddChannels,
    /// Record with a shorter period.
    RecordFaster,
    /// Note what was drained and what was filled.
    NoteRefill,
    /// Note the reservoir cold, hot and cold again.
    NoteLevels,
    /// One more heat cycle with its levels.
    AnotherCycle,
    /// Record again, from cold, on the road, until the reading holds.
    RecordFromCold,
}

impl Advice {
    /// Every step, in order.
    pub const ALL: [Advice; 20] = [
        Advice::StopAndCool,
        Advice::CompareSensor,
        Advice::CheckFan,
        Advice::CheckRadiator,
        Advice::TestThermostat,
        Advice::BleedAgain,
        Advice::FastIdle,
        Advice::FillByVacuum,
        Advice::CheckMixture,
        Advice::LookOutside,
        Advice::PressureTest,
        Advice::CombustionTest,
        Advice::StateThermostat,
        Advice::StateCap,
        Advice::AddChannels,
        Advice::RecordFaster,
        Advice::NoteRefill,
        Advice::NoteLevels,
        Advice::AnotherCycle,
        Advice::RecordFromCold,
    ];

    /// The step with this sentence.
    pub fn from_text(text: &str) -> Option<Advice> {
        Advice::ALL.into_iter().find(|step| step.text() == text)
    }

    /// The step as a sentence.
    pub fn text(self) -> &'static str {
        match self {
            Advice::StopAndCool => {
                "Stop when it is safe, engine off, and let it go cold before anything else; do not drive on to finish the log."
            }
            Advice::CompareSensor => {
                "Compare the coolant reading with a second thermometer on the cold engine, after a night outside; look at the sensor's plug."
            }
            Advice::CheckFan => {
                "With the engine off and cold, look at the fan, its plug, fuse and relay; see that it cuts in when the maker says."
            }
            Advice::CheckRadiator => {
                "With the engine cold, look for a clogged radiator face and a cold patch noted after the drive; have its flow tested."
            }
            Advice::TestThermostat => {
                "Take the thermostat out cold and test it in a pot with a thermometer, or fit a new one; follow the maker's procedure."
            }
            Advice::BleedAgain => {
                "With the engine cold, nose up and filler highest, open the bleed points, squeeze the top hose, and top up slowly until no more bubbles come; heater set to hot, front and rear."
            }
            Advice::FillByVacuum => {
                "If air stays after that, have the system filled by vacuum: that reaches the pockets that bleeding does not."
            }
            Advice::FastIdle => {
                "Cap on, outdoors, brake on, out of gear, heater full hot: hold a fast idle for a few short periods, watch the reading, and stop if it climbs past what it held."
            }
            Advice::NoteRefill => {
                "At the next fill, measure what comes out and what goes in, with the temperature of what was drained: that account shows trapped air best."
            }
            Advice::LookOutside => {
                "With the engine cold, look for coolant at hoses, clamps, radiator, pump and drains, and for a damp floor inside under the heater."
            }
            Advice::PressureTest => {
                "Have a competent person pressure-test the system, cold, and note the gauge at the start and at the end."
            }
            Advice::CombustionTest => "Have a competent person test the coolant for combustion gas.",
            Advice::AnotherCycle => {
                "Drive it warm once more, leave it to go cold, and note the cold level on the same level spot; top up cold if it asks for it, and note that."
            }
            Advice::CheckMixture => "Check the coolant's strength with a refractometer, cold.",
            Advice::StateThermostat => {
                "State the thermostat's stamped rating, its place and its kind in the vehicle file; they are on the old part or in the maker's data."
            }
            Advice::StateCap => "State the cap's pressure and the coolant's strength in the vehicle file.",
            Advice::AddChannels => "Record engine speed, vehicle speed and load (or fuel rate) beside the coolant temperature.",
            Advice::RecordFaster => "Record the coolant temperature at least every two seconds; fewer channels make a faster log.",
            Advice::NoteLevels => {
                "Note the reservoir level cold before, hot after (cap closed) and cold again after the drive, on the same level spot."
            }
            // Some engines, diesels above all, do not reach opening at idle in the cold (common practice, no source).
            Advice::RecordFromCold => "Record a cold start on the road, not at idle, until the reading has held steady for ten minutes.",
        }
    }

    /// Dangers that go with the step.
    pub fn cautions(self) -> &'static [Caution] {
        match self {
            Advice::StopAndCool => &[Caution::Overheating, Caution::HotCap],
            Advice::CheckFan => &[Caution::Overheating, Caution::Fan],
            Advice::CheckRadiator => &[Caution::Overheating, Caution::Fan, Caution::HotCap],
            Advice::TestThermostat => &[Caution::HotCap, Caution::Raised, Caution::Glycol],
            Advice::CheckMixture | Advice::NoteRefill => &[Caution::HotCap, Caution::Glycol],
            Advice::BleedAgain | Advice::FillByVacuum => &[Caution::HotCap, Caution::Fan, Caution::Raised, Caution::Glycol],
            Advice::FastIdle => &[Caution::Overheating, Caution::HotCap, Caution::Fan, Caution::Exhaust],
            Advice::LookOutside => &[Caution::HotCap, Caution::Fan, Caution::Raised, Caution::Glycol],
            Advice::PressureTest | Advice::CombustionTest => &[Caution::HotCap],
            Advice::NoteLevels => &[Caution::HotCap],
            Advice::AnotherCycle => &[Caution::Overheating, Caution::HotCap],
            Advice::RecordFromCold => &[Caution::Overheating, Caution::Recorder, Caution::Exhaust],
            Advice::CompareSensor | Advice::RecordFaster | Advice::AddChannels | Advice::StateThermostat | Advice::StateCap => &[],
        }
    }
}
