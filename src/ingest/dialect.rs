//! How the table is written: delimiter, decimal mark, preamble, heading rows.
//!
//! Each delimiter is tried on the first lines. The right one splits them into the same number of cells, and the cells are
//! numbers and clock times; a wrong one leaves "12;87" in one cell, which is neither. Rows of readings are then found from
//! that, and the one or two lines of words directly above them are the heading.

use super::cell::{self, Cell, Decimals};
use super::clock::stamp;
use super::error::Problem;
use super::rows::{MOST_CELLS, Row, Rows, line_end};
use super::units;
use super::words;
use crate::excerpt::shorten;

/// How many lines are looked at.
const PROBE_LINES: usize = 150;
/// How much text is looked at, in bytes.
const PROBE_BYTES: usize = 200_000;

/// How the table is written.
#[derive(Clone, Debug)]
pub struct Dialect<'a> {
    /// Between cells.
    pub delimiter: u8,
    /// At the end of lines.
    pub line_end: u8,
    /// How decimals are written.
    pub decimals: Decimals,
    /// Line of the heading, counted from 1.
    pub heading_line: u64,
    /// Lines with text above the heading.
    pub preamble: u64,
    /// The names.
    pub names: Vec<&'a str>,
    /// The second heading row, if there is one: its line and cells.
    pub below: Option<(u64, Vec<&'a str>)>,
    /// The heading's text, for telling it when it appears again.
    pub heading_text: &'a str,
    /// First row of readings: its line.
    pub first_row: u64,
    /// Cells in an ordinary row.
    pub width: usize,
}

/// The lines looked at, split by one delimiter.
struct Trial<'a> {
    delimiter: u8,
    lines: Vec<(Row<'a>, Vec<&'a str>)>,
    decimals: Decimals,
    first_row: usize,
    width: usize,
    quality: f64,
}

/// Finds out how the table is written.
///
/// # Errors
///
/// [`Problem::NoTable`], [`Problem::NoHeading`], [`Problem::NoRows`] or [`Problem::TooManyColumns`].
pub fn find(text: &str) -> Result<Dialect<'_>, Problem> {
    let line_end = line_end(text);
    let best = [b',', b';', b'\t', b'|']
        .into_iter()
        .filter_map(|delimiter| trial(text, line_end, delimiter))
        .max_by(|a, b| a.quality.total_cmp(&b.quality));
    let Some(best) = best else { return Err(without_rows(text, line_end)) };
    let (first, _) = best.lines.get(best.first_row).ok_or(Problem::Empty)?;
    let above = best.lines.get(..best.first_row).unwrap_or_default();
    let wide_enough = |cells: &[&str]| cells.len() >= 2 && cells.len() + 2 >= best.width;
    let block = above.iter().rev().take(3).take_while(|(_, cells)| wide_enough(cells)).count();
    let headings = above.get(above.len() - block..).unwrap_or_default();
    // Of two or three lines of words the one with the most known words names the columns; the first wins a tie.
    let names_at = headings.iter().enumerate().rev().max_by_key(|(_, (_, cells))| known_names(cells)).map(|(index, _)| index);
    let Some((names_at, (row, names))) = names_at.and_then(|index| headings.get(index).map(|line| (index, line))) else {
        return Err(Problem::NoHeading { line: first.line, text: shorten(first.text, 60) });
    };
    let below = headings
        .iter()
        .enumerate()
        .filter(|(index, (_, cells))| {
            *index != names_at && cells.len() <= names.len() + 1 && cells.len() + 1 >= names.len().min(best.width)
        })
        .max_by_key(|(_, (_, cells))| cells.iter().filter(|cell| units::lookup(cell).is_some()).count())
        .map(|(_, (row, cells))| (row.line, cells.clone()));
    if names.len() > MOST_CELLS {
        return Err(Problem::TooManyColumns { line: row.line, most: MOST_CELLS });
    }
    let mut names = names.clone();
    while names.len() > 1 && names.last().is_some_and(|name| name.is_empty()) {
        names.pop();
    }
    Ok(Dialect {
        delimiter: best.delimiter,
        line_end,
        decimals: best.decimals,
        heading_line: row.line,
        preamble: (above.len() - block + names_at) as u64 - u64::from(below.as_ref().is_some_and(|(line, _)| *line < row.line)),
        names,
        below,
        heading_text: row.text.trim(),
        first_row: first.line,
        width: best.width,
    })
}

fn trial(text: &str, line_end: u8, delimiter: u8) -> Option<Trial<'_>> {
    let mut rows = Rows::new(text, line_end, delimiter);
    let mut lines = Vec::new();
    let mut cells = Vec::new();
    let mut looked_at = 0;
    while lines.len() < PROBE_LINES && looked_at < PROBE_BYTES {
        let Some(row) = rows.read(&mut cells) else { break };
        looked_at += row.text.len();
        lines.push((row, cells.clone()));
    }
    let decimals = decimals(&lines, delimiter);
    let numeric: Vec<bool> = lines.iter().map(|(_, cells)| cells.len() >= 2 && holds_readings(cells, decimals)).collect();
    // The usual width is the commonest one of the rows of readings.
    let mut widths: Vec<usize> = lines.iter().zip(&numeric).filter(|(_, numeric)| **numeric).map(|((_, cells), _)| cells.len()).collect();
    widths.sort_unstable();
    let width = widths.chunk_by(|a, b| a == b).max_by_key(|run| run.len()).and_then(|run| run.first().copied())?;
    let alike =
        |index: usize| numeric.get(index) == Some(&true) && lines.get(index).is_some_and(|(_, cells)| cells.len().abs_diff(width) <= 1);
    let first_row = (0..lines.len())
        .find(|&index| alike(index) && (index + 1 >= lines.len() || (alike(index + 1) && !names_below(&lines, index, decimals))))
        .or_else(|| (0..lines.len()).find(|&index| alike(index)))?;
    let (mut good, mut filled, mut usual, mut below) = (0_usize, 0_usize, 0_usize, 0_usize);
    for (_, cells) in lines.iter().skip(first_row) {
        below += 1;
        usual += usize::from(cells.len().abs_diff(width) <= 1);
        for cell in cells.iter().filter(|cell| !cell.is_empty()) {
            filled += 1;
            good += usize::from(is_reading(cell, decimals) || is_plain_word(cell));
        }
    }
    let share = |part: usize, whole: usize| part as f64 / whole.max(1) as f64;
    let quality = share(good, filled) * share(usual, below) + 0.01 * (width.min(30) as f64 / 30.0);
    Some(Trial { delimiter, lines, decimals, first_row, width, quality })
}

