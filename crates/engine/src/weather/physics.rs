//! The physics of what a keeper can do against heat and cold, one short
//! function each.

use std::f64::consts::PI;

/// Heat one kilogram of ice takes up on its way from the freezer to the bed
/// [kJ/kg]: warming to 0 °C, melting, warming as water.
/// `c_ice (0 − T_f) + L + c_w T_bed`.
#[must_use]
pub fn ice_kj_per_kg(freezer: f64, bed: f64, ice_heat: f64, melt: f64, water_heat: f64) -> f64 {
    ice_heat * (-freezer).max(0.0) + melt + water_heat * bed.max(0.0)
}

/// How long ice lasts before it is all melted [h]: heat to warm it to 0 °C and
/// melt it over the heat flowing in, `(c_ice T_f + L) / (3.6 k T_bed)`, `k` in
/// W/K per kg. The same for one kilogram and ten, as each bottle melts alone.
#[must_use]
pub fn ice_hours(freezer: f64, bed: f64, ice_heat: f64, melt: f64, w_k_kg: f64) -> f64 {
    (ice_heat * (-freezer).max(0.0) + melt) / (3.6 * w_k_kg * bed.max(0.1))
}

/// Ice to hold a bin one kelvin under where it would otherwise stand [kg/d/K]:
/// `86.4 UA / (q s)`, `s` the share of the cold that reaches the bed.
#[must_use]
pub fn ice_kg_per_day_kelvin(ua_w_k: f64, kj_per_kg: f64, from_bed: f64) -> f64 {
    86.4 * ua_w_k / (kj_per_kg * from_bed)
}

/// Ice to cool a bin by one kelvin once [kg/K]: `C / (q s)`.
#[must_use]
pub fn ice_kg_per_kelvin(kj_per_k: f64, kj_per_kg: f64, from_bed: f64) -> f64 {
    kj_per_k / (kj_per_kg * from_bed)
}

/// Heater to hold a bin `kelvin` over the air [W]: `UA ΔT`.
#[must_use]
pub fn heater_watts(ua_w_k: f64, kelvin: f64) -> f64 {
    ua_w_k * kelvin.max(0.0)
}

/// Time a bin takes for two thirds (1 − 1/e) of a change of the air [h]:
/// `C / UA`.
#[must_use]
pub fn lag_hours(kj_per_k: f64, ua_w_k: f64) -> f64 {
    kj_per_k / (3.6 * ua_w_k)
}

/// Heat passing a wall that has been wrapped, as a share of before [0 to 1]:
/// `1 / (1 + U R)` over the covered part.
#[must_use]
pub fn wrapped_share(wall_w_m2_k: f64, m2_k_w: f64, covered: f64) -> f64 {
    1.0 - covered + covered / (1.0 + wall_w_m2_k * m2_k_w)
}

/// Relative humidity of air at a dew point [0 to 1], by Magnus' formula.
#[must_use]
pub fn humidity(air: f64, dew: f64) -> f64 {
    let pressure = |t: f64| (17.62 * t / (243.12 + t)).exp();
    (pressure(dew.min(air)) / pressure(air)).clamp(0.03, 1.0)
}

/// Dew point of air at a humidity [°C], Magnus' formula turned round.
#[must_use]
pub fn dew_point(air: f64, humidity: f64) -> f64 {
    let x = humidity.clamp(0.03, 1.0).ln() + 17.62 * air / (243.12 + air);
    243.12 * x / (17.62 - x)
}

/// Wet-bulb temperature [°C] at sea level, by the fit of Stull 2011, Journal
/// of Applied Meteorology and Climatology (from memory): −20 to 50 °C, 5 to
/// 99 % humidity, within 1 K. Never over the air.
#[must_use]
pub fn wet_bulb(air: f64, humidity: f64) -> f64 {
    let rh = (100.0 * humidity).clamp(5.0, 99.0);
    let t = air.clamp(-20.0, 50.0);
    let tw = t * (0.151_977 * (rh + 8.313_659).sqrt()).atan() + (t + rh).atan()
        - (rh - 1.676_331).atan()
        + 0.003_918_38 * rh.powf(1.5) * (0.023_101 * rh).atan()
        - 4.686_035;
    air - (t - tw).max(0.0)
}

