//! Log quality: what can this log tell, and what can it not?
//!
//! How often the coolant was read and in what steps, how much of the drive has readings, where rows are missing, which defects lie
//! where, and which channels would have sharpened the answer. Nothing is judged: a finding asks whether a gap or a defect
//! lies within its own stretch ([`LogQuality::overlapping`]) and says so.
//!
//! Limits: a defect that was seen many times is known by its first place only.

use crate::analysis::phases::Phases;
use crate::channel::Channel;
use crate::numeric::robust;
use crate::run::{DefectKind, Run};
use serde::Serialize;

/// A reading stands for at most this many usual intervals; what is longer is not covered. Our own choice.
const STANDS_FOR: f64 = 5.0;

/// And for at least this long, in seconds: coolant does not change faster than a few kelvin in it.
const STANDS_AT_LEAST_S: f64 = 10.0;

/// What each channel would add where it is missing; a channel counts as there if any of its group is.
const WOULD_ADD: [(&[Channel], &str); 7] = [
    (
        &[Channel::FuelRate, Channel::AirFlow, Channel::ManifoldPressure, Channel::EngineLoad],
        "how much heat the engine makes, and so a sharper opening temperature",
    ),
    (&[Channel::EngineSpeed], "when the engine fires and stops, and so the cooling down"),
    (&[Channel::VehicleSpeed], "whether the air stream or the fan cools, and so whether fan and radiator do"),
    (
        &[Channel::AmbientTemperature, Channel::IntakeAirTemperature],
        "the weather, and so the warm-up, the cooling down and the sensor's offset",
    ),
    (&[Channel::BarometricPressure], "the boiling point at this altitude"),
    (&[Channel::HeaterOutletTemperature], "whether coolant flows through the heater, where air likes to stay"),
    (&[Channel::OilTemperature], "whether the engine was cold through at the start"),
];

/// A channel that the log lacks, and what it would add.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Missing {
    /// Any one of these would do.
    pub channels: Vec<Channel>,
    /// What it would tell.
    pub adds: &'static str,
}

/// Something wrong at a place in the log.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Flaw {
    /// What kind.
    pub kind: DefectKind,
    /// From, in seconds from the first row.
    pub from_s: f64,
    /// To, in seconds; the same moment for a defect that has no length.
    pub to_s: f64,
    /// In words: "14 s gap at 312 s".
    pub words: String,
}

/// What the log can tell.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct LogQuality {
    /// Usual time between coolant readings, in seconds; `None` under two readings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub coolant_interval_s: Option<f64>,
    /// Step of the coolant reading, in kelvin; `None` where no step is seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub coolant_step_k: Option<f64>,
    /// Share of the drive for which a coolant reading stands, 0 to 1.
    pub covered: f64,
    /// Gaps and placed defects, in time order.
    pub flaws: Vec<Flaw>,
    /// Channels that would have sharpened the answer.
    pub missing: Vec<Missing>,
    /// Whether the log begins before the engine fires.
    pub begins_before_start: bool,
    /// Whether it goes on after the engine is stopped.
    pub ends_after_stop: bool,
}

impl LogQuality {
    /// Examines a run.
    pub fn of(run: &Run, phases: &Phases) -> Self {
        let coolant = run.trace(Channel::CoolantTemperature);
        let spacing: Vec<f64> = coolant.map(|trace| trace.time.windows(2).map(|pair| pair[1] - pair[0]).collect()).unwrap_or_default();
        let coolant_interval_s = robust::median(&spacing);
        let missing = WOULD_ADD.iter().filter(|(channels, _)| channels.iter().all(|&channel| run.trace(channel).is_none()));
        Self {
            coolant_interval_s,
            coolant_step_k: coolant.map(|trace| trace.step).filter(|step| *step > 0.0),
            covered: covered(run, phases, coolant_interval_s.unwrap_or(0.0)),
            flaws: flaws(run),
            missing: missing.map(|(channels, adds)| Missing { channels: channels.to_vec(), adds }).collect(),
            begins_before_start: phases.told_by.is_some() && phases.fired_s > 0.0,
            ends_after_stop: phases.key_off_s.is_some(),
        }
    }

