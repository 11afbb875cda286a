//! Product types, how long they usually last, and what happens when they meet.
//!
//! All lives here are common practice without a source; what the label or the maker's schedule states replaces them.

use serde::Serialize;

/// What protects the metal in a coolant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Product {
    /// Silicates and other salts, used up as they protect.
    Inorganic,
    /// Organic acids.
    Organic,
    /// Organic acids with some silicate or phosphate.
    HybridOrganic,
}

/// How long a full fill lasts: whichever comes first.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Life {
    /// Distance, in km.
    pub km: Option<f64>,
    /// Time, in years.
    pub years: Option<f64>,
}

impl Product {
    /// As people say it: `hybrid organic`.
    pub fn spoken(self) -> &'static str {
        match self {
            Product::Inorganic => "inorganic",
            Product::Organic => "organic",
            Product::HybridOrganic => "hybrid organic",
        }
    }

    /// Usual life of a full fill (common practice, no source).
    pub fn usual_life(self) -> Life {
        let (km, years) = match self {
            Product::Inorganic => (50_000.0, 2.0),
            Product::Organic => (240_000.0, 5.0),
            Product::HybridOrganic => (160_000.0, 5.0),
        };
        Life { km: Some(km), years: Some(years) }
    }
}

impl Life {
    /// The shorter of two lives, distance and time each.
    pub fn shorter(self, other: Life) -> Life {
        let least = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (one, other) => one.or(other),
        };
        Life { km: least(self.km, other.km), years: least(self.years, other.years) }
    }
}
