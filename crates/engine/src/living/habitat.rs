//! What worms meet where they sit: the kindest zone they can reach, not the
//! mean of the bin.

use super::species::Vital;

/// Conditions of one zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Habitat {
    /// Temperature [°C].
    pub celsius: f64,
    /// Moisture [% of wet mass].
    pub moisture_percent: f64,
    /// Air-filled porosity [share of volume].
    pub air_filled: f64,
    /// Share of the decay that finds no oxygen [0 to 1].
    pub airless: f64,
    /// pH of the water in place, see [`crate::living::in_place`].
    pub ph: f64,
    /// Total ammonia, as NH4OH, as strong in the water as so much in soil
    /// [mg/g soil], see [`as_in_soil`]. What is free of it follows from pH and
    /// temperature.
    pub ammonia_mg_per_g: f64,
    /// Salt, as electrical conductivity of a 1:5 extract [mS/cm].
    pub ec_ms_per_cm: f64,
    /// Volatile fatty acids and the like [meq/kg dry bedding].
    pub sour_meq_per_kg: f64,
    /// Edible dry matter within reach over what the worms would eat in full
    /// appetite, per day [-]: 1 and above is plenty.
    pub food_supply: f64,
    /// Wetted bedding in which the worms live [L].
    pub litres: f64,
    /// Surface they work [m²]; where it is not known it follows from the volume
    /// at the usual depth of a box.
    pub floor_m2: Option<f64>,
    /// Nitrogen of what they eat [share of its dry mass].
    pub food_nitrogen: f64,
    /// Quality of the food as the worms find it, κ [-]: 1 is usual.
    pub food_quality: f64,
    /// Days since the worms came to this bedding [d].
    pub settled_days: f64,
    /// How wet walls and lid above the bedding are, where worms find refuge
    /// [0 to 1]; nothing in an open bin.
    pub film: f64,
    /// Share of the bedding's want of oxygen that is met there [0 to 1].
    pub film_stale: f64,
}

/// Stands for long ago: days after which nothing is new any more [d].
pub(super) const AT_HOME_DAYS: f64 = 365.0;

/// Molar mass of ammonium hydroxide [g/mol].
const NH4OH: f64 = 35.05;

/// Ammonia of a bed as NH4OH in the soil of a trial [mg/g soil]: `n M V / W`, n
/// ammonia [mol] in W of water [kg], M its mass, V the water of a soil
/// `soil_l_per_kg`.
///
/// A worm meets what its water holds, and a bedding holds nine times the water
/// of a soil. Read so, the avoidance of 0.05 mg/g in soil (Zeguerrou et al. 2019)
/// is 0.4 mg per g of dry bedding and the deaths at 0.85 are 7, on either side of
/// the 0.5 mg/g of wet waste (some 2.5 of dry) that is to be kept below
/// (Earthworm Ecology 2004, Table 18.3).
#[must_use]
pub fn as_in_soil(ammonia_mol: f64, water_kg: f64, soil_l_per_kg: f64) -> f64 {
    ammonia_mol * NH4OH / water_kg.max(1e-9) * soil_l_per_kg
}

/// Least surface counted, so that none divides by nothing [m²].
const LEAST_M2: f64 = 1e-4;

impl Habitat {
    /// Surface the worms work [m²].
    #[must_use]
    pub fn worked_m2(&self, v: &Vital) -> f64 {
        let by_depth = self.litres / 1000.0 / v.box_depth_m;
        self.floor_m2.unwrap_or(by_depth).max(LEAST_M2)
    }

    /// A good place in plenty of room, to start trials from: 20 °C, 75 % moist,
    /// pH 7, fed. No possible bin is made of it.
    #[must_use]
    pub fn kind(litres: f64) -> Self {
        Self {
            celsius: 20.0,
            moisture_percent: 75.0,
            air_filled: 0.35,
            airless: 0.0,
            ph: 7.0,
            ammonia_mg_per_g: 0.0,
            ec_ms_per_cm: 1.0,
            sour_meq_per_kg: 0.0,
            food_supply: 1.0,
            food_nitrogen: 0.02,
            litres,
            floor_m2: None,
            food_quality: 1.0,
            settled_days: AT_HOME_DAYS,
            film: 0.0,
            film_stale: 1.0,
        }
    }

    /// Water of the bedding [kg/kg dry].
    #[must_use]
    pub fn water_per_dry(&self) -> f64 {
        // A guard: drier or wetter is no bedding.
        let share = (self.moisture_percent / 100.0).clamp(0.1, 0.97);
        share / (1.0 - share)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1 g of ammonium nitrogen in a kilogram of dry bedding with 3 kg of water
    /// is 0.0714 mol, 2.50 g as NH4OH, 0.834 g/L; in a soil of 0.35 L/kg that is
    /// 0.292 mg/g.
    #[test]
    fn ammonia_is_as_strong_as_its_water() {
        let soil = as_in_soil(1.0 / 14.007, 3.0, 0.35);
        assert!((soil - 0.292).abs() < 1e-3, "{soil}");
    }
}
