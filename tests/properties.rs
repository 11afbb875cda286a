//! What must hold of every log, not of some: written in any dialect a run reads back the same; units come back; how a drive is written
//! changes no finding; a log that ends before the opening shows none.
//!
//! The seed is fixed, so that each run of the tests asks the same; `PROPTEST_RNG_SEED` asks others.

#[path = "support/encodings.rs"]
mod encodings;
#[path = "support/written.rs"]
mod written;

use encodings::ENCODINGS;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use serde_json::Value;
use std::thread;
use wellbled::analysis::Analysis;
use wellbled::analysis::ambient::Ambient;
use wellbled::analysis::heat_input::HeatInput;
use wellbled::analysis::opening::{Opening, State};
use wellbled::analysis::phases::Phases;
use wellbled::channel::Channel;
use wellbled::check::{Beside, Checked};
use wellbled::ingest::{self, Layout, Options, levels, units};
use wellbled::rehearsal::truth::Opening as Truly;
use wellbled::rehearsal::{self, Rehearsal, Scenario, logger, random_scenario};
use wellbled::run::Run;
use wellbled::units::parse;
use wellbled::vehicle::Vehicle;
use written::{CLOCKS, Clock, Dialect, Made, Units};

/// The value of a channel at a row, by a number that chance gives.
type Written = fn(u32, usize) -> f64;

fn config(cases: u32) -> ProptestConfig {
    let asked = ProptestConfig::default().rng_seed;
    let rng_seed = if asked == RngSeed::Random { RngSeed::Fixed(14) } else { asked };
    ProptestConfig { cases, rng_seed, failure_persistence: None, ..ProptestConfig::default() }
}

/// A warm-up in whole degrees with what stands beside it, and some rows without a reading of the coolant.
fn made() -> impl Strategy<Value = Made> {
    let codes = prop_oneof![Just("-40"), Just("215"), Just("n/a"), Just("None"), Just("")];
    let beside = prop::collection::vec(any::<bool>(), 6);
    (90..220_usize, 3..9_u32, 12..30_i32, beside, prop::collection::vec((10..80_usize, codes), 0..3), any::<u32>()).prop_map(
        |(rows, quarters, cold, beside, mut missing, salt)| {
            let chance = |row: usize, stream: u32| (row as u32 ^ salt ^ (stream << 20)).wrapping_mul(2_654_435_761) >> 8;
            let all: [(Channel, Written); 6] = [
                (Channel::EngineSpeed, |chance, _| 700.0 + f64::from(chance % 9000) * 0.25),
                (Channel::VehicleSpeed, |chance, row| f64::from(row as u32 / 7 % 90 + chance % 3)),
                (Channel::IntakeAirTemperature, |chance, row| f64::from(8 + row as u32 / 40 + chance % 2)),
                (Channel::ManifoldPressure, |chance, _| f64::from(30 + chance % 70)),
                (Channel::FuelRate, |chance, _| f64::from(10 + chance % 700) * 0.05),
                (Channel::ModuleVoltage, |chance, _| f64::from(1380 + chance % 60) * 0.01),
            ];
            let coolant = (0..rows).map(|row| f64::from(cold + (row * 70 / rows) as i32)).collect();
            let mut channels = vec![(Channel::CoolantTemperature, coolant)];
            for (index, (channel, reading)) in all.into_iter().enumerate().filter(|(index, _)| beside[*index]) {
                channels.push((channel, (0..rows).map(|row| reading(chance(row, index as u32), row)).collect()));
            }
            missing.sort_unstable();
            missing.dedup_by_key(|(row, _)| *row);
            Made { period: f64::from(quarters) * 0.25, channels, missing }
        },
    )
}

fn dialect() -> impl Strategy<Value = Dialect> {
    let units = prop_oneof![Just(Units::Heading), Just(Units::Row), Just(Units::AfterValue)];
    let table = (prop::sample::select(vec![',', ';', '\t', '|']), any::<bool>(), any::<bool>(), units, any::<bool>(), any::<bool>());
    let clock = (prop::sample::select(CLOCKS.to_vec()), 0.0..80_000.0_f64);
    let file = (
        prop::sample::select(ENCODINGS.to_vec()),
        prop::bool::weighted(0.2),
        prop::sample::select(vec!["\n", "\r\n", "\r"]),
        any::<bool>(),
        prop::bool::weighted(0.2),
    );
    (table, clock, file).prop_map(|(table, (clock, start), (encoding, packed, line_end, preamble, trailing))| {
        let (delimiter, decimal_comma, quotes, units, customary, long) = table;
        // Without a clock a long table has no rows of one moment.
        let long = long && clock != Clock::None;
        let start = (start * 4.0).floor() / 4.0;
        Dialect { delimiter, decimal_comma, quotes, units, customary, clock, start, long, encoding, packed, line_end, preamble, trailing }
    })
}

