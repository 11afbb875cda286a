//! One walk over the rows: the clock of each, and the numbers of each column.
//!
//! A row with too few or too many cells is left out whole: which cell is missing cannot be told, and a shifted one would be a
//! quiet wrong number. Only where short rows are common (a recorder that drops empty cells at the end) are they kept.

use super::cell::{self, Cell, Decimals};
use super::clock::{Cells, Source};
use super::dialect::Dialect;
use super::rows::Rows;
use super::units::{self, Unit};
use crate::excerpt::shorten;

/// Most rows that are read: three weeks at two a second. It bounds the memory that a file of tiny rows can ask for.
pub const MOST_ROWS: usize = 4_000_000;

/// One column's, or one signal's, numbers.
#[derive(Clone, Debug, Default)]
pub struct Series {
    /// Row of each number.
    pub row: Vec<u32>,
    /// The numbers, as written.
    pub value: Vec<f64>,
    /// How many there were, kept or not.
    pub count: usize,
    /// Lowest and highest.
    pub range: Option<[f64; 2]>,
    /// Unit of the numbers: what the heading states, else what is written after them.
    pub unit: Option<&'static Unit>,
    /// Words where numbers should be: how many, the first one's row, and the first one.
    pub words: Option<(usize, u32, String)>,
    /// Whether numbers are kept, or only counted.
    pub keep: bool,
}

impl Series {
    /// A series that keeps its numbers, or only counts them; `unit` is what its heading states. A number with another unit behind it is
    /// turned into that one, so that one odd cell does not turn all the others.
    pub fn stated(keep: bool, unit: Option<&'static Unit>) -> Self {
        Self { keep, unit, ..Self::default() }
    }

    /// Takes in one cell; whether it held a number.
    pub fn push(&mut self, row: u32, text: &str, decimals: Decimals) -> bool {
        let value = match cell::read(text, decimals) {
            Cell::Empty => return false,
            Cell::Number(value) => value,
            Cell::Quantity(value, unit) => match (units::lookup(unit), self.unit) {
                (Some(unit), None) => {
                    self.unit = Some(unit);
                    value
                }
                (Some(unit), Some(usual)) if unit == usual => value,
                (Some(unit), Some(usual)) if unit.dimension == usual.dimension => (unit.convert(value) - usual.offset) / usual.factor,
                _ => return self.push_word(row, text),
            },
            Cell::Word(_) => return self.push_word(row, text),
        };
        self.count += 1;
        self.range = Some(self.range.map_or([value, value], |[low, high]| [low.min(value), high.max(value)]));
        if self.keep {
            self.row.push(row);
            self.value.push(value);
        }
        true
    }

    fn push_word(&mut self, row: u32, text: &str) -> bool {
        match &mut self.words {
            Some((count, ..)) => *count += 1,
            None => self.words = Some((1, row, shorten(text, 20))),
        }
        false
    }
}

/// What went wrong with rows: how often, and the first one's line and place among the rows.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Trouble {
    /// How often.
    pub count: usize,
    /// Line of the first.
    pub line: u64,
    /// Index of the row that follows it.
    pub row: usize,
}

impl Trouble {
    fn note(&mut self, line: u64, row: usize) {
        if self.count == 0 {
            *self = Trouble { count: 0, line, row };
        }
        self.count += 1;
    }
}

/// The rows of a log.
#[derive(Clone, Debug)]
pub struct Table {
    /// Line of each row.
    pub lines: Vec<u32>,
    /// Clock of each row.
    pub clock: Cells,
    /// Rows that repeat the text of the row before.
    pub repeats: Vec<usize>,
    /// Rows left out because of their number of cells.
    pub ragged: Trouble,
    /// Rows without a usable clock cell.
    pub timeless: Trouble,
    /// Repeated headings.
    pub restarts: Vec<Trouble>,
    /// The last row was cut off.
    pub cut_off: Option<u64>,
    /// There were more than [`MOST_ROWS`]; the walk stopped.
    pub too_many: bool,
}

