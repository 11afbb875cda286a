//! One document, many formats: `build` writes every sentence, the others only lay it out.

pub mod build;
#[allow(clippy::indexing_slicing, reason = "pixels of a picture whose size is the program's own; lines cut to it before")]
pub mod chart;
pub mod csv;
pub mod customary;
pub mod document;
pub mod html;
pub mod job_card;
pub mod json;
pub mod moved;
pub mod plan;
pub mod summary;
pub mod text;
pub mod words;
