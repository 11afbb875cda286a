//! A plot from which a page's script reads values: the picture, and beside it the axes and the readings as data.
//!
//! Without the script it is the plot as it stands in the report. The data hold at most [`MOST_POINTS`] points a curve, each the one
//! nearest to an even moment, so that what is read is a reading of the log and not a mean.

use super::plot as still;
use crate::report::chart::{self, ChartError, Theme};
use crate::report::document::{Axis, Chart, Curve, Panel};
use crate::report::words::escape;
use serde_json::{Value, json};

/// Points of a curve among the data (our own choice: finer than a finger on a phone's width).
const MOST_POINTS: usize = 720;

/// What is drawn, as data.
fn plot_data(chart: &Chart) -> Value {
    let curves = chart.panels.iter().flat_map(|panel| panel.curves.iter().map(|one| curve(chart, panel, one)));
    let axis = match chart.axis {
        Axis::Time => "time",
        Axis::HeatPutIn => "heat",
        Axis::Years => "years",
    };
    json!({ "axis": axis, "curves": curves.collect::<Vec<_>>() })
}

/// One curve, named so that it is told from those of every panel.
fn curve(chart: &Chart, panel: &Panel, curve: &Curve) -> Value {
    let name = match (panel.curves.len(), chart.panels.len()) {
        _ if curve.name.is_empty() => panel.label.clone(),
        (1, _) => panel.label.clone(),
        (_, 1) => curve.name.clone(),
        _ => format!("{}, {}", panel.label, curve.name),
    };
    let points: Vec<[f64; 2]> = thinned(curve).map(|(at, value)| [rounded(at, 10.0), rounded(value, 100.0)]).collect();
    json!({ "name": name, "unit": panel.unit, "points": points })
}

fn rounded(value: f64, steps: f64) -> f64 {
    (value * steps).round() / steps
}

/// Points at about even moments; none is made up.
fn thinned(curve: &Curve) -> impl Iterator<Item = (f64, f64)> {
    let every = curve.points.len().div_ceil(MOST_POINTS).max(1);
    let last = curve.points.len().saturating_sub(1);
    let kept = curve.points.iter().enumerate().filter(move |(index, _)| index % every == 0 || *index == last);
    kept.map(|(_, point)| *point).filter(|(at, value)| at.is_finite() && value.is_finite())
}

/// The section of a still plot, its figure marked with axes and readings.
pub(in crate::report) fn plot(id: (&str, &str), chart: &Chart, wide: (u32, u32), narrow: (u32, u32)) -> Result<String, ChartError> {
    let section = still(id, chart, wide, narrow)?;
    let axes = |size| chart::svg_with_axes(chart, Theme::Page, size).map(|(_, axes)| json!(axes).to_string());
    let data = format!(
        "<figure data-readings=\"{}\" data-wide=\"{}\" data-narrow=\"{}\">",
        escape(&plot_data(chart).to_string()),
        escape(&axes(wide)?),
        escape(&axes(narrow)?)
    );
    Ok(section.replacen("<figure>", &data, 1))
}
