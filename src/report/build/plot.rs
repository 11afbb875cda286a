//! The picture: what the verdict rests on, at a glance.

use super::super::document::{Band, Chart, Curve, Mark, MarkKind, Panel, Phase};
use super::super::words;
use crate::analysis::Analysis;
use crate::analysis::opening::State;
use crate::analysis::trapped_air::signs::Group;
use crate::channel::Channel;
use crate::run::{Run, Trace};
use crate::verdict::rules::opening::wax_rating;

/// Draws up the chart of a run.
pub fn chart(run: &Run, analysis: &Analysis) -> Chart {
    let mut panels = vec![temperature(run, analysis)];
    let relative = &analysis.heat.relative;
    if !relative.is_empty() {
        let curves = vec![curve("heat input", &smoothed(relative), &run.gaps, false)];
        panels.push(Panel { label: "heat input".to_owned(), unit: "of its median".to_owned(), weight: 1.0, curves, ..Panel::default() });
    }
    if let Some(speed) = run.trace(Channel::VehicleSpeed) {
        let curves = vec![curve("speed", speed, &run.gaps, false)];
        panels.push(Panel { label: "speed".to_owned(), unit: "km/h".to_owned(), weight: 0.8, curves, ..Panel::default() });
    }
    Chart {
        title: run.vehicle.name.clone().unwrap_or_else(|| run.source.clone()),
        description: description(run, analysis),
        panels,
        phases: phases(run, analysis),
        duration_s: run.duration,
        ..Chart::default()
    }
}

fn temperature(run: &Run, analysis: &Analysis) -> Panel {
    let opening = &analysis.opening;
    let regulation = &analysis.regulation;
    let context = [Channel::CoolantTemperature2, Channel::HeaterOutletTemperature, Channel::RadiatorOutletTemperature];
    let main = run.trace(Channel::CoolantTemperature).map(|trace| curve("coolant", trace, &run.gaps, true));
    let others = context.iter().filter_map(|channel| run.trace(*channel).map(|trace| curve(channel.spoken(), trace, &run.gaps, false)));
    let mut bands = Vec::new();
    if let (Some(low), Some(high), Some(settled)) = (regulation.low, regulation.high, regulation.settling_time) {
        bands.push(Band {
            name: format!("held {:.0} to {:.0} °C", low.value, high.value),
            from_s: settled.value,
            to_s: analysis.phases.drive_end(run),
            low: low.value,
            high: high.value,
        });
    }
    if let Some(rating) = wax_rating(&run.vehicle.thermostat) {
        bands.push(Band { name: format!("stamped {rating:.0} °C"), from_s: 0.0, to_s: run.duration, low: rating, high: rating });
    }
    let mut marks = Vec::new();
    if let (Some(temperature), Some(time)) = (opening.temperature, opening.time) {
        marks.push(Mark {
            name: format!("opens at {} after {}", words::value(&temperature), words::value(&time)),
            kind: MarkKind::Opening,
            at_s: time.value,
            interval_s: time.interval_95,
            value: Some(temperature.value),
            value_interval: Some(temperature.interval_95),
        });
    }
    marks.extend(run.gaps.iter().map(|gap| Mark {
        name: format!("no rows for {:.0} s", gap[1] - gap[0]),
        kind: MarkKind::Defect,
        at_s: gap[0],
        interval_s: *gap,
        value: None,
        value_interval: None,
    }));
    marks.extend(signs(analysis));
    Panel {
        label: "coolant".to_owned(),
        unit: "°C".to_owned(),
        weight: 3.0,
        curves: main.into_iter().chain(others).collect(),
        bands,
        marks,
    }
}

/// Where signs of trapped air were seen: the greatest unexplained rises, the overshoot, the steps of a logged level.
fn signs(analysis: &Analysis) -> Vec<Mark> {
    let air = &analysis.trapped_air;
    let mark = |name: String, [from, to]: [f64; 2]| Mark {
        name,
        kind: MarkKind::Signature,
        at_s: from,
        interval_s: [from, to],
        value: None,
        value_interval: None,
    };
    let mut marks = Vec::new();
    for signature in &air.signatures {
        match signature.group {
            Group::Changes => {
                let greatest = air.seen.changes().map_or(&[][..], |changes| &changes.greatest);
                marks.extend(greatest.iter().map(|[at, rise]| mark(format!("+{rise:.1} K unexplained"), [*at, at + 15.0])));
            }
            Group::Overshoot => marks.extend(signature.at_s.map(|at| mark("overshoot".to_owned(), at))),
            Group::Gulps => {
                let gulps = air.seen.gulps.as_deref().unwrap_or_default();
                marks.extend(gulps.iter().map(|gulp| mark("the level falls".to_owned(), gulp.at_s)));
            }
            _ => {}
        }
    }
    marks
}