/// Whether a line has a word in a column where the next line has a reading: it belongs to the heading (`-,05,0C,0D`).
fn names_below(lines: &[(Row, Vec<&str>)], index: usize, decimals: Decimals) -> bool {
    let cells = |index: usize| lines.get(index).map_or(&[][..], |(_, cells)| cells.as_slice());
    cells(index)
        .iter()
        .zip(cells(index + 1))
        .any(|(cell, next)| !cell.is_empty() && !says_nothing(cell) && !is_reading(cell, decimals) && is_reading(next, decimals))
}

/// Whether decimals are written with a comma, a point, or both.
///
/// A mark before exactly three digits is weak evidence: `1.200` is a thousand or so where other decimals have a comma. It
/// counts only if nothing speaks clearly for the other mark.
fn decimals(lines: &[(Row, Vec<&str>)], delimiter: u8) -> Decimals {
    let (mut clear, mut weak) = (Decimals::default(), Decimals::default());
    for (row, cells) in lines {
        let quoted = row.text.contains('"');
        for cell in cells.iter().filter(|cell| cell.len() <= 24) {
            let kind = |found: Option<(&str, usize)>| found.map(|(whole, fraction)| fraction != 3 || whole.starts_with('0'));
            if delimiter != b',' || (quoted && row.text.contains(&format!("\"{cell}\""))) {
                let comma = kind(marked(cell, ','));
                clear.comma |= comma == Some(true);
                weak.comma |= comma == Some(false);
            }
            let point = kind(marked(cell, '.'));
            clear.point |= point == Some(true);
            weak.point |= point == Some(false);
        }
    }
    Decimals { comma: clear.comma || (weak.comma && !clear.point), point: clear.point || (weak.point && !clear.comma) }
}

/// The whole part and the number of decimals of a cell that is digits with one such mark between them.
fn marked(cell: &str, mark: char) -> Option<(&str, usize)> {
    let (whole, rest) = cell.split_once(mark)?;
    let whole = whole.trim_start_matches(['-', '+']);
    let fraction = rest.bytes().take_while(u8::is_ascii_digit).count();
    let digits = whole.bytes().all(|byte| byte.is_ascii_digit());
    (digits && fraction > 0 && !rest.contains([',', '.'])).then_some((whole, fraction))
}

fn is_reading(text: &str, decimals: Decimals) -> bool {
    let digits_only = text.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-' | b'+'));
    if digits_only && matches!(cell::read(text, decimals), Cell::Number(_)) {
        return true;
    }
    matches!(cell::read(text, decimals), Cell::Number(_) | Cell::Quantity(..)) && units::lookup(text).is_none()
        || stamp::parse(text).is_some()
}

/// A word such as a state or a name: no digits next to delimiters that belong to another dialect.
fn is_plain_word(cell: &str) -> bool {
    !cell.bytes().any(|byte| matches!(byte, b',' | b';' | b'\t' | b'|'))
}

/// Whether a line holds readings: at least one cell, and at least a third of those that are not words for "nothing".
fn holds_readings(cells: &[&str], decimals: Decimals) -> bool {
    let filled = cells.iter().filter(|cell| !cell.is_empty() && !says_nothing(cell)).count();
    let readings = cells.iter().filter(|cell| is_reading(cell, decimals)).count();
    readings > 0 && readings * 3 >= filled
}

fn says_nothing(cell: &str) -> bool {
    cell.len() <= 4 && matches!(cell.to_ascii_lowercase().as_str(), "none" | "n/a" | "na" | "nan" | "-" | "--" | "---" | "null" | "?")
}

fn known_names(cells: &[&str]) -> usize {
    cells.iter().filter(|cell| units::lookup(cell).is_none() && words::read(cell).notions != 0).count()
}

/// No row of readings with any delimiter: a heading alone, or no table.
fn without_rows(text: &str, line_end: u8) -> Problem {
    for delimiter in [b',', b';', b'\t', b'|'] {
        let mut rows = Rows::new(text, line_end, delimiter);
        let mut cells = Vec::new();
        let mut seen = 0;
        while let Some(row) = rows.read(&mut cells) {
            if cells.len() > MOST_CELLS {
                return Problem::TooManyColumns { line: row.line, most: MOST_CELLS };
            }
            if cells.len() >= 2 && known_names(&cells) >= 2 {
                return Problem::NoRows { line: row.line };
            }
            seen += 1;
            if seen > PROBE_LINES {
                break;
            }
        }
    }
    let mut cells = Vec::new();
    match Rows::new(text, line_end, b'\0').read(&mut cells) {
        Some(row) => Problem::NoTable { line: row.line, text: shorten(row.text.trim(), 60) },
        None => Problem::Empty,
    }
}
