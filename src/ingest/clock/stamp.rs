//! One clock cell: a time of day or an elapsed time with colons, a date, or both.
//!
//! Read: `7:41`, `9:30:40.81587`, `07:41:10,5`, `07:41:10:250`, `25:00:01`, AM and PM, ISO 8601 in the extended and the basic
//! form with or without zone, dates with `-`, `/` or `.` in any order, and English month names. The order of day and month is
//! left open here: one cell cannot tell.
//!
//! # References
//!
//! - ISO 8601-1:2019, date and time representations.

/// A clock cell taken apart.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Stamp {
    /// The date, if there is one.
    pub date: Option<Date>,
    /// Seconds of the day, or elapsed; `None` for a date alone.
    pub seconds: Option<f64>,
    /// Seconds east of UTC, if a zone is written.
    pub zone: Option<i32>,
    /// One colon only: minutes and seconds, or hours and minutes.
    pub short: bool,
}

/// A date as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Date {
    /// Year, month, day: nothing open.
    Known(i32, u32, u32),
    /// Two numbers that are day and month in an order that the cell does not tell, then the year; and whether they stand
    /// between dots.
    Open(u32, u32, i32, bool),
}

/// Reads a clock cell; `None` if it is anything else, a plain number among them.
pub fn parse(text: &str) -> Option<Stamp> {
    let text = text.trim();
    if text.len() < 4 || text.len() > 48 || !text.bytes().any(|byte| byte.is_ascii_digit()) {
        return None;
    }
    if let Some(stamp) = compact(text) {
        return Some(stamp);
    }
    match date(text) {
        Some((date, rest)) => {
            let rest = rest.trim_start_matches([' ', 'T', 't', '_', ',', '-']);
            if rest.is_empty() {
                return Some(Stamp { date: Some(date), ..Stamp::default() });
            }
            let mut stamp = time(rest)?;
            // With a date before it, one colon parts hours from minutes.
            if stamp.short {
                stamp = Stamp { seconds: stamp.seconds.map(|seconds| seconds * 60.0), short: false, ..stamp };
            }
            Some(Stamp { date: Some(date), ..stamp })
        }
        None => time(text),
    }
}

/// `20260302T074110` with or without fraction and zone.
fn compact(text: &str) -> Option<Stamp> {
    let bytes = text.as_bytes();
    if bytes.len() < 15 || !matches!(bytes.get(8), Some(b'T' | b't')) || !bytes.iter().take(8).all(u8::is_ascii_digit) {
        return None;
    }
    let part = |from: usize, to: usize| text.get(from..to).and_then(|digits| digits.parse::<u32>().ok());
    let date = Date::Known(i32::try_from(part(0, 4)?).ok()?, part(4, 6)?, part(6, 8)?);
    let (h, m, s) = (part(9, 11)?, part(11, 13)?, part(13, 15)?);
    let (fraction, rest) = fraction(text.get(15..)?);
    let zone = zone(rest)?;
    Some(Stamp { date: Some(date), seconds: Some(f64::from(h * 3600 + m * 60 + s) + fraction), zone, short: false })
}

/// Digits at the start as a number, and what follows.
fn digits(text: &str) -> Option<(u32, usize, &str)> {
    let length = text.bytes().take_while(u8::is_ascii_digit).count();
    if length == 0 || length > 9 {
        return None;
    }
    Some((text.get(..length)?.parse().ok()?, length, text.get(length..)?))
}

