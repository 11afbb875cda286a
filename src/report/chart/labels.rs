//! Finding room for words: beside what they name, off the curves, never over one another.

use super::ChartError;
use super::canvas::{Anchor, Canvas};
use super::ink::Ink;
use super::layout::{LINE, TEXT};
use plotters::prelude::DrawingBackend;

/// A rectangle in design pixels.
#[derive(Clone, Copy, Debug)]
pub(super) struct Box2 {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Box2 {
    fn meets(&self, other: &Box2) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    fn within(&self, outer: &Box2) -> bool {
        self.left >= outer.left && self.right <= outer.right && self.top >= outer.top && self.bottom <= outer.bottom
    }
}

/// The words of one panel, placed one after the other; who comes first gets the better place.
pub(super) struct Labels {
    frame: Box2,
    /// Lines that words should not cross.
    lines: Vec<Vec<(f64, f64)>>,
    /// Upright lines that words should not be parted from their point by.
    walls: Vec<f64>,
    taken: Vec<Box2>,
}

/// What the words name.
#[derive(Clone, Copy, Debug)]
pub(super) enum Target {
    /// A point.
    Point(f64, f64),
    /// A stretch from left to right with an upper and a lower edge.
    Stretch(Box2),
}

impl Labels {
    /// For a panel with this frame.
    pub(super) fn new(frame: Box2) -> Self {
        Self { frame, lines: Vec::new(), walls: Vec::new(), taken: Vec::new() }
    }

    /// Words stand on the same side of this upright line as their point, where they can.
    pub(super) fn wall(&mut self, x: f64) {
        self.walls.push(x);
    }

    /// Words stay off this line where they can.
    pub(super) fn avoid(&mut self, line: Vec<(f64, f64)>) {
        self.lines.push(line);
    }

    /// Writes the words beside their target, with a thin line to one that is not near, unless it would run across other
    /// words. Words for which the panel has no room are left out: the text of the report has them all.
    pub(super) fn write<DB: DrawingBackend>(
        &mut self,
        canvas: &Canvas<DB>,
        text: &str,
        target: Target,
        ink: Ink,
    ) -> Result<(), ChartError> {
        let most = (self.frame.right - self.frame.left) * 0.7;
        let lines = wrapped(canvas, text, most)?;
        let mut width: f64 = 0.0;
        for line in &lines {
            width = width.max(canvas.text_width(line, TEXT)?);
        }
        let size = (width + 6.0, LINE * lines.len() as f64);
        let Some(place) = self.best(size, target) else { return Ok(()) };
        let (x, y) = nearest(&place, target);
        let near = (x.clamp(place.left, place.right), y.clamp(place.top, place.bottom));
        if (near.0 - x).hypot(near.1 - y) > 16.0 && self.led_across(&place, target) == 0.0 {
            canvas.line(&[(x, y), near], ink, 1.0, 0.8)?;
        }
        canvas.rect((place.left, place.top), (place.right, place.bottom), Ink::Paper, 0.8)?;
        for (index, line) in lines.iter().enumerate() {
            canvas.text(line, (place.left + 3.0, place.top + LINE * (index as f64 + 0.5)), TEXT, ink, Anchor::Start)?;
        }
        self.taken.push(place);
        Ok(())
    }

    /// The cheapest place: near, off the lines, inside the frame, on no other words.
    fn best(&self, size: (f64, f64), target: Target) -> Option<Box2> {
        let mut best: Option<(f64, Box2)> = None;
        for (left, top, distance) in self.candidates(size, target) {
            let place = Box2 { left, top, right: left + size.0, bottom: top + size.1 };
            if !place.within(&self.frame) || self.taken.iter().any(|taken| taken.meets(&place)) {
                continue;
            }
            let cost = distance
                + 12.0 * self.crossings(&place).min(20.0)
                + 20.0 * self.parted(&place, target)
                + 30.0 * self.led_across(&place, target);
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, place));
            }
        }
        best.map(|(_, place)| place)
    }

    /// Places to try, as left edge, top edge and how far off they are.
    fn candidates(&self, (width, height): (f64, f64), target: Target) -> Vec<(f64, f64, f64)> {
        let clear = 7.0;
        let (lefts, above, below) = match target {
            Target::Point(x, y) => (vec![(x + clear, 0.0), (x - clear - width, 2.0), (x - width / 2.0, 6.0)], y, y),
            Target::Stretch(span) => {
                let middle = (span.left + span.right - width) / 2.0;
                (vec![(span.right - width - 4.0, 0.0), (middle, 1.0), (span.left + 4.0, 2.0)], span.top, span.bottom)
            }
        };
        let gap = if matches!(target, Target::Point(..)) { clear } else { 1.0 };
        let mut places = Vec::new();
        for (left, aside) in lefts {
            let left = left.min(self.frame.right - width).max(self.frame.left);
            for step in 0..24 {
                let away = gap + f64::from(step) * 8.0;
                places.push((left, above - away - height, away + aside));
                places.push((left, below + away, away + aside + 1.0));
            }
        }
        places
    }

    /// How many walls run through the place or between it and its point.
    fn parted(&self, place: &Box2, target: Target) -> f64 {
        let (left, right) = match target {
            Target::Point(x, _) => (place.left.min(x), place.right.max(x)),
            Target::Stretch(_) => (place.left, place.right),
        };
        self.walls.iter().filter(|&&wall| left + 0.5 < wall && wall < right - 0.5).count() as f64
    }

    /// How many other words the line from the target to the place would run across.
    fn led_across(&self, place: &Box2, target: Target) -> f64 {
        let (x, y) = nearest(place, target);
        let (left, right) = (x.min(x.clamp(place.left, place.right)), x.max(x.clamp(place.left, place.right)));
        let (top, bottom) = (y.min(y.clamp(place.top, place.bottom)), y.max(y.clamp(place.top, place.bottom)));
        let leader = Box2 { left: left - 1.0, top, right: right + 1.0, bottom };
        self.taken.iter().filter(|taken| taken.meets(&leader)).count() as f64
    }

    /// How many pieces of lines run through the place.
    fn crossings(&self, place: &Box2) -> f64 {
        let crosses = |a: (f64, f64), b: (f64, f64)| {
            let piece = Box2 { left: a.0.min(b.0) - 1.0, top: a.1.min(b.1) - 1.0, right: a.0.max(b.0) + 1.0, bottom: a.1.max(b.1) + 1.0 };
            piece.meets(place)
        };
        self.lines.iter().flat_map(|line| line.windows(2)).filter(|pair| crosses(pair[0], pair[1])).count() as f64
    }
}

/// The point of the target from which a line to the words starts.
fn nearest(place: &Box2, target: Target) -> (f64, f64) {
    match target {
        Target::Point(x, y) => (x, y),
        Target::Stretch(span) => {
            let middle = (place.left + place.right) / 2.0;
            let edge = if place.top + place.bottom < span.top + span.bottom { span.top } else { span.bottom };
            (middle.max(span.left).min(span.right), edge)
        }
    }
}

/// The text in lines no wider than `most` where its words allow.
fn wrapped<DB: DrawingBackend>(canvas: &Canvas<DB>, text: &str, most: f64) -> Result<Vec<String>, ChartError> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_ascii_whitespace() {
        if let Some(line) = lines.last_mut() {
            let longer = format!("{line} {word}");
            if canvas.text_width(&longer, TEXT)? <= most {
                *line = longer;
                continue;
            }
        }
        lines.push(word.to_owned());
    }
    Ok(lines)
}
