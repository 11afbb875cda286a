//! One document, many formats: `build` writes every sentence, the others only lay it out.

pub mod build;
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
