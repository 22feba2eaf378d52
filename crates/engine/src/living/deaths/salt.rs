//! Salt as worms meet it, and deaths by it.
//!
//! ```text
//! c      = EC(1:5) 5 / theta / e            table salt in the water [mmol/kg]
//! alive after 28 days = 1 / (1 + (c / LC50)^6)
//! ```
//!
//! EC of a 1:5 extract by dry mass [mS/cm], theta the bed's water [kg/kg dry],
//! e 0.1 mS/cm per mmol. 5436 mg of NaCl per kg of artificial soil killed half
//! in 28 days (Owojori et al. 2008), 155 to 266 mmol per kg of that soil's
//! water, and 1164 mg/kg (33 to 57 mmol) were avoided by half. LC50s of soil
//! water, then: an extract of 1.3 mS/cm of soil and of 6 of wet bedding are the
//! same stress. Other salts differ (Owojori et al. 2014): calcium and magnesium
//! chlorides are worse, sulphates and bicarbonates milder.

use super::AT_ONCE;
use crate::living::salt::EXTRACT;
use crate::living::species::Vital;

/// Salt in the water of a bed, as table salt [mmol/kg]: conductivity of its 1:5
/// extract [mS/cm], water of the bed [kg/kg dry].
#[must_use]
pub fn in_water(v: &Vital, ec_ms_per_cm: f64, water_per_dry: f64) -> f64 {
    ec_ms_per_cm.max(0.0) * EXTRACT / water_per_dry.max(1e-3) / v.salt_ms_per_cm_per_mmol
}

/// Deaths by salt [1/d], as table salt in the water [mmol/kg].
#[must_use]
pub fn per_day(v: &Vital, mmol_per_kg: f64) -> f64 {
    if mmol_per_kg <= 0.0 {
        return 0.0;
    }
    let x = mmol_per_kg / v.salt_death_mmol_per_kg;
    (x.powf(v.salt_death_power).ln_1p() / v.salt_death_days).min(AT_ONCE)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{alive, fetida};
    use super::*;

    /// 13 mS/cm in the water of either, 130 mmol.
    #[test]
    fn a_salty_soil_and_a_saltier_wet_bed_are_the_same_stress() {
        let v = fetida();
        let soil = in_water(&v, 1.3, 0.5);
        let bedding = in_water(&v, 7.8, 3.0);
        assert!((soil - 130.0).abs() < 1e-9 && (soil - bedding).abs() < 1e-9);
    }

    /// Home units of 5 to 9 mS/cm kept their worms.
    #[test]
    fn half_die_at_the_published_dose_and_few_in_salty_bins_that_work() {
        let v = fetida();
        assert!(
            (alive(per_day(&v, v.salt_death_mmol_per_kg), v.salt_death_days) - 0.5).abs() < 1e-9
        );
        assert!(alive(per_day(&v, in_water(&v, 9.0, 3.0)), v.salt_death_days) > 0.8);
        assert!(alive(per_day(&v, in_water(&v, 5.0, 3.0)), v.salt_death_days) > 0.99);
    }
}
