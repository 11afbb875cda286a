//! Reservoir levels: what every account of them shares.
//!
//! ```text
//! notes ─ scale ─▶ mL ─┐
//! log, notes ─ warmth ─┼─▶ level_expansion (cold to hot)
//! vehicle ─ system ────┘   level_loss (cold to cold, cycle by cycle)
//! ```
//!
//! [`scale`] turns a reading into millilitres, [`warmth`] tells how warm the circuit was when it was read, [`system`] how much the
//! coolant and the cavity around it grow between two such moments, [`gas`] what gas shut in does meanwhile. [`refill`] sets what
//! was drained against what was filled, [`remarks`] reads the free text, [`gulps`] finds steps in a level that was logged.
//!
//! Limits: reading errors are taken as normal though they are nearer rectangular; the vehicle stands on the same spot unless the
//! notes say otherwise.

pub mod gas;
pub mod gulps;
pub mod refill;
pub mod remarks;
pub mod scale;
pub mod system;
pub mod warmth;

use crate::run::{LevelReading, NoteTime};

/// The notes in the order in which they were made: by date and time where every row has both, else as they stand.
pub fn in_order(notes: &[LevelReading]) -> Vec<&LevelReading> {
    let mut ordered: Vec<&LevelReading> = notes.iter().collect();
    let full = |note: &LevelReading| match note.time {
        NoteTime::Full(moment) => Some(moment),
        NoteTime::OfDay(_) | NoteTime::Order => None,
    };
    if notes.iter().all(|note| full(note).is_some()) {
        ordered.sort_by_key(|note| full(note));
    }
    ordered
}
