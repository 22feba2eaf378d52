//! A bed's titration curve, tabulated: how much base takes it to which pH.

use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::sync::Arc;

/// Lowest tabulated pH.
const LOW_PH: f64 = 2.0;
/// Spacing of the table [pH].
const STEP: f64 = 0.1;
/// Number of points: pH 2 to 13.
const POINTS: usize = 111;

/// Base [mol_c] against pH, rising. Between points it is linear, which is
/// within 0.002 pH of the exact curve for any bedding in the tables.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Shared by copies of a bed: it is never changed.
    base: Arc<[f64; POINTS]>,
}

impl Serialize for Curve {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        self.base.as_slice().serialize(to)
    }
}

impl<'de> Deserialize<'de> for Curve {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let base = Vec::<f64>::deserialize(from)?;
        let base = <[f64; POINTS]>::try_from(base)
            .map_err(|base| D::Error::invalid_length(base.len(), &"as many as a curve has"))?;
        Ok(Self {
            base: Arc::new(base),
        })
    }
}

impl Curve {
    /// Tabulates `base_at`, which must rise with pH.
    #[must_use]
    pub fn tabulate(base_at: impl Fn(f64) -> f64) -> Self {
        Self::of(|i| base_at(ph_of(i)))
    }

    fn of(base_at: impl FnMut(usize) -> f64) -> Self {
        Self {
            base: Arc::new(std::array::from_fn(base_at)),
        }
    }

    /// Base [mol_c] that takes the bed from its start to `ph`.
    #[must_use]
    pub fn base_at(&self, ph: f64) -> f64 {
        let (x, i) = place(ph);
        self.base[i] + (x - i as f64) * (self.base[i + 1] - self.base[i])
    }

    /// pH after `base` [mol_c] from the start; held at 2 and 13 beyond the table.
    #[must_use]
    pub fn ph_at(&self, base: f64) -> f64 {
        search(|i| self.base[i], base, (0, POINTS)).0
    }

    /// pH after `base` [mol_c] of a bed of so much of each of four curves, first
    /// looked for where it was near: a bed moves little in a step, and a search
    /// through the table is a tenth of its cost.
    #[must_use]
    pub fn ph_of_four(parts: [(&Self, f64); 4], base: f64, near: f64) -> f64 {
        Self::ph_and_width_of_four(parts, base, near).0
    }

    /// The same with how steeply the pH rises there [pH/mol_c]; it does not beyond
    /// the table.
    pub(crate) fn ph_and_slope_of_four(
        parts: [(&Self, f64); 4],
        base: f64,
        near: f64,
    ) -> (f64, f64) {
        let (ph, width) = Self::ph_and_width_of_four(parts, base, near);
        (ph, STEP / width)
    }

    /// The same with the base from the point below to that above [mol_c], without
    /// end beyond the table.
    fn ph_and_width_of_four(parts: [(&Self, f64); 4], base: f64, near: f64) -> (f64, f64) {
        let [x, y, z, w] = parts.map(|(curve, _)| curve.points());
        let [a, b, c, d] = parts.map(|(_, share)| share);
        let at = |i: usize| a * x[i] + b * y[i] + c * z[i] + d * w[i];
        let i = place(near).1;
        let (b0, b1) = (at(i), at(i + 1));
        if b0 <= base && base < b1 {
            return between(i, base, b0, b1);
        }
        // Where it went over the next point and no further.
        if base >= b1 && i + 2 < POINTS {
            let b2 = at(i + 2);
            if base < b2 {
                return between(i + 1, base, b1, b2);
            }
            return search(at, base, (i + 3, POINTS));
        }
        if base < b0 && i > 0 {
            let before = at(i - 1);
            if before <= base {
                return between(i - 1, base, before, b0);
            }
            return search(at, base, (0, i - 1));
        }
        search(at, base, (0, POINTS))
    }

    fn points(&self) -> &[f64; POINTS] {
        &self.base
    }

    /// Buffer near `ph` [mol_c per pH unit].
    #[must_use]
    pub fn buffer_at(&self, ph: f64) -> f64 {
        (self.base_at(ph + 0.25) - self.base_at(ph - 0.25)) / 0.5
    }

