//! The plot as PNG, for whoever shares a picture.

use super::canvas::Canvas;
use super::raster::{FINENESS, Raster};
use super::{ChartError, Theme, checked, draw};
use crate::report::document::Chart;

/// Size in which letters have their design size; larger pictures are drawn larger, not fuller.
const DESIGN: (f64, f64) = (960.0, 640.0);
/// Below this enlargement letters become too small to read.
const SMALLEST_UNIT: f64 = 0.9;

/// Draws the plot with its title on white, `size` in pixels, and encodes it.
///
/// # Errors
///
/// [`ChartError::Size`] where the size cannot hold a plot; the others are faults of the program.
pub fn png(chart: &Chart, size: (u32, u32)) -> Result<Vec<u8>, ChartError> {
    let (width, height) = checked(size)?;
    let mut pixels = vec![0xff; width as usize * height as usize * 3];
    let unit = (f64::from(width) / DESIGN.0).min(f64::from(height) / DESIGN.1).max(SMALLEST_UNIT);
    let canvas = Canvas::new(Raster::new(&mut pixels, width, height), unit * f64::from(FINENESS));
    draw::chart(&canvas, chart, Theme::Paper)?;
    canvas.finish()?;
    encoded(&pixels, width, height)
}

fn encoded(pixels: &[u8], width: u32, height: u32) -> Result<Vec<u8>, ChartError> {
    let mut file = Vec::new();
    let mut encoder = ::png::Encoder::new(&mut file, width, height);
    encoder.set_color(::png::ColorType::Rgb);
    encoder.set_depth(::png::BitDepth::Eight);
    encoder.set_compression(::png::Compression::Fast);
    encoder.set_filter(::png::FilterType::Up);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(pixels)?;
    writer.finish()?;
    Ok(file)
}
