//! What worms breathe: oxygen, carbon dioxide, heat.
//!
//! A small share of what a bin breathes, about a tenth; the rest is microbes.

use super::species::Vital;

/// Oxygen worms use [g/kg fresh/d]: 200 µL/g/h at 20 °C (100-300), Q10 1.93
/// over 6-15 °C (Phillipson and Bolton 1976, two other epigeic worms at 10 °C:
/// 112 and 156); held to what is used at 40 °C above it. Oxygen as a gas at
/// 0 °C, 1.429 mg/mL.
#[must_use]
pub fn oxygen_g_per_kg_day(v: &Vital, celsius: f64) -> f64 {
    // Of the gas at 0 °C.
    const MG_PER_ML: f64 = 1.429;
    let over = celsius.min(v.respiration_most_celsius) - v.respiration_celsius;
    let warm = (v.respiration_q10.ln() * 0.1 * over).exp();
    v.oxygen_ul_per_g_hour * 24.0 / 1000.0 * MG_PER_ML * warm
}

/// Carbon worms breathe out [g C/kg fresh/d], respiratory quotient 0.8.
#[must_use]
pub fn carbon_g_per_kg_day(v: &Vital, celsius: f64) -> f64 {
    oxygen_g_per_kg_day(v, celsius) / 31.998 * v.respiratory_quotient * 12.011
}

/// Heat worms give off [W/kg fresh], 14.0 kJ/g of oxygen.
#[must_use]
pub fn heat_w_per_kg(v: &Vital, celsius: f64) -> f64 {
    oxygen_g_per_kg_day(v, celsius) * v.heat_kj_per_g_oxygen * 1000.0 / 86_400.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::living::species::Species;
    use crate::table::Tables;

    #[test]
    fn respiration_has_its_worked_values() {
        let v = &Vital::of(&Tables::load().unwrap(), Species::EiseniaFetida).unwrap();
        assert!((oxygen_g_per_kg_day(v, 20.0) - 6.86).abs() < 0.01);
        assert!((carbon_g_per_kg_day(v, 20.0) - 2.06).abs() < 0.01);
        assert!((heat_w_per_kg(v, 20.0) - 1.11).abs() < 0.01);
    }
}
