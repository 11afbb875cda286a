//! Headings: the first line names columns, the second may hold units; a body of readings is made to fit them.

use super::bounds;
use super::engine::{Seen, Target};
use wellbled::channel::Channel;
use wellbled::ingest::{self, Options, columns, units, words};

pub const TARGET: Target = Target {
    name: "columns",
    most: 1500,
    words: &[
        "Engine coolant temperature (°C)",
        "ECT [degF]",
        "coolant temp",
        "Kühlmitteltemperatur",
        "oil temperature",
        "time (s)",
        "Time",
        "RPM",
        "VSS (mph)",
        "PID 05",
        "0105",
        "05h",
        "MAP (kPa)",
        "signal",
        "value",
        "unit",
        "CAN ID",
        "data",
        "temp 1",
        "coolant temperature 2",
        "temperature target",
        "(V)",
        "[]",
        "({<",
        ")>}",
        "inHg",
        "run time",
        "Bank 2",
        "ECT,ECT",
        "°",
        "°C",
        "deg F",
        "1/min",
    ],
    run,
};

fn run(input: &[u8]) -> Seen {
    let text = String::from_utf8_lossy(input);
    let mut lines = text.lines();
    let (names, below) = (lines.next().unwrap_or_default(), lines.next().unwrap_or_default());
    let below: Vec<&str> = below.split(',').collect();
    let mut seen = Vec::new();
    for (index, name) in names.split(',').enumerate() {
        let heading = columns::heading(name, below.get(index).copied().unwrap_or_default());
        let reading = words::read(&heading.bare);
        assert!(reading.number.is_none_or(|number| number < 10), "{name}");
        assert!(heading.bare.len() <= name.len() + 2 && !(heading.unit.is_some() && heading.foreign.is_some()), "{heading:?}");
        if let Some(fit) = columns::fit(&heading) {
            assert!(
                fit.score <= 100 && heading.unit.as_ref().is_none_or(|(unit, _)| units::fits(unit, fit.channel)),
                "{fit:?} of {heading:?}"
            );
            seen.push(format!("{} {}", fit.channel.name(), fit.score / 10));
        }
        seen.extend(heading.unit.map(|(unit, _)| unit.label.to_owned()));
    }
    seen.extend(whole(names, lines.next()));
    seen
}

/// A whole log under these names; the third line of the input, if it has one, is a column that the person names.
fn whole(names: &str, named: Option<&str>) -> Seen {
    let width = names.split(',').count();
    let row = |row: usize| (0..width).map(|column| (row * (10 - column.min(9)) / 10 + column).to_string()).collect::<Vec<_>>().join(",");
    let log = format!("{names}\n{}\n", (0..90).map(row).collect::<Vec<_>>().join("\n"));
    let mut seen = Vec::new();
    let told = named.map(|name| vec![(Channel::CoolantTemperature, name.to_owned())]).unwrap_or_default();
    for options in [Options::default(), Options { columns: told, period: Some(1.0), ..Options::default() }] {
        match ingest::read(log.as_bytes(), "log.csv", &options) {
            Ok(got) => {
                bounds::read(&got, log.len());
                seen.push(format!(
                    "{:?} {:?}",
                    got.understanding.layout,
                    got.run.traces.keys().map(|channel| channel.name()).collect::<Vec<_>>()
                ));
            }
            Err(error) => {
                bounds::says(&error.to_string(), &error.hint());
                seen.push(bounds::kind(&error.to_string()));
            }
        }
        if let Ok(looked) = ingest::understand(log.as_bytes(), "log.csv", &options) {
            assert!(looked.columns.len() <= log.len());
        }
    }
    seen
}
