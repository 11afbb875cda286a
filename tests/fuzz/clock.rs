//! Clocks: one cell a line, taken as times and as numbers, alone and with a date.

use super::bounds;
use super::engine::{Seen, Target};
use wellbled::ingest::cell::Decimals;
use wellbled::ingest::clock::{self, Cells, Source, stamp, steps};
use wellbled::ingest::columns;

pub const TARGET: Target = Target {
    name: "clock",
    most: 2048,
    words: &[
        "2026-03-02T07:41:10.250+01:00",
        "20260302T074110Z",
        "02/03/2026 07:41",
        "13/03/2026",
        "03.02.2026",
        "Mar 2, 2026 7:41:10 PM",
        "2 Mar 2026",
        "7:41 PM",
        "12:00 AM",
        "25:00:01",
        "07:41:10:250",
        "999999999:59:60",
        "-0530",
        "+14:59",
        "Z",
        "UTC",
        "9999-12-31T23:59:60",
        "0000-00-00 00:00:00",
        "1772437270",
        "1772437270123456",
        "46083.5",
        "1e300",
        "-1e300",
        "29/02/2025 1:1",
        "31.12.99 23:59",
        "time (min)",
        "Timestamp (ms)",
        "Time (h)",
    ],
    run,
};

fn run(input: &[u8]) -> Seen {
    let text = String::from_utf8_lossy(input);
    let mut lines = text.lines();
    let heading = columns::heading(lines.next().unwrap_or_default(), "");
    let rows: Vec<Vec<&str>> = lines.map(|line| line.splitn(2, ',').collect()).collect();
    let mut seen = Vec::new();
    for source in [Source::Numbers(0), Source::Stamps(0, None), Source::Stamps(1, Some(0)), Source::Period(0.5)] {
        for decimals in [Decimals { comma: false, point: true }, Decimals { comma: true, point: false }] {
            let mut cells = Cells::for_source(source);
            let timed = rows.iter().filter(|cells_of| cells.push(source, cells_of, decimals)).count();
            for day_first in [None, Some(true), Some(false)] {
                match clock::interpret(&cells, source, Some(&heading), day_first) {
                    Ok(meaning) => seen.push(elapsed(&meaning, rows.len(), timed)),
                    Err(ambiguous) => {
                        assert!(day_first.is_none() && ambiguous.row < rows.len());
                        seen.push("ambiguous".to_owned());
                    }
                }
            }
        }
    }
    for stamp in rows.iter().flatten().filter_map(|cell| stamp::parse(cell)) {
        assert!(stamp.seconds.is_none_or(|seconds| (-86_400.0..=4e12).contains(&seconds)), "{stamp:?}");
        assert!(stamp.zone.is_none_or(|zone| zone.abs() <= 54_000), "{stamp:?}");
        seen.push(format!("{:?} {} {}", stamp.date.map(|date| matches!(date, stamp::Date::Known(..))), stamp.zone.is_some(), stamp.short));
    }
    seen.sort();
    seen.dedup();
    seen
}

fn elapsed(meaning: &clock::Meaning, rows: usize, timed: usize) -> String {
    assert_eq!(meaning.seconds.len(), rows);
    let elapsed = steps::elapse(&meaning.seconds, steps::Nature { of_day: meaning.of_day }, |_, _| true);
    assert_eq!(elapsed.seconds.len(), rows);
    let finite: Vec<f64> = elapsed.seconds.iter().copied().filter(|second| second.is_finite()).collect();
    assert!(finite.len() <= timed, "{} of {timed} rows have a time", finite.len());
    assert!(elapsed.spacing.is_finite() && elapsed.spacing >= 0.0, "rows {} s apart", elapsed.spacing);
    assert!(elapsed.steps.iter().all(|step| step.row < rows));
    assert!(elapsed.shared <= rows && elapsed.lead.is_finite());
    let kinds: std::collections::BTreeSet<String> = elapsed.steps.iter().map(|step| format!("{:?}", step.kind)).collect();
    let words = bounds::kind(&meaning.description);
    format!("{words} {} {} {} {kinds:?}", meaning.started.is_some(), meaning.inferred.is_some(), elapsed.coarse)
}
