//! The comparison: values from outside for its statistics, made pairs with known truth for its answers, real logs for its false alarms.
//!
//! The full studies take minutes and are ignored in an ordinary run; they print what `docs/comparison.md` holds:
//!
//! ```text
//! cargo test --release --test comparison -- --ignored --nocapture
//! ```
//!
//! Their seeds set nothing: the laws were set on others (`docs/comparison.md`).

#[path = "comparison/before_the_work.rs"]
mod before_the_work;
#[path = "comparison/pairs.rs"]
mod pairs;
#[path = "comparison/study.rs"]
mod study;

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;
use study::{Case, Score};
use wellbled::analysis::Analysis;
use wellbled::comparison::decision::student;
use wellbled::comparison::trend::kendall::Kendall;
use wellbled::comparison::trend::{Forecast, Point, Trend};
use wellbled::comparison::{Decision, Drive, Measure, compare, decide};
use wellbled::estimate::{Estimate, Unit};
use wellbled::ingest::{self, Options};
use wellbled::numeric::robust;
use wellbled::rehearsal::random::Random;
use wellbled::rehearsal::scenario::Fault;
use wellbled::report::build::comparison as report;

/// Rows of a reference table.
fn reference(file: &str) -> Vec<Vec<String>> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(file);
    let mut rows = csv::Reader::from_path(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    rows.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect()
}

/// What the table says of each data set under one heading: data set → quantity → value.
fn stated(test: &str) -> BTreeMap<String, BTreeMap<String, f64>> {
    let mut found: BTreeMap<String, BTreeMap<String, f64>> = BTreeMap::new();
    for row in reference("stats_reference.csv").into_iter().filter(|row| row[1].starts_with(test)) {
        if let Ok(value) = row[3].parse() {
            found.entry(row[0].clone()).or_default().insert(row[2].clone(), value);
        }
    }
    found
}

fn series(name: &str) -> Vec<f64> {
    reference("stats_series.csv").iter().filter(|row| row[0] == name).map(|row| row[2].parse().unwrap()).collect()
}

/// statsmodels 0.15 `ttost_ind` and closed forms (`stats_reference.csv`). The table's tests are at 5 % and its intervals 90 %; ours are at
/// 2.5 % and 95 %, so *alike* must be said exactly where both tabled chances are below 2.5 %.
#[test]
fn alike_is_the_two_one_sided_tests() {
    let mut seen = 0;
    for test in ["TOST pooled", "TOST Welch"] {
        for (pair, row) in stated(test) {
            let Some(bound) = pair.split("bounds -").nth(1).and_then(|rest| rest.split("..").next()).and_then(|b| b.parse::<f64>().ok())
            else {
                continue;
            };
            let difference = student(row["difference"], row["standard_error"], row["df"], Unit::Kelvin);
            let both = row["p_lower"].max(row["p_upper"]);
            assert_eq!(decide(&difference, bound) == Decision::Alike, both < 0.025, "{test}, {pair}: {both}");
            // The tabled 90 % interval lies as far out in units of its own quantile.
            let half = wellbled::estimate::student_quantile(0.95, row["df"]) * row["standard_error"];
            assert!((row["difference"] + half - row["ci90_high"]).abs() < 1e-8, "{test}, {pair}");
            seen += 1;
        }
    }
    assert_eq!(seen, 6, "rows with bounds in the table");
    // 4.2 K apart with a standard error of 0.43 K is beyond a margin of 2 K, and no test against 0 is needed to say so.
    assert_eq!(decide(&student(4.2, 0.434_613_493_7, 17.96, Unit::Kelvin), 2.0), Decision::Changed);
}

/// pymannkendall 1.4.3 `original_test`, and EPA QA/G-9S p. 109 as printed: S 22, variance 155.33, Z 1.685.
#[test]
fn mann_kendall_agrees_with_the_tables() {
    let mut seen = 0;
    for (name, row) in stated("Mann-Kendall (pymannkendall") {
        let values = series(&name);
        if values.is_empty() {
            continue; // the Nile's series is not among ours
        }
        let test = Kendall::of(&values);
        assert_eq!(test.s as f64, row["S"], "{name}");
        assert!((test.variance - row["var_S"]).abs() < 1e-6, "{name}");
        assert!((test.z - row["Z"]).abs() < 1e-8, "{name}");
        assert!((test.chance_by_normal() - row["p_two_sided"]).abs() < 1e-8, "{name}");
        seen += 1;
    }
    assert_eq!(seen, 5);
    let epa = Kendall::of(&series("epa_g9s"));
    assert!((epa.variance - 155.33).abs() < 0.005 && (epa.z - 1.685).abs() < 0.0005);
}

