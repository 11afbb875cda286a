//! Level notes: the table, single readings, and what the accounts make of them.

use super::bounds;
use super::engine::{Seen, Target};
use wellbled::check::{Beside, Checked};
use wellbled::ingest::levels;
use wellbled::run::{LevelReading, Occasion, ReadingUnit, Run};
use wellbled::vehicle::Vehicle;

pub const TARGET: Target = Target {
    name: "notes",
    most: 1500,
    words: &[
        "time",
        "occasion",
        "reading",
        "unit",
        "ambient",
        "cap",
        "method",
        "note",
        "cold before",
        "hot after drive",
        "cold after",
        "topped up",
        "drained",
        "filled",
        "pressure test start",
        "pressure test end",
        "42 mm",
        "620 mL",
        "80 %",
        "0.5 marks",
        "110 kPa",
        "16 psi",
        "1.5 in",
        "12 degC",
        "opened",
        "closed",
        "gravity",
        "maker's",
        "2026-03-02T07:38",
        "07:41",
        "7:41 PM",
        "+01:00",
        "sep=;",
        "#",
        "\"",
        "−0,2 marks",
    ],
    run,
};

/// A reservoir whose scale is known, so that every unit can be reckoned with.
const VEHICLE: &str = "capacity = \"7 L\"\n[reservoir]\nkind = \"expansion tank\"\ntotal = \"1.5 L\"\nmin_mark = \"400 mL\"\nmax_mark = \"800 mL\"\n\
per_mm = \"12 mL\"\n[coolant]\nbase = \"ethylene glycol\"\nvolume_percent = 50\n";

fn run(input: &[u8]) -> Seen {
    for line in String::from_utf8_lossy(input).lines() {
        for occasion in [Occasion::ColdBefore, Occasion::ToppedUp] {
            match levels::quick(occasion, line) {
                Ok(level) => within(&level),
                Err(error) => bounds::says(&error.to_string(), &error.hint()),
            }
        }
    }
    match levels::read(input) {
        Err(error) => {
            bounds::says(&error.to_string(), &error.hint());
            vec![bounds::kind(&error.to_string())]
        }
        Ok(notes) => {
            assert!(notes.len() <= input.len());
            notes.iter().for_each(within);
            // A tab within a note is written as a space.
            let written: Vec<LevelReading> = notes
                .iter()
                .map(|level| LevelReading { note: level.note.replace(char::is_control, " ").trim().to_owned(), ..level.clone() })
                .collect();
            assert_eq!(levels::read(levels::write(&notes).as_bytes()), Ok(written), "written and read back");
            let mut seen: Seen = notes.iter().map(|level| format!("{:?} {:?}", level.occasion, level.unit)).collect();
            let run = Run {
                source: "level notes".to_owned(),
                vehicle: Vehicle::from_toml(VEHICLE).expect("it is in order"),
                levels: notes,
                ..Run::default()
            };
            let checked = Checked::of(&run, &Beside::default());
            bounds::quantities(&checked.document.findings, "");
            seen.extend(checked.document.reasons.iter().map(|reason| format!("{} {}", reason.finding, reason.decision.spoken())));
            seen.sort();
            seen.dedup();
            seen
        }
    }
}

/// A reading that was taken is one that a reservoir, a jug or a gauge can show.
fn within(level: &LevelReading) {
    let (low, high) = match level.unit {
        ReadingUnit::Millimetre => (-1000.0, 1000.0),
        ReadingUnit::Millilitre => (0.0, 200_000.0),
        ReadingUnit::Percent => (0.0, 100.0),
        ReadingUnit::Marks => (-10.0, 10.0),
        ReadingUnit::Kilopascal => (-102.0, 1000.0),
    };
    assert!((low..=high).contains(&level.reading), "{level:?}");
    assert!(level.ambient.is_none_or(|celsius| (-60.0..=60.0).contains(&celsius)), "{level:?}");
}
