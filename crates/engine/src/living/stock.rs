//! What a bought or given stock of worms is made of.
//!
//! The mixes are estimates: nobody counts a kilogram of worms by stage before
//! selling it.

use super::population::STAGES;
use super::species::Vital;

/// Only newly hatched worms.
const HATCHED: [f64; STAGES] = [1.0, 0.0, 0.0, 0.0, 0.0, 0.0];
/// Only worms with a clitellum.
const ADULT: [f64; STAGES] = [0.0, 0.0, 0.0, 0.0, 0.0, 1.0];

/// Stock of mostly young worms, by number.
pub(super) fn young(v: &Vital) -> [f64; STAGES] {
    let (second, third) = (v.stock_young_2_share, v.stock_young_3_share);
    [0.0, second, third, v.stock_young_4_share, 0.0, 0.0]
}

/// Usual mixed stock, by number.
pub(super) fn mixed(v: &Vital) -> [f64; STAGES] {
    [
        0.0,
        v.stock_mixed_2_share,
        v.stock_mixed_3_share,
        v.stock_mixed_4_share,
        v.stock_mixed_premature_share,
        v.stock_mixed_adult_share,
    ]
}

/// Stock of mostly grown worms, by number.
fn grown(v: &Vital) -> [f64; STAGES] {
    let (premature, adult) = (v.stock_grown_premature_share, v.stock_grown_adult_share);
    [0.0, 0.0, 0.0, 0.0, premature, adult]
}

/// Mean mass of a worm [g].
pub(super) fn mean(shares: &[f64; STAGES], masses: &[f64; STAGES]) -> f64 {
    shares.iter().zip(masses).map(|(s, m)| s * m).sum()
}

/// The stock whose worms weigh `wanted` on the mean [g], as far as there is
/// one between newly hatched and all grown.
pub(super) fn shares_of(v: &Vital, wanted: f64, masses: &[f64; STAGES]) -> [f64; STAGES] {
    let steps = [HATCHED, young(v), mixed(v), grown(v), ADULT];
    for pair in steps.windows(2) {
        let (low, high) = (mean(&pair[0], masses), mean(&pair[1], masses));
        if wanted <= high {
            let x = ((wanted - low) / (high - low).max(1e-12)).clamp(0.0, 1.0);
            return std::array::from_fn(|i| pair[0][i] + x * (pair[1][i] - pair[0][i]));
        }
    }
    ADULT
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::living::deaths::testing::fetida;

    #[test]
    fn heavier_stock_is_older_stock() {
        let v = &fetida();
        let masses = [0.012, 0.035, 0.09, 0.18, 0.30, 0.715];
        let mut before = 0.0;
        for wanted in [0.003, 0.02, 0.05, 0.15, 0.25, 0.35, 0.5, 0.6, 0.7, 0.9] {
            let shares = shares_of(v, wanted, &masses);
            assert!((shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
            assert!(shares[5] >= before);
            before = shares[5];
            if (0.012..0.715).contains(&wanted) {
                assert!((mean(&shares, &masses) - wanted).abs() < 1e-9);
            }
        }
    }
}