/// scipy `theilslopes` (its x is 0, 1, 2 …). Its interval takes the same order statistics by the normal approximation.
#[test]
fn theil_sen_agrees_with_the_tables() {
    for (name, row) in stated("Theil-Sen (scipy theilslopes") {
        let values = series(&name);
        if values.is_empty() {
            continue;
        }
        let days: Vec<f64> = (0..values.len()).map(|i| i as f64).collect();
        let line = robust::theil_sen(&days, &values, |_, _| values.len() as f64).unwrap();
        assert!((line.slope - row["slope"]).abs() < 1e-9, "{name}");
        assert!((line.intercept - row["intercept_scipy_separate"]).abs() < 1e-9, "{name}");
        for (ours, theirs) in line.interval_95.iter().zip(["ci95_low", "ci95_high"]) {
            assert!((ours - row[theirs]).abs() < 1e-9, "{name}, {theirs}: {ours}");
        }
        // A level that falls 0.3 mm a day is a trend with its outlier and without; a flat one is none.
        let points: Vec<Point> = days.iter().zip(&values).map(|(day, value)| Point { day: *day, value: *value }).collect();
        let Trend::Stated(trend) = Trend::of(&points) else { panic!("{name} has enough runs") };
        assert_eq!(trend.moves(), name.starts_with("level_mm") || name.starts_with("level_outlier") || name == "monotone5", "{name}");
    }
}

/// A series of runs a year apart or so, with a slope a year and scatter.
fn years(random: &mut Random, runs: usize, slope: f64, scatter: f64) -> Vec<Point> {
    (0..runs)
        .map(|i| {
            let day = 365.25 * (i as f64 + random.between(-0.2, 0.2));
            Point { day, value: 88.0 + slope * day / 365.25 + scatter * random.normal() }
        })
        .collect()
}

#[test]
fn under_five_runs_nothing_is_stated() {
    let mut random = Random::new(1, 0);
    for runs in 0..5 {
        let trend = Trend::of(&years(&mut random, runs, -2.0, 0.01));
        assert_eq!(trend, Trend::TooFew { have: runs });
        assert!(trend.spoken(" K").contains("too few to say"));
    }
    assert!(matches!(Trend::of(&years(&mut random, 5, -2.0, 0.01)), Trend::Stated(trend) if trend.moves()));
}

/// 400 made series for each length: the slope's interval holds the truth 95 times in 100 or more (so few runs leave only a few levels to choose
/// from), no more than one in twenty without a trend shows one, and the foretold interval holds the true moment.
#[test]
fn slopes_and_forecasts_hold() {
    let mut random = Random::new(7, 0);
    for runs in [5, 6, 8, 12] {
        let (mut held, mut alarms, mut foretold, mut right) = (0, 0, 0, 0);
        for _ in 0..400 {
            let Trend::Stated(trend) = Trend::of(&years(&mut random, runs, -1.0, 0.8)) else { panic!("enough runs") };
            held += usize::from((trend.interval_95[0]..=trend.interval_95[1]).contains(&(-1.0 / 365.25)));
            // The line 88 − t meets this limit two years after the last run.
            let limit = 88.0 - (runs as f64 + 1.0);
            if let Forecast::At { interval: (earliest, latest), .. } = trend.meets(limit) {
                foretold += 1;
                let truly = 365.25 * (runs as f64 + 1.0);
                right += usize::from(earliest <= truly && latest.is_none_or(|latest| truly <= latest));
            }
            let Trend::Stated(flat) = Trend::of(&years(&mut random, runs, 0.0, 0.8)) else { panic!("enough runs") };
            alarms += usize::from(flat.moves());
        }
        println!("{runs} runs: slope held {held}/400, alarms without a trend {alarms}/400, forecasts {foretold}, right {right}");
        // Two standard deviations of 400 draws below 95 % and above 5 %.
        assert!(held >= 371, "{runs} runs: {held}");
        assert!(alarms <= 29, "{runs} runs: {alarms}");
        assert!(right * 100 >= foretold * 92, "{runs} runs: {right} of {foretold}");
    }
}

