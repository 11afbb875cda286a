//! Uploads that are held: in memory alone, under a number that nobody guesses, so many and so long.
//!
//! A held upload is not changed; what is corrected takes its place under the same number. Nothing of a visitor is written to the disk
//! before it is kept.

use super::budget::Charge;
use super::limits::Limits;
use super::outcome::Outcome;
use super::refusal::Refusal;
use super::secret;
use super::typed::Typed;
use crate::ingest::Options;
use axum::body::Bytes;
use axum::http::StatusCode;
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

/// A log as it was sent.
#[derive(Clone, Debug)]
pub struct Log {
    /// Its file name; shown, never used as a path.
    pub name: String,
    /// Its bytes.
    pub bytes: Bytes,
}

/// An upload.
#[derive(Debug)]
pub struct Held {
    /// Its number.
    pub token: String,
    /// The log, if one was sent.
    pub log: Option<Log>,
    /// What was typed or sent beside it.
    pub typed: Typed,
    /// How the log is to be read.
    pub reading: Options,
    /// The story that it tells, if it was made up by this program.
    pub story: Option<&'static str>,
    /// What came of it.
    pub outcome: Arc<Outcome>,
    /// What its bytes are charged with.
    pub charges: Vec<Arc<Charge>>,
    /// What its answer is charged with.
    pub answer: Charge,
}

/// Where uploads are held.
#[derive(Debug, Default)]
pub struct Shelf {
    held: Mutex<HashMap<String, (Instant, Arc<Held>)>>,
}

impl Shelf {
    /// A new number.
    ///
    /// # Errors
    ///
    /// [`Refusal`] if the system has no source of chance.
    pub fn number() -> Result<String, Refusal> {
        secret::number().map_err(|_| Refusal::fault("The system gives no random numbers."))
    }

    /// Holds an upload, in place of the one with its number.
    pub fn put(&self, held: Held, limits: &Limits) {
        let mut all = self.lock();
        all.retain(|_, (seen, _)| seen.elapsed() < limits.held_for);
        all.insert(held.token.clone(), (Instant::now(), Arc::new(held)));
        while all.len() > limits.held {
            drop_oldest(&mut all);
        }
    }

    /// The upload with this number.
    ///
    /// # Errors
    ///
    /// [`Refusal`] (410) if it is no longer held, or never was.
    pub fn get(&self, token: &str, limits: &Limits) -> Result<Arc<Held>, Refusal> {
        let mut all = self.lock();
        let gone = || {
            Refusal::new(
                StatusCode::GONE,
                "No longer here",
                "What was sent is no longer held: the program keeps it in memory for a few hours, and forgets it when it ends.",
                "Choose the log again on the start page. A run that was kept is among the kept runs.",
            )
        };
        let (seen, held) = all.get_mut(token).filter(|(seen, _)| seen.elapsed() < limits.held_for).ok_or_else(gone)?;
        *seen = Instant::now();
        Ok(held.clone())
    }

    /// Lets go of the uploads that were not looked at for longest, until so many bytes are free or none is left.
    pub fn make_room(&self, bytes: usize) {
        let mut all = self.lock();
        let mut freed = 0;
        while freed < bytes {
            match drop_oldest(&mut all) {
                Some(held) => freed += held.charges.iter().map(|charge| charge.bytes()).sum::<usize>() + held.answer.bytes(),
                None => break,
            }
        }
    }

    /// How many are held.
    pub fn len(&self) -> usize {
        self.lock().len()
    }

    /// Whether none is held.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    fn lock(&self) -> std::sync::MutexGuard<'_, HashMap<String, (Instant, Arc<Held>)>> {
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn drop_oldest(all: &mut HashMap<String, (Instant, Arc<Held>)>) -> Option<Arc<Held>> {
    let oldest = all.iter().min_by_key(|(_, (seen, _))| *seen).map(|(token, _)| token.clone())?;
    all.remove(&oldest).map(|(_, held)| held)
}
