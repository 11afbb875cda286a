//! Logistic regression with an offset and a ridge, some weights held at 0 or above.
//!
//! Newton's method on the penalised likelihood; a weight that may not be negative and comes out so is taken out and the rest fitted anew
//! (Hosmer, Lemeshow and Sturdivant 2013, chapter 1 for the iteration; from memory).

use wellbled::analysis::trapped_air::signs::{COUNT, MEANINGS, Numbers};
use wellbled::analysis::trapped_air::{log_odds, probability};
use wellbled::numeric::ridge::solve_positive;

/// Strength of the ridge: so many runs' worth of doubt that a sign means anything.
const RIDGE: f64 = 3.0;

/// Log odds of the base rate, and the weights by which `rows` tell the true ones over and above it. With `constrained` a sign that can only
/// mean air has no negative weight.
pub fn fit(rows: &[Numbers], truly: &[bool], constrained: bool) -> (f64, Numbers) {
    let base = log_odds(truly.iter().filter(|truly| **truly).count() as f64 / truly.len() as f64);
    let mut free = [true; COUNT];
    loop {
        let weights = newton(rows, truly, base, &free);
        let worst = (0..COUNT)
            .filter(|&i| free[i] && constrained && MEANINGS[i].only_raises && weights[i] < 0.0)
            .min_by(|&a, &b| weights[a].total_cmp(&weights[b]));
        match worst {
            Some(i) => free[i] = false,
            None => return (base, weights),
        }
    }
}

fn newton(rows: &[Numbers], trapped: &[bool], base: f64, free: &[bool; COUNT]) -> Numbers {
    let chosen: Vec<usize> = (0..COUNT).filter(|&i| free[i]).collect();
    let mut weights = [0.0; COUNT];
    for _ in 0..25 {
        let p = chosen.len();
        let mut slope: Vec<f64> = chosen.iter().map(|&i| -RIDGE * weights[i]).collect();
        let mut bend = vec![vec![0.0; p]; p];
        (0..p).for_each(|j| bend[j][j] = RIDGE);
        for (row, &trapped) in rows.iter().zip(trapped) {
            let said = probability(base + row.iter().zip(&weights).map(|(x, w)| x * w).sum::<f64>());
            let (miss, worth) = (f64::from(u8::from(trapped)) - said, said * (1.0 - said));
            for (j, &i) in chosen.iter().enumerate() {
                slope[j] += miss * row[i];
                for (k, &l) in chosen.iter().enumerate().take(j + 1) {
                    bend[j][k] += worth * row[i] * row[l];
                }
            }
        }
        let step = solve_positive(bend, slope).expect("the ridge makes it positive definite");
        chosen.iter().zip(&step).for_each(|(&i, step)| weights[i] += step);
    }
    weights
}
