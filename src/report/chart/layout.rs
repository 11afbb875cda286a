//! Where everything lies on the sheet.
//!
//! From the top: title, strip of phases, then each panel under a line that names it and its curves, at the foot the time
//! axis. Widths come from the words that must fit, heights from the panels' weights.

use super::ChartError;
use super::canvas::Canvas;
use super::scale::{Scale, time_ticks, value_ticks, year_ticks};
use super::thin::drawable;
use crate::report::document::{Axis, Chart, Curve, Panel};
use plotters::prelude::DrawingBackend;

/// Height of ordinary letters, in design pixels.
pub(super) const TEXT: f64 = 12.0;
/// Height of a line of ordinary letters.
pub(super) const LINE: f64 = 16.0;
/// Height of the title's letters.
pub(super) const TITLE: f64 = 15.0;
/// Space around everything.
pub(super) const MARGIN: f64 = 8.0;
/// Length of the stroke that stands for a curve beside its name.
pub(super) const SWATCH: f64 = 18.0;
/// Space between the names of two curves.
const BETWEEN: f64 = 14.0;
/// Space between panels.
const PANEL_GAP: f64 = 8.0;

/// The sheet divided.
pub(super) struct Layout {
    /// Time to pixels.
    pub(super) x: Scale,
    /// Top of the strip of phases.
    pub(super) strip: f64,
    /// One frame to a panel.
    pub(super) frames: Vec<Frame>,
    /// Moments that the time axis names.
    pub(super) times: Vec<(f64, String)>,
    /// What the common axis counts.
    pub(super) axis: &'static str,
    /// What the time axis counts.
    pub(super) time_unit: &'static str,
}

/// One panel's place.
pub(super) struct Frame {
    /// Value to pixels; its ends are the frame's lower and upper edge.
    pub(super) y: Scale,
    /// Values that the axis names.
    pub(super) ticks: Vec<(f64, String)>,
    /// The panel's name and those of its curves, each with its place (left edge, middle height).
    pub(super) heading: Vec<(Named, (f64, f64))>,
}

/// What a heading names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Named {
    /// The panel.
    Panel,
    /// One of its curves, by its place in the list.
    Curve(usize),
}

impl Frame {
    /// Upper edge.
    pub(super) fn top(&self) -> f64 {
        self.y.end
    }

    /// Lower edge.
    pub(super) fn bottom(&self) -> f64 {
        self.y.start
    }
}

impl Layout {
    /// Divides the sheet for the chart; `title` says whether room for one is needed, `strip` how high the phases' strip is.
    pub(super) fn new<DB: DrawingBackend>(canvas: &Canvas<DB>, chart: &Chart, title: bool, strip: f64) -> Result<Self, ChartError> {
        let top = if title { MARGIN + TITLE + 10.0 } else { MARGIN / 2.0 };
        let foot = canvas.height - 2.0 * LINE - MARGIN / 2.0;
        let right = canvas.width - MARGIN - 4.0;
        let ranges: Vec<(f64, f64)> = chart.panels.iter().map(|panel| range(panel, chart.duration_s)).collect();
        let headings = chart.panels.iter().map(|panel| heading(canvas, panel, right - MARGIN)).collect::<Result<Vec<_>, _>>()?;

        let weights: Vec<f64> = chart.panels.iter().map(weight).collect();
        let fixed: f64 = headings.iter().map(|(_, lines)| lines * LINE + PANEL_GAP).sum();
        let share = (foot - top - strip - fixed).max(0.0) / weights.iter().sum::<f64>().max(1e-9);

        let mut frames = Vec::new();
        let mut widest: f64 = 0.0;
        let mut y = top + strip;
        for ((heading, lines), ((low, high), weight)) in headings.into_iter().zip(ranges.into_iter().zip(weights)) {
            let upper = y + lines * LINE + PANEL_GAP / 2.0;
            let height = (share * weight).max(LINE);
            let ticks = value_ticks(low, high, (height / 30.0).clamp(1.0, 8.0));
            for (_, words) in &ticks {
                widest = widest.max(canvas.text_width(words, TEXT)?);
            }
            let heading = heading.into_iter().map(|(named, (left, line))| (named, (left, y + PANEL_GAP / 2.0 + (line + 0.5) * LINE - 1.0)));
            frames.push(Frame { y: Scale { low, high, start: upper + height, end: upper }, ticks, heading: heading.collect() });
            y = upper + height + PANEL_GAP / 2.0;
        }
        let left = MARGIN / 2.0 + widest + 6.0;
        let duration = duration(chart);
        let most = ((right - left) / 62.0).clamp(2.0, 12.0);
        let (axis, (times, time_unit)) = match chart.axis {
            Axis::Time => ("time from the first row", time_ticks(duration, most)),
            Axis::HeatPutIn => ("heat put in, as time at the usual input", time_ticks(duration, most)),
            Axis::Years => ("time from the first run", year_ticks(duration, most)),
        };
        Ok(Self { x: Scale { low: 0.0, high: duration, start: left, end: right }, strip: top, frames, times, axis, time_unit })
    }

