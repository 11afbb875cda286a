//! Check: one run from readings to report, the same for every way in (a command, a kept run, the page, a fleet).
//!
//! ```text
//! Run ─ analysis ─▶ Analysis ─ verdict ─▶ Judgement ─ report::build ─▶ Document
//!                      ▲                                     ▲
//!    drive before the work ┘            comparison with an earlier run ┘
//! ```
//!
//! A drive from before the work changes how likely trapped air is ([`baseline`]), so it comes before the verdict. A comparison says
//! what moved and adds its steps; it does not change the verdict, which is on this drive alone.

use crate::analysis::{Analysis, trapped_air};
use crate::comparison::{self, Comparison, Drive, baseline};
use crate::report::build;
use crate::report::document::Document;
use crate::run::Run;
use crate::verdict::Judgement;

/// An earlier drive of the same vehicle.
#[derive(Clone, Debug)]
pub struct Earlier {
    /// How the report names it: `drive.csv of 2026-03-02`.
    pub name: String,
    /// Its readings.
    pub run: Run,
    /// What was measured on it.
    pub analysis: Analysis,
}

impl Earlier {
    /// Measures an earlier drive.
    pub fn of(name: String, run: Run) -> Self {
        let analysis = Analysis::of(&run);
        Self { name, run, analysis }
    }

    /// It as one side of a comparison.
    pub fn drive(&self) -> Drive<'_> {
        Drive { name: &self.name, run: &self.run, analysis: &self.analysis }
    }
}

/// What is known beside a run.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'a> {
    /// Probability of trapped air before the drive's evidence.
    pub air_prior: f64,
    /// The drive before the work that shows what this vehicle always did.
    pub before_work: Option<&'a Earlier>,
    /// The run to compare with.
    pub against: Option<&'a Earlier>,
}

impl Default for Beside<'_> {
    fn default() -> Self {
        Self { air_prior: trapped_air::PRIOR, before_work: None, against: None }
    }
}

/// A run that was checked.
#[derive(Clone, Debug)]
pub struct Checked {
    /// What was measured.
    pub analysis: Analysis,
    /// What was decided.
    pub judgement: Judgement,
    /// What moved since an earlier run.
    pub comparison: Option<Comparison>,
    /// The report, in SI.
    pub document: Document,
}

impl Checked {
    /// Checks a run.
    pub fn of(run: &Run, beside: &Beside) -> Self {
        let mut analysis = Analysis::with_prior(run, beside.air_prior);
        let weighed = beside.before_work.map(|before| baseline::with_baseline(&analysis.trapped_air, &before.analysis.trapped_air));
        if let Some(Some(weighed)) = &weighed {
            analysis.trapped_air = weighed.clone();
        }
        let mut judgement = Judgement::of(run, &analysis);
        let now = Drive { name: &run.source, run, analysis: &analysis };
        let compared = beside.against.map(|against| (against.drive(), comparison::compare(against.drive(), now)));
        if let Some((_, comparison)) = &compared {
            judgement.add(&build::comparison::steps(comparison));
        }
        let mut document = build::document(run, &analysis, &judgement);
        if let (Some(before), Some(weighed)) = (beside.before_work, &weighed) {
            build::comparison::add_baseline(&mut document, &before.name, weighed.is_some());
        }
        if let Some((against, comparison)) = &compared {
            build::comparison::add(&mut document, comparison, *against, now);
        }
        let comparison = compared.map(|(_, comparison)| comparison);
        Self { analysis, judgement, comparison, document }
    }
}
