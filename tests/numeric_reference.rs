//! The numeric methods against published results, and their intervals against made series with known truth.
//!
//! Where the files come from, and what was changed, stands in `reference/README-numeric.md`. Small sets are stated here with their
//! source. The made series use a fixed generator, so that every run draws the same numbers.

use std::collections::BTreeMap;
use wellbled::numeric::broken_line::{self, NoKnee};
use wellbled::numeric::decay::{self, Known, NoDecay, Reading};
use wellbled::numeric::least_squares::{self, Normal};
use wellbled::numeric::line::Line;
use wellbled::numeric::oscillation;
use wellbled::numeric::plateau::{self, NoPlateau};
use wellbled::numeric::{autocorrelation, moments, robust};

/// Rows of a reference file after its heading, split at commas outside quotes.
fn rows(file: &str) -> Vec<Vec<String>> {
    let path = format!("{}/tests/reference/{file}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"));
    let fields = |line: &str| {
        let mut quoted = false;
        let field = |c: char| {
            quoted ^= c == '"';
            c == ',' && !quoted
        };
        line.split(field).map(|f| f.trim_matches('"').to_string()).collect()
    };
    text.lines().skip(1).map(fields).collect()
}

fn number(text: &str) -> f64 {
    text.parse().unwrap_or_else(|_| panic!("`{text}` is no number"))
}

/// Numeric columns of a file, or of those rows whose first field is `set`.
fn columns(file: &str, set: Option<&str>) -> Vec<Vec<f64>> {
    let skip = usize::from(set.is_some());
    let chosen: Vec<Vec<f64>> = rows(file)
        .iter()
        .filter(|row| set.is_none_or(|name| row[0] == name))
        .map(|row| row[skip..].iter().map(|f| number(f)).collect())
        .collect();
    (0..chosen[0].len()).map(|j| chosen.iter().map(|row| row[j]).collect()).collect()
}

/// Digits that `got` shares with `expected`: minus the decimal logarithm of the relative difference.
fn digits(got: f64, expected: f64) -> f64 {
    -((got - expected).abs() / expected.abs()).max(1e-17).log10()
}

fn agree(what: &str, got: f64, expected: f64, least: f64) {
    let have = digits(got, expected);
    assert!(have >= least, "{what}: got {got:e}, certified {expected:e}: {have:.1} digits, {least} wanted");
}

fn near(what: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{what}: got {got}, expected {expected} ± {tolerance}");
}

/// Noise for the made series: Marsaglia's xorshift with a multiplier, and the polar method for normal numbers.
struct Noise(u64);

impl Noise {
    fn new(seed: u64) -> Self {
        let mut noise = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        for _ in 0..16 {
            noise.uniform();
        }
        noise
    }

    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        loop {
            let (u, v) = (2.0 * self.uniform() - 1.0, 2.0 * self.uniform() - 1.0);
            let s = u * u + v * v;
            if s > 0.0 && s < 1.0 {
                return u * (-2.0 * s.ln() / s).sqrt();
            }
        }
    }

    /// A first-order process of unit variance with correlation `phi` between neighbours (0: white).
    fn process(&mut self, n: usize, phi: f64) -> Vec<f64> {
        let mut last = self.normal();
        (0..n)
            .map(|_| {
                let now = last;
                last = phi * last + (1.0 - phi * phi).sqrt() * self.normal();
                now
            })
            .collect()
    }
}

/// Asserts that a 95 % interval holds the truth in 92 to 98 of 100 cases: ± 3 in 100 is 2.75 binomial standard deviations of 400 draws.
fn covers(what: &str, held: usize, of: usize) {
    let share = held as f64 / of as f64;
    println!("{what}: {held} of {of} = {:.1} %", 100.0 * share);
    assert!((0.92..=0.98).contains(&share), "{what}: {held} of {of} intervals hold the truth");
}

// ---- Linear least squares -------------------------------------------------------------------------------------------------

/// Certified values and standard deviations of a NIST StRD linear set.
fn certified(set: &str) -> Vec<(f64, f64)> {
    rows("nist_linear_certified.csv").iter().filter(|row| row[0] == set).map(|row| (number(&row[2]), number(&row[3]))).collect()
}

fn check_linear(set: &str, columns: &[Vec<f64>], y: &[f64], least: f64) {
    let fit = least_squares::solve(columns, y, None).expect("the set is of full rank");
    for (j, (value, deviation)) in certified(set).into_iter().enumerate() {
        agree(&format!("{set} B{j}"), fit.coefficients[j], value, least);
        agree(&format!("{set} sd B{j}"), fit.standard_deviation(j).expect("free"), deviation, least);
    }
    let sums = rows("nist_linear_rss.csv");
    let row = sums.iter().find(|row| row[0] == set).expect("listed");
    agree(&format!("{set} rss"), fit.rss, number(&row[1]), least);
    near("degrees of freedom", fit.degrees_of_freedom, number(&row[2]), 0.0);
}

/// NIST StRD Norris (lower difficulty).
#[test]
fn norris_to_ten_digits() {
    let data = columns("nist_linear_norris_data.csv", None);
    check_linear("Norris", &[vec![1.0; data[0].len()], data[0].clone()], &data[1], 10.0);
    let line = Line::through(&data[0], &data[1], None).expect("a line");
    agree("Norris intercept of the centred line", line.intercept(), -0.262323073774029, 10.0);
    agree("Norris sd of the intercept", line.at(0.0).1, 0.232818234301152, 10.0);
    agree("Norris slope", line.slope, 1.00211681802045, 10.0);
    agree("Norris sd of the slope", line.slope_deviation(), 0.429796848199937E-03, 10.0);
}

/// NIST StRD Longley (higher difficulty: columns that nearly depend on each other).
#[test]
fn longley_to_eight_digits() {
    let data = columns("nist_linear_longley_data.csv", None);
    let mut x = vec![vec![1.0; data[0].len()]];
    x.extend_from_slice(&data[1..]);
    check_linear("Longley", &x, &data[0], 8.0);
}

/// NIST StRD Filip (higher difficulty: powers up to the tenth of numbers around −6). Seven digits are what double precision leaves.
#[test]
fn filip_to_seven_digits() {
    let data = columns("nist_linear_filip_data.csv", None);
    let x: Vec<Vec<f64>> = (0..11).map(|power| data[0].iter().map(|x| x.powi(power)).collect()).collect();
    check_linear("Filip", &x, &data[1], 7.0);
}

