//! Numbers and defects as people read them, the same in every format.
//!
//! Nothing here decides how many digits a number has: [`Estimate::decimals`] does. What is added is the clock: a moment that
//! lies minutes or hours into the drive is read as `4:57 min` or `3:58 h`, because nobody finds 14 280 s on a watch.

use super::document::RunSummary;
use crate::estimate::{Estimate, Unit};
use crate::run::{Defect, DefectKind};

/// From here on, in seconds, a time is read as minutes and seconds.
const MINUTES_FROM_S: f64 = 120.0;
/// From here on, in seconds, a time is read as hours and minutes: its seconds no longer help anyone.
const HOURS_FROM_S: f64 = 7200.0;

/// A moment of the drive: `4:57` (minutes and seconds), from one hour on `1:04:57`. Not a number: `unknown`.
pub fn clock(seconds: f64) -> String {
    if !seconds.is_finite() {
        return "unknown".to_owned();
    }
    let sign = if seconds <= -0.5 { "−" } else { "" };
    let whole = seconds.abs().round() as u64;
    let (hours, minutes, rest) = (whole / 3600, whole / 60 % 60, whole % 60);
    if hours > 0 { format!("{sign}{hours}:{minutes:02}:{rest:02}") } else { format!("{sign}{minutes}:{rest:02}") }
}

/// An estimate's value with its unit: `87.1 °C`, `4:57 min`.
pub fn value(estimate: &Estimate) -> String {
    match clock_of(estimate) {
        Some(clock) => format!("{} {}", clock.read(estimate.value), clock.unit()),
        None => format!("{}{}", number(estimate, estimate.value), estimate.unit.spoken()),
    }
}

/// An estimate's 95 % interval without its unit: `86.1 to 88.1`, `4:45 to 5:09`.
pub fn interval(estimate: &Estimate) -> String {
    let [low, high] = estimate.interval_95;
    match clock_of(estimate) {
        Some(clock) => format!("{} to {}", clock.read(low), clock.read(high)),
        None => format!("{} to {}", number(estimate, low), number(estimate, high)),
    }
}

/// A number with the estimate's decimals; what is not a number is said to be unknown.
fn number(estimate: &Estimate, value: f64) -> String {
    if !value.is_finite() {
        return "unknown".to_owned();
    }
    let text = format!("{:.*}", estimate.decimals(), value);
    match text.strip_prefix('-') {
        Some(digits) if digits.bytes().all(|byte| matches!(byte, b'0' | b'.')) => digits.to_owned(),
        Some(digits) => format!("−{digits}"),
        None => text,
    }
}

/// Which pair of clock units a time is read in; value and interval agree on it.
#[derive(Clone, Copy)]
enum Clock {
    Minutes,
    Hours,
}

fn clock_of(estimate: &Estimate) -> Option<Clock> {
    let longest = estimate.interval_95[1].max(estimate.value);
    match estimate.unit {
        Unit::Second if longest >= HOURS_FROM_S => Some(Clock::Hours),
        Unit::Second if longest >= MINUTES_FROM_S => Some(Clock::Minutes),
        _ => None,
    }
}

impl Clock {
    fn read(self, seconds: f64) -> String {
        if !seconds.is_finite() {
            return "unknown".to_owned();
        }
        let large = match self {
            Clock::Minutes => seconds,
            Clock::Hours => seconds / 60.0,
        };
        let sign = if large <= -0.5 { "−" } else { "" };
        let whole = large.abs().round() as u64;
        format!("{sign}{}:{:02}", whole / 60, whole % 60)
    }

    fn unit(self) -> &'static str {
        match self {
            Clock::Minutes => "min",
            Clock::Hours => "h",
        }
    }
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

/// Where a defect was first seen and how often: `at 5:12, line 640, 3 times`; empty where nothing of it is known.
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

/// A defect in one sentence: `gap in engine speed, at 5:12: left out`.
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
const UNITS: [&str; 16] = ["°C", "°F", "K", "K/min", "s", "min", "h", "mL", "L", "kPa", "%", "km/h", "rpm", "mm", "g/s", "Hz"];

/// The text with a no-break space between each number and the unit that follows it.
pub fn bound(text: &str) -> String {
    let mut bound = String::with_capacity(text.len());
    for (index, word) in text.split(' ').enumerate() {
        let unit = word.trim_end_matches(['.', ',', ';', ':', ')', '?', '!']);
        let number = bound.ends_with(|c: char| c.is_ascii_digit());
        if index > 0 {
            bound.push(if number && UNITS.contains(&unit) { '\u{a0}' } else { ' ' });
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
    let mut escaped = String::with_capacity(text.len());
    for c in bound(&plain(text)).chars() {
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
    fn times_are_read_on_a_clock() {
        for (seconds, expected) in [(0.0, "0:00"), (297.4, "4:57"), (3599.6, "1:00:00"), (14_280.0, "3:58:00"), (-30.0, "−0:30")] {
            assert_eq!(clock(seconds), expected, "{seconds}");
        }
        assert_eq!(clock(f64::NAN), "unknown");
        let opening = Estimate::from_interval(297.0, [285.0, 309.0], Unit::Second);
        assert_eq!((value(&opening).as_str(), interval(&opening).as_str()), ("4:57 min", "4:45 to 5:09"));
        let cold = Estimate::from_interval(14_280.0, [11_400.0, 17_400.0], Unit::Second);
        assert_eq!((value(&cold).as_str(), interval(&cold).as_str()), ("3:58 h", "3:10 to 4:50"));
        let swing = Estimate::normal(55.0, 12.0, Unit::Second);
        assert_eq!(value(&swing), "55 s", "a short time stays in seconds");
    }

    #[test]
    fn a_negative_nothing_loses_its_sign() {
        let offset = Estimate::normal(-0.02, 0.9, Unit::Kelvin);
        assert_eq!(value(&offset), "0.0 K");
        assert_eq!(value(&Estimate::normal(-0.6, 0.3, Unit::Kelvin)), "−0.6 K");
    }

    #[test]
    fn a_number_holds_on_to_its_unit() {
        assert_eq!(bound("from 40 to 70 °C, then 5 K."), "from 40 to 70\u{a0}°C, then 5\u{a0}K.");
    }

    #[test]
    fn escape_codes_do_not_pass() {
        assert_eq!(plain("a\u{1b}[31mb\u{7}\nc\u{202e}d\u{9b}"), "a[31mb cd");
    }
}
