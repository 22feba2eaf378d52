//! Deaths per day: age and mishap, heat, cold, drought, want of air, acid,
//! ammonia, salt, starvation, crush.
//!
//! Rates add up, for they act at the same time on the same worms. Only the
//! base rate, ammonia and, loosely, pH have counts behind them; the rest are
//! estimates with wide ranges.

use super::habitat::Habitat;
use super::species::Vital;
use super::tolerance::{Felt, felt_ph};

/// Fastest death counted [1/d]: all within hours.
const AT_ONCE: f64 = 20.0;

/// Deaths by heat [1/d]: 0.02 at 33 °C to 0.5 at 37 °C on the log scale, less
/// its value three degrees under the first so that it begins from nothing.
/// No controlled source; some beds of 43 °C kept worms in their cool parts.
#[must_use]
pub fn heat(v: &Vital, celsius: f64) -> f64 {
    let over = celsius - v.heat_death_celsius;
    if over <= -3.0 {
        return 0.0;
    }
    let slope = v.heat_death_slope_per_k;
    let rise = (slope * over).min(10.0).exp() - (-3.0 * slope).exp();
    (v.heat_death_per_day * rise).min(AT_ONCE)
}

/// Deaths by cold [1/d]: per degree below what the species stands, and per
/// degree below freezing. Estimates.
#[must_use]
pub fn cold(v: &Vital, celsius: f64) -> f64 {
    let freezing = v.cold_death_celsius.min(0.0);
    let frozen = (freezing - celsius).max(0.0) * v.freeze_death_per_k_day;
    let chilled = (v.cold_death_celsius - celsius.max(freezing)).max(0.0);
    (frozen + chilled * v.chill_death_per_k_day).min(AT_ONCE)
}

/// Deaths by drought [1/d], moisture of wet mass [%]: 0.05 below 50 %, 0.3
/// more below 40 %, each coming on over four points. Estimates; mass is lost
/// from 46 % down (Reinecke and Venter 1985).
#[must_use]
pub fn drought(v: &Vital, moisture_percent: f64) -> f64 {
    let below = |limit: f64| ((limit + 2.0 - moisture_percent) / 4.0).clamp(0.0, 1.0);
    v.dry_death_50_per_day * below(50.0) + v.dry_death_40_per_day * below(40.0)
}

/// Deaths for want of air [1/d]: in pores filled with water, or in the last
/// tenth of what a bed's decay leaves of its oxygen. Estimate; a short want of
/// oxygen is stood.
#[must_use]
pub fn airless(v: &Vital, air_filled: f64, airless: f64) -> f64 {
    let drowned = 1.0 - air_filled / v.air_low;
    let stale = 10.0 * airless - 9.0;
    v.airless_death_per_day * drowned.max(stale).clamp(0.0, 1.0)
}

/// Deaths by pH [1/d]: all within a week (0.66/d) at 4.5 with free acids or at
/// 9.2 (Kaplan et al. 1980, below 5 and above 9), 2.5/d at pH 3 (Wevers et al.
/// 2022: 23 of 25 in a day), and a fiftieth of the sour side without acids.
#[must_use]
pub fn by_ph(v: &Vital, ph: f64, acids: f64) -> f64 {
    let felt = felt_ph(v, ph, acids);
    let sour = (v.ph_low + 1.0 - felt).clamp(0.0, 1.0);
    let alkaline = (2.0 * (ph - v.ph_high) + 1.0).clamp(0.0, 1.0);
    let steep = |beyond: f64| (v.ph_death_slope_per_ph * beyond).min(10.0).exp();
    let mut rate = 0.0;
    if sour > 0.0 {
        rate += sour * steep(v.ph_low - felt) * acids.max(v.sour_floor);
    }
    if alkaline > 0.0 {
        rate += alkaline * steep((ph - v.ph_high).max(0.0));
    }
    (v.ph_death_per_day * rate).min(AT_ONCE)
}

/// Deaths [1/d] that leave 1/(1 + (x/lc50)^b) alive after 28 days.
#[must_use]
pub fn over_28_days(x: f64, lc50: f64, power: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    (x / lc50).powf(power).ln_1p() / 28.0
}

/// Deaths by ammonia [1/d], as NH4OH in soil [mg/g]: half in 28 days at 0.85
/// (Zeguerrou and Adjroudi, abstract).
#[must_use]
pub fn ammonia(v: &Vital, mg_per_g: f64) -> f64 {
    over_28_days(mg_per_g, v.ammonia_death_mg_per_g, v.ammonia_death_power)
}

/// Deaths by salt in bedding [1/d], 1:5 extract [mS/cm]; how the doses in soil
/// carry over, see [`crate::living::tolerance::salt`].
#[must_use]
pub fn salt(v: &Vital, ec_ms_per_cm: f64) -> f64 {
    over_28_days(ec_ms_per_cm, v.salt_death_ms_per_cm, v.salt_death_power)
}

