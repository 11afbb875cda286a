//! Levels: does the cold level fall by more than the ordinary first uptake, and does it go on falling?
//!
//! One heat cycle cannot tell air that was purged from coolant that was lost, so a first fall passes up to a limit and asks for one
//! more look. A leak is called only where the account calls one: from three cycles, a failed pressure test, or coolant seen outside.

use crate::analysis::Analysis;
use crate::analysis::level_loss::{Account, LeakSign};
use crate::run::{Occasion, Run};
use crate::verdict::advice::Advice;
use crate::verdict::decision::{Decision, within};
use crate::verdict::limits;
use crate::verdict::ruling::{Ruling, Topic};

/// Judges the cold levels of the notes.
pub fn cold(run: &Run, analysis: &Analysis) -> Ruling {
    let loss = &analysis.level_loss;
    let ruling = |decision, words: &str, advice: &[Advice]| {
        let mut sentences = loss.sentences();
        if !words.is_empty() {
            sentences.push(words.to_owned());
        }
        Ruling::new(Topic::LevelLoss, decision, sentences.join(" "), advice)
    };
    match loss.account {
        Account::None if run.levels.is_empty() => {
            Ruling::new(Topic::LevelLoss, Decision::NotJudged, "No level notes were given.", &[Advice::NoteLevels])
        }
        Account::None => ruling(Decision::NotJudged, "", &[Advice::NoteLevels]),
        Account::Unchanged | Account::Clears => ruling(Decision::Pass, "That is within what the readings can tell: it holds.", &[]),
        Account::FirstUptake => first_uptake(run, analysis, ruling),
        Account::StillFalling => {
            ruling(Decision::Inconclusive, "Air that purges dies out, a leak goes on: one more heat cycle tells.", &[Advice::AnotherCycle])
        }
        Account::GoesOn => ruling(
            Decision::Recheck,
            "It goes on falling past the third cycle: look for combustion gas in the coolant, a weak pump or slipping belt, or a leak.",
            &[Advice::PressureTest, Advice::LookOutside, Advice::CombustionTest],
        ),
        Account::Rises if loss.rises_again() => ruling(
            Decision::Recheck,
            "A level that rises cycle after cycle is coolant pushed out by combustion gas, as past a head gasket, unless it was topped up without a note.",
            &[Advice::CombustionTest, Advice::AnotherCycle],
        ),
        Account::Rises => ruling(
            Decision::Inconclusive,
            "A level that rises was topped up without a note, read on a warm engine, or on another spot.",
            &[Advice::AnotherCycle],
        ),
        Account::Leak(sign) => {
            let by = match sign {
                LeakSign::Series => "Cycle after cycle it loses about the same: that is a leak, or combustion gas that drives coolant out.",
                LeakSign::PressureTest => "The system does not hold pressure: that is a leak.",
                LeakSign::SeenOutside => "Coolant outside the circuit is a leak.",
            };
            let steps = [Advice::LookOutside, Advice::PressureTest, Advice::CombustionTest];
            ruling(Decision::Recheck, by, if sign == LeakSign::Series { &steps } else { &steps[..2] })
        }
    }
}

/// What a system may take up over its first heat cycle, in mL.
fn ordinary_uptake(run: &Run) -> f64 {
    let (share, least) = limits::FIRST_UPTAKE;
    run.vehicle.capacity.map_or(least, |capacity| (share * capacity.millilitres()).max(least))
}

fn first_uptake(run: &Run, analysis: &Analysis, ruling: impl Fn(Decision, &str, &[Advice]) -> Ruling) -> Ruling {
    let limit = ordinary_uptake(run);
    let taken = analysis.level_loss.per_cycle.first().copied().or(analysis.level_loss.cold_to_cold);
    let decision = taken.map_or(Decision::Inconclusive, |taken| within(&taken, f64::NEG_INFINITY, limit));
    let words = match decision {
        Decision::Pass => {
            format!("Up to {limit:.0} mL in the first heat cycle after a refill is ordinary: look at it again after the next drive.")
        }
        Decision::Recheck => format!("More than {limit:.0} mL in the first heat cycle is more than air alone explains."),
        _ => format!("Up to {limit:.0} mL in the first heat cycle is ordinary; the reading's uncertainty reaches past that."),
    };
    let advice: &[Advice] = match decision {
        Decision::Recheck => &[Advice::LookOutside, Advice::PressureTest, Advice::AnotherCycle],
        _ => &[Advice::AnotherCycle],
    };
    ruling(decision, &words, advice)
}

/// Judges the hot level as far as it goes. What it stands short of is gas that has left so far; as much as an ordinary first uptake passes,
/// and more decides nothing by itself: how much gas is still in the circuit raises or lowers it with a pressure that nobody reads.
pub fn hot(run: &Run, analysis: &Analysis) -> Option<Ruling> {
    let noted = run.levels.iter().any(|note| note.occasion == Occasion::HotAfterDrive);
    let expansion = &analysis.level_expansion;
    let limit = ordinary_uptake(run);
    let ordinary = expansion.shortfall.is_some_and(|shortfall| within(&shortfall, -limit, limit) == Decision::Pass);
    let decision = if ordinary { Decision::Pass } else { Decision::NotJudged };
    let mut sentences = expansion.sentences();
    if expansion.shortfall.is_some() {
        let said = if ordinary { "by itself that is ordinary" } else { "by itself it decides nothing" };
        sentences.push(format!("Up to {limit:.0} mL may go in to replace air in a first heat cycle: {said}."));
    }
    noted.then(|| Ruling::new(Topic::LevelExpansion, decision, sentences.join(" "), &[]))
}