/// The normal equations keep half the digits: eight on a centred line are asked for, twelve and more are seen.
#[test]
fn normal_equations_agree_with_reflections_and_subtract() {
    let data = columns("nist_linear_norris_data.csv", None);
    let row = |i: usize| [1.0, data[0][i] - 420.0];
    let sum = |range: std::ops::Range<usize>| {
        let mut normal = Normal::new(2);
        range.for_each(|i| normal.add(&row(i), data[1][i], 1.0));
        normal
    };
    let window = sum(0..30).minus(&sum(0..10)).expect("same columns").solve().expect("a line");
    let direct = least_squares::solve(&[vec![1.0; 20], (10..30).map(|i| row(i)[1]).collect()], &data[1][10..30], None).expect("a line");
    for j in 0..2 {
        agree("coefficient", window.coefficients[j], direct.coefficients[j], 8.0);
        agree("deviation", window.standard_deviation(j).unwrap(), direct.standard_deviation(j).unwrap(), 8.0);
    }
}

/// Against trying every set of held coefficients: of those that respect the bounds, the least sum of squares is the answer.
#[test]
fn bounded_fit_is_the_best_of_all_active_sets() {
    let mut noise = Noise::new(3);
    for trial in 0..300 {
        let p = 2 + trial % 4;
        let x: Vec<Vec<f64>> = (0..p).map(|_| (0..20).map(|_| noise.normal()).collect()).collect();
        let y: Vec<f64> = (0..20).map(|_| noise.normal()).collect();
        let lower: Vec<f64> = (0..p).map(|j| if j == 0 { f64::NEG_INFINITY } else { noise.uniform() * 0.3 - 0.2 }).collect();
        let upper: Vec<f64> = lower.iter().map(|l| if l.is_finite() { l + 0.2 } else { f64::INFINITY }).collect();
        let got = least_squares::solve_bounded(&x, &y, None, &lower, &upper).expect("full rank");
        assert!(got.coefficients.iter().zip(lower.iter().zip(&upper)).all(|(b, (l, u))| *b >= l - 1e-12 && *b <= u + 1e-12));
        let mut best = f64::INFINITY;
        for code in 0..3usize.pow(p as u32 - 1) {
            // Digit 0: free, 1: at the lower bound, 2: at the upper one; the first coefficient has no bounds.
            let state: Vec<usize> = (0..p).map(|j| if j == 0 { 0 } else { code / 3usize.pow(j as u32 - 1) % 3 }).collect();
            let at: Vec<f64> = (0..p).map(|j| [0.0, lower[j], upper[j]][state[j]]).collect();
            let rest: Vec<f64> = (0..20).map(|i| y[i] - (0..p).filter(|&j| state[j] > 0).map(|j| at[j] * x[j][i]).sum::<f64>()).collect();
            let free: Vec<usize> = (0..p).filter(|&j| state[j] == 0).collect();
            let part: Vec<Vec<f64>> = free.iter().map(|&j| x[j].clone()).collect();
            let fit = least_squares::solve(&part, &rest, None).expect("full rank");
            if free.iter().zip(&fit.coefficients).all(|(&j, b)| *b >= lower[j] && *b <= upper[j]) {
                best = best.min(fit.rss);
            }
        }
        near("least sum of squares", got.rss, best, 1e-10 * best);
    }
}

#[test]
fn what_cannot_be_fitted_is_refused() {
    let ones = vec![1.0; 5];
    let y = [1.0, 2.0, 3.0, 4.0, 5.0];
    assert!(least_squares::solve(&[], &y, None).is_none(), "no column");
    assert!(least_squares::solve(&[ones.clone(), ones.clone()], &y, None).is_none(), "the same column twice");
    assert!(least_squares::solve(&[vec![0.0; 5]], &y, None).is_none(), "a column of zeros");
    assert!(least_squares::solve(&[vec![1.0; 4]], &y, None).is_none(), "lengths differ");
    assert!(least_squares::solve(&[vec![f64::NAN; 5]], &y, None).is_none(), "not finite");
    assert!(least_squares::solve(std::slice::from_ref(&ones), &y, Some(&[0.0; 5])).is_none(), "no weight left");
    assert!(least_squares::solve(std::slice::from_ref(&ones), &y, Some(&[1.0, 1.0, -1.0, 1.0, 1.0])).is_none(), "negative weight");
    assert!(least_squares::solve_bounded(std::slice::from_ref(&ones), &y, None, &[1.0], &[0.0]).is_none(), "bounds crossed");
    let exact = least_squares::solve(&[ones], &y[..1].repeat(5), None).expect("a level");
    near("level", exact.coefficients[0], 1.0, 1e-15);
    assert!(Normal::new(0).solve().is_none() && Normal::new(3).solve().is_none());
}

/// Weights that are whole numbers mean the same as rows written so many times.
#[test]
fn weights_are_repeats() {
    let x = [0.0, 1.0, 2.0, 5.0];
    let y = [1.0, 2.2, 2.9, 6.3];
    let weighted = least_squares::solve(&[vec![1.0; 4], x.to_vec()], &y, Some(&[1.0, 2.0, 0.0, 3.0])).expect("a line");
    let (xs, ys) = ([0.0, 1.0, 1.0, 5.0, 5.0, 5.0], [1.0, 2.2, 2.2, 6.3, 6.3, 6.3]);
    let repeated = least_squares::solve(&[vec![1.0; 6], xs.to_vec()], &ys, None).expect("a line");
    for j in 0..2 {
        agree("coefficient", weighted.coefficients[j], repeated.coefficients[j], 12.0);
    }
    agree("rss", weighted.rss, repeated.rss, 12.0);
    near("rows of weight 0 carry no freedom", weighted.degrees_of_freedom, 1.0, 0.0);
}

// ---- Moments and robust statistics ----------------------------------------------------------------------------------------

