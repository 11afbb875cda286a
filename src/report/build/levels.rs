//! The level account: what was noted on the reservoir, and each sum made of it, as rows that a pencil can follow.
//!
//! ```text
//! hot against cold     coolant's growth − what metal, hoses and pressure take up − rise read = shortfall
//! cold against cold    level at 20 °C before − level at 20 °C after, top-ups taken out = taken up
//! drained, filled      drained at 20 °C − filled at 20 °C = air to come out
//! ```
//!
//! The numbers are the analysis's own; here they are only set side by side. Limits: the notes of the last [`NOTES`] occasions and the
//! last [`CYCLES`] heat cycles, the earlier ones in one row.

use super::super::document::{Account, AccountPart, AccountRow, Words};
use crate::analysis::Analysis;
use crate::analysis::level_loss::cycles::{Course, Point};
use crate::analysis::levels::in_order;
use crate::analysis::levels::warmth::Drive;
use crate::estimate::spoken::number;
use crate::estimate::{Estimate, Unit};
use crate::run::{LevelReading, NoteTime, Occasion, ReadingUnit, Run};

/// Most notes that the table shows: two heat cycles and a refill.
const NOTES: usize = 10;

/// Most heat cycles that the table shows one by one.
const CYCLES: usize = 3;

/// The account of a run; `None` where no level was noted.
pub fn account(run: &Run, analysis: &Analysis) -> Option<Account> {
    let notes = in_order(&run.levels);
    if notes.is_empty() {
        return None;
    }
    let sums = [refilled(analysis), hot_against_cold(analysis), cold_against_cold(run, analysis)];
    let parts: Vec<AccountPart> = std::iter::once(as_noted(&notes)).chain(sums.into_iter().flatten()).collect();
    let mut remarks = Vec::new();
    if parts.len() > 1 {
        remarks.push("Each row is rounded by itself, so a sum may differ by one in its last digit.".to_owned());
    }
    let heights = notes.iter().any(|note| is_level(note) && note.unit == ReadingUnit::Millimetre);
    if heights && parts.iter().any(|part| part.title.starts_with("Cold against cold")) {
        remarks.push("A level read as a height counts from the zero of its scale; only differences mean anything.".to_owned());
    }
    Some(Account { parts, remarks, in_brief: in_brief(analysis) })
}

/// Hot and cold in a sentence each.
fn in_brief(analysis: &Analysis) -> Vec<String> {
    let (hot, cold) = (&analysis.level_expansion, &analysis.level_loss);
    let mut brief = Vec::new();
    if let (Some(expected), Some(observed)) = (&hot.expected, &hot.observed) {
        brief.push(format!("Hot, the level should rise by {}; it rose by {}.", expected.spoken(), observed.spoken()));
    }
    if let Some(taken) = &cold.cold_to_cold {
        let over = match cold.per_cycle.len() {
            0 | 1 => String::new(),
            cycles => format!(" over {cycles} heat cycles"),
        };
        let (what, amount) = if taken.value < 0.0 { ("the level rose by", mirrored(taken)) } else { ("the system took up", *taken) };
        brief.push(format!("Cold against cold, {what} {}{over}.", amount.spoken()));
    }
    brief
}

fn is_level(note: &LevelReading) -> bool {
    matches!(note.occasion, Occasion::ColdBefore | Occasion::HotAfterDrive | Occasion::ColdAfter)
}

fn reckoned(label: impl Into<String>, estimate: Estimate) -> AccountRow {
    AccountRow { label: label.into(), estimate: Some(estimate), words: Words::of(&estimate), result: false }
}

fn result(label: impl Into<String>, estimate: Estimate) -> AccountRow {
    AccountRow { result: true, ..reckoned(label, estimate) }
}

/// A row with a value and no interval of its own.
fn plain(label: impl Into<String>, value: String) -> AccountRow {
    AccountRow { label: label.into(), estimate: None, words: Words { value, interval: String::new() }, result: false }
}

fn as_noted(notes: &[&LevelReading]) -> AccountPart {
    let earlier = notes.len().saturating_sub(NOTES);
    let mut rows = Vec::new();
    if earlier > 0 {
        rows.push(plain("earlier notes, left out here", earlier.to_string()));
    }
    rows.extend(notes.iter().skip(earlier).map(|note| plain(noted(note), reading(note))));
    AccountPart { title: "As noted".to_owned(), noted: true, rows }
}