    /// The gaps and defects that touch a stretch, ends included, in seconds.
    pub fn overlapping(&self, from: f64, to: f64) -> impl Iterator<Item = &Flaw> {
        self.flaws.iter().filter(move |flaw| flaw.from_s <= to && flaw.to_s >= from)
    }

    /// Whether a gap or a defect touches a stretch.
    pub fn overlaps(&self, from: f64, to: f64) -> bool {
        self.overlapping(from, to).next().is_some()
    }

    /// What is to be said of the log, as sentences.
    pub fn sentences(&self) -> Vec<String> {
        let mut said = Vec::new();
        if let Some(interval) = self.coolant_interval_s {
            let step = self.coolant_step_k.map_or_else(String::new, |step| format!(" in steps of {} K", plain(step)));
            said.push(format!("The coolant was read every {} s{step}.", plain(interval)));
        }
        if self.covered < 0.995 {
            said.push(format!("Readings cover {:.0} % of the drive.", 100.0 * self.covered));
        }
        said.extend(self.flaws.iter().map(|flaw| format!("There is a {}.", flaw.words)));
        said.extend(self.missing.iter().map(|missing| {
            let names: Vec<&str> = missing.channels.iter().map(|channel| channel.spoken()).collect();
            format!("The log has no {}; it would tell {}.", names.join(" or "), missing.adds)
        }));
        said
    }
}

/// Share of the drive for which a coolant reading stands.
fn covered(run: &Run, phases: &Phases, interval: f64) -> f64 {
    let (from, to) = (phases.fired_s, phases.drive_end(run));
    let Some(coolant) = run.trace(Channel::CoolantTemperature) else { return 0.0 };
    let stands = (STANDS_FOR * interval).max(STANDS_AT_LEAST_S);
    let next = coolant.time.iter().skip(1).copied().chain([f64::INFINITY]);
    let spans = coolant.time.iter().zip(next).map(|(&start, next)| (next.min(start + stands).min(to) - start.max(from)).max(0.0));
    if to > from { (spans.sum::<f64>() / (to - from)).min(1.0) } else { 0.0 }
}

fn flaws(run: &Run) -> Vec<Flaw> {
    let gaps = run.gaps.iter().map(|&[from, to]| {
        let words = format!("{:.0} s gap at {from:.0} s", to - from);
        Flaw { kind: DefectKind::Gap, from_s: from, to_s: to, words }
    });
    let placed = run.defects.iter().filter_map(|defect| {
        let (what, at) = (spoken(defect.kind)?, defect.at_s?);
        let whose = defect.channel.map_or_else(String::new, |channel| format!(" of {}", channel.spoken()));
        let often = if defect.count > 1 { format!(", the first of {}", defect.count) } else { String::new() };
        Some(Flaw { kind: defect.kind, from_s: at, to_s: at, words: format!("{what}{whose} at {at:.0} s{often}") })
    });
    let mut all: Vec<Flaw> = gaps.chain(placed).collect();
    all.sort_by(|a, b| a.from_s.total_cmp(&b.from_s));
    all
}

/// A defect that can move a reading or a moment near its place, in words, singular, without article; `None` for one that cannot, and
/// for gaps, which stand in the run's own list with their lengths.
fn spoken(kind: DefectKind) -> Option<&'static str> {
    match kind {
        DefectKind::OutOfRange => Some("value out of range"),
        DefectKind::Sentinel => Some("code for \"no reading\""),
        DefectKind::NotANumber => Some("word in place of a number"),
        DefectKind::Jump => Some("sudden jump"),
        DefectKind::Restart => Some("restart of the recorder"),
        DefectKind::TraceStops => Some("last update"),
        DefectKind::GluedValue => Some("pair of values in one cell"),
        DefectKind::ClockBack => Some("step back of the clock"),
        DefectKind::ClockAhead => Some("jump ahead of the clock"),
        DefectKind::BadFrame => Some("frame that could not be read"),
        _ => None,
    }
}

