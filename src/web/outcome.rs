//! What comes of an upload: the verdict, or what stands in its way and how it is put right.
//!
//! Nothing is reckoned here: the log goes through `ingest`, the run through `check`, as on the command line.

use super::held::Log;
use super::markup::Wrong;
use super::typed::{Stated, Typed};
use crate::archive::Archive;
use crate::check::{Beside, Checked, Earlier};
use crate::ingest::{self, Options, Problem, Understanding};
use crate::keeping::earlier::{self, Now};
use crate::run::Run;
use crate::verdict::decision::Verdict;

/// What came of an upload.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// It was checked.
    Checked(Box<Answer>),
    /// The log cannot be read as it stands.
    Unread(Box<Unread>),
    /// What was typed cannot be used.
    Wrong(Vec<Wrong>),
}

impl Outcome {
    /// About how many bytes it takes.
    pub fn bytes(&self) -> usize {
        let columns = |understood: &Option<Understanding>| understood.as_ref().map_or(0, |understood| 600 * understood.columns.len());
        match self {
            Self::Checked(answer) => answer.head.len() + answer.rest.len() + columns(&answer.understanding),
            Self::Unread(unread) => 1000 + columns(&unread.understanding),
            Self::Wrong(wrong) => 1000 * wrong.len(),
        }
    }
}

/// An answer as it is shown.
#[derive(Clone, Debug)]
pub struct Answer {
    /// What the window calls it.
    pub title: String,
    /// The verdict.
    pub verdict: Verdict,
    /// Verdict and reasons.
    pub head: String,
    /// Plot and everything below it.
    pub rest: String,
    /// What there is to say beside it.
    pub notes: Vec<String>,
    /// How the log was understood, if there is one.
    pub understanding: Option<Understanding>,
}

/// A log that cannot be read as it stands.
#[derive(Clone, Debug)]
pub struct Unread {
    /// What was wrong.
    pub what: String,
    /// The way out, on this page.
    pub hint: String,
    /// Whether the question is which column is which.
    pub about_columns: bool,
    /// The columns as far as they can be told.
    pub understanding: Option<Understanding>,
}

/// What is checked.
#[derive(Clone, Debug)]
pub struct Input {
    /// The log.
    pub log: Option<Log>,
    /// What was typed and sent beside it.
    pub typed: Typed,
    /// How the log is to be read.
    pub reading: Options,
    /// The kept runs; none for a story, which is of no vehicle that is known.
    pub archive: Option<Archive>,
}

/// A run with all that belongs to it.
#[derive(Clone, Debug)]
pub struct Gathered {
    /// The run: readings, vehicle, levels.
    pub run: Run,
    /// What was stated.
    pub stated: Stated,
    /// How the log was understood.
    pub understanding: Option<Understanding>,
}

impl Input {
    /// Reads the log and what is stated.
    ///
    /// # Errors
    ///
    /// The outcome that stands in the way.
    pub fn gather(&self) -> Result<Gathered, Outcome> {
        let reading = Options { every_column: true, ..self.reading.clone() };
        let read = |log: &Log| ingest::read(&log.bytes, &log.name, &reading).map_err(|error| Box::new(self.unread(log, &error)));
        let read = self.log.as_ref().map(read);
        let read = read.transpose().map_err(Outcome::Unread)?;
        let stated = self.typed.stated(self.archive.as_ref()).map_err(Outcome::Wrong)?;
        if read.is_none() && stated.noted.is_empty() && stated.flagged.is_empty() {
            let wrong =
                Wrong::new("log", "there is no log and no level", "choose the log of the drive, or type what was read on the reservoir");
            return Err(Outcome::Wrong(vec![wrong]));
        }
        let (run, understanding) = read.map(|read| (read.run, read.understanding)).unzip();
        let mut run = run.unwrap_or_else(|| Run { source: "level notes".to_owned(), ..Run::default() });
        run.vehicle = stated.vehicle.clone();
        run.levels = [stated.noted.clone(), stated.flagged.clone()].concat();
        Ok(Gathered { run, stated, understanding })
    }

    fn unread(&self, log: &Log, error: &ingest::IngestError) -> Unread {
        let (about_columns, hint) = way_out(&error.problem);
        let understanding = ingest::understand(&log.bytes, &log.name, &self.reading).ok();
        Unread { what: error.to_string(), hint, about_columns, understanding }
    }

    /// Checks what was gathered, beside the kept runs of the vehicle.
    pub fn check(&self, gathered: &Gathered) -> (Checked, Vec<String>) {
        let Gathered { run, stated, .. } = gathered;
        let mut notes = Vec::new();
        let id = self.log.as_ref().map(|log| Archive::id_of(&log.bytes)).unwrap_or_default();
        let now = Now { run, id: &id };
        let mut found = |sought: Result<Option<Earlier>, crate::archive::ArchiveError>| {
            sought.unwrap_or_else(|error| {
                notes.push(earlier::left_out(&error));
                None
            })
        };
        let archive = self.archive.as_ref();
        let before_work = archive.filter(|_| !stated.before_work).and_then(|archive| found(earlier::before_work(archive, &now)));
        let against = archive.filter(|_| stated.against_last).map(|archive| found(earlier::last(archive, &now)));
        if matches!(against, Some(None)) {
            let name = run.vehicle.name.as_deref().unwrap_or("a vehicle without a name");
            notes.push(format!("Nothing to compare with: no earlier run of {name} is kept."));
        }
        let against = against.flatten();
        let checked = Checked::of(run, &Beside { before_work: before_work.as_ref(), against: against.as_ref(), ..Beside::default() });
        (checked, notes)
    }

    /// The answer, or what stands in its way.
    ///
    /// # Errors
    ///
    /// [`crate::report::chart::ChartError`] where the plot cannot be drawn, which is a fault of the program.
    pub fn outcome(&self) -> Result<Outcome, crate::report::chart::ChartError> {
        let gathered = match self.gather() {
            Ok(gathered) => gathered,
            Err(outcome) => return Ok(outcome),
        };
        let (checked, notes) = self.check(&gathered);
        let units = super::pages::report::Units::of(self.typed.text("units"));
        let mut answer = super::pages::report::answer(&units.document(&checked.document), notes)?;
        answer.understanding = gathered.understanding;
        Ok(Outcome::Checked(Box::new(answer)))
    }
}

/// Whether a problem is about columns, and the way out in the words of the page.
fn way_out(problem: &Problem) -> (bool, String) {
    let hint = match problem {
        Problem::NoColumn { .. }
        | Problem::TwoColumns { .. }
        | Problem::UnknownColumn { .. }
        | Problem::WrongUnit { .. }
        | Problem::NoReadings { .. } => "Say below which column it is, then check again.",
        Problem::NoClock { .. } => "Choose below which column is the clock, or say how many seconds lie between two rows.",
        Problem::AmbiguousDate { .. } => "Say below what stands first in a date, the day or the month.",
        Problem::BadPeriod { .. } => "Give the seconds between two rows below, such as 0.5.",
        other => return (false, other.hint()),
    };
    (true, hint.to_owned())
}
