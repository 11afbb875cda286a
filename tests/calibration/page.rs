//! The tables of `docs/calibration.md`: everything between its two marks is written here.

use super::scores::{above, brier_skill, cut, intervals, roc_area};
use super::study::{Case, Said};
use std::fmt::Write;
use wellbled::analysis::opening::State;
use wellbled::analysis::trapped_air::signs::{Group, MEANINGS, Numbers};
use wellbled::analysis::trapped_air::weights::WEIGHTS;
use wellbled::analysis::trapped_air::{Where, evidence, log_odds, probability};
use wellbled::rehearsal::pockets::Place;
use wellbled::rehearsal::scenario::{Fault, LookAlike, Road};
use wellbled::rehearsal::truth::Opening;
use wellbled::vehicle::Side;
use wellbled::verdict::decision::{Decision, Verdict};
use wellbled::verdict::ruling::Topic;

/// Share of runs without a sign that may be called.
const ALARMS: f64 = 0.02;

/// What the evidence of a run makes of a prior.
pub fn posterior(numbers: &Numbers, prior: f64) -> f64 {
    probability(log_odds(prior) + evidence(numbers))
}

/// Share of cases with gas above the threshold.
pub fn base_rate(cases: &[Case]) -> f64 {
    cases.iter().filter(|case| case.trapped()).count() as f64 / cases.len() as f64
}

/// Every table.
pub fn tables(cases: &[Case]) -> String {
    let base = base_rate(cases);
    let said: Vec<f64> = cases.iter().map(|case| posterior(&case.numbers, base)).collect();
    let mut page = String::new();
    let telling = cases.iter().filter(|case| case.telling).count();
    let _ = writeln!(
        page,
        "{} runs, none of them used to set anything; {:.1} % hold more than the threshold at key-off, {:.0} % are telling.\n",
        cases.len(),
        100.0 * base,
        100.0 * telling as f64 / cases.len() as f64
    );
    air(&mut page, cases, &said);
    reliability(&mut page, cases, &said);
    roc(&mut page, cases, &said);
    by_kind(&mut page, cases, &said);
    by_look_alike(&mut page, cases, &said);
    places(&mut page, cases);
    weights(&mut page);
    spans(&mut page, cases);
    openings(&mut page, cases);
    verdicts(&mut page, cases);
    page
}

fn of(cases: &[Case], said: &[f64], wanted: impl Fn(&Case) -> bool) -> Vec<f64> {
    cases.iter().zip(said).filter(|(case, _)| wanted(case)).map(|(_, said)| *said).collect()
}

fn air(page: &mut String, cases: &[Case], said: &[f64]) {
    let skill = |wanted: &dyn Fn(&Case) -> bool| {
        let chosen: Vec<(f64, bool)> =
            cases.iter().zip(said).filter(|(case, _)| wanted(case)).map(|(case, p)| (*p, case.trapped())).collect();
        brier_skill(&chosen)
    };
    let without = of(cases, said, |case| !case.trapped());
    let none = of(cases, said, |case| !case.pockets);
    let (at_alarms, at_none) = (cut(&without, ALARMS), cut(&none, ALARMS));
    let area = |with: &dyn Fn(&Case) -> bool, without: &dyn Fn(&Case) -> bool| roc_area(&of(cases, said, with), &of(cases, said, without));
    let rows: [(&str, &str, String); 11] = [
        (
            "ROC area, telling runs, at least 2 against at most 0.5 thresholds",
            "≥ 0.97",
            f3(area(&|c| c.telling && c.gas >= 2.0, &|c| c.telling && c.gas <= 0.5)),
        ),
        ("ROC area, all runs, at least 2 against at most 0.5 thresholds", "", f3(area(&|c| c.gas >= 2.0, &|c| c.gas <= 0.5))),
        ("ROC area, all runs, above against below the threshold", "", f3(area(&|c| c.trapped(), &|c| !c.trapped()))),
        (
            "ROC area, telling runs with at least 2 thresholds against runs that never had a pocket",
            "",
            f3(area(&|c| c.telling && c.gas >= 2.0, &|c| !c.pockets)),
        ),
        ("Brier skill, telling runs, against their own base rate", "≥ 0.6", f3(skill(&|c| c.telling))),
        ("Brier skill, all runs", "≥ 0.3", f3(skill(&|_| true))),
        ("Brier skill, runs with fill measured", "", f3(skill(&|c| c.has.contains(&Group::Fill)))),
        ("sensitivity at 2 % false alarms", "≥ 0.85", f3(above(&of(cases, said, |c| c.trapped()), at_alarms))),
        ("the same, telling runs with at least 2 thresholds", "", f3(above(&of(cases, said, |c| c.telling && c.gas >= 2.0), at_alarms))),
        ("the same at 2 % of the runs that never had a pocket", "", f3(above(&of(cases, said, |c| c.telling && c.gas >= 2.0), at_none))),
        (
            "the same, with fill measured",
            "",
            f3(above(&of(cases, said, |c| c.telling && c.gas >= 2.0 && c.has.contains(&Group::Fill)), at_none)),
        ),
    ];
    page.push_str("### Trapped air\n\n| figure | bar | measured |\n|---|---|---|\n");
    for (name, bar, value) in rows {
        let _ = writeln!(page, "| {name} | {bar} | {value} |");
    }
    page.push('\n');
}

