//! The pages, a file each, and what several of them have in common.

pub mod asked;
pub mod check;
pub mod columns;
pub mod compare;
pub mod enter;
pub mod help;
pub mod kept;
pub mod plan;
pub mod report;
pub mod runs;
pub mod start;
pub mod stated;
pub mod trend;
pub mod try_out;
