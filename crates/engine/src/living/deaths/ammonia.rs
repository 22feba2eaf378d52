//! Deaths by ammonia.
//!
//! ```text
//! rate = k (x - x0)^2 over x0, x as NH4OH in soil [mg/g]
//! ```
//!
//! so that half die in t days at `x0 + sqrt(ln 2 / (k t))`: 1.05 in 14, 0.88 in
//! 28, 0.76 in 56 days, where 1.05, 0.85 and 0.83 are published (Zeguerrou et
//! al. 2019; Zeguerrou and Adjroudi), nothing from 0.5 down. The first week is
//! extrapolated. LC50s of soil: a bedding is read as the soil whose water is as
//! strong, see [`crate::living::habitat::as_in_soil`].

use crate::living::species::Vital;
use std::f64::consts::LN_2;

/// Deaths by ammonia [1/d], as NH4OH in soil [mg/g].
#[must_use]
pub fn per_day(v: &Vital, mg_per_g: f64) -> f64 {
    let over = (mg_per_g - v.ammonia_harmless_mg_per_g).max(0.0);
    (v.ammonia_death_per_day * over * over).min(super::AT_ONCE)
}

/// NH4OH in soil at which half die in `days` [mg/g].
#[must_use]
pub fn half_die_at(v: &Vital, days: f64) -> f64 {
    v.ammonia_harmless_mg_per_g + (LN_2 / (v.ammonia_death_per_day * days)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{alive, fetida};
    use super::*;

    #[test]
    fn half_die_as_published() {
        let v = fetida();
        for (days, published, off) in [(14.0, 1.05, 0.02), (28.0, 0.88, 0.01), (56.0, 0.83, 0.08)] {
            let at = half_die_at(&v, days);
            assert!((at - published).abs() < off, "{days}: {at}");
            assert!((alive(per_day(&v, at), days) - 0.5).abs() < 1e-9);
        }
        assert!(alive(per_day(&v, 0.5), 56.0) > 0.95);
    }
}
