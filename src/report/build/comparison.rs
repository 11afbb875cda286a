//! The comparison with an earlier run as parts of a document: a headline and steps, a table, the JSON member, the picture.

use super::super::document::{
    AccountPart, AccountRow, Axis, Band, Chart, Curve, Document, LevelAccount, Mark, MarkKind, Panel, Section, Words,
};
use crate::analysis::Analysis;
use crate::comparison::trend::{FEWEST_DRAWN, Trend};
use crate::comparison::{Change, Comparison, Course, Decision, Drive, Measure};
use crate::estimate::Estimate;
use crate::estimate::spoken::{clock, number};
use crate::verdict::advice::Advice;
use serde_json::{Value, json};

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
pub fn table(comparison: &Comparison) -> LevelAccount {
    let with = |decision: Decision| comparison.changes.iter().filter(move |change| change.decision == decision);
    let alike: Vec<AccountRow> = with(Decision::Alike).filter_map(alike).collect();
    let alike = (!alike.is_empty()).then(|| AccountPart { title: "Alike, moved by".to_owned(), noted: false, rows: alike });
    let missing = comparison.not_compared.iter().map(|missing| format!("Not compared, {}: {}.", missing.measure.spoken(), missing.because));
    LevelAccount {
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

/// Whether a measure's difference is a share of the earlier value.
fn is_share(measure: Measure) -> bool {
    matches!(measure, Measure::HeatCapacity | Measure::HeatLoss | Measure::CoolingDown)
}

fn difference_words(measure: Measure, difference: &Estimate) -> Words {
    if !is_share(measure) && measure != Measure::Coverage {
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
        measure if is_share(measure) || measure == Measure::Coverage => format!("{} %", number(100.0 * change.margin, 0)),
        Measure::LevelLoss => format!("{} mL", number(change.margin, 0)),
        _ => format!("{} K", number(change.margin, 0)),
    }
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Both drives over the heat put in, with both bands; `None` without two readings to draw.
pub fn overlay(comparison: &Comparison, earlier: Drive, later: Drive) -> Option<Chart> {
    let courses = comparison.courses.as_ref()?;
    let drives = [("then", earlier.analysis, false), ("now", later.analysis, true)];
    let mut panel = Panel { label: "coolant".to_owned(), unit: "°C".to_owned(), weight: 3.0, ..Panel::default() };
    for ((name, analysis, main), course) in drives.into_iter().zip(courses) {
        panel.curves.push(Curve { name: name.to_owned(), points: points(course), main });
        panel.bands.extend(band(name, analysis, course));
        panel.marks.extend(opening(name, analysis, course));
    }
    let scale = match comparison.common_heat {
        Some(source) => {
            format!("Both are drawn over the heat put in, told by {}: a minute is one at the usual input of the two.", source.spoken())
        }
        None => "The two logs have no stand-in for heat in common, so each is drawn over its own: a minute is one at its own usual input."
            .to_owned(),
    };
    let drawn = panel.bands.iter().map(|band| capitalised(&band.name)).chain(panel.marks.iter().map(|mark| capitalised(&mark.name)));
    let description = std::iter::once(scale).chain(drawn.map(|words| format!("{words}."))).collect::<Vec<_>>().join(" ");
    let duration_s = courses.iter().filter_map(|course| course.heat.last()).fold(0.0f64, |longest, heat| longest.max(60.0 * heat));
    let title = format!("Now against {}", comparison.against);
    Some(Chart { title, description, panels: vec![panel], duration_s, axis: Axis::HeatPutIn, ..Chart::default() })
}

/// The reading over the heat put in, in seconds at the usual input; while none goes in nothing is drawn.
fn points(course: &Course) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = Vec::with_capacity(course.heat.len());
    for (heat, reading) in course.heat.iter().zip(&course.reading) {
        if points.last().is_none_or(|(last, _)| 60.0 * heat > *last) {
            points.push((60.0 * heat, *reading));
        }
    }
    points
}

fn band(name: &str, analysis: &Analysis, course: &Course) -> Option<Band> {
    let regulation = &analysis.regulation;
    let (low, high, settled) = (regulation.low?.value, regulation.high?.value, regulation.settling_time?.value);
    let to_s = 60.0 * course.heat.last().copied()?;
    Some(Band {
        name: format!("{name} held {} to {} °C", number(low, 0), number(high, 0)),
        from_s: 60.0 * course.heat_at(settled),
        to_s,
        low,
        high,
    })
}

fn opening(name: &str, analysis: &Analysis, course: &Course) -> Option<Mark> {
    let (temperature, time) = (analysis.opening.temperature?, analysis.opening.time?);
    let at_s = 60.0 * course.heat_at(time.value);
    Some(Mark {
        name: format!("{name} opened at {} after {}", temperature.spoken_value(), clock(time.value)),
        kind: MarkKind::Opening,
        at_s,
        interval_s: time.interval_95.map(|end| 60.0 * course.heat_at(end)),
        value: Some(temperature.value),
        value_interval: Some(temperature.interval_95),
    })
}

/// Seconds in a day.
const DAY_S: f64 = 86_400.0;

/// A measure over several runs: their days (from any fixed one) with their values, and the line of the trend where one is shown. `None` under
/// three runs.
pub fn series(measure: Measure, runs: &[(f64, Estimate)], trend: &Trend) -> Option<Chart> {
    let mut runs: Vec<&(f64, Estimate)> = runs.iter().filter(|(day, estimate)| day.is_finite() && estimate.value.is_finite()).collect();
    runs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (first, last) = (runs.first()?.0, runs.last()?.0);
    if runs.len() < FEWEST_DRAWN || last <= first {
        return None;
    }
    let unit = runs.first()?.1.unit.spoken();
    let at = |day: f64| (day - first) * DAY_S;
    let mut curves =
        vec![Curve { name: "runs".to_owned(), points: runs.iter().map(|(day, run)| (at(*day), run.value)).collect(), main: true }];
    if let Trend::Stated(stated) = trend
        && stated.moves()
    {
        let points = [first, last].map(|day| (at(day), stated.at(day))).to_vec();
        curves.push(Curve { name: "trend".to_owned(), points, main: false });
    }
    let marks = runs.iter().map(|(day, run)| Mark {
        name: String::new(),
        kind: MarkKind::Moment,
        at_s: at(*day),
        interval_s: [at(*day); 2],
        value: Some(run.value),
        value_interval: Some(run.interval_95),
    });
    let marks = marks.collect();
    let panel = Panel { label: measure.spoken().to_owned(), unit: unit.trim().to_owned(), weight: 1.0, curves, bands: Vec::new(), marks };
    let each: Vec<String> = runs.iter().map(|(_, run)| run.spoken()).collect();
    Some(Chart {
        title: capitalised(measure.spoken()),
        description: format!("{} runs, the oldest first: {}. {}", runs.len(), each.join(", "), trend.spoken(unit)),
        panels: vec![panel],
        duration_s: at(last),
        axis: Axis::Years,
        ..Chart::default()
    })
}