proptest! {
    #![proptest_config(config(600))]

    #[test]
    fn a_run_written_in_any_dialect_reads_back_the_same(made in made(), dialect in dialect()) {
        // A column alone is no table: nothing parts it from a list.
        prop_assume!(dialect.clock != Clock::None || made.channels.len() > 1);
        let bytes = dialect.write(&made);
        let period = (dialect.clock == Clock::None).then_some(made.period);
        let got = match ingest::read(&bytes, "made.csv", &Options { period, ..Options::default() }) {
            Ok(got) => got,
            Err(error) => return Err(TestCaseError::fail(format!("{error}\n{}", String::from_utf8_lossy(&bytes).lines().take(5).collect::<Vec<_>>().join("\n")))),
        };
        prop_assert_eq!(&got.understanding.encoding, dialect.encoding);
        prop_assert_eq!(got.understanding.compressed, dialect.packed);
        prop_assert_eq!(got.understanding.layout == Layout::Long, dialect.long);
        let channels: Vec<Channel> = made.channels.iter().map(|(channel, _)| *channel).collect();
        let mut sorted = channels.clone();
        sorted.sort();
        prop_assert_eq!(got.run.channels(), sorted);
        for (index, (channel, readings)) in made.channels.iter().enumerate() {
            let expected: Vec<(f64, f64)> = readings
                .iter()
                .enumerate()
                .filter(|(row, _)| index > 0 || !made.missing.iter().any(|(at, _)| at == row))
                .map(|(row, reading)| (row as f64 * made.period, *reading))
                .collect();
            let trace = &got.run.traces[channel];
            prop_assert_eq!(trace.len(), expected.len(), "{} readings", channel.spoken());
            // Four decimals of a psi are 7e-4 kPa; a microsecond of a minute's last decimal is 6e-5 s.
            for ((time, value), (then, reading)) in trace.iter().zip(expected) {
                prop_assert!((time - then).abs() < 1e-3 && (value - reading).abs() < 1e-3, "{} {value} at {time}, not {reading} at {then}", channel.spoken());
            }
        }
        let dated = !matches!(dialect.clock, Clock::Seconds | Clock::Milliseconds | Clock::Minutes | Clock::OfDay | Clock::None);
        prop_assert_eq!(got.run.started.map(|at| at.date().to_string()), dated.then(|| "2026-03-13".to_owned()));
    }
}

/// Own units in one of each that a log may state, and own unit at its zero: NIST SP 811 (2008), appendix B.8, and exact metric ones.
const LOG_UNITS: [(&str, f64, f64); 35] = [
    ("°C", 1.0, 0.0),
    ("°F", 5.0 / 9.0, -160.0 / 9.0),
    ("K", 1.0, -273.15),
    ("km/h", 1.0, 0.0),
    ("mph", 1.609_344, 0.0),
    ("m/s", 3.6, 0.0),
    ("rpm", 1.0, 0.0),
    ("1/s", 60.0, 0.0),
    ("%", 1.0, 0.0),
    ("share of 1", 100.0, 0.0),
    ("kPa", 1.0, 0.0),
    ("hPa", 0.1, 0.0),
    ("bar", 100.0, 0.0),
    ("psi", 6.894_757, 0.0),
    ("inHg", 3.386_39, 0.0),
    ("Pa", 0.001, 0.0),
    ("MPa", 1000.0, 0.0),
    ("mmHg", 0.133_322_4, 0.0),
    ("g/s", 1.0, 0.0),
    ("kg/h", 1.0 / 3.6, 0.0),
    ("lb/min", 453.592_37 / 60.0, 0.0),
    ("L/h", 1.0, 0.0),
    ("gal/h (US)", 3.785_412, 0.0),
    ("gal/h (imperial)", 4.546_09, 0.0),
    ("mL/min", 0.06, 0.0),
    ("V", 1.0, 0.0),
    ("mV", 0.001, 0.0),
    ("s", 1.0, 0.0),
    ("ms", 1e-3, 0.0),
    ("µs", 1e-6, 0.0),
    ("ns", 1e-9, 0.0),
    ("min", 60.0, 0.0),
    ("h", 3600.0, 0.0),
    ("mm", 1.0, 0.0),
    ("cm", 10.0, 0.0),
];