fn reliability(page: &mut String, cases: &[Case], said: &[f64]) {
    page.push_str("### Reliability\n\nProbabilities at the study's own base rate; a calibrated one comes true as often as it says.\n\n");
    page.push_str("| said | runs | mean said | came true | |\n|---|---|---|---|---|\n");
    let edges = [0.0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0];
    for pair in edges.windows(2) {
        let bin: Vec<(f64, bool)> =
            cases.iter().zip(said).filter(|(_, p)| **p >= pair[0] && **p < pair[1]).map(|(case, p)| (*p, case.trapped())).collect();
        if bin.is_empty() {
            continue;
        }
        let n = bin.len() as f64;
        let (mean, true_share) =
            (bin.iter().map(|(p, _)| p).sum::<f64>() / n, bin.iter().filter(|(_, trapped)| *trapped).count() as f64 / n);
        let bar = "▇".repeat((20.0 * true_share).round() as usize);
        let _ = writeln!(
            page,
            "| {:.0} to {:.0} % | {} | {:.1} % | {:.1} % | {bar} |",
            100.0 * pair[0],
            100.0 * pair[1],
            bin.len(),
            100.0 * mean,
            100.0 * true_share
        );
    }
    page.push('\n');
}

fn roc(page: &mut String, cases: &[Case], said: &[f64]) {
    page.push_str(
        "### ROC\n\n| false alarms | found, all above the threshold | found, telling and at least 2 thresholds |\n|---|---|---|\n",
    );
    let without = of(cases, said, |case| !case.trapped());
    for alarms in [0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5] {
        let at = cut(&without, alarms);
        let found = |wanted: &dyn Fn(&Case) -> bool| 100.0 * above(&of(cases, said, wanted), at);
        let _ = writeln!(
            page,
            "| {:.0} % | {:.0} % | {:.0} % |",
            100.0 * alarms,
            found(&|c| c.trapped()),
            found(&|c| c.telling && c.gas >= 2.0)
        );
    }
    page.push('\n');
}

/// A kind of run with its name.
type Kind = (String, Box<dyn Fn(&Case) -> bool>);

fn kinds() -> Vec<Kind> {
    let mut kinds: Vec<Kind> = Vec::new();
    for (name, road) in Road::NAMED {
        kinds.push((format!("drive: {name}"), Box::new(move |case| case.road == road)));
    }
    for (name, side) in [("outlet", Side::Outlet), ("inlet", Side::Inlet)] {
        kinds.push((format!("layout: {name}"), Box::new(move |case| case.side == side)));
    }
    for (low, high) in [(-40.0, 0.0), (0.0, 15.0), (15.0, 28.0), (28.0, 60.0)] {
        kinds.push((format!("ambient: {low:.0} to {high:.0} °C"), Box::new(move |case| case.ambient >= low && case.ambient < high)));
    }
    for (low, high) in [(0.0, 0.5), (0.5, 2.0), (2.0, 5.0), (5.0, 99.0)] {
        kinds.push((format!("coolant read every {low} to {high} s"), Box::new(move |case| case.period >= low && case.period < high)));
    }
    kinds.push(("fill measured".to_owned(), Box::new(|case| case.has.contains(&Group::Fill))));
    kinds.push(("no levels at all".to_owned(), Box::new(|case| case.numbers[13..].iter().all(|number| *number == 0.0))));
    kinds
}