/// NIST StRD univariate sets. NumAcc1 to 4 are rules: three numbers; or one level, then 500 times (level − 0.1, level + 0.1) — 1.1 and
/// 1.3 about 1.2 for NumAcc2.
///
/// The data of NumAcc4 are themselves rounded to 2e-9, which leaves 8 digits of the deviation 0.1.
#[test]
fn univariate_sets() {
    for row in rows("nist_univariate_certified.csv") {
        let set = row[0].as_str();
        let alternating = |level: f64, low: f64, high: f64| -> Vec<f64> {
            std::iter::once(level).chain([low, high].into_iter().cycle().take(1000)).collect()
        };
        let data = match set {
            "NumAcc1" => vec![10_000_001.0, 10_000_003.0, 10_000_002.0],
            "NumAcc2" => alternating(1.2, 1.1, 1.3),
            "NumAcc3" => alternating(1_000_000.2, 1_000_000.1, 1_000_000.3),
            "NumAcc4" => alternating(10_000_000.2, 10_000_000.1, 10_000_000.3),
            _ => columns("nist_univariate_data.csv", Some(set)).remove(0),
        };
        assert_eq!(data.len() as f64, number(&row[1]), "{set}");
        let least = if set == "NumAcc4" {
            8.0
        } else if set == "NumAcc3" {
            9.0
        } else {
            12.0
        };
        agree(&format!("{set} mean"), moments::mean(&data).unwrap(), number(&row[2]), 14.0);
        agree(&format!("{set} deviation"), moments::deviation(&data).unwrap(), number(&row[3]), least);
        agree(&format!("{set} lag one"), moments::lag_one(&data).unwrap(), number(&row[4]), least);
    }
}

/// Worked by hand; the factor is 1/Φ⁻¹(¾).
#[test]
fn robust_centre_and_spread() {
    assert_eq!(robust::median(&[3.0, 1.0, 2.0]), Some(2.0));
    assert_eq!(robust::median(&[4.0, 1.0, 2.0, 3.0]), Some(2.5));
    assert_eq!(robust::median(&[]), None);
    assert_eq!(robust::median(&[1.0, f64::NAN]), None);
    // Deviations from 3: 2 1 0 1 97, median 1.
    near("spread", robust::spread(&[1.0, 2.0, 3.0, 4.0, 100.0]).unwrap(), 1.482_602_218_505_602, 1e-15);
    // Type 7 of Hyndman and Fan (1996), place 0.9·4 = 3.6 between 4 and 100.
    near("quantile", robust::quantile(&[1.0, 2.0, 3.0, 4.0, 100.0], 0.9).unwrap(), 61.6, 1e-12);
    // A reading of 90 for 9 s and one of 80 for 1 s: 5 % of the time it stood at 80, 95 % at 90.
    assert_eq!(robust::weighted_quantile(&[90.0, 80.0], &[9.0, 1.0], 0.05), Some(80.0));
    assert_eq!(robust::weighted_quantile(&[90.0, 80.0], &[9.0, 1.0], 0.5), Some(90.0));
    assert_eq!(robust::weighted_quantile(&[1.0, 2.0, 3.0, 4.0], &[1.0; 4], 0.5), Some(2.5), "equal weights: the median");
    // Samples at 0, 2, 4 and, after a gap, 100 s; nothing stands for more than 1 s on either side.
    assert_eq!(robust::holding_times(&[0.0, 2.0, 4.0, 100.0], 2.0), vec![1.0, 2.0, 2.0, 1.0]);
}

/// Level readings of an invented tank, one a week, in mm, with and without one wild value; slope, intercept and 95 % interval computed with
/// SciPy 1.17.1 (`theilslopes`, intercept by the medians).
#[test]
fn theil_sen_agrees_with_another_program() {
    let calm = [52.0, 51.5, 51.5, 51.0, 50.5, 50.5, 50.0, 50.0, 49.5, 49.0, 49.0, 48.5];
    let mut wild = calm;
    wild[4] = 60.0;
    let week: Vec<f64> = (0..12).map(f64::from).collect();
    for (level, slope, intercept, interval) in
        [(calm, -0.30625, 51.934375, [-1.0 / 3.0, -0.25]), (wild, -0.3125, 51.96875, [-1.0 / 3.0, -5.0 / 18.0])]
    {
        let line = robust::theil_sen(&week, &level, |_, _| 12.0).expect("a line");
        near("slope", line.slope, slope, 1e-12);
        near("intercept", line.intercept, intercept, 1e-12);
        near("low end", line.interval_95[0], interval[0], 1e-12);
        near("high end", line.interval_95[1], interval[1], 1e-12);
    }
    assert!(robust::theil_sen(&[1.0, 1.0, 1.0], &[1.0, 2.0, 3.0], |_, _| 3.0).is_none(), "one moment has no slope");
    // A long series is thinned by medians of neighbours: the slope of a straight one stays exact.
    let long: Vec<f64> = (0..5000).map(f64::from).collect();
    let falling: Vec<f64> = long.iter().map(|t| 5.0 - 0.25 * t).collect();
    near("slope of a long series", robust::theil_sen(&long, &falling, |_, _| 5000.0).expect("a line").slope, -0.25, 1e-12);
}

// ---- Two lines that meet --------------------------------------------------------------------------------------------------

/// Stagnant band height (log) over flow rate (log). R. A. Cook's thesis data, published in Seber, G. A. F. and Wild, C. J. (1989), *Nonlinear
/// Regression*, and analysed by Bacon, D. W. and Watts, D. G. (1971), *Biometrika* 58, 525–534; 29 observations.
const BAND: [(f64, f64); 29] = [
    (-1.39, 1.12),
    (-1.39, 1.12),
    (-1.08, 1.03),
    (-1.08, 0.99),
    (-0.94, 0.92),
    (-0.80, 0.90),
    (-0.63, 0.83),
    (-0.63, 0.81),
    (-0.25, 0.67),
    (-0.25, 0.65),
    (-0.12, 0.60),
    (-0.12, 0.59),
    (0.01, 0.51),
    (0.11, 0.44),
    (0.11, 0.43),
    (0.11, 0.43),
    (0.25, 0.33),
    (0.25, 0.30),
    (0.34, 0.25),
    (0.34, 0.24),
    (0.44, 0.13),
    (0.59, -0.01),
    (0.70, -0.13),
    (0.70, -0.14),
    (0.85, -0.30),
    (0.85, -0.33),
    (0.99, -0.43),
    (0.99, -0.46),
    (1.19, -0.65),
];

