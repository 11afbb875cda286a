//! Readings that are none: codes, impossible values, glued answers, single jumps. They are left out, counted and placed.
//!
//! A control unit that has nothing to say writes the lowest or the highest code. −40 °C is also a temperature, so neighbours
//! decide: a run of −40 is real if a reading beside it lies within a few kelvin, and a code if the trace leaps there. A jump is
//! left out only where no coolant could do it: away by 25 K and back within seconds. Slugs of vapour move the reading less
//! and more slowly, and stay in the trace.
//!
//! # References
//!
//! - SAE J1979: one byte, offset −40 °C. SAE J1939-71: FEh "error", FFh "not available" (number of the clause not checked).

use crate::channel::Channel;
use crate::run::DefectKind;

/// A channel's readings with their times and rows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings {
    /// Seconds from the first row.
    pub time: Vec<f64>,
    /// In the channel's unit.
    pub value: Vec<f64>,
    /// Row in the file.
    pub row: Vec<u32>,
}

/// What was found in a trace.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Its kind.
    pub kind: DefectKind,
    /// How many readings.
    pub count: usize,
    /// Time of the first.
    pub at: f64,
    /// Row of the first.
    pub row: u32,
    /// The value there.
    pub value: f64,
    /// What was done.
    pub effect: &'static str,
}

/// A leap that no heat flow makes within seconds, and how near the trace must come back: in the channel's unit.
const fn jump(channel: Channel) -> Option<(f64, f64)> {
    match channel {
        Channel::VehicleSpeed => Some((60.0, 20.0)),
        Channel::CoolantTemperature
        | Channel::CoolantTemperature2
        | Channel::IntakeAirTemperature
        | Channel::AmbientTemperature
        | Channel::OilTemperature
        | Channel::HeaterOutletTemperature
        | Channel::RadiatorOutletTemperature => Some(JUMP),
        _ => None,
    }
}
/// For temperatures, in kelvin: a bare sensor follows its coolant with a time constant of some seconds (common practice, no
/// source), so 25 K within one reading is an electrical fault.
const JUMP: (f64, f64) = (25.0, 8.0);
/// Longest excursion that counts as a jump, and longest time between it and its neighbours, in seconds.
const JUMP_LENGTH: (f64, f64) = (30.0, 5.0);
/// How near a neighbour must be for −40 °C to be a reading, in kelvin.
const NEAR: f64 = 5.0;

/// Codes that stand for "nothing" in a channel's unit.
fn codes(channel: Channel) -> &'static [f64] {
    match channel {
        _ if channel.is_temperature() => &[-40.0, 214.0, 215.0, 254.0, 255.0],
        Channel::EngineSpeed => &[16_383.75, 16_383.0, 65_535.0, 65_534.0, 8191.875],
        Channel::VehicleSpeed => &[254.0, 255.0],
        Channel::ManifoldPressure | Channel::BarometricPressure => &[254.0, 255.0],
        Channel::AirFlow => &[655.35],
        Channel::FuelRate => &[3276.75, 3212.75],
        Channel::ModuleVoltage => &[65.535],
        Channel::RunTime => &[65_535.0],
        Channel::EngineLoad => &[254.0, 255.0],
        _ => &[],
    }
}

