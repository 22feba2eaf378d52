//! Air in the bed: how much of it there is, and whether enough comes in.

/// Density of organic matter without pores [kg/L] (EN 13041-type, from memory).
const ORGANIC_KG_L: f64 = 1.55;
/// Density of mineral matter without pores [kg/L] (same).
const MINERAL_KG_L: f64 = 2.65;

/// Volume of solids and water together [L].
#[must_use]
pub fn filled_litres(organic_kg: f64, mineral_kg: f64, water_kg: f64) -> f64 {
    organic_kg / ORGANIC_KG_L + mineral_kg / MINERAL_KG_L + water_kg
}

/// Air-filled porosity [share of volume].
#[must_use]
pub fn air_filled(filled_litres: f64, litres: f64) -> f64 {
    (1.0 - filled_litres / litres.max(1e-9)).clamp(0.0, 0.95)
}

/// Volume of a drained bed [L]: solids and the water it holds, with the share
/// of air that a bed keeps once it has drained: `(solids + held) / (1 − a)`.
#[must_use]
pub fn swollen(solids_litres: f64, held_kg: f64, drained_air: f64) -> f64 {
    (solids_litres + held_kg) / (1.0 - drained_air)
}

/// Oxygen that can seep in [kg/d]: `D a^1.5 c A / L` (Marshall 1959 for how
/// pores slow it), times the share the lid lets through.
#[must_use]
pub fn supply(
    area_m2: f64,
    air_filled: f64,
    path_m: f64,
    diffusion_m2_day: f64,
    oxygen_kg_m3: f64,
    lid: f64,
) -> f64 {
    area_m2 * diffusion_m2_day * air_filled * air_filled.sqrt() * oxygen_kg_m3 / path_m * lid
}

/// Share of the demand that finds no air [0 to 1], `1 / (1 + (supply/demand)²)`:
/// a hundredth where ten times as much comes in as is used, half where they
/// are equal.
#[must_use]
pub fn airless(supply: f64, demand: f64) -> f64 {
    if demand <= 0.0 {
        return 0.0;
    }
    let ratio = supply / demand;
    1.0 / (1.0 + ratio * ratio)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wet_bedding_has_little_air_and_little_comes_in() {
        let open = supply(0.24, 0.3, 0.08, 1.55, 0.28, 1.0);
        let wet = supply(0.24, 0.05, 0.08, 1.55, 0.28, 1.0);
        assert!((0.15..0.3).contains(&open), "{open}");
        assert!(wet < open / 10.0);
        assert!(airless(wet, 0.1) > 0.9 && airless(open, 0.02) < 0.01);
    }

    #[test]
    fn nothing_rotting_needs_no_air() {
        assert!(airless(0.0, 0.0).abs() < 1e-12);
    }
}