#[test]
fn every_unit_of_a_log_is_held_against_its_table() {
    let beyond = ["in", "mL", "L"].map(|label| {
        (
            label,
            if label == "in" {
                25.4
            } else if label == "L" {
                1000.0
            } else {
                1.0
            },
            0.0,
        )
    });
    for unit in units::all() {
        let (_, factor, offset) = LOG_UNITS
            .into_iter()
            .chain(beyond)
            .find(|(label, ..)| *label == unit.label)
            .unwrap_or_else(|| panic!("{} is not in the table", unit.label));
        for own in [-40.0, 0.0, 1.0, 87.3, 12_000.0] {
            // Seven digits of the published factors.
            let back = unit.convert((own - offset) / factor);
            assert!((back - own).abs() <= 2e-7 * own.abs() + 1e-9, "{}: {own} comes back as {back}", unit.label);
        }
        // "share of 1" and "gal/h (US)" are said in words; logs write "ratio" and "gph".
        let read = units::lookup(unit.label).map(|found| found.label);
        assert!(unit.label.contains(' ') || read == Some(unit.label), "{} is read as {read:?}", unit.label);
    }
}

proptest! {
    #![proptest_config(config(300))]

    #[test]
    fn a_quantity_with_its_unit_comes_back(value in -500.0..5000.0_f64, decimals in 0..5_usize) {
        let text = format!("{value:.decimals$}");
        let written: f64 = text.parse().expect("it is a number");
        // 1.500 may be fifteen hundred where a comma would be asked about; a point is always decimal.
        for (unit, millilitres) in [("mL", 1.0), ("cl", 10.0), ("dl", 100.0), ("L", 1000.0), ("fl oz", 29.573_529_562_5), ("qt", 946.352_946), ("gal", 3_785.411_784)] {
            let back = parse::volume(&format!("{text} {unit}")).map(|volume| volume.millilitres() / millilitres);
            prop_assert!(back.as_ref().is_ok_and(|back| (back - written).abs() <= 1e-9 * (1.0 + written.abs())), "{text} {unit}: {back:?}");
        }
        for (unit, millimetres) in [("mm", 1.0), ("cm", 10.0), ("in", 25.4)] {
            let back = parse::length_millimetres(&format!("{text}{unit}")).map(|length| length / millimetres);
            prop_assert!(back.as_ref().is_ok_and(|back| (back - written).abs() <= 1e-9 * (1.0 + written.abs())), "{text} {unit}: {back:?}");
        }
        for (unit, kilopascals) in [("kPa", 1.0), ("bar", 100.0), ("mbar", 0.1), ("psi", 6.894_757)] {
            let back = parse::pressure(&format!("{text} {unit}")).map(|pressure| pressure.kilopascals() / kilopascals);
            prop_assert!(back.as_ref().is_ok_and(|back| (back - written).abs() <= 1e-9 * (1.0 + written.abs())), "{text} {unit}: {back:?}");
        }
        for (unit, factor, zero) in [("degC", 1.0, 0.0), ("degF", 1.8, 32.0), ("K", 1.0, 273.15)] {
            let back = parse::temperature(&format!("{text} {unit}")).map(|temperature| temperature.celsius() * factor + zero);
            prop_assert!(back.as_ref().is_ok_and(|back| (back - written).abs() <= 1e-9 * (1.0 + written.abs())), "{text} {unit}: {back:?}");
        }
        let km = parse::distance_kilometres(&format!("{text} mi")).map(|km| km / 1.609_344);
        prop_assert!(km.as_ref().is_ok_and(|back| (back - written).abs() <= 1e-9 * (1.0 + written.abs())), "{text} mi: {km:?}");
        let kelvin = parse::temperature_difference(&format!("{text} degF")).map(|difference| difference.kelvin() * 1.8);
        prop_assert!(kelvin.as_ref().is_ok_and(|back| (back - written).abs() <= 1e-9 * (1.0 + written.abs())), "{text} degF: {kelvin:?}");
    }
}

