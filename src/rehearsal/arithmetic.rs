//! Arithmetic that gives the same bits on every machine.
//!
//! Made runs must come out byte for byte alike wherever they are made. Addition, multiplication, division and the square root
//! are exact to the last bit by IEEE 754; `exp`, `ln` and `powf` of a platform's library are not. The model therefore uses
//! only the former, and this file builds from them the few functions that it needs.

/// `exp(−x)` for `x ≥ 0`, to 1e-7 relative: a (3,3) Padé quotient of `x` over a power of two, then squared as often. Beyond 40 it is 0.
pub fn exp_minus(x: f64) -> f64 {
    if x <= 0.0 {
        return 1.0;
    }
    if x > 40.0 {
        return 0.0;
    }
    let mut pieces = 8.0;
    let mut squarings = 3;
    while x / pieces > 0.25 {
        pieces *= 2.0;
        squarings += 1;
    }
    let z = x / pieces;
    let even = 120.0 + 12.0 * z * z;
    let odd = z * (60.0 + z * z);
    let mut value = (even - odd) / (even + odd);
    for _ in 0..squarings {
        value *= value;
    }
    value
}

/// `base` to the power of an exponent between 0 and 1, from repeated square roots (one for each binary digit, 40 digits).
pub fn fractional_power(base: f64, exponent: f64) -> f64 {
    let (mut root, mut rest, mut product) = (base.max(0.0), exponent.clamp(0.0, 1.0), 1.0);
    if rest >= 1.0 {
        return root;
    }
    for _ in 0..40 {
        root = root.sqrt();
        rest *= 2.0;
        if rest >= 1.0 {
            product *= root;
            rest -= 1.0;
        }
    }
    product
}

/// `x` to the power 3/4, the usual growth of a turbulent heat transfer coefficient with flow (0.8 in Dittus and Boelter's
/// correlation; 3/4 needs only square roots). Negative values count as 0.
pub fn three_quarters(x: f64) -> f64 {
    let root = x.max(0.0).sqrt();
    root * root.sqrt()
}

/// 0 below 0, 1 above 1, and an S between (`3x² − 2x³`).
pub fn s_curve(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

/// The share of the way from `from` to `to` at which `x` stands, held between 0 and 1.
pub fn share_between(x: f64, from: f64, to: f64) -> f64 {
    ((x - from) / (to - from)).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_replacements_agree_with_the_library() {
        for step in 0..400 {
            let x = f64::from(step) * 0.05;
            let expected = (-x).exp();
            assert!((exp_minus(x) - expected).abs() <= 1e-7 * expected, "exp(-{x})");
            let exponent = f64::from(step) / 400.0;
            let expected = 7.3f64.powf(exponent);
            assert!((fractional_power(7.3, exponent) - expected).abs() <= 1e-9 * expected, "7.3^{exponent}");
            assert!((three_quarters(x) - x.powf(0.75)).abs() < 1e-12 * (1.0 + x));
        }
    }
}