    /// Lower edge of the last panel.
    pub(super) fn bottom(&self) -> f64 {
        self.frames.last().map_or(self.strip + LINE, Frame::bottom)
    }
}

/// Length of the time axis; a chart without one gets a second, so that nothing divides by zero.
fn duration(chart: &Chart) -> f64 {
    if chart.duration_s.is_finite() && chart.duration_s > 0.0 { chart.duration_s } else { 1.0 }
}

fn weight(panel: &Panel) -> f64 {
    if panel.weight.is_finite() && panel.weight > 0.0 { panel.weight } else { 1.0 }
}

/// The words that name a panel: `coolant temperature, °C`.
pub(super) fn panel_name(panel: &Panel) -> String {
    if panel.unit.is_empty() { panel.label.clone() } else { format!("{}, {}", panel.label, panel.unit) }
}

/// Curves that need a name of their own: those that do not stand alone.
pub(super) fn named_curves(panel: &Panel) -> impl Iterator<Item = (usize, &Curve)> {
    panel.curves.iter().enumerate().filter(|(_, curve)| panel.curves.len() > 1 && !curve.name.is_empty())
}

type Heading = Vec<(Named, (f64, f64))>;

/// Names of the panel and its curves in lines that fit, each with its left edge and line number; and how many lines.
fn heading<DB: DrawingBackend>(canvas: &Canvas<DB>, panel: &Panel, most: f64) -> Result<(Heading, f64), ChartError> {
    let mut placed = vec![(Named::Panel, (MARGIN / 2.0, 0.0))];
    let mut left = MARGIN / 2.0 + canvas.text_width(&panel_name(panel), TEXT)? + BETWEEN;
    let mut line = 0.0;
    for (index, curve) in named_curves(panel) {
        let width = SWATCH + 5.0 + canvas.text_width(&curve.name, TEXT)?;
        if left + width > most {
            line += 1.0;
            left = MARGIN / 2.0;
        }
        placed.push((Named::Curve(index), (left, line)));
        left += width + BETWEEN;
    }
    Ok((placed, line + 1.0))
}

/// Values that the panel's axis spans: everything drawn in it with some room; a quantity that comes near zero starts there.
fn range(panel: &Panel, duration: f64) -> (f64, f64) {
    let curves = panel.curves.iter().flat_map(|curve| &curve.points).filter(|point| drawable(point) && (0.0..=duration).contains(&point.0));
    let bands = panel.bands.iter().flat_map(|band| [band.low, band.high]);
    let marks = panel.marks.iter().flat_map(|mark| mark.value.into_iter().chain(mark.value_interval.into_iter().flatten()));
    let values = curves.map(|point| point.1).chain(bands.chain(marks).filter(|&value| drawable(&(0.0, value))));
    let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)));
    if low > high {
        return (0.0, 1.0);
    }
    let span = (high - low).max(high.abs() * 1e-3).max(1e-3);
    let below = if low >= 0.0 && low < 0.3 * span { low } else { 0.06 * span };
    (low - below, high + 0.08 * span)
}
