//! The vehicle's own baseline: a drive from before the work says what this car always did.
//!
//! A car that hunts, whose fan cuts in hard, or that is driven over hills shows changes which nothing in a single log explains. A drive
//! recorded *before the work* shows the same ones without the air that the work may have left. So the signs of both drives are weighed
//! together:
//!
//! ```text
//! ln(likelihood ratio) = Σ afterᵢ · signᵢ(after)  +  Σ beforeᵢ · (signᵢ(before) − typicalᵢ)
//! ```
//!
//! with weights set on made pairs of drives by logistic regression, the second ones mostly negative: what the vehicle did before the work as
//! well speaks the less for air now. Only signs of the reading (changes, bursts, overshoot, heater outlet) that *both* drives have are
//! carried over; levels, fill and losses belong to the work and not to the vehicle. Without any, the answer of the single drive stands.
//!
//! Limits: two drives differ by road and weather as well, so the baseline takes away a part and no more. A system that held air before the
//! work too makes its signs look like habits: mark a drive as *before the work* only if it was driven with the system as it had long been.
//!
//! # References
//!
//! - `docs/comparison.md`: how the weights were set and by how much false alarms and misses fall.

mod weights;

use crate::analysis::trapped_air::signs::{Group, MEANINGS, Numbers};
use crate::analysis::trapped_air::weights::TYPICAL;
use crate::analysis::trapped_air::{self, MOST_EVIDENCE, TrappedAir, Where};
use weights::{AFTER, BEFORE};

/// First number of each stretch of the reading's signs: where it is 1 the stretch was seen.
const PRESENT: [(std::ops::Range<usize>, usize); 3] = [(1..6, 0), (7..8, 6), (11..13, 10)];

/// Trapped air after the work, weighed with a drive from before it; `None` where the two drives have no sign in common.
///
/// Probability, likelihood ratio, place and the strengths of the signs are those of the pair; everything else stays. The prior is the single
/// drive's.
pub fn with_baseline(after: &TrappedAir, before: &TrappedAir) -> Option<TrappedAir> {
    let carried = carried(&after.numbers, &before.numbers);
    carried.iter().any(Option::is_some).then(|| weighed(after, &carried))
}

fn weighed(after: &TrappedAir, carried: &[Option<f64>; TYPICAL.len()]) -> TrappedAir {
    let evidence = evidence(&after.numbers, carried).clamp(-MOST_EVIDENCE, MOST_EVIDENCE);
    let mut pair = TrappedAir {
        probability: trapped_air::by_evidence(after.prior, evidence),
        likelihood_ratio: evidence.exp(),
        place: if evidence > 0.0 { after.place } else { Where::None },
        ..after.clone()
    };
    for signature in &mut pair.signatures {
        signature.strength = signature.strength.shifted(habit(signature.group, carried));
    }
    pair.signatures.retain(|signature| signature.strength.value > 0.0);
    pair.signatures.sort_by(|a, b| b.strength.value.total_cmp(&a.strength.value));
    pair
}

/// What the drive before the work showed beyond what is typical, sign by sign; `None` where not both drives have it.
pub fn carried(after: &Numbers, before: &Numbers) -> [Option<f64>; TYPICAL.len()] {
    let mut carried = [None; TYPICAL.len()];
    for (signs, present) in PRESENT {
        for sign in signs.filter(|_| after[present] == 1.0 && before[present] == 1.0) {
            carried[sign] = Some(before[sign] - TYPICAL[sign]);
        }
    }
    // Bursts and overshoot are looked for wherever the drive's changes are.
    for sign in 8..10 {
        carried[sign] = (after[0] == 1.0 && before[0] == 1.0).then(|| before[sign] - TYPICAL[sign]);
    }
    carried
}

/// Natural logarithm of the likelihood ratio.
fn evidence(after: &Numbers, carried: &[Option<f64>]) -> f64 {
    let now: f64 = after.iter().zip(AFTER).map(|(sign, weight)| sign * weight).sum();
    let habits: f64 = carried.iter().zip(BEFORE).map(|(sign, weight)| sign.unwrap_or(0.0) * weight).sum();
    now + habits
}

/// What the vehicle's habit takes from a group's strength.
fn habit(group: Group, carried: &[Option<f64>]) -> f64 {
    let of_group = MEANINGS.iter().zip(carried).zip(BEFORE).filter(|((meaning, _), _)| meaning.group == group);
    of_group.map(|((_, sign), weight)| sign.unwrap_or(0.0) * weight).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lively(rise: f64) -> Numbers {
        let mut numbers = TYPICAL;
        (numbers[1], numbers[2], numbers[3], numbers[7]) = (rise, rise, rise, rise);
        numbers
    }

    #[test]
    fn what_the_car_always_did_speaks_less_for_air() {
        let unknown = evidence(&lively(1.2), &carried(&lively(1.2), &TYPICAL));
        let habitual = evidence(&lively(1.2), &carried(&lively(1.2), &lively(1.2)));
        let new = evidence(&lively(1.2), &carried(&lively(1.2), &lively(-0.3)));
        assert!(habitual < unknown - 0.3 && new > unknown + 0.2, "{habitual} {unknown} {new}");
    }

    #[test]
    fn a_drive_before_the_work_without_readings_carries_nothing() {
        assert!(carried(&TYPICAL, &[0.0; TYPICAL.len()]).iter().all(Option::is_none));
    }
}