/// A date at the start, and what follows.
fn date(text: &str) -> Option<(Date, &str)> {
    if text.starts_with(|c: char| c.is_ascii_alphabetic()) {
        let (month, rest) = month_name(text)?;
        let (day, _, rest) = digits(rest.trim_start_matches([' ', '.', '-']))?;
        let (year, length, rest) = digits(rest.trim_start_matches([',', ' ', '-']))?;
        return Some((checked(full_year(year, length)?, month, day)?, rest));
    }
    let (first, first_length, rest) = digits(text)?;
    let mark = rest.chars().next().filter(|c| matches!(c, '-' | '/' | '.' | ' '))?;
    let rest = rest.get(1..)?;
    if let Some((month, rest)) = month_name(rest) {
        let (year, length, rest) = digits(rest.trim_start_matches(['.', '-', ' ', '/']))?;
        return Some((checked(full_year(year, length)?, month, first)?, rest));
    }
    if mark == ' ' {
        return None;
    }
    let (second, _, rest) = digits(rest)?;
    let (third, third_length, rest) = digits(rest.strip_prefix(mark)?)?;
    if first_length == 4 || (first > 31 && first_length == 2) {
        return Some((checked(full_year(first, first_length)?, second, third)?, rest));
    }
    let year = full_year(third, third_length)?;
    let possible = |day: u32, month: u32| (1..=31).contains(&day) && (1..=12).contains(&month);
    (possible(first, second) || possible(second, first)).then_some((Date::Open(first, second, year, mark == '.'), rest))
}

fn checked(year: i32, month: u32, day: u32) -> Option<Date> {
    ((1..=12).contains(&month) && (1..=31).contains(&day)).then_some(Date::Known(year, month, day))
}

fn full_year(year: u32, length: usize) -> Option<i32> {
    match length {
        4 => i32::try_from(year).ok(),
        2 => i32::try_from(2000 + year).ok(),
        _ => None,
    }
}

/// An English month name or its first three letters, and what follows.
fn month_name(text: &str) -> Option<(u32, &str)> {
    const MONTHS: &str = "janfebmaraprmayjunjulaugsepoctnovdec";
    let length = text.bytes().take_while(u8::is_ascii_alphabetic).count();
    let short = text.get(..3).filter(|_| length >= 3)?.to_ascii_lowercase();
    let at = MONTHS.find(&short).filter(|at| at % 3 == 0)?;
    Some((u32::try_from(at / 3 + 1).ok()?, text.get(length..)?))
}

/// A fraction of a second at the start, after a point or a comma (or a third colon, then in milliseconds), and what follows.
fn fraction(text: &str) -> (f64, &str) {
    let Some(mark) = text.chars().next().filter(|c| matches!(c, '.' | ',' | ':')) else { return (0.0, text) };
    let rest = text.get(1..).unwrap_or_default();
    let length = rest.bytes().take_while(u8::is_ascii_digit).count();
    if length == 0 {
        return (0.0, text);
    }
    let (mut value, mut scale) = (0.0, if mark == ':' { 10_f64.powi(i32::try_from(length).unwrap_or(3).min(3)) / 1000.0 } else { 1.0 });
    for digit in rest.bytes().take(length.min(12)) {
        scale /= 10.0;
        value += f64::from(digit - b'0') * scale;
    }
    (value, rest.get(length..).unwrap_or_default())
}

fn time(text: &str) -> Option<Stamp> {
    let (first, _, rest) = digits(text)?;
    let (second, _, rest) = digits(rest.strip_prefix(':')?)?;
    if second > 59 {
        return None;
    }
    let third = rest.strip_prefix(':').and_then(digits).filter(|(seconds, length, _)| *seconds <= 60 && *length <= 2);
    let short = third.is_none();
    let (seconds, rest) = match third {
        Some((third, _, rest)) => (f64::from(first) * 3600.0 + f64::from(second * 60 + third), rest),
        None => (f64::from(first) * 60.0 + f64::from(second), rest),
    };
    let (fraction, rest) = fraction(rest);
    let rest = rest.trim();
    let half = rest.get(..2).map(str::to_ascii_lowercase).filter(|half| half == "am" || half == "pm");
    let (shift, rest) = match half.as_deref() {
        Some("pm") if first < 12 => (if short { 720.0 } else { 43_200.0 }, rest.get(2..)?),
        Some("am") if first == 12 => (if short { -720.0 } else { -43_200.0 }, rest.get(2..)?),
        Some(_) => (0.0, rest.get(2..)?),
        None => (0.0, rest),
    };
    Some(Stamp { date: None, seconds: Some(seconds + fraction + shift), zone: zone(rest.trim())?, short })
}

