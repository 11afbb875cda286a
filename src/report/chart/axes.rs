//! Where a plot's axes lie in its picture, so that whoever shows it can tell a place from a moment.

use super::layout::Layout;
use serde::Serialize;

/// The axes of a drawn plot, in the picture's own coordinates (its view box).
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Axes {
    /// Where the common axis begins and ends.
    pub x: [f64; 2],
    /// What it spans, in seconds.
    pub seconds: [f64; 2],
    /// Each panel's vertical axis, from the top panel.
    pub panels: Vec<PanelAxis>,
}

/// One panel's vertical axis.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PanelAxis {
    /// Upper and lower edge in the picture.
    pub y: [f64; 2],
    /// Values there, in the panel's unit.
    pub values: [f64; 2],
}

impl Axes {
    /// Of a layout in design pixels, drawn in so many steps a pixel.
    pub(super) fn of(layout: &Layout, fineness: f64) -> Self {
        let panel = |frame: &super::layout::Frame| PanelAxis {
            y: [frame.top() * fineness, frame.bottom() * fineness],
            values: [frame.y.high, frame.y.low],
        };
        Self {
            x: [layout.x.start * fineness, layout.x.end * fineness],
            seconds: [layout.x.low, layout.x.high],
            panels: layout.frames.iter().map(panel).collect(),
        }
    }
}
