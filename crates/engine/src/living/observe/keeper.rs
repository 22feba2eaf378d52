//! The one who looks: hands, nose and eyes of one keeper, that are off the
//! same way at every look, and how often a word is only said again.
//!
//! Forty squeezes by one hand are not forty times better than one: each
//! possible bin carries its own guess of the keeper, as it does of the bias of
//! a pH pen.

use super::row;
use crate::table::{TableError, Tables};
use serde::{Deserialize, Serialize};

/// How one keeper is off. The default one is not, and never repeats.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Keeper {
    /// How much wetter a squeezed handful seems, to this hand and of this bedding
    /// [points of moisture].
    pub squeeze_points: f64,
    /// How much more of the food seems to be left, where half is
    /// [classes of the answer]; none where all or nothing is.
    pub food_classes: f64,
    /// How much stronger all smells seem [ln].
    pub nose_ln: f64,
    /// How much warmer the bedding feels [K].
    pub warmth_kelvin: f64,
    /// How many more worms of those there are are counted [ln].
    pub count_ln: f64,
    /// Chance that the last answer is given again without looking, on the day
    /// it was given [0 to 1].
    pub repeats: f64,
}

impl Keeper {
    /// Times as strong as to a usual nose [-].
    pub(super) fn nose(&self) -> f64 {
        // Of no offset there is nothing to work out.
        if self.nose_ln == 0.0 {
            1.0
        } else {
            self.nose_ln.exp()
        }
    }
}

/// How keepers differ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Keepers {
    squeeze: f64,
    food: f64,
    nose: f64,
    warmth: f64,
    count: f64,
    repeats: (f64, f64),
    repeat_days: f64,
}

/// How many standard normals a keeper is drawn from.
pub const NORMALS: usize = 6;

impl Keepers {
    pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
        let get = |property| row(tables, "keeper", property);
        Ok(Self {
            squeeze: get("squeeze_sd")?.hypot(row(tables, "squeeze", "scale_sd")?),
            food: get("food_sd")?,
            nose: get("nose_sd")?,
            warmth: get("warmth_sd")?,
            count: get("count_sd")?,
            repeats: (get("repeats_a")?, get("repeats_b")?),
            repeat_days: get("repeat_days")?,
        })
    }

    /// The keeper of these standard normals, in the order squeeze, food, nose,
    /// warmth, repeats, count.
    #[must_use]
    pub fn draw(&self, normals: &[f64; NORMALS]) -> Keeper {
        let [squeeze, food, nose, warmth, repeats, count] = *normals;
        Keeper {
            squeeze_points: self.squeeze * squeeze,
            food_classes: self.food * food,
            nose_ln: self.nose * nose,
            warmth_kelvin: self.warmth * warmth,
            count_ln: self.count * count,
            repeats: beta_of_normal(repeats, self.repeats.0, self.repeats.1),
        }
    }

    /// Chance that what was said so many days ago [d] is said again without
    /// looking [0 to 1].
    pub(super) fn repeats(&self, keeper: &Keeper, days: f64) -> f64 {
        if keeper.repeats > 0.0 {
            keeper.repeats * (-days.max(0.0) / self.repeat_days).exp()
        } else {
            0.0
        }
    }
}

/// The quantile of Beta(a, b), a and b whole numbers, at the normal's own
/// probability: rises with `z`. The law is that of the a-th of a + b - 1
/// uniform draws: `P(x) = P(binomial(a + b - 1, x) >= a)`.
fn beta_of_normal(z: f64, a: f64, b: f64) -> f64 {
    // Beyond, a chance is below 1e-9. Not-a-number is the middle.
    let z = if z.is_nan() { 0.0 } else { z.clamp(-6.0, 6.0) };
    let tail = normal_tail(z.abs());
    let (mut low, mut high) = (0.0, 1.0);
    // Halved till nothing is left to halve.
    for _ in 0..60 {
        let x = f64::midpoint(low, high);
        let (below, above) = order_statistic(x, a, a + b - 1.0);
        // By the smaller tail, which is exact.
        let too_high = if z < 0.0 { below > tail } else { above < tail };
        if too_high {
            high = x;
        } else {
            low = x;
        }
    }
    f64::midpoint(low, high)
}

/// Chances that the a-th smallest of `n` uniform draws lies below and above x.
fn order_statistic(x: f64, a: f64, n: f64) -> (f64, f64) {
    let (mut below, mut above) = (0.0, 0.0);
    let (mut j, mut choose) = (0.0, 1.0);
    while j <= n {
        let p = choose * x.powf(j) * (1.0 - x).powf(n - j);
        if j < a {
            above += p;
        } else {
            below += p;
        }
        choose *= (n - j) / (j + 1.0);
        j += 1.0;
    }
    (below, above)
}

/// Chance that a standard normal lies above `z`, for z from 0 to 6: half less
/// the density times `z + z³/3 + z⁵/15 + ...`; within 1e-15.
fn normal_tail(z: f64) -> f64 {
    let (mut term, mut sum, mut odd) = (z, 0.0, 1.0);
    while term > 1e-17 * sum {
        sum += term;
        odd += 2.0;
        term *= z * z / odd;
        if sum == 0.0 {
            break;
        }
    }
    let density = (-z * z / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt();
    (0.5 - density * sum).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tails_of_the_normal_are_those_printed() {
        for (z, tail) in [
            (0.0, 0.5),
            (1.0, 0.158_655_253_931_457),
            (1.644_853_626_951_47, 0.05),
            (3.0, 1.349_898_031_630_09e-3),
            (6.0, 9.865_876_450_377e-10),
        ] {
            assert!((normal_tail(z) - tail).abs() < 1e-14, "{z}");
        }
    }

    /// Beta(2, 5) has the distribution function `1 - (1 - x)^5 (1 + 5 x)`.
    #[test]
    fn the_quantile_undoes_the_distribution_and_rises() {
        let mut last = 0.0;
        for i in -50..=50 {
            let z = f64::from(i) / 10.0;
            let x = beta_of_normal(z, 2.0, 5.0);
            assert!(x > last && x < 1.0, "{z} {x}");
            last = x;
            let above = (1.0 - x).powi(5) * (1.0 + 5.0 * x);
            let tail = if z < 0.0 {
                1.0 - normal_tail(-z)
            } else {
                normal_tail(z)
            };
            assert!((above - tail).abs() < 1e-12, "{z} {x}");
        }
        // The printed median.
        assert!((beta_of_normal(0.0, 2.0, 5.0) - 0.264_450).abs() < 1e-6);
        for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            assert!((0.0..=1.0).contains(&beta_of_normal(odd, 2.0, 5.0)));
        }
    }
}
