//! The circuit before and after a drain: how much it holds, how much comes out, how much stays.
//!
//! A measured drain is brought to 20 °C by the same account that later sets drained against filled. Where nothing was measured yet,
//! a share of the capacity stands in for it, wide enough for most engines.
//!
//! Limits: one capacity, with the reservoir at its MAX mark; a rear heater or a second circuit that never drains counts as what stays.

use super::account;
use super::error::{PlanError, within};
use super::job::{Drain, Drains, Job, Measured};
use super::propagate::{Input, input, rectangular};
use crate::analysis::levels::system::CAPACITY_SHARE;
use crate::coolant::Base;
use crate::estimate::{Estimate, Unit, normal_quantile};
use crate::vehicle::Vehicle;
use serde::Serialize;

/// Capacities that vehicles have, in L, as the vehicle file takes them.
const CAPACITIES_L: [f64; 2] = [0.5, 200.0];

/// Shares of the capacity that come out at the radiator alone: the block often keeps half or more (a general repair article, of low
/// authority; the low end is common practice, no source).
pub const RADIATOR_ONLY: [f64; 2] = [0.25, 0.55];

/// The same with the block's drains open: heater, hoses and pockets keep the rest (common practice, no source).
pub const RADIATOR_AND_BLOCK: [f64; 2] = [0.60, 0.90];

/// Half-width of a share that a person states (own choice).
const STATED_SHARE_WITHIN: f64 = 0.05;

/// What a drained volume looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DrainFits {
    /// Less than a radiator gives.
    LessThanRadiator,
    /// The radiator alone.
    RadiatorOnly,
    /// Radiator and block.
    RadiatorAndBlock,
    /// More than drains alone usually give.
    NearlyAll,
    /// More than the capacity.
    MoreThanCapacity,
}

impl DrainFits {
    /// What a share of the capacity looks like; between the two usual ranges the nearer counts.
    pub fn of(share: f64) -> Self {
        let between = (RADIATOR_ONLY[1] + RADIATOR_AND_BLOCK[0]) / 2.0;
        match share {
            share if share < RADIATOR_ONLY[0] => Self::LessThanRadiator,
            share if share < between => Self::RadiatorOnly,
            share if share <= RADIATOR_AND_BLOCK[1] => Self::RadiatorAndBlock,
            share if share <= 1.0 => Self::NearlyAll,
            _ => Self::MoreThanCapacity,
        }
    }
}

impl Drains {
    /// Usual shares of the capacity, least and most.
    pub fn usual(self) -> [f64; 2] {
        match self {
            Drains::RadiatorOnly => RADIATOR_ONLY,
            Drains::RadiatorAndBlock => RADIATOR_AND_BLOCK,
        }
    }
}

/// Capacity and drain as inputs to whatever is computed from them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circuit {
    /// Capacity, mL.
    pub capacity: Input,
    /// What comes out: mL where it was measured, else a share of the capacity.
    pub drain: Input,
    /// Whether the drain was measured.
    pub measured: bool,
}

impl Circuit {
    /// From what is stated; `present` is base and share of what is drained.
    pub fn of(vehicle: &Vehicle, job: &Job, present: (Base, f64)) -> Result<Self, PlanError> {
        let stated = job.capacity.or(vehicle.capacity.map(Measured::of)).ok_or(PlanError::NoCapacity)?;
        let litres = within("capacity", stated.volume.litres(), CAPACITIES_L, "L")?;
        let capacity = (1000.0 * litres, standard(&stated, CAPACITY_SHARE * 1000.0 * litres)?);
        let measured = match job.drain.measured {
            Some(volume) => Some(account::at_20(&volume, true, present, job.ambient)?),
            None => None,
        };
        match (measured, &job.drain) {
            (Some(volume), _) => Self::with_measured(capacity, &volume),
            (None, Drain { share: Some(share), .. }) => {
                let share = within("share that drains", *share, [0.0, 1.0], "of the capacity")?;
                let half = STATED_SHARE_WITHIN.min(2.0 * share).min(2.0 * (1.0 - share));
                Ok(Self { capacity, drain: (share, rectangular(half)), measured: false })
            }
            (None, Drain { opened: Some(drains), .. }) => {
                let [least, most] = drains.usual();
                Ok(Self { capacity, drain: ((least + most) / 2.0, rectangular((most - least) / 2.0)), measured: false })
            }
            (None, _) => Err(PlanError::NoDrain),
        }
    }

    fn with_measured(capacity: Input, volume: &Estimate) -> Result<Self, PlanError> {
        let excess = volume.value - capacity.0;
        if excess > normal_quantile(0.975) * volume.standard_uncertainty.hypot(capacity.1) {
            return Err(PlanError::MoreThanCapacity { drained: volume.value / 1000.0, capacity: capacity.0 / 1000.0 });
        }
        Ok(Self { capacity, drain: input(volume), measured: true })
    }

    /// What comes out, mL, for a capacity and a drain.
    pub fn room(&self, capacity: f64, drain: f64) -> f64 {
        let room = if self.measured { drain } else { drain * capacity };
        room.clamp(0.0, capacity.max(0.0))
    }

    /// Capacity, mL.
    pub fn capacity(&self) -> Estimate {
        Estimate::normal(self.capacity.0, self.capacity.1, Unit::Millilitre)
    }

    /// What comes out in one drain as a share of the capacity, not kept under 1.
    pub fn drained_share(&self) -> Estimate {
        let share = |[capacity, drain]: [f64; 2]| if self.measured { drain / capacity } else { drain };
        super::propagate::propagate([self.capacity, self.drain], Unit::One, share)
    }
}

/// Standard uncertainty of a measured volume, mL: as stated, else the usual one.
pub(super) fn standard(stated: &Measured, usual: f64) -> Result<f64, PlanError> {
    let Some(half) = stated.within else { return Ok(usual) };
    let most = stated.volume.litres().abs();
    Ok(1000.0 * within("uncertainty of a volume", half.litres(), [0.0, most], "L")? / normal_quantile(0.975))
}