/// The global minimum lies at 0.0359 with rss 0.0093814; a search that walks downhill can stop at 0.0063. Computed by exhaustive search in
/// another language and by iterative segmented regression, which agree to 1e-7.
#[test]
fn band_height_has_its_kink_at_the_global_minimum() {
    let (x, y): (Vec<f64>, Vec<f64>) = BAND.iter().copied().unzip();
    let got = broken_line::find(&x, &y, 29.0).expect("a kink");
    near("kink", got.knee, 0.03591199739, 1e-8);
    near("slope before", got.slope_before, -0.4220768146, 1e-8);
    near("slope after", got.slope_after, -1.016592653, 1e-8);
    near("rss", got.rss, 0.009381362698, 1e-10);
    // Profile interval F(1, 25): there the outermost of scan points 0.000129 apart that lie inside.
    let [low, high] = got.knee_interval;
    assert!((-0.0320815 - 0.000129..=-0.0320815).contains(&low) && (0.0808838..=0.0808838 + 0.000129).contains(&high), "{low} {high}");
    // Standard deviations of the slopes by iterative segmented regression; it linearises at the same point.
    agree("sd of the slope before", got.slope_before_deviation, 0.011402734, 5.0);
    agree("sd of the slope after", got.slope_after_deviation, 0.014111254, 5.0);
    let fewer: Vec<(f64, f64)> = BAND.iter().copied().filter(|p| *p != (0.11, 0.44)).collect();
    let (x, y): (Vec<f64>, Vec<f64>) = fewer.into_iter().unzip();
    near("kink without one observation", broken_line::find(&x, &y, 28.0).expect("a kink").knee, 0.04110578461, 1e-8);
}

/// Own series with a kink at 430 s and 80.2 °C, slopes 0.14 and 0.02 K/s: exact; in 1 °C steps; with noise; at 1 s. The least-squares answers
/// were computed by exhaustive search in another language; a reading in steps carries the kink to about 2 s and 0.1 K.
#[test]
fn made_kinks() {
    let expected = [
        ("kink_exact", 430.0, 80.2, 1e-6),
        ("kink_1degC_steps", 429.821451, 80.23655509, 1e-5),
        ("kink_1degC_noise0.4", 431.3837669, 80.26677375, 1e-5),
        ("kink_1s_sampling", 429.9066961, 80.20446631, 1e-5),
    ];
    for (series, knee, level, tolerance) in expected {
        let data = columns("seg_synthetic_data.csv", Some(series));
        let got = broken_line::find(&data[0], &data[1], data[0].len() as f64).expect(series);
        near(&format!("{series} knee"), got.knee, knee, tolerance);
        near(&format!("{series} level"), got.level, level, tolerance);
        near(&format!("{series} true knee"), got.knee, 430.0, 2.0);
        near(&format!("{series} true level"), got.level, 80.2, 0.1);
        if series != "kink_exact" {
            let own = broken_line::find_correlated(&data[0], &data[1]).expect(series);
            assert!(own.knee_interval[0] <= 430.0 && 430.0 <= own.knee_interval[1], "{series}: {:?}", own.knee_interval);
        }
    }
}

/// A warm-up as it is logged: 0.12 K/s, then 0.02 K/s from 400 s, every 2 s.
fn warm_up(noise: &[f64], size: f64, step: f64) -> (Vec<f64>, Vec<f64>) {
    let time: Vec<f64> = (0..noise.len()).map(|i| 2.0 * i as f64).collect();
    let value = time.iter().zip(noise).map(|(t, e)| 32.0 + 0.12 * t.min(400.0) + 0.02 * (t - 400.0).max(0.0) + size * e);
    let value = value.map(|y| if step > 0.0 { (y / step).round() * step } else { y }).collect();
    (time, value)
}

#[test]
fn knee_intervals_hold_the_truth() {
    for (what, phi, step) in
        [("white", 0.0, 0.0), ("correlated 0.5", 0.5, 0.0), ("correlated 0.8", 0.8, 0.0), ("correlated 0.5, 1 K steps", 0.5, 1.0)]
    {
        let (mut known, mut own, mut level, mut found) = (0, 0, 0, 0);
        for seed in 0..400 {
            let (time, value) = warm_up(&Noise::new(1000 + seed).process(300, phi), 0.6, step);
            let worth = 300.0 * (1.0 - phi) / (1.0 + phi);
            let first = broken_line::find(&time, &value, worth).expect("a knee");
            known += usize::from(first.knee_interval[0] <= 400.0 && 400.0 <= first.knee_interval[1]);
            let got = broken_line::find_correlated(&time, &value).expect("a knee");
            found += 1;
            own += usize::from(got.knee_interval[0] <= 400.0 && 400.0 <= got.knee_interval[1]);
            level += usize::from(got.level_interval()[0] <= 80.0 && 80.0 <= got.level_interval()[1]);
        }
        if step == 0.0 {
            covers(&format!("knee, {what}, n_eff known"), known, found);
        }
        covers(&format!("knee, {what}"), own, found);
        if step == 0.0 {
            covers(&format!("height at the knee, {what}"), level, found);
        } else {
            // Rounding to steps larger than the noise is no noise, and costs about two in a hundred: 92.8 % over 1600 series.
            let share = level as f64 / found as f64;
            assert!((0.89..=0.98).contains(&share), "height at the knee, {what}: {level} of {found}");
        }
    }
}

/// Noise about a straight line is called a knee in 5 of 100 cases at most, wherever the knee may be placed.
#[test]
fn a_straight_rise_has_no_knee() {
    for phi in [0.0, 0.5, 0.8] {
        let mut alarms = 0;
        for seed in 0..400 {
            let noise = Noise::new(9000 + seed).process(300, phi);
            let time: Vec<f64> = (0..300).map(|i| 2.0 * i as f64).collect();
            let value: Vec<f64> = time.iter().zip(&noise).map(|(t, e)| 32.0 + 0.1 * t + 0.6 * e).collect();
            match broken_line::find_correlated(&time, &value) {
                Ok(_) | Err(NoKnee::Unbounded) => alarms += 1,
                Err(NoKnee::NotBetterThanLine) => (),
                Err(other) => panic!("{other:?}"),
            }
        }
        println!("false knees at correlation {phi}: {alarms} of 400");
        assert!(alarms <= 32, "{alarms} of 400 at {phi}"); // 5 % and 2.75 standard deviations
    }
}

#[test]
fn what_has_no_knee_says_why() {
    let t: Vec<f64> = (0..5).map(f64::from).collect();
    assert_eq!(broken_line::find(&t, &t, 5.0), Err(NoKnee::TooFewSamples { have: 5, need: 6 }));
    let t: Vec<f64> = (0..50).map(f64::from).collect();
    assert_eq!(broken_line::find(&t, &t, 50.0), Err(NoKnee::NotBetterThanLine), "exactly straight");
    assert_eq!(broken_line::find(&t, &[20.0; 50], 50.0), Err(NoKnee::NotBetterThanLine), "exactly level");
    assert!(matches!(broken_line::find(&t, &t, 3.0), Err(NoKnee::TooFewSamples { .. })), "worth too little");
    assert!(matches!(broken_line::find(&[1.0; 50], &t, 50.0), Err(NoKnee::TooFewSamples { .. })), "one moment");
    assert!(matches!(broken_line::find(&t, &[f64::NAN; 50], 50.0), Err(NoKnee::TooFewSamples { have: 0, .. })), "no numbers");
    // A bend within the last three samples: the record ends before it can be told where.
    let value: Vec<f64> = t.iter().map(|t| t + 0.3 * (t * 1.7).sin() - 4.0 * (t - 47.6).max(0.0)).collect();
    assert_eq!(broken_line::find(&t, &value, 50.0), Err(NoKnee::Unbounded));
}

