//! Drain, fill, run, drain again: what to pour each time, how strong it gets, how much of the old stays.
//!
//! ```text
//! stays       r = (V − d)/V                          old coolant left after n drains: rⁿ
//! strength    s′ = (s·(V − d) + p·c)/V               c of product p poured, water up to the mark
//! to reach t  c = (t·V − s·(V − d))/p                kept between nothing and d
//! ```
//!
//! Rinses with water come first, then the rounds with coolant; each round pours what brings the system to the wanted strength, as far
//! as what came out leaves room. What is poured is fixed when it is planned; what capacity, drain and strengths were not known
//! well enough then shows in the strength that results.
//!
//! Limits: volumes add (on mixing up to 1.2 % is lost, of propylene glycol 2.2 %, see `mixing`); every round drains alike; a run with the
//! thermostat open between two rounds has mixed what stayed: without it, a second drain brings out what the first poured in.

use super::circuit::Circuit;
use super::propagate::{Input, clamped, propagate};
use crate::estimate::{Estimate, Unit};
use serde::Serialize;

/// Most drains that are planned, rinses counted.
pub const MOST_DRAINS: u32 = 20;

/// Shares closer than this are one: 1e-9 of a system is less than a drop.
const A_DROP: f64 = 1e-9;

/// What is filled, and how often.
#[derive(Clone, Copy, Debug)]
pub(super) struct Recipe {
    /// Whether the product is a ready mixture.
    pub ready_mix: bool,
    /// Strength that is wanted, by volume.
    pub target: Option<f64>,
    /// Drains refilled with water.
    pub rinses: u32,
    /// Drains refilled with coolant.
    pub rounds: u32,
}

/// What everything is reckoned from.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stated {
    /// Capacity and drain.
    pub circuit: Circuit,
    /// Strength of what is in the system.
    pub present: Input,
    /// Strength of the product.
    pub product: Input,
}

/// One drain and its fill.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Round {
    /// Whether it is a rinse with water.
    pub rinse: bool,
    /// Concentrate or ready mixture to pour, mL.
    pub product: Estimate,
    /// Water to pour, mL.
    pub water: Estimate,
    /// Strength after it, share by volume.
    pub strength: Estimate,
    /// Share of the old coolant that is left after it.
    pub old_left: Estimate,
}

/// Whether the wanted strength can be reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Reach {
    /// Surely.
    Yes,
    /// Not surely: the interval holds the wanted strength.
    Unsettled,
    /// Surely not.
    No,
}

/// Drains that bring the share of new coolant to what is wanted.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Needed {
    /// Share of new coolant that is wanted.
    pub wanted_new: f64,
    /// Drains, rinses counted; `None` beyond any number worth doing.
    pub drains: Option<u32>,
    /// The same if more and if less comes out than was reckoned, by the 95 % interval.
    pub drains_95: [Option<u32>; 2],
}

/// Drains until no more than `1 − wanted_new` of the old is left, when `stays` of it stays each time; `None` if it takes more than
/// a thousand.
pub fn drains_needed(stays: f64, wanted_new: f64) -> Option<u32> {
    const MOST: u32 = 1000;
    let goal = 1.0 - wanted_new;
    let mut left = 1.0;
    for drains in 0..=MOST {
        if left <= goal + A_DROP {
            return Some(drains);
        }
        left *= stays;
    }
    None
}

impl Stated {
    fn inputs(&self) -> [Input; 4] {
        [self.circuit.capacity, self.circuit.drain, self.present, self.product]
    }

    fn middle(&self) -> [f64; 4] {
        self.inputs().map(|(value, _)| value)
    }

    /// What comes out in one drain, mL.
    pub fn drained(&self) -> Estimate {
        propagate(self.inputs(), Unit::Millilitre, |[capacity, drain, ..]| self.circuit.room(capacity, drain))
    }

    /// What stays, mL.
    pub fn left(&self) -> Estimate {
        let stays = propagate(self.inputs(), Unit::Millilitre, |[capacity, drain, ..]| capacity - self.circuit.room(capacity, drain));
        clamped(stays, 0.0, f64::INFINITY)
    }