/// Verdict, reasons and findings of a made run's log.
fn answer(made: &Rehearsal, log: &[u8]) -> Value {
    let options = Options { day_first: Some(true), ..Options::default() };
    let mut run = ingest::read(log, "log.csv", &options).unwrap_or_else(|error| panic!("{error}")).run;
    run.vehicle = Vehicle::from_toml(&made.vehicle_toml).expect("a made vehicle reads");
    run.levels = made.levels.clone();
    let document = Checked::of(&run, &Beside::default()).document;
    serde_json::json!({
        "verdict": document.verdict,
        "reasons": serde_json::to_value(&document.reasons).expect("reasons are JSON"),
        "findings": document.findings,
    })
}

/// Where two answers differ, with both values. A clock that begins elsewhere is rounded elsewhere in
/// its last bits, and an interval is searched for to so many digits: a hundredth is no difference, and no printed word may change.
fn apart(found: &Value, expected: &Value, place: &str) -> Vec<String> {
    match (found, expected) {
        (Value::Object(a), Value::Object(b)) if a.keys().eq(b.keys()) => {
            a.iter().zip(b.values()).flat_map(|((name, a), b)| apart(a, b, &format!("{place}/{name}"))).collect()
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            a.iter().zip(b).enumerate().flat_map(|(index, (a, b))| apart(a, b, &format!("{place}/{index}"))).collect()
        }
        (Value::Number(a), Value::Number(b))
            if a.as_f64().zip(b.as_f64()).is_some_and(|(a, b)| (a - b).abs() <= 0.01 * (1e-3 + a.abs().max(b.abs()))) =>
        {
            Vec::new()
        }
        _ if found == expected => Vec::new(),
        _ => vec![format!("{place}: {found}, not {expected}")],
    }
}

/// A made run whose log is a plain table; the recorder is the scenario's own but for its spelling.
fn told(seed: u64, spelling: impl Fn(&mut logger::Dialect)) -> Rehearsal {
    let mut scenario: Scenario = random_scenario(seed);
    scenario.logger.dialect = logger::Dialect::default();
    spelling(&mut scenario.logger.dialect);
    rehearsal::rehearse(&scenario)
}