#[test]
fn a_trend_that_moves_away_from_a_limit_meets_none() {
    let points: Vec<Point> = (0..6).map(|i| Point { day: 365.0 * f64::from(i), value: 88.0 - f64::from(i) }).collect();
    let Trend::Stated(trend) = Trend::of(&points) else { panic!("six runs") };
    assert!(matches!(trend.meets(80.0), Forecast::At { day, .. } if (day - 365.0 * 8.0).abs() < 1e-6));
    assert_eq!(trend.meets(95.0), Forecast::Behind);
    assert_eq!(trend.meets(40.0), Forecast::NotSoon);
    assert_eq!(trend.meets(f64::NAN), Forecast::NoTrend);
}

/// Bounds for a small number of pairs: what the full study shows, less three standard deviations of so few.
#[test]
fn made_pairs_get_honest_intervals_and_few_false_alarms() {
    let cases = study::cases(800_000..800_070, pairs::pair);
    println!("{}", study::table(&cases));
    for measure in Measure::ALL {
        let score = Score::of(&cases, measure);
        let n = score.known as f64;
        if score.known >= 20 {
            let least = 0.95 - 3.0 * (0.95 * 0.05 / n).sqrt() - 0.02;
            assert!(score.coverage() >= least, "{measure:?}: {score:?}");
        }
        let most = 0.03 * score.within as f64;
        assert!(score.false_changed as f64 <= most + 3.0 * most.sqrt().max(0.4), "{measure:?}: {score:?}");
    }
}

#[test]
fn an_unchanged_vehicle_against_itself_is_alike() {
    let made = pairs::drive(&pairs::pair_with(800_004, None).earlier).expect("the log reads");
    let comparison = compare(study::of(&made), study::of(&made));
    assert!(comparison.changed().next().is_none());
    assert!(comparison.unlike.is_empty(), "{:?}", comparison.unlike);
    for change in &comparison.changes {
        assert_eq!(change.difference.map(|difference| difference.value.abs() < 1e-9), Some(true), "{:?}", change.measure);
    }
}

#[test]
fn a_comparison_becomes_a_document() {
    let pair = pairs::pair_with(800_004, Some(Fault::OpensEarly(12.0)));
    let (earlier, later) = (pairs::drive(&pair.earlier).unwrap(), pairs::drive(&pair.later).unwrap());
    let comparison = compare(study::of(&earlier), study::of(&later));
    let json = report::json(&comparison);
    assert_eq!(json["against"], "made.csv");
    let changes = json["changes"].as_array().unwrap();
    assert_eq!(changes.len(), comparison.changes.len());
    for change in changes {
        assert!(["changed", "alike", "inconclusive"].contains(&change["decision"].as_str().unwrap()), "{change}");
        assert!(change["difference"].is_null() || change["difference"]["interval_95"][1].is_number(), "{change}");
    }
    let table = report::table(&comparison);
    for change in &comparison.changes {
        let named = |text: &str| text.to_lowercase().starts_with(change.measure.spoken());
        let said = table.parts.iter().filter(|part| named(&part.title) || part.rows.iter().any(|row| named(&row.label))).count();
        assert_eq!(said, 1, "{} stands in the table once", change.measure.spoken());
    }
    let chart = report::overlay(&comparison, study::of(&earlier), study::of(&later)).expect("both have readings");
    assert_eq!(chart.panels[0].curves.len(), 2);
    assert!(chart.duration_s > 0.0 && chart.description.contains("heat put in"));
    let svg = wellbled::report::chart::svg(&chart, wellbled::report::chart::Theme::Paper, (920, 580)).unwrap();
    assert!(svg.contains("heat put in"));
    for curve in &chart.panels[0].curves {
        assert!(curve.points.windows(2).all(|pair| pair[0].0 < pair[1].0), "heat only ever goes in");
    }
    println!("{}\n{}\n{}", report::headline(&comparison), table.in_brief.join("\n"), chart.description);
}

/// Shifts of 5 K, half of them either way.
fn shifted(seed: u64) -> pairs::Pair {
    pairs::pair_with(seed, Some(if seed.is_multiple_of(2) { Fault::OpensEarly(5.0) } else { Fault::OpensLate(5.0) }))
}

