//! Air in the bed: how much of it there is, and whether enough comes in.

use crate::bed::risk::Solids;

/// Volume of solids and water together [L].
#[must_use]
pub fn filled_litres(s: &Solids, organic_kg: f64, mineral_kg: f64, water_kg: f64) -> f64 {
    let kg_l = |kg_m3: f64| kg_m3 / 1000.0;
    organic_kg / kg_l(s.organic) + mineral_kg / kg_l(s.mineral) + water_kg
}

/// No porosity is counted as more: a guard, for next to nothing in a bin.
const MOST_AIR: f64 = 0.95;

/// Air-filled porosity [share of volume].
#[must_use]
pub fn air_filled(filled_litres: f64, litres: f64) -> f64 {
    (1.0 - filled_litres / litres.max(1e-9)).clamp(0.0, MOST_AIR)
}

/// A bed in which liquid stands: it fills the lowest pores, not all of them a
/// little, and what lies above is as airy as a drained bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// Share of the bed under liquid [0 to 1].
    pub flooded: f64,
    /// Air-filled porosity above it [share of volume].
    pub above: f64,
}

/// Of a bed of `litres` when drained with `solids_litres`, that holds `held_kg`
/// of water and has `free_kg` more: pores A are left when drained, `free / A` of the bed is
/// flooded, and A over its volume is air above that.
#[must_use]
pub fn standing(litres: f64, solids_litres: f64, held_kg: f64, free_kg: f64) -> Standing {
    let pores = (litres - solids_litres - held_kg).max(1e-9);
    Standing {
        flooded: (free_kg / pores).clamp(0.0, 1.0),
        above: (pores / litres.max(1e-9)).clamp(0.0, MOST_AIR),
    }
}

/// What lets air into a bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Draught {
    /// Open surface [m²].
    pub area_m2: f64,
    /// Air-filled porosity [share of volume].
    pub air_filled: f64,
    /// How far air must seep [m].
    pub path_m: f64,
    /// Oxygen in air [kg/m³].
    pub oxygen_kg_m3: f64,
    /// Share of it the lid lets through [0 to 1].
    pub lid: f64,
}

/// Oxygen that can seep in [kg/d]: `D a^1.5 c A / L` (Marshall 1959 for how
/// pores slow it), times the share the lid lets through.
#[must_use]
pub fn seeping(d: &Draught, diffusion_m2_day: f64) -> f64 {
    let through = d.air_filled * d.air_filled.sqrt() / d.path_m;
    d.area_m2 * diffusion_m2_day * through * d.oxygen_kg_m3 * d.lid
}

/// Oxygen that a warm bed draws in as a chimney does [kg/d]:
/// `A c v (a/a₀)³ (T − T_air)`, v the speed per kelvin at an air-filled porosity
/// of a₀ [m/d/K]. Darcy's law with the lift of warm air, 0.04 Pa/m/K,
/// and a permeability that goes with the third power of the pores.
#[must_use]
pub fn drawn(d: &Draught, (m_per_day_kelvin, at): (f64, f64), warmer_kelvin: f64) -> f64 {
    let pores = d.air_filled / at;
    let speed = m_per_day_kelvin * pores * pores * pores * warmer_kelvin.max(0.0);
    d.area_m2 * d.oxygen_kg_m3 * speed * d.lid
}

/// Share of the bed's top that a pocket of food covers [0 to 1].
#[must_use]
pub fn covered(pocket_litres: f64, floor_m2: f64, thick_m: f64) -> f64 {
    (pocket_litres / 1000.0 / (floor_m2 * thick_m).max(1e-9)).min(1.0)
}

/// Airless share of a bed [0 to 1] of which food covers a part: under food
/// without air there is none.
#[must_use]
pub fn under_food(airless_bed: f64, covered: f64, airless_food: f64) -> f64 {
    1.0 - (1.0 - airless_bed) * (1.0 - covered * airless_food)
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

    fn tote(air_filled: f64) -> Draught {
        Draught {
            area_m2: 0.24,
            air_filled,
            path_m: 0.08,
            oxygen_kg_m3: 0.28,
            lid: 1.0,
        }
    }

    #[test]
    fn wet_bedding_has_little_air_and_little_comes_in() {
        let open = seeping(&tote(0.3), 1.55);
        let wet = seeping(&tote(0.05), 1.55);
        assert!((0.15..0.3).contains(&open), "{open}");
        assert!(wet < open / 10.0);
        assert!(airless(wet, 0.1) > 0.9 && airless(open, 0.02) < 0.01);
    }

    /// worked: a permeability of 2e-9 m² at 0.3 of air, lift 0.04 Pa/m/K over
    /// the viscosity of air 1.8e-5 Pa s is 4.4e-6 m/s/K, 0.38 m/d/K; ten kelvin
    /// over 0.24 m² draw in 0.26 kg of oxygen a day.
    #[test]
    fn a_warm_bed_draws_air() {
        let kg = drawn(&tote(0.3), (2e-9 * 0.04 / 1.8e-5 * 86_400.0, 0.3), 10.0);
        assert!((kg - 0.26).abs() < 0.01, "{kg}");
        assert!(drawn(&tote(0.3), (0.4, 0.3), -5.0).abs() < 1e-12);
    }

    #[test]
    fn a_layer_of_airless_food_stifles_what_lies_under_it() {
        assert!((covered(12.0, 0.24, 0.1) - 0.5).abs() < 1e-12);
        assert!((under_food(0.0, 0.5, 1.0) - 0.5).abs() < 1e-12);
        assert!((under_food(0.2, 0.5, 0.0) - 0.2).abs() < 1e-12);
    }

    /// 20 L of bed with 3 L of solids that holds 13 kg has 4 L of pores; a
    /// kilogram that stands in it floods a quarter, and above are 20 % of air.
    #[test]
    fn liquid_stands_at_the_bottom() {
        let some = standing(20.0, 3.0, 13.0, 1.0);
        assert!((some.flooded - 0.25).abs() < 1e-12 && (some.above - 0.2).abs() < 1e-12);
        let none = standing(20.0, 3.0, 10.0, 0.0);
        assert!(none.flooded.abs() < 1e-12 && (none.above - 0.35).abs() < 1e-12);
        assert!((standing(20.0, 3.0, 13.0, 9.0).flooded - 1.0).abs() < 1e-12);
    }

    #[test]
    fn nothing_rotting_needs_no_air() {
        assert!(airless(0.0, 0.0).abs() < 1e-12);
    }
}
