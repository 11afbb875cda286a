//! The cells of level notes: each from its text to what it means, or to what is wrong with it.

use crate::run::{NoteTime, Occasion, ReadingUnit};
use crate::units::parse::{self, QuantityError};
use chrono::{NaiveDateTime, NaiveTime};

/// How the file writes a decimal fraction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Decimal {
    /// As `42.5`; a comma is read as a point where it cannot group thousands.
    Point,
    /// As `42,5`, in files with semicolons; a point is read as one where it cannot group thousands.
    Comma,
}

/// What is wrong with a cell, and the way out.
#[derive(Debug)]
pub(super) struct Trouble {
    pub(super) what: String,
    pub(super) hint: String,
}

impl Trouble {
    fn new(what: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { what: what.into(), hint: hint.into() }
    }
}

impl From<QuantityError> for Trouble {
    fn from(error: QuantityError) -> Self {
        Self { hint: error.hint(), what: error.to_string() }
    }
}

const READING_UNITS: &str = "mm, cm, in; mL, L, fl oz, qt, gal (US); % (of the whole tank); marks (0 = MIN, 1 = MAX); kPa, bar, psi";

const OCCASIONS: [Occasion; 8] = [
    Occasion::ColdBefore,
    Occasion::HotAfterDrive,
    Occasion::ColdAfter,
    Occasion::ToppedUp,
    Occasion::Drained,
    Occasion::Filled,
    Occasion::PressureTestStart,
    Occasion::PressureTestEnd,
];

