//! Water of the bed: what evaporates, what drains, what stands.

/// Vapour in saturated air [kg/m³] at a temperature [°C], by Magnus' formula
/// for water (WMO form), −20 to 60 °C.
#[must_use]
pub fn saturated(celsius: f64) -> f64 {
    let pascal = 611.2 * (17.62 * celsius / (243.12 + celsius)).exp();
    pascal / (461.5 * (celsius + 273.15))
}

/// How steeply saturated vapour rises, as a share of itself [1/K].
#[must_use]
pub fn steepness(celsius: f64) -> f64 {
    17.62 * 243.12 / (243.12 + celsius).powi(2) - 1.0 / (celsius + 273.15)
}

/// Vapour leaving a surface [kg/d]:
/// `A (ρ_bed a_w − ρ_air) / (1/h + R)`, never into the bed.
#[must_use]
pub fn evaporation(
    area_m2: f64,
    bed_kg_m3: f64,
    air_kg_m3: f64,
    surface_m_per_s: f64,
    resistance_s_per_m: f64,
) -> f64 {
    let gap = (bed_kg_m3 - air_kg_m3).max(0.0);
    86_400.0 * area_m2 * gap / (1.0 / surface_m_per_s + resistance_s_per_m)
}

/// How freely bedding gives its water to the air [0 to 1]: 1 where it is moist,
/// falling below `bound` [% of wet mass] as it holds it back.
#[must_use]
pub fn activity(moisture_percent: f64, bound: f64) -> f64 {
    (moisture_percent / bound).clamp(0.0, 1.0).powi(2)
}

/// Vapour over bedding against that over water [0 to 1], `1 − e^(−m/m₀)`: half
/// at 8 % of wet mass where m₀ is 11.5, as paper and wood hold in air of half
/// humidity (textbook sorption curves, from memory).
#[must_use]
pub fn sorbed(moisture_percent: f64, sorption_percent: f64) -> f64 {
    -(-moisture_percent / sorption_percent).exp_m1()
}

/// Water that goes out of the bottom in a time [kg]: what is above holding
/// drains with an e-fold of `days`.
#[must_use]
pub fn drained(free_kg: f64, drain_days: f64, days: f64) -> f64 {
    free_kg.max(0.0) * -(-days / drain_days).exp_m1()
}

/// Moisture [% of wet mass].
#[must_use]
pub fn moisture(water_kg: f64, dry_kg: f64) -> f64 {
    100.0 * water_kg / (water_kg + dry_kg).max(1e-12)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn open_bedding_loses_a_kilogram_and_a_half_a_day() {
        // worked: 1 m² at 20 °C in half-wet air.
        let kg = evaporation(1.0, saturated(20.0), 0.5 * saturated(20.0), 0.002, 0.0);
        assert!((1.4..1.6).contains(&kg), "{kg}");
        let lid = evaporation(1.0, saturated(20.0), 0.5 * saturated(20.0), 0.002, 10_000.0);
        assert!((0.04..0.15).contains(&lid), "{lid}");
    }

    #[test]
    fn saturated_air_at_20_holds_17_grams() {
        // CRC Handbook: 17.3 g/m³ (from memory).
        assert!((saturated(20.0) * 1000.0 - 17.3).abs() < 0.1);
        let rise = (saturated(20.01) - saturated(19.99)) / 0.02;
        assert!((steepness(20.0) - rise / saturated(20.0)).abs() < 1e-6);
    }

    #[test]
    fn dry_bedding_keeps_its_water_and_wet_bedding_drains() {
        assert!((activity(70.0, 50.0) - 1.0).abs() < 1e-12);
        assert!(activity(20.0, 50.0) < 0.2);
        assert!((sorbed(8.0, 11.5) - 0.5).abs() < 0.01 && sorbed(60.0, 11.5) > 0.99);
        assert!((drained(2.0, 0.3, 3.0) - 2.0).abs() < 1e-3);
        assert!(drained(-1.0, 0.3, 3.0).abs() < 1e-12);
    }
}
