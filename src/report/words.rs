//! Numbers and defects as people read them, the same in every format.
//!
//! How a number is written is decided beside the number itself ([`crate::estimate::spoken`]).

use super::document::RunSummary;
use crate::estimate::Estimate;
use crate::run::{Defect, DefectKind};

pub use crate::estimate::spoken::{clock, number};

/// An estimate's value with its unit: `87.1 °C`, `4:57 min`.
pub fn value(estimate: &Estimate) -> String {
    estimate.spoken_value()
}

/// An estimate's 95 % interval without its unit: `86.1 to 88.1`, `4:45 to 5:09`.
pub fn interval(estimate: &Estimate) -> String {
    estimate.spoken_interval()
}

/// What a kind of defect is called.
pub fn defect_kind(kind: DefectKind) -> &'static str {
    match kind {
        DefectKind::Gap => "gap",
        DefectKind::StaleRepeat => "stale repeat",
        DefectKind::Duplicate => "row written twice",
        DefectKind::OutOfRange => "value out of range",
        DefectKind::Sentinel => "code for no reading",
        DefectKind::NotANumber => "word in place of a number",
        DefectKind::Jump => "jump",
        DefectKind::Restart => "recorder restarted",
        DefectKind::TraceStops => "channel stops early",
        DefectKind::BeforeStart => "rows from before the engine fired",
        DefectKind::GluedValue => "two answers in one cell",
        DefectKind::SecondUnit => "a second unit answered",
        DefectKind::ClockBack => "clock steps back",
        DefectKind::ClockAhead => "clock jumps ahead",
        DefectKind::CoarseClock => "several rows to one clock stamp",
        DefectKind::RaggedRow => "row with too few or too many fields",
        DefectKind::CutOffRow => "last row cut off",
        DefectKind::UnitInferred => "unit not stated",
        DefectKind::BadFrame => "raw answer that could not be decoded",
    }
}

/// Where a defect was first seen and how often: `at 5:12 min, line 640, 3 times`; empty where nothing of it is known.
pub fn defect_place(defect: &Defect) -> String {
    let mut parts = Vec::new();
    if let Some(at) = defect.at_s {
        parts.push(format!("at {}", clock(at)));
    }
    if let Some(line) = defect.line {
        parts.push(format!("line {line}"));
    }
    if defect.count > 1 {
        parts.push(if parts.is_empty() { format!("{} times", defect.count) } else { format!("first of {}", defect.count) });
    }
    parts.join(", ")
}

/// A defect in one sentence: `gap in engine speed, at 5:12 min: left out`.
pub fn defect(defect: &Defect) -> String {
    let mut text = defect_kind(defect.kind).to_owned();
    if let Some(channel) = defect.channel {
        text = format!("{text} in {}", channel.spoken());
    }
    let place = defect_place(defect);
    if !place.is_empty() {
        text = format!("{text}, {place}");
    }
    if defect.effect.is_empty() { text } else { format!("{text}: {}", defect.effect) }
}

/// The units that the log does not state, in one sentence: `Units were not stated; read as °C, rpm, km/h.` `None` if it states all.
///
/// What was done about such a unit is written as `… taken as °C: why` or `… taken: engine speed as rpm, air flow as g/s`.
pub fn units_taken(defects: &[Defect]) -> Option<String> {
    let mut units: Vec<&str> = Vec::new();
    for defect in defects.iter().filter(|defect| defect.kind == DefectKind::UnitInferred) {
        let of_one = defect.effect.split_once("taken as ").and_then(|(_, unit)| unit.split(": ").next());
        let of_many = defect.effect.split_once("taken: ").map_or("", |(_, list)| list);
        for unit in of_one.into_iter().chain(of_many.split(", ").filter_map(|part| Some(part.rsplit_once(" as ")?.1))) {
            if !units.contains(&unit) {
                units.push(unit);
            }
        }
    }
    (!units.is_empty()).then(|| format!("Units were not stated; read as {}.", units.join(", ")))
}

/// What the log is: name, start, length, rows.
pub fn log_line(run: &RunSummary) -> String {
    let started = run.started.as_ref().map(|at| format!(", started {}", at.replace('T', " "))).unwrap_or_default();
    let rows = if run.samples == 1 { "row" } else { "rows" };
    format!("{}{started}, {} long, {} {rows}.", run.source, clock(run.duration_s), run.samples)
}

/// Names of the channels that were recognised, in one list.
pub fn channels(run: &RunSummary) -> String {
    run.channels.iter().map(|channel| channel.spoken()).collect::<Vec<_>>().join(", ")
}

/// Units that stay on the line of their number.
const UNITS: [&str; 25] = [
    "°C", "°F", "K", "K/min", "°F/min", "s", "min", "h", "mL", "L", "fl", "qt", "gal", "kPa", "psi", "%", "km", "km/h", "mi", "mph", "rpm",
    "mm", "in", "g/s", "Hz",
];

/// The text with a no-break space between each number and the unit that follows it.
pub fn bound(text: &str) -> String {
    let mut bound = String::with_capacity(text.len());
    for (index, word) in text.split(' ').enumerate() {
        let unit = word.trim_end_matches(['.', ',', ';', ':', ')', '?', '!']);
        let number = bound.ends_with(|c: char| c.is_ascii_digit());
        if index > 0 {
            let ounces = unit == "oz" && bound.ends_with("\u{a0}fl");
            bound.push(if ounces || number && UNITS.contains(&unit) { '\u{a0}' } else { ' ' });
        }
        bound.push_str(word);
    }
    bound
}

/// The text without what could move a cursor, hide or reorder other text: control characters and bidirectional overrides go,
/// line breaks and tabs become spaces.
///
/// Names of files, columns and vehicles come from whoever wrote them; a report must not pass their escape codes on to a terminal.
pub fn plain(text: &str) -> String {
    text.chars()
        .filter_map(|c| match c {
            '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' => Some(' '),
            '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}' => None,
            '\u{FFFE}' | '\u{FFFF}' => None,
            c if c.is_control() => None,
            c => Some(c),
        })
        .collect()
}

/// The text as it may stand between tags and inside quoted attributes: control characters are dropped, a number keeps its unit
/// on its line.
pub fn escape(text: &str) -> String {
    entities(&bound(&plain(text)))
}

/// The text with what markup reads as its own written out, and nothing else changed.
pub fn entities(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '"' => escaped.push_str("&quot;"),
            '\'' => escaped.push_str("&#39;"),
            c => escaped.push(c),
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_holds_on_to_its_unit() {
        assert_eq!(bound("from 40 to 70 °C, then 5 K."), "from 40 to 70\u{a0}°C, then 5\u{a0}K.");
    }

    #[test]
    fn escape_codes_do_not_pass() {
        assert_eq!(plain("a\u{1b}[31mb\u{7}\nc\u{202e}d\u{9b}"), "a[31mb cd");
    }
}
