//! Why level notes cannot be read: where, what was there, and the way out.

use super::cells::Trouble;
use super::{COLUMNS, LARGEST_FILE};

/// Where a cell stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Line of the file; the first is 1.
    Line(u64),
    /// Given by itself, for this occasion.
    Stated(&'static str),
}

impl Place {
    fn of(self, column: &str) -> String {
        match self {
            Self::Line(line) => format!("level notes, line {line}, column `{column}`"),
            Self::Stated(occasion) => format!("the {column} \"{occasion}\""),
        }
    }
}

/// Why level notes cannot be read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LevelsError {
    /// Nothing but blank lines and comments.
    #[error("the level notes are empty")]
    Empty,
    /// Far more than level notes can be.
    #[error("the level notes have {bytes} bytes, more than the {LARGEST_FILE} that are read")]
    TooLarge {
        /// Size of the file.
        bytes: usize,
    },
    /// Control characters.
    #[error("level notes, line {line}: this is not text")]
    NotText {
        /// Line of the file.
        line: u64,
    },
    /// A heading that is no column of level notes.
    #[error("level notes, line {line}: `{found}` is no column of level notes")]
    UnknownColumn {
        /// Line of the heading.
        line: u64,
        /// The heading.
        found: String,
    },
    /// A heading that stands twice.
    #[error("level notes, line {line}: the column `{column}` is there twice")]
    RepeatedColumn {
        /// Line of the heading.
        line: u64,
        /// The heading.
        column: &'static str,
    },
    /// A column that cannot be missing.
    #[error("level notes, line {line}: there is no column `{column}` (found: {found})")]
    MissingColumn {
        /// Line of the heading.
        line: u64,
        /// The missing heading.
        column: &'static str,
        /// The headings that are there.
        found: String,
    },
    /// A cell under no heading.
    #[error("level notes, line {line}: `{text}` stands under no heading ({fields} cells, {columns} headings)")]
    NoHeading {
        /// Line of the file.
        line: u64,
        /// Cells in this line.
        fields: usize,
        /// Headings of the table.
        columns: usize,
        /// What stands there.
        text: String,
    },
    /// Far more cells than there are columns.
    #[error("level notes, line {line}: {cells} cells, more than the {most} that are read")]
    TooManyCells {
        /// Line of the file.
        line: u64,
        /// Cells in this line.
        cells: usize,
        /// Most that are read.
        most: usize,
    },
    /// A cell that goes on past the end of its line.
    #[error("level notes, line {line}: the cell that begins with `{text}` goes on past the end of the line")]
    LineBreak {
        /// Line on which the cell begins.
        line: u64,
        /// Its first line.
        text: String,
    },
    /// A table that cannot be taken apart.
    #[error("level notes, line {line}: {cause}")]
    Table {
        /// Line of the file.
        line: u64,
        /// What the reader of tables says.
        cause: String,
    },
    /// A cell that cannot be what its column says.
    #[error("{}: {what}", place.of(column))]
    Cell {
        /// Where it stands.
        place: Place,
        /// Column.
        column: &'static str,
        /// What was there.
        text: String,
        /// What is wrong with it.
        what: String,
        /// The way out.
        hint: String,
    },
}

impl LevelsError {
    pub(super) fn cell(place: Place, column: &'static str, text: &str, trouble: Trouble) -> Self {
        Self::Cell { place, column, text: text.to_owned(), what: trouble.what, hint: trouble.hint }
    }

    /// The way out, as a sentence for the person.
    pub fn hint(&self) -> String {
        let columns = || COLUMNS.join(", ");
        match self {
            Self::Empty => format!("the first line names the columns: {}", columns()),
            Self::TooLarge { .. } => "check that this is the file with the level notes, not the log".to_owned(),
            Self::NotText { .. } => "save the notes as CSV text, not as a spreadsheet file".to_owned(),
            Self::UnknownColumn { .. } => format!("the columns are: {}; rename it, or remove it with its cells", columns()),
            Self::RepeatedColumn { column, .. } => format!("keep one column `{column}`"),
            Self::MissingColumn { .. } => {
                format!("the first line names the columns, at least occasion and reading; all of them are: {}", columns())
            }
            Self::NoHeading { .. } => "put a cell that holds the delimiter in quotation marks (\"42,5\"), or remove the cell".to_owned(),
            Self::TooManyCells { .. } => {
                "check that this is the file with the level notes, not the log, and remove empty columns".to_owned()
            }
            Self::LineBreak { .. } => "close the quotation mark, and keep a note on one line".to_owned(),
            Self::Table { .. } => "save the notes again as CSV text".to_owned(),
            Self::Cell { hint, .. } => hint.clone(),
        }
    }
}