/// Takes out of `readings` what is no reading; `zero` is what 0 in the log's unit is in the channel's.
pub fn clean(channel: Channel, readings: &mut Readings, zero: f64) -> Vec<Found> {
    let mut found = Vec::new();
    let mut verdicts: Vec<Option<(DefectKind, &'static str)>> = vec![None; readings.value.len()];
    let (low, high) = channel.range();
    let codes = codes(channel);
    let is_code = |value: f64| codes.iter().any(|code| (*code - value).abs() < 0.05);
    for (value, verdict) in readings.value.iter_mut().zip(&mut verdicts) {
        if (low..=high).contains(value) && !is_code(*value) {
            continue;
        }
        *verdict = match unglued(channel, *value) {
            Some(Ok(single)) if (low..=high).contains(&single) => {
                *value = single;
                Some((DefectKind::GluedValue, "two control units' answers in one number; they agree, and the first was taken"))
            }
            Some(Ok(_)) => Some((DefectKind::GluedValue, "two control units' answers in one number, which is no reading; left out")),
            Some(Err(())) => Some((DefectKind::GluedValue, "two control units' answers in one number; left out")),
            None if is_code(*value) => Some((DefectKind::Sentinel, "a code for \"no reading\"; left out")),
            None => Some((DefectKind::OutOfRange, "outside what the channel can hold; left out")),
        };
    }
    acquit_real_values(channel, readings, &mut verdicts);
    zeros_before_first_answer(channel, readings, zero, &mut verdicts);
    if let Some((leap, back)) = jump(channel) {
        find_jumps(readings, &mut verdicts, leap, back);
    }
    let taken = |verdict: &Option<(DefectKind, &'static str)>| verdict.is_none_or(|(_, effect)| effect.ends_with("was taken"));
    for (index, verdict) in verdicts.iter().enumerate() {
        let Some((kind, effect)) = *verdict else { continue };
        match found.iter_mut().find(|found: &&mut Found| found.kind == kind && found.effect == effect) {
            Some(found) => found.count += 1,
            None => found.push(Found {
                kind,
                count: 1,
                at: readings.time.get(index).copied().unwrap_or(0.0),
                row: readings.row.get(index).copied().unwrap_or(0),
                value: readings.value.get(index).copied().unwrap_or(0.0),
                effect,
            }),
        }
    }
    if !found.is_empty() {
        let mut kept = verdicts.iter().map(taken);
        readings.time.retain(|_| kept.next().unwrap_or(true));
        let mut kept = verdicts.iter().map(taken);
        readings.value.retain(|_| kept.next().unwrap_or(true));
        let mut kept = verdicts.iter().map(taken);
        readings.row.retain(|_| kept.next().unwrap_or(true));
    }
    found
}

/// One-byte answers of two units read as one number, `v 41 pid w`: the value if both agree, an error if they do not.
fn unglued(channel: Channel, value: f64) -> Option<Result<f64, ()>> {
    if !channel.is_temperature() {
        return None;
    }
    let number = channel.j1979()?;
    [value, value + 40.0].into_iter().find_map(|raw| {
        if raw.fract() != 0.0 || !(0.0..=f64::from(u32::MAX)).contains(&raw) {
            return None;
        }
        let [first, service, parameter, second] = (raw as u32).to_be_bytes();
        let glued = service == 0x41 && parameter == number;
        glued.then(|| if first.abs_diff(second) <= 2 { Ok(f64::from(first) - 40.0) } else { Err(()) })
    })
}

/// Codes that lie within the channel's range are readings after all if a neighbour of their run is near.
fn acquit_real_values(channel: Channel, readings: &Readings, verdicts: &mut [Option<(DefectKind, &'static str)>]) {
    let (low, high) = channel.range();
    let near = if channel.is_temperature() { NEAR } else { 0.1 * (high - low).min(300.0) };
    let suspect = |verdicts: &[Option<(DefectKind, &'static str)>], index: usize| {
        matches!(verdicts.get(index), Some(Some((DefectKind::Sentinel, _))))
    };
    let mut start = 0;
    while start < readings.value.len() {
        if !suspect(verdicts, start) {
            start += 1;
            continue;
        }
        let end = (start..readings.value.len()).find(|&index| !suspect(verdicts, index)).unwrap_or(readings.value.len());
        let beside = |index: Option<usize>, edge: usize| match (index.and_then(|index| readings.value.get(index)), readings.value.get(edge))
        {
            (Some(neighbour), Some(value)) => (low..=high).contains(neighbour) && (neighbour - value).abs() <= near,
            _ => false,
        };
        if beside(start.checked_sub(1), start) || beside(Some(end), end - 1) {
            for index in start..end {
                let in_range = readings.value.get(index).is_some_and(|value| (low..=high).contains(value));
                if let Some(verdict) = verdicts.get_mut(index).filter(|_| in_range) {
                    *verdict = None;
                }
            }
        }
        start = end;
    }
}

/// A recorder that writes 0 until the first answer: a leap from exactly 0 at the start.
fn zeros_before_first_answer(channel: Channel, readings: &Readings, zero: f64, verdicts: &mut [Option<(DefectKind, &'static str)>]) {
    if !channel.is_temperature() {
        return;
    }
    let zeros = readings.value.iter().take_while(|value| **value == zero).count();
    let leaps = readings.value.get(zeros).is_some_and(|next| (next - zero).abs() >= 8.0);
    if zeros > 0 && leaps {
        for verdict in verdicts.iter_mut().take(zeros) {
            *verdict = Some((DefectKind::Sentinel, "zeros before the first answer; left out"));
        }
    }
}

/// Short excursions: away from the reading before by `leap` at once, and back within `back` of it.
fn find_jumps(readings: &Readings, verdicts: &mut [Option<(DefectKind, &'static str)>], leap: f64, back: f64) {
    let live: Vec<usize> = (0..readings.value.len()).filter(|&index| matches!(verdicts.get(index), Some(None))).collect();
    let at = |place: usize| live.get(place).and_then(|&index| Some((*readings.time.get(index)?, *readings.value.get(index)?)));
    let mut place = 1_usize;
    while let (Some((time_before, before)), Some((time, value))) = (place.checked_sub(1).and_then(at), at(place)) {
        if (value - before).abs() < leap || time - time_before > JUMP_LENGTH.1 {
            place += 1;
            continue;
        }
        let mut end = place;
        while at(end).is_some_and(|(later, value)| (value - before).abs() >= leap && later - time <= JUMP_LENGTH.0) {
            end += 1;
        }
        let returned = at(end).is_some_and(|(later, after)| {
            let last = at(end - 1).map_or(time, |(last, _)| last);
            (after - before).abs() <= back && later - last <= JUMP_LENGTH.1 && last - time <= JUMP_LENGTH.0
        });
        if returned {
            for &index in live.get(place..end).unwrap_or_default() {
                if let Some(verdict) = verdicts.get_mut(index) {
                    *verdict = Some((DefectKind::Jump, "far from the readings on both sides; left out"));
                }
            }
        }
        place = if returned { end + 1 } else { place + 1 };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cleaned(values: &[f64]) -> (Vec<f64>, Vec<(DefectKind, usize)>) {
        let mut readings = Readings {
            time: (0..values.len()).map(|index| index as f64).collect(),
            value: values.to_vec(),
            row: (0..values.len()).map(|index| index as u32).collect(),
        };
        let found = clean(Channel::CoolantTemperature, &mut readings, 0.0);
        (readings.value, found.iter().map(|found| (found.kind, found.count)).collect())
    }

    #[test]
    fn neighbours_decide_whether_minus_forty_is_a_morning_or_a_code() {
        assert_eq!(cleaned(&[-40.0, -40.0, -39.0, -38.0]), (vec![-40.0, -40.0, -39.0, -38.0], vec![]));
        assert_eq!(cleaned(&[85.0, -40.0, -40.0, 85.0]), (vec![85.0, 85.0], vec![(DefectKind::Sentinel, 2)]));
        assert_eq!(cleaned(&[-40.0, 25.0, 26.0]), (vec![25.0, 26.0], vec![(DefectKind::Sentinel, 1)]));
        assert_eq!(cleaned(&[-40.0, -40.0, -40.0]), (vec![], vec![(DefectKind::Sentinel, 3)]));
    }

    #[test]
    fn codes_jumps_and_glued_answers_never_become_a_temperature() {
        assert_eq!(cleaned(&[85.0, 215.0, 255.0, 86.0]), (vec![85.0, 86.0], vec![(DefectKind::Sentinel, 2)]));
        assert_eq!(cleaned(&[85.0, 700.0, 86.0]), (vec![85.0, 86.0], vec![(DefectKind::OutOfRange, 1)]));
        assert_eq!(cleaned(&[85.0, 12.0, 86.0]), (vec![85.0, 86.0], vec![(DefectKind::Jump, 1)]));
        assert_eq!(cleaned(&[0.0, 0.0, 25.0, 26.0]), (vec![25.0, 26.0], vec![(DefectKind::Sentinel, 2)]));
        // 77 41 05 77: 79 °C twice. 77 41 05 40 is 79 °C and 24 °C.
        assert_eq!(cleaned(&[79.0, f64::from(0x7741_0577_u32), 79.0]), (vec![79.0, 79.0, 79.0], vec![(DefectKind::GluedValue, 1)]));
        assert_eq!(cleaned(&[79.0, f64::from(0x7741_0540_u32) - 40.0, 79.0]), (vec![79.0, 79.0], vec![(DefectKind::GluedValue, 1)]));
        // FF 41 05 FF: both units say "no reading", which must not come out as 215 °C.
        assert_eq!(cleaned(&[79.0, f64::from(0xFF41_05FF_u32), 79.0]), (vec![79.0, 79.0], vec![(DefectKind::GluedValue, 1)]));
    }

    #[test]
    fn what_coolant_can_do_stays() {
        // A slug of vapour: 15 K down and back in a few seconds. A restart: 8 K at once.
        let slug = [88.0, 80.0, 73.0, 79.0, 88.0];
        assert_eq!(cleaned(&slug), (slug.to_vec(), vec![]));
        let zero_morning = [0.0, 0.0, 1.0, 2.0];
        assert_eq!(cleaned(&zero_morning), (zero_morning.to_vec(), vec![]));
    }
}