/// A number with at most two digits after the point, none that are zero.
fn plain(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::run::{Defect, Trace};

    /// Five hundred seconds, coolant every second but for a hole from 312 to 326 s.
    fn drive() -> Run {
        let time: Vec<f64> = (0..=500).map(f64::from).filter(|t| *t <= 312.0 || *t >= 326.0).collect();
        let value = time.iter().map(|t| (20.0 + t / 10.0).floor()).collect();
        let coolant = Trace { time, value, step: 1.0 };
        let engine = Trace { time: vec![0.0, 10.0], value: vec![0.0, 900.0], step: 0.0 };
        let jump = Defect {
            kind: DefectKind::Jump,
            channel: Some(Channel::CoolantTemperature),
            at_s: Some(100.0),
            line: None,
            count: 3,
            effect: "left out".into(),
        };
        let benign = Defect { kind: DefectKind::StaleRepeat, at_s: Some(50.0), ..jump.clone() };
        Run {
            duration: 500.0,
            traces: [(Channel::CoolantTemperature, coolant), (Channel::EngineSpeed, engine)].into(),
            gaps: vec![[312.0, 326.0]],
            defects: vec![benign, jump],
            ..Run::default()
        }
    }

    fn of(run: &Run) -> LogQuality {
        LogQuality::of(run, &Phases::of(run))
    }

    #[test]
    fn gaps_and_defects_are_placed_and_a_finding_can_ask_whether_they_touch_it() {
        let quality = of(&drive());
        let words: Vec<&str> = quality.flaws.iter().map(|flaw| flaw.words.as_str()).collect();
        assert_eq!(words, ["sudden jump of coolant temperature at 100 s, the first of 3", "14 s gap at 312 s"]);
        assert!(quality.overlaps(320.0, 330.0) && quality.overlaps(326.0, 400.0) && quality.overlaps(90.0, 100.0));
        assert!(!quality.overlaps(327.0, 400.0) && !quality.overlaps(40.0, 60.0));
    }

    #[test]
    fn interval_step_and_cover_are_those_of_the_coolant() {
        let quality = of(&drive());
        assert_eq!((quality.coolant_interval_s, quality.coolant_step_k), (Some(1.0), Some(1.0)));
        // A reading stands for 10 s, so 4 s of the 490 s drive are without one.
        assert!((quality.covered - (1.0 - 4.0 / 490.0)).abs() < 1e-9, "{}", quality.covered);
        assert!(quality.begins_before_start && !quality.ends_after_stop);
    }

    #[test]
    fn what_is_missing_is_named_with_what_it_would_add() {
        let quality = of(&drive());
        let missing: Vec<Channel> = quality.missing.iter().map(|missing| missing.channels[0]).collect();
        assert!(missing.contains(&Channel::FuelRate) && !missing.contains(&Channel::EngineSpeed));
        let mut richer = drive();
        richer.traces.insert(Channel::EngineLoad, Trace { time: vec![0.0], value: vec![20.0], step: 0.0 });
        assert!(of(&richer).missing.iter().all(|missing| !missing.channels.contains(&Channel::FuelRate)));
    }

    #[test]
    fn the_sentences_can_be_read_aloud() {
        let said = of(&drive()).sentences();
        assert_eq!(said[0], "The coolant was read every 1 s in steps of 1 K.");
        assert_eq!(said[1], "Readings cover 99 % of the drive.");
        assert!(said.contains(&"There is a 14 s gap at 312 s.".to_owned()));
        assert!(said.iter().any(|s| s.starts_with("The log has no barometric pressure; it would tell the boiling point")), "{said:?}");
    }

    #[test]
    fn an_empty_run_has_no_numbers_and_no_panic() {
        let quality = of(&Run::default());
        assert_eq!((quality.coolant_interval_s, quality.covered), (None, 0.0));
    }
}
