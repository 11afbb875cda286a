//! What a person types for a plan, a text a field, and the job that it states.
//!
//! The fields are those of the command line and of the page; both hand over texts and get back a job, or which field cannot be read and
//! how it is written instead.

mod quantities;

use super::PlanError;
use super::job::{Drain, Fill, Job, Present, Wanted};
use super::strength::Strength;
use crate::coolant::Base;
use crate::units::parse;
use crate::vehicle::Vehicle;
use chrono::NaiveDate;
use quantities::Misread;
use std::collections::BTreeMap;

/// One thing that can be typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Field {
    /// Capacity of the whole system.
    Capacity,
    /// Opening pressure of the cap.
    Cap,
    /// Strength of what is in it.
    Present,
    /// Its product type.
    PresentType,
    /// What it is made of.
    PresentBase,
    /// Freezing point or strength to reach.
    Wanted,
    /// Share of new coolant to reach.
    WantedNew,
    /// What came out.
    Drained,
    /// Which drains are opened.
    Drains,
    /// Strength of the concentrate that is poured.
    Concentrate,
    /// Strength of the ready mixture that is poured.
    Ready,
    /// What the new coolant is made of.
    Base,
    /// Drains refilled with water alone.
    Rinses,
    /// Drains refilled with coolant.
    Rounds,
    /// What went in.
    Filled,
    /// Price of a litre.
    Price,
    /// Product type of the new coolant.
    Product,
    /// Life of a full fill.
    Life,
    /// Odometer.
    Odometer,
    /// Day of the work.
    Date,
    /// Air temperature at the work.
    Air,
    /// Altitude where it is driven at its highest.
    Altitude,
    /// Local air pressure.
    Pressure,
}

/// Each field with its name, as the command line and the page spell it.
const NAMES: [(Field, &str); 23] = [
    (Field::Capacity, "capacity"),
    (Field::Cap, "cap"),
    (Field::Present, "present"),
    (Field::PresentType, "present-type"),
    (Field::PresentBase, "present-base"),
    (Field::Wanted, "wanted"),
    (Field::WantedNew, "wanted-new"),
    (Field::Drained, "drained"),
    (Field::Drains, "drains"),
    (Field::Concentrate, "concentrate"),
    (Field::Ready, "ready"),
    (Field::Base, "base"),
    (Field::Rinses, "rinses"),
    (Field::Rounds, "rounds"),
    (Field::Filled, "filled"),
    (Field::Price, "price"),
    (Field::Product, "type"),
    (Field::Life, "life"),
    (Field::Odometer, "odometer"),
    (Field::Date, "date"),
    (Field::Air, "air"),
    (Field::Altitude, "altitude"),
    (Field::Pressure, "pressure"),
];

impl Field {
    /// Every field.
    pub fn all() -> impl Iterator<Item = Field> {
        NAMES.iter().map(|(field, _)| *field)
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        NAMES.iter().find(|(field, _)| *field == self).map_or("", |(_, name)| name)
    }
}

/// A field that cannot be read.
#[derive(Clone, Debug, PartialEq)]
pub struct Unread {
    /// Which.
    pub field: Field,
    /// What was typed.
    pub text: String,
    /// Why it is not what the field takes.
    pub what: String,
    /// What to write.
    pub hint: String,
}

/// What was typed. A field that is not there was left empty.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Typed(BTreeMap<Field, String>);

impl FromIterator<(Field, String)> for Typed {
    fn from_iter<T: IntoIterator<Item = (Field, String)>>(texts: T) -> Self {
        Self(texts.into_iter().collect())
    }
}

impl Typed {
    /// What was typed in a field.
    pub fn get(&self, field: Field) -> Option<&str> {
        self.0.get(&field).map(String::as_str)
    }

    /// The job; what is wanted falls back on the strength in the vehicle file. `today` is asked where a date says so.
    ///
    /// # Errors
    ///
    /// [`Unread`] for the first field that cannot be read.
    pub fn job(&self, vehicle: &Vehicle, today: impl Fn() -> NaiveDate) -> Result<Job, Unread> {
        let temperature = |text: &str| parse::temperature(text).map_err(Misread::from);
        let pressure = |text: &str| parse::pressure(text).map_err(Misread::from);
        let base = self.read(Field::Base, quantities::base)?;
        Ok(Job {
            capacity: self.read(Field::Capacity, quantities::measured)?,
            drain: self.drain()?,
            present: Present {
                base: self.read(Field::PresentBase, quantities::base)?,
                strength: self.read(Field::Present, quantities::strength)?,
                product: self.read(Field::PresentType, quantities::product)?,
            },
            base,
            fill: self.fill()?,
            wanted: self.wanted(vehicle, base)?,
            rinses: self.read(Field::Rinses, quantities::count)?.unwrap_or(0),
            rounds: self.read(Field::Rounds, quantities::count)?.unwrap_or(1),
            wanted_new: self.read(Field::WantedNew, quantities::share)?,
            price: self.read(Field::Price, quantities::price)?,
            filled: self.read(Field::Filled, quantities::measured)?,
            product: self.read(Field::Product, quantities::product)?,
            life: self.read(Field::Life, quantities::life)?,
            odometer_km: self.read(Field::Odometer, quantities::distance)?,
            date: self.read(Field::Date, |text| quantities::date(text, &today))?,
            ambient: self.read(Field::Air, temperature)?,
            altitude_m: self.read(Field::Altitude, quantities::height)?,
            air_pressure: self.read(Field::Pressure, pressure)?,
            cap: self.read(Field::Cap, pressure)?,
        })
    }