// ---- Decay ----------------------------------------------------------------------------------------------------------------

/// NIST StRD Misra1a and BoxBOD, y = b₁(1 − exp(−b₂x)): an approach that starts at 0. No starting value is asked for, so BoxBOD's hard one
/// cannot mislead.
#[test]
fn misra_and_bod_to_six_digits() {
    let certified: BTreeMap<(String, String), (f64, f64)> = rows("nist_nls_certified.csv")
        .into_iter()
        .map(|row| ((row[0].clone(), row[1].clone()), (number(&row[4]), number(&row[5]))))
        .collect();
    for (set, rss) in [("Misra1a", 1.2455138894E-01), ("BoxBOD", 1.1680088766E+03)] {
        let data = columns("nist_nls_data.csv", Some(set));
        let got = decay::fit(&data[0], &data[1], Known::Start { time: 0.0, value: 0.0 }, data[0].len() as f64).expect(set);
        let (b1, sd1) = certified[&(set.into(), "b1".into())];
        let (b2, sd2) = certified[&(set.into(), "b2".into())];
        let tau = got.time_constant;
        agree(&format!("{set} b1"), got.asymptote, b1, 6.0);
        agree(&format!("{set} b2"), 1.0 / tau, b2, 6.0);
        agree(&format!("{set} sd b1"), got.asymptote_deviation(), sd1, 4.0);
        agree(&format!("{set} sd b2"), got.time_constant_deviation() / (tau * tau), sd2, 4.0);
        agree(&format!("{set} rss"), got.rss, rss, 6.0);
    }
}

/// Own series and the least-squares answers of another program; its deviations are printed to six decimals.
#[test]
fn newton_cooling_fits() {
    for row in rows("newton_fit_expected.csv") {
        let series = row[0].as_str();
        let expected: Vec<f64> = row[1..].iter().map(|f| number(f)).collect();
        let data = columns("newton_fit_data.csv", Some(series));
        let n = data[0].len() as f64;
        let got = decay::fit(&data[0], &data[1], Known::Nothing, n).expect(series);
        // The exact series are printed to six decimals, which shifts τ by parts in ten million.
        near(&format!("{series} ambient"), got.asymptote, expected[3], 2e-5);
        near(&format!("{series} start"), got.start, expected[4], 2e-5);
        near(&format!("{series} τ"), got.time_constant, expected[5], 1e-6 * expected[5]);
        near(&format!("{series} u(ambient)"), got.asymptote_deviation(), expected[6], 2e-5);
        near(&format!("{series} u(τ)"), got.time_constant_deviation(), expected[8], 2e-3);
        if !series.ends_with("exact") {
            near(&format!("{series} scatter"), (got.rss / (n - 3.0)).sqrt(), expected[9], 1e-6);
            let own = decay::fit_correlated(&data[0], &data[1], Known::Nothing).expect(series);
            let [low, high] = own.time_constant_interval;
            assert!(low <= expected[2] && expected[2] <= high, "{series}: {low} to {high} s, true {} s", expected[2]);
        }
        let told = decay::fit(&data[0], &data[1], Known::Asymptote(expected[0]), n).expect(series);
        assert!(told.time_constant_deviation() <= got.time_constant_deviation() + 1e-9, "knowing the ambient never hurts");
        near(&format!("{series} τ, ambient known"), told.time_constant, expected[2], 0.004 * expected[2]);
    }
}

/// Worked examples of textbooks and public pages; the times are recomputed in closed form and printed to six decimals.
#[test]
fn newton_cooling_worked_examples() {
    let mut checked = 0;
    for row in rows("newton_examples.csv") {
        let value = |column: usize| row[column].parse::<f64>().ok();
        let (Some(ambient), Some(start), Some(t1), Some(y1)) = (value(5), value(6), value(7), value(8)) else { continue };
        let reading = |time, value| Reading { time, value, deviation: 0.5 };
        let got = decay::two_point(reading(0.0, start), reading(t1, y1), ambient, 0.0).expect(&row[0]);
        if let Some(tau) = value(11) {
            near(&format!("{} τ", row[0]), got.time_constant, tau, 1e-6);
        }
        if let (Some(target), Some(when)) = (value(9), value(12)) {
            near(&row[0], got.passes(target).expect("reached").0, when, 1e-6);
            checked += 1;
        }
        assert!(got.interval_95[0] < got.time_constant && got.time_constant < got.interval_95[1]);
    }
    assert_eq!(checked, 11);
    let reading = |time, value| Reading { time, value, deviation: 0.5 };
    assert!(decay::two_point(reading(0.0, 40.0), reading(10.0, 60.0), 20.0, 1.0).is_none(), "moves away");
    assert!(decay::two_point(reading(0.0, 40.0), reading(10.0, 10.0), 20.0, 1.0).is_none(), "on the other side");
    assert!(decay::two_point(reading(0.0, 40.0), reading(0.0, 30.0), 20.0, 1.0).is_none(), "no time between");
    let close = decay::two_point(reading(0.0, 40.0), reading(10.0, 39.9), 20.0, 1.0).expect("falls");
    assert!(close.interval_95[1].is_infinite(), "a fall within reading error bounds nothing from above");
}

