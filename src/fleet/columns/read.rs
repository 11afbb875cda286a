//! Rows read back from their columns.

use super::{STAMP, headings};
use crate::fleet::number::{KEYS, Number};
use crate::fleet::row::{Answer, Found, Main, NotRead, Row};
use crate::verdict::decision::{Decision, Verdict};
use crate::verdict::ruling::Topic;
use chrono::NaiveDateTime;
use std::collections::HashMap;

/// Reads rows back, by the names of their columns.
#[derive(Clone, Debug)]
pub struct Reader {
    places: HashMap<String, usize>,
}

/// The cells of one row, by the names of their columns.
struct Cells<'a, F: Fn(usize) -> Option<&'a str>> {
    places: &'a HashMap<String, usize>,
    cell: F,
}

impl Reader {
    /// For a table with these headings.
    ///
    /// # Errors
    ///
    /// The first column that is not there.
    pub fn of<'a>(given: impl Iterator<Item = &'a str>) -> Result<Self, String> {
        let places: HashMap<String, usize> = given.enumerate().map(|(place, name)| (name.trim().to_owned(), place)).collect();
        match headings().into_iter().find(|name| !places.contains_key(name)) {
            Some(missing) => Err(missing),
            None => Ok(Self { places }),
        }
    }

    /// Reads one row.
    ///
    /// # Errors
    ///
    /// The column in which something stands that was not written by this program.
    pub fn row<'a>(&'a self, cell: impl Fn(usize) -> Option<&'a str>) -> Result<Row, String> {
        let cells = Cells { places: &self.places, cell };
        let own = |name: &str| cells.text(name).to_owned();
        let answer = match cells.text("verdict") {
            "not read" => Answer::NotRead(NotRead { why: own("not_read"), hint: own("next_step") }),
            _ => Answer::Checked(Box::new(cells.found()?)),
        };
        Ok(Row {
            log: own("log"),
            sha256: own("log_sha256"),
            vehicle_file: own("vehicle_file"),
            levels_file: own("levels_file"),
            remark: own("remark"),
            program: own("program"),
            answer,
        })
    }
}

impl<'a, F: Fn(usize) -> Option<&'a str>> Cells<'a, F> {
    fn text(&self, name: &str) -> &'a str {
        self.places.get(name).and_then(|&place| (self.cell)(place)).unwrap_or_default()
    }

    /// What stands in a column; `None` for an empty cell, the column's name for what `read` does not know.
    fn maybe<T>(&self, name: &str, read: impl Fn(&str) -> Option<T>) -> Result<Option<T>, String> {
        match self.text(name) {
            "" => Ok(None),
            text => read(text).map(Some).ok_or_else(|| name.to_owned()),
        }
    }

    fn number(&self, name: &str) -> Result<Option<f64>, String> {
        self.maybe(name, |digits| digits.parse().ok().filter(|number: &f64| number.is_finite()))
    }

    fn found(&self) -> Result<Found, String> {
        let verdicts = [Verdict::Recheck, Verdict::Inconclusive, Verdict::Pass];
        let decisions_known = [Decision::Recheck, Decision::Inconclusive, Decision::Pass, Decision::NotJudged];
        let mut decisions = [None; Topic::ALL.len()];
        for (decision, topic) in decisions.iter_mut().zip(Topic::ALL) {
            let name = format!("{}_decision", topic.finding());
            *decision = self.maybe(&name, |word| decisions_known.into_iter().find(|decision| decision.spoken() == word))?;
        }
        let mut numbers = [None; KEYS.len()];
        for (slot, key) in numbers.iter_mut().zip(KEYS) {
            let value = self.number(key.column)?;
            let (low, high) = (self.number(&format!("{}_low", key.column))?, self.number(&format!("{}_high", key.column))?);
            *slot = value.zip(low).zip(high).map(|((value, low), high)| Number { value, low, high });
        }
        let verdict = self.maybe("verdict", |word| verdicts.into_iter().find(|verdict| verdict.spoken() == word))?;
        Ok(Found {
            vehicle: Some(self.text("vehicle_name").to_owned()).filter(|name| !name.is_empty()),
            started: self.maybe("started", |stamp| NaiveDateTime::parse_from_str(stamp, STAMP).ok())?,
            duration_s: self.number("duration_s")?.unwrap_or_default(),
            verdict: verdict.ok_or("verdict")?,
            headline: self.text("headline").to_owned(),
            main: Main {
                topic: self.maybe("finding", Topic::from_finding)?,
                reason: self.text("reason").to_owned(),
                next_step: self.text("next_step").to_owned(),
            },
            decisions,
            numbers,
        })
    }
}