/// A word without case and with one kind of space and apostrophe, so that `Cold_Before` is `cold before`.
fn folded(text: &str) -> String {
    let spaced = text.to_lowercase().replace(['_', '-'], " ").replace('’', "'");
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The occasion of a row.
pub(super) fn occasion(text: &str) -> Result<Occasion, Trouble> {
    let wanted = folded(text);
    OCCASIONS.into_iter().find(|&occasion| super::occasion_name(occasion) == wanted).ok_or_else(|| {
        let what = if text.is_empty() { "there is no occasion".to_owned() } else { format!("`{text}` is no occasion") };
        Trouble::new(what, format!("the occasions are: {}", OCCASIONS.map(super::occasion_name).join(", ")))
    })
}

/// A reading with its unit, from its own text or from the column `unit`.
pub(super) fn reading(text: &str, unit: &str, decimal: Decimal) -> Result<(f64, ReadingUnit), Trouble> {
    let write_one = || format!("write a number and one of these units: {READING_UNITS}");
    if text.is_empty() {
        return Err(Trouble::new("there is no reading", "write the reading, or remove the row"));
    }
    let plain = with_point(text, decimal)?;
    let (value, own) = parse::split(&plain).ok_or_else(|| Trouble::new(format!("`{text}` does not begin with a number"), write_one()))?;
    let unit = match (own, unit) {
        ("", "") => return Err(Trouble::new(format!("`{text}` has no unit"), write_one())),
        ("", stated) => stated,
        (own, "") => own,
        (own, stated) if in_unit(1.0, own).is_some() && in_unit(1.0, own) == in_unit(1.0, stated) => own,
        (own, stated) => {
            let what = format!("`{text}` says `{own}` and the column `unit` says `{stated}`");
            return Err(Trouble::new(what, "keep the one that is right"));
        }
    };
    let measured = in_unit(value, unit).ok_or_else(|| Trouble::new(format!("`{unit}` is no unit of a reading"), write_one()))?;
    let (low, high) = range(measured.1);
    if (low..=high).contains(&measured.0) {
        return Ok(measured);
    }
    let name = unit_name(measured.1);
    Err(Trouble::new(
        format!("`{text}` cannot be a reading ({} {name})", rounded(measured.0)),
        format!("a reading lies between {low} and {high} {name}; check the number and its unit"),
    ))
}

/// Whether a reading in this unit can belong to this occasion.
pub(super) fn fits(reading: (f64, ReadingUnit), occasion: Occasion) -> Result<(f64, ReadingUnit), Trouble> {
    let name = super::occasion_name(occasion);
    let (fits, wanted) = match occasion {
        Occasion::PressureTestStart | Occasion::PressureTestEnd => (reading.1 == ReadingUnit::Kilopascal, "a pressure (kPa, bar, psi)"),
        Occasion::Drained | Occasion::Filled => (reading.1 == ReadingUnit::Millilitre, "a volume (mL, L, fl oz, qt, gal)"),
        Occasion::ColdBefore | Occasion::HotAfterDrive | Occasion::ColdAfter | Occasion::ToppedUp => {
            (reading.1 != ReadingUnit::Kilopascal, "a level (mm, in, mL, L, %, marks)")
        }
    };
    if fits {
        return Ok(reading);
    }
    let what = format!("a reading in {} does not fit \"{name}\"", unit_name(reading.1));
    Err(Trouble::new(what, format!("\"{name}\" takes {wanted}; correct the unit or the occasion")))
}

/// A number in a unit as people write it, as a reading; `None` if it is no unit of a reading.
fn in_unit(value: f64, unit: &str) -> Option<(f64, ReadingUnit)> {
    match folded(unit).as_str() {
        "%" | "percent" | "per cent" => return Some((value, ReadingUnit::Percent)),
        "marks" | "mark" => return Some((value, ReadingUnit::Marks)),
        _ => {}
    }
    let text = format!("{value} {unit}");
    let length = parse::length_millimetres(&text).map(|value| (value, ReadingUnit::Millimetre));
    let volume = || parse::volume(&text).map(|volume| (volume.millilitres(), ReadingUnit::Millilitre));
    let pressure = || parse::pressure(&text).map(|pressure| (pressure.kilopascals(), ReadingUnit::Kilopascal));
    length.or_else(|_| volume()).or_else(|_| pressure()).ok()
}

/// What a reading can be: below a mark and below zero of a ruler held anywhere, up to a lorry's whole system, up to a hand
/// pump's end and down to a full vacuum. Own choice; it catches a slipped decimal point, it does not judge.
fn range(unit: ReadingUnit) -> (f64, f64) {
    match unit {
        ReadingUnit::Millimetre => (-1000.0, 1000.0),
        ReadingUnit::Millilitre => (0.0, 200_000.0),
        ReadingUnit::Percent => (0.0, 100.0),
        ReadingUnit::Marks => (-10.0, 10.0),
        ReadingUnit::Kilopascal => (-102.0, 1000.0),
    }
}

/// A number for a message: enough digits to recognise it.
fn rounded(value: f64) -> String {
    if value.abs() < 1e9 { format!("{:.1}", value) } else { format!("{value:.1e}") }
}

/// A unit as the table spells it.
pub(super) fn unit_name(unit: ReadingUnit) -> &'static str {
    match unit {
        ReadingUnit::Millimetre => "mm",
        ReadingUnit::Millilitre => "mL",
        ReadingUnit::Percent => "%",
        ReadingUnit::Marks => "marks",
        ReadingUnit::Kilopascal => "kPa",
    }
}

/// The text with a decimal point. A separator that may group thousands is asked about: the comma of `1,500` in most files, the
/// point of `1.500` in one with decimal commas.
fn with_point(text: &str, decimal: Decimal) -> Result<String, Trouble> {
    let plain = match decimal {
        Decimal::Comma if parse::groups_thousands(text, '.') => None,
        Decimal::Comma => Some(text.replace(',', ".")),
        Decimal::Point => Some(text.to_owned()),
    };
    plain.filter(|plain| parse::unambiguous(plain, READING_UNITS).is_ok()).ok_or_else(|| {
        let mark = if decimal == Decimal::Comma { "comma" } else { "point" };
        let what = format!("`{text}` may have a separator of thousands");
        Trouble::new(what, format!("write the number without a separator of thousands and with a decimal {mark}"))
    })
}

