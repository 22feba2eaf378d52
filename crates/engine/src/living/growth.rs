//! Growth of one worm, after von Bertalanffy.
//!
//! dW/dt = 3 r (Winf^(1/3) W^(2/3) - W), r = `r_B` `g_grow`(T) `g_moist` `g_air`,
//! which has the closed form used here. Winf falls with worms per kg of
//! substrate. Constants: growth curves of the EGrowth data base (Mathieu
//! 2018), 10-35 °C, single pots of 0.02-0.3 kg.

use super::species::Vital;

/// Mass after `days` [g] of a worm of `mass_g` that grows towards `full_g` at
/// `rate` [1/d]: (Winf^(1/3) - (Winf^(1/3) - W0^(1/3)) exp(-r t))^3.
#[must_use]
pub fn mass_after(mass_g: f64, full_g: f64, rate: f64, days: f64) -> f64 {
    let full = full_g.max(0.0).cbrt();
    let start = mass_g.max(0.0).cbrt();
    (full - (full - start) * (-rate * days).exp()).powi(3)
}

/// Days [d] until a worm of `mass_g` that grows towards `full_g` at `rate`
/// [1/d] weighs `wanted_g`; `None` when it never does.
#[must_use]
pub fn days_to(mass_g: f64, full_g: f64, rate: f64, wanted_g: f64) -> Option<f64> {
    let (start, full, wanted) = (mass_g.cbrt(), full_g.cbrt(), wanted_g.cbrt());
    if wanted <= start {
        return Some(0.0);
    }
    (rate > 0.0 && wanted < full).then(|| ((full - start) / (full - wanted)).ln() / rate)
}

/// Greatest mass [g] of a worm in company: Wsolo (1 + N/7)^-a, N worms per kg
/// of fresh substrate. a is 0.52 on manure and paper (three series, 7 to 107
/// worms per kg, rms 9 %), 0.15 on very rich food (Neuhauser 1980, sludge).
#[must_use]
pub fn full_mass(v: &Vital, solo_g: f64, worms_per_kg: f64, power: f64) -> f64 {
    solo_g * (1.0 + worms_per_kg.max(0.0) / v.density_solo_worms_per_kg).powf(-power)
}

/// Mass after `dt_days` [g] of a worm short of food: W exp(-s g (1 - kept) t),
/// `kept` the share of its maintenance it finds, `feeding` the factor of
/// warmth on eating. s is 0.006/d at 25 °C (0.0037-0.0097, Neuhauser 1980,
/// Fig. 6).
#[must_use]
pub fn shrunk(v: &Vital, mass_g: f64, kept: f64, feeding: f64, dt_days: f64) -> f64 {
    let short = (1.0 - kept).clamp(0.0, 1.0);
    mass_g * (-v.shrink_per_day * feeding * short * dt_days).exp()
}

/// How much above maintenance a worm must find to grow in full [-].
const SURPLUS: f64 = 0.25;
/// Over this much above its due mass a worm shrinks in full [-].
const OVERSIZE: f64 = 0.05;

/// Mass against a well-fed worm at the same crowding, after `dt_days` [-].
///
/// Below maintenance it shrinks. Above, it goes back to 1 as the cube of a
/// straight relaxation, which is von Bertalanffy's law: from below at `rate`
/// [1/d]; a worm too big for its company shrinks as one that hungers.
/// `found` is food eaten over maintenance, not capped at 1.
#[must_use]
pub fn condition_after(
    v: &Vital,
    condition: f64,
    found: f64,
    feeding: f64,
    rate: f64,
    dt_days: f64,
) -> f64 {
    if found < 1.0 {
        return shrunk(v, condition, found, feeding, dt_days);
    }
    if condition > 1.0 {
        let over = ((condition - 1.0) / OVERSIZE).min(1.0);
        return shrunk(v, condition, 1.0 - over, feeding, dt_days).max(1.0);
    }
    mass_after(condition, 1.0, rate * fed(found), dt_days)
}

/// How far a worm that finds `found` times its maintenance grows and ripens
/// [0 to 1].
#[must_use]
pub fn fed(found: f64) -> f64 {
    ((found - 1.0) / SURPLUS).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::living::species::Species;
    use crate::table::Tables;

    fn fetida() -> Vital {
        Vital::of(&Tables::load().unwrap(), Species::EiseniaFetida).unwrap()
    }

    #[test]
    fn worked_values() {
        for (day, g) in [
            (14.0, 0.1401),
            (28.0, 0.3512),
            (42.0, 0.5506),
            (56.0, 0.7038),
            (84.0, 0.8807),
        ] {
            assert!(
                (mass_after(0.01, 1.0, 0.035, day) - g).abs() < 1e-4,
                "{day}"
            );
        }
        let days = days_to(0.01, 1.0, 0.035, 0.35).unwrap();
        assert!((days - 27.9).abs() < 0.1, "{days}");
        assert_eq!(days_to(0.01, 0.3, 0.035, 0.35), None);
    }

    #[test]
    fn growth_in_halves_is_growth_in_one() {
        let one = mass_after(0.05, 0.8, 0.03, 10.0);
        let half = mass_after(mass_after(0.05, 0.8, 0.03, 4.0), 0.8, 0.03, 6.0);
        assert!((one - half).abs() < 1e-12);
    }

    #[test]
    fn hunger_shrinks_and_food_restores() {
        let v = fetida();
        let thin = condition_after(&v, 1.0, 0.0, 1.0, 0.035, 30.0);
        assert!((thin - (-0.18f64).exp()).abs() < 1e-9);
        let back = condition_after(&v, thin, 2.0, 1.0, 0.035, 120.0);
        assert!(back > 0.98 && back <= 1.0);
        let big = condition_after(&v, 1.3, 2.0, 1.0, 0.035, 1.0);
        assert!((big - 1.3 * (-0.006f64).exp()).abs() < 1e-9);
    }
}
