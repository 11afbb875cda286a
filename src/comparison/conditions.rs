//! Conditions: what was not alike between two drives, as numbers for the uncertainty and as sentences for the person.

use super::Drive;
use crate::analysis::heat_input::Source;
use crate::analysis::heat_rejection::HeatRejection;
use crate::channel::Channel;
use crate::estimate::spoken::number;
use crate::run::Run;

/// Speed above which a vehicle drives on a road, km/h: below it, town and traffic.
const ROAD_KMH: f64 = 40.0;

/// Seconds with an open valve from which standing and driving are told as shares.
const TELLS_S: f64 = 60.0;

/// One thing that was not alike, as a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unlike(pub String);

/// What one drive was like.
#[derive(Clone, Copy, Debug)]
struct Day {
    ambient: f64,
    ambient_known: f64,
    start: Option<f64>,
    standing: f64,
    road_speed: f64,
    held_s: f64,
    source: Source,
    interval: Option<f64>,
    step: Option<f64>,
}

impl Day {
    fn of(drive: Drive) -> Self {
        let analysis = drive.analysis;
        let coolant = drive.run.trace(Channel::CoolantTemperature);
        Self {
            ambient: analysis.ambient.temperature.value,
            ambient_known: analysis.ambient.temperature.standard_uncertainty,
            start: coolant.and_then(|trace| trace.at(analysis.phases.fired_s).or(trace.value.first().copied())),
            standing: standing_share(&analysis.heat_rejection),
            road_speed: road_speed(drive.run),
            held_s: analysis.regulation.held_s,
            source: analysis.heat.source,
            interval: analysis.log_quality.coolant_interval_s,
            step: analysis.log_quality.coolant_step_k,
        }
    }
}

/// How unlike two drives were.
#[derive(Clone, Copy, Debug)]
pub struct Conditions {
    days: [Day; 2],
}

impl Conditions {
    /// Of an earlier and a later drive.
    pub(super) fn of(earlier: Drive, later: Drive) -> Self {
        Self { days: [Day::of(earlier), Day::of(later)] }
    }

    fn apart(&self, of: impl Fn(&Day) -> f64) -> f64 {
        (of(&self.days[1]) - of(&self.days[0])).abs()
    }

    /// Difference of the ambient temperatures in tens of kelvin, 3 at most.
    pub fn weather(&self) -> f64 {
        (0.1 * self.apart(|day| day.ambient)).min(3.0)
    }

    /// Difference of the start temperatures in tens of kelvin, 5 at most.
    pub fn start(&self) -> f64 {
        match self.days.map(|day| day.start) {
            [Some(earlier), Some(later)] => (0.1 * (later - earlier).abs()).min(5.0),
            _ => 1.0,
        }
    }

    /// Difference of the shares of standing with an open valve, 0 to 1.
    pub fn standing(&self) -> f64 {
        self.apart(|day| day.standing)
    }

    /// Difference of the mean road speeds in 30 km/h, 2 at most.
    pub fn road_speed(&self) -> f64 {
        (self.apart(|day| day.road_speed) / 30.0).min(2.0)
    }

    /// How much shorter than half an hour the shorter hold is, as a natural logarithm; 0 for a longer one.
    pub fn short_hold(&self) -> f64 {
        let shorter = self.days[0].held_s.min(self.days[1].held_s).max(1.0);
        (1800.0 / shorter).ln().max(0.0)
    }

    /// What was not alike, as sentences.
    pub fn unlike(&self) -> Vec<Unlike> {
        let [earlier, later] = &self.days;
        let mut said = Vec::new();
        let mut say = |text: String| said.push(Unlike(text));
        if self.apart(|day| day.ambient) > 2.0 * earlier.ambient_known.hypot(later.ambient_known).max(2.5) {
            say(format!("The air was at {} °C then and at {} °C now.", number(earlier.ambient, 0), number(later.ambient, 0)));
        }
        if let (Some(then), Some(now)) = (earlier.start, later.start)
            && (now - then).abs() >= 10.0
        {
            say(format!("The drive began at {} °C then and at {} °C now.", number(then, 0), number(now, 0)));
        }
        if self.standing() > 0.25 {
            let per_cent = |day: &Day| number(100.0 * day.standing, 0);
            say(format!("With the valve open it stood for {} % of the time then and {} % now.", per_cent(earlier), per_cent(later)));
        }
        if self.apart(|day| day.road_speed) > 20.0 {
            let speed =
                |day: &Day| if day.road_speed > 0.0 { format!("{} km/h", number(day.road_speed, 0)) } else { "not driven".to_owned() };
            say(format!("On the road: {} then, {} now.", speed(earlier), speed(later)));
        }
        if earlier.source != later.source {
            say(format!("Heat input was told by {} then and by {} now.", earlier.source.spoken(), later.source.spoken()));
        }
        if let (Some(then), Some(now)) = (earlier.interval, later.interval)
            && then.max(now) > 2.0 * then.min(now)
        {
            say(format!("The coolant was read every {} s then and every {} s now.", number(then, 1), number(now, 1)));
        }
        if let (Some(then), Some(now)) = (earlier.step, later.step)
            && (now - then).abs() > 0.01
        {
            say(format!("It was read in steps of {} K then and of {} K now.", number(then, 2), number(now, 2)));
        }
        said
    }
}

/// Share of the time with an open valve in which the vehicle stood or crawled; a half where that is not known.
fn standing_share(rejection: &HeatRejection) -> f64 {
    let [standing, moving] = rejection.seen_s;
    if standing + moving > TELLS_S { standing / (standing + moving) } else { 0.5 }
}

/// Mean speed on the road, km/h; 0 without any.
fn road_speed(run: &Run) -> f64 {
    let speeds = run.trace(Channel::VehicleSpeed).map(|trace| trace.value.as_slice()).unwrap_or_default();
    let road: Vec<f64> = speeds.iter().copied().filter(|speed| *speed > ROAD_KMH).collect();
    if road.is_empty() { 0.0 } else { road.iter().sum::<f64>() / road.len() as f64 }
}
