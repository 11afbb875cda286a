//! Does a series swing, how fast, how far, and how regularly?
//!
//! Used for a regulated temperature: a fan or a hysteresis swings it regularly, traffic and slugs of vapour do not.
//!
//! ```text
//! y(t) = c + d·t + a·cos(2πft) + b·sin(2πft) + noise
//! ```
//!
//! The periodogram with a floating mean (least squares at each f, so that uneven sampling needs no grid) proposes peaks. Noise that drifts makes
//! peaks of its own at low frequencies, so each proposal is tried against a first-order process: the likelihood with the swing
//! against the likelihood without, the correlation time free in both. Noise alone gains 2z at one frequency with probability exp(−z), and
//! somewhere between the least and the greatest frequency with
//!
//! ```text
//! chance = exp(−z)·(1 + W·√z)      W = (f_max − f_min)·√(4π·variance of the times)
//! ```
//!
//! Swings are also counted one by one, each from one rise through the middle to the next, which asks for no fixed period: the scatter of
//! their lengths is the irregularity.
//!
//! Limits: three periods in the record; of a longer one than `MOST_SAMPLES` the first so many. A reading in steps that toggles between two neighbours is a square wave with a first harmonic
//! of 4/π steps from peak to peak, however little the true value moves, so what swings by less is not reported.
//!
//! # References
//!
//! - Baluev, R. V. (2008). Assessing the statistical significance of periodogram peaks. *Mon. Not. R. Astron. Soc.* 385, 1279–1285.
//! - Zechmeister, M. and Kürster, M. (2009). The generalised Lomb–Scargle periodogram. *Astronomy & Astrophysics* 496, 577–584.
//! - Schulz, M. and Mudelsee, M. (2002). REDFIT: estimating red-noise spectra directly from unevenly spaced time series.
//!   *Computers & Geosciences* 28, 421–426 (first-order noise as the background to beat).

mod cycles;
mod spectrum;

use super::{line::Line, moments, robust};
use spectrum::{Peak, Spectrum};

/// Chance below which noise is not believed to make a peak. One in a hundred, because the chance is a limit for long records and
/// the correlation of the noise is itself estimated; a fan's chance is smaller by many orders of magnitude.
const CHANCE_LIMIT: f64 = 0.01;

/// Fewest swings (or periods in the record) from which a period is told.
pub const FEWEST_SWINGS: usize = 3;

/// Most samples looked at, eight to the shortest period: a day of what swings within half a minute. It bounds the memory.
const MOST_SAMPLES: usize = 30_000;

/// First harmonic of a square wave of one step, from peak to peak, in steps.
const TOGGLE: f64 = 4.0 / std::f64::consts::PI;

/// A swing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing {
    /// Period, in the unit of time: of the peak if `periodic`, else the median length of one swing.
    pub period: f64,
    /// Standard deviation of the period.
    pub period_deviation: f64,
    /// From the middle to the crest, in the unit of y: of the fitted wave if `periodic`, else half the median height of one swing.
    pub amplitude: f64,
    /// Standard deviation of the amplitude.
    pub amplitude_deviation: f64,
    /// Whether one period stands out of drifting noise (see [`Swing::chance`]). Swings whose lengths scatter by a third can still have a period
    /// in this sense, as a mean; how regular they are says [`Swing::irregularity`].
    pub periodic: bool,
    /// Chance that first-order noise makes such a peak.
    pub chance: f64,
    /// Standard deviation of the lengths of single swings over their mean: near 0 for a clock, about 0.5 for noise. Each length, from rise to
    /// rise, has a part of its neighbour in it, so lengths drawn independently show about three quarters of their scatter. `None` with
    /// fewer than three swings counted.
    pub irregularity: Option<f64>,
    /// Whole swings counted.
    pub swings: usize,
}

/// The swing in `value` over `time` (rising) with a period between `shortest` and `longest`; `step` is the least difference that the reading can
/// show (0 if it is fine).
///
/// `None` where nothing stands out of noise, where what does is no larger than a toggling reading, and where the record does not hold three
/// periods.
pub fn find(time: &[f64], value: &[f64], step: f64, shortest: f64, longest: f64) -> Option<Swing> {
    let sound = time.len() == value.len() && time.iter().chain(value).all(|v| v.is_finite()) && step >= 0.0;
    let span = time.last()? - time.first()?;
    let longest = longest.min(span / FEWEST_SWINGS as f64);
    if !sound || shortest.is_nan() || shortest <= 0.0 || shortest >= longest {
        return None;
    }
    let (mut time, mut value) = moments::thinned(time, value, shortest / 8.0);
    time.truncate(MOST_SAMPLES);
    value.truncate(MOST_SAMPLES);
    let longest = longest.min((time.last()? - time.first()?) / FEWEST_SWINGS as f64);
    let level = Line::through(&time, &value, None)?.residuals(&time, &value);
    let counted = cycles::count(&time, &level, shortest, longest);
    let spectrum = Spectrum::new(&time, &level, shortest, longest)?;
    let peak = spectrum.best();
    let smallest = 0.5 * TOGGLE * step;
    if let Some(peak) = peak.filter(|p| p.chance <= CHANCE_LIMIT && p.amplitude > smallest && p.amplitude > 2.0 * p.amplitude_deviation) {
        // With the period known, the single swings are told better from the noise on them.
        let again = cycles::count(&time, &level, 0.5 / peak.frequency, 1.0 / peak.frequency);
        return Some(from_peak(&peak, &again));
    }
    irregular(&counted, smallest, peak.map_or(1.0, |p| p.chance))
}

/// A swing with a period.
fn from_peak(peak: &Peak, counted: &cycles::Cycles) -> Swing {
    Swing {
        period: 1.0 / peak.frequency,
        period_deviation: peak.frequency_deviation / (peak.frequency * peak.frequency),
        amplitude: peak.amplitude,
        amplitude_deviation: peak.amplitude_deviation,
        periodic: true,
        chance: peak.chance,
        irregularity: counted.irregularity(),
        swings: counted.lengths.len(),
    }
}

/// A swing without a period: several of them, each larger than reading noise makes.
fn irregular(counted: &cycles::Cycles, smallest: f64, chance: f64) -> Option<Swing> {
    if counted.lengths.len() < FEWEST_SWINGS || counted.noise.is_nan() {
        return None;
    }
    let n = counted.lengths.len() as f64;
    let amplitude = 0.5 * robust::median(&counted.heights)?;
    // White noise of this size, smoothed as it is here, reaches half of this.
    (amplitude > smallest && amplitude > 4.0 * counted.noise).then_some(())?;
    // The median of n is known to about 1.25 standard deviations over √n.
    let of_median = |values: &[f64]| robust::spread(values).map(|s| 1.25 * s / n.sqrt());
    Some(Swing {
        period: robust::median(&counted.lengths)?,
        period_deviation: of_median(&counted.lengths)?,
        amplitude,
        amplitude_deviation: 0.5 * of_median(&counted.heights)?,
        periodic: false,
        chance,
        irregularity: counted.irregularity(),
        swings: counted.lengths.len(),
    })
}