/// A zone: nothing, `Z`, `+01:00`, `-0530`, `+01`, or a name, which is passed over; the outer `None` if it is none of them.
fn zone(text: &str) -> Option<Option<i32>> {
    let sign = match text.as_bytes().first() {
        None => return Some(None),
        Some(b'Z' | b'z') if text.len() == 1 => return Some(Some(0)),
        Some(b'+') => 1,
        Some(b'-') => -1,
        Some(byte) if byte.is_ascii_alphabetic() && text.len() <= 6 && text.bytes().all(|byte| byte.is_ascii_alphabetic()) => {
            return Some(None);
        }
        Some(_) => return None,
    };
    let (value, length, rest) = digits(text.get(1..)?)?;
    let (hours, minutes) = match (length, rest.strip_prefix(':').and_then(digits)) {
        (2, Some((minutes, 2, ""))) => (value, minutes),
        (2, None) if rest.is_empty() => (value, 0),
        (4, None) if rest.is_empty() => (value / 100, value % 100),
        _ => return None,
    };
    (hours <= 14 && minutes < 60).then(|| i32::try_from(hours * 3600 + minutes * 60).ok().map(|seconds| sign * seconds))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clock_cells_are_read_in_every_form() {
        let seven = 7.0 * 3600.0 + 41.0 * 60.0 + 10.0;
        let known = Some(Date::Known(2026, 3, 2));
        for (text, date, seconds, zone) in [
            ("07:41:10", None, seven, None),
            ("9:30:40.81587", None, 9.0 * 3600.0 + 30.0 * 60.0 + 40.815_87, None),
            ("07:41:10,5", None, seven + 0.5, None),
            ("07:41:10:250", None, seven + 0.25, None),
            ("7:41:10 PM", None, seven + 43_200.0, None),
            ("12:00:01 AM", None, 1.0, None),
            ("25:00:01", None, 90_001.0, None),
            ("2026-03-02T07:41:10", known, seven, None),
            ("2026-03-02T07:41:10.5Z", known, seven + 0.5, Some(0)),
            ("2026-03-02 07:41:10+01:00", known, seven, Some(3600)),
            ("2026-03-02T07:41:10-0530", known, seven, Some(-19_800)),
            ("20260302T074110", known, seven, None),
            ("02-Mar-2026 07:41:10", known, seven, None),
            ("Mar 2, 2026 07:41:10", known, seven, None),
            ("02/03/2026 07:41:10", Some(Date::Open(2, 3, 2026, false)), seven, None),
            ("02.03.26 07:41:10", Some(Date::Open(2, 3, 2026, true)), seven, None),
            ("2/3/2026 7:41", Some(Date::Open(2, 3, 2026, false)), seven - 10.0, None),
            ("07:41:10 CET", None, seven, None),
        ] {
            let stamp = parse(text).unwrap_or_else(|| panic!("{text} was not read"));
            assert_eq!(stamp.date, date, "{text}");
            assert!(stamp.seconds.is_some_and(|got| (got - seconds).abs() < 1e-6), "{text}: {:?}", stamp.seconds);
            assert_eq!(stamp.zone, zone, "{text}");
        }
    }

    #[test]
    fn what_is_no_clock_cell_is_refused() {
        for text in
            ["87.5", "12", "1:2:3:4:5", "99/99/2026", "12:75:00", "7E8", "03 41 05 7B", "None", "192.168.0.1", "2026-13-01", "12:30:00 ±"]
        {
            assert_eq!(parse(text), None, "{text}");
        }
    }
}
