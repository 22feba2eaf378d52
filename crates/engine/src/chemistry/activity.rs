//! Activity coefficients of dissolved species.
//!
//! Truesdell and Jones 1974 where a species has its own ion size:
//! log g = -A z^2 sqrt(I) / (1 + B a sqrt(I)) + b I;
//! Davies 1962 for other ions: log g = -A z^2 (sqrt(I)/(1+sqrt(I)) - 0.3 I);
//! 0.1 I for neutral species; as in phreeqc.dat (Parkhurst and Appelo 2013).
//! Good to about 0.5 mol/kg; [`MODEL_LIMIT`] is where coefficients are held.
//! Activity of water: 1 - 0.017 x sum of molalities (Garrels and Christ 1965).

use std::f64::consts::LN_10;

use super::water::DebyeHuckel;

/// Ionic strength above which activity coefficients change no more [mol/kg].
/// Far above what the model is good for; it keeps absurd mixtures solvable.
pub const MODEL_LIMIT: f64 = 2.0;

/// How a species departs from ideal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Activity {
    /// No charge: log g = 0.1 I.
    Neutral,
    /// Davies, with charge squared.
    Davies {
        /// z^2 [1].
        z2: f64,
    },
    /// Truesdell-Jones.
    TruesdellJones {
        /// z^2 [1].
        z2: f64,
        /// Ion size a [angstrom].
        size: f64,
        /// b [kg/mol].
        b: f64,
    },
}

impl Activity {
    /// Natural logarithm of the activity coefficient at ionic strength
    /// `strength` [mol/kg].
    #[must_use]
    pub fn ln_gamma(&self, d: &DebyeHuckel, strength: f64) -> f64 {
        let i = strength.min(MODEL_LIMIT);
        let root = i.sqrt();
        LN_10
            * match *self {
                Self::Neutral => 0.1 * i,
                Self::Davies { z2 } => -d.a * z2 * (root / (1.0 + root) - 0.3 * i),
                Self::TruesdellJones { z2, size, b } => {
                    -d.a * z2 * root / (1.0 + d.b * size * root) + b * i
                }
            }
    }
}

/// ln g of one law and its slope against ionic strength, given the square root
/// of it: sqrt(I) is shared, so many laws cost one root.
pub(crate) fn ln_gamma_and_slope(law: &Activity, d: &DebyeHuckel, root: f64) -> (f64, f64) {
    let i = root * root;
    let (value, slope) = match *law {
        Activity::Neutral => (0.1 * i, 0.1),
        Activity::Davies { z2 } => {
            let open = 1.0 / (1.0 + root);
            let a = -d.a * z2;
            (
                a * (root * open - 0.3 * i),
                a * (0.5 * open * open / root - 0.3),
            )
        }
        Activity::TruesdellJones { z2, size, b } => {
            let open = 1.0 / (1.0 + d.b * size * root);
            let a = -d.a * z2;
            (a * root * open + b * i, a * 0.5 * open * open / root + b)
        }
    };
    (LN_10 * value, LN_10 * slope)
}

/// Activity of water [1] with `solutes` [mol/kg] dissolved in it; held beyond
/// twice [`MODEL_LIMIT`].
#[must_use]
pub fn water_activity(solutes: f64) -> f64 {
    1.0 - 0.017 * solutes.min(2.0 * MODEL_LIMIT)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Celsius;

    #[test]
    fn worked_values_at_25() {
        let d = DebyeHuckel::at(Celsius(25.0));
        // PHREEQC, saturated portlandite: I 0.0523895, log g(Ca) -0.330727,
        // log g(H) -0.0696242.
        let log = |a: Activity| a.ln_gamma(&d, 0.052_389_540_3) / LN_10;
        let ca = Activity::TruesdellJones {
            z2: 4.0,
            size: 5.0,
            b: 0.165,
        };
        let h = Activity::TruesdellJones {
            z2: 1.0,
            size: 9.0,
            b: 0.0,
        };
        assert!((log(ca) + 0.330_727).abs() < 5e-5, "{}", log(ca));
        assert!((log(h) + 0.069_624).abs() < 5e-5, "{}", log(h));
    }

    #[test]
    fn value_and_slope_agree_with_the_law() {
        let d = DebyeHuckel::at(Celsius(15.0));
        let laws = [
            Activity::Neutral,
            Activity::Davies { z2: 4.0 },
            Activity::TruesdellJones {
                z2: 1.0,
                size: 5.4,
                b: 0.02,
            },
        ];
        for law in laws {
            for i in [1e-6, 0.003, 0.1, 1.5f64] {
                let (value, slope) = ln_gamma_and_slope(&law, &d, i.sqrt());
                assert!((value - law.ln_gamma(&d, i)).abs() < 1e-12);
                let step = 1e-5 * i;
                let numeric =
                    (law.ln_gamma(&d, i + step) - law.ln_gamma(&d, i - step)) / (2.0 * step);
                assert!((slope - numeric).abs() < 1e-6 * slope.abs().max(1.0));
            }
        }
    }
}
