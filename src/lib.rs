//! Reads the log of the drive after a cooling-system refill and says whether the system is bled: **pass**, **recheck** or
//! **inconclusive**, with measured reasons and what to do next.
//!
//! ```text
//! bytes ─ ingest ─▶ Run ─ analysis ─▶ Analysis ─ verdict ─▶ Judgement ─ report::build ─▶ Document ─▶ text | json | html | svg/png | csv
//! Run and Analysis of two drives ─ comparison ─▶ Comparison ─ report::build::comparison ─▶ parts of a Document
//! Vehicle, Job ─ planning ─▶ Plan ─ report::plan ─▶ Sheet ─▶ text | json | job card
//! rehearsal (made runs with known truth) ─▶ bytes
//! bytes, statements, Document ─ archive ─▶ kept runs ─▶ judged again
//! many logs, kept runs' findings ─ fleet ─▶ Table, Survey ─▶ text | json | html | csv | parquet
//! browser ─ web ─▶ ingest, check, archive, planning, rehearsal ─▶ pages
//! ```
//!
//! The core is pure: files, clock, environment, network and terminal are touched only by [`commands`], [`archive`], [`web`] and the program itself.

#![cfg_attr(
    not(test),
    warn(
        clippy::unwrap_used,
        clippy::expect_used,
        clippy::panic,
        clippy::unreachable,
        clippy::todo,
        clippy::unimplemented,
        clippy::get_unwrap,
        clippy::string_slice,
        clippy::indexing_slicing,
        clippy::exit
    )
)]

#[allow(clippy::indexing_slicing, reason = "series and grids of one length, walked by indices below it")]
pub mod analysis;
pub mod archive;
pub mod channel;
pub mod check;
pub mod cli;
pub mod commands;
#[allow(clippy::indexing_slicing, reason = "arrays of fixed length, indexed by constants; beginnings of a list up to an index of it")]
pub mod comparison;
pub mod coolant;
pub mod estimate;
pub mod excerpt;
pub mod fleet;
pub mod ingest;
pub mod keeping;
#[allow(clippy::indexing_slicing, reason = "matrices and series of lengths that are checked first, as formulae have them")]
pub mod numeric;
#[allow(clippy::indexing_slicing, reason = "arrays of fixed length, indexed by constants")]
pub mod planning;
#[allow(clippy::indexing_slicing, reason = "made runs: every length is the program's own")]
pub mod rehearsal;
pub mod report;
pub mod run;
pub mod table;
pub mod units;
pub mod vehicle;
pub mod verdict;
pub mod web;