/// A cooling from 90 °C towards 15 °C with 5400 s, a reading each minute; τ and the moment of 45 °C must be held by their intervals,
/// ambient told or not, noise white or not.
#[test]
fn decay_intervals_hold_the_truth() {
    let truth = 5400.0 * (75.0f64 / 30.0).ln();
    for (what, phi, known, hours) in [
        ("white, ambient known", 0.0, Known::Asymptote(15.0), 1.0),
        ("white, ambient fitted", 0.0, Known::Nothing, 3.0),
        ("correlated 0.7, ambient known", 0.7, Known::Asymptote(15.0), 2.0),
        ("correlated 0.7, ambient fitted", 0.7, Known::Nothing, 5.0),
    ] {
        let n = (60.0 * hours) as usize;
        let (mut tau, mut moment, mut unbounded) = (0, 0, 0);
        for seed in 0..400 {
            let noise = Noise::new(5000 + seed).process(n, phi);
            let time: Vec<f64> = (0..n).map(|i| 60.0 * i as f64).collect();
            let value: Vec<f64> = time.iter().zip(&noise).map(|(t, e)| 15.0 + 75.0 * (-t / 5400.0).exp() + 0.4 * e).collect();
            match decay::fit_correlated(&time, &value, known) {
                Ok(got) => {
                    tau += usize::from(got.time_constant_interval[0] <= 5400.0 && 5400.0 <= got.time_constant_interval[1]);
                    let passing = got.passes(45.0).expect("it falls so far");
                    moment += usize::from(passing.interval_95[0] <= truth && truth <= passing.interval_95[1]);
                }
                Err(NoDecay::Unbounded) => unbounded += 1,
                Err(other) => panic!("{other:?}"),
            }
        }
        assert_eq!(unbounded, 0, "{what}");
        covers(&format!("τ, {what}"), tau, 400);
        covers(&format!("moment of 45 °C, {what}"), moment, 400);
    }
}

#[test]
fn what_is_no_decay_says_why() {
    let t: Vec<f64> = (0..60).map(|i| 10.0 * f64::from(i)).collect();
    let noise = Noise::new(77).process(60, 0.0);
    let level: Vec<f64> = noise.iter().map(|e| 90.0 + 0.3 * e).collect();
    let straight: Vec<f64> = t.iter().zip(&noise).map(|(t, e)| 90.0 - 0.01 * t + 0.3 * e).collect();
    assert_eq!(decay::fit(&t, &level, Known::Nothing, 60.0), Err(NoDecay::Unbounded));
    assert_eq!(decay::fit(&t, &straight, Known::Nothing, 60.0), Err(NoDecay::Unbounded));
    assert!(decay::fit(&t, &straight, Known::Asymptote(15.0), 60.0).is_ok(), "with the ambient known a short record serves");
    assert!(matches!(decay::fit(&t[..3], &level[..3], Known::Nothing, 3.0), Err(NoDecay::TooFewSamples { have: 3, need: 4 })));
    assert!(matches!(decay::fit(&[], &[], Known::Nothing, 0.0), Err(NoDecay::TooFewSamples { .. })));
    assert!(matches!(decay::fit(&t, &[f64::NAN; 60], Known::Nothing, 60.0), Err(NoDecay::TooFewSamples { .. })));
    assert!(matches!(decay::fit(&[5.0; 60], &level, Known::Nothing, 60.0), Err(NoDecay::TooFewSamples { .. })));
}

// ---- Correlation of residuals ---------------------------------------------------------------------------------------------

/// Means of made series: their scatter over many series, against what `n_eff` says of each.
#[test]
fn worth_of_correlated_samples() {
    for (theta, uneven) in [(0.0, false), (3.0, false), (3.0, true), (10.0, true)] {
        let (mut means, mut told, mut times) = (Vec::new(), 0.0, 0.0);
        for seed in 0..400 {
            let mut noise = Noise::new(300 + seed);
            let (mut t, mut last) = (0.0, noise.normal());
            let (mut time, mut value) = (Vec::new(), Vec::new());
            for _ in 0..400 {
                time.push(t);
                value.push(last);
                let gap = if uneven { 0.1 + 1.8 * noise.uniform() } else { 1.0 };
                let rho: f64 = if theta > 0.0 { (-gap / theta).exp() } else { 0.0 };
                t += gap;
                last = rho * last + (1.0 - rho * rho).sqrt() * noise.normal();
            }
            let mean = moments::mean(&value).unwrap();
            let residuals: Vec<f64> = value.iter().map(|v| v - mean).collect();
            let got = autocorrelation::of_residuals(&time, &residuals, 1);
            means.push(mean);
            told += 1.0 / got.n_eff / 400.0;
            times += got.time / 400.0;
        }
        let seen = moments::deviation(&means).unwrap().powi(2);
        println!("θ {theta}: variance of the mean {seen:.4}, told {told:.4}; mean θ {times:.2}");
        // 400 series carry a variance to 7 %; three times that, and a tenth for the scatter of n_eff itself.
        assert!((told / seen).ln().abs() < 0.3, "θ {theta}: {told} told, {seen} seen");
        assert!(theta == 0.0 || (times / theta).ln().abs() < 0.25, "θ {times} for {theta}");
    }
}

/// Exact: n(1 − φ)/(1 + φ) for long even records (here 2000 samples, the ends matter 1 in 1000).
#[test]
fn worth_of_an_even_record() {
    let time: Vec<f64> = (0..2000).map(f64::from).collect();
    for phi in [0.2f64, 0.5, 0.8] {
        let worth = autocorrelation::worth(&time, -1.0 / phi.ln());
        near("worth", worth / (2000.0 * (1.0 - phi) / (1.0 + phi)), 1.0, 0.01);
    }
    let none = autocorrelation::of_residuals(&time, &[0.0; 2000], 1);
    assert_eq!((none.time, none.n_eff), (0.0, 2000.0), "zeros count as independent");
}

// ---- Plateau --------------------------------------------------------------------------------------------------------------

/// A rise that bends into 88 °C with a time constant of 60 s from 300 s on, with a swing of 55 s and 1 K and reading noise.
fn settling(seed: u64, n: usize) -> (Vec<f64>, Vec<f64>) {
    let noise = Noise::new(seed).process(n, 0.5);
    let time: Vec<f64> = (0..n).map(|i| 2.0 * i as f64).collect();
    let value = time.iter().zip(&noise).map(|(t, e)| {
        let base = if *t < 300.0 { 82.0 - 0.15 * (300.0 - t) } else { 88.0 - 6.0 * (-(t - 300.0) / 60.0).exp() };
        base + (t * std::f64::consts::TAU / 55.0).sin() + 0.3 * e
    });
    let value = value.collect();
    (time, value)
}

/// The mean comes within 1 K of 88 °C at 300 + 60·ln 6 = 407.5 s.
#[test]
fn plateau_level_and_moment() {
    let (mut level, mut moment) = (0, 0);
    for seed in 0..400 {
        let (time, value) = settling(seed, 900);
        let got = plateau::find(&time, &value, 110.0, 1.0).expect("settles");
        assert!(!got.throughout && got.windows >= 10, "{got:?}");
        level += usize::from(got.level_interval[0] <= 88.0 && 88.0 <= got.level_interval[1]);
        moment += usize::from(got.settled_interval[0] <= 407.5 && 407.5 <= got.settled_interval[1]);
        near("level", got.level, 88.0, 0.3);
    }
    println!("plateau: level held by {level}, moment by {moment} of 400");
    assert!(level >= 368 && moment >= 368, "level {level}, moment {moment}");
}

