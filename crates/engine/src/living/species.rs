//! The species of composting worms and the vital numbers of each.
//!
//! All numbers stand in `data/species.csv` with range, source and how they
//! were read: rows of a species, and rows of `worms` that all share. Counts of
//! a whole year exist for *Eisenia fetida* and, with a poorer fit, for
//! *Dendrobaena veneta* (Podolak 2025); the two others borrow the crowding of
//! *E. fetida* and are to be trusted less.

use super::warmth;
use crate::table::{TableError, Tables};
use serde::{Deserialize, Serialize};

/// A species of composting worm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Species {
    /// *Eisenia fetida* and *Eisenia andrei*: red worms, tiger worms.
    EiseniaFetida,
    /// *Dendrobaena veneta*, also *Eisenia hortensis*: European nightcrawler.
    DendrobaenaVeneta,
    /// *Eudrilus eugeniae*: African nightcrawler.
    EudrilusEugeniae,
    /// *Perionyx excavatus*: Indian blue worm.
    PerionyxExcavatus,
}

impl Species {
    /// All species, the best known first.
    pub const ALL: [Self; 4] = [
        Self::EiseniaFetida,
        Self::DendrobaenaVeneta,
        Self::EudrilusEugeniae,
        Self::PerionyxExcavatus,
    ];

    /// Stable name, as in logs and tables.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::EiseniaFetida => "eisenia_fetida",
            Self::DendrobaenaVeneta => "dendrobaena_veneta",
            Self::EudrilusEugeniae => "eudrilus_eugeniae",
            Self::PerionyxExcavatus => "perionyx_excavatus",
        }
    }

    /// Name as shown.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::EiseniaFetida => "Eisenia fetida or andrei (red worm, tiger worm)",
            Self::DendrobaenaVeneta => "Dendrobaena veneta (European nightcrawler)",
            Self::EudrilusEugeniae => "Eudrilus eugeniae (African nightcrawler)",
            Self::PerionyxExcavatus => "Perionyx excavatus (Indian blue worm)",
        }
    }

    /// The species of that stable name; `eisenia_andrei` and
    /// `eisenia_hortensis` are taken for the species they are kept with.
    #[must_use]
    pub fn parse(name: &str) -> Option<Self> {
        match name {
            "eisenia_andrei" => Some(Self::EiseniaFetida),
            "eisenia_hortensis" => Some(Self::DendrobaenaVeneta),
            _ => Self::ALL.into_iter().find(|s| s.name() == name),
        }
    }
}

macro_rules! subject {
    (own, $species:expr) => {
        $species.name()
    };
    (all, $species:expr) => {
        "worms"
    };
}

macro_rules! drawn {
    (log, $range:expr, $rng:expr) => {
        $range.draw_log($rng)
    };
    (plain, $range:expr, $rng:expr) => {
        $range.draw($rng)
    };
    (fixed, $range:expr, $rng:expr) => {
        $range.value
    };
}

