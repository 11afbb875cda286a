//! From measurements to a verdict: the only place that knows limits.
pub mod decision;