/// Walks the rows below the heading; `each` gets the index and the cells of every complete row that has a time.
pub fn walk<'a>(text: &'a str, dialect: &Dialect<'a>, clock: Source, shorts_kept: bool, mut each: impl FnMut(usize, &[&'a str])) -> Table {
    let mut table = Table {
        lines: Vec::new(),
        clock: Cells::for_source(clock),
        repeats: Vec::new(),
        ragged: Trouble::default(),
        timeless: Trouble::default(),
        restarts: Vec::new(),
        cut_off: None,
        too_many: false,
    };
    let width = dialect.names.len();
    let mut rows = Rows::new(text, dialect.line_end, dialect.delimiter);
    let mut cells: Vec<&str> = Vec::with_capacity(width + 1);
    let (mut before, mut last_cells) = ("", LastCells::default());
    while let Some(row) = rows.read(&mut cells) {
        if row.line < dialect.first_row {
            continue;
        }
        let index = table.lines.len();
        if index >= MOST_ROWS {
            table.too_many = true;
            break;
        }
        if row.text.trim() == dialect.heading_text {
            let mut restart = Trouble::default();
            restart.note(row.line, index);
            table.restarts.push(restart);
            continue;
        }
        if let Some((_, below)) = &dialect.below
            && cells == *below
        {
            continue;
        }
        while cells.len() > width && cells.last().is_some_and(|cell| cell.is_empty()) {
            cells.pop();
        }
        let complete = cells.len() == width || (shorts_kept && cells.len() >= 2 && cells.len() < width);
        // A last line without its end, in a file whose lines have one, may have lost cells or digits.
        if !row.terminated && index > 0 && !complete {
            table.cut_off = Some(row.line);
            continue;
        }
        if !complete {
            table.ragged.note(row.line, index);
            continue;
        }
        if !row.terminated && index > 0 && cells.last().is_some_and(|cell| last_cells.misses_digits(cell)) {
            table.cut_off = Some(row.line);
            if let Some(cell) = cells.last_mut() {
                *cell = "";
            }
        }
        last_cells.take_in(cells.last().copied().unwrap_or_default());
        let timed = table.clock.push(clock, &cells, dialect.decimals);
        if !timed {
            table.timeless.note(row.line, index);
        }
        if row.text == before {
            table.repeats.push(index);
        }
        before = row.text;
        table.lines.push(u32::try_from(row.line).unwrap_or(u32::MAX));
        if timed {
            each(index, &cells);
        }
    }
    table
}

/// How the last cells of rows are written, to tell when the file's very last one has lost digits.
#[derive(Clone, Copy, Debug, Default)]
struct LastCells {
    /// Their common length and number of decimals; `None` once two differ.
    length: Option<usize>,
    decimals: Option<usize>,
    seen: bool,
}

impl LastCells {
    fn decimals_of(cell: &str) -> usize {
        cell.split_once('.').map_or(0, |(_, decimals)| decimals.len())
    }

    fn take_in(&mut self, cell: &str) {
        let (length, decimals) = (Some(cell.len()), Some(Self::decimals_of(cell)));
        self.length = if self.seen { self.length.filter(|_| self.length == length) } else { length };
        self.decimals = if self.seen { self.decimals.filter(|_| self.decimals == decimals) } else { decimals };
        self.seen = true;
    }

    /// Whether a cell is shorter than every other, where all of them are alike.
    fn misses_digits(self, cell: &str) -> bool {
        !cell.is_empty()
            && (self.length.is_some_and(|length| cell.len() < length)
                || self.decimals.is_some_and(|decimals| Self::decimals_of(cell) < decimals))
    }
}

/// The first rows, for finding out what the columns hold, and whether short rows are common.
pub fn sample<'a>(text: &'a str, dialect: &Dialect<'a>) -> (Vec<Vec<&'a str>>, bool) {
    const MOST: usize = 300;
    let mut rows = Rows::new(text, dialect.line_end, dialect.delimiter);
    let mut cells = Vec::new();
    let (mut sample, mut shorts): (Vec<Vec<&str>>, usize) = (Vec::new(), 0);
    while sample.len() < MOST {
        let Some(row) = rows.read(&mut cells) else { break };
        if row.line < dialect.first_row || row.text.trim() == dialect.heading_text {
            continue;
        }
        shorts += usize::from(cells.len() < dialect.names.len());
        sample.push(cells.clone());
    }
    let common = shorts * 5 > sample.len() && shorts > 2;
    (sample, common)
}
