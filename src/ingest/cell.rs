//! What one cell says: nothing, a number, a number with its unit, or a word.
//!
//! A number followed by letters counts only if the letters are a unit: `0x5A` and `85*` are words, not 0 and 85.
//!
//! # References
//!
//! - Clinger, W. D. (1990). How to read floating point numbers accurately. *Proc. PLDI '90*, 92–101 (pages from memory; the short way, for few digits).

use super::units;

/// What one cell says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cell<'a> {
    /// Nothing.
    Empty,
    /// A finite number.
    Number(f64),
    /// A finite number and the unit written after it.
    Quantity(f64, &'a str),
    /// Anything else.
    Word(&'a str),
}

/// How decimals are written in this log.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Decimals {
    /// Some numbers have a decimal comma.
    pub comma: bool,
    /// Some numbers have a decimal point.
    pub point: bool,
}

/// Reads a cell that has been trimmed.
pub fn read(cell: &str, decimals: Decimals) -> Cell<'_> {
    let Some(&first) = cell.as_bytes().first() else { return Cell::Empty };
    if !(first.is_ascii_digit() || matches!(first, b'-' | b'+' | b'.' | b',') || cell.starts_with('−')) {
        return Cell::Word(cell);
    }
    if let Some(value) = short(cell.as_bytes(), decimals) {
        return Cell::Number(value);
    }
    let plain = !decimals.comma || decimals.point || !cell.contains('.');
    if plain && let Ok(value) = cell.parse::<f64>() {
        return if value.is_finite() { Cell::Number(value) } else { Cell::Word(cell) };
    }
    let end = number_length(cell);
    let (number, rest) = cell.split_at(end);
    let Some(value) = written_number(number, decimals) else { return Cell::Word(cell) };
    let unit = rest.trim();
    if unit.is_empty() {
        Cell::Number(value)
    } else if units::lookup(unit).is_some() {
        Cell::Quantity(value, unit)
    } else {
        Cell::Word(cell)
    }
}

/// Most digits of a number that is read the short way: as a whole number a float holds them exactly, and the power of ten beside it too, so that
/// their quotient is rounded once, just as the long way rounds.
const SHORT_DIGITS: usize = 15;

const POWERS_OF_TEN: [f64; SHORT_DIGITS + 1] = [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];

/// A number of few digits with one decimal mark at most, as nearly every cell is; `None` for anything else.
fn short(cell: &[u8], decimals: Decimals) -> Option<f64> {
    let (negative, cell) = cell.strip_prefix(b"-").map_or((false, cell), |rest| (true, rest));
    let (mut whole, mut digits, mut mark) = (0_u64, 0_usize, None);
    for &byte in cell {
        match byte {
            b'0'..=b'9' if digits < SHORT_DIGITS => {
                whole = 10 * whole + u64::from(byte - b'0');
                digits += 1;
            }
            b'.' if mark.is_none() && (!decimals.comma || decimals.point) => mark = Some(digits),
            b',' if mark.is_none() && decimals.comma => mark = Some(digits),
            _ => return None,
        }
    }
    let value = whole as f64 / POWERS_OF_TEN.get(digits - mark.unwrap_or(digits))?;
    (digits > 0).then_some(if negative { -value } else { value })
}

/// Bytes at the start that belong to a number.
fn number_length(cell: &str) -> usize {
    let bytes = cell.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut end = 0;
    for (index, c) in cell.char_indices() {
        let sign = matches!(c, '-' | '+' | '−') && index == 0;
        let exponent = matches!(c, 'e' | 'E')
            && index > 0
            && digit(index - 1)
            && (digit(index + 1) || (matches!(bytes.get(index + 1), Some(b'-' | b'+')) && digit(index + 2)));
        let exponent_sign = matches!(c, '-' | '+') && index > 0 && matches!(bytes.get(index - 1), Some(b'e' | b'E'));
        if !(sign || c.is_ascii_digit() || matches!(c, '.' | ',') || exponent || exponent_sign) {
            break;
        }
        end = index + c.len_utf8();
    }
    end
}

