//! Typed quantities. Inside the engine every quantity is one of these; at the
//! edges (files, SQL, JSON) plain numbers carry their unit in their name.

use serde::{Deserialize, Serialize};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// The unit this quantity is held in.
            pub const UNIT: &'static str = $unit;

            #[doc = concat!("The bare number [", $unit, "].")]
            #[must_use]
            pub const fn value(self) -> f64 {
                self.0
            }
        }
    };
}

quantity!(
    /// Temperature [°C].
    Celsius,
    "°C"
);
quantity!(
    /// Mass [kg].
    Kilograms,
    "kg"
);
quantity!(
    /// Volume [L].
    Litres,
    "L"
);
quantity!(
    /// Amount of charge, acid or base [mol of charge]; 1 mol_c = 1000 meq.
    MolCharge,
    "mol_c"
);

impl Celsius {
    /// Absolute temperature [K].
    #[must_use]
    pub fn kelvin(self) -> f64 {
        self.0 + 273.15
    }
}

impl Kilograms {
    /// The same mass in grams [g].
    #[must_use]
    pub fn grams(self) -> f64 {
        self.0 * 1000.0
    }
}

impl MolCharge {
    /// The same charge in milliequivalents [meq].
    #[must_use]
    pub fn meq(self) -> f64 {
        self.0 * 1000.0
    }
}

/// A figure with its 80 % interval: median, 10th and 90th percentile, all in
/// the same unit (named by whoever holds it).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// 50th percentile.
    pub median: f64,
    /// 10th percentile.
    pub low: f64,
    /// 90th percentile.
    pub high: f64,
}

impl Band {
    /// The median of weighted `values`, and the interval that one more draw like
    /// them falls into four times in five: of `n` draws as good as equal ones
    /// (Kish: the squared sum of weights over the sum of their squares) the
    /// percentiles at ranks `p (n + 1)` (Weibull 1939; Hyndman and Fan, Am. Stat.
    /// 50, 361 (1996), definition 6). Plain percentiles of few draws hold less.
    ///
    /// Weights need not sum to one. `None` when there is no positive weight or
    /// a value is not finite: a band of nothing is not a number.
    #[must_use]
    pub fn weighted(values: &[f64], weights: &[f64]) -> Option<Self> {
        debug_assert_eq!(values.len(), weights.len());
        if values.iter().any(|v| !v.is_finite()) {
            return None;
        }
        let total: f64 = weights.iter().sum();
        if values.is_empty() || total.is_nan() || total <= 0.0 {
            return None;
        }
        let order = rising(values);
        let squares: f64 = weights.iter().map(|w| w * w).sum();
        let draws = total * total / squares;
        let at = |p: f64| {
            let share = (p * (draws + 1.0) - 0.5) / draws;
            percentile(values, weights, &order, share * total)
        };
        Some(Self {
            median: at(0.5),
            low: at(0.1),
            high: at(0.9),
        })
    }

    /// The same of `values` that count alike.
    #[must_use]
    pub fn of(values: &[f64]) -> Option<Self> {
        Self::weighted(values, &vec![1.0; values.len()])
    }

    /// Half the width of the interval.
    #[must_use]
    pub fn half_width(&self) -> f64 {
        (self.high - self.low) / 2.0
    }
}

/// Places of the values in rising order, equal ones as they stand: value and
/// place are sorted as one whole number, which is more than twice as quick as
/// looking each value up.
fn rising(values: &[f64]) -> Vec<usize> {
    // Bits as they are ordered: those below zero turned around, the others above.
    let rank = |v: f64| {
        let bits = v.to_bits();
        let below = bits >> 63 == 1;
        if below { !bits } else { bits | (1 << 63) }
    };
    let keys = values.iter().zip(0_u128..);
    let mut keys: Vec<u128> = keys
        .map(|(v, at)| u128::from(rank(*v)) << 64 | at)
        .collect();
    keys.sort_unstable();
    keys.into_iter().map(|key| key as usize).collect()
}

/// Weighted percentile by midpoint interpolation over sorted `order`.
fn percentile(values: &[f64], weights: &[f64], order: &[usize], target: f64) -> f64 {
    let mut below = 0.0;
    let mut last: Option<(f64, f64)> = None;
    for &i in order {
        let middle = below + weights[i] / 2.0;
        if middle >= target {
            return match last {
                Some((m0, v0)) if middle > m0 => {
                    v0 + (values[i] - v0) * (target - m0) / (middle - m0)
                }
                _ => values[i],
            };
        }
        below += weights[i];
        last = Some((middle, values[i]));
    }
    last.map_or(f64::NAN, |(_, v)| v)
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    #[test]
    fn band_of_hundred_values() {
        let values: Vec<f64> = (0..=100).map(f64::from).collect();
        let band = Band::of(&values).unwrap();
        assert!((band.median - 50.0).abs() < 1e-9);
        // Rank 10.2 of 101, whose first is 0.
        assert!((band.low - 9.2).abs() < 1e-9, "{band:?}");
        assert!((band.high - 90.8).abs() < 1e-9, "{band:?}");
    }

    #[test]
    fn one_more_draw_falls_into_the_band_of_a_few_four_times_in_five() {
        let mut dice = ChaCha8Rng::seed_from_u64(7);
        for weights in [vec![1.0; 20], (1..=30).map(f64::from).collect::<Vec<_>>()] {
            let cases = 20_000;
            let inside = (0..cases).filter(|_| {
                let values: Vec<f64> = weights.iter().map(|_| dice.random()).collect();
                let band = Band::weighted(&values, &weights).unwrap();
                (band.low..=band.high).contains(&dice.random())
            });
            let share = inside.count() as f64 / f64::from(cases);
            assert!((0.79..=0.81).contains(&share), "{share}");
        }
    }

    #[test]
    fn weights_move_the_median() {
        let band = Band::weighted(&[1.0, 2.0, 3.0], &[0.0, 0.0, 1.0]).unwrap();
        assert!((band.median - 3.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_has_no_band() {
        assert_eq!(Band::of(&[]), None);
        assert_eq!(Band::of(&[f64::NAN]), None);
        assert_eq!(Band::weighted(&[1.0], &[0.0]), None);
    }
}