    fn read<T>(&self, field: Field, read: impl Fn(&str) -> Result<T, Misread>) -> Result<Option<T>, Unread> {
        let Some(text) = self.get(field) else { return Ok(None) };
        let unread = |misread: Misread| Unread { field, text: text.to_owned(), what: misread.what, hint: misread.hint };
        read(text).map(Some).map_err(unread)
    }

    fn drain(&self) -> Result<Drain, Unread> {
        let which = self.read(Field::Drains, quantities::drains)?.unwrap_or_default();
        Ok(Drain { measured: self.read(Field::Drained, quantities::measured)?, ..which })
    }

    fn fill(&self) -> Result<Fill, Unread> {
        if let Some(strength) = self.read(Field::Ready, quantities::strength)? {
            return Ok(Fill::ReadyMix { strength });
        }
        let percent = self.read(Field::Concentrate, quantities::percent)?.unwrap_or(100.0);
        Ok(Fill::Concentrate { percent })
    }

    /// What is wanted: as typed, else what the vehicle file has of the same glycol, else nothing.
    fn wanted(&self, vehicle: &Vehicle, base: Option<Base>) -> Result<Option<Wanted>, Unread> {
        let typed = self.read(Field::Wanted, quantities::strength)?.map(|strength| match strength {
            Strength::FreezesAt(temperature) => Wanted::ProtectedTo(temperature),
            share => Wanted::Strength(share),
        });
        let same = |one: Base| base.is_none_or(|base| base == one);
        let written = vehicle.coolant.filter(|coolant| self.get(Field::Ready).is_none() && same(coolant.base));
        Ok(typed.or(written.map(|coolant| Wanted::Strength(Strength::VolumePercent(100.0 * coolant.volume_fraction)))))
    }

    /// The fields, with what was typed, that state what stands in the way of a plan.
    pub fn stating(&self, error: &PlanError) -> Vec<(Field, &str)> {
        let fields: &[Field] = match error {
            PlanError::NoCapacity | PlanError::NoDrain | PlanError::NothingWanted => &[],
            PlanError::OutOfRange { what, .. } => entry(what),
            PlanError::MoreThanCapacity { .. } => &[Field::Drained, Field::Capacity],
            PlanError::BeyondTables { read: true, .. } => &[Field::Present, Field::Ready],
            PlanError::BeyondTables { read: false, .. } | PlanError::WantedTooStrong { .. } => &[Field::Wanted],
            PlanError::Coolant(_) => &[Field::Altitude, Field::Pressure],
        };
        fields.iter().filter_map(|&field| Some((field, self.get(field)?))).collect()
    }
}

/// The fields that state an entry of the plan.
fn entry(what: &str) -> &'static [Field] {
    match what {
        "capacity" => &[Field::Capacity],
        "share that drains" => &[Field::Drains],
        "measured volume" | "temperature of a measured volume" => &[Field::Drained, Field::Filled],
        "uncertainty of a volume" => &[Field::Capacity, Field::Drained, Field::Filled],
        "strength" => &[Field::Present, Field::Wanted, Field::Ready],
        "strength of the concentrate" => &[Field::Concentrate],
        "freezing point that was read" => &[Field::Present, Field::Ready],
        "freezing point that is wanted" => &[Field::Wanted],
        "share of new coolant that is wanted" => &[Field::WantedNew],
        "number of rounds" => &[Field::Rounds],
        "number of drains, rinses counted" => &[Field::Rinses, Field::Rounds],
        "price of a litre" => &[Field::Price],
        "life of the coolant" => &[Field::Life],
        "odometer" => &[Field::Odometer],
        "air temperature" => &[Field::Air],
        "air pressure" => &[Field::Pressure],
        "cap's opening pressure" => &[Field::Cap],
        _ => &[],
    }
}