fn by_kind(page: &mut String, cases: &[Case], said: &[f64]) {
    page.push_str("### By kind of run\n\nRows under 400 runs are reported only.\n\n");
    page.push_str(
        "| runs | n | base | mean said | ROC area | Brier skill | found at 2 % | healthy to recheck |\n|---|---|---|---|---|---|---|---|\n",
    );
    for (name, wanted) in kinds() {
        let chosen: Vec<(&Case, f64)> = cases.iter().zip(said).filter(|(case, _)| wanted(case)).map(|(case, p)| (case, *p)).collect();
        let part = |trapped: bool| chosen.iter().filter(|(case, _)| case.trapped() == trapped).map(|(_, p)| *p).collect::<Vec<f64>>();
        let (with, without) = (part(true), part(false));
        let pairs: Vec<(f64, bool)> = chosen.iter().map(|(case, p)| (*p, case.trapped())).collect();
        let healthy: Vec<&Case> = chosen.iter().map(|(case, _)| *case).filter(|case| case.healthy()).collect();
        let sent = healthy.iter().filter(|case| case.verdict == Verdict::Recheck).count();
        let n = chosen.len().max(1) as f64;
        let _ = writeln!(
            page,
            "| {name} | {} | {:.0} % | {:.0} % | {} | {} | {:.0} % | {} of {} |",
            chosen.len(),
            100.0 * with.len() as f64 / n,
            100.0 * pairs.iter().map(|(p, _)| p).sum::<f64>() / n,
            f3(roc_area(&with, &without)),
            f3(brier_skill(&pairs)),
            100.0 * above(&with, cut(&without, ALARMS)),
            sent,
            healthy.len(),
        );
    }
    page.push('\n');
}

/// What looks like air and is not, in runs that never had a pocket.
fn by_look_alike(page: &mut String, cases: &[Case], said: &[f64]) {
    page.push_str(
        "### Look-alikes\n\nRuns that never had a pocket.\n\n| look-alike | runs | mean said | trapped air called |\n|---|---|---|---|\n",
    );
    let kinds = std::iter::once(None).chain(LookAlike::ALL.into_iter().map(Some));
    for look_alike in kinds {
        let chosen: Vec<(&Case, f64)> = cases
            .iter()
            .zip(said)
            .filter(|(case, _)| !case.pockets && case.truth.look_alike == look_alike)
            .map(|(case, p)| (case, *p))
            .collect();
        let called = chosen.iter().filter(|(case, _)| case.decided(Topic::TrappedAir) == Some(Decision::Recheck)).count();
        let mean = 100.0 * chosen.iter().map(|(_, p)| p).sum::<f64>() / chosen.len().max(1) as f64;
        let name = look_alike.map_or("none".to_owned(), |look_alike| {
            serde_json::to_value(look_alike).ok().and_then(|name| name.as_str().map(|name| name.replace('_', " "))).unwrap_or_default()
        });
        let _ = writeln!(page, "| {name} | {} | {mean:.0} % | {called} |", chosen.len());
    }
    page.push('\n');
}

fn places(page: &mut String, cases: &[Case]) {
    page.push_str("### Where it sits\n\nTelling runs above the threshold.\n\n| truly mostly | said sensor | thermostat | heater | radiator's top | unknown | none |\n|---|---|---|---|---|---|---|\n");
    for (name, place) in
        [("sensor", Place::Sensor), ("thermostat", Place::Thermostat), ("heater", Place::Heater), ("radiator's top", Place::RadiatorTop)]
    {
        let chosen: Vec<&Case> = cases.iter().filter(|c| c.telling && c.trapped() && c.truth.air.mostly == Some(place)).collect();
        let count = |said: Where| chosen.iter().filter(|case| case.place == said).count().to_string();
        let said =
            [Where::Sensor, Where::Thermostat, Where::Heater, Where::RadiatorTop, Where::Unknown, Where::None].map(count).join(" | ");
        let _ = writeln!(page, "| {name} | {said} |");
    }
    page.push('\n');
}

/// The table of weights.
pub fn weights(page: &mut String) {
    page.push_str("### Weights\n\nNatural logarithm of odds per unit of the sign; 0 where a sign could only lower the odds against its meaning.\n\n| sign | weight |\n|---|---|\n");
    for (meaning, weight) in MEANINGS.iter().zip(WEIGHTS) {
        let _ = writeln!(page, "| {} | {weight:.3} |", meaning.name);
    }
    page.push('\n');
}

fn spans(page: &mut String, cases: &[Case]) {
    page.push_str("### Intervals\n\n95 % intervals should hold the truth in 92 to 98 % of the runs that get one.\n\n");
    page.push_str("| quantity | runs with a truth | answered | held | median width | mean interval score |\n|---|---|---|---|---|---|\n");
    let names: Vec<&str> = [
        "opening, temperature",
        "opening, time",
        "band, lower edge",
        "band, upper edge",
        "time constant of cooling down",
        "cold-to-cold loss",
    ]
    .to_vec();
    for name in names {
        let said: Vec<Said> = cases.iter().flat_map(|case| &case.said).filter(|(other, _)| *other == name).map(|(_, said)| *said).collect();
        let row = intervals(&said);
        let unit = match name {
            "opening, time" | "time constant of cooling down" => "s",
            "cold-to-cold loss" => "mL",
            _ => "K",
        };
        let decimals = usize::from(unit == "K");
        let _ = writeln!(
            page,
            "| {name} | {} | {} | {:.1} % | {:.decimals$} {unit} | {:.decimals$} {unit} |",
            row.asked,
            row.answered,
            100.0 * row.held,
            row.width,
            row.score
        );
    }
    page.push('\n');
}