/// When, on which occasion, in which air: `cold before the drive, 2026-07-20 06:20, air 24 °C`.
fn noted(note: &LevelReading) -> String {
    let occasion = match note.occasion {
        Occasion::ColdBefore => "cold before the drive",
        Occasion::HotAfterDrive => "hot after the drive",
        Occasion::ColdAfter => "cold after the drive",
        Occasion::ToppedUp => "topped up",
        Occasion::Drained => "drained",
        Occasion::Filled => "filled",
        Occasion::PressureTestStart => "pressure test, start",
        Occasion::PressureTestEnd => "pressure test, end",
    };
    let time = match note.time {
        NoteTime::Full(moment) => format!(", {}", moment.format("%Y-%m-%d %H:%M")),
        NoteTime::OfDay(clock) => format!(", {}", clock.format("%H:%M")),
        NoteTime::Order => String::new(),
    };
    let air = note.ambient.map(|celsius| format!(", air {} °C", number(celsius, 0))).unwrap_or_default();
    format!("{occasion}{time}{air}")
}

/// The reading in the unit in which it was noted, with a tenth where it has one.
fn reading(note: &LevelReading) -> String {
    let whole = (note.reading - note.reading.round()).abs() < 0.05;
    let digits = |decimals: usize| number(note.reading, if whole { 0 } else { decimals });
    match note.unit {
        ReadingUnit::Millimetre => format!("{} mm", digits(1)),
        ReadingUnit::Millilitre => format!("{} mL", digits(0)),
        ReadingUnit::Percent => format!("{} % of the tank", digits(1)),
        ReadingUnit::Marks => format!("{} from MIN (0) to MAX (1)", number(note.reading, 2)),
        ReadingUnit::Kilopascal => format!("{} kPa", digits(1)),
    }
}

fn refilled(analysis: &Analysis) -> Option<AccountPart> {
    let refill = analysis.level_loss.refill.as_ref()?;
    let air = &refill.air;
    let rows = vec![
        reckoned("drained", refill.drained),
        reckoned("less filled", refill.filled),
        if air.value < 0.0 { result("more filled than drained, by", mirrored(air)) } else { result("air to come out", *air) },
    ];
    Some(AccountPart { title: "Drained against filled, both at 20 °C".to_owned(), noted: false, rows })
}

fn hot_against_cold(analysis: &Analysis) -> Option<AccountPart> {
    let found = &analysis.level_expansion;
    let (growth, expected) = (found.coolant_growth?, found.expected?);
    let title = match &found.warmth {
        Some([cold, hot]) => {
            format!("Hot against cold, the circuit at {} and {} °C in the mean", number(cold.celsius, 0), number(hot.celsius, 0))
        }
        None => "Hot against cold".to_owned(),
    };
    let taken = format!("{} mL", number(growth.value - expected.value, expected.decimals()));
    let mut rows = vec![
        reckoned("coolant grows by", growth),
        plain("less what metal, hoses and pressure take up", taken),
        reckoned("so the level should rise by", expected),
    ];
    rows.extend(found.observed.map(|observed| reckoned("less the rise that was read, top-ups taken out", observed)));
    rows.extend(found.shortfall.map(|short| {
        if short.value < 0.0 { result("it stood above that by", mirrored(&short)) } else { result("it stood short of that by", short) }
    }));
    Some(AccountPart { title, noted: false, rows })
}

fn cold_against_cold(run: &Run, analysis: &Analysis) -> Option<AccountPart> {
    let loss = &analysis.level_loss;
    let drive = Drive::of(run, &analysis.phases, &analysis.ambient, analysis.opening.state, &analysis.cooling_down);
    let course = Course::of(run, &drive).ok()?;
    let cycles = course.cycles();
    let (first, cold_to_cold) = (course.points.first()?, loss.cold_to_cold?);
    let mut rows = vec![reckoned("first cold level", level(first))];
    let hidden = if cycles > CYCLES + 1 { cycles - CYCLES } else { 0 };
    if let Some(point) = course.points.get(hidden).filter(|_| hidden > 0) {
        rows.push(reckoned(format!("cold level after {hidden} heat cycles, top-ups taken out"), level(point)));
    }
    for (index, (point, taken)) in course.points.iter().skip(1).zip(&loss.per_cycle).enumerate().skip(hidden) {
        let after = format!("cold level after heat cycle {}, top-ups taken out", index + 1);
        rows.push(reckoned(after, level(point)));
        if cycles > 1 {
            rows.push(reckoned(format!("taken up in heat cycle {}", index + 1), *taken));
        }
    }
    rows.push(result(if cycles > 1 { "taken up in all" } else { "taken up by the circuit" }, cold_to_cold));
    rows.extend(loss.leak_rate.map(|rate| reckoned("of that a steady loss in each cycle", rate)));
    Some(AccountPart { title: "Cold against cold, brought to 20 °C".to_owned(), noted: false, rows })
}

/// A cold level with the uncertainty of its reading and its temperature.
fn level(point: &Point) -> Estimate {
    Estimate::normal(point.account, point.variance.max(0.0).sqrt(), Unit::Millilitre)
}

/// The same with the other sign.
fn mirrored(of: &Estimate) -> Estimate {
    let [low, high] = of.interval_95;
    Estimate { value: -of.value, interval_95: [-high, -low], ..*of }
}