/// Approaches from fast to slow, swings of other periods, and noise that drifts for as long as a window: the harder half of what occurs.
/// At least 92 of 100 must hold; the moment's interval is wide by intent and holds nearly always.
#[test]
fn plateau_under_drifting_noise() {
    for (tau, period, size, phi, n, window) in [
        (20.0, 40.0, 0.5, 0.9, 900, 90.0),
        (120.0, 95.0, 1.5, 0.8, 1800, 200.0),
        (200.0, 70.0, 0.3, 0.95, 1500, 140.0),
        (60.0, 80.0, 0.0, 0.97, 1200, 80.0),
    ] {
        let truth = 300.0 + tau * 6.0f64.ln();
        let (mut level, mut moment, mut settled) = (0, 0, 0);
        for seed in 0..400 {
            let noise = Noise::new(31_000 + seed).process(n, phi);
            let time: Vec<f64> = (0..n).map(|i| 2.0 * i as f64).collect();
            let value: Vec<f64> = (time.iter().zip(&noise))
                .map(|(t, e)| {
                    let base = if *t < 300.0 { 82.0 - 0.15 * (300.0 - t) } else { 88.0 - 6.0 * (-(t - 300.0) / tau).exp() };
                    base + size * (t * std::f64::consts::TAU / period).sin() + 0.3 * e
                })
                .collect();
            let Ok(got) = plateau::find(&time, &value, window, 1.0) else { continue };
            settled += 1;
            level += usize::from(got.level_interval[0] <= 88.0 && 88.0 <= got.level_interval[1]);
            moment += usize::from(got.settled_interval[0] <= truth && truth <= got.settled_interval[1]);
        }
        println!("τ {tau}, noise {phi}: settled {settled}, level held by {level}, moment by {moment} of 400");
        assert!(settled == 400 && level >= 368 && moment >= 368, "τ {tau}: {settled} settled, level {level}, moment {moment}");
    }
}

#[test]
fn what_does_not_settle_says_why() {
    let time: Vec<f64> = (0..400).map(|i| 2.0 * f64::from(i)).collect();
    let rising: Vec<f64> = time.iter().map(|t| 20.0 + 0.05 * t).collect();
    assert!(matches!(plateau::find(&time, &rising, 60.0, 1.0), Err(NoPlateau::Drifting { slope }) if (slope - 0.05).abs() < 1e-9));
    assert!(matches!(plateau::find(&time[..50], &rising[..50], 60.0, 1.0), Err(NoPlateau::TooShort { have: 1, need: 4 })));
    assert!(matches!(plateau::find(&[], &[], 60.0, 1.0), Err(NoPlateau::TooShort { have: 0, .. })));
    assert!(matches!(plateau::find(&time, &rising, 0.0, 1.0), Err(NoPlateau::TooShort { have: 0, .. })));
    let level = vec![88.0; 400];
    let got = plateau::find(&time, &level, 60.0, 1.0).expect("level");
    assert!(got.throughout && got.settled_at == 0.0 && got.level == 88.0 && got.level_deviation == 0.0, "{got:?}");
}

// ---- Oscillation ----------------------------------------------------------------------------------------------------------

/// Uneven sampling between 1 and 3 s.
fn uneven(noise: &mut Noise, n: usize) -> Vec<f64> {
    (0..n)
        .scan(0.0, |t, _| {
            *t += 1.0 + 2.0 * noise.uniform();
            Some(*t)
        })
        .collect()
}

/// First-order noise of unit variance at these times.
fn red(noise: &mut Noise, time: &[f64], theta: f64) -> Vec<f64> {
    let mut last = noise.normal();
    let mut before = time[0];
    time.iter()
        .map(|t| {
            let rho: f64 = if theta > 0.0 { (-(t - before) / theta).exp() } else { 0.0 };
            last = rho * last + (1.0 - rho * rho).sqrt() * noise.normal();
            before = *t;
            last
        })
        .collect()
}

#[test]
fn a_regular_swing_is_found_with_its_period() {
    let (mut period, mut amplitude, mut found, mut irregularity) = (0, 0, 0, 0.0);
    for seed in 0..200 {
        let mut noise = Noise::new(70 + seed);
        let time = uneven(&mut noise, 450);
        let drift = red(&mut noise, &time, 20.0);
        let value: Vec<f64> =
            time.iter().zip(&drift).map(|(t, e)| 88.0 + 1.5 * (t * std::f64::consts::TAU / 95.0).sin() + 0.5 * e).collect();
        let Some(got) = oscillation::find(&time, &value, 0.0, 20.0, 250.0) else { continue };
        found += usize::from(got.periodic);
        period += usize::from((got.period - 95.0).abs() <= 1.96 * got.period_deviation);
        amplitude += usize::from((got.amplitude - 1.5).abs() <= 1.96 * got.amplitude_deviation);
        irregularity += got.irregularity.expect("nine swings") / 200.0;
    }
    println!("swing: found {found}, period held {period}, amplitude held {amplitude} of 200; irregularity {irregularity:.3}");
    assert!(irregularity < 0.15, "{irregularity}");
    assert!(found >= 196 && period >= 180 && amplitude >= 180, "found {found}, period {period}, amplitude {amplitude}");
}

/// Noise alone, white or drifting, is given a period about once in a hundred records; the chance is a limit for long ones, so twice that is let
/// pass (and 2.75 binomial standard deviations).
#[test]
fn noise_is_no_regular_swing() {
    for theta in [0.0, 10.0, 40.0] {
        let (mut regular, mut any) = (0, 0);
        for seed in 0..600 {
            let mut noise = Noise::new(4400 + seed);
            let time = uneven(&mut noise, 450);
            let value: Vec<f64> = red(&mut noise, &time, theta).iter().map(|e| 88.0 + 0.8 * e).collect();
            let got = oscillation::find(&time, &value, 0.0, 20.0, 250.0);
            regular += usize::from(got.is_some_and(|g| g.periodic));
            any += usize::from(got.is_some());
        }
        println!("noise θ {theta}: {regular} regular, {any} in all, of 600");
        assert!(regular <= 21, "{regular} of 600 at θ {theta}");
        assert!(theta > 0.0 || any <= 21, "white noise swings: {any} of 600");
    }
}

