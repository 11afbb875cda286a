//! The plot as SVG, for the page and for a file of its own.

use super::axes::Axes;
use super::canvas::Canvas;
use super::{ChartError, Theme, checked, draw, ink, title};
use crate::report::document::Chart;
use crate::report::words::escape;
use plotters::prelude::SVGBackend;

/// Steps to a pixel: the library writes whole numbers, and a tenth of a pixel is finer than anyone sees.
const FINENESS: u32 = 10;

/// Draws the plot, `size` in pixels at 100 %.
///
/// With [`Theme::Paper`] the result is a whole file with title and text alternative; with [`Theme::Page`] it is an element
/// for a page, hidden from assistive technology because the page holds the text alternative, and scaled to the page's width.
///
/// # Errors
///
/// [`ChartError::Size`] where the size cannot hold a plot; the others are faults of the program.
pub fn svg(chart: &Chart, theme: Theme, size: (u32, u32)) -> Result<String, ChartError> {
    svg_with_axes(chart, theme, size).map(|(svg, _)| svg)
}

/// The same with the way from its coordinates to values, for whoever reads values off the plot.
///
/// # Errors
///
/// As [`svg`].
pub fn svg_with_axes(chart: &Chart, theme: Theme, size: (u32, u32)) -> Result<(String, Axes), ChartError> {
    let (width, height) = checked(size)?;
    let fine = (width * FINENESS, height * FINENESS);
    let mut drawn = String::new();
    let layout = {
        let canvas = Canvas::new(SVGBackend::with_string(&mut drawn, fine), f64::from(FINENESS));
        let layout = draw::chart(&canvas, chart, theme)?;
        canvas.finish()?;
        layout
    };
    let body = drawn.split_once('>').map_or("", |(_, body)| body).trim().replace(" opacity=\"1\"", "");
    let view = format!("viewBox=\"0 0 {} {}\"", fine.0, fine.1);
    let svg = match theme {
        Theme::Page => format!("<svg {view} aria-hidden=\"true\" focusable=\"false\">\n{}\n", ink::named(body)),
        Theme::Paper => format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" {view} role=\"img\">\n\
             <title>{}</title>\n<desc>{}</desc>\n{body}\n",
            escape(title(chart, theme)),
            escape(&chart.description)
        ),
    };
    Ok((svg, Axes::of(&layout, f64::from(FINENESS))))
}