    /// Share that stays in one drain.
    pub fn stays(&self) -> Estimate {
        self.old_left(1)
    }

    /// Share of the old coolant left after so many drains.
    pub fn old_left(&self, drains: u32) -> Estimate {
        let stays = |[capacity, drain, ..]: [f64; 4]| (1.0 - self.circuit.room(capacity, drain) / capacity).powi(drains as i32);
        clamped(propagate(self.inputs(), Unit::One, stays), 0.0, 1.0)
    }

    /// Greatest strength that one fill with the product alone reaches.
    pub fn strongest(&self) -> Estimate {
        let strongest = |[capacity, drain, present, product]: [f64; 4]| {
            let room = self.circuit.room(capacity, drain);
            (present * (capacity - room) + product * room) / capacity
        };
        clamped(propagate(self.inputs(), Unit::One, strongest), 0.0, 1.0)
    }

    /// Whether one fill with the product alone reaches a strength.
    pub fn reach(&self, target: f64) -> Reach {
        let strongest = self.strongest();
        match strongest.interval_95 {
            // What is exactly enough is enough.
            [low, _] if low >= target - A_DROP => Reach::Yes,
            [_, high] if high < target - A_DROP => Reach::No,
            _ => Reach::Unsettled,
        }
    }

    /// How many drains bring the share of new coolant to `wanted_new`.
    pub fn needed(&self, wanted_new: f64) -> Needed {
        let stays = self.stays();
        let drains = |stays: f64| drains_needed(stays, wanted_new);
        Needed { wanted_new, drains: drains(stays.value), drains_95: stays.interval_95.map(drains) }
    }

    /// The rounds of a recipe.
    pub fn rounds(&self, recipe: &Recipe) -> Vec<Round> {
        let poured = self.pours(recipe, self.middle());
        (0..poured.len())
            .map(|index| {
                let pour = |side: usize| {
                    let amount = |inputs| self.pours(recipe, inputs).get(index).map_or(0.0, |pour| pour[side]);
                    clamped(propagate(self.inputs(), Unit::Millilitre, amount), 0.0, f64::INFINITY)
                };
                let strength = propagate(self.inputs(), Unit::One, |inputs| self.strength_after(&poured[..=index], inputs));
                Round {
                    rinse: (index as u32) < recipe.rinses,
                    product: pour(0),
                    water: pour(1),
                    strength: clamped(strength, 0.0, 1.0),
                    old_left: self.old_left(index as u32 + 1),
                }
            })
            .collect()
    }

    /// Product and water of all rounds together, mL.
    pub fn used(&self, recipe: &Recipe) -> [Estimate; 2] {
        [0, 1].map(|side| {
            let sum = |inputs| self.pours(recipe, inputs).iter().map(|pour| pour[side]).sum();
            clamped(propagate(self.inputs(), Unit::Millilitre, sum), 0.0, f64::INFINITY)
        })
    }

    /// Product and water of each round, mL.
    fn pours(&self, recipe: &Recipe, [capacity, drain, present, product]: [f64; 4]) -> Vec<[f64; 2]> {
        let room = self.circuit.room(capacity, drain);
        let mut strength = present;
        let mut pours = Vec::new();
        for round in 0..recipe.rinses + recipe.rounds {
            let stays = strength * (capacity - room);
            let amount = match recipe.target {
                _ if round < recipe.rinses => 0.0,
                Some(target) if !recipe.ready_mix && product > 0.0 => ((target * capacity - stays) / product).clamp(0.0, room),
                _ => room,
            };
            pours.push([amount, room - amount]);
            strength = (stays + product * amount) / capacity;
        }
        pours
    }

    /// Strength after what was poured in these rounds, filled up with water to the mark.
    fn strength_after(&self, poured: &[[f64; 2]], [capacity, drain, present, product]: [f64; 4]) -> f64 {
        let room = self.circuit.room(capacity, drain);
        poured.iter().fold(present, |strength, [amount, water]| {
            // Ready mixture and full concentrate leave no room for water: they fill whatever came out.
            let amount = if *water <= A_DROP { room } else { amount.min(room) };
            (strength * (capacity - room) + product * amount) / capacity
        })
    }
}