/// The cells of a plain table, heading first.
fn cells(log: &[u8]) -> Vec<Vec<String>> {
    String::from_utf8_lossy(log).lines().map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

fn log_of(table: &[Vec<String>]) -> Vec<u8> {
    table.iter().map(|cells| cells.join(",") + "\n").collect::<String>().into_bytes()
}

proptest! {
    #![proptest_config(config(16))]

    /// `tests/invariance.rs` holds it on sample logs; here on drives that nobody chose, everything at once.
    #[test]
    fn how_a_drive_is_written_changes_no_finding(
        seed in 30_000..40_000_u64,
        later in 0..2_000_000_u32,
        turn in 0..40_usize,
        delimiter in prop::sample::select(vec![';', '\t', ',']),
        decimal_comma: bool,
        crlf: bool,
        mark: bool,
        // Of the short names some say too little (`FUEL [L/h]`, `VPWR [V]`): their columns are passed over.
        headings in prop::sample::select(vec![logger::Headings::Full, logger::Headings::UnitRow]),
        clock in prop::sample::select(vec![logger::Clock::Elapsed, logger::Clock::Milliseconds]),
    ) {
        let plain = told(seed, |_| {});
        let expected = answer(&plain, &plain.log);
        // Columns in another order, the clock begins elsewhere, a column more that says nothing of cooling.
        let mut table = cells(&plain.log);
        for (index, row) in table.iter_mut().enumerate() {
            if let Ok(time) = row[0].parse::<f64>() {
                row[0] = format!("{:.3}", time + f64::from(later) / 4.0);
            }
            let turn = turn % row.len();
            row.rotate_left(turn);
            row.insert(turn / 2, if index == 0 { "Satellites in view".to_owned() } else { (5 + index % 7).to_string() });
        }
        let none = Vec::<String>::new();
        prop_assert_eq!(apart(&answer(&plain, &log_of(&table)), &expected, ""), none.clone(), "seed {}", seed);
        // Another spelling of the same drive by the same recorder.
        let other = told(seed, |dialect| {
            *dialect = logger::Dialect { delimiter, decimal_comma, crlf, mark, headings, clock, ..*dialect };
        });
        prop_assert_eq!(apart(&answer(&other, &other.log), &expected, ""), none, "seed {}", seed);
        // In °F, tenths of a degree: the same answer, and the same moment within what rounding can do.
        let fahrenheit = told(seed, |dialect| dialect.customary = true);
        let found = answer(&fahrenheit, &fahrenheit.log);
        prop_assert_eq!(&found["verdict"], &expected["verdict"], "seed {} in °F", seed);
        prop_assert_eq!(&found["findings"]["opening"]["state"], &expected["findings"]["opening"]["state"], "seed {} in °F", seed);
    }
}

/// The run as it would be had the recorder been pulled at `end`.
fn cut(run: &Run, end: f64) -> Run {
    let traces = run.traces.iter().map(|(channel, trace)| (*channel, trace.between(f64::NEG_INFINITY, end)));
    Run { duration: run.duration.min(end), traces: traces.filter(|(_, trace)| !trace.is_empty()).collect(), ..run.clone() }
}

fn opening(run: &Run) -> Opening {
    let phases = Phases::of(run);
    let heat = HeatInput::of(run, &phases);
    Opening::of(run, &phases, &heat, &Ambient::of(run, &phases))
}

/// Of a made run with an opening: whether one is found, and whether one is still found in the log cut 5 K below its knee.
fn before_and_after(seed: u64) -> Option<(bool, bool)> {
    let made = rehearsal::rehearse(&random_scenario(seed));
    let lift = made.truth.first_lift.filter(|_| made.truth.opening == Truly::Opened)?;
    let options = Options { day_first: Some(true), ..Options::default() };
    let mut run = ingest::read(&made.log, "made.csv", &options).ok()?.run;
    run.vehicle = Vehicle::from_toml(&made.vehicle_toml).ok()?;
    let whole = opening(&run);
    let knee = whole.knee_temperature.map_or(lift.reading, |knee| knee.value);
    let coolant = run.trace(Channel::CoolantTemperature)?;
    let end = coolant.iter().find(|(_, reading)| *reading >= knee - 5.0).map(|(time, _)| time).filter(|end| *end < lift.time_s)?;
    Some((whole.state == State::Opened, opening(&cut(&run, end)).state == State::Opened))
}

/// Share of logs, cut 5 K below the knee, in which an opening may still be found: as often as in whole runs that have none
/// (`tests/opening_coverage.rs` allows one in ten; measured there and here far less).
const ALLOWED: f64 = 0.05;

#[test]
fn a_log_cut_five_kelvin_below_its_knee_shows_no_opening() {
    let asked = |seeds: std::ops::Range<u64>| seeds.filter_map(before_and_after).collect::<Vec<_>>();
    let second = thread::spawn(move || asked(40_250..40_500));
    let mut all = asked(40_000..40_250);
    all.extend(second.join().expect("no run panics"));
    let (found, still) = (all.iter().filter(|(found, _)| *found).count(), all.iter().filter(|(_, still)| *still).count());
    println!("{} made runs with an opening, found in {found}; cut below it, one is still found in {still}", all.len());
    assert!(all.len() >= 200, "only {} made runs have one", all.len());
    assert!(found * 10 >= all.len() * 8, "only {found} of {} are found before they are cut", all.len());
    assert!(still as f64 <= ALLOWED * all.len() as f64, "in {still} of {} one is still found", all.len());
}

/// What is written as level notes is what is read, whatever stands around it: `tests/level_notes.rs` has that in full. Here only that both
/// ways of stating a level come to the same.
#[test]
fn a_level_typed_is_the_level_noted() {
    for text in ["42mm", "42 mm", "0,15 L", "80%", "0.5 marks", "1.5 in"] {
        let typed = levels::quick(wellbled::run::Occasion::ColdBefore, text).expect("it is a level");
        let noted = levels::read(format!("occasion\treading\ncold before\t{text}\n").as_bytes()).expect("it is a note");
        assert_eq!(noted, [typed], "{text}");
    }
}

/// An analysis is a function of the run: asked twice it says the same.
#[test]
fn the_same_run_gives_the_same_analysis() {
    let made = told(30_001, |_| {});
    let run = ingest::read(&made.log, "log.csv", &Options::default()).expect("it reads").run;
    let twice = [(); 2].map(|()| format!("{:?}", Analysis::of(&run)));
    assert_eq!(twice[0], twice[1]);
}
