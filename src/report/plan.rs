//! The plan as a sheet of work: for each step of the job what the hands do, what there is to know, and the dangers that bind there.
//!
//! ```text
//! Plan, Vehicle, Job ─ sentences, remarks ─▶ Sheet ─▶ text | json | html | job card
//! ```
//!
//! Every sentence is written here once, in the order of the work; the formats only lay it out. What fits on a card that is read
//! with dirty hands is [`Step::does`]; the rest is [`Step::tells`].
//!
//! Limits: one sheet a job; the maker's procedure outranks it, and it says so.

pub(super) mod dangers;
pub mod html;
pub mod json;
mod pours;
mod remarks;
mod sentences;
pub mod text;

use crate::coolant::Base;
use crate::planning::figure::grouped;
use crate::planning::interval::Interval;
use crate::planning::{Job, Plan};
use crate::vehicle::Vehicle;
use crate::verdict::cautions::Caution;
use serde::Serialize;

/// Steps of the whole job, in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Work {
    /// What to pour, and the drive before the work.
    Plan,
    /// Letting the old coolant out.
    Drain,
    /// Filling and bleeding.
    Fill,
    /// From cold until the thermostat has opened.
    WarmUp,
    /// Driving until the reading holds.
    Settle,
    /// The level hot, from outside.
    HotReading,
    /// Standing for hours.
    CoolDown,
    /// The level cold again, and topping up.
    ColdReading,
    /// The dry, clean underside.
    Look,
    /// Handing it back, or once more.
    Decide,
    /// When it is due, and the same drive again.
    NextYear,
}

impl Work {
    /// All steps.
    pub const ALL: [Work; 11] = [
        Work::Plan,
        Work::Drain,
        Work::Fill,
        Work::WarmUp,
        Work::Settle,
        Work::HotReading,
        Work::CoolDown,
        Work::ColdReading,
        Work::Look,
        Work::Decide,
        Work::NextYear,
    ];

    /// Its name on sheet and card.
    pub fn title(self) -> &'static str {
        match self {
            Work::Plan => "Plan",
            Work::Drain => "Drain",
            Work::Fill => "Fill",
            Work::WarmUp => "Warm up",
            Work::Settle => "Settle",
            Work::HotReading => "Hot reading",
            Work::CoolDown => "Cool down",
            Work::ColdReading => "Cold reading",
            Work::Look => "Look",
            Work::Decide => "Decide",
            Work::NextYear => "Next year",
        }
    }

    /// Dangers of the step itself, whatever is planned.
    pub fn cautions(self) -> &'static [Caution] {
        match self {
            Work::Plan => &[Caution::Maker],
            Work::Drain => &[Caution::HotCap, Caution::Raised, Caution::Glycol],
            Work::Fill => &[Caution::HotCap, Caution::Glycol],
            Work::WarmUp => &[Caution::Overheating, Caution::Fan, Caution::Exhaust],
            Work::Settle => &[Caution::Overheating, Caution::Recorder],
            Work::HotReading => &[Caution::HotCap, Caution::Fan],
            Work::CoolDown => &[Caution::HotCap],
            Work::ColdReading => &[Caution::HotCap, Caution::Glycol],
            Work::Look => &[Caution::HotCap, Caution::Fan, Caution::Raised],
            Work::Decide => &[],
            Work::NextYear => &[Caution::Maker],
        }
    }
}

/// One step of the sheet.
#[derive(Clone, Debug)]
pub struct Step {
    /// Which.
    pub work: Work,
    /// The dangers that bind at it, in their order, each once.
    pub cautions: Vec<Caution>,
    /// What the hands do, with the volumes and readings that go with it; short enough for the card.
    pub does: Vec<String>,
    /// What there is to know besides.
    pub tells: Vec<String>,
}

/// What stands at the head of the card; each is optional.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Head {
    /// What the owner calls the vehicle.
    pub vehicle: Option<String>,
    /// Day of the work.
    pub date: Option<String>,
    /// Odometer, with its unit.
    pub odometer: Option<String>,
    /// What the new coolant is.
    pub coolant: String,
    /// When it is due again.
    pub next_due: Option<String>,
}

/// The sheet.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Head of the card.
    pub head: Head,
    /// What to pour and what that makes, first of all.
    pub answer: Vec<String>,
    /// The steps of [`Work::ALL`].
    pub steps: Vec<Step>,
    /// Drains that are filled again, so many pairs of volumes are noted.
    pub drains: usize,
}

impl Sheet {
    /// Of a plan and what it was made from.
    pub fn of(plan: &Plan, vehicle: &Vehicle, job: &Job) -> Self {
        let stated = sentences::Stated { plan, job };
        let mut steps: Vec<Step> = Work::ALL
            .map(|work| Step { work, cautions: work.cautions().to_vec(), does: stated.does(work), tells: stated.tells(work) })
            .into();
        remarks::placed(&plan.remarks, &mut steps);
        // Between two rounds the engine runs until the thermostat opens.
        let fill = steps.iter_mut().find(|step| step.work == Work::Fill).filter(|_| plan.rounds.len() > 1);
        if let Some(step) = fill {
            step.cautions.extend([Caution::Overheating, Caution::Exhaust]);
            step.cautions.sort_unstable();
            step.cautions.dedup();
        }
        Self { head: head(plan, vehicle, job), answer: stated.answer(), steps, drains: plan.rounds.len() }
    }
}

fn head(plan: &Plan, vehicle: &Vehicle, job: &Job) -> Head {
    let coolant = job.product.map(|product| format!("{}, ", product.spoken())).unwrap_or_default() + base(vehicle, job).spoken();
    Head {
        vehicle: vehicle.name.clone(),
        date: job.date.map(|date| date.to_string()),
        odometer: job.odometer_km.map(|km| format!("{} km", grouped(km))),
        coolant,
        next_due: plan.interval.as_ref().and_then(due),
    }
}

/// What the new coolant is made of, as the plan takes it.
fn base(vehicle: &Vehicle, job: &Job) -> Base {
    job.base.or(vehicle.coolant.map(|coolant| coolant.base)).unwrap_or(Base::EthyleneGlycol)
}

/// When it is due, where odometer or date are stated: `276 000 km or 2029-02-02`.
fn due(interval: &Interval) -> Option<String> {
    let odometer = interval.due_odometer.as_ref().map(|due| format!("{}\u{a0}km", grouped((due.value / 1000.0).floor() * 1000.0)));
    let date = interval.due_date.map(|date| date.to_string());
    let parts: Vec<String> = odometer.into_iter().chain(date).collect();
    (!parts.is_empty()).then(|| parts.join(" or "))
}