/// A trace as a curve, broken where the log has no rows.
fn curve(name: &str, trace: &Trace, gaps: &[[f64; 2]], main: bool) -> Curve {
    let mut points: Vec<(f64, f64)> = Vec::with_capacity(trace.len() + gaps.len());
    let mut gaps = gaps.iter().peekable();
    for (time, value) in trace.iter() {
        while let Some(gap) = gaps.next_if(|gap| gap[1] <= time) {
            points.push((gap[0], f64::NAN));
        }
        points.push((time, value));
    }
    Curve { name: name.to_owned(), points, main }
}

/// Heat input as means of 15 s, so that gear shifts do not hide its course.
fn smoothed(trace: &Trace) -> Trace {
    let mut smooth = Trace::default();
    let (mut sum, mut count, mut from) = (0.0, 0.0, f64::NEG_INFINITY);
    for (time, value) in trace.iter() {
        if time - from > 15.0 {
            if count > 0.0 {
                smooth.time.push(from + 7.5);
                smooth.value.push(sum / count);
            }
            (sum, count, from) = (0.0, 0.0, time);
        }
        sum += value;
        count += 1.0;
    }
    smooth
}

fn phases(run: &Run, analysis: &Analysis) -> Vec<Phase> {
    let end = analysis.phases.drive_end(run);
    let opened = analysis.opening.knee_time.map(|time| time.value);
    let settled = analysis.regulation.settling_time.map(|time| time.value);
    let rises_until = opened.or(settled).unwrap_or(end);
    let mut found = Vec::new();
    let mut phase = |name: &str, from_s: f64, to_s: f64| {
        if to_s - from_s >= 1.0 {
            found.push(Phase { name: name.to_owned(), from_s, to_s });
        }
    };
    if analysis.opening.state != State::AlreadyOpen {
        phase("warm-up", analysis.phases.fired_s, rises_until);
    }
    if let Some(settled) = settled {
        phase("settling", rises_until, settled);
        phase("regulation", settled, end);
    }
    phase("engine off", end, run.duration);
    found
}

fn description(run: &Run, analysis: &Analysis) -> String {
    let ends = run.trace(Channel::CoolantTemperature).and_then(|trace| Some((*trace.value.first()?, *trace.value.last()?)));
    let mut sentences = vec![match ends {
        Some((first, last)) => {
            // Without a reading while the engine runs there is none.
            let highest = Some(analysis.opening.highest).filter(|highest| highest.is_finite());
            let highest = highest.map_or(String::new(), |highest| format!(", highest {highest:.0} °C"));
            format!("Coolant temperature over {}: from {first:.0} to {last:.0} °C{highest}.", words::clock(run.duration))
        }
        None => "The log has no coolant temperature.".to_owned(),
    }];
    if let Some(rating) = wax_rating(&run.vehicle.thermostat) {
        sentences.push(format!("The thermostat is stamped {rating:.0} °C."));
    }
    if let (Some(temperature), Some(time)) = (analysis.opening.temperature, analysis.opening.time) {
        sentences.push(format!("The thermostat opens at {} after {}.", temperature.spoken(), words::value(&time)));
    }
    let regulation = &analysis.regulation;
    if let (Some(low), Some(high), Some(settled)) = (regulation.low, regulation.high, regulation.settling_time) {
        let since = words::clock(settled.value);
        sentences.push(format!("From {since} on the reading holds {:.0} to {:.0} °C.", low.value, high.value));
    }
    let at = |mark: &Mark| format!("{} at {}", mark.name, words::clock(mark.at_s));
    let signs: Vec<String> = signs(analysis).iter().map(at).collect();
    if !signs.is_empty() {
        sentences.push(format!("Signs of air: {}.", signs.join(", ")));
    }
    for gap in &run.gaps {
        sentences.push(format!("No rows for {:.0} s from {} on.", gap[1] - gap[0], words::clock(gap[0])));
    }
    sentences.join(" ")
}
