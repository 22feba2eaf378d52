//! Warmth by the species kept: where its worms like it best, and where they
//! are warned of heat and cold.
//!
//! ```text
//! too hot    = temperature at which 2 % die a day, less a margin
//! too cold   = temperature below which cold kills, and a margin
//! hardly eat = temperature below which nothing is eaten, and a margin
//! ```
//!
//! The temperatures are each species' own (`species.csv`), the margins those
//! that give the published limits of red worms, 4 to 30 °C (Earthworm Ecology
//! 2004). For the two tropical species nobody published such limits.

use crate::living::species::Species;
use crate::table::{TableError, Tables};

/// Best warmth for worms: inside, no zone is kinder than another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kindest {
    /// From [°C].
    pub from: f64,
    /// To [°C].
    pub to: f64,
}

impl Kindest {
    /// Of a species.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn of(tables: &Tables, species: Species) -> Result<Self, TableError> {
        let v = |property| tables.value("weather", species.name(), property);
        Ok(Self {
            from: v("kindest_low_celsius")?,
            to: v("kindest_high_celsius")?,
        })
    }

    /// How far a temperature lies outside [K].
    #[must_use]
    pub fn outside(&self, celsius: f64) -> f64 {
        (self.from - celsius).max(celsius - self.to).max(0.0)
    }
}

/// Where the worms of a species are warned of heat and cold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comfort {
    /// Too hot above, in the kindest zone [°C].
    pub hot_celsius: f64,
    /// Too cold below, in the kindest zone [°C].
    pub cold_celsius: f64,
    /// Hardly anything is eaten below [°C].
    pub hardly_eats_celsius: f64,
    /// What a heater keeps: worms idle safely [°C].
    pub heater_celsius: f64,
}

impl Comfort {
    /// Of a species.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn of(tables: &Tables, species: Species) -> Result<Self, TableError> {
        let own = |property| tables.value("species", species.name(), property);
        let alarm = |property| tables.value("living", "alarm", property);
        let eats = own("feeding_low_celsius")?;
        Ok(Self {
            hot_celsius: own("heat_death_celsius")? - alarm("hot_under_death_kelvin")?,
            cold_celsius: own("cold_death_celsius")? + alarm("cold_over_death_kelvin")?,
            hardly_eats_celsius: eats
                + tables.value("ration", "cold", "over_feeding_low_kelvin")?,
            heater_celsius: eats + tables.value("weather", "heater", "over_feeding_low_kelvin")?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn comfort(species: Species) -> Comfort {
        Comfort::of(&Tables::load().unwrap(), species).unwrap()
    }

    /// Earthworm Ecology 2004, Table 18.3: 4 to 30 °C; warned a little later in
    /// the cold, since red worms are only slow at 4.
    #[test]
    fn red_worms_are_warned_as_published() {
        let c = comfort(Species::EiseniaFetida);
        assert!((c.hot_celsius - 30.0).abs() < 1e-9);
        assert!((c.cold_celsius - 1.0).abs() < 1e-9);
        assert!((c.hardly_eats_celsius - 6.0).abs() < 1e-9);
        assert!((c.heater_celsius - 10.0).abs() < 1e-9);
    }

    #[test]
    fn worms_of_warm_countries_are_warned_well_above_freezing() {
        for s in [Species::EudrilusEugeniae, Species::PerionyxExcavatus] {
            let c = comfort(s);
            assert!(c.cold_celsius > 7.0, "{s:?} {c:?}");
            assert!(c.heater_celsius > c.cold_celsius + 3.0, "{s:?} {c:?}");
        }
    }

    #[test]
    fn every_species_is_warned_before_it_dies_and_likes_what_lies_between() {
        let tables = Tables::load().unwrap();
        for s in Species::ALL {
            let (c, k) = (comfort(s), Kindest::of(&tables, s).unwrap());
            let own = |p| tables.value("species", s.name(), p).unwrap();
            assert!(own("cold_death_celsius") < c.cold_celsius, "{s:?}");
            assert!(c.hot_celsius < own("heat_death_celsius"), "{s:?}");
            assert!(c.cold_celsius < k.from && k.from < k.to, "{s:?}");
            assert!(k.to < c.hot_celsius, "{s:?}");
            assert!(k.outside(k.from).abs() < 1e-12);
            assert!((k.outside(k.to + 2.0) - 2.0).abs() < 1e-12);
        }
    }
}
