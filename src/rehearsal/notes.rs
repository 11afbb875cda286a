//! What the person with the notebook writes down.
//!
//! Readings in whole millimetres, each wrong by up to a stated half-width, and by more where the vehicle stands on another spot
//! than before; poured volumes in tens of millilitres; drained and filled volumes to the scale of pan and can. A heat cycle
//! follows the other by a day.

use super::random::Random;
use super::scenario::{Refill, Scenario, Start};
use super::simulation::CycleLevels;
use super::volumes::relative_volume;
use crate::run::{LevelReading, NoteTime, Occasion, ReadingUnit};
use crate::vehicle::ReservoirKind;
use chrono::{NaiveDateTime, TimeDelta, Timelike};

/// Seconds from one heat cycle to the next.
const DAY: f64 = 86_400.0;

/// The person at work.
struct Person<'a> {
    scenario: &'a Scenario,
    random: Random,
    started: Option<NaiveDateTime>,
}

impl Person<'_> {
    /// A note at a moment, s from the logged start; a person writes the minute.
    fn note(&self, seconds: f64, occasion: Occasion, reading: f64, unit: ReadingUnit, remark: &str) -> LevelReading {
        let moved = self.started.and_then(|started| started.checked_add_signed(TimeDelta::seconds(seconds.round() as i64)));
        let moved = moved.and_then(|moment| moment.with_second(0));
        LevelReading {
            time: moved.map_or(NoteTime::Order, NoteTime::Full),
            occasion,
            reading,
            unit,
            ambient: Some(self.scenario.weather.ambient.round()),
            cap_opened: (occasion != Occasion::ColdBefore).then_some(false),
            method: None,
            note: remark.to_owned(),
        }
    }

    /// A level, read with a ruler.
    fn level(&mut self, seconds: f64, occasion: Occasion, level: f64, remark: &str) -> LevelReading {
        let notes = &self.scenario.notes;
        let mut error = notes.error_mm * (2.0 * self.random.unit() - 1.0);
        let mut remark = remark;
        if notes.uneven_mm > 0.0 && self.random.chance(0.5) {
            error += notes.uneven_mm * (2.0 * self.random.unit() - 1.0);
            remark = "on the street";
        }
        let reading = (level / self.scenario.reservoir.per_mm.max(0.1) + error).round().max(0.0);
        self.note(seconds, occasion, reading, ReadingUnit::Millimetre, remark)
    }

    /// What came out and went in; the circuit takes less back by the gas that stays in it.
    fn refill(&mut self, refill: &Refill, first: &CycleLevels, seconds: f64) -> [LevelReading; 2] {
        let (mix, ambient) = (self.scenario.mix(), self.scenario.weather.ambient);
        let cold = refill.drained * relative_volume(&mix, ambient) / relative_volume(&mix, refill.warmth);
        let mut read = |volume: f64| ((volume * (1.0 + refill.error * (2.0 * self.random.unit() - 1.0))) / 50.0).round() * 50.0;
        let (out, into) = (read(refill.drained), read((cold - first.gas_before).max(0.0)));
        let remark = format!("about {:.0} degC when drained", refill.warmth);
        let mut drained = self.note(seconds - 5400.0, Occasion::Drained, out, ReadingUnit::Millilitre, &remark);
        let mut filled = self.note(seconds - 3000.0, Occasion::Filled, into, ReadingUnit::Millilitre, "");
        (drained.cap_opened, filled.cap_opened) = (Some(true), Some(true));
        filled.method = Some("gravity".to_owned());
        [drained, filled]
    }
}

/// The notes of all heat cycles; `key_off` of the logged one, s from ignition on. Nobody reads a level before a log that begins
/// with a restart on the same morning; it was read the evening before.
pub fn notes(scenario: &Scenario, cycles: &[CycleLevels], key_off: usize) -> Vec<LevelReading> {
    let plan = &scenario.notes;
    if !plan.taken {
        return Vec::new();
    }
    let mut person = Person { scenario, random: Random::new(scenario.seed, 3), started: scenario.started.parse().ok() };
    let mut rows = Vec::new();
    let logged = plan.logged_cycle.clamp(1, plan.cycles.max(1));
    for (index, levels) in cycles.iter().enumerate() {
        let begins = DAY * (index as f64 + 1.0 - logged as f64);
        let off = begins + key_off as f64;
        if index == 0 {
            let before = if scenario.drive.start == Start::Cold { begins - 600.0 } else { begins - 43_200.0 };
            if let Some(refill) = &plan.refill {
                rows.extend(person.refill(refill, levels, before));
            }
            rows.push(person.level(before, Occasion::ColdBefore, levels.cold_before, "same spot in the yard"));
            if plan.refill.is_some() {
                rows.last_mut().into_iter().for_each(|row| row.cap_opened = Some(true));
            }
        }
        rows.push(person.level(off + plan.hot_after, Occasion::HotAfterDrive, levels.hot, "from outside"));
        rows.push(person.level(off + plan.cold_after, Occasion::ColdAfter, levels.cold_after, "before anything was opened"));
        if levels.topped_up > 0.0 {
            let mut poured = person.note(off + plan.cold_after + 600.0, Occasion::ToppedUp, levels.topped_up, ReadingUnit::Millilitre, "");
            // An overflow bottle is topped up with the pressure cap closed.
            poured.cap_opened = Some(scenario.reservoir.kind == ReservoirKind::ExpansionTank);
            rows.push(poured);
        }
    }
    rows
}
