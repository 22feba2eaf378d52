//! Deaths by cold.
//!
//! ```text
//! freezing   rate = ln 2 / 2 d exp(s (-Th - T))
//! chilling   rate = c (Tc - T), T not under 0 °C: worms of warm countries
//! ```
//!
//! Adult red worms do not live through freezing: half of them 44 days at 0 °C,
//! 2 days at -1 °C, 2 hours at -2 °C. Judgement; cocoons outlast the winter.

use super::{AT_ONCE, half_in};
use crate::living::species::Vital;

/// Deaths by cold [1/d].
#[must_use]
pub fn per_day(v: &Vital, celsius: f64) -> f64 {
    let under = -v.freeze_half_kelvin - celsius;
    // Held where all is over.
    let frozen = half_in(v.freeze_half_days) * (v.freeze_slope_per_k * under).min(10.0).exp();
    let chilled = (v.cold_death_celsius - celsius.max(0.0)).max(0.0) * v.chill_death_per_k_day;
    (frozen + chilled).min(AT_ONCE)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{alive, fetida};
    use super::*;

    #[test]
    fn half_die_as_judged() {
        let v = fetida();
        assert!((0.6..0.7).contains(&alive(per_day(&v, 0.0), 28.0)));
        assert!((alive(per_day(&v, -1.0), 2.0) - 0.5).abs() < 0.01);
        assert!(alive(per_day(&v, -2.0), 0.25) < 0.5);
        assert!(alive(per_day(&v, 4.0), 365.0) > 0.99);
    }
}
