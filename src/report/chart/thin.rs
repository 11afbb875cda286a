//! Thinning a curve to what the picture can show.
//!
//! Of all points that fall into one column of the picture, the first, the lowest, the highest and the last are kept, in
//! their order: the drawn line covers the same pixels, and a spike one sample wide stays a spike.

use super::scale::Scale;

/// Values beyond this are no reading of any channel; they break the line instead of flattening the axis.
pub(super) const BEYOND_ANY_READING: f64 = 1e7;

/// Whether a point can be drawn.
pub(super) fn drawable(&(time, value): &(f64, f64)) -> bool {
    time.is_finite() && value.is_finite() && value.abs() < BEYOND_ANY_READING
}

/// The curve as unbroken lines in design pixels, thinned to columns `column` pixels wide.
pub(super) fn lines(points: &[(f64, f64)], x: &Scale, y: &Scale, column: f64) -> Vec<Vec<(f64, f64)>> {
    points
        .split(|point| !drawable(point) || !x.holds(point.0))
        .filter(|stretch| !stretch.is_empty())
        .map(|stretch| thinned(stretch, x, y, column))
        .collect()
}

/// One unbroken stretch. Columns are walked with the points, so that the cost is one pass.
fn thinned(stretch: &[(f64, f64)], x: &Scale, y: &Scale, column: f64) -> Vec<(f64, f64)> {
    let mut line = Vec::new();
    let of = |point: &(f64, f64)| ((x.at(point.0) - x.start) / column).floor();
    for group in stretch.chunk_by(|a, b| of(a) == of(b)) {
        let lowest = (0..group.len()).min_by(|&a, &b| group[a].1.total_cmp(&group[b].1)).unwrap_or(0);
        let highest = (0..group.len()).max_by(|&a, &b| group[a].1.total_cmp(&group[b].1)).unwrap_or(0);
        let mut kept = [0, lowest.min(highest), lowest.max(highest), group.len() - 1].to_vec();
        kept.dedup();
        line.extend(kept.into_iter().map(|index| (x.at(group[index].0), y.at(group[index].1))));
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    const X: Scale = Scale { low: 0.0, high: 86_400.0, start: 0.0, end: 800.0 };
    const Y: Scale = Scale { low: 0.0, high: 100.0, start: 300.0, end: 0.0 };

    #[test]
    fn a_day_at_ten_a_second_shrinks_to_the_picture_and_keeps_its_spike() {
        let points: Vec<(f64, f64)> = (0..864_000).map(|n| (f64::from(n) / 10.0, if n == 123_456 { 99.0 } else { 50.0 })).collect();
        let lines = lines(&points, &X, &Y, 1.0);
        assert_eq!(lines.len(), 1);
        assert!(lines[0].len() <= 4 * 801, "{}", lines[0].len());
        assert!(lines[0].iter().any(|point| (point.1 - Y.at(99.0)).abs() < 1e-9), "the spike was lost");
    }

    #[test]
    fn what_is_no_number_breaks_the_line() {
        let points = [(0.0, 1.0), (1.0, 2.0), (2.0, f64::NAN), (3.0, 1.0), (4.0, 1e300), (5.0, 1.0), (-1.0, 3.0), (f64::INFINITY, 1.0)];
        assert_eq!(lines(&points, &X, &Y, 1.0).len(), 3);
    }
}
