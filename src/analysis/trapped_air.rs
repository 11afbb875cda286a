//! Trapped air: how likely is it that more than max(60 mL, 1 % of capacity) of gas is still in the circuit at key-off?
//!
//! Each sign of air (one file a sign, below) is measured on its own scale with its look-alikes taken out by construction: fan cycles,
//! hunting and climbs because the run teaches its own law, a wrong rating because none is used, a heater turned off because only its
//! coming and going counts. The signs are then weighed together by logistic regression, whose weights were set on made runs
//! (`rehearsal::air_study`) and checked on others:
//!
//! ```text
//! ln(likelihood ratio) = Σ weightᵢ · signᵢ          posterior odds = prior odds × likelihood ratio
//! ```
//!
//! A group of signs that the records do not have adds nothing, so a log with hardly any evidence answers with the prior.
//!
//! Limits: calibrated on simulated runs. A pocket that sits still, away from sensor, wax and heater outlet, shows in no log; gas that
//! has been purged leaves the same marks as gas that is still there, unless the last third is calm or the fill was measured.
//!
//! # References
//!
//! - Hosmer, D. W., Lemeshow, S. and Sturdivant, R. X. (2013). *Applied Logistic Regression*, 3rd ed. Wiley (from memory).

pub mod drive;
pub mod heater;
pub mod late_opening;
pub mod sharp_changes;
pub mod signs;
pub mod unexplained;
pub mod weights;

use crate::analysis::ambient::Ambient;
use crate::analysis::heat_input::HeatInput;
use crate::analysis::level_expansion::LevelExpansion;
use crate::analysis::level_loss::LevelLoss;
use crate::analysis::opening::Opening;
use crate::analysis::phases::Phases;
use crate::estimate::{Estimate, Unit, normal_quantile};
use crate::run::Run;
use serde::Serialize;
use signs::{Group, MEANINGS, Numbers, Seen};
use weights::{PLACES, TYPICAL, WEIGHTS};

/// Probability, before any evidence of this run, that a refilled system still holds more than the threshold after its first drive: our
/// own choice, between a slow fill by the maker's procedure and a hasty one. It can be set.
pub const PRIOR: f64 = 0.1;

/// Volume from which gas matters: so many millilitres, or a share of the capacity if that is more (own choice).
pub const THRESHOLD: (f64, f64) = (60.0, 0.01);

/// Farthest the evidence may move the odds, as a natural logarithm: beyond 100 to 1 the made runs are too few to tell.
pub const MOST_EVIDENCE: f64 = 4.6;

/// Standard uncertainty of the logarithm of the odds: how far the made runs of one kind of drive, layout or recorder lie off what is said
/// of all (`docs/calibration.md`).
const LOG_ODDS_U: f64 = 0.4;

/// Share of the odds from which a place is named.
const SURE_OF_PLACE: f64 = 0.5;

/// Evidence from which a sign is listed, as a natural logarithm of odds.
const LISTED: f64 = 0.5;

/// How long coolant must have gone around the whole circuit before a calm reading says something, s (own): the first answers of the valve
/// and an overshoot lie within it.
const WATCHED_S: f64 = 90.0;

/// Where most of the gas is likely to sit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Where {
    /// Nowhere: no sign of gas.
    None,
    /// At the sensor.
    Sensor,
    /// About the thermostat's element.
    Thermostat,
    /// In the heater.
    Heater,
    /// In the radiator's top.
    RadiatorTop,
    /// The signs do not tell.
    Unknown,
}

/// One kind of sign that moved the odds upwards.
#[derive(Clone, Debug, Serialize)]
pub struct Signature {
    /// Stable name.
    pub id: &'static str,
    /// From when to when it was seen, in seconds from the first row; absent for what the notes tell.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_s: Option<[f64; 2]>,
    /// What it adds to the natural logarithm of the odds, against a run without pockets.
    pub strength: Estimate,
    /// Its group.
    #[serde(skip)]
    pub group: Group,
}

/// What was found about trapped air.
#[derive(Clone, Debug, Serialize)]
pub struct TrappedAir {
    /// Probability that more than the threshold is left at key-off.
    pub probability: Estimate,
    /// Probability before this run's evidence.
    pub prior: f64,
    /// Posterior odds over prior odds.
    pub likelihood_ratio: f64,
    /// Where it sits.
    #[serde(rename = "where")]
    pub place: Where,
    /// Signs that were seen, strongest first.
    pub signatures: Vec<Signature>,
    /// The volume asked about, in mL.
    #[serde(skip)]
    pub threshold: f64,
    /// What was looked at.
    #[serde(skip)]
    pub seen: Seen,
    /// The same as numbers.
    #[serde(skip)]
    pub numbers: Numbers,
}

/// The volume asked about, in mL: 60 mL or 1 % of the capacity, whichever is more.
pub fn threshold(run: &Run) -> f64 {
    let (least, share) = THRESHOLD;
    run.vehicle.capacity.map_or(least, |capacity| (share * capacity.millilitres()).max(least))
}

/// What the other findings contribute.
pub struct Findings<'a> {
    /// When the engine ran.
    pub phases: &'a Phases,
    /// What stands for heat.
    pub heat: &'a HeatInput,
    /// The air about the vehicle.
    pub ambient: &'a Ambient,
    /// The thermostat's opening.
    pub opening: &'a Opening,
    /// The hot level.
    pub expansion: &'a LevelExpansion,
    /// The cold level.
    pub loss: &'a LevelLoss,
}

