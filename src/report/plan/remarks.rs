//! Each remark at the step where it binds, with its dangers.

use super::{Step, Work};
use crate::planning::Remark;

/// Adds the remarks and their cautions to the steps.
pub(super) fn placed(remarks: &[Remark], steps: &mut [Step]) {
    for remark in remarks {
        let (work, on_card) = place(remark);
        for step in steps.iter_mut().filter(|step| step.work == work) {
            let sentences = if on_card { &mut step.does } else { &mut step.tells };
            sentences.push(remark.spoken());
            step.cautions.extend(remark.cautions());
        }
    }
    for step in steps {
        step.cautions.sort();
        step.cautions.dedup();
    }
}

/// The step at which a remark binds, and whether its sentence has to stand on the card: whether it changes what the hands do there.
fn place(remark: &Remark) -> (Work, bool) {
    match remark {
        // The drive before the work has a box on the card.
        Remark::LogBefore | Remark::PresentAssumed { .. } => (Work::Plan, false),
        Remark::BlockStaysFull => (Work::Drain, false),
        Remark::DrainLooksLike { .. } => (Work::Drain, true),
        Remark::ConcentrateFirst | Remark::LostOnMixing { .. } | Remark::OldTypeUnknown => (Work::Fill, false),
        Remark::RunBetweenRounds
        | Remark::NotInOneRound { .. }
        | Remark::PerhapsNotInOneRound { .. }
        | Remark::StaysWeaker { .. }
        | Remark::StaysStronger { .. }
        | Remark::TooStrong { .. }
        | Remark::TooWeak { .. }
        | Remark::TypesMix { .. }
        | Remark::BasesMix { .. }
        | Remark::AirToComeOut { .. }
        | Remark::MoreWentIn { .. }
        | Remark::FillAgrees { .. } => (Work::Fill, true),
        Remark::LimitNearOrdinary { .. } => (Work::WarmUp, true),
        Remark::StateThermostat | Remark::CapIsACeiling | Remark::AirPressureAssumed => (Work::WarmUp, false),
        Remark::AmbientAssumed | Remark::WaitIsUsual => (Work::CoolDown, false),
        Remark::CheckStrength { .. } => (Work::ColdReading, true),
        Remark::MakersSchedule => (Work::NextYear, false),
    }
}

/// Whether a remark takes something back of what the first lines promise, so that it belongs among them.
pub(super) fn foremost(remark: &Remark) -> bool {
    match remark {
        Remark::NotInOneRound { .. }
        | Remark::StaysWeaker { .. }
        | Remark::StaysStronger { .. }
        | Remark::CheckStrength { .. }
        | Remark::TooStrong { .. }
        | Remark::TooWeak { .. }
        | Remark::TypesMix { .. }
        | Remark::BasesMix { .. }
        | Remark::MoreWentIn { .. }
        | Remark::LimitNearOrdinary { .. } => true,
        Remark::LogBefore
        | Remark::PresentAssumed { .. }
        | Remark::BlockStaysFull
        | Remark::DrainLooksLike { .. }
        | Remark::RunBetweenRounds
        | Remark::ConcentrateFirst
        | Remark::LostOnMixing { .. }
        | Remark::PerhapsNotInOneRound { .. }
        | Remark::OldTypeUnknown
        | Remark::AirToComeOut { .. }
        | Remark::FillAgrees { .. }
        | Remark::StateThermostat
        | Remark::CapIsACeiling
        | Remark::AirPressureAssumed
        | Remark::AmbientAssumed
        | Remark::WaitIsUsual
        | Remark::MakersSchedule => false,
    }
}
