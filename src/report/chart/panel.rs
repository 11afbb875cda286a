//! One panel: grid, defects, bands, intervals, curves, marks, words; in this order, so that the later lies on top.

use super::ChartError;
use super::canvas::{Anchor, Canvas};
use super::ink::Ink;
use super::labels::{Box2, Labels, Target};
use super::layout::{Frame, Layout, Named, SWATCH, TEXT, panel_name};
use super::thin;
use crate::report::document::{Band, Curve, Mark, MarkKind, Panel};
use crate::report::words::plain;
use plotters::prelude::DrawingBackend;

/// A curve is thinned to columns this wide, in design pixels.
const COLUMN: f64 = 0.8;

/// Draws the panel into its frame. `marks` are those of every panel: moments and defects run through all of them.
pub(super) fn draw<DB: DrawingBackend>(
    canvas: &Canvas<DB>,
    layout: &Layout,
    frame: &Frame,
    panel: &Panel,
    marks: &[&Mark],
) -> Result<(), ChartError> {
    let view = View { canvas, layout, frame };
    view.grid()?;
    view.defects(marks)?;
    panel.bands.iter().try_for_each(|band| view.band(band))?;
    marks.iter().filter(|mark| mark.kind != MarkKind::Defect).try_for_each(|mark| view.moment(mark, own(panel, mark)))?;
    let mut labels = Labels::new(view.area());
    let mut curves: Vec<(usize, &Curve)> = panel.curves.iter().enumerate().collect();
    curves.sort_by_key(|(_, curve)| curve.main);
    for (index, curve) in curves {
        let (ink, width) = look(panel, index);
        for line in thin::lines(&curve.points, &layout.x, &frame.y, COLUMN) {
            view.curve(&line, ink, width)?;
            labels.avoid(line);
        }
    }
    let mut own_marks: Vec<&Mark> = panel.marks.iter().filter(|mark| mark.kind != MarkKind::Defect).collect();
    own_marks.sort_by_key(|mark| mark.kind == MarkKind::Opening);
    own_marks.into_iter().try_for_each(|mark| view.spot(mark))?;
    view.names(panel, &mut labels)?;
    view.heading(panel)
}

fn own(panel: &Panel, mark: &Mark) -> bool {
    panel.marks.iter().any(|other| std::ptr::eq(other, mark))
}

/// Colour and width of a curve: main curves differ by colour and width, context is grey and thin.
fn look(panel: &Panel, index: usize) -> (Ink, f64) {
    let Some(curve) = panel.curves.get(index) else { return (Ink::Context, 1.2) };
    let before = panel.curves.iter().take(index).filter(|other| other.main).count();
    match (curve.main, before) {
        (true, 0) => (Ink::First, 2.0),
        (true, _) => (Ink::Second, 1.4),
        (false, _) => (Ink::Context, 1.2),
    }
}

fn ink(kind: MarkKind) -> Ink {
    match kind {
        MarkKind::Opening => Ink::Opening,
        MarkKind::Signature => Ink::Signature,
        MarkKind::Defect => Ink::Defect,
        MarkKind::Moment => Ink::Text,
    }
}

/// One panel while it is drawn.
struct View<'a, DB: DrawingBackend> {
    canvas: &'a Canvas<DB>,
    layout: &'a Layout,
    frame: &'a Frame,
}

