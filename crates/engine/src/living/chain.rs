//! Two pools in a row, each losing a share of itself, carried exactly.
//!
//! ```text
//! dF/dt = s − k F            F the first pool, s what comes into it
//! dG/dt = p F − m G          of what F loses, p F goes on into G
//! ```
//!
//! With constant s and rates both are sums of exponentials: what is made in a
//! part of a step is lost and goes on in that same part as it would, and a
//! coarse step tells the same as a fine one. Acids of the food seep into the
//! bed so, and ammonium becomes nitrate.

use super::rot::gone;

/// Rates of two pools in a row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chain {
    /// All that leaves the first [1/d].
    pub first: f64,
    /// Of it, what goes on into the second [1/d].
    pub on: f64,
    /// What leaves the second [1/d].
    pub second: f64,
}

/// What went in a time, in the unit of the pools, and what they hold then: both
/// are solved, so that neither is less than nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passed {
    /// In the first at the end.
    pub first: f64,
    /// In the second at the end.
    pub second: f64,
    /// Out of the first, on into the second or not.
    pub out: f64,
    /// Of it, into the second.
    pub on: f64,
    /// Out of the second.
    pub away: f64,
}

impl Chain {
    /// Both pools through `days`, `source` coming evenly into the first.
    #[must_use]
    pub fn carry(&self, (first, second): (f64, f64), source: f64, days: f64) -> Passed {
        let (x, y) = (self.first * days, self.second * days);
        let (gone_x, gone_y) = (gone(x), gone(y));
        let mean = first * evenly(gone_x, x) + source * twice(gone_x, x);
        let out = x * mean;
        let on = self.on * days * mean;
        // Of what came over, how much is still there.
        let stays =
            first * apart((gone_x, x), (gone_y, y)) + source * thrice((gone_x, x), (gone_y, y));
        let after = second * (1.0 - gone_y) + self.on * days * stays;
        let away = second + on - after;
        Passed {
            first: first + (source - out),
            second: after,
            out,
            on,
            away,
        }
    }
}

/// Below this the differences below are read from their series.
const SMALL: f64 = 0.05;

/// Share of itself that a pool is in the mean, `(1 − e^(−x))/x`.
fn evenly(gone: f64, x: f64) -> f64 {
    if x > 1e-12 { gone / x } else { 1.0 }
}

/// The same of what comes evenly, `(1 − (1 − e^(−x))/x)/x`.
fn twice(gone: f64, x: f64) -> f64 {
    if x < SMALL {
        0.5 - x / 6.0 * (1.0 - x / 4.0 * (1.0 - x / 5.0 * (1.0 - x / 6.0)))
    } else {
        (1.0 - gone / x) / x
    }
}

/// `(e^(−y) − e^(−x))/(x − y)`: what a pool loses evenly by x and is left of it
/// after a loss by y.
fn apart((gone_x, x): (f64, f64), (gone_y, y): (f64, f64)) -> f64 {
    let far = x - y;
    if far.abs() < SMALL / 4.0 {
        (1.0 - gone_y) * evenly_signed(far)
    } else {
        (gone_x - gone_y) / far
    }
}

/// [`evenly`] of a small x of either sign.
fn evenly_signed(x: f64) -> f64 {
    1.0 - x / 2.0 * (1.0 - x / 3.0 * (1.0 - x / 4.0 * (1.0 - x / 5.0 * (1.0 - x / 6.0))))
}

/// The same as [`apart`] for what comes evenly into the first.
fn thrice((gone_x, x): (f64, f64), (gone_y, y): (f64, f64)) -> f64 {
    let (low, high) = if x < y {
        ((gone_x, x), (gone_y, y))
    } else {
        ((gone_y, y), (gone_x, x))
    };
    if high.1 < SMALL / 5.0 {
        let (x, y) = (low.1, high.1);
        let squares = x * x + x * y + y * y;
        let cubes = (x + y) * (x * x + y * y);
        0.5 - (x + y) / 6.0 + squares / 24.0 - cubes / 120.0
    } else {
        (evenly(low.0, low.1) - apart(low, high)) / high.1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chain(first: f64, on: f64, second: f64) -> Chain {
        Chain { first, on, second }
    }

    #[test]
    fn a_long_way_in_one_is_the_same_in_many() {
        for (k, p, m) in [
            (0.6, 0.25, 0.35),
            (0.3, 0.3, 0.3),
            (0.3, 0.2, 0.301),
            (4.0, 1.0, 0.001),
            (0.0, 0.0, 0.2),
            (0.02, 0.01, 5.0),
            (1e-9, 1e-10, 1e-9),
        ] {
            let c = chain(k, p, m);
            let whole = c.carry((1.0, 0.5), 0.8, 2.0);
            let (mut a, mut b) = (1.0, 0.5);
            let mut sum = [0.0; 3];
            for _ in 0..64 {
                let part = c.carry((a, b), 0.8 / 64.0, 2.0 / 64.0);
                (a, b) = (part.first, part.second);
                sum = [sum[0] + part.out, sum[1] + part.on, sum[2] + part.away];
            }
            for (x, y) in [
                (whole.first, a),
                (whole.second, b),
                (whole.out, sum[0]),
                (whole.on, sum[1]),
                (whole.away, sum[2]),
            ] {
                assert!((x - y).abs() < 1e-9, "{k} {p} {m}: {x} {y}");
            }
        }
    }

    #[test]
    fn nothing_is_made_or_lost() {
        let p = chain(0.7, 0.4, 0.9).carry((0.2, 3.0), 1.5, 0.5);
        assert!((p.first + p.out - 1.7).abs() < 1e-12);
        assert!((p.second + p.away - p.on - 3.0).abs() < 1e-12);
        assert!(p.on < p.out && p.away > 0.0);
    }
}
