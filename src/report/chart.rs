//! The plot: panels over one time axis, as SVG or PNG.
//!
//! Both formats come from one drawing. Positions are worked out in design pixels (what a reader's screen shows at 100 %) and
//! written in finer steps, because the plotting library takes whole numbers only. A log of any length is thinned to the
//! pixels that it can show before it is drawn, so that the cost follows the picture and not the log.

use super::document::Chart;
use thiserror::Error;

mod axes;
mod canvas;
mod draw;
mod font;
mod ink;
mod labels;
mod layout;
mod panel;
mod png;
mod raster;
mod scale;
mod svg;
mod thin;

pub use self::axes::{Axes, PanelAxis};
pub use self::png::png;
pub use self::svg::{svg, svg_with_axes};

/// Where a picture's colours come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// Fixed colours on white: a picture that stands alone, with its title and text alternative inside.
    Paper,
    /// Colours named `var(--plot-…)`, which the page around sets for light and dark; the page also holds the text alternative.
    Page,
}

/// Why there is no picture.
#[derive(Debug, Error)]
pub enum ChartError {
    /// The asked size cannot hold the plot, or no computer could hold the picture.
    #[error("a plot of {width} by {height} pixels cannot be drawn")]
    Size {
        /// Asked width, in pixels.
        width: u32,
        /// Asked height, in pixels.
        height: u32,
    },
    /// The embedded font could not be read.
    #[error("the font for the plot could not be read")]
    Font,
    /// The plotting library refused.
    #[error("the plot could not be drawn: {0}")]
    Drawing(String),
    /// The picture could not be written as PNG.
    #[error("the plot could not be written as PNG")]
    Encoding(#[from] ::png::EncodingError),
}

impl ChartError {
    /// The way out.
    pub fn hint(&self) -> String {
        match self {
            ChartError::Size { .. } => {
                format!("choose a width from {} and a height from {} up to {} pixels", SMALLEST.0, SMALLEST.1, LARGEST)
            }
            ChartError::Font | ChartError::Drawing(_) | ChartError::Encoding(_) => {
                "the text report holds the same numbers; the fault is in this program".to_owned()
            }
        }
    }
}

/// Smallest picture in which a plot can be read: a narrow phone's.
const SMALLEST: (u32, u32) = (240, 200);
/// Longest side; a picture of 8000 by 8000 pixels takes 192 MB while it is drawn.
const LARGEST: u32 = 8000;

/// Passes a size that a plot can have.
fn checked(size: (u32, u32)) -> Result<(u32, u32), ChartError> {
    let (width, height) = size;
    let fits = width >= SMALLEST.0 && height >= SMALLEST.1 && width.max(height) <= LARGEST;
    fits.then_some(size).ok_or(ChartError::Size { width, height })
}

/// The text of the picture's title, empty for a chart inside a page.
fn title(chart: &Chart, theme: Theme) -> &str {
    match theme {
        Theme::Paper => &chart.title,
        Theme::Page => "",
    }
}
