//! Trapped air, openings, bands, losses and verdicts on made runs with known truth.
//!
//! Two steps, both ignored in an ordinary run because they take minutes, rebuild what rests on made runs:
//!
//! ```text
//! cargo test --test calibration -- --ignored set_the_weights      writes src/analysis/trapped_air/weights.rs
//! cargo test --test calibration -- --ignored write_the_page       writes the tables of docs/calibration.md
//! ```
//!
//! The runs of the first are used for nothing else, those of the second for setting nothing.

#[path = "calibration/logistic.rs"]
mod logistic;
#[path = "calibration/page.rs"]
mod page;
#[path = "calibration/scores.rs"]
mod scores;
#[path = "calibration/study.rs"]
mod study;

use std::fs;
use std::ops::Range;
use std::path::PathBuf;
use study::Case;
use wellbled::analysis::trapped_air::signs::{COUNT, MEANINGS, Numbers};
use wellbled::rehearsal::pockets::Place;

/// Runs that set the weights.
const SET: Range<u64> = 1_000_000..1_006_000;

/// Runs that the page is written from.
const CHECK: Range<u64> = 2_000_000..2_004_000;

/// Runs of the ordinary test.
const FRESH: Range<u64> = 3_000_000..3_000_240;

/// Between these marks the page is written by the program.
const MARKS: [&str; 2] = ["<!-- written by tests/calibration.rs from here -->", "<!-- to here -->"];

fn file(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(path)
}

#[test]
#[ignore = "takes minutes and rewrites src/analysis/trapped_air/weights.rs"]
fn set_the_weights() {
    let cases = study::cases(SET);
    let rows: Vec<Numbers> = cases.iter().map(|case| case.numbers).collect();
    let trapped: Vec<bool> = cases.iter().map(Case::trapped).collect();
    let (_, weights) = logistic::fit(&rows, &trapped, true);
    let with: Vec<&Case> = cases.iter().filter(|case| case.trapped()).collect();
    let with_rows: Vec<Numbers> = with.iter().map(|case| case.numbers).collect();
    let places = Place::ALL.map(|place| {
        let there: Vec<bool> = with.iter().map(|case| case.truth.air.mostly == Some(place)).collect();
        logistic::fit(&with_rows, &there, false)
    });
    let typical: Vec<f64> = (0..COUNT)
        .map(|i| {
            let has = |case: &&Case| !case.pockets && case.has.contains(&MEANINGS[i].group);
            let seen: Vec<f64> = cases.iter().filter(has).map(|case| case.numbers[i]).collect();
            seen.iter().sum::<f64>() / seen.len().max(1) as f64
        })
        .collect();
    let listed = |numbers: &[f64]| numbers.iter().map(|number| format!("    {number:.4},\n")).collect::<String>();
    let text = format!(
        "//! Weights of the signs, written by the calibration (`docs/calibration.md` says how).\n\nuse super::signs::Numbers;\n\n\
         /// Weight of each sign: natural logarithm of odds per unit.\n#[rustfmt::skip]\npub const WEIGHTS: Numbers = [\n{}];\n\n\
         /// Log odds and weights of each place (sensor, thermostat, heater, radiator's top) among runs with gas above the threshold.\n\
         #[rustfmt::skip]\npub const PLACES: [(f64, Numbers); 4] = [\n{}];\n\n\
         /// What runs without pockets show on the average, where they have the sign.\n#[rustfmt::skip]\npub const TYPICAL: Numbers = [\n{}];\n",
        listed(&weights),
        places.map(|(base, weights)| format!("    ({base:.4}, [\n{}    ]),\n", listed(&weights))).concat(),
        listed(&typical)
    );
    fs::write(file("src/analysis/trapped_air/weights.rs"), text).expect("the sources can be written");
}

#[test]
#[ignore = "takes minutes and rewrites docs/calibration.md"]
fn write_the_page() {
    let path = file("docs/calibration.md");
    let text = fs::read_to_string(&path).expect("the page is there");
    let (before, rest) = text.split_once(MARKS[0]).expect("the first mark is there");
    let (_, after) = rest.split_once(MARKS[1]).expect("the second mark is there");
    let tables = page::tables(&study::cases(CHECK));
    fs::write(path, format!("{before}{}\n\n{tables}{}{after}", MARKS[0], MARKS[1])).expect("the page can be written");
}

#[test]
fn the_page_states_the_weights_in_use() {
    let text = fs::read_to_string(file("docs/calibration.md")).expect("the page is there");
    let mut table = String::new();
    page::weights(&mut table);
    assert!(text.contains(&table), "docs/calibration.md is older than the weights: run both steps of tests/calibration.rs");
}

/// Far looser than the page's figures, which are of thousands of runs: this notices that something broke.
#[test]
fn fresh_runs_are_told_apart() {
    let cases = study::cases(FRESH);
    let base = page::base_rate(&cases);
    let said: Vec<(f64, bool)> = cases.iter().map(|case| (page::posterior(&case.numbers, base), case.trapped())).collect();
    let part = |trapped: bool| said.iter().filter(|(_, truly)| *truly == trapped).map(|(p, _)| *p).collect::<Vec<f64>>();
    let area = scores::roc_area(&part(true), &part(false));
    let skill = scores::brier_skill(&said);
    println!("{} runs: ROC area {area:.3}, Brier skill {skill:.2}", cases.len());
    assert!(area >= 0.75, "ROC area {area:.3}");
    assert!(skill >= 0.12, "Brier skill {skill:.2}");
    let healthy: Vec<&Case> = cases.iter().filter(|case| case.healthy()).collect();
    let sent: Vec<u64> =
        healthy.iter().filter(|case| case.verdict == wellbled::verdict::decision::Verdict::Recheck).map(|case| case.seed).collect();
    assert!(sent.len() * 20 <= healthy.len(), "healthy runs sent to recheck: {sent:?} of {}", healthy.len());
}