impl TrappedAir {
    /// Examines a run; `prior` lies between 0 and 1.
    pub fn of(run: &Run, findings: &Findings, prior: f64) -> Self {
        let seen = Seen::of(run, findings);
        let threshold = threshold(run);
        let numbers = seen.numbers(threshold);
        let evidence = evidence(&numbers);
        let prior = prior.clamp(1e-4, 1.0 - 1e-4);
        let signatures = signatures(&seen, &numbers);
        Self {
            probability: by_evidence(prior, evidence),
            prior,
            likelihood_ratio: evidence.exp(),
            place: place(&numbers, evidence),
            signatures,
            threshold,
            numbers,
            seen,
        }
    }

    /// What each kind of sign that the records have adds to the natural logarithm of the odds, against a run without pockets.
    pub fn contributions(&self) -> Vec<(Group, f64)> {
        Group::ALL.into_iter().filter(|group| self.seen.has(*group)).map(|group| (group, added(&self.numbers, group))).collect()
    }

    /// Whether the reading itself shows signs of gas: then the sensor may stand in vapour, and read low (from memory).
    pub fn disturbs_the_reading(&self) -> bool {
        self.signatures.iter().any(|signature| matches!(signature.group, Group::Changes | Group::Bursts))
    }

    /// Whether the records hold enough to tell: five minutes of readings, some of them with coolant in the whole circuit.
    pub fn could_tell(&self) -> bool {
        self.seen.drive.is_some() && self.seen.whole_circuit_s >= WATCHED_S
    }
}

/// What all signs together add to the natural logarithm of the odds, held between 1:100 and 100:1.
pub fn evidence(numbers: &Numbers) -> f64 {
    dot(numbers, &WEIGHTS).clamp(-MOST_EVIDENCE, MOST_EVIDENCE)
}

/// Natural logarithm of the odds of a probability.
pub fn log_odds(probability: f64) -> f64 {
    (probability / (1.0 - probability)).ln()
}

/// Probability of odds, given as their natural logarithm.
pub fn probability(log_odds: f64) -> f64 {
    1.0 / (1.0 + (-log_odds).exp())
}

/// The probability after evidence, the natural logarithm of a likelihood ratio, with its 95 % interval.
pub fn by_evidence(prior: f64, evidence: f64) -> Estimate {
    let odds = log_odds(prior) + evidence;
    let half = normal_quantile(0.975) * LOG_ODDS_U;
    Estimate::from_interval(probability(odds), [odds - half, odds + half].map(probability), Unit::One)
}

/// What a group that the records have adds to the natural logarithm of the odds, against a run without pockets.
fn added(numbers: &Numbers, group: Group) -> f64 {
    let of_group = (0..MEANINGS.len()).filter(|&i| MEANINGS[i].group == group);
    of_group.map(|i| WEIGHTS[i] * (numbers[i] - TYPICAL[i])).sum()
}

/// Groups that raise the odds against a run without pockets, strongest first.
fn signatures(seen: &Seen, numbers: &Numbers) -> Vec<Signature> {
    let mut found: Vec<Signature> = Group::ALL
        .into_iter()
        .filter(|group| seen.has(*group))
        .map(|group| (group, added(numbers, group)))
        .filter(|(_, added)| *added >= LISTED)
        .map(|(group, added)| Signature { id: group.id(), at_s: at(seen, group), strength: strength(seen, group, added), group })
        .collect();
    found.sort_by(|a, b| b.strength.value.total_cmp(&a.strength.value));
    found
}

/// When a group was seen.
fn at(seen: &Seen, group: Group) -> Option<[f64; 2]> {
    match group {
        Group::Changes => seen.changes().map(|changes| changes.at_s),
        Group::Overshoot => seen.overshoot.map(|overshoot| overshoot.at_s),
        Group::Heater => seen.heater.map(|heater| heater.at_s),
        Group::Gulps => {
            let gulps = seen.gulps.as_ref()?;
            Some([gulps.first()?.at_s[0], gulps.last()?.at_s[1]])
        }
        Group::Bursts | Group::Fill | Group::HotLevel | Group::LaterLoss => None,
    }
}

/// What a group adds, with the uncertainty that its own measurement brings.
fn strength(seen: &Seen, group: Group, added: f64) -> Estimate {
    let relative = match group {
        // Two halves of the stretch are two measurements.
        Group::Changes | Group::Bursts => seen.changes().map_or(0.5, |changes| {
            let [early, late] = changes.halves.map(|half| half.max(0.1));
            (early / late).ln().abs() / 2.0
        }),
        Group::Overshoot => 0.4,
        Group::Heater => {
            seen.heater.map_or(0.5, |heater| heater.more_at_idle.standard_uncertainty / heater.more_at_idle.value.abs().max(0.05))
        }
        Group::Gulps => 0.2,
        Group::Fill | Group::HotLevel | Group::LaterLoss => 0.3,
    };
    Estimate::normal(added, added * relative.min(1.0), Unit::One)
}

/// Where most of the gas sits, if the signs speak for gas at all and for one place more than for all others together: one logistic regression a
/// place, their probabilities brought to a sum of 1.
fn place(numbers: &Numbers, evidence: f64) -> Where {
    if evidence <= 0.0 {
        return Where::None;
    }
    let share = |(base, weights): &(f64, Numbers)| probability(base + dot(numbers, weights));
    let shares = PLACES.each_ref().map(share);
    let all: f64 = shares.iter().sum();
    let places = [Where::Sensor, Where::Thermostat, Where::Heater, Where::RadiatorTop];
    places.into_iter().zip(shares).find(|(_, share)| *share > SURE_OF_PLACE * all).map_or(Where::Unknown, |(place, _)| place)
}

fn dot(numbers: &Numbers, weights: &Numbers) -> f64 {
    numbers.iter().zip(weights).map(|(number, weight)| number * weight).sum()
}
