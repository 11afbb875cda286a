//! Lines and their cells, straight from the text: nothing is copied, and every row knows its line in the file.
//!
//! A quote counts only at the start of a cell, and only if it is closed within a few lines: a stray quote in a log that was
//! cut and glued would otherwise swallow all that follows.
//!
//! # References
//!
//! - RFC 4180 for quoting, read leniently as described above.

/// How far a quoted cell may reach, in bytes.
const LONGEST_QUOTED: usize = 2000;

/// Most cells of a line that are told apart; recorders write some hundred. It bounds the memory that a line of delimiters can ask for.
pub const MOST_CELLS: usize = 2000;

/// Walks the rows of a text.
#[derive(Clone, Debug)]
pub struct Rows<'a> {
    text: &'a str,
    at: usize,
    next_line: u64,
    line_end: u8,
    delimiter: u8,
}

/// One row: its place and its text; the cells are in the caller's list.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    /// Line in the file, counted from 1.
    pub line: u64,
    /// The line as it stands, without its end.
    pub text: &'a str,
    /// Whether a line end follows; false only for a last line that lacks one.
    pub terminated: bool,
}

/// The byte that ends lines: a carriage return only where the text has no line feed.
pub fn line_end(text: &str) -> u8 {
    if text.as_bytes().contains(&b'\n') { b'\n' } else { b'\r' }
}

impl<'a> Rows<'a> {
    /// Starts at the first line.
    pub fn new(text: &'a str, line_end: u8, delimiter: u8) -> Self {
        Self { text, at: 0, next_line: 1, line_end, delimiter }
    }

    /// Reads the next line that is not blank and puts its cells, trimmed and without quotes, into `cells`.
    pub fn read(&mut self, cells: &mut Vec<&'a str>) -> Option<Row<'a>> {
        let bytes = self.text.as_bytes();
        let (delimiter, line_end) = (self.delimiter, self.line_end);
        loop {
            cells.clear();
            let (start, line) = (self.at, self.next_line);
            if start >= bytes.len() {
                return None;
            }
            let mut at = start;
            let mut terminated = false;
            let mut more = true;
            self.next_line += 1;
            while more {
                let cell = at;
                while bytes.get(at) == Some(&b' ') {
                    at += 1;
                }
                if bytes.get(at) == Some(&b'"') {
                    at = self.past_quoted(at);
                }
                let rest = bytes.get(at..).unwrap_or_default();
                at += rest.iter().position(|&byte| byte == delimiter || byte == line_end).unwrap_or(rest.len());
                // One more than is allowed shows that there are too many.
                if cells.len() <= MOST_CELLS {
                    cells.push(tidy(self.text.get(cell..at)));
                }
                more = bytes.get(at) == Some(&delimiter);
                terminated = !more && at < bytes.len();
                at += usize::from(more);
            }
            self.at = at + 1;
            if cells.iter().any(|cell| !cell.is_empty()) {
                let text = self.text.get(start..at).unwrap_or_default().trim_end_matches('\r');
                return Some(Row { line, text, terminated });
            }
        }
    }

    /// Index after the quote that closes the one at `open`; just after `open` if none does.
    fn past_quoted(&mut self, open: usize) -> usize {
        let bytes = self.text.as_bytes();
        let mut at = open + 1;
        let mut lines = 0_u64;
        while let Some(&byte) = bytes.get(at) {
            match byte {
                b'"' if bytes.get(at + 1) == Some(&b'"') => at += 2,
                b'"' => {
                    self.next_line += lines;
                    return at + 1;
                }
                _ => {
                    lines += u64::from(byte == self.line_end);
                    at += 1;
                }
            }
            if lines > 3 || at > open + LONGEST_QUOTED {
                break;
            }
        }
        open + 1
    }
}

/// A cell without blanks around it and without its quotes.
fn tidy(cell: Option<&str>) -> &str {
    let cell = cell.unwrap_or_default();
    // Nearly every cell has nothing to take off.
    if let [first, .., last] | [first @ last] = cell.as_bytes()
        && first.is_ascii_graphic()
        && last.is_ascii_graphic()
        && *first != b'"'
    {
        return cell;
    }
    let cell = cell.trim_ascii();
    let blank = |c: char| c.is_ascii_whitespace() || c == '\u{a0}';
    let cell = if cell.is_ascii() { cell } else { cell.trim_matches(blank) };
    cell.strip_prefix('"').and_then(|rest| rest.strip_suffix('"')).map_or(cell, str::trim)
}
