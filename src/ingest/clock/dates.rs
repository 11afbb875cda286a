//! Dates: which number is the day, decided from the rows or said to be open, and seconds on one line of time.
//!
//! A number above 12 settles the order. So does midnight: read one way the date moves on by a day, read the other way by a
//! month. Dates between dots are day first wherever they are written (common practice, no source). Where both readings give
//! the same elapsed time the order does not matter; only the date of the start then stays unknown.

use super::stamp::{Date, Stamp};
use chrono::{Days, NaiveDate, NaiveDateTime};

/// Seconds in a day.
const DAY: f64 = 86_400.0;

/// Clock cells on one line of time.
#[derive(Clone, Debug)]
pub struct Dated {
    /// Seconds; only differences matter. NaN where a row has no usable cell.
    pub seconds: Vec<f64>,
    /// Date and time of the first usable row by the log's own clock.
    pub started: Option<NaiveDateTime>,
    /// How the order of day and month was settled, if there was a question.
    pub order: &'static str,
}

/// The rows do not tell day from month, and it matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ambiguous {
    /// Index of the first row with such a date.
    pub row: usize,
}

/// Puts dated cells on one line of time; `day_first` is what the person said.
///
/// # Errors
///
/// [`Ambiguous`] if day and month cannot be told apart and the elapsed time depends on it.
pub fn resolve(stamps: &[Stamp], day_first: Option<bool>) -> Result<Dated, Ambiguous> {
    let open = || {
        stamps
            .iter()
            .filter_map(|stamp| stamp.date)
            .filter_map(|date| if let Date::Open(a, b, year, dots) = date { Some((a, b, year, dots)) } else { None })
    };
    let Some((_, _, _, dots)) = open().next() else { return Ok(placed(stamps, true, "")) };
    if let Some(day_first) = day_first {
        return Ok(placed(stamps, day_first, if day_first { "day before month, as told" } else { "month before day, as told" }));
    }
    let (first_above_12, second_above_12) = (open().any(|(a, ..)| a > 12), open().any(|(_, b, ..)| b > 12));
    match (first_above_12, second_above_12) {
        (true, false) => return Ok(placed(stamps, true, "day before month, by a day above 12")),
        (false, true) => return Ok(placed(stamps, false, "month before day, by a day above 12")),
        _ => {}
    }
    if dots {
        return Ok(placed(stamps, true, "day before month, as dates with dots are"));
    }
    if open().all(|(a, b, ..)| a == b) {
        return Ok(placed(stamps, true, ""));
    }
    let (day, month) = (
        placed(stamps, true, "day before month, by the step at midnight"),
        placed(stamps, false, "month before day, by the step at midnight"),
    );
    let same = day.seconds.iter().zip(&month.seconds).all(|(a, b)| {
        let (a0, b0) = (first_finite(&day.seconds), first_finite(&month.seconds));
        a.is_nan() || ((a - a0) - (b - b0)).abs() < 1e-3
    });
    if same {
        return Ok(Dated {
            started: None,
            order: "day and month not told apart, which changes nothing here but the date of the start",
            ..day
        });
    }
    match (goes_on(&day.seconds), goes_on(&month.seconds)) {
        (true, false) => Ok(day),
        (false, true) => Ok(month),
        _ => Err(Ambiguous { row: stamps.iter().position(|stamp| matches!(stamp.date, Some(Date::Open(..)))).unwrap_or(0) }),
    }
}

fn first_finite(seconds: &[f64]) -> f64 {
    seconds.iter().copied().find(|second| second.is_finite()).unwrap_or(0.0)
}

/// Whether the rows follow one another: never back, never ahead by more than half a day.
fn goes_on(seconds: &[f64]) -> bool {
    let mut before = f64::NAN;
    seconds.iter().filter(|second| second.is_finite()).all(|&second| {
        let step = second - before;
        before = second;
        step.is_nan() || (0.0..=DAY / 2.0).contains(&step)
    })
}

fn placed(stamps: &[Stamp], day_first: bool, order: &'static str) -> Dated {
    let mut last: Option<(Date, f64)> = None;
    let mut started = None;
    let mut seconds = Vec::with_capacity(stamps.len());
    for stamp in stamps {
        let (Some(date), Some(of_day)) = (stamp.date, stamp.seconds) else {
            seconds.push(f64::NAN);
            continue;
        };
        let day = match last {
            Some((same, day)) if same == date => Some(day),
            _ => calendar_day(date, day_first).map(|day| f64::from(chrono::Datelike::num_days_from_ce(&day))),
        };
        let Some(day) = day else {
            seconds.push(f64::NAN);
            continue;
        };
        last = Some((date, day));
        seconds.push(day * DAY + of_day - f64::from(stamp.zone.unwrap_or(0)));
        if started.is_none() {
            started = calendar_day(date, day_first).and_then(|day| moment(day, of_day));
        }
    }
    Dated { seconds, started, order }
}

fn calendar_day(date: Date, day_first: bool) -> Option<NaiveDate> {
    let (year, month, day) = match date {
        Date::Known(year, month, day) => (year, month, day),
        Date::Open(a, b, year, _) if day_first => (year, b, a),
        Date::Open(a, b, year, _) => (year, a, b),
    };
    NaiveDate::from_ymd_opt(year, month, day)
}

/// Date and time from a day and the seconds in it (which may run past midnight).
pub fn moment(day: NaiveDate, seconds: f64) -> Option<NaiveDateTime> {
    let days = (seconds / DAY).floor();
    let rest = seconds - days * DAY;
    let day = day.checked_add_days(Days::new(days.max(0.0) as u64))?;
    let whole = rest.floor();
    let time = chrono::NaiveTime::from_num_seconds_from_midnight_opt(whole as u32, ((rest - whole) * 1e9) as u32)?;
    Some(day.and_time(time))
}

#[cfg(test)]
mod tests {
    use super::super::stamp::parse;
    use super::*;

    fn read(cells: &[&str], day_first: Option<bool>) -> Result<Dated, Ambiguous> {
        resolve(&cells.iter().filter_map(|cell| parse(cell)).collect::<Vec<_>>(), day_first)
    }

    #[test]
    fn the_rows_settle_day_and_month_or_nothing_does() {
        let started = |cells: &[&str]| read(cells, None).map(|dated| dated.started.map(|at| at.to_string()));
        assert_eq!(started(&["13/03/2026 07:00:00"]), Ok(Some("2026-03-13 07:00:00".into())));
        assert_eq!(started(&["03/13/2026 07:00:00"]), Ok(Some("2026-03-13 07:00:00".into())));
        assert_eq!(started(&["02.03.2026 07:00:00"]), Ok(Some("2026-03-02 07:00:00".into())));
        // One day only: the elapsed time is the same either way, the date of the start is not known.
        assert_eq!(started(&["02/03/2026 07:00:00", "02/03/2026 07:00:01"]), Ok(None));
        // Midnight: 2 March to 3 March is a step of one second, 3 February to 3 March one of a month.
        assert_eq!(started(&["02/03/2026 23:59:59", "03/03/2026 00:00:00"]), Ok(Some("2026-03-02 23:59:59".into())));
        // Two drives a day or a month apart: nothing tells.
        assert_eq!(started(&["02/03/2026 07:00:00", "04/03/2026 07:00:00"]), Err(Ambiguous { row: 0 }));
        assert!(read(&["02/03/2026 07:00:00", "04/03/2026 07:00:00"], Some(true)).is_ok());
    }
}