/// A number with decimal comma, thousands marks or a typographic minus; `None` if it can be read two ways.
fn written_number(number: &str, decimals: Decimals) -> Option<f64> {
    let number = number.replace('−', "-");
    let commas = number.matches(',').count();
    let points = number.matches('.').count();
    let text = match (commas, points) {
        (0, 0) => number,
        (0, 1) if !decimals.comma || decimals.point => number,
        (0, _) if grouped(&number, '.') && decimals.comma && !decimals.point => number.replace('.', ""),
        (0, 1) => number,
        (1, 0) if decimals.comma => number.replace(',', "."),
        (_, 0) if grouped(&number, ',') && !decimals.comma => number.replace(',', ""),
        (1, _) if number.rfind(',') > number.rfind('.') && grouped(number.split(',').next()?, '.') => {
            number.replace('.', "").replace(',', ".")
        }
        (_, 1) if number.rfind('.') > number.rfind(',') && grouped(number.split('.').next()?, ',') => number.replace(',', ""),
        _ => return None,
    };
    text.parse::<f64>().ok().filter(|value| value.is_finite())
}

/// Whether digits stand in groups of three: 1.234 or 12.345.678, but not 0.500.
fn grouped(number: &str, mark: char) -> bool {
    let digits = number.trim_start_matches(['-', '+']);
    let mut groups = digits.split(mark);
    let first = groups.next().unwrap_or_default();
    (1..=3).contains(&first.len()) && !first.starts_with('0') && groups.all(|group| group.len() == 3)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_short_way_and_the_long_way_lead_to_the_same_number() {
        for digits in 1..=SHORT_DIGITS {
            for start in 1..200_u64 {
                let whole = start.wrapping_mul(0x9E37_79B9_7F4A_7C15) % 10_u64.pow(digits as u32);
                for decimals in 1..digits.max(2) {
                    let (head, tail) = (whole / 10_u64.pow(decimals as u32), whole % 10_u64.pow(decimals as u32));
                    for text in [format!("-{head}.{tail:0decimals$}"), format!("{head}."), format!("{whole}")] {
                        let short = short(text.as_bytes(), Decimals::default()).map(f64::to_bits);
                        assert_eq!(short, text.parse::<f64>().ok().map(f64::to_bits), "{text}");
                    }
                }
            }
        }
        for text in ["", "-", ".", "-.", "1.2.3", "1e3", "+1", "1234567890123456"] {
            assert_eq!(short(text.as_bytes(), Decimals::default()), None, "{text}");
        }
    }

    #[test]
    fn the_short_way_keeps_to_the_decimal_mark() {
        for (comma, point) in [(false, false), (false, true), (true, false), (true, true)] {
            let decimals = Decimals { comma, point };
            for text in ["7,25", "-7,25", "7.25", "1,234", "1.234", "12.345,5", ",5", ".5", "5,", "1,2,3"] {
                if let Some(value) = short(text.as_bytes(), decimals) {
                    assert_eq!(written_number(text, decimals), Some(value), "{text} {decimals:?}");
                }
            }
            assert_eq!(short(b"7,25", decimals), comma.then_some(7.25));
            assert_eq!(short(b"7.25", decimals), (!comma || point).then_some(7.25));
        }
    }

    #[test]
    fn a_cell_is_a_number_only_if_all_of_it_is() {
        let point = Decimals { comma: false, point: true };
        let comma = Decimals { comma: true, point: false };
        for (text, decimals, expected) in [
            ("87.5", point, Cell::Number(87.5)),
            ("-40", point, Cell::Number(-40.0)),
            ("−7", point, Cell::Number(-7.0)),
            ("1e3", point, Cell::Number(1000.0)),
            ("1,234.5", point, Cell::Number(1234.5)),
            ("87,5", comma, Cell::Number(87.5)),
            ("1.234,5", comma, Cell::Number(1234.5)),
            ("1.234", comma, Cell::Number(1234.0)),
            ("0.500", comma, Cell::Number(0.5)),
            ("89 degree_Celsius", point, Cell::Quantity(89.0, "degree_Celsius")),
            ("89°C", point, Cell::Quantity(89.0, "°C")),
            ("0x5A", point, Cell::Word("0x5A")),
            ("85*", point, Cell::Word("85*")),
            ("1e999", point, Cell::Word("1e999")),
            ("nan", point, Cell::Word("nan")),
            ("None", point, Cell::Word("None")),
            ("", point, Cell::Empty),
            ("1.2.3", point, Cell::Word("1.2.3")),
        ] {
            assert_eq!(read(text, decimals), expected, "{text}");
        }
    }
}