/// Sun at an hour of the day, as a share of its noon [0 to 1]: a half sine
/// from six to six.
#[must_use]
pub fn sun_share(hour: f64) -> f64 {
    let h = hour.rem_euclid(24.0);
    if (6.0..18.0).contains(&h) {
        (PI * (h - 6.0) / 12.0).sin()
    } else {
        0.0
    }
}

/// Water a wet cloth gives to the air [kg/d]: heat reaching it over the heat of
/// evaporation, `86.4 h A ΔT / L`.
#[must_use]
pub fn cloth_kg_per_day(w_m2_k: f64, m2: f64, kelvin: f64, evaporate: f64) -> f64 {
    86.4 * w_m2_k * m2 * kelvin.max(0.0) / evaporate
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kilogram_of_ice_takes_nearly_500_kilojoules() {
        // 2.1 x 18 + 334 + 4.186 x 30 = 37.8 + 334 + 125.6.
        let kj = ice_kj_per_kg(-18.0, 30.0, 2.1, 334.0, 4.186);
        assert!((kj - 497.38).abs() < 1e-6, "{kj}");
    }

    #[test]
    fn ice_in_a_30_degree_bed_lasts_a_working_day() {
        // 371.8 kJ over 0.5 W/K x 30 K = 15 W = 54 kJ/h: 6.9 h.
        let h = ice_hours(-18.0, 30.0, 2.1, 334.0, 0.5);
        assert!((h - 371.8 / 54.0).abs() < 1e-9);
    }

    #[test]
    fn a_tote_needs_about_a_kilogram_of_ice_a_day_for_each_degree() {
        // 4.3 W/K x 86.4 = 371.5 kJ/d/K over 497 x 0.7 = 348 kJ/kg.
        let kg = ice_kg_per_day_kelvin(4.3, 497.4, 0.7);
        assert!((kg - 1.067).abs() < 0.002, "{kg}");
        // 20 kg of moist bedding holds 70 kJ/K.
        assert!((ice_kg_per_kelvin(70.0, 497.4, 0.7) - 0.201).abs() < 0.001);
    }

    #[test]
    fn heater_and_lag_of_a_tote() {
        // worked: 1.08 m2 at 4 W/m2/K, 10 degrees wanted in air at -5.
        assert!((heater_watts(4.32, 15.0) - 64.8).abs() < 1e-9);
        assert!((lag_hours(70.0, 4.32) - 4.501).abs() < 0.001);
        assert!(heater_watts(4.32, -3.0).abs() < 1e-12);
    }

    #[test]
    fn a_blanket_more_than_halves_what_passes_under_it() {
        // U 4, R 0.4: 1/2.6 = 0.385; four fifths covered: 0.508.
        assert!((wrapped_share(4.0, 0.4, 1.0) - 0.3846).abs() < 1e-4);
        assert!((wrapped_share(4.0, 0.4, 0.8) - 0.5077).abs() < 1e-4);
    }

    #[test]
    fn the_wet_bulb_of_20_degrees_and_half_humidity_is_13_7() {
        // Stull 2011, worked example (from memory).
        assert!((wet_bulb(20.0, 0.5) - 13.7).abs() < 0.05);
        // Desert afternoon: 40 C at 15 %: about 20 C.
        assert!((wet_bulb(40.0, 0.15) - 20.5).abs() < 1.0);
        assert!(wet_bulb(25.0, 1.0) <= 25.0);
    }

    #[test]
    fn humidity_falls_as_the_day_warms() {
        // Dew point 20: 17.3 g/m3; saturation pressure 23.4 hPa at 20, 73.8 at 40.
        assert!((humidity(40.0, 20.0) - 0.317).abs() < 0.003);
        assert!((humidity(20.0, 20.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn sun_shines_from_six_to_six() {
        assert!(sun_share(5.0).abs() < 1e-12 && sun_share(18.5).abs() < 1e-12);
        assert!((sun_share(12.0) - 1.0).abs() < 1e-12);
        assert!((sun_share(36.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_wet_cloth_drinks_a_few_litres_a_day() {
        // 8 W/m2/K x 0.75 m2 x 10 K = 60 W = 5184 kJ/d = 2.1 kg.
        assert!((cloth_kg_per_day(8.0, 0.75, 10.0, 2450.0) - 2.116).abs() < 0.001);
    }
}