/// Air temperature at the reading, in °C.
pub(super) fn ambient(text: &str, decimal: Decimal) -> Result<Option<f64>, Trouble> {
    const COLDEST: f64 = -60.0;
    const HOTTEST: f64 = 60.0;
    if text.is_empty() {
        return Ok(None);
    }
    let celsius = parse::temperature(&with_point(text, decimal)?)?.celsius();
    if (COLDEST..=HOTTEST).contains(&celsius) {
        return Ok(Some(celsius));
    }
    let what = format!("`{text}` cannot be an air temperature ({} °C)", rounded(celsius));
    Err(Trouble::new(what, format!("air lies between {COLDEST} and {HOTTEST} °C; check the number and its unit, or leave the cell empty")))
}

/// Whether the cap was opened since the last reading.
pub(super) fn cap(text: &str) -> Result<Option<bool>, Trouble> {
    match folded(text).as_str() {
        "" => Ok(None),
        "opened" | "open" => Ok(Some(true)),
        "closed" => Ok(Some(false)),
        _ => Err(Trouble::new(format!("`{text}` is neither opened nor closed"), "write opened or closed, or leave the cell empty")),
    }
}

/// How the system was filled, in the table's spelling.
pub(super) fn method(text: &str) -> Result<Option<String>, Trouble> {
    let known = match folded(text).as_str() {
        "" => return Ok(None),
        "gravity" => "gravity",
        "vacuum" => "vacuum",
        "maker's" | "makers" | "maker" => "maker's",
        _ => {
            let what = format!("`{text}` is no way of filling that is known here");
            return Err(Trouble::new(what, "write gravity, vacuum or maker's, or leave the cell empty"));
        }
    };
    Ok(Some(known.to_owned()))
}

/// The time of a reading. A zone is allowed and not used: the time stays the one on the person's clock.
pub(super) fn time(text: &str) -> Result<NoteTime, Trouble> {
    const FULL: [&str; 4] = ["%Y-%m-%dT%H:%M:%S%.f", "%Y-%m-%d %H:%M:%S%.f", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"];
    const OF_DAY: [&str; 4] = ["%H:%M:%S%.f", "%H:%M", "%I:%M:%S %p", "%I:%M %p"];
    if text.is_empty() {
        return Ok(NoteTime::Order);
    }
    let zoneless = without_zone(text);
    let full = FULL.iter().find_map(|form| NaiveDateTime::parse_from_str(zoneless, form).ok());
    let of_day = || OF_DAY.iter().find_map(|form| NaiveTime::parse_from_str(text, form).ok());
    full.map(NoteTime::Full).or_else(|| of_day().map(NoteTime::OfDay)).ok_or_else(|| {
        let what = format!("`{text}` is no time that can be read without doubt");
        Trouble::new(what, "write 2026-03-02 07:41 or 07:41, or leave the cell empty: then the order of the rows counts")
    })
}

/// Cuts `Z`, `+01:00`, `+0100` or `+01` off a date and time.
fn without_zone(text: &str) -> &str {
    if let Some(universal) = text.strip_suffix(['Z', 'z']) {
        return universal.trim_end();
    }
    let Some((clock, zone)) = text.rfind(['+', '-']).and_then(|at| text.split_at_checked(at)) else { return text };
    let digits = zone.chars().skip(1).filter(char::is_ascii_digit).count();
    let is_zone = clock.contains(':') && matches!(digits, 2 | 4) && zone.chars().skip(1).all(|c| c.is_ascii_digit() || c == ':');
    if is_zone { clock.trim_end() } else { text }
}

/// A time as the table spells it.
pub(super) fn time_text(time: NoteTime) -> String {
    match time {
        NoteTime::Full(moment) => moment.format("%Y-%m-%dT%H:%M:%S%.f").to_string(),
        NoteTime::OfDay(clock) => clock.format("%H:%M:%S%.f").to_string(),
        NoteTime::Order => String::new(),
    }
}
