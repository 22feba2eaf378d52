//! Deaths by heat.
//!
//! ```text
//! rate = ln 2 / LT50 (2^((T - T3)/d) - 2^(-f/d)),  nothing below T3 - f
//! ```
//!
//! Half die in 3 days at T3 (33 °C in red worms), twice as fast each 0.94 K:
//! 17 h at 35 °C, 4 h at 37, half an hour at 40. Judgement; no series of this
//! genus could be opened, packed worms are said to die at 30 °C, and one
//! laboratory grew worms for 90 days at 35 °C: T3 is drawn as far up as 37.
//! Beds of 43 °C kept worms in their cool parts.

use super::{AT_ONCE, half_in};
use crate::living::species::Vital;

/// Deaths by heat [1/d].
#[must_use]
pub fn per_day(v: &Vital, celsius: f64) -> f64 {
    let over = celsius - v.heat_death_celsius;
    if over <= -v.heat_from_kelvin {
        return 0.0;
    }
    // Held where all is over.
    let times = |kelvin: f64| (kelvin / v.heat_doubling_kelvin).min(20.0).exp2();
    let rate = half_in(v.heat_half_days) * (times(over) - times(-v.heat_from_kelvin));
    rate.min(AT_ONCE)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{alive, fetida};
    use super::*;

    #[test]
    fn half_die_within_a_factor_of_the_times_judged() {
        let v = fetida();
        for (celsius, days) in [(33.0, 3.0), (35.0, 0.5), (37.0, 0.125), (40.0, 0.0125)] {
            let ours = std::f64::consts::LN_2 / per_day(&v, celsius);
            assert!(
                (ours / days).ln().abs() < 1.5f64.ln() || ours < 0.035,
                "{celsius}: {ours}"
            );
        }
        assert_eq!(per_day(&v, 28.9), 0.0);
        assert!(alive(per_day(&v, 35.0), 3.0) < 0.1);
    }
}
