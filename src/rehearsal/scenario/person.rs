//! The person with the notebook, and the owner who states what the vehicle is.

/// Readings of the reservoir.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Notes {
    /// Whether any are taken.
    pub taken: bool,
    /// The hot reading comes so long after key-off, s: 60–600 (choice).
    pub hot_after: f64,
    /// The second cold reading comes so long after key-off, s: 8–16 hours (trade: overnight).
    pub cold_after: f64,
    /// Half-width of the person's reading error, mm: 2 (common practice, no source).
    pub error_mm: f64,
    /// Half-width of what a reading is off while the vehicle stands on another spot than before, mm; every other reading on
    /// average: 0, or 4–10 (choice: 1 % of slope over half a metre is 5 mm).
    pub uneven_mm: f64,
    /// Heat cycles that are noted: 1–4.
    pub cycles: usize,
    /// To which of them the log belongs, from 1.
    pub logged_cycle: usize,
    /// Whether the person tops up to the first level where a cold reading stands more than 3 mm lower; below the MIN mark
    /// whoever notes more than one cycle always does.
    pub tops_up: bool,
    /// The refill before it, if its volumes were noted.
    pub refill: Option<Refill>,
}

/// What was drained and filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refill {
    /// What came out, mL at its own warmth: 30–90 % of the capacity (trade).
    pub drained: f64,
    /// Its warmth, °C: ambient to 65 (trade: a warm engine drains better).
    pub warmth: f64,
    /// Half-width of the scale of pan and can, as a share: 0.02–0.03 (common practice, no source).
    pub error: f64,
}

/// What the owner writes into the vehicle file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// Stamped rating and side of the valve.
    pub thermostat: bool,
    /// Capacity, reservoir and coolant.
    pub reservoir: bool,
    /// What the file's rating is off from the stamp, K: 0, or 6–12 either way where a wrong one was entered.
    pub rating_error: f64,
}
