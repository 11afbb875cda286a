//! From measurements to a verdict: the only place that knows limits.
//!
//! ```text
//! Analysis ─ rules (with limits) ─▶ rulings ─ together ─▶ verdict, next steps, cautions
//! ```

pub mod advice;
pub mod cautions;
pub mod decision;
pub mod limits;
pub mod rules;
pub mod ruling;

use crate::analysis::Analysis;
use crate::run::Run;
use advice::Advice;
use cautions::Caution;
use decision::{Decision, Verdict};
use ruling::Ruling;

/// The verdict on a run with everything that leads to it.
#[derive(Clone, Debug)]
pub struct Judgement {
    /// The answer.
    pub verdict: Verdict,
    /// One ruling a finding, most weighty first.
    pub rulings: Vec<Ruling>,
    /// What to do, in order, each step once.
    pub steps: Vec<Advice>,
    /// Dangers that go with the vehicle's state and the steps.
    pub cautions: Vec<Caution>,
}

impl Judgement {
    /// Judges a run by what was measured on it.
    pub fn of(run: &Run, analysis: &Analysis) -> Self {
        let mut rulings = vec![
            rules::opening::judge(run, analysis),
            rules::regulation::judge(run, analysis),
            rules::trapped_air::judge(run, analysis),
            rules::heat_rejection::judge(analysis),
            rules::boiling_margin::judge(analysis),
            rules::sensor_offset::judge(analysis),
            rules::levels::cold(run, analysis),
        ];
        rulings.extend(rules::levels::hot(run, analysis));
        let verdict = ruling::together(&rulings);
        rulings.sort_by_key(|ruling| weight(ruling.decision));
        let steps: Vec<Advice> = rulings.iter().flat_map(|ruling| ruling.advice.iter().copied()).collect();
        let cautions = Caution::ALWAYS.to_vec();
        let mut judgement = Self { verdict, rulings, steps: Vec::new(), cautions };
        judgement.add(&steps);
        judgement
    }

    /// Adds steps, each once and in its place, with the cautions that go with them.
    pub fn add(&mut self, steps: &[Advice]) {
        self.steps.extend(steps);
        self.steps.sort_unstable();
        self.steps.dedup();
        self.cautions.extend(steps.iter().flat_map(|step| step.cautions()));
        self.cautions.sort_unstable();
        self.cautions.dedup();
    }
}

/// Rechecks first, then what could not be told, then what passed, then what was not judged.
fn weight(decision: Decision) -> u8 {
    match decision {
        Decision::Recheck => 0,
        Decision::Inconclusive => 1,
        Decision::Pass => 2,
        Decision::NotJudged => 3,
    }
}