/// How many of the pairs of which both logs truly show the opening are compared, found, sharp, and sharp and found.
fn found(cases: &[Case]) -> [usize; 5] {
    let shown: Vec<&Case> = cases.iter().filter(|case| case.both_open).collect();
    let opening = |case: &&&Case| case.comparison.change(Measure::Opening).is_some_and(|change| change.difference.is_some());
    let change = |case: &Case| case.comparison.change(Measure::Opening).map(|change| (change.difference, change.decision, change.margin));
    let right = |case: &&&Case| {
        matches!(change(case), Some((Some(difference), Decision::Changed, _))
            if difference.value.signum() == case.truth(Measure::Opening).unwrap_or(0.0).signum())
    };
    let sharp = |case: &&&Case| matches!(change(case), Some((Some(difference), _, _)) if difference.standard_uncertainty <= 0.9);
    [
        shown.len(),
        shown.iter().filter(opening).count(),
        shown.iter().filter(right).count(),
        shown.iter().filter(sharp).count(),
        shown.iter().filter(sharp).filter(right).count(),
    ]
}

#[test]
#[ignore = "takes minutes; prints the tables of docs/comparison.md"]
fn the_full_study_of_made_pairs() {
    let cases = study::cases(740_000..740_800, pairs::pair);
    let unchanged = cases.iter().filter(|case| case.change.is_none()).count();
    println!("{} pairs, {unchanged} without a change\n\n{}", cases.len(), study::table(&cases));
    let plain: Vec<f64> =
        cases.iter().filter(|case| case.comparison.change(Measure::Opening).is_some()).filter_map(|case| case.plain_width).collect();
    println!("median width of √(u² + v²) of the two openings as reported: {:.2} K", robust::median(&plain).unwrap());
    for side in [wellbled::vehicle::Side::Outlet, wellbled::vehicle::Side::Inlet] {
        let of_side = cases.iter().filter(|case| case.side == side && case.truth(Measure::Opening).is_some());
        let differences: Vec<(Estimate, f64)> = of_side
            .filter_map(|case| Some((case.comparison.change(Measure::Opening)?.difference?, case.truth(Measure::Opening)?)))
            .collect();
        let held = differences.iter().filter(|(d, truth)| (d.interval_95[0]..=d.interval_95[1]).contains(truth)).count();
        println!("opening, {side:?}: holds {held} of {}", differences.len());
    }
    let by_change = |name: &str, measure: Measure, which: &dyn Fn(Fault) -> bool| {
        let of: Vec<&Case> = cases.iter().filter(|case| case.change.is_some_and(which)).collect();
        let with =
            |decision: Decision| of.iter().filter(|case| case.comparison.change(measure).is_some_and(|c| c.decision == decision)).count();
        let shown = of.iter().filter(|case| case.comparison.change(measure).is_some()).count();
        println!(
            "{name}: {} of {shown} compared are changed, {} alike ({} pairs)",
            with(Decision::Changed),
            with(Decision::Alike),
            of.len()
        );
    };
    by_change("stuck open, by the opening", Measure::Opening, &|fault| matches!(fault, Fault::StuckOpen(_)));
    by_change("weak fan, by the rise at standstill", Measure::RiseStanding, &|fault| matches!(fault, Fault::WeakFan(_)));
    by_change("blocked radiator, by the rise at road speed", Measure::RiseMoving, &|fault| matches!(fault, Fault::BlockedRadiator(_)));
    by_change("sensor offset, by the sensor", Measure::SensorOffset, &|fault| matches!(fault, Fault::SensorOffset(_)));
    by_change("leak, by the level", Measure::LevelLoss, &|fault| matches!(fault, Fault::LeakHot(_)));
    for measure in Measure::ALL {
        let score = Score::of(&cases, measure);
        assert!(score.false_share() <= 0.03, "{measure:?}: {score:?}");
    }
}

#[test]
#[ignore = "takes minutes; prints what docs/comparison.md says of shifts of 5 K"]
fn shifts_of_five_kelvin() {
    let cases = study::cases(750_000..752_400, shifted);
    let [shown, compared, right, sharp, sharp_right] = found(&cases);
    println!("both show it: {shown}; compared {compared}; found {right}; u ≤ 0.9 K: {sharp}, of these found {sharp_right}");
    assert!(sharp >= 10 && sharp_right * 10 >= sharp * 9, "{sharp_right} of {sharp}");
}

