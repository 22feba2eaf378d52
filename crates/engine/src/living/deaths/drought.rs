//! Deaths by drought.
//!
//! ```text
//! x    = l (m0 - m)            weight a worm has lost to the dry place [0 to 1]
//! rate = k (x / x1)^6
//! ```
//!
//! m the moisture [% of wet mass]: x is nothing at 60 %, 0.26 at 47, 0.6 at 30,
//! and two species lived through a loss of 0.6 (Roots 1956). Three weeks of
//! drought in soil killed 14 % of a field species, and the rest recovered.
//! Judgement for fibrous bedding; finer ones are not told apart. What is lost
//! is water that is drunk again, and is not counted in the mass.

use super::AT_ONCE;
use crate::living::species::Vital;

/// Weight lost to a place of this moisture [share], [% of wet mass].
#[must_use]
pub fn lost(v: &Vital, moisture_percent: f64) -> f64 {
    (v.dry_from_percent - moisture_percent).max(0.0) * v.dry_lost_per_percent
}

/// Deaths by drought [1/d], moisture [% of wet mass].
#[must_use]
pub fn per_day(v: &Vital, moisture_percent: f64) -> f64 {
    let lost = lost(v, moisture_percent);
    if lost <= 0.0 {
        return 0.0;
    }
    let x = lost / v.dry_deadly_share;
    (v.dry_death_per_day * x.powf(v.dry_death_power)).min(AT_ONCE)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{alive, fetida};
    use super::*;

    #[test]
    fn worked_values() {
        let v = fetida();
        assert!((lost(&v, 47.0) - 0.26).abs() < 1e-9 && (lost(&v, 30.0) - 0.6).abs() < 1e-9);
        assert_eq!(per_day(&v, 60.0), 0.0);
        // Of 14 % dead in three weeks: 0.0072 a day, at 46 %.
        assert!((0.8..0.92).contains(&alive(per_day(&v, 46.0), 21.0)));
        assert!(alive(per_day(&v, 30.0), 1.0) < 0.5);
    }
}
