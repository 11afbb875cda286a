//! The picture of two drives: both readings over the heat put in, with both bands and openings.

use super::capitalised;
use crate::analysis::Analysis;
use crate::comparison::{Comparison, Course, Drive};
use crate::estimate::spoken::{clock, number};
use crate::report::document::{Axis, Band, Chart, Curve, Mark, MarkKind, Panel};

/// Both drives over the heat put in, with both bands; `None` without two readings to draw.
pub fn overlay(comparison: &Comparison, earlier: Drive, later: Drive) -> Option<Chart> {
    let courses = comparison.courses.as_ref()?;
    let drives = [("then", earlier.analysis, false), ("now", later.analysis, true)];
    let mut panel = Panel { label: "coolant".to_owned(), unit: "°C".to_owned(), weight: 3.0, ..Panel::default() };
    for ((name, analysis, main), course) in drives.into_iter().zip(courses) {
        panel.curves.push(Curve { name: name.to_owned(), points: points(course), main });
        panel.bands.extend(band(name, analysis, course));
        panel.marks.extend(opening(name, analysis, course));
    }
    let scale = match comparison.common_heat {
        Some(source) => {
            format!("Both are drawn over the heat put in, told by {}: a minute is one at the usual input of the two.", source.spoken())
        }
        None => "The two logs have no stand-in for heat in common, so each is drawn over its own: a minute is one at its own usual input."
            .to_owned(),
    };
    let drawn = panel.bands.iter().map(|band| capitalised(&band.name)).chain(panel.marks.iter().map(|mark| capitalised(&mark.name)));
    let description = std::iter::once(scale).chain(drawn.map(|words| format!("{words}."))).collect::<Vec<_>>().join(" ");
    let duration_s = courses.iter().filter_map(|course| course.heat.last()).fold(0.0f64, |longest, heat| longest.max(60.0 * heat));
    let title = format!("Now against {}", comparison.against);
    Some(Chart { title, description, panels: vec![panel], duration_s, axis: Axis::HeatPutIn, ..Chart::default() })
}

/// The reading over the heat put in, in seconds at the usual input; while none goes in nothing is drawn.
fn points(course: &Course) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = Vec::with_capacity(course.heat.len());
    for (heat, reading) in course.heat.iter().zip(&course.reading) {
        if points.last().is_none_or(|(last, _)| 60.0 * heat > *last) {
            points.push((60.0 * heat, *reading));
        }
    }
    points
}

fn band(name: &str, analysis: &Analysis, course: &Course) -> Option<Band> {
    let regulation = &analysis.regulation;
    let (low, high, settled) = (regulation.low?.value, regulation.high?.value, regulation.settling_time?.value);
    let to_s = 60.0 * course.heat.last().copied()?;
    Some(Band {
        name: format!("{name} held {} to {} °C", number(low, 0), number(high, 0)),
        from_s: 60.0 * course.heat_at(settled),
        to_s,
        low,
        high,
    })
}

fn opening(name: &str, analysis: &Analysis, course: &Course) -> Option<Mark> {
    let (temperature, time) = (analysis.opening.temperature?, analysis.opening.time?);
    let at_s = 60.0 * course.heat_at(time.value);
    Some(Mark {
        name: format!("{name} opened at {} after {}", temperature.spoken_value(), clock(time.value)),
        kind: MarkKind::Opening,
        at_s,
        interval_s: time.interval_95.map(|end| 60.0 * course.heat_at(end)),
        value: Some(temperature.value),
        value_interval: Some(temperature.interval_95),
    })
}
