//! What worms meet where they sit: the kindest zone they can reach, not the
//! mean of the bin.

/// Conditions of one zone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Habitat {
    /// Temperature [°C].
    pub celsius: f64,
    /// Moisture [% of wet mass].
    pub moisture_percent: f64,
    /// Air-filled porosity [share of volume].
    pub air_filled: f64,
    /// pH.
    pub ph: f64,
    /// Total ammonia, as NH4OH [mg/g dry bedding]. What is free of it follows
    /// from pH and temperature.
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
    /// Quality of the food as the worms find it, κ [-]: 1 is usual.
    pub food_quality: f64,
    /// Days since the worms came to this bedding [d].
    pub settled_days: f64,
}

impl Habitat {
    /// A good place in plenty of room: 20 °C, 75 % moist, pH 7, fed.
    #[must_use]
    pub fn kind(litres: f64) -> Self {
        Self {
            celsius: 20.0,
            moisture_percent: 75.0,
            air_filled: 0.35,
            ph: 7.0,
            ammonia_mg_per_g: 0.0,
            ec_ms_per_cm: 1.0,
            sour_meq_per_kg: 0.0,
            food_supply: 1.0,
            litres,
            food_quality: 1.0,
            settled_days: 365.0,
        }
    }
}