impl<DB: DrawingBackend> View<'_, DB> {
    fn area(&self) -> Box2 {
        Box2 { left: self.layout.x.start, top: self.frame.top(), right: self.layout.x.end, bottom: self.frame.bottom() }
    }

    fn x(&self, seconds: f64) -> f64 {
        self.layout.x.at(seconds)
    }

    fn y(&self, value: f64) -> f64 {
        self.frame.y.at(value)
    }

    fn grid(&self) -> Result<(), ChartError> {
        let Box2 { left, top, right, bottom } = self.area();
        for (value, words) in &self.frame.ticks {
            let y = self.y(*value);
            self.canvas.line(&[(left, y), (right, y)], Ink::Grid, 1.0, 1.0)?;
            // A word at the very top would run into the panel's name above it.
            self.canvas.text(words, (left - 6.0, y.max(top + 0.55 * TEXT)), TEXT, Ink::Quiet, Anchor::End)?;
        }
        for (at, _) in &self.layout.times {
            self.canvas.line(&[(self.x(*at), top), (self.x(*at), bottom)], Ink::Grid, 1.0, 1.0)?;
        }
        self.canvas.line(&[(left, top), (left, bottom), (right, bottom)], Ink::Quiet, 1.0, 0.7)
    }

    /// Greys and hatches what the log does not hold; neighbours closer than a pixel become one.
    fn defects(&self, marks: &[&Mark]) -> Result<(), ChartError> {
        let Box2 { top, bottom, .. } = self.area();
        for (left, right) in merged(marks, |seconds| self.x(seconds)) {
            self.canvas.rect((left, top), (right, bottom), Ink::Defect, 0.16)?;
            let height = bottom - top;
            let mut foot = left - height;
            while foot < right {
                let (from, to) = (foot.max(left), (foot + height).min(right));
                self.canvas.line(&[(from, bottom - (from - foot)), (to, bottom - (to - foot))], Ink::Defect, 1.0, 0.55)?;
                foot += 8.0;
            }
        }
        Ok(())
    }

    fn band(&self, band: &Band) -> Result<(), ChartError> {
        let (left, right, low, high) = (self.x(band.from_s), self.x(band.to_s), self.y(band.low), self.y(band.high));
        if band.low >= band.high {
            return self.canvas.dashes((left, low), (right, low), Ink::Text, 1.2);
        }
        self.canvas.rect((left, high), (right, low), Ink::Band, 0.2)?;
        [low, high].into_iter().try_for_each(|y| self.canvas.line(&[(left, y), (right, y)], Ink::Band, 1.0, 0.9))
    }

    /// A moment's line and the stretch of its interval, through the panel.
    fn moment(&self, mark: &Mark, own: bool) -> Result<(), ChartError> {
        let Box2 { top, bottom, .. } = self.area();
        let ink = ink(mark.kind);
        let (from, to) = (self.x(mark.interval_s[0]), self.x(mark.interval_s[1]));
        if to - from > 1.0 && mark.kind != MarkKind::Moment {
            self.canvas.rect((from, top), (to, bottom), ink, 0.1)?;
        }
        let strength = if mark.kind == MarkKind::Opening { 1.6 } else { 1.0 };
        if mark.kind == MarkKind::Opening || (own && mark.value.is_none()) {
            self.canvas.line(&[(self.x(mark.at_s), top), (self.x(mark.at_s), bottom)], ink, strength, 1.0)?;
        }
        Ok(())
    }

    fn curve(&self, line: &[(f64, f64)], ink: Ink, width: f64) -> Result<(), ChartError> {
        match line {
            [(x, y)] => self.canvas.rect((x - width / 2.0, y - width / 2.0), (x + width / 2.0, y + width / 2.0), ink, 1.0),
            line => self.canvas.line(line, ink, width, 1.0),
        }
    }

    /// The place of a mark that has a value: a dot in the box of its two intervals.
    fn spot(&self, mark: &Mark) -> Result<(), ChartError> {
        let Some(value) = mark.value else { return Ok(()) };
        let ink = ink(mark.kind);
        if let Some([low, high]) = mark.value_interval {
            let (left, right) = widened(self.x(mark.interval_s[0]), self.x(mark.interval_s[1]));
            let (top, bottom) = widened(self.y(high), self.y(low));
            self.canvas.rect((left, top), (right, bottom), ink, 0.25)?;
            self.canvas.line(&[(left, top), (right, top), (right, bottom), (left, bottom), (left, top)], ink, 1.0, 1.0)?;
        }
        self.canvas.dot((self.x(mark.at_s), self.y(value)), if mark.value_interval.is_some() { 2.2 } else { 3.2 }, ink)
    }

    /// Words of marks and bands, the opening first.
    fn names(&self, panel: &Panel, labels: &mut Labels) -> Result<(), ChartError> {
        let area = self.area();
        for mark in panel.marks.iter().filter(|mark| mark.kind == MarkKind::Opening) {
            labels.wall(self.x(mark.at_s));
        }
        for band in &panel.bands {
            let (left, right) = (self.x(band.from_s), self.x(band.to_s));
            [band.low, band.high].into_iter().for_each(|edge| labels.avoid(vec![(left, self.y(edge)), (right, self.y(edge))]));
        }
        let order = [MarkKind::Opening, MarkKind::Signature, MarkKind::Moment];
        for mark in order.iter().flat_map(|kind| panel.marks.iter().filter(move |mark| mark.kind == *kind)) {
            let at = mark.value.map_or(area.top + 2.0, |value| self.y(value));
            self.name(labels, &mark.name, Target::Point(self.x(mark.at_s), at), ink(mark.kind))?;
        }
        for band in &panel.bands {
            let (left, right) = (self.x(band.from_s), self.x(band.to_s));
            let ink = if band.low < band.high { Ink::Band } else { Ink::Text };
            let span = Box2 { left, top: self.y(band.high), right, bottom: self.y(band.low) };
            self.name(labels, &band.name, Target::Stretch(span), ink)?;
        }
        for mark in panel.marks.iter().filter(|mark| mark.kind == MarkKind::Defect) {
            let middle = self.x((mark.interval_s[0] + mark.interval_s[1]) / 2.0);
            self.name(labels, &mark.name, Target::Point(middle, area.bottom), Ink::Defect)?;
        }
        Ok(())
    }

    fn name(&self, labels: &mut Labels, name: &str, target: Target, ink: Ink) -> Result<(), ChartError> {
        if name.is_empty() { Ok(()) } else { labels.write(self.canvas, &plain(name), target, ink) }
    }

    /// The line above the panel: its name, and each curve's with a stroke in its look.
    fn heading(&self, panel: &Panel) -> Result<(), ChartError> {
        for (named, (left, y)) in &self.frame.heading {
            match *named {
                Named::Panel => self.canvas.text(&plain(&panel_name(panel)), (*left, *y), TEXT, Ink::Text, Anchor::Start)?,
                Named::Curve(index) => {
                    let (ink, width) = look(panel, index);
                    let name = panel.curves.get(index).map_or("", |curve| curve.name.as_str());
                    self.canvas.line(&[(*left, *y), (left + SWATCH, *y)], ink, width, 1.0)?;
                    self.canvas.text(&plain(name), (left + SWATCH + 5.0, *y), TEXT, Ink::Quiet, Anchor::Start)?;
                }
            }
        }
        Ok(())
    }
}

/// A stretch of at least three pixels around the same middle.
fn widened(from: f64, to: f64) -> (f64, f64) {
    let more = (3.0 - (to - from)).max(0.0) / 2.0;
    (from - more, to + more)
}

/// The defects' stretches in pixels, in order, those that touch made one.
fn merged(marks: &[&Mark], x: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    let defects = marks.iter().filter(|mark| mark.kind == MarkKind::Defect);
    let mut stretches: Vec<(f64, f64)> = defects.map(|mark| widened(x(mark.interval_s[0]), x(mark.interval_s[1]))).collect();
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut merged: Vec<(f64, f64)> = Vec::new();
    for (from, to) in stretches {
        match merged.last_mut() {
            Some(last) if from <= last.1 + 1.0 => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    merged
}
