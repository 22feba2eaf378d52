//! Warmth: how fast worms grow, breed, eat and hatch at a temperature.
//!
//! To be used with the temperature of the place the worms sit in, not with
//! the mean of the bin: beds with hot faces and frozen edges hold worms
//! (Reinecke et al. 1992: 5 to 43 °C in outdoor beds).

use super::species::Vital;

/// Growth against growth at 25 °C [0 to 1].
///
/// exp(a (T - 25)) min(1, (T - `T_low`)/4) up to 25 °C, 1 to `T_fall`, then
/// straight down to nothing at `T_high`. Drawn by hand through the geometric
/// means of three studies (Tsukamoto and Watanabe 1977, Edwards 1988, Tripathi
/// and Bhardwaj 2004), 10-35 °C: rms log error 0.41, so times or over 1.5.
#[must_use]
pub fn growth(v: &Vital, celsius: f64) -> f64 {
    let (low, fall, high) = (
        v.growth_low_celsius,
        v.growth_fall_celsius,
        v.growth_high_celsius,
    );
    if !(celsius > low && celsius < high) {
        return 0.0;
    }
    if celsius > fall {
        return (high - celsius) / (high - fall);
    }
    let cold_end = ((celsius - low) / v.cold_width_kelvin).min(1.0);
    if celsius >= v.growth_reference_celsius {
        return cold_end;
    }
    cold_end * (v.growth_slope_per_k * (celsius - v.growth_reference_celsius)).exp()
}

/// Laying against laying at its best temperature [0 to 1].
///
/// Cardinal temperature model with inflection (Rosso et al. 1993), between the
/// coldest and the hottest at which cocoons are laid. The three temperatures
/// are judgement, not fitted: 30 %.
#[must_use]
pub fn breeding(v: &Vital, celsius: f64) -> f64 {
    cardinal(
        celsius,
        v.breeding_low_celsius,
        v.breeding_best_celsius,
        v.breeding_high_celsius,
    )
}

/// Cardinal temperature model with inflection [0 to 1], nothing outside
/// `low` to `high`:
/// (T-m)(T-a)² / {(o-a)[(o-a)(T-o) - (o-m)(o+a-2T)]}.
#[must_use]
pub fn cardinal(celsius: f64, low: f64, best: f64, high: f64) -> f64 {
    if !(celsius > low && celsius < high) {
        return 0.0;
    }
    let above = (celsius - high) * (celsius - low).powi(2);
    let rise = (best - low) * (celsius - best);
    let fall = (best - high) * (best + low - 2.0 * celsius);
    (above / ((best - low) * (rise - fall))).clamp(0.0, 1.0)
}

/// Eating against eating at 25 °C [0 to 1].
///
/// Q10^((T-25)/10) min(1, (T - `T_low`)/4) up to 25 °C, 1 to 28 °C, then
/// straight down. The Q10 of 2 is that of the respiration of other epigeic
/// worms at 6-15 °C (Phillipson and Bolton 1976): borrowed.
#[must_use]
pub fn feeding(v: &Vital, celsius: f64) -> f64 {
    let (low, high) = (v.feeding_low_celsius, v.feeding_high_celsius);
    if !(celsius > low && celsius < high) {
        return 0.0;
    }
    if celsius > v.feeding_plateau_celsius {
        return (high - celsius) / (high - v.feeding_plateau_celsius);
    }
    let cold_end = ((celsius - low) / v.cold_width_kelvin).min(1.0);
    if celsius >= v.growth_reference_celsius {
        return cold_end;
    }
    cold_end * (v.feeding_q10.ln() * 0.1 * (celsius - v.growth_reference_celsius)).exp()
}

/// Share of a cocoon's development done per day, by the degree-day law alone
/// [1/d]: (T - T0)/K, not quicker than the shortest incubation and nothing
/// below 6 °C.
///
/// For *E. fetida* 483/(T - 4) days: exact at 25 °C (23 d, Venter and Reinecke
/// 1988), a fifth too long at 20-22.5 °C; 25 % at 18-27 °C, 35 % below.
#[must_use]
pub fn development_per_day_by_law(v: &Vital, celsius: f64) -> f64 {
    let over = celsius - v.incubation_base_celsius;
    if !(celsius >= v.development_stops_celsius && over > 0.0) {
        return 0.0;
    }
    (over / v.incubation_degree_days).min(1.0 / v.incubation_floor_days)
}

/// Share of a cocoon's development done per day [1/d]: the degree-day law,
/// brought to the incubation of the stage model at its reference temperature.
#[must_use]
pub fn development_per_day(v: &Vital, celsius: f64) -> f64 {
    development_per_day_by_law(v, celsius) / v.incubation_factor
}

/// Incubation by the degree-day law [d]; `None` where nothing develops.
#[must_use]
pub fn incubation_days_by_law(v: &Vital, celsius: f64) -> Option<f64> {
    let rate = development_per_day_by_law(v, celsius);
    (rate > 0.0).then(|| 1.0 / rate)
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
        let v = fetida();
        for (t, g, r, f) in [
            (5.0, 0.051, 0.028, 0.188),
            (10.0, 0.181, 0.282, 0.354),
            (15.0, 0.320, 0.648, 0.500),
            (18.0, 0.450, 0.844, 0.616),
            (20.0, 0.566, 0.939, 0.707),
            (22.0, 0.710, 0.993, 0.812),
            (25.0, 1.0, 0.968, 1.0),
            (30.0, 0.700, 0.547, 0.750),
            (35.0, 0.200, 0.0, 0.125),
        ] {
            assert!((growth(&v, t) - g).abs() < 6e-4, "growth {t}");
            assert!((breeding(&v, t) - r).abs() < 6e-4, "breeding {t}");
            assert!((feeding(&v, t) - f).abs() < 6e-4, "feeding {t}");
        }
    }

    #[test]
    fn cocoons_take_the_days_of_the_law() {
        let v = fetida();
        for (t, days) in [(10.0, 80.5), (15.0, 43.9), (20.0, 30.2), (25.0, 23.0)] {
            assert!((incubation_days_by_law(&v, t).unwrap() - days).abs() < 0.1);
        }
        assert_eq!(incubation_days_by_law(&v, 5.0), None);
        assert!((1.0 / development_per_day(&v, 18.0) - 33.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_happens_outside_the_limits() {
        for s in Species::ALL {
            let v = Vital::of(&Tables::load().unwrap(), s).unwrap();
            for t in [-30.0, 0.0, 45.0, 60.0, f64::NAN] {
                assert_eq!(growth(&v, t), 0.0);
                assert_eq!(breeding(&v, t), 0.0);
                assert_eq!(feeding(&v, t), 0.0);
            }
            for i in -60..120 {
                let t = f64::from(i) * 0.5;
                for g in [growth(&v, t), breeding(&v, t), feeding(&v, t)] {
                    assert!((0.0..=1.0).contains(&g), "{s:?} {t} {g}");
                }
            }
        }
    }
}
