//! Deaths by acid and by base.
//!
//! ```text
//! mineral and humic acid   log10 LT50 [d] = s (pH - pH1)
//! caustic                  log10 LT50 [d] = s (pH2 - pH)
//! organic acids            rate = ln 2 (HA / HA1)^2,  HA = C / (1 + 10^(pH - pKa))
//! ```
//!
//! pH of the water in place, C and HA in mmol per kg of it. Worms lived and bred
//! for years in soil of pH 5.0 and were stored for weeks in peat of pH 3.6 to
//! 4.3, while 23 of 25 died in a day in potato waste of pH 3 (Wevers et al.
//! 2022): pH alone kills slowly, and fast death takes acids that pass a worm's
//! skin undissociated. Kaplan et al. (1980) had all dead in a week below 5 and
//! above 9, in sludges whose acids and ammonia nobody told; their limits are
//! not followed, and stand as misses. In seven manures of pH 7.6 to 9.0 none
//! died in 98 days (Garg, Kaushik and Dilbaghi 2005). Judgement between these;
//! holds from pH 2 to 13.

use super::half_in;
use crate::living::species::Vital;
use std::f64::consts::{LN_2, LN_10};

/// Undissociated organic acids [mmol/kg water] of `total` at a pH.
#[must_use]
pub fn undissociated(v: &Vital, total: f64, ph: f64) -> f64 {
    if total <= 0.0 {
        return 0.0;
    }
    total / (1.0 + (LN_10 * (ph - v.sour_pka)).exp())
}

/// Deaths by mineral or humic acid [1/d].
#[must_use]
pub fn by_ph(v: &Vital, ph: f64) -> f64 {
    half_in((LN_10 * v.acid_slope_per_ph * (ph - v.acid_one_day_ph)).exp())
}

/// Deaths by caustic water [1/d], as steep on the other side: hours at pH 11,
/// none to speak of below 9.5.
#[must_use]
pub fn caustic(v: &Vital, ph: f64) -> f64 {
    half_in((LN_10 * v.acid_slope_per_ph * (v.alkaline_one_day_ph - ph)).exp())
}

/// Deaths by undissociated organic acids [1/d].
#[must_use]
pub fn organic(v: &Vital, undissociated_mmol_per_kg: f64) -> f64 {
    let x = undissociated_mmol_per_kg / v.organic_acid_one_day_mmol_per_kg;
    (LN_2 * x * x).min(super::AT_ONCE)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{alive, fetida};
    use super::*;

    #[test]
    fn worked_values() {
        let v = fetida();
        for (ph, week, month) in [
            (3.0, 0.27, 0.01),
            (3.3, 0.70, 0.25),
            (3.6, 0.91, 0.68),
            (4.0, 0.98, 0.94),
            (4.5, 1.0, 0.99),
        ] {
            let rate = by_ph(&v, ph);
            assert!((alive(rate, 7.0) - week).abs() < 0.01, "{ph}");
            assert!((alive(rate, 28.0) - month).abs() < 0.01, "{ph}");
        }
        assert!((LN_2 / by_ph(&v, 3.6) / 51.0 - 1.0).abs() < 0.01);
        for (ph, day, week) in [(4.0, 0.457, 0.0), (4.76, 0.76, 0.15), (5.5, 0.97, 0.84)] {
            let rate = organic(&v, undissociated(&v, 50.0, ph));
            assert!((alive(rate, 1.0) - day).abs() < 0.01, "{ph}");
            assert!((alive(rate, 7.0) - week).abs() < 0.02, "{ph}");
        }
    }

    #[test]
    fn potato_waste_kills_in_a_day_and_manure_of_ph_9_does_not_in_98() {
        let v = fetida();
        let waste = by_ph(&v, 3.0) + organic(&v, undissociated(&v, 100.0, 3.0));
        assert!(alive(waste, 1.0) < 0.1);
        assert!(alive(caustic(&v, 9.0), 98.0) > 0.95);
        assert!(alive(caustic(&v, 11.0), 1.0) < 0.25);
    }
}