    /// The curve of `factor` times as much of this bed.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self::of(|i| self.base[i] * factor)
    }

    /// The curve of this bed, `stretch` times as strong, with `times` another bed
    /// mixed in.
    #[must_use]
    pub fn joined(&self, stretch: f64, other: &Self, times: f64) -> Self {
        Self::of(|i| self.base[i] * stretch + other.base[i] * times)
    }

    /// The same counted from `ph`.
    #[must_use]
    pub fn from(&self, ph: f64) -> Self {
        let start = self.base_at(ph);
        Self::of(|i| self.base[i] - start)
    }
}

/// pH at which `at` of the points comes to `base`, held at 2 and 13, and the base
/// between the points around it.
/// The first point above `base` is one of these, or none before the last of them.
fn search(
    at: impl Fn(usize) -> f64,
    base: f64,
    (mut low, mut above): (usize, usize),
) -> (f64, f64) {
    while low < above {
        let middle = usize::midpoint(low, above);
        if at(middle) <= base {
            low = middle + 1;
        } else {
            above = middle;
        }
    }
    if above == 0 {
        return (LOW_PH, f64::INFINITY);
    }
    if above == POINTS {
        return (ph_of(POINTS - 1), f64::INFINITY);
    }
    between(above - 1, base, at(above - 1), at(above))
}

/// pH of `base` between point `i` of `b0` and the next of `b1`, and the base between
/// them.
fn between(i: usize, base: f64, b0: f64, b1: f64) -> (f64, f64) {
    let (over, width) = (base - b0, b1 - b0);
    (ph_of(i) + STEP * over / width, width)
}

/// Where a pH lies in the table, and the point below it.
fn place(ph: f64) -> (f64, usize) {
    let x = ((ph - LOW_PH) / STEP).clamp(0.0, (POINTS - 1) as f64);
    (x, (x as usize).min(POINTS - 2))
}

fn ph_of(i: usize) -> f64 {
    LOW_PH + STEP * i as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chemistry::sites::site_charge;

    /// Peat bins of the self-test: 10 kg dry at pH 4.2, no water.
    fn peat() -> Curve {
        let q = [25.0, 29.0, 29.0, 25.0, 18.0, 13.0, 16.0, 20.0].map(|c| c / 100.0 * 10.0);
        Curve::tabulate(|ph| site_charge(&q, ph) - site_charge(&q, 4.2))
    }

    #[test]
    fn ten_kilograms_of_peat_follow_the_worked_values() {
        // Computed with the same sites by bisection.
        let curve = peat();
        for (meq, ph) in [
            (50.0, 4.2179),
            (250.0, 4.2896),
            (1000.0, 4.5581),
            (2000.0, 4.9145),
            (4000.0, 5.6549),
        ] {
            assert!((curve.ph_at(meq / 1000.0) - ph).abs() < 0.002, "{meq}");
        }
        assert!((curve.base_at(6.0) - 4.865).abs() < 0.005);
    }

    #[test]
    fn where_it_was_looked_for_first_makes_no_difference() {
        let curve = peat();
        for i in -40..400 {
            let base = curve.base_at(3.0) + 0.1 * f64::from(i);
            let whole = curve.ph_at(base);
            for near in [whole - 0.1, whole, whole + 0.04, 0.0, 7.0, 14.0, f64::NAN] {
                let of =
                    |shares: [f64; 4]| Curve::ph_of_four(shares.map(|s| (&curve, s)), base, near);
                assert_eq!(of([1.0, 0.0, 0.0, 0.0]).to_bits(), whole.to_bits());
                // Parts of it are the whole.
                assert!((of([0.5, 0.25, 0.125, 0.125]) - whole).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn ph_and_base_are_inverse_and_held_at_the_ends() {
        let curve = peat();
        for i in 0..100 {
            let ph = 2.5 + 0.1 * f64::from(i);
            assert!((curve.ph_at(curve.base_at(ph)) - ph).abs() < 1e-9);
        }
        assert!((curve.ph_at(1e9) - 13.0).abs() < 1e-9);
        assert!((curve.ph_at(-1e9) - 2.0).abs() < 1e-9);
    }
}
