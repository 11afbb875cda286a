//! Why a job cannot be planned, and the way out.

use crate::coolant::{Base, CoolantError};

/// What stands in the way. Each variant holds what was stated.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// Nothing to reckon from.
    #[error("the system's capacity is not stated")]
    NoCapacity,
    /// Nothing drained.
    #[error("neither a drained volume nor what is to be drained is stated")]
    NoDrain,
    /// Nothing wanted.
    #[error("neither a freezing point nor a strength is stated that the fill is to reach")]
    NothingWanted,
    /// A number that no such thing has.
    #[error("{what}: {value} {unit} lies outside {low} to {high} {unit}")]
    OutOfRange {
        /// Which entry.
        what: &'static str,
        /// What was stated.
        value: f64,
        /// Least that is believed.
        low: f64,
        /// Greatest that is believed.
        high: f64,
        /// Unit of the three.
        unit: &'static str,
    },
    /// More out than there was in.
    #[error("{drained:.2} L drained is more than the system's {capacity:.2} L, and by more than a pan is off")]
    MoreThanCapacity {
        /// Drained, in L.
        drained: f64,
        /// Capacity, in L.
        capacity: f64,
    },
    /// A freezing point that the tables do not reach.
    #[error("{celsius:.0} °C is colder than the published freezing points of {} reach with certainty ({coldest:.0} °C)", base.spoken())]
    BeyondTables {
        /// The base asked of.
        base: Base,
        /// What was stated, in °C.
        celsius: f64,
        /// Coldest that has an answer, in °C.
        coldest: f64,
        /// Whether it was read on the coolant (else it is wanted of it).
        read: bool,
    },
    /// Stronger than the tables go.
    #[error("{percent:.0} % is wanted, and the published tables end at {greatest:.0} %")]
    WantedTooStrong {
        /// What was wanted, in per cent by volume.
        percent: f64,
        /// Greatest that has an answer, in per cent by volume.
        greatest: f64,
    },
    /// A property that is not published there.
    #[error(transparent)]
    Coolant(#[from] CoolantError),
}

impl PlanError {
    /// The way out, as a sentence for the person.
    pub fn hint(&self) -> String {
        match self {
            Self::NoCapacity => "state the capacity with the job or in the vehicle file; the maker's data have it".to_owned(),
            Self::NoDrain => {
                "state the drained volume, the share that drains, or which drains are opened (radiator only, radiator and block)".to_owned()
            }
            Self::NothingWanted => {
                "state the freezing point that is wanted (\"-30 degC\"), or a strength; the maker's data have it".to_owned()
            }
            Self::OutOfRange { what, .. } => format!("correct the {what}, or its unit"),
            Self::MoreThanCapacity { .. } => {
                "correct the capacity or the drained volume; a drain pan may have held something before".to_owned()
            }
            Self::BeyondTables { read: true, .. } => {
                "past about 60 % the freezing point rises again (from memory), so a reading there has two meanings: mix a sample \
                 half and half with water, read that, and state twice its strength"
                    .to_owned()
            }
            Self::BeyondTables { read: false, .. } => {
                "more concentrate does not protect further with certainty: ask the maker what is to be used there".to_owned()
            }
            Self::WantedTooStrong { .. } => {
                "beyond that protection no longer grows and then falls (from memory): ask for less, as the maker states".to_owned()
            }
            Self::Coolant(error) => error.hint().to_owned(),
        }
    }
}

/// Refuses a number outside what such a thing has; no NaN passes.
pub(super) fn within(what: &'static str, value: f64, [low, high]: [f64; 2], unit: &'static str) -> Result<f64, PlanError> {
    if (low..=high).contains(&value) { Ok(value) } else { Err(PlanError::OutOfRange { what, value, low, high, unit }) }
}
