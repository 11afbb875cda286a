//! From measurements and rulings to a document: every sentence and every number that a report holds.

pub mod comparison;
mod findings;
mod levels;
mod measures;
mod method;
mod plot;

use super::document::{Document, Reason, RunSummary};
use crate::analysis::Analysis;
use crate::run::Run;
use crate::verdict::Judgement;
use crate::verdict::decision::{Decision, Verdict};
use crate::verdict::ruling::Ruling;

/// Builds the report of one run.
pub fn document(run: &Run, analysis: &Analysis, judgement: &Judgement) -> Document {
    Document {
        title: run.vehicle.name.clone().unwrap_or_else(|| run.source.clone()),
        run: RunSummary {
            source: run.source.clone(),
            started: run.started.map(|start| start.format("%Y-%m-%dT%H:%M:%S").to_string()),
            duration_s: run.duration,
            samples: run.samples,
            channels: run.channels(),
            defects: run.defects.clone(),
        },
        verdict: judgement.verdict,
        headline: headline(judgement),
        summary: summary(judgement),
        cautions: judgement.cautions.iter().map(|caution| caution.text().to_owned()).collect(),
        reasons: judgement.rulings.iter().map(reason).collect(),
        level_account: levels::account(run, analysis),
        differences: None,
        next_steps: judgement.steps.iter().map(|step| step.text().to_owned()).collect(),
        measures: measures::of(analysis),
        method: method::sections(analysis),
        sources: method::sources(),
        findings: findings::of(analysis),
        comparison: None,
        chart: plot::chart(run, analysis),
        overlay: None,
    }
}

fn reason(ruling: &Ruling) -> Reason {
    Reason {
        finding: ruling.topic.finding(),
        title: ruling.topic.title(),
        decision: ruling.decision,
        statement: ruling.statement.clone(),
        advice: ruling.advice.iter().map(|step| step.text().to_owned()).collect(),
    }
}

/// Titles of the findings with this decision, as a list. A title may itself hold an "and", so semicolons part them.
fn titles(judgement: &Judgement, decision: Decision) -> String {
    let decided = judgement.rulings.iter().filter(|ruling| ruling.decision == decision);
    decided.map(|ruling| ruling.topic.title().to_lowercase()).collect::<Vec<_>>().join("; ")
}

fn headline(judgement: &Judgement) -> String {
    match judgement.verdict {
        Verdict::Pass => "The system is bled, as far as this drive can show.".to_owned(),
        Verdict::Recheck => format!("Recheck before handing it back: {}.", titles(judgement, Decision::Recheck)),
        Verdict::Inconclusive => match titles(judgement, Decision::Inconclusive).as_str() {
            "" => "Nothing is wrong that this drive shows, but not everything was judged.".to_owned(),
            open => format!("Not settled by this drive: {open}."),
        },
    }
}

fn summary(judgement: &Judgement) -> Vec<String> {
    let not_judged = titles(judgement, Decision::NotJudged);
    (!not_judged.is_empty()).then(|| format!("Not judged: {not_judged}.")).into_iter().collect()
}
