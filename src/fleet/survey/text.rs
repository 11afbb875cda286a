//! The survey for a terminal: three questions, each with its answer.

use super::{Drift, FEWEST, NO_INTERVAL, Standing, Survey, margin};
use crate::estimate::spoken::number;
use crate::fleet::text::{look, sentence, take_care};
use crate::report::text::page::Page;
use crate::report::text::{NARROWEST, Style};
use crate::report::words::plain;
use crate::verdict::advice::Advice;
use anstyle::Style as Ansi;

/// The three questions.
pub const QUESTIONS: [&str; 3] = ["Which vehicles need a look", "Which thermostats drift", "Whose next interval is due"];

/// Lays the survey out as lines that end with a line feed.
pub fn render(survey: &Survey, style: Style) -> String {
    let mut page = Page::new(style.color, style.width.max(NARROWEST));
    let bold = Ansi::new().bold();
    page.paragraph(0, &counted(survey));
    page.heading(QUESTIONS[0], bold);
    let looks: Vec<&Standing> = survey.vehicles.iter().filter(|standing| standing.look).collect();
    if looks.is_empty() {
        page.paragraph(2, "None: the latest run of each passes, and nothing changed since the run that it was compared with.");
    }
    for standing in &looks {
        vehicle(&mut page, standing);
    }
    page.heading(QUESTIONS[1], bold);
    for sentence in drifts(survey) {
        page.paragraph(2, &sentence);
    }
    page.heading(QUESTIONS[2], bold);
    page.paragraph(2, NO_INTERVAL);
    if !survey.not_opened.is_empty() {
        page.heading("Could not be opened, and left as they are", bold);
        survey.not_opened.iter().for_each(|(id, why)| page.item(2, id, why));
    }
    take_care(&mut page, &steps(survey));
    page.finish()
}

/// What was asked, in a sentence.
pub(super) fn counted(survey: &Survey) -> String {
    let runs: usize = survey.vehicles.iter().map(|standing| standing.runs).sum();
    let count = |count: usize, one: &str, many: &str| format!("{count} {}", if count == 1 { one } else { many });
    let mut text = format!("{} of {}", count(runs, "kept run", "kept runs"), count(survey.vehicles.len(), "vehicle", "vehicles"));
    if survey.nameless > 0 {
        text += &format!("; {} without a vehicle's name left out", count(survey.nameless, "run", "runs"));
    }
    text + "."
}

fn vehicle(page: &mut Page, standing: &Standing) {
    page.gap();
    let row = &standing.latest.row;
    let title = format!("{}, driven {}", standing.vehicle, standing.latest.about.driven.format("%Y-%m-%d"));
    page.tagged(&row.word().to_uppercase(), look(row), &title);
    for text in why(standing) {
        page.paragraph(2, &sentence(&text));
    }
    if !row.next_step().is_empty() {
        page.item(2, "Next:", row.next_step());
    }
    page.paragraph(2, &format!("Run: history show {}", standing.latest.about.id));
}

/// Why a vehicle needs a look, as sentences.
pub(super) fn why(standing: &Standing) -> Vec<String> {
    let mut reasons = Vec::new();
    if let Some(found) = standing.latest.row.found() {
        let main = &found.main;
        reasons.push(if main.reason.is_empty() { found.headline.clone() } else { format!("{}: {}", main.title(), main.reason) });
    }
    if !standing.latest.changed.is_empty() {
        let changed: Vec<String> = standing.latest.changed.iter().map(|id| id.replace(['.', '_'], " ")).collect();
        reasons.push(format!("Changed since the run that it was compared with: {}.", changed.join(", ")));
    }
    reasons.iter().map(|reason| plain(reason)).collect()
}

/// What to do about a thermostat that drifts.
pub(super) const STEPS: [Advice; 2] = [Advice::CompareSensor, Advice::TestThermostat];

/// What is said of drifting thermostats, as sentences.
pub(super) fn drifts(survey: &Survey) -> Vec<String> {
    let drifting = survey.drifting();
    let mut said: Vec<String> = drifting
        .iter()
        .map(|(one, moved)| {
            format!(
                "{}: over {} years the reading at opening moved by {}; up to {} K is ordinary.",
                plain(&one.vehicle),
                number(one.years, 1),
                moved.spoken(),
                number(margin(), 0)
            )
        })
        .collect();
    if !drifting.is_empty() {
        said.extend(STEPS.map(|step| step.text().to_owned()));
        said.push("Allowed for how each drive was driven, and with the limits ahead: history trend VEHICLE.".to_owned());
    }
    let tested = survey.tested();
    if tested > 0 {
        said.push(format!(
            "Of {tested} vehicles with at least {FEWEST} openings {} drift, and {} more show a trend that may be of no consequence. Without any drift \
             about {} would show a trend by chance.",
            drifting.len(),
            survey.small(),
            number(survey.by_chance(), 1)
        ));
    }
    let few = survey.vehicles.iter().filter(|one| one.drift() == Drift::TooFew).count();
    if few > 0 {
        said.push(format!("Too few runs to say of {few}: a drift is stated from {FEWEST} openings of one vehicle on."));
    }
    if said.is_empty() {
        said.push("Nothing to say: no run of a named vehicle is kept.".to_owned());
    }
    said
}

/// Steps that are named: those of the vehicles that need a look, and those of a drift.
pub(super) fn steps(survey: &Survey) -> Vec<&str> {
    let looks = survey.vehicles.iter().filter(|one| one.look).map(|one| one.latest.row.next_step());
    let drift = if survey.drifting().is_empty() { &[][..] } else { &STEPS[..] };
    looks.chain(drift.iter().map(|step| step.text())).filter(|step| !step.is_empty()).collect()
}