macro_rules! vital {
    ($($(#[$doc:meta])* $field:ident: $whose:ident, $draw:ident;)*) => {
        /// The numbers of one possible population of one species.
        #[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
        pub struct Vital {
            $($(#[$doc])* pub $field: f64,)*
            /// Growth by warmth at the reference temperature [0 to 1].
            pub grow_at_reference: f64,
            /// Laying by warmth at the reference temperature [0 to 1].
            pub breed_at_reference: f64,
            /// Days in the box over days of the degree-day law, at the
            /// reference temperature [-].
            pub incubation_factor: f64,
        }

        impl Vital {
            /// Every number with its name, in the order of the fields.
            #[must_use]
            pub fn list(&self) -> Vec<(&'static str, f64)> {
                vec![
                    $((stringify!($field), self.$field),)*
                    ("grow_at_reference", self.grow_at_reference),
                    ("breed_at_reference", self.breed_at_reference),
                    ("incubation_factor", self.incubation_factor),
                ]
            }
        }

        /// The numbers of one species, each with its range.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct VitalRanges {
            $($(#[$doc])* pub $field: Ranged,)*
        }

        impl VitalRanges {
            /// The numbers of `species` from the tables.
            ///
            /// # Errors
            /// [`TableError`] when a number is missing.
            pub fn of(tables: &Tables, species: Species) -> Result<Self, TableError> {
                let of = |subject: &str, property: &str| {
                    Ranged::of(tables, "species", subject, property)
                };
                Ok(Self {
                    $($field: of(subject!($whose, species), stringify!($field))?,)*
                })
            }

            /// The most likely numbers.
            #[must_use]
            pub fn usual(&self) -> Vital {
                Vital {
                    $($field: self.$field.value,)*
                    grow_at_reference: 1.0,
                    breed_at_reference: 1.0,
                    incubation_factor: 1.0,
                }
                .settled()
            }

            /// One possible set of numbers: positive ones lognormal, those on a
            /// scale with a floating zero (temperature, moisture, pH) plain.
            /// The same seed draws the same.
            pub fn draw(&self, rng: &mut dyn Chance) -> Vital {
                Vital {
                    $($field: drawn!($draw, self.$field, rng),)*
                    grow_at_reference: 1.0,
                    breed_at_reference: 1.0,
                    incubation_factor: 1.0,
                }
                .settled()
            }
        }
    };
}

mod vital;
pub use vital::{Vital, VitalRanges};

impl Vital {
    /// The most likely numbers of `species`.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn of(tables: &Tables, species: Species) -> Result<Self, TableError> {
        Ok(VitalRanges::of(tables, species)?.usual())
    }

    /// Young per cocoon laid, uncrowded, those that do not hatch counted in [-].
    #[must_use]
    pub fn hatchlings(&self) -> f64 {
        self.young_per_adult_day / self.laying_per_adult_day.max(1e-9)
    }

    /// Keeps drawn numbers in the order they must have, by guards that no likely
    /// number meets, and works out what follows from them.
    fn settled(mut self) -> Self {
        self.growth_fall_celsius = self.growth_fall_celsius.max(self.growth_reference_celsius);
        self.growth_high_celsius = self.growth_high_celsius.max(self.growth_fall_celsius + 1.0);
        let feed_top = self.feeding_plateau_celsius + 1.0;
        self.feeding_high_celsius = self.feeding_high_celsius.max(feed_top);
        let best = self.breeding_best_celsius;
        self.breeding_best_celsius = best.max(self.breeding_low_celsius + 5.0);
        let hottest = self.breeding_high_celsius;
        self.breeding_high_celsius = hottest.max(self.breeding_best_celsius + 2.0);
        self.ph_full_low = self.ph_full_low.clamp(self.ph_low + 0.5, 7.0);
        self.ph_full_high = self.ph_full_high.clamp(7.2, self.ph_high - 0.5);
        self.air_full = self.air_full.max(self.air_low + 0.05);
        self.wandering = self.wandering.clamp(0.0, 1.0);
        self.freeze_half_kelvin = self.freeze_half_kelvin.max(0.1);
        self.alkaline_urge_under_ph = self.alkaline_urge_under_ph.max(0.3);
        self.wall_most_share = self.wall_most_share.clamp(0.0, 0.95);
        self.wall_urge_from = self.wall_urge_from.clamp(0.0, 0.5);
        self.wall_urge_full = self.wall_urge_full.clamp(0.6, 1.0);
        self.wall_ammonia_share = self.wall_ammonia_share.min(1.0);
        self.dry_share = self.dry_share.clamp(0.05, 0.4);
        let keeps = self.maintenance_most_share * self.appetite_g_per_g_day;
        self.maintenance_g_per_g_day = self.maintenance_g_per_g_day.min(keeps);
        let reference = self.reference_celsius;
        self.grow_at_reference = warmth::growth(&self, reference).max(1e-3);
        self.breed_at_reference = warmth::breeding(&self, reference).max(1e-3);
        let by_law = 1.0 / warmth::development_per_day_by_law(&self, reference).max(1e-6);
        self.incubation_factor = self.incubation_days / by_law;
        self
    }
}

#[cfg(test)]
mod tests;
