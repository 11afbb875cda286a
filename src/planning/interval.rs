//! When the coolant is due again.
//!
//! ```text
//! interval = life of a full fill · share renewed
//! ```
//!
//! The inhibitors of what stayed are counted as spent, so a part exchange starts with the renewed share of a new fill's. Half
//! a system renewed is due after half the life. That is careful where the old coolant was young. Distance or time, whichever comes first.
//!
//! Where the types differ and a good part of the old stays, the shorter life of the two counts for both.
//!
//! Limits: lives are common practice without a source unless they were stated; the maker's schedule outranks all of this.

use super::error::{PlanError, within};
use super::figure::{Figure, grouped, percent};
use super::job::Job;
use super::product::{Life, Product};
use crate::estimate::Estimate;
use crate::estimate::spoken::number;
use chrono::{Months, NaiveDate};
use serde::Serialize;

/// Share of another type's coolant from which its shorter life counts (own choice; makers' limits of 5 to 10 % are from memory).
pub const MIXED_FROM: f64 = 0.05;

/// Lives that are believed: km and years.
const LIVES: [[f64; 2]; 2] = [[1_000.0, 2_000_000.0], [0.25, 30.0]];

/// Odometers that are believed, in km.
const ODOMETERS_KM: [f64; 2] = [0.0, 10_000_000.0];

/// Where the life of a full fill was taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LifeSource {
    /// What was stated of label or schedule.
    Stated,
    /// Usual for the product type (common practice, no source).
    Usual,
    /// The shorter of two types that mix, where at least one is usual.
    ShorterOfMixed,
}

/// The next interval.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Interval {
    /// Life of a full fill.
    pub full_life: Life,
    /// Where it was taken from.
    pub source: LifeSource,
    /// Share of the coolant that is new.
    pub renewed: Estimate,
    /// Distance, km.
    pub distance: Option<Figure>,
    /// Time, years.
    pub time: Option<Figure>,
    /// Odometer at which it is due, km.
    pub due_odometer: Option<Figure>,
    /// Day on which it is due at the latest.
    pub due_date: Option<NaiveDate>,
}

impl Interval {
    /// The interval after an exchange that leaves `old_left`; `None` where neither a life nor a type is stated.
    pub(super) fn of(job: &Job, old_left: &Estimate) -> Result<Option<Self>, PlanError> {
        let usual = job.product.map(Product::usual_life);
        let Some(own) = job.life.or(usual) else { return Ok(None) };
        for (what, value, range, unit) in
            [("life of the coolant", own.km, LIVES[0], "km"), ("life of the coolant", own.years, LIVES[1], "years")]
        {
            value.map(|value| within(what, value, range, unit)).transpose()?;
        }
        let other = job.present.product.filter(|old| Some(*old) != job.product && old_left.value >= MIXED_FROM).map(Product::usual_life);
        let full_life = other.map_or(own, |other| own.shorter(other));
        let source = match job.life {
            _ if full_life != own => LifeSource::ShorterOfMixed,
            Some(_) => LifeSource::Stated,
            None => LifeSource::Usual,
        };
        let [low, high] = old_left.interval_95;
        let renewed = Estimate { value: 1.0 - old_left.value, interval_95: [1.0 - high, 1.0 - low], ..*old_left };
        let distance = full_life.km.map(|km| Figure::scaled(&renewed, km, "km"));
        let time = full_life.years.map(|years| Figure::scaled(&renewed, years, "a"));
        let odometer = job.odometer_km.map(|km| within("odometer", km, ODOMETERS_KM, "km")).transpose()?;
        let due_odometer = odometer.zip(distance.clone()).map(|(start, distance)| distance.from_start(start));
        // Whole months, rounded down; a hair more than half a month of rounding in the years is none.
        let months = time.as_ref().map(|time| Months::new((12.0 * time.value + 1e-6).clamp(0.0, 1200.0) as u32));
        let due_date = job.date.zip(months).and_then(|(date, months)| date.checked_add_months(months));
        Ok(Some(Self { full_life, source, renewed, distance, time, due_odometer, due_date }))
    }

    /// How it was reckoned, as sentences.
    pub fn reasoning(&self) -> Vec<String> {
        let source = match self.source {
            LifeSource::Stated => "as stated",
            LifeSource::Usual => "usual for its type; common practice, no source",
            LifeSource::ShorterOfMixed => "the shorter of the two types, because they mix; common practice, no source",
        };
        let life = both(
            self.full_life.km.map(|km| format!("{} km", grouped(km))),
            self.full_life.years.map(|years| format!("{} years", number(years, if years.fract() == 0.0 { 0 } else { 1 }))),
            " or ",
        );
        let reduced = both(
            self.distance.as_ref().map(|distance| format!("{} km", grouped((distance.value / 1000.0).round() * 1000.0))),
            self.time.as_ref().map(|time| format!("{} years", number(time.value, 1))),
            " or ",
        );
        let mut sentences = vec![format!("A full fill lasts {life} ({source}).")];
        if self.renewed.value < 0.995 {
            sentences.push(format!(
                "{} of the coolant is new. The inhibitors of the rest are counted as spent, so the fill starts with that share of a new \
                 one's, and is due after that share of its life.",
                percent(&self.renewed)
            ));
        }
        let due = both(
            self.due_odometer.as_ref().map(|due| format!("at {} km", grouped((due.value / 1000.0).floor() * 1000.0))),
            self.due_date.map(|date| format!("on {date}")),
            " or ",
        );
        let due = if due.is_empty() { String::new() } else { format!(": {due}") };
        let first = if self.distance.is_some() && self.time.is_some() { ", whichever comes first" } else { "" };
        sentences.push(format!("Due after {reduced}{first}{due}."));
        sentences.push("The maker's schedule outranks this.".to_owned());
        sentences
    }
}

/// Two parts with a word between, where both are there.
fn both(one: Option<String>, other: Option<String>, between: &str) -> String {
    [one, other].into_iter().flatten().collect::<Vec<_>>().join(between)
}
