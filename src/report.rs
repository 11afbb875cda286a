//! One document, many formats.
pub mod document;
