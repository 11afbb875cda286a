//! Comparison: what moved between two drives of one vehicle, with its uncertainty, after allowing for what was not alike.
//!
//! Two drives are never alike: another day, another road, another recorder. So each measure is first brought to what the *vehicle* shows
//! (the opening, for instance, to the wax's temperature instead of the reading's, which runs ahead of it the faster the rise is), and its
//! interval is that of the difference between two drives of one vehicle: what both runs share cancels, what differs by the day is added
//! and grows with how unlike the two days were ([`Conditions`]). How far that reaches was set on made pairs of drives and checked on
//! others (`docs/comparison.md`).
//!
//! Each measure has a margin ([`margins`]): what is not worth a hand's work. The decision is by the whole interval of the difference:
//! *alike* if it lies wholly inside the margin (two one-sided tests, each at 2.5 %), *changed* if wholly beyond, else *inconclusive*.
//! "Not significant" is never read as "the same".
//!
//! Limits: a difference says that something moved, not when; two runs make no trend ([`trend`]). Coolants, stamps and parts that were
//! changed between the runs are not known here.
//!
//! # References
//!
//! - Schuirmann, D. J. (1987). A comparison of the two one-sided tests procedure … *J. Pharmacokinet. Biopharm.* 15, 657–680 (from memory).
//! - `docs/comparison.md`: laws, margins and what was measured.

pub mod baseline;
mod conditions;
mod course;
pub mod decision;
mod heat_balance;
mod levels;
pub mod margins;
mod meaning;
mod opening;
mod reading;
mod series;
pub mod trend;

pub use conditions::{Conditions, Unlike};
pub use course::Course;
pub use decision::{Decision, decide};
pub use margins::Measure;
pub use meaning::Meaning;
pub use series::{Limit, Series, series};

use crate::analysis::Analysis;
use crate::analysis::heat_input::Source;
use crate::estimate::Estimate;
use crate::run::Run;

/// One drive with what was measured on it.
#[derive(Clone, Copy, Debug)]
pub struct Drive<'a> {
    /// How it is called: its file, or file and day.
    pub name: &'a str,
    /// The drive.
    pub run: &'a Run,
    /// What was measured.
    pub analysis: &'a Analysis,
}

/// One measure of both drives.
#[derive(Clone, Debug)]
pub struct Change {
    /// What was compared.
    pub measure: Measure,
    /// In the earlier drive, as its own report has it; `None` where only the difference is a number.
    pub earlier: Option<Estimate>,
    /// In the later drive.
    pub later: Option<Estimate>,
    /// Later less earlier, or for a ratio later over earlier less 1; `None` where one of them shows a state and no number.
    pub difference: Option<Estimate>,
    /// The margin either way, in the difference's unit.
    pub margin: f64,
    /// What the two decide.
    pub decision: Decision,
    /// What it means in the trade's words.
    pub meaning: Meaning,
}

/// A measure that the two drives do not both show, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotCompared {
    /// What was not compared.
    pub measure: Measure,
    /// Why, and what would show it, as a sentence.
    pub because: String,
}

/// Two drives of one vehicle against each other.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// Name of the earlier run.
    pub against: String,
    /// What both drives show, in the order of the drive.
    pub changes: Vec<Change>,
    /// What they do not both show.
    pub not_compared: Vec<NotCompared>,
    /// What was not alike, as sentences.
    pub unlike: Vec<Unlike>,
    /// The reading of both drives over the heat put in, the earlier first.
    pub courses: Option<[Course; 2]>,
    /// What stands for heat in both; `None` where they have nothing in common and each has its own scale.
    pub common_heat: Option<Source>,
}

/// One measure's answer: a change, or why there is none.
type Answer = Result<Change, NotCompared>;

/// Compares a later drive with an earlier one of the same vehicle.
pub fn compare(earlier: Drive, later: Drive) -> Comparison {
    let conditions = Conditions::of(earlier, later);
    let balance = heat_balance::weigh(earlier, later);
    let answers: Vec<Answer> = std::iter::once(opening::compared(earlier, later, &conditions, balance.as_ref().ok()))
        .chain(reading::band(earlier, later, &conditions))
        .chain(heat_balance::compared(balance.as_ref(), &conditions, later))
        .chain(reading::rejection(earlier, later, &conditions))
        .chain([reading::cooling_down(earlier, later), levels::loss(earlier, later), levels::sensor_offset(earlier, later)])
        .chain([reading::coverage(earlier, later)])
        .collect();
    let mut comparison = Comparison {
        against: earlier.name.to_owned(),
        changes: Vec::new(),
        not_compared: Vec::new(),
        unlike: conditions.unlike(),
        common_heat: balance.as_ref().ok().map(|balance| balance.source),
        courses: balance.ok().map(|balance| balance.courses).or_else(|| heat_balance::own_scales(earlier, later)),
    };
    for answer in answers {
        match answer {
            Ok(change) => comparison.changes.push(change),
            Err(missing) => comparison.not_compared.push(missing),
        }
    }
    comparison
}

impl Comparison {
    /// The change of a measure, if both drives show it.
    pub fn change(&self, measure: Measure) -> Option<&Change> {
        self.changes.iter().find(|change| change.measure == measure)
    }

    /// What changed.
    pub fn changed(&self) -> impl Iterator<Item = &Change> {
        self.changes.iter().filter(|change| change.decision == Decision::Changed)
    }

    /// Heat taken per kelvin against the earlier run, for `warm_up.heat_capacity_ratio`.
    pub fn heat_capacity_ratio(&self) -> Option<Estimate> {
        let difference = self.change(Measure::HeatCapacity)?.difference?;
        Some(difference.shifted(1.0))
    }
}

impl Change {
    /// A difference of two numbers, decided by its margin.
    fn of(measure: Measure, earlier: Option<Estimate>, later: Option<Estimate>, difference: Estimate, margin: f64) -> Self {
        let decision = decide(&difference, margin);
        let meaning = Meaning::of(measure, decision, difference.value);
        Self { measure, earlier, later, difference: Some(difference), margin, decision, meaning }
    }
}

impl NotCompared {
    fn new(measure: Measure, because: impl Into<String>) -> Self {
        Self { measure, because: because.into() }
    }
}
