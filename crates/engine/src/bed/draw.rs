//! Drawing possible values from a number and its range.
//!
//! A range in the tables is read as the central 90 % of a two-piece normal
//! around the value (as `data/README.md` says), cut at three standard
//! deviations; a factor with a geometric
//! standard deviation is lognormal. What chance brings is always the caller's.

mod tape;

use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
pub use tape::{Block, Dice, Tape};

/// Standard deviations from the middle to either end of the central 90 %.
pub const Z90: f64 = 1.644_853_6;

/// What chance brings, one standard normal number after the other.
pub trait Chance {
    /// The next of them [-].
    fn normal(&mut self) -> f64;
}

impl Chance for ChaCha8Rng {
    fn normal(&mut self) -> f64 {
        StandardNormal.sample(self)
    }
}

/// A draw around `value` whose central 90 % spans `low` to `high`.
pub fn in_range(rng: &mut dyn Chance, value: f64, low: f64, high: f64) -> f64 {
    let z = rng.normal().clamp(-3.0, 3.0);
    if z < 0.0 {
        value + z * (value - low) / Z90
    } else {
        value + z * (high - value) / Z90
    }
}

/// The same on the log scale, for positive numbers whose range is a factor.
pub fn in_range_log(rng: &mut dyn Chance, value: f64, low: f64, high: f64) -> f64 {
    let floor = value.min(low).max(value * 1e-3).max(1e-12);
    in_range(rng, value.max(1e-12).ln(), floor.ln(), high.max(1e-12).ln()).exp()
}

/// A factor with median 1 and geometric standard deviation `gsd`.
pub fn factor(rng: &mut dyn Chance, gsd: f64) -> f64 {
    (rng.normal().clamp(-3.0, 3.0) * gsd.ln()).exp()
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;

    #[test]
    fn the_range_holds_about_90_percent_of_draws() {
        let mut rng = ChaCha8Rng::seed_from_u64(7);
        let n = 4000;
        let inside = (0..n)
            .filter(|_| (3.0..=4.5).contains(&in_range(&mut rng, 3.8, 3.0, 4.5)))
            .count();
        let share = inside as f64 / f64::from(n);
        assert!((0.885..0.915).contains(&share), "{share}");
    }

    #[test]
    fn a_zero_width_range_draws_its_value() {
        let mut rng = ChaCha8Rng::seed_from_u64(7);
        assert!((in_range(&mut rng, 5.0, 5.0, 5.0) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn the_same_seed_draws_the_same() {
        let mut a = ChaCha8Rng::seed_from_u64(1);
        let mut b = ChaCha8Rng::seed_from_u64(1);
        assert!((factor(&mut a, 1.35) - factor(&mut b, 1.35)).abs() < 1e-15);
    }
}
