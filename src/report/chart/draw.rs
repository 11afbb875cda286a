//! The whole plot: title, phases, panels, time axis.

use super::canvas::{Anchor, Canvas};
use super::ink::Ink;
use super::layout::{LINE, Layout, MARGIN, TEXT, TITLE};
use super::{ChartError, Theme, panel, title};
use crate::report::document::{Chart, Mark, Phase};
use crate::report::words::plain;
use plotters::prelude::DrawingBackend;

/// Space between a phase's name and its ends.
const PADDING: f64 = 4.0;

/// Draws the chart on the sheet, and tells where everything lies.
pub(super) fn chart<DB: DrawingBackend>(canvas: &Canvas<DB>, chart: &Chart, theme: Theme) -> Result<Layout, ChartError> {
    let title = plain(title(chart, theme));
    canvas.rect((0.0, 0.0), (canvas.width, canvas.height), Ink::Paper, 1.0)?;
    let phases: Vec<&Phase> = chart.phases.iter().filter(|phase| phase.to_s > phase.from_s).collect();
    let rough = Layout::new(canvas, chart, !title.is_empty(), 0.0)?;
    let names = phase_names(canvas, &rough, &phases)?;
    let rows = names.iter().map(|name| name.row + 1).max().unwrap_or(0);
    let layout = Layout::new(canvas, chart, !title.is_empty(), rows as f64 * LINE + if rows > 0 { 4.0 } else { 0.0 })?;

    canvas.text(&title, (MARGIN / 2.0, MARGIN + TITLE / 2.0), TITLE, Ink::Text, Anchor::Start)?;
    for (index, phase) in phases.iter().enumerate() {
        let (left, right) = (layout.x.at(phase.from_s), layout.x.at(phase.to_s));
        if index % 2 == 0 {
            canvas.rect((left, layout.strip), (right, layout.bottom()), Ink::Shade, 1.0)?;
        }
        if index > 0 {
            canvas.line(&[(left, layout.strip), (left, layout.bottom())], Ink::Quiet, 1.0, 0.35)?;
        }
    }
    for name in &names {
        canvas.text(&name.words, (name.left, layout.strip + 2.0 + (name.row as f64 + 0.5) * LINE), TEXT, Ink::Quiet, Anchor::Start)?;
    }
    let marks: Vec<&Mark> = chart.panels.iter().flat_map(|panel| &panel.marks).collect();
    for (frame, one) in layout.frames.iter().zip(&chart.panels) {
        panel::draw(canvas, &layout, frame, one, &marks)?;
    }
    time_axis(canvas, &layout)?;
    Ok(layout)
}

/// Numbers below the last panel and what they count.
fn time_axis<DB: DrawingBackend>(canvas: &Canvas<DB>, layout: &Layout) -> Result<(), ChartError> {
    let y = layout.bottom() + 4.0 + LINE / 2.0;
    for (at, words) in &layout.times {
        let half = canvas.text_width(words, TEXT)? / 2.0;
        let x = layout.x.at(*at).min(canvas.width - 2.0 - half);
        canvas.text(words, (x, y), TEXT, Ink::Quiet, Anchor::Middle)?;
    }
    let words = format!("{}, {}", layout.axis, layout.time_unit);
    canvas.text(&words, (layout.x.end, y + LINE), TEXT, Ink::Text, Anchor::End)
}

/// A phase's name with its place.
struct PhaseName {
    words: String,
    left: f64,
    row: usize,
}

/// Names that fit stand in the middle of their phase; the others begin with it, one row lower where the first is taken. A
/// name that finds no room in two rows is left out, the shading still shows the phase.
fn phase_names<DB: DrawingBackend>(canvas: &Canvas<DB>, layout: &Layout, phases: &[&Phase]) -> Result<Vec<PhaseName>, ChartError> {
    let mut names = Vec::new();
    let mut later = Vec::new();
    for phase in phases {
        let words = plain(&phase.name);
        let width = canvas.text_width(&words, TEXT)?;
        let (from, to) = (layout.x.at(phase.from_s), layout.x.at(phase.to_s));
        if width + 2.0 * PADDING <= to - from {
            names.push(PhaseName { words, left: (from + to - width) / 2.0, row: 0 });
        } else {
            later.push((words, width, from));
        }
    }
    let mut free = layout.x.start;
    for (words, width, from) in later {
        let left = (from + PADDING).min(layout.x.end - width);
        if left >= free {
            free = left + width + PADDING;
            names.push(PhaseName { words, left, row: 1 });
        }
    }
    Ok(names)
}
