//! Which remarks a plan calls for.

use super::Plan;
use super::circuit::DrainFits;
use super::coming_drive::OpensBy;
use super::job::{Drains, Fill, Job, Wanted};
use super::remarks::Remark;
use super::rounds::Reach;
use crate::coolant::{Base, GREATEST_VOLUME_SHARE};

/// Least share by volume that coolants are meant for (ASTM D3306-08a, scope: 40 to 70 %).
const LEAST_SHARE: f64 = 0.40;

/// Loss on mixing that is worth a word, mL: what one reads on a reservoir.
const WORTH_A_WORD_ML: f64 = 10.0;

/// Temperatures closer than this are one, K.
const SAME_DEGREE_K: f64 = 0.5;

/// Strengths closer than this are one.
const SAME_STRENGTH: f64 = 0.005;

/// The remarks of a plan, in the order of the work. `bases` are that of what is in the system and that of what is poured.
pub(super) fn remarks(plan: &Plan, job: &Job, present_assumed: bool, bases: [Base; 2]) -> Vec<Remark> {
    let mut remarks = vec![Remark::LogBefore];
    let mut say = |applies: bool, remark: Remark| {
        if applies {
            remarks.push(remark);
        }
    };
    let concentrate = matches!(job.fill, Fill::Concentrate { .. });
    say(present_assumed, Remark::PresentAssumed { strength: plan.present });
    say(job.drain.measured.is_none() && job.drain.opened == Some(Drains::RadiatorOnly), Remark::BlockStaysFull);
    let looks_like = DrainFits::of(plan.drained_share.value);
    let drain = Remark::DrainLooksLike { drained_share: plan.drained_share, looks_like };
    say(job.drain.measured.is_some() && surprises(plan, job.drain.opened, looks_like), drain);
    say(plan.rounds.len() > 1, Remark::RunBetweenRounds);
    say(concentrate, Remark::ConcentrateFirst);
    say(plan.lost_on_mixing.value >= WORTH_A_WORD_ML, Remark::LostOnMixing { volume: plan.lost_on_mixing });
    if let Some(wanted) = plan.wanted.map(|wanted| wanted.value) {
        let strongest = plan.strongest_in_one;
        say(plan.reached_in_one == Some(Reach::No), Remark::NotInOneRound { strongest, wanted });
        // A ready mixture comes near its own strength and never past it; what it comes to is said below.
        say(concentrate && plan.reached_in_one == Some(Reach::Unsettled), Remark::PerhapsNotInOneRound { strongest, wanted });
        let strength = plan.strength;
        say(strength.value < wanted - SAME_STRENGTH, Remark::StaysWeaker { strength, wanted });
        say(concentrate && strength.value > wanted + SAME_STRENGTH, Remark::StaysStronger { strength, wanted });
    }
    if let (Some(Wanted::ProtectedTo(wanted)), Some(relied_on)) = (job.wanted, plan.protection.relied_on()) {
        let (wanted_degc, relied_on_degc) = (wanted.celsius(), relied_on);
        say(relied_on_degc > wanted_degc + SAME_DEGREE_K, Remark::CheckStrength { wanted_degc, relied_on_degc });
    }
    say(plan.strength.interval_95[1] > GREATEST_VOLUME_SHARE, Remark::TooStrong { strength: plan.strength });
    say(plan.strength.value < LEAST_SHARE, Remark::TooWeak { strength: plan.strength });
    let [old_base, base] = bases;
    say(old_base != base, Remark::BasesMix { old: old_base, new: base });
    let stays = plan.rounds.last().map_or(plan.left, |last| last.old_left);
    match (job.present.product, job.product) {
        (Some(old), Some(new)) => say(old != new, Remark::TypesMix { old, new, old_left: stays }),
        (None, _) => say(true, Remark::OldTypeUnknown),
        (Some(_), None) => {}
    }
    if let Some(account) = &plan.account {
        let (air, [low, high]) = (account.air, account.air.interval_95);
        say(low > 0.0, Remark::AirToComeOut { air });
        say(high < 0.0, Remark::MoreWentIn { air });
        say(low <= 0.0 && high >= 0.0, Remark::FillAgrees { air });
    }
    let drive = &plan.coming_drive;
    say(matches!(drive.opens_by, OpensBy::StampIfWax | OpensBy::AnyThermostat), Remark::StateThermostat);
    say(plan.protection.boils_at_cap.is_some(), Remark::CapIsACeiling);
    let near = drive.limit_reading().filter(|limit| drive.opens_by != OpensBy::AnyThermostat && drive.holds.interval_95[1] >= *limit);
    say(near.is_some(), Remark::LimitNearOrdinary { limit_degc: near.unwrap_or_default() });
    say(plan.protection.air_assumed, Remark::AirPressureAssumed);
    say(drive.ambient_assumed, Remark::AmbientAssumed);
    say(drive.cold_after.is_some(), Remark::WaitIsUsual);
    say(plan.interval.is_some(), Remark::MakersSchedule);
    remarks.sort_by_key(Remark::stage);
    remarks
}

/// Whether a measured drain does not look like what was opened.
fn surprises(plan: &Plan, opened: Option<Drains>, looks_like: DrainFits) -> bool {
    let [low, high] = plan.drained_share.interval_95;
    match opened.map(Drains::usual) {
        Some([least, most]) => high < least || low > most,
        None => !matches!(looks_like, DrainFits::RadiatorOnly | DrainFits::RadiatorAndBlock),
    }
}
