//! Remarks: what a plan has to tell beside its numbers, each at the step of the work where it binds.
//!
//! A closed list, so that no remark is printed twice and none that asks for a hand's work goes without its cautions. How each is said
//! stands in `spoken`.

use super::circuit::DrainFits;
use super::product::Product;
use crate::coolant::Base;
use crate::estimate::Estimate;
use crate::verdict::cautions::Caution;
use serde::Serialize;

/// Steps of the work, in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Before the work.
    Before,
    /// Draining.
    Drain,
    /// Filling.
    Fill,
    /// The drive after it.
    Drive,
    /// From then on.
    After,
}

/// One remark.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Remark {
    /// A drive logged before the work becomes this vehicle's own baseline.
    LogBefore,
    /// What is in the system was assumed.
    PresentAssumed {
        /// Share reckoned with.
        strength: Estimate,
    },
    /// Only the radiator is drained.
    BlockStaysFull,
    /// What came out does not look like what was opened.
    DrainLooksLike {
        /// Drained as a share of the capacity.
        drained_share: Estimate,
        /// What that looks like.
        looks_like: DrainFits,
    },
    /// A run has to mix before the next drain.
    RunBetweenRounds,
    /// Concentrate and water: which first.
    ConcentrateFirst,
    /// Volume that is lost on mixing.
    LostOnMixing {
        /// How much, mL.
        volume: Estimate,
    },
    /// One round cannot reach the wanted strength.
    NotInOneRound {
        /// Greatest strength one round reaches.
        strongest: Estimate,
        /// Wanted strength, share by volume.
        wanted: f64,
    },
    /// One round may or may not reach the wanted strength.
    PerhapsNotInOneRound {
        /// Greatest strength one round reaches.
        strongest: Estimate,
        /// Wanted strength, share by volume.
        wanted: f64,
    },
    /// After all planned rounds it is still weaker than wanted.
    StaysWeaker {
        /// Strength in the end.
        strength: Estimate,
        /// Wanted strength, share by volume.
        wanted: f64,
    },
    /// What stays is stronger than wanted.
    StaysStronger {
        /// Strength in the end.
        strength: Estimate,
        /// Wanted strength, share by volume.
        wanted: f64,
    },
    /// The wanted protection is not certain with what is known of the volumes.
    CheckStrength {
        /// Wanted freezing point, °C.
        wanted_degc: f64,
        /// What may be relied on, °C.
        relied_on_degc: f64,
    },
    /// Beyond the tables.
    TooStrong {
        /// Strength in the end.
        strength: Estimate,
    },
    /// Weaker than coolants are made for.
    TooWeak {
        /// Strength in the end.
        strength: Estimate,
    },
    /// Two product types in one system.
    TypesMix {
        /// What was in it.
        old: Product,
        /// What is poured.
        new: Product,
        /// Share of the old that is left.
        old_left: Estimate,
    },
    /// What is in the system is not known by type.
    OldTypeUnknown,
    /// Two bases in one system.
    BasesMix {
        /// What was in it.
        #[serde(serialize_with = "name")]
        old: Base,
        /// What is poured.
        #[serde(serialize_with = "name")]
        new: Base,
    },
    /// The fill took less than came out.
    AirToComeOut {
        /// How much less, mL.
        air: Estimate,
    },
    /// More went in than came out.
    MoreWentIn {
        /// Drained less filled, mL.
        air: Estimate,
    },
    /// Drained and filled agree within what a pan tells.
    FillAgrees {
        /// Drained less filled, mL.
        air: Estimate,
    },
    /// The stamp is that of a wax element only if it is one.
    StateThermostat,
    /// The boiling point at the cap's pressure is no promise.
    CapIsACeiling,
    /// The reading that is held ordinarily comes near the limit.
    LimitNearOrdinary {
        /// Limit reading, °C.
        limit_degc: f64,
    },
    /// Altitude or air pressure was assumed.
    AirPressureAssumed,
    /// Today's air was assumed.
    AmbientAssumed,
    /// The wait is what is usual.
    WaitIsUsual,
    /// The maker's schedule outranks the interval.
    MakersSchedule,
}

impl Remark {
    /// The step at which it binds.
    pub fn stage(&self) -> Stage {
        match self {
            Self::LogBefore | Self::PresentAssumed { .. } => Stage::Before,
            Self::BlockStaysFull | Self::DrainLooksLike { .. } => Stage::Drain,
            Self::RunBetweenRounds
            | Self::ConcentrateFirst
            | Self::LostOnMixing { .. }
            | Self::NotInOneRound { .. }
            | Self::PerhapsNotInOneRound { .. }
            | Self::StaysWeaker { .. }
            | Self::StaysStronger { .. }
            | Self::CheckStrength { .. }
            | Self::TooStrong { .. }
            | Self::TooWeak { .. }
            | Self::TypesMix { .. }
            | Self::OldTypeUnknown
            | Self::BasesMix { .. }
            | Self::AirToComeOut { .. }
            | Self::MoreWentIn { .. }
            | Self::FillAgrees { .. } => Stage::Fill,
            Self::StateThermostat
            | Self::CapIsACeiling
            | Self::LimitNearOrdinary { .. }
            | Self::AirPressureAssumed
            | Self::AmbientAssumed
            | Self::WaitIsUsual => Stage::Drive,
            Self::MakersSchedule => Stage::After,
        }
    }

    /// Dangers that go with it.
    pub fn cautions(&self) -> &'static [Caution] {
        match self {
            Self::BlockStaysFull | Self::DrainLooksLike { .. } | Self::NotInOneRound { .. } | Self::StaysWeaker { .. } => {
                &[Caution::HotCap, Caution::Raised, Caution::Glycol]
            }
            Self::PresentAssumed { .. } | Self::CheckStrength { .. } | Self::ConcentrateFirst | Self::LostOnMixing { .. } => {
                &[Caution::HotCap, Caution::Glycol]
            }
            Self::PerhapsNotInOneRound { .. } | Self::TypesMix { .. } | Self::OldTypeUnknown => &[Caution::HotCap, Caution::Glycol],
            Self::RunBetweenRounds => &[Caution::HotCap, Caution::Fan, Caution::Exhaust, Caution::Glycol],
            Self::LogBefore => &[Caution::HotCap, Caution::Exhaust, Caution::Recorder],
            Self::MoreWentIn { .. } => &[Caution::HotCap, Caution::Fan, Caution::Raised, Caution::Glycol],
            Self::CapIsACeiling | Self::LimitNearOrdinary { .. } | Self::AirPressureAssumed => &[Caution::Overheating, Caution::HotCap],
            Self::WaitIsUsual => &[Caution::HotCap],
            Self::MakersSchedule => &[Caution::Maker],
            Self::StaysStronger { .. }
            | Self::TooStrong { .. }
            | Self::TooWeak { .. }
            | Self::BasesMix { .. }
            | Self::AirToComeOut { .. }
            | Self::FillAgrees { .. }
            | Self::StateThermostat
            | Self::AmbientAssumed => &[],
        }
    }
}

fn name<S: serde::Serializer>(base: &Base, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(base.spoken())
}
