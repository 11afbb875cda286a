//! Planning a refill: what to pour, what it stands, when it is due again, and what to expect of the drive after it.
//!
//! ```text
//! Vehicle, Job ─ circuit (capacity, drain) ─ strength ─▶ rounds ─▶ protection, interval, coming_drive ─▶ Plan, remarks
//! ```
//!
//! Pure arithmetic: what is stated goes in, with how well it is known, and every answer carries its uncertainty. Nothing is judged
//! here; what a check will judge later is reckoned by the same modules that the check uses, so that the two cannot disagree.
//!
//! Limits: the maker's procedure, capacity, product and schedule outrank everything planned here.
//!
//! # References
//!
//! - `docs/planning.md`: models, worked examples, and what is common practice or from memory.

pub mod account;
pub mod circuit;
pub mod coming_drive;
pub mod error;
pub mod figure;
pub mod interval;
pub mod job;
pub mod mixing;
pub mod product;
mod propagate;
pub mod protection;
pub mod remarks;
mod resolve;
pub mod rounds;
mod spoken;
pub mod strength;
mod telling;
pub mod typed;

pub use error::PlanError;
pub use job::Job;
pub use remarks::{Remark, Stage};
pub use typed::Typed;

use crate::coolant::Base;
use crate::estimate::{Estimate, Unit};
use crate::vehicle::Vehicle;
use crate::verdict::cautions::Caution;
use account::Account;
use circuit::Circuit;
use coming_drive::ComingDrive;
use error::within;
use figure::Figure;
use interval::Interval;
use propagate::input;
use protection::Protection;
use rounds::{MOST_DRAINS, Needed, Reach, Round, Stated};
use serde::Serialize;

/// Fewest drains for which it is told what is left of the old coolant.
const TOLD_AT_LEAST: u32 = 4;

/// Everything that is planned.
#[derive(Clone, Debug, Serialize)]
pub struct Plan {
    /// Whole system, mL.
    pub capacity: Estimate,
    /// What comes out in one drain, at 20 °C, mL.
    pub drained: Estimate,
    /// What stays, mL.
    pub left: Estimate,
    /// Strength of what is in the system, share by volume.
    pub present: Estimate,
    /// Strength that is wanted, share by volume; exact.
    pub wanted: Option<Estimate>,
    /// What to pour in each round, and what it makes.
    pub rounds: Vec<Round>,
    /// Greatest strength that one round with the product alone reaches, share by volume.
    pub strongest_in_one: Estimate,
    /// Whether one round reaches what is wanted.
    pub reached_in_one: Option<Reach>,
    /// Strength after the last round, share by volume.
    pub strength: Estimate,
    /// The same as a share by mass.
    pub strength_by_mass: Estimate,
    /// Share of the old coolant left after one, two, three … drains with a run between.
    pub old_left: Vec<Estimate>,
    /// Drains that a wanted share of new coolant takes.
    pub needed: Option<Needed>,
    /// Concentrate or ready mixture of all rounds, mL.
    pub product_used: Estimate,
    /// Water of all rounds, mL.
    pub water_used: Estimate,
    /// What the product of all rounds costs.
    pub cost: Option<Figure>,
    /// Volume lost on mixing in the last round, mL.
    pub lost_on_mixing: Estimate,
    /// What the mix stands.
    pub protection: Protection,
    /// When it is due again.
    pub interval: Option<Interval>,
    /// Drained against filled.
    pub account: Option<Account>,
    /// Drained as a share of the capacity.
    pub drained_share: Estimate,
    /// What to expect of the drive.
    pub coming_drive: ComingDrive,
    /// What there is to tell beside the numbers, in the order of the work.
    pub remarks: Vec<Remark>,
}

impl Plan {
    /// Plans a job.
    ///
    /// # Errors
    ///
    /// [`PlanError`] names what is missing or cannot be, and the way out.
    pub fn of(vehicle: &Vehicle, job: &Job) -> Result<Self, PlanError> {
        let written = vehicle.coolant;
        let base = job.base.or(written.map(|coolant| coolant.base)).unwrap_or(Base::EthyleneGlycol);
        let old_base = job.present.base.or(written.map(|coolant| coolant.base)).unwrap_or(base);
        let (present, present_assumed) = resolve::present(job, written, old_base)?;
        let circuit = Circuit::of(vehicle, job, (old_base, present.value))?;
        let product = resolve::product(job, base)?;
        let wanted = resolve::wanted(job, base)?;
        let recipe = resolve::recipe(job, wanted)?;
        let stated = Stated { circuit, present: input(&present), product: input(&product) };
        let rounds = stated.rounds(&recipe);
        let (strength, old_left) = rounds.last().map_or((present, stated.old_left(0)), |last| (last.strength, last.old_left));
        let bases: Vec<Base> = if old_base == base { vec![base] } else { vec![base, old_base] };
        let filled_vehicle = resolve::filled(vehicle, job);
        let protection = Protection::of(&bases, &strength, job, filled_vehicle.reservoir.cap)?;
        let coming_drive = ComingDrive::of(&filled_vehicle, job, base, &bases, &strength, &protection)?;
        let needed = job.wanted_new.map(|share| within("share of new coolant that is wanted", share, [0.0, 0.9999], "of the coolant"));
        let needed = needed.transpose()?.map(|share| stated.needed(share));
        let told = [recipe.rinses + recipe.rounds, needed.as_ref().and_then(|needed| needed.drains).unwrap_or(0), TOLD_AT_LEAST];
        let told = told.into_iter().fold(0, u32::max).min(MOST_DRAINS);
        let [product_used, water_used] = stated.used(&recipe);
        let drained_share = circuit.drained_share();
        let mut plan = Self {
            capacity: circuit.capacity(),
            drained: stated.drained(),
            left: stated.left(),
            present,
            wanted: wanted.map(|share| Estimate::normal(share, 0.0, Unit::One)),
            strongest_in_one: stated.strongest(),
            reached_in_one: wanted.map(|wanted| stated.reach(wanted)),
            strength,
            strength_by_mass: resolve::by_mass(base, &strength)?,
            old_left: (1..=told).map(|drains| stated.old_left(drains)).collect(),
            needed,
            cost: resolve::cost(job, &product_used)?,
            product_used,
            water_used,
            lost_on_mixing: resolve::lost(base, &stated, &rounds, &present, &product)?,
            protection,
            interval: Interval::of(job, &old_left)?,
            account: Account::of(job, drained_share, (old_base, present.value), (base, strength.value))?,
            drained_share,
            coming_drive,
            remarks: Vec::new(),
            rounds,
        };
        plan.remarks = telling::remarks(&plan, job, present_assumed, [old_base, base]);
        Ok(plan)
    }

    /// The cautions of the work, in the order in which they are printed: a refill has them all.
    pub fn cautions() -> [Caution; 8] {
        Caution::ALL
    }
}
