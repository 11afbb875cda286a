//! Fleet: many checked logs as one table, worst first.
//!
//! ```text
//! names, first bytes ─ kind, pairing ─▶ jobs (log, vehicle file, notes) ─ each checked on its own ─▶ rows ─ order ─▶ Table
//! kept runs' findings ─ kept ─▶ rows ─ survey ─▶ one standing a vehicle
//! Table ─▶ text | html | json | csv | columns of a dataframe, partitioned by vehicle and year
//! ```
//!
//! Nothing here reads a file: names and bytes are handed in. A row depends on its own log alone, and the order of the table on the rows
//! alone, so that neither the number of threads nor the cutting into parts ([`part`]) can change the answer.

pub mod columns;
pub mod frame;
pub mod html;
pub mod json;
pub mod kept;
pub mod kind;
pub mod list;
pub mod number;
pub mod order;
pub mod pairing;
pub mod part;
pub mod partition;
pub mod row;
pub mod survey;
pub mod text;

pub use part::Part;
pub use row::{Answer, Found, Row};

use crate::verdict::advice::Advice;
use crate::verdict::cautions::Caution;
use crate::verdict::decision::Verdict;

/// The rows of a fleet, worst first.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// One row a log.
    pub rows: Vec<Row>,
}

/// How many logs got which answer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Counts {
    /// Recheck.
    pub recheck: usize,
    /// Inconclusive.
    pub inconclusive: usize,
    /// Pass.
    pub pass: usize,
    /// Could not be read.
    pub not_read: usize,
}

impl Counts {
    /// How many logs there are.
    pub fn logs(&self) -> usize {
        self.recheck + self.inconclusive + self.pass + self.not_read
    }

    /// The counts as a sentence: `12 logs: 2 recheck, 3 inconclusive, 6 pass, 1 not read`.
    pub fn spoken(&self) -> String {
        let logs = if self.logs() == 1 { "log" } else { "logs" };
        format!(
            "{} {logs}: {} recheck, {} inconclusive, {} pass, {} not read",
            self.logs(),
            self.recheck,
            self.inconclusive,
            self.pass,
            self.not_read
        )
    }

    /// The program's exit code: 1 if any is a recheck, else 3 if any is inconclusive or could not be read, else 0.
    pub fn exit_code(&self) -> u8 {
        match self {
            Counts { recheck: 1.., .. } => Verdict::Recheck.exit_code(),
            Counts { inconclusive: 1.., .. } | Counts { not_read: 1.., .. } => Verdict::Inconclusive.exit_code(),
            _ => Verdict::Pass.exit_code(),
        }
    }
}

impl Table {
    /// Of rows in any order.
    pub fn of(mut rows: Vec<Row>) -> Self {
        order::worst_first(&mut rows);
        Self { rows }
    }

    /// How many logs got which answer.
    pub fn counts(&self) -> Counts {
        Counts::of(self.rows.iter())
    }
}

impl Counts {
    /// Of these rows.
    pub fn of<'a>(rows: impl Iterator<Item = &'a Row>) -> Self {
        let mut counts = Self::default();
        for row in rows {
            match &row.answer {
                Answer::NotRead(_) => counts.not_read += 1,
                Answer::Checked(found) => match found.verdict {
                    Verdict::Recheck => counts.recheck += 1,
                    Verdict::Inconclusive => counts.inconclusive += 1,
                    Verdict::Pass => counts.pass += 1,
                },
            }
        }
        counts
    }
}

/// Dangers that go with these steps, each once; a step that this program does not know brings all of them.
fn cautions(steps: &[&str]) -> Vec<String> {
    let mut cautions = Caution::ALWAYS.to_vec();
    for step in steps {
        cautions.extend(Advice::from_text(step).map_or(Caution::ALL.as_slice(), Advice::cautions));
    }
    cautions.sort_unstable();
    cautions.dedup();
    cautions.into_iter().map(|caution| caution.text().to_owned()).collect()
}
