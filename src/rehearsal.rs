//! Made runs with known truth: for samples, teaching and proof.
//!
//! A scenario says what vehicle is driven how, in what weather, with what fault, and how it is recorded; a rehearsal is the
//! log that comes of it, with level notes, vehicle file and the truth. The model is a lumped one (see `circuit`); nothing in
//! it is fitted to one vehicle, and the ranges from which [`random_scenario`] draws are wide and carry their reasons (see
//! `scenario`). Runs are the same byte for byte wherever they are made (see `arithmetic`).
//!
//! ```text
//! scenario ─ drive ─▶ combustion ─▶ circuit (valve, airflow; integrator) ─▶ signals ─▶ logger ─▶ log
//!                                      ▲ ▼                                     ├─▶ notes ─▶ level notes
//!                            pockets ◀─▶ system (volumes)                      └─▶ truth (air_truth) ─▶ telling
//! ```
//!
//! [`air_scenario`] draws the runs of the study of trapped air; [`twin_without_air`] is the same run without its pockets, and
//! [`telling()`] says whether the two differ by what a record can show.

pub mod air_study;
pub mod air_truth;
pub mod airflow;
pub mod arithmetic;
pub mod circuit;
pub mod combustion;
pub mod drive;
pub mod integrator;
pub mod logger;
pub mod look_alikes;
pub mod notes;
pub mod pockets;
pub mod random;
pub mod ranges;
pub mod scenario;
pub mod simulation;
pub mod stories;
pub mod system;
pub mod telling;
pub mod truth;
pub mod valve;
pub mod vehicle_file;
pub mod volumes;

pub use air_study::{air_scenario, twin_without_air};
pub use ranges::random_scenario;
pub use scenario::Scenario;
pub use simulation::Signal;
pub use stories::{STORIES, story, story_with};
pub use telling::{Telling, telling};
pub use truth::Truth;

use crate::ingest::levels::write as write_notes;
use crate::run::LevelReading;
use truth::LevelTruth;

/// Integration steps a second with the engine running.
pub const SUBSTEPS: usize = 4;

/// A made run.
#[derive(Clone, Debug)]
pub struct Rehearsal {
    /// The log's bytes.
    pub log: Vec<u8>,
    /// What the person noted.
    pub levels: Vec<LevelReading>,
    /// The same as a notes file; empty if none were taken.
    pub notes_csv: String,
    /// The vehicle file.
    pub vehicle_toml: String,
    /// What is true.
    pub truth: Truth,
    /// What happened inside, once a second from ignition on (not from the first row).
    pub signals: Vec<Signal>,
    /// Heat given in, stored and given off over the whole simulation, kJ.
    pub balance: [f64; 3],
}

/// Makes the run that a scenario describes.
pub fn rehearse(scenario: &Scenario) -> Rehearsal {
    let plant = circuit::Plant::of(scenario);
    let run = simulation::simulate(scenario, SUBSTEPS);
    let levels = LevelTruth::of(scenario, &plant, &run);
    let notes = notes::notes(scenario, &run.cycles, run.key_off);
    Rehearsal {
        log: logger::write(scenario, &run.signals),
        notes_csv: if notes.is_empty() { String::new() } else { write_notes(&notes) },
        levels: notes,
        vehicle_toml: vehicle_file::vehicle_toml(scenario),
        truth: Truth::of(scenario, &run, levels),
        balance: run.balance,
        signals: run.signals,
    }
}
