//! The comparison with an earlier run as parts of a document: a headline and steps, a table, the JSON member, the picture.

mod overlay;
mod series;

pub use overlay::overlay;
pub use series::over_time;

use super::super::document::{Account, AccountPart, AccountRow, Document, Section, Words};
use crate::comparison::{Change, Comparison, Decision, Drive, Measure};
use crate::estimate::Estimate;
use crate::estimate::spoken::number;
use crate::report::moved::Moved;
use crate::verdict::advice::Advice;
use crate::verdict::cautions::Caution;
use serde_json::{Value, json};

/// What moved between two drives, on its own.
pub fn between(comparison: &Comparison, earlier: Drive, later: Drive) -> Moved {
    let advice = steps(comparison);
    let mut cautions: Vec<Caution> = advice.iter().flat_map(|step| step.cautions()).copied().collect();
    cautions.sort_unstable();
    cautions.dedup();
    let missing: Vec<Value> =
        comparison.not_compared.iter().map(|missing| json!({ "measure": missing.measure.id(), "because": missing.because })).collect();
    Moved {
        title: format!("{} against {}", later.name, earlier.name),
        headline: headline(comparison),
        account: table(comparison),
        steps: advice.iter().map(|step| step.text().to_owned()).collect(),
        cautions: cautions.iter().map(|caution| caution.text().to_owned()).collect(),
        chart: overlay(comparison, earlier, later),
        json: json!({
            "earlier": earlier.name,
            "later": later.name,
            "comparison": json(comparison),
            "not_compared": missing,
            "unlike": comparison.unlike.iter().map(|unlike| &unlike.0).collect::<Vec<_>>(),
        }),
    }
}

/// Adds the comparison to the later run's report. Its steps belong to the judgement, so that their cautions come with them.
pub fn add(document: &mut Document, comparison: &Comparison, earlier: Drive, later: Drive) {
    document.summary.push(headline(comparison));
    document.differences = Some(table(comparison));
    document.comparison = Some(json(comparison));
    document.overlay = overlay(comparison, earlier, later);
    if let Some((ratio, warm_up)) = comparison.heat_capacity_ratio().zip(document.findings.get_mut("warm_up")) {
        warm_up["heat_capacity_ratio"] = json!(ratio);
    }
}

/// Says that a drive from before the work was weighed in, or that it could not be.
pub fn add_baseline(document: &mut Document, name: &str, weighed: bool) {
    if !weighed {
        document.summary.push(format!("The drive before the work ({name}) shows nothing that could be weighed against this one."));
        return;
    }
    document.summary.push(format!("Trapped air was weighed against the drive before the work, {name}."));
    document.method.push(Section {
        title: "The drive before the work".to_owned(),
        paragraphs: vec![
            "What the vehicle did before the work as well speaks the less for air now: its changes of reading, its overshoot and its heater outlet are \
             weighed together with this drive's, with weights set on simulated pairs of drives. Levels and fills belong to the work and are not carried over."
                .to_owned(),
        ],
    });
    if let Some(air) = document.findings.get_mut("trapped_air") {
        air["before_work"] = json!(name);
    }
}

/// The `comparison` member of the JSON contract.
pub fn json(comparison: &Comparison) -> Value {
    let changes: Vec<Value> = comparison
        .changes
        .iter()
        .map(|change| {
            let difference = change.difference.map(|difference| json!(difference));
            json!({ "measure": change.measure.id(), "difference": difference, "decision": change.decision })
        })
        .collect();
    json!({ "against": comparison.against, "changes": changes })
}

/// What moved, in one sentence.
pub fn headline(comparison: &Comparison) -> String {
    let changed: Vec<&str> = comparison.changed().map(|change| change.measure.spoken()).collect();
    let with = |decision: Decision| comparison.changes.iter().filter(|change| change.decision == decision).count();
    if !changed.is_empty() {
        return format!("Changed since {}: {}.", comparison.against, changed.join("; "));
    }
    let (alike, open) = (with(Decision::Alike), with(Decision::Inconclusive));
    match (alike, open) {
        (0, 0) => format!("Nothing can be compared with {}.", comparison.against),
        (0, _) => format!(
            "Nothing is shown to have changed since {}, nor to be alike: the two drives are too unlike or too rough.",
            comparison.against
        ),
        _ => format!(
            "Nothing is shown to have changed since {}: {alike} of {} measures are alike, {open} cannot be told.",
            comparison.against,
            alike + open
        ),
    }
}