/// A fan: up 6 K in 80 s, down in 20 s, every 100 s within 3 s, in whole degrees. And swings of no period: 40 to 160 s.
#[test]
fn fan_cycling_is_regular_and_slugs_are_not() {
    let (mut fan, mut told, mut spread) = (0, 0, [0.0, 0.0]);
    for seed in 0..100 {
        for (which, least, most) in [(0, 97.0, 103.0), (1, 40.0, 160.0)] {
            let mut noise = Noise::new(600 + seed);
            let (mut start, mut length) = (0.0, least + (most - least) * noise.uniform());
            let time: Vec<f64> = (0..600).map(|i| 2.0 * f64::from(i)).collect();
            let value: Vec<f64> = time
                .iter()
                .map(|t| {
                    if t - start >= length {
                        start += length;
                        length = least + (most - least) * noise.uniform();
                    }
                    let share = (t - start) / length;
                    (90.0 + 6.0 * if share < 0.8 { share / 0.8 } else { (1.0 - share) / 0.2 } + 0.2 * noise.normal()).floor()
                })
                .collect();
            let got = oscillation::find(&time, &value, 1.0, 20.0, 300.0).expect("a swing");
            let irregularity = got.irregularity.expect("many swings");
            spread[which] += irregularity / 100.0;
            if which == 0 {
                fan += usize::from(got.periodic && (got.period - 100.0).abs() < 3.0 && irregularity < 0.1);
            } else {
                told += usize::from(irregularity > 0.1);
            }
        }
    }
    println!("fan regular {fan}, slugs irregular {told} of 100; irregularity {spread:?}");
    assert!(fan >= 98 && told >= 98, "fan {fan}, slugs {told}");
}

#[test]
fn a_swing_at_the_edge_of_what_is_looked_for_stays_in_it() {
    let time: Vec<f64> = (0..3600).map(f64::from).collect();
    for period in [25.0, 25.1, 25.6] {
        let value: Vec<f64> = time.iter().map(|t| 2.0 * (std::f64::consts::TAU * t / period).sin()).collect();
        let got = oscillation::find(&time, &value, 0.0, 25.0, 240.0).expect("a swing");
        assert!(got.periodic && got.period >= 25.0 * (1.0 - 1e-9), "{period}: {got:?}");
        near("period at the edge", got.period, period, 0.05);
    }
}

#[test]
fn what_does_not_swing() {
    let time: Vec<f64> = (0..600).map(|i| 2.0 * f64::from(i)).collect();
    assert_eq!(oscillation::find(&time, &[88.0; 600], 1.0, 20.0, 300.0), None, "level");
    let rise: Vec<f64> = time.iter().map(|t| 20.0 + 0.1 * t).collect();
    assert_eq!(oscillation::find(&time, &rise, 0.1, 20.0, 300.0), None, "a straight rise");
    let toggling: Vec<f64> =
        time.iter().map(|t| (88.0 + 0.05 * (t / 12.0).sin()).round() + if (t / 12.0).sin() > 0.0 { 1.0 } else { 0.0 }).collect();
    assert_eq!(oscillation::find(&time, &toggling, 1.0, 20.0, 300.0), None, "a reading that toggles by one step");
    assert_eq!(oscillation::find(&time[..10], &rise[..10], 0.0, 20.0, 300.0), None, "too short");
    assert_eq!(oscillation::find(&[], &[], 0.0, 20.0, 300.0), None);
    assert_eq!(oscillation::find(&time, &[f64::NAN; 600], 0.0, 20.0, 300.0), None);
}

// ---- Whatever comes in ----------------------------------------------------------------------------------------------------

/// Every method on numbers that no log should hold: none may panic, and what comes out claims no certainty that is not a number.
#[test]
fn nothing_panics_on_wild_numbers() {
    let wild = [0.0, -0.0, 1.0, 1.0, -1.0, 1e-300, 1e300, -1e300, f64::MAX, f64::MIN_POSITIVE, f64::INFINITY, f64::NAN, 90.0, 215.0, -40.0];
    let mut noise = Noise::new(11);
    for trial in 0..3000 {
        let n = (noise.uniform() * 30.0) as usize;
        let mut pick =
            |tame: bool| -> Vec<f64> {
                (0..n)
                    .map(|i| {
                        if tame || noise.uniform() < 0.7 {
                            (i as f64 * 3.7 % 11.0).floor()
                        } else {
                            wild[(noise.uniform() * 15.0) as usize]
                        }
                    })
                    .collect()
            };
        let mut time = pick(trial % 3 == 0);
        let (value, weights) = (pick(trial % 5 == 0), pick(trial % 2 == 0));
        if trial % 2 == 0 {
            time.sort_by(f64::total_cmp);
        }
        let columns = [vec![1.0; n], time.clone(), weights.clone()];
        let some = [f64::NEG_INFINITY, 0.0, -1.0];
        if let Some(fit) = least_squares::solve(&columns, &value, Some(&weights)) {
            assert!(fit.coefficients.iter().all(|c| c.is_finite()) && fit.rss >= 0.0, "{fit:?}");
        }
        let _ = least_squares::solve_bounded(&columns, &value, None, &some, &[1.0, 1.0, f64::INFINITY]);
        let mut normal = Normal::new(3);
        (0..n).for_each(|i| normal.add(&[1.0, time[i], weights[i]], value[i], 1.0));
        let _ = (normal.solve(), normal.solve_bounded(&some, &[1.0, 1.0, 2.0]));
        let _ = (robust::median(&value), robust::spread(&value), robust::theil_sen(&time, &value, |_, _| 5.0));
        let _ = (robust::weighted_quantile(&value, &weights, 0.3), robust::holding_times(&time, 2.0));
        let _ = (moments::deviation(&value), moments::lag_one(&value));
        let _ = Line::through(&time, &value, Some(&weights)).map(|line| line.prediction(3.0));
        let _ = (broken_line::find(&time, &value, n as f64), broken_line::find_correlated(&time, &value));
        for known in [Known::Nothing, Known::Asymptote(15.0), Known::Start { time: 0.0, value: 90.0 }, Known::Asymptote(f64::NAN)] {
            if let Ok(fit) = decay::fit_correlated(&time, &value, known) {
                let _ = (fit.passes(45.0), fit.passes(f64::NAN), fit.at(1e9));
            }
        }
        let _ = autocorrelation::of_residuals(&time, &value, 40);
        let _ = plateau::find(&time, &value, 2.0, 1.0);
        let _ = oscillation::find(&time, &value, 1.0, 0.5, 4.0);
    }
}