fn openings(page: &mut String, cases: &[Case]) {
    page.push_str("### Opening found or denied\n\n| truly | opened | not reached | open throughout | already open | not observable |\n|---|---|---|---|---|---|\n");
    let states = [State::Opened, State::NotReached, State::OpenThroughout, State::AlreadyOpen, State::NotObservable];
    let mut right = 0;
    for (name, truth, state) in [
        ("opened", Opening::Opened, State::Opened),
        ("not reached", Opening::NotReached, State::NotReached),
        ("open throughout", Opening::OpenThroughout, State::OpenThroughout),
        ("already open", Opening::AlreadyOpen, State::AlreadyOpen),
    ] {
        let count = |state: State| cases.iter().filter(|case| case.truth.opening == truth && case.state == state).count();
        right += count(state);
        let _ = writeln!(page, "| {name} | {} |", states.map(|state| count(state).to_string()).join(" | "));
    }
    let _ = writeln!(page, "\nRight in {:.1} % of the runs (bar 97 %).\n", 100.0 * right as f64 / cases.len() as f64);
}

fn verdicts(page: &mut String, cases: &[Case]) {
    page.push_str("### Verdicts\n\n| runs | n | pass | recheck | inconclusive |\n|---|---|---|---|---|\n");
    let holds_opening = |case: &Case| case.truth.opening == Opening::Opened && case.after_opening_s >= 300.0;
    let rows: [Kind; 10] = [
        ("healthy: no fault, never a pocket, rating rightly stated, never above 115 °C".to_owned(), Box::new(|case| case.healthy())),
        (
            "the same, with the opening and 300 s after it in the log".to_owned(),
            Box::new(move |case| case.healthy() && holds_opening(case)),
        ),
        ("all with the opening and 300 s after it in the log (bar: inconclusive ≤ 8 %)".to_owned(), Box::new(holds_opening)),
        ("more than the threshold of gas, no other fault".to_owned(), Box::new(|case| case.trapped() && case.faults.is_empty())),
        ("at least 2 thresholds and telling".to_owned(), Box::new(|case| case.telling && case.gas >= 2.0)),
        ("the same, fill measured".to_owned(), Box::new(|case| case.telling && case.gas >= 2.0 && case.has.contains(&Group::Fill))),
        ("stuck open".to_owned(), Box::new(|case| has(case, |fault| matches!(fault, Fault::StuckOpen(_))))),
        ("opens early (5 to 20 K)".to_owned(), Box::new(|case| has(case, |fault| matches!(fault, Fault::OpensEarly(_))))),
        ("opens late (5 to 15 K)".to_owned(), Box::new(|case| has(case, |fault| matches!(fault, Fault::OpensLate(_))))),
        ("every run".to_owned(), Box::new(|_| true)),
    ];
    for (name, wanted) in rows {
        let chosen: Vec<&Case> = cases.iter().filter(|case| wanted(case)).collect();
        let share =
            |verdict: Verdict| 100.0 * chosen.iter().filter(|case| case.verdict == verdict).count() as f64 / chosen.len().max(1) as f64;
        let _ = writeln!(
            page,
            "| {name} | {} | {:.1} % | {:.1} % | {:.1} % |",
            chosen.len(),
            share(Verdict::Pass),
            share(Verdict::Recheck),
            share(Verdict::Inconclusive)
        );
    }
    page.push_str("\nWhat decided on healthy runs with the opening and 300 s after it:\n\n| finding | pass | recheck | inconclusive | not judged |\n|---|---|---|---|---|\n");
    let healthy: Vec<&Case> = cases.iter().filter(|case| case.healthy() && holds_opening(case)).collect();
    for topic in Topic::ALL {
        let count = |decision: Decision| healthy.iter().filter(|case| case.decided(topic) == Some(decision)).count().to_string();
        let decisions = [Decision::Pass, Decision::Recheck, Decision::Inconclusive, Decision::NotJudged].map(count).join(" | ");
        let _ = writeln!(page, "| {} | {decisions} |", topic.title());
    }
    page.push('\n');
}

fn has(case: &Case, is: impl Fn(&Fault) -> bool) -> bool {
    case.faults.iter().any(is)
}

fn f3(value: f64) -> String {
    format!("{value:.3}")
}