#[test]
#[ignore = "takes minutes; prints what docs/comparison.md says of drives before the work"]
fn the_full_study_of_drives_before_the_work() {
    let cases = before_the_work::cases(6_200_000..6_202_400);
    let (alone, paired) = (before_the_work::Score::of(&cases, |case| &case.alone), before_the_work::Score::of(&cases, |case| &case.paired));
    let count = |which: &dyn Fn(&before_the_work::Case) -> bool| cases.iter().filter(|case| which(case)).count();
    println!("{} pairs: {} bled, {} with gas that shows", cases.len(), count(&|case| case.clean), count(&|case| case.trapped));
    println!("alone  {alone:?}\npaired {paired:?}");
    let apart = 100.0 * (paired.alarms_at_four_fifths - alone.alarms_at_four_fifths);
    println!("alarms at the odds that four in five reach: {apart:+.1} points");
    assert!(paired.loss < alone.loss && paired.missed_at_one_in_twenty < alone.missed_at_one_in_twenty && paired.missed <= alone.missed);
    assert!(paired.not_passed <= alone.not_passed && paired.sent_back <= 0.01);
}

/// The pairs of this are used for nothing else.
#[test]
#[ignore = "takes minutes and rewrites src/comparison/baseline/weights.rs"]
fn set_the_weights_of_pairs() {
    let [after, before] = before_the_work::weights(&before_the_work::cases(5_000_000..5_003_500));
    let listed = |numbers: &[f64]| numbers.iter().map(|number| format!("    {number:.4},\n")).collect::<String>();
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src/comparison/baseline/weights.rs");
    let old = fs::read_to_string(&path).expect("the weights are there");
    let mut parts: Vec<String> = old.split_inclusive("Numbers = [\n").map(str::to_owned).collect();
    assert_eq!(parts.len(), 3, "two lists of weights");
    for (part, numbers) in parts[1..].iter_mut().zip([after, before]) {
        let rest = part.find("];").map_or(String::new(), |end| part[end..].to_owned());
        *part = listed(&numbers) + &rest;
    }
    fs::write(path, parts.concat()).expect("the sources can be written");
}

#[test]
fn a_drive_before_the_work_moves_the_answer_a_little() {
    for case in before_the_work::cases(6_100_000..6_100_012) {
        let moved = (case.paired.likelihood_ratio / case.alone.likelihood_ratio).ln();
        assert!(moved.is_finite() && moved.abs() < 4.0, "{moved}");
        assert_eq!(case.paired.prior, case.alone.prior);
    }
}

/// Ten real warm-ups of one healthy car, where `WELLBLED_REAL_LOGS` points: no pair may report a changed thermostat.
#[test]
fn no_pair_of_one_healthy_car_reports_a_changed_thermostat() {
    let Some(folder) = std::env::var_os("WELLBLED_REAL_LOGS").filter(|folder| !folder.is_empty()).map(PathBuf::from) else {
        println!("not run: WELLBLED_REAL_LOGS names no folder of labelled real logs");
        return;
    };
    let mut files: Vec<PathBuf> = fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|ending| ending == "csv") && path.file_stem().is_some_and(|stem| stem != "labels"));
    files.sort();
    let runs: Vec<_> = files
        .iter()
        .map(|path| {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            let run = ingest::read(&fs::read(path).unwrap(), &name, &Options::default()).unwrap().run;
            let analysis = Analysis::of(&run);
            (run, analysis)
        })
        .collect();
    let drive = |i: usize| Drive { name: &runs[i].0.source, run: &runs[i].0, analysis: &runs[i].1 };
    let (mut compared, mut decided) = (0, BTreeMap::new());
    for earlier in 0..runs.len() {
        for later in (0..runs.len()).filter(|later| *later != earlier) {
            let comparison = compare(drive(earlier), drive(later));
            for change in &comparison.changes {
                *decided.entry((change.measure.id(), format!("{:?}", change.decision))).or_insert(0) += 1;
            }
            let Some(opening) = comparison.change(Measure::Opening) else { continue };
            compared += 1;
            let names = (&runs[earlier].0.source, &runs[later].0.source);
            assert_ne!(opening.decision, Decision::Changed, "{names:?}: {:?}", opening.difference);
            println!("{names:?} {}", opening.difference.map_or_else(String::new, |difference| difference.spoken()));
        }
    }
    println!("{compared} ordered pairs compared; {decided:#?}");
    assert!(compared > 0);
}
