//! Deaths for want of oxygen.
//!
//! ```text
//! rate = ln 2 / LT50 2^((T - 20)/8) a
//! ```
//!
//! a how far nothing is left of the oxygen: in a bed whose decay finds none (the
//! last tenth of it counts), or in pores full of water. Half die in a day or two
//! at 20 °C, twice as late each 8 K cooler (memory). Wetness by itself does not
//! kill: worms lived for months in aerated water (Roots 1956).

use super::{AT_ONCE, half_in};
use crate::living::species::Vital;

/// How far nothing is left of the oxygen [0 to 1]: share of the bed's decay that
/// finds none, air-filled porosity [share of volume].
#[must_use]
pub fn lack(v: &Vital, air_filled: f64, airless: f64) -> f64 {
    let drowned = 1.0 - air_filled / v.air_low;
    let stale = (airless - v.airless_deadly_from) / (1.0 - v.airless_deadly_from);
    drowned.max(stale).clamp(0.0, 1.0)
}

/// Deaths for want of oxygen [1/d].
#[must_use]
pub fn per_day(v: &Vital, lack: f64, celsius: f64) -> f64 {
    if lack <= 0.0 {
        return 0.0;
    }
    let warm = ((celsius - v.airless_half_celsius) / v.airless_doubling_kelvin).exp2();
    (half_in(v.airless_half_days) * warm * lack).min(AT_ONCE)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{alive, fetida};
    use super::*;

    #[test]
    fn half_die_in_a_day_or_two_and_wet_manure_is_lived_in() {
        let v = fetida();
        let drowned = per_day(&v, lack(&v, 0.0, 1.0), 20.0);
        assert!(alive(drowned, 1.0) > 0.5 && alive(drowned, 2.0) < 0.5);
        let cool = per_day(&v, lack(&v, 0.0, 1.0), 4.0);
        assert!((drowned / cool - 4.0).abs() < 1e-9);
        assert_eq!(per_day(&v, lack(&v, 0.05, 0.8), 20.0), 0.0);
    }
}
