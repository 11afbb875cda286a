//! The sum of squares as a function of where the knee is, exact in every gap between samples.

use super::SAMPLES_PER_SIDE;

/// A straight line fitted to one side, as sums about running means.
#[derive(Clone, Copy, Default)]
struct Side {
    n: f64,
    mean_t: f64,
    mean_y: f64,
    tt: f64,
    ty: f64,
    yy: f64,
}

impl Side {
    /// One more sample (Welford's update, which never subtracts large sums).
    fn with(mut self, t: f64, y: f64) -> Self {
        self.n += 1.0;
        let (dt, dy) = (t - self.mean_t, y - self.mean_y);
        self.mean_t += dt / self.n;
        self.mean_y += dy / self.n;
        self.tt += dt * (t - self.mean_t);
        self.ty += dt * (y - self.mean_y);
        self.yy += dy * (y - self.mean_y);
        self
    }

    fn slope(&self) -> f64 {
        self.ty / self.tt
    }

    fn rss(&self) -> f64 {
        (self.yy - self.ty * self.ty / self.tt).max(0.0)
    }
}

/// One gap between samples, and the two lines fitted apart from each other on either side of it.
struct Gap {
    from: f64,
    to: f64,
    apart: f64,
    /// Distance of the right line above the left one: at the middle of the gap, and its slope.
    distance: [f64; 2],
    /// Its variance for unit noise as a quadratic in the distance from the middle of the gap, rising powers.
    variance: [f64; 3],
}

impl Gap {
    fn new(from: f64, to: f64, left: &Side, right: &Side) -> Self {
        let middle = 0.5 * (from + to);
        let (l, r) = (middle - left.mean_t, middle - right.mean_t);
        let distance = [right.mean_y + right.slope() * r - left.mean_y - left.slope() * l, right.slope() - left.slope()];
        let variance = [
            1.0 / left.n + l * l / left.tt + 1.0 / right.n + r * r / right.tt,
            2.0 * (l / left.tt + r / right.tt),
            1.0 / left.tt + 1.0 / right.tt,
        ];
        Self { from, to, apart: left.rss() + right.rss(), distance, variance }
    }

    fn sum(&self, knee: f64) -> f64 {
        let x = knee - 0.5 * (self.from + self.to);
        let distance = self.distance[0] + self.distance[1] * x;
        self.apart + distance * distance / (self.variance[0] + x * (self.variance[1] + x * self.variance[2]))
    }

    /// Where the sum is least in this gap: at the crossing if it lies inside, else at one end.
    fn minimum(&self) -> (f64, f64) {
        let crossing = 0.5 * (self.from + self.to) - self.distance[0] / self.distance[1];
        if (self.from..=self.to).contains(&crossing) {
            return (crossing, self.apart);
        }
        let (low, high) = (self.sum(self.from), self.sum(self.to));
        if low <= high { (self.from, low) } else { (self.to, high) }
    }

    /// Where the sum passes `limit` inside this gap.
    fn crossings(&self, limit: f64) -> impl Iterator<Item = f64> {
        let slack = limit - self.apart;
        let [d0, d1] = self.distance;
        let [v0, v1, v2] = self.variance;
        let (a, b, c) = (d1 * d1 - slack * v2, 2.0 * d0 * d1 - slack * v1, d0 * d0 - slack * v0);
        // No number where the sum never passes the limit; such a root lies in no gap.
        let root = (b * b - 4.0 * a * c).sqrt();
        let q = -0.5 * (b + root.copysign(b));
        let middle = 0.5 * (self.from + self.to);
        let (from, to) = (self.from, self.to);
        [q / a, c / q].into_iter().map(move |x| middle + x).filter(move |x| (from..=to).contains(x))
    }
}

/// All gaps in which a knee may lie.
pub(super) struct Profile {
    gaps: Vec<Gap>,
}

impl Profile {
    /// From samples in order of time; `None` where no gap leaves enough samples on both sides.
    pub(super) fn new(time: &[f64], value: &[f64]) -> Option<Self> {
        let n = time.len();
        let grow = |side: &mut Side, (t, y): (&f64, &f64)| {
            *side = side.with(*t, *y);
            Some(*side)
        };
        let left: Vec<Side> = time.iter().zip(value).scan(Side::default(), grow).collect();
        let mut right: Vec<Side> = time.iter().zip(value).rev().scan(Side::default(), grow).collect();
        right.reverse();
        let gaps: Vec<Gap> = (SAMPLES_PER_SIDE..=n.checked_sub(SAMPLES_PER_SIDE)?)
            .filter(|&k| time[k] > time[k - 1] && left[k - 1].tt > 0.0 && right[k].tt > 0.0)
            .map(|k| Gap::new(time[k - 1], time[k], &left[k - 1], &right[k]))
            .collect();
        (!gaps.is_empty()).then_some(Self { gaps })
    }

    /// Where the sum of squares is least over all gaps, and how much it is there.
    pub(super) fn minimum(&self) -> Option<(f64, f64)> {
        self.gaps.iter().map(Gap::minimum).filter(|(_, sum)| sum.is_finite()).min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// First and last place where a knee may lie.
    pub(super) fn range(&self) -> [f64; 2] {
        [self.gaps.first().map_or(0.0, |gap| gap.from), self.gaps.last().map_or(0.0, |gap| gap.to)]
    }

    /// From the first to the last place where the sum stays within `factor` of its least; `None` if either is an end of the range.
    pub(super) fn below(&self, factor: f64, knee: f64) -> Option<[f64; 2]> {
        let (_, least) = self.minimum()?;
        let limit = factor * least;
        let (first, last) = (self.gaps.first()?, self.gaps.last()?);
        if first.sum(first.from) <= limit || last.sum(last.to) <= limit {
            return None;
        }
        let places = self.gaps.iter().flat_map(|gap| gap.crossings(limit));
        Some(places.fold([knee, knee], |[low, high], place| [low.min(place), high.max(place)]))
    }
}
