//! The few functions of probability the observation models share. Each gives
//! a finite value for any input, not-a-number included.

/// `1 / (1 + e^-x)`, held to x within 30 either way.
pub(crate) fn logistic(x: f64) -> f64 {
    let x = if x > -30.0 { x } else { -30.0 };
    1.0 / (1.0 + (-x.min(30.0)).exp())
}

/// The other way about: of a share [0 to 1], endless at its ends.
pub(crate) fn logit(x: f64) -> f64 {
    let x = unit(x);
    (x / (1.0 - x)).ln()
}

/// `x² / (x² + half²)` for x above 0, else 0: half at `half`.
pub(crate) fn hill(x: f64, half: f64) -> f64 {
    if x > 0.0 {
        let r = half / x;
        1.0 / (1.0 + r * r)
    } else {
        0.0
    }
}

/// `xⁿ / (xⁿ + halfⁿ)` for x above 0, else 0: half at `half`, the steeper the
/// larger `n`.
pub(crate) fn steep(x: f64, half: f64, n: f64) -> f64 {
    if x > 0.0 {
        1.0 / (1.0 + (half / x).powf(n))
    } else {
        0.0
    }
}

/// Chance that a look meets one of `worms`: a half at `half`, and seldom where
/// there are half as many, for they lie together.
pub(crate) fn met(worms: f64, half: f64) -> f64 {
    hill(worms.max(0.0) * worms, half * half)
}

/// `x` held to 0 to 1; 0 for not-a-number.
pub(crate) fn unit(x: f64) -> f64 {
    if x > 0.0 { x.min(1.0) } else { 0.0 }
}

/// `x` when finite and at least `least`, else `least`.
pub(crate) fn at_least(x: f64, least: f64) -> f64 {
    if x.is_finite() && x > least { x } else { least }
}

/// `ln Γ(x)` for x above 0: Stirling's series after moving x to 8 or more;
/// within 1e-10.
pub(crate) fn ln_gamma(x: f64) -> f64 {
    let (mut x, mut product) = (x, 1.0);
    while x < 8.0 {
        product *= x;
        x += 1.0;
    }
    let i = 1.0 / x;
    let i2 = i * i;
    let series = i * (1.0 / 12.0 - i2 * (1.0 / 360.0 - i2 * (1.0 / 1260.0 - i2 / 1680.0)));
    // ln sqrt(2 pi)
    (x - 0.5) * x.ln() - x + 0.918_938_533_204_672_8 + series - product.ln()
}

/// Log density of Student's t with `df` degrees of freedom at `gap`, for a
/// scale whose square is `variance`, up to a constant of `df`.
pub(crate) fn student_ln(gap: f64, variance: f64, df: f64) -> f64 {
    let z2 = (gap * gap / variance).min(1e12);
    -0.5 * (df + 1.0) * (z2 / df).ln_1p() - 0.5 * variance.ln()
}

/// Log of the mixture `(1 - share) e^a + share e^b`.
pub(crate) fn ln_mix(a: f64, b: f64, share: f64) -> f64 {
    let (a, b) = (a + (-share).ln_1p(), b + share.ln());
    let (high, low) = if a > b { (a, b) } else { (b, a) };
    high + (low - high).exp().ln_1p()
}

/// Log probability of `found` under a negative binomial of that mean and
/// aggregation `k`, variance `mean + mean²/k` (the factorial by `Γ`, so halves
/// can be given).
pub(crate) fn negative_binomial_ln(found: f64, mean: f64, k: f64) -> f64 {
    ln_gamma(found + k)
        - ln_gamma(k)
        - ln_gamma(found + 1.0)
        - k * (mean / k).ln_1p()
        - found * (k / mean).ln_1p()
}

/// Log probability of `hits` of `n` under a beta-binomial of mean `p` and
/// overdispersion `rho` (0 to 1, above 0).
pub(crate) fn beta_binomial_ln(hits: f64, n: f64, p: f64, rho: f64) -> f64 {
    let scale = 1.0 / rho - 1.0;
    let (a, b) = (p * scale, (1.0 - p) * scale);
    let ln_beta = |a: f64, b: f64| ln_gamma(a) + ln_gamma(b) - ln_gamma(a + b);
    let choose = ln_gamma(n + 1.0) - ln_gamma(hits + 1.0) - ln_gamma(n - hits + 1.0);
    choose + ln_beta(hits + a, n - hits + b) - ln_beta(a, b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gamma_of_whole_numbers_and_a_half() {
        assert!((ln_gamma(5.0) - 24f64.ln()).abs() < 1e-10);
        assert!((ln_gamma(0.5) - std::f64::consts::PI.sqrt().ln()).abs() < 1e-10);
        assert!(ln_gamma(1.0).abs() < 1e-10);
    }

    #[test]
    fn counts_sum_to_one_with_the_mean_and_variance_asked_for() {
        let (mut sum, mut mean, mut square) = (0.0, 0.0, 0.0);
        for x in 0..3000 {
            let x = f64::from(x);
            let p = negative_binomial_ln(x, 20.0, 1.5).exp();
            sum += p;
            mean += p * x;
            square += p * x * x;
        }
        assert!((sum - 1.0).abs() < 1e-9);
        assert!((mean - 20.0).abs() < 1e-6);
        let variance = 20.0 + 400.0 / 1.5;
        assert!((square - mean * mean - variance).abs() < 1e-3);
        let tray: f64 = (0..=20)
            .map(|x| beta_binomial_ln(f64::from(x), 20.0, 0.3, 0.1).exp())
            .sum();
        assert!((tray - 1.0).abs() < 1e-9);
    }

    #[test]
    fn odd_input_stays_finite() {
        for x in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e308, 0.0] {
            assert!(
                logistic(x).is_finite()
                    && hill(x, 1.0).is_finite()
                    && steep(x, 1.0, 4.0).is_finite()
            );
            assert!(unit(x).is_finite() && at_least(x, 1.0) >= 1.0);
        }
    }
}
