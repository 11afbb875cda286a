//! What is poured, in words.

use crate::estimate::Estimate;
use crate::planning::figure::volume;
use crate::planning::job::{Fill, Job};
use crate::planning::rounds::Round;

/// Less than this of a part is none of it, mL: what a jug cannot show (own choice).
const NONE_ML: f64 = 5.0;

/// What the product is called.
pub(super) fn product(job: &Job) -> &'static str {
    match job.fill {
        Fill::Concentrate { .. } => "concentrate",
        Fill::ReadyMix { .. } => "ready mixture",
    }
}

/// A volume without its interval.
pub(super) fn amount(of: &Estimate) -> String {
    volume(&Estimate { standard_uncertainty: 0.0, ..*of })
}

/// All rounds in one clause: `3 times 5.00 L of water, then 3.90 L of concentrate and 1.10 L of water`.
pub(super) fn all(rounds: &[Round], job: &Job) -> String {
    let mut runs: Vec<(usize, String)> = Vec::new();
    for pour in rounds.iter().map(|round| short(round, job)) {
        match runs.last_mut() {
            Some((times, last)) if *last == pour => *times += 1,
            _ => runs.push((1, pour)),
        }
    }
    let said = runs.into_iter().map(|(times, pour)| if times > 1 { format!("{times} times {pour}") } else { pour });
    said.collect::<Vec<_>>().join(", then ")
}

/// `4.80 L of concentrate and 5.20 L of water`.
fn short(round: &Round, job: &Job) -> String {
    let parts = [(&round.product, product(job)), (&round.water, "water")];
    let poured: Vec<String> =
        parts.iter().filter(|(volume, _)| volume.value >= NONE_ML).map(|(volume, what)| format!("{} of {what}", amount(volume))).collect();
    if poured.is_empty() { "nothing".to_owned() } else { poured.join(" and ") }
}

/// One round as it is poured, with intervals.
pub(super) fn round(index: usize, rounds: &[Round], job: &Job) -> String {
    let Some(round) = rounds.get(index) else { return String::new() };
    let some = |volume: &Estimate| volume.value >= NONE_ML;
    let poured = match (some(&round.product), some(&round.water)) {
        (true, true) => {
            format!("Pour {} of {}, then water up to the mark: about {}.", volume(&round.product), product(job), volume(&round.water))
        }
        (true, false) => format!("Fill up to the mark with {}: about {}.", product(job), volume(&round.product)),
        (false, true) => format!("Fill up to the mark with water: about {}.", volume(&round.water)),
        (false, false) => "There is nothing to pour.".to_owned(),
    };
    if rounds.len() == 1 {
        return poured;
    }
    let rinse = if round.rinse { ", a rinse" } else { "" };
    format!("Round {} of {}{rinse}. {poured}", index + 1, rounds.len())
}
