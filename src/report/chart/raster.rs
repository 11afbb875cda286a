//! A raster to draw on, with smooth edges.
//!
//! The plotting library's own bitmap backend takes whole pixels, so that a rising curve climbs in steps, and joins thick
//! lines by mitres that spike where a curve turns back. Here the backend's units are fractions of a pixel, and a line's
//! coverage of a pixel is taken from the distance between the pixel's centre and the line:
//!
//! ```text
//! coverage = clamp(width/2 + 1/2 − distance, 0, 1)
//! ```
//!
//! Within one line a pixel counts once, with its greatest coverage. Limits: filled polygons and single pixels are refused,
//! because nothing here draws them.

use super::canvas::LIBRARY_FONT_FACTOR;
use super::font;
use ab_glyph::{ScaleFont, point};
use plotters_backend::text_anchor::HPos;
use plotters_backend::{BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind};

/// Backend units to one pixel.
pub(super) const FINENESS: u32 = 16;
/// From the middle of a small letter to its baseline, in ems: half the letter's height.
const MIDDLE_TO_BASELINE: f64 = 0.27;

/// The picture: three bytes a pixel, rows from the top.
pub(super) struct Raster<'a> {
    pixels: &'a mut [u8],
    width: u32,
    height: u32,
    /// Coverage by the line being drawn, zero outside it.
    mask: Vec<f32>,
}

/// What this raster cannot do.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub(super) struct Unsupported(&'static str);

type Drawn = Result<(), DrawingErrorKind<Unsupported>>;

impl<'a> Raster<'a> {
    /// Over `pixels`, which holds `width · height · 3` bytes.
    pub(super) fn new(pixels: &'a mut [u8], width: u32, height: u32) -> Self {
        Self { pixels, width, height, mask: vec![0.0; width as usize * height as usize] }
    }

    fn blend(&mut self, x: i64, y: i64, color: BackendColor, coverage: f32) {
        if x < 0 || y < 0 || x >= i64::from(self.width) || y >= i64::from(self.height) {
            return;
        }
        let share = coverage * color.alpha as f32;
        let start = (y as usize * self.width as usize + x as usize) * 3;
        let ink = [color.rgb.0, color.rgb.1, color.rgb.2];
        let Some(pixel) = self.pixels.get_mut(start..start + 3) else { return };
        if share >= 1.0 {
            pixel.copy_from_slice(&ink);
            return;
        }
        for (byte, ink) in pixel.iter_mut().zip(ink) {
            *byte = (f32::from(*byte) + (f32::from(ink) - f32::from(*byte)) * share + 0.5) as u8;
        }
    }

    /// Rows and columns that a box touches, cut to the picture.
    fn touched(&self, low: (f32, f32), high: (f32, f32)) -> (std::ops::Range<usize>, std::ops::Range<usize>) {
        let cut = |value: f32, most: u32| value.clamp(0.0, most as f32) as usize;
        let columns = cut(low.0.floor(), self.width)..cut(high.0.ceil(), self.width);
        let rows = cut(low.1.floor(), self.height)..cut(high.1.ceil(), self.height);
        (rows, columns)
    }

    /// Raises the mask along one piece of a line.
    fn cover(&mut self, a: (f32, f32), b: (f32, f32), half: f32) {
        let reach = half + 0.5;
        let low = (a.0.min(b.0) - reach, a.1.min(b.1) - reach);
        let high = (a.0.max(b.0) + reach, a.1.max(b.1) + reach);
        let (rows, columns) = self.touched(low, high);
        let along = (b.0 - a.0, b.1 - a.1);
        let square = along.0 * along.0 + along.1 * along.1;
        for row in rows {
            let line = &mut self.mask[row * self.width as usize..][columns.clone()];
            for (offset, cell) in line.iter_mut().enumerate() {
                let to = ((columns.start + offset) as f32 + 0.5 - a.0, row as f32 + 0.5 - a.1);
                let way = if square > 0.0 { ((to.0 * along.0 + to.1 * along.1) / square).clamp(0.0, 1.0) } else { 0.0 };
                let apart = (to.0 - way * along.0, to.1 - way * along.1);
                let distance = (apart.0 * apart.0 + apart.1 * apart.1).sqrt();
                *cell = cell.max((reach - distance).clamp(0.0, 1.0));
            }
        }
    }

