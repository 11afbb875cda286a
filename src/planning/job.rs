//! The job as a person states it. Everything that is not known stays out; a plan says what it assumed in its place.

use super::product::{Life, Product};
use super::strength::Strength;
use crate::coolant::Base;
use crate::units::{Pressure, Temperature, Volume};
use chrono::NaiveDate;

/// A volume as it was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// What the pan, the jug or the handbook says.
    pub volume: Volume,
    /// Half-width within which it is right 95 times in 100, where that is known; else what is usual for such a measurement.
    pub within: Option<Volume>,
    /// Temperature of the coolant when it was measured.
    pub temperature: Option<Temperature>,
}

impl Measured {
    /// A volume with nothing known beside it.
    pub fn of(volume: Volume) -> Self {
        Self { volume, within: None, temperature: None }
    }
}

/// Which drains are opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drains {
    /// The radiator's only: the block stays full.
    RadiatorOnly,
    /// The radiator's and the block's.
    RadiatorAndBlock,
}

/// What comes out in one drain. The measured volume counts before the share, the share before what is usual for the drains.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Drain {
    /// What came out.
    pub measured: Option<Measured>,
    /// Share of the capacity that comes out, 0 to 1.
    pub share: Option<f64>,
    /// Which drains are opened.
    pub opened: Option<Drains>,
}

/// What is in the system before the work.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Present {
    /// What its concentrate is made of; else that of the vehicle file, else that of the new coolant.
    pub base: Option<Base>,
    /// Its strength; else that of the vehicle file.
    pub strength: Option<Strength>,
    /// Its product type.
    pub product: Option<Product>,
}

/// What is poured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fill {
    /// Concentrate and water, poured apart or mixed beforehand.
    Concentrate {
        /// Share of what the tables call concentrate in it, in per cent by volume: 100 unless its label says otherwise.
        percent: f64,
    },
    /// A ready mixture as its label states it.
    ReadyMix {
        /// Strength on the label.
        strength: Strength,
    },
}

/// What is wanted of the coolant in the end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wanted {
    /// Protection down to a temperature, by the warmer of the published tables.
    ProtectedTo(Temperature),
    /// A strength.
    Strength(Strength),
}

/// What a litre of the product (concentrate or ready mixture) costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    /// For one litre.
    pub per_litre: f64,
    /// In what: `EUR`, `USD` …
    pub currency: String,
}

/// A refill.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// Capacity, where it is not that of the vehicle file.
    pub capacity: Option<Measured>,
    /// What comes out each time.
    pub drain: Drain,
    /// What is in the system.
    pub present: Present,
    /// What the new concentrate is made of; else that of the vehicle file, else ethylene glycol.
    pub base: Option<Base>,
    /// What is poured.
    pub fill: Fill,
    /// What it is to reach; may stay out for a ready mixture.
    pub wanted: Option<Wanted>,
    /// Drains that are refilled with water alone, before the others.
    pub rinses: u32,
    /// Drains that are refilled with coolant, at least one, each with a run before the next.
    pub rounds: u32,
    /// Share of new coolant that is wanted, 0 to 1.
    pub wanted_new: Option<f64>,
    /// What the product costs.
    pub price: Option<Price>,
    /// What went in so far, for the account of the fill.
    pub filled: Option<Measured>,
    /// Product type of the new coolant.
    pub product: Option<Product>,
    /// Service life of the new coolant as its label or the maker's schedule states it; else what is usual for its type.
    pub life: Option<Life>,
    /// Odometer at the work, in km.
    pub odometer_km: Option<f64>,
    /// Day of the work.
    pub date: Option<NaiveDate>,
    /// Air temperature today.
    pub ambient: Option<Temperature>,
    /// Altitude above the sea, in m, where the vehicle is driven at its highest.
    pub altitude_m: Option<f64>,
    /// Local air pressure, absolute; counts before the altitude.
    pub air_pressure: Option<Pressure>,
    /// Opening pressure of the cap, gauge, where it is not that of the vehicle file.
    pub cap: Option<Pressure>,
}

impl Default for Job {
    /// One round with full concentrate and nothing else known.
    fn default() -> Self {
        Self {
            capacity: None,
            drain: Drain::default(),
            present: Present::default(),
            base: None,
            fill: Fill::Concentrate { percent: 100.0 },
            wanted: None,
            rinses: 0,
            rounds: 1,
            wanted_new: None,
            price: None,
            filled: None,
            product: None,
            life: None,
            odometer_km: None,
            date: None,
            ambient: None,
            altitude_m: None,
            air_pressure: None,
            cap: None,
        }
    }
}
