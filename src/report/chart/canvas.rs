//! A sheet to draw on, in design pixels, whatever the format behind it.

use super::ChartError;
use super::font;
use super::ink::Ink;
use plotters::coord::Shift;
use plotters::prelude::{Circle, DrawingArea, DrawingBackend, IntoDrawingArea, PathElement, Rectangle, Text};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{IntoTextStyle, ShapeStyle, TextStyle};

/// The library divides sizes by this before it writes them into SVG; sizes are multiplied first, so that 12 means 12 pixels.
pub(super) const LIBRARY_FONT_FACTOR: f64 = 1.24;

/// Which end of a line of text stands at the given place; the text's middle height always does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

/// The sheet.
pub(super) struct Canvas<DB: DrawingBackend> {
    area: DrawingArea<DB, Shift>,
    /// Backend units to one design pixel.
    unit: f64,
    /// Width in design pixels.
    pub(super) width: f64,
    /// Height in design pixels.
    pub(super) height: f64,
}

impl<DB: DrawingBackend> Canvas<DB> {
    /// A sheet over the whole backend, `unit` of whose steps make one design pixel.
    pub(super) fn new(backend: DB, unit: f64) -> Self {
        let (width, height) = backend.get_size();
        Self { area: backend.into_drawing_area(), unit, width: f64::from(width) / unit, height: f64::from(height) / unit }
    }

    /// Hands everything drawn to the backend.
    pub(super) fn finish(self) -> Result<(), ChartError> {
        self.area.present().map_err(|error| ChartError::Drawing(error.to_string()))
    }

    /// A filled rectangle between two corners.
    pub(super) fn rect(&self, from: (f64, f64), to: (f64, f64), ink: Ink, opacity: f64) -> Result<(), ChartError> {
        let style = ShapeStyle { color: ink.on_paper(opacity), filled: true, stroke_width: 0 };
        self.draw(&Rectangle::new([self.place(from), self.place(to)], style))
    }

    /// A line through the points; fewer than two draw nothing.
    pub(super) fn line(&self, points: &[(f64, f64)], ink: Ink, width: f64, opacity: f64) -> Result<(), ChartError> {
        let mut places: Vec<(i32, i32)> = points.iter().map(|&point| self.place(point)).collect();
        places.dedup();
        if places.len() < 2 {
            return Ok(());
        }
        let stroke_width = (width * self.unit).round().max(1.0) as u32;
        self.draw(&PathElement::new(places, ShapeStyle { color: ink.on_paper(opacity), filled: false, stroke_width }))
    }

    /// A straight dashed line.
    pub(super) fn dashes(&self, from: (f64, f64), to: (f64, f64), ink: Ink, width: f64) -> Result<(), ChartError> {
        const DASH: f64 = 9.0;
        const GAP: f64 = 5.0;
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy);
        let mut begin = 0.0;
        while begin < length {
            let end = (begin + DASH).min(length);
            let on = |way: f64| (from.0 + dx * way / length, from.1 + dy * way / length);
            self.line(&[on(begin), on(end)], ink, width, 1.0)?;
            begin += DASH + GAP;
        }
        Ok(())
    }

    /// A filled dot with a rim of paper around it.
    pub(super) fn dot(&self, at: (f64, f64), radius: f64, ink: Ink) -> Result<(), ChartError> {
        for (radius, ink) in [(radius + 1.0, Ink::Paper), (radius, ink)] {
            self.draw(&Circle::new(self.place(at), (radius * self.unit).round() as i32, ShapeStyle::from(ink.on_paper(1.0)).filled()))?;
        }
        Ok(())
    }

    /// One line of text.
    pub(super) fn text(&self, text: &str, at: (f64, f64), size: f64, ink: Ink, anchor: Anchor) -> Result<(), ChartError> {
        let h_pos = match anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        let style: TextStyle = ("sans-serif", size * self.unit * LIBRARY_FONT_FACTOR).into_text_style(&self.area);
        let colour = ink.on_paper(1.0);
        let style = style.color(&colour).pos(Pos::new(h_pos, VPos::Center));
        self.draw(&Text::new(text.to_owned(), self.place(at), style))
    }

    /// Width of a line of text, in design pixels.
    pub(super) fn text_width(&self, text: &str, size: f64) -> Result<f64, ChartError> {
        Ok(font::width_in_ems(text)? * size)
    }

    fn place(&self, (x, y): (f64, f64)) -> (i32, i32) {
        ((x * self.unit).round() as i32, (y * self.unit).round() as i32)
    }

    fn draw<E>(&self, element: &E) -> Result<(), ChartError>
    where
        for<'b> &'b E: plotters::element::PointCollection<'b, (i32, i32)>,
        E: plotters::element::Drawable<DB>,
    {
        self.area.draw(element).map_err(|error| ChartError::Drawing(error.to_string()))
    }
}