    /// Paints what the mask covers in the box and clears it.
    fn paint(&mut self, low: (f32, f32), high: (f32, f32), color: BackendColor) {
        let (rows, columns) = self.touched(low, high);
        for row in rows {
            for column in columns.clone() {
                let cell = row * self.width as usize + column;
                let coverage = std::mem::take(&mut self.mask[cell]);
                if coverage > 0.0 {
                    self.blend(column as i64, row as i64, color, coverage);
                }
            }
        }
    }
}

/// A place in pixels.
fn fine((x, y): BackendCoord) -> (f32, f32) {
    (x as f32 / FINENESS as f32, y as f32 / FINENESS as f32)
}

impl DrawingBackend for Raster<'_> {
    type ErrorType = Unsupported;

    fn get_size(&self) -> (u32, u32) {
        (self.width * FINENESS, self.height * FINENESS)
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        Ok(())
    }

    fn draw_pixel(&mut self, _: BackendCoord, _: BackendColor) -> Drawn {
        Err(DrawingErrorKind::DrawingError(Unsupported("single pixels are not drawn")))
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(&mut self, _: I, _: &S) -> Drawn {
        Err(DrawingErrorKind::DrawingError(Unsupported("filled polygons are not drawn")))
    }

    fn draw_line<S: BackendStyle>(&mut self, from: BackendCoord, to: BackendCoord, style: &S) -> Drawn {
        self.draw_path([from, to], style)
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(&mut self, path: I, style: &S) -> Drawn {
        let points: Vec<(f32, f32)> = path.into_iter().map(fine).collect();
        let half = style.stroke_width() as f32 / FINENESS as f32 / 2.0;
        for pair in points.windows(2) {
            self.cover(pair[0], pair[1], half);
        }
        let reach = half + 1.0;
        let low = points.iter().fold((f32::MAX, f32::MAX), |low, p| (low.0.min(p.0 - reach), low.1.min(p.1 - reach)));
        let high = points.iter().fold((f32::MIN, f32::MIN), |high, p| (high.0.max(p.0 + reach), high.1.max(p.1 + reach)));
        self.paint(low, high, style.color());
        Ok(())
    }

    fn draw_rect<S: BackendStyle>(&mut self, a: BackendCoord, b: BackendCoord, style: &S, fill: bool) -> Drawn {
        if !fill {
            return self.draw_path([a, (b.0, a.1), b, (a.0, b.1), a], style);
        }
        let (a, b) = (fine((a.0.min(b.0), a.1.min(b.1))), fine((a.0.max(b.0), a.1.max(b.1))));
        let (rows, columns) = self.touched(a, b);
        let inside = |cell: usize, from: f32, to: f32| ((cell as f32 + 1.0).min(to) - (cell as f32).max(from)).clamp(0.0, 1.0);
        for row in rows {
            for column in columns.clone() {
                self.blend(column as i64, row as i64, style.color(), inside(row, a.1, b.1) * inside(column, a.0, b.0));
            }
        }
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(&mut self, center: BackendCoord, radius: u32, style: &S, _fill: bool) -> Drawn {
        let center = fine(center);
        let radius = radius as f32 / FINENESS as f32;
        self.cover(center, center, radius);
        let reach = radius + 1.0;
        self.paint((center.0 - reach, center.1 - reach), (center.0 + reach, center.1 + reach), style.color());
        Ok(())
    }

    fn draw_text<S: BackendTextStyle>(&mut self, text: &str, style: &S, at: BackendCoord) -> Drawn {
        let failed = |error: super::ChartError| DrawingErrorKind::FontError(Box::new(error));
        let em = style.size() / LIBRARY_FONT_FACTOR / f64::from(FINENESS);
        let font = font::sized(font::font().map_err(failed)?, em);
        let length = (font::width_in_ems(text).map_err(failed)? * em) as f32;
        let (x, y) = fine(at);
        let mut x = match style.anchor().h_pos {
            HPos::Left => x,
            HPos::Center => x - length / 2.0,
            HPos::Right => x - length,
        };
        for c in text.chars() {
            let id = font.glyph_id(c);
            let glyph = id.with_scale_and_position(font.scale(), point(x, y + (MIDDLE_TO_BASELINE * em) as f32));
            if let Some(outline) = font.outline_glyph(glyph) {
                let corner = outline.px_bounds().min;
                outline.draw(|column, row, coverage| {
                    self.blend(corner.x as i64 + i64::from(column), corner.y as i64 + i64::from(row), style.color(), coverage);
                });
            }
            x += font.h_advance(id);
        }
        Ok(())
    }
}
