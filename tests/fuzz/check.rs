//! The whole check from bytes, as any way in hands them over: log, notes and vehicle file to every form of the report.
//!
//! Lines of dashes part the three; the first byte of a log chooses how it is to be read.

use super::bounds;
use super::engine::{Seen, Target};
use std::collections::BTreeSet;
use wellbled::channel::Channel;
use wellbled::check::{Beside, Checked, Earlier};
use wellbled::ingest::{self, Options, levels};
use wellbled::report::summary::Facts;
use wellbled::report::{chart, csv, customary, html, json, summary, text};
use wellbled::run::Run;
use wellbled::table;
use wellbled::vehicle::Vehicle;

pub const TARGET: Target = Target {
    name: "check",
    most: 24_000,
    words: &[
        "time (s)",
        "coolant temperature (°C)",
        "engine speed (rpm)",
        "vehicle speed (km/h)",
        "ambient air temperature",
        "fuel rate (L/h)",
        "MAP (kPa)",
        "heater outlet temperature",
        "reservoir level (mm)",
        "system pressure",
        "air flow (g/s)",
        "run time",
        "-----",
        "cold before,42 mm",
        "hot after drive,51 mm",
        "cold after,39 mm",
        "07:41:10",
        "2026-03-02 07:41:10",
        "[thermostat]\nrating = \"87 degC\"",
        "None",
        "-40",
        "215",
    ],
    run,
};

/// How a log is read, by a number from the input.
fn options(number: u8) -> Options {
    let named = |name: &str| vec![(Channel::CoolantTemperature, name.to_owned())];
    match number {
        0 => Options { period: Some(0.5), ..Options::default() },
        1 => Options { columns: named("#2"), ..Options::default() },
        2 => Options { time_column: Some("#1".to_owned()), ..Options::default() },
        3 => Options { day_first: Some(true), ..Options::default() },
        4 => Options { columns: named("#1"), period: Some(1.0), ..Options::default() },
        _ => Options::default(),
    }
}

fn run(input: &[u8]) -> Seen {
    let mut parts = input.splitn(2, |&byte| byte == 0x01);
    let (log, beside) = (parts.next().unwrap_or_default(), parts.next().unwrap_or_default());
    let mut parts = beside.splitn(2, |&byte| byte == 0x01);
    let (notes, vehicle) = (parts.next().unwrap_or_default(), parts.next().unwrap_or_default());
    // Most inputs are read as they stand; every tenth is read as somebody says. So with the forms that cost most.
    let sum = log.iter().fold(7, |sum: u8, byte| sum.wrapping_mul(31).wrapping_add(*byte));
    let options = options(sum % 50);
    let got = match ingest::read(log, "log.csv", &options) {
        Ok(got) => got,
        Err(error) => {
            bounds::says(&error.to_string(), &error.hint());
            if let Ok(seen) = ingest::understand(log, "log.csv", &options) {
                assert!(seen.problem.is_some());
            }
            return vec![bounds::kind(&error.to_string())];
        }
    };
    if !got.understanding.compressed {
        bounds::read(&got, 3 * log.len());
    }
    let mut run = got.run;
    run.levels = levels::read(notes).unwrap_or_default();
    run.vehicle = Vehicle::from_toml(&String::from_utf8_lossy(vehicle)).unwrap_or_default();
    let mut seen = vec![format!("{:?} {}", got.understanding.layout, got.understanding.delimiter)];
    let kinds: BTreeSet<String> = run.defects.iter().map(|defect| format!("{:?}", defect.kind)).collect();
    seen.extend(kinds);
    seen.extend(checked(&run, log.len() + beside.len(), sum));
    seen
}

/// The report in its forms; of one input in four the drive is held against itself, and drawn.
fn checked(run: &Run, bytes: usize, sum: u8) -> Seen {
    let all = sum.is_multiple_of(4);
    let earlier = all.then(|| Earlier::of("the same".to_owned(), run.clone()));
    let checked = Checked::of(run, &Beside { before_work: earlier.as_ref(), against: earlier.as_ref(), ..Beside::default() });
    let document = &checked.document;
    bounds::quantities(&document.findings, "");
    document.comparison.iter().for_each(|comparison| bounds::quantities(comparison, "comparison"));
    let facts = Facts::of(run);
    let us = customary::document(document);
    let page =
        |document, facts| html::render(document).and_then(|page| Ok(page + &summary::render(document, facts)?)).expect("it can be drawn");
    let mut forms = vec![
        text::render(document, text::Style { color: false, width: 40 }),
        text::render(&us, text::Style { color: true, width: 80 }),
        json::render(document).expect("a report is JSON"),
        csv::render(document).expect("a report is CSV"),
    ];
    if all {
        forms.extend([page(document, &facts), page(&us, &customary::facts(&facts))]);
        // The picture is drawn from what the page's plot is drawn from; small, it costs little.
        chart::png(&document.chart, (320, 240)).expect("it can be drawn");
    }
    for form in &forms {
        if let Some(at) = ["NaN", " inf ", "-inf", "\u{1b}[31m\u{7}"].into_iter().find_map(|odd| form.find(odd)) {
            let around: String = form.chars().skip(form[..at].chars().count().saturating_sub(60)).take(120).collect();
            panic!("no number for people in a report: {around}");
        }
        assert!(form.len() <= 400_000 + 60 * bytes, "{} bytes of report from {bytes}", form.len());
    }
    let frame = table::aligned(run).expect("it is a table");
    assert!(frame.height() <= bytes + 1);
    document.reasons.iter().map(|reason| format!("{} {}", reason.finding, reason.decision.spoken())).collect()
}