/// Deaths by starvation [1/d]: from half the mass of a well-fed worm down,
/// 0.05 a day at three tenths. Estimate.
#[must_use]
pub fn starved(condition: f64) -> f64 {
    0.05 * ((0.5 - condition) / 0.2).clamp(0.0, 1.5)
}

/// Deaths in a heap of worms [1/d]: from 300 g/L up, 0.5 a day where there are
/// worms and nothing else. Estimate; 100 g/L was held for weeks (Wevers et al.
/// 2022).
#[must_use]
pub fn crushed(grams_per_litre: f64) -> f64 {
    0.5 * ((grams_per_litre - 300.0) / 700.0).clamp(0.0, 1.0)
}

/// Share of worms that die per day [1/d].
#[must_use]
pub fn per_day(v: &Vital, h: &Habitat, felt: &Felt, condition: f64, grams_per_litre: f64) -> f64 {
    let rate = v.death_per_day
        + heat(v, h.celsius)
        + cold(v, h.celsius)
        + drought(v, h.moisture_percent)
        + airless(v, h.air_filled, h.airless)
        + by_ph(v, h.ph, felt.acids)
        + ammonia(v, felt.ammonia_mg_per_g)
        + salt(v, h.ec_ms_per_cm)
        + starved(condition)
        + crushed(grams_per_litre);
    rate.min(AT_ONCE)
}

/// Share of cocoons lost per day [1/d]: heat, drought and pH as for worms,
/// ammonia at twice the dose (no effect on hatching up to 1 mg/g; Zeguerrou
/// and Adjroudi). Cocoons outlast the winter. Estimate.
#[must_use]
pub fn of_cocoons(v: &Vital, h: &Habitat, felt: &Felt) -> f64 {
    let rate = heat(v, h.celsius)
        + drought(v, h.moisture_percent)
        + by_ph(v, h.ph, felt.acids)
        + ammonia(v, 0.5 * felt.ammonia_mg_per_g);
    rate.min(AT_ONCE)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::living::species::Species;
    use crate::living::tolerance::urge_to_leave;
    use crate::table::Tables;

    fn fetida() -> Vital {
        Vital::of(&Tables::load().unwrap(), Species::EiseniaFetida).unwrap()
    }

    #[test]
    fn worked_values() {
        let v = fetida();
        assert!((heat(&v, 33.0) - 0.0182).abs() < 1e-4);
        assert!((heat(&v, 37.0) - 0.4986).abs() < 2e-3);
        assert_eq!(heat(&v, 29.9), 0.0);
        assert!((drought(&v, 45.0) - 0.05).abs() < 1e-9);
        assert!((drought(&v, 30.0) - 0.35).abs() < 1e-9);
        let alive = (-28.0 * ammonia(&v, 0.85)).exp();
        assert!((alive - 0.5).abs() < 1e-9);
        assert!(by_ph(&v, 3.0, 1.0) > 2.0 && by_ph(&v, 4.0, 0.0) < 0.02);
        assert_eq!(by_ph(&v, 7.0, 1.0), 0.0);
    }

    /// One trouble at a time, growing: worms want out before they die of it.
    #[test]
    fn avoidance_comes_before_harm() {
        let v = fetida();
        let kind = Habitat::kind(20.0);
        type Trouble = (&'static str, fn(Habitat, f64) -> Habitat);
        let troubles: [Trouble; 7] = [
            ("heat", |h, x| Habitat {
                celsius: 20.0 + 25.0 * x,
                ..h
            }),
            ("dry", |h, x| Habitat {
                moisture_percent: 75.0 - 60.0 * x,
                ..h
            }),
            ("airless", |h, x| Habitat {
                air_filled: 0.35 * (1.0 - x),
                ..h
            }),
            ("acid", |h, x| Habitat {
                ph: 7.0 - 4.0 * x,
                sour_meq_per_kg: 400.0 * x,
                ..h
            }),
            ("alkaline", |h, x| Habitat {
                ph: 7.0 + 4.0 * x,
                ..h
            }),
            ("ammonia", |h, x| Habitat {
                ph: 8.0,
                ammonia_mg_per_g: 3.0 * x,
                ..h
            }),
            ("salt", |h, x| Habitat {
                ec_ms_per_cm: 1.0 + 15.0 * x,
                ..h
            }),
        ];
        for (name, trouble) in troubles {
            let mut dying = false;
            for i in 0..=1000 {
                let h = trouble(kind, f64::from(i) / 1000.0);
                let felt = Felt::of(&v, &h);
                let rate = per_day(&v, &h, &felt, 1.0, 10.0);
                if rate > 0.005 {
                    let urge = urge_to_leave(&v, &h, &felt, 1.0, 10.0);
                    assert!(urge > 0.55, "{name} at {i}: urge {urge}, deaths {rate}");
                    dying = true;
                }
            }
            assert!(dying, "{name} never kills");
        }
    }
}