/// What to do about the changes, without repeats, in the order in which it is done.
pub fn steps(comparison: &Comparison) -> Vec<Advice> {
    let mut steps: Vec<Advice> = comparison.changes.iter().flat_map(|change| change.meaning.advice()).copied().collect();
    steps.sort_unstable();
    steps.dedup();
    steps
}

/// The differences as a table: what changed and what cannot be told each with its numbers, what is alike in a line each, and below it what
/// was not alike about the two drives.
pub fn table(comparison: &Comparison) -> Account {
    let with = |decision: Decision| comparison.changes.iter().filter(move |change| change.decision == decision);
    let alike: Vec<AccountRow> = with(Decision::Alike).filter_map(alike).collect();
    let alike = (!alike.is_empty()).then(|| AccountPart { title: "Alike, moved by".to_owned(), noted: false, rows: alike });
    let missing = comparison.not_compared.iter().map(|missing| format!("Not compared, {}: {}.", missing.measure.spoken(), missing.because));
    Account {
        parts: with(Decision::Changed).map(part).chain(alike).chain(with(Decision::Inconclusive).map(part)).collect(),
        remarks: comparison.unlike.iter().map(|unlike| unlike.0.clone()).chain(missing).collect(),
        in_brief: comparison.changed().map(said).collect(),
    }
}

fn alike(change: &Change) -> Option<AccountRow> {
    let difference = change.difference?;
    Some(AccountRow {
        label: format!("{} (± {})", change.measure.spoken(), margin(change)),
        estimate: Some(difference),
        words: difference_words(change.measure, &difference),
        result: false,
    })
}

/// A change in the trade's words, with its number.
fn said(change: &Change) -> String {
    match &change.difference {
        Some(difference) => format!("{}: {}. {}", capitalised(change.measure.spoken()), moved(change, difference), change.meaning.spoken()),
        None => change.meaning.spoken().to_owned(),
    }
}

/// The difference as people say it: `5.2 K less (6.4 to 4.0)`, `18 % more`.
fn moved(change: &Change, difference: &Estimate) -> String {
    let words = difference_words(change.measure, difference);
    format!("{} ({})", words.value, words.interval)
}

fn part(change: &Change) -> AccountPart {
    let row = |label: &str, estimate: &Estimate, words: Words, result: bool| AccountRow {
        label: label.to_owned(),
        estimate: Some(*estimate),
        words,
        result,
    };
    let each = |label: &str, estimate: &Option<Estimate>| {
        estimate.as_ref().map(|estimate| row(label, estimate, own_words(change.measure, estimate), false))
    };
    // The valve is compared by its wax's temperature, which the reading runs ahead of, so the two readings do not make up the difference.
    let (then, now, moved) = match change.measure {
        Measure::Opening => ("reading then", "reading now", "so the valve itself moved by"),
        _ => ("then", "now", "so it moved by"),
    };
    let margin = Words { value: format!("± {}", margin(change)), interval: String::new() };
    let difference =
        change.difference.as_ref().map(|difference| row(moved, difference, difference_words(change.measure, difference), true));
    let margin = AccountRow { label: "counts as alike within".to_owned(), estimate: None, words: margin, result: false };
    let rows = each(then, &change.earlier).into_iter().chain(each(now, &change.later)).chain(difference).chain([margin]);
    AccountPart {
        title: format!("{}: {}", capitalised(change.measure.spoken()), change.decision.spoken()),
        noted: false,
        rows: rows.collect(),
    }
}

fn difference_words(measure: Measure, difference: &Estimate) -> Words {
    if !measure.is_share() && measure != Measure::Coverage {
        return signed(Words::of(difference), difference.value);
    }
    let per_cent = |share: f64| number(100.0 * share, 0);
    let [low, high] = difference.interval_95.map(per_cent);
    let interval = if difference.standard_uncertainty > 0.0 { format!("{low} to {high}") } else { String::new() };
    signed(Words { value: format!("{} %", per_cent(difference.value)), interval }, difference.value)
}

/// A rise carries its sign as a fall does.
fn signed(words: Words, value: f64) -> Words {
    if value > 0.0 { Words { value: format!("+{}", words.value), ..words } } else { words }
}

fn own_words(measure: Measure, estimate: &Estimate) -> Words {
    match measure {
        Measure::Coverage => Words { value: format!("{} %", number(100.0 * estimate.value, 0)), interval: String::new() },
        _ => Words::of(estimate),
    }
}

fn margin(change: &Change) -> String {
    match change.measure {
        measure if measure.is_share() || measure == Measure::Coverage => format!("{} %", number(100.0 * change.margin, 0)),
        Measure::LevelLoss => format!("{} mL", number(change.margin, 0)),
        _ => format!("{} K", number(change.margin, 0)),
    }
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
