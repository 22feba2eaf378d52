//! The species of composting worms and the vital numbers of each.
//!
//! All numbers stand in `data/species.csv` with range, source and how they
//! were read: rows of a species, and rows of `worms` that all share. Counts of
//! a whole year exist for *Eisenia fetida* and, with a poorer fit, for
//! *Dendrobaena veneta* (Podolak 2025); the two others borrow the crowding of
//! *E. fetida* and are to be trusted less.

use super::warmth;
use crate::bed::product::Ranged;
use crate::table::{TableError, Tables};
use rand_chacha::ChaCha8Rng;

/// A species of composting worm.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
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
        #[derive(Debug, Clone, Copy, PartialEq)]
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
            pub fn draw(&self, rng: &mut ChaCha8Rng) -> Vital {
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

vital! {
    /// Temperature at which the rates of the stage model hold [°C].
    reference_celsius: own, fixed;
    /// Cocoons laid per adult and day, uncrowded, at the reference [1/d].
    laying_per_adult_day: own, log;
    /// Young per adult and day: laying times young per cocoon [1/d].
    young_per_adult_day: own, log;
    /// Share of the cocoons that sorting by hand finds [0 to 1].
    cocoons_found_by_hand: own, fixed;
    /// Laying to hatching at the reference [d].
    incubation_days: own, log;
    /// Degree-days from laying to hatching [°C d].
    incubation_degree_days: own, fixed;
    /// Temperature over which degree-days are counted [°C].
    incubation_base_celsius: own, fixed;
    /// Shortest incubation however warm, by the degree-day law [d].
    incubation_floor_days: own, fixed;
    /// Hatching to premature, uncrowded, at the reference [d].
    growing_up_days: own, log;
    /// Premature to clitellate, uncrowded, at the reference [d].
    ripening_days: own, log;
    /// Mass of an adult in plenty of room, on food of quality 1 [g].
    adult_g: own, log;
    /// Mass of an adult that lays in full [g].
    laying_g: own, fixed;
    /// Biomass at which growing and maturing are halved [kg/m²].
    crowd_half_kg_m2: own, log;
    /// Power of that crowding [-].
    crowd_power: own, log;
    /// Biomass at which half the young survive hatching [kg/m²].
    hatch_half_kg_m2: own, log;
    /// Power of that [-].
    hatch_power: own, log;
    /// Biomass at which worms are (1 + 1)^-0.4 of their full mass [kg/m²].
    size_half_kg_m2: own, log;
    /// Days after a move before laying begins [d].
    lag_days: own, log;
    /// Growth per degree below 25 °C, on the log scale [1/K].
    growth_slope_per_k: own, log;
    /// Temperature below which nothing grows [°C].
    growth_low_celsius: own, fixed;
    /// Temperature above which growth falls [°C].
    growth_fall_celsius: own, plain;
    /// Temperature above which nothing grows [°C].
    growth_high_celsius: own, plain;
    /// Coldest at which cocoons are laid [°C].
    breeding_low_celsius: own, fixed;
    /// Best for laying [°C].
    breeding_best_celsius: own, plain;
    /// Hottest at which cocoons are laid [°C].
    breeding_high_celsius: own, plain;
    /// Temperature below which nothing is eaten [°C].
    feeding_low_celsius: own, fixed;
    /// Temperature above which nothing is eaten [°C].
    feeding_high_celsius: own, plain;
    /// Moisture at which growth is halved [% of wet mass].
    moisture_half_percent: own, plain;
    /// Steepness of that [% of wet mass].
    moisture_slope_percent: own, log;
    /// Temperature at which `heat_death_per_day` die [°C].
    heat_death_celsius: own, plain;
    /// Temperature below which cold kills [°C].
    cold_death_celsius: own, plain;
    /// Von Bertalanffy rate at 25 °C [1/d].
    growth_rate_per_day: own, log;
    /// Greatest mass of a worm alone on good food [g].
    solo_g: own, log;
    /// Mass at hatching [g].
    hatch_g: own, log;
    /// Mass at which worms mature [g].
    mature_g: own, log;
    /// Mass of a cocoon [mg].
    cocoon_mg: own, log;
    /// Dry share of a worm's mass [-].
    dry_share: own, plain;
    /// Power of mass against crowding [-].
    size_power: all, fixed;
    /// Power of the crowding of maturing by which young grow slower [-].
    growth_crowd_power: all, fixed;
    /// Depth of a bed of which only the volume is known [m].
    box_depth_m: all, fixed;
    /// Food quality on which a worm alone reaches `solo_g` [-].
    solo_quality: all, fixed;
    /// Mass of the first fourth of the young, E. fetida [g].
    young_1_g: all, fixed;
    /// Mass of the second fourth of the young [g].
    young_2_g: all, fixed;
    /// Mass of the third fourth of the young [g].
    young_3_g: all, fixed;
    /// Mass of the last fourth of the young [g].
    young_4_g: all, fixed;
    /// Mass of premature worms [g].
    premature_g: all, fixed;
    /// Least mass of adults [g].
    adult_floor_g: all, fixed;
    /// Least share of full mass crowded young come down to [-].
    young_size_floor: all, fixed;
    /// Least share of full mass crowded premature worms come down to [-].
    premature_size_floor: all, fixed;
    /// Eating per 10 K [-].
    feeding_q10: all, log;
    /// Temperature up to which eating stays full [°C].
    feeding_plateau_celsius: all, fixed;
    /// Dry food eaten in full appetite at 25 °C [g DM/g fresh worm/d].
    appetite_g_per_g_day: all, log;
    /// Dry food that keeps a worm's mass at 25 °C [g DM/g fresh worm/d].
    maintenance_g_per_g_day: all, log;
    /// Share of the nitrogen eaten that worms take up [0 to 1].
    nitrogen_taken_share: all, plain;
    /// Nitrogen that keeps a worm's mass at 25 °C [mg N/g fresh worm/d].
    nitrogen_kept_mg_per_g_day: all, log;
    /// Mass lost per day without food at 25 °C [1/d].
    shrink_per_day: all, log;
    /// Deaths in good conditions [1/d].
    death_per_day: all, log;
    /// Deaths by heat at `heat_death_celsius` [1/d].
    heat_death_per_day: all, log;
    /// Rise of that per degree, on the log scale [1/K].
    heat_death_slope_per_k: all, log;
    /// Deaths per degree below freezing [1/K/d].
    freeze_death_per_k_day: all, log;
    /// Deaths per degree below `cold_death_celsius` [1/K/d].
    chill_death_per_k_day: all, log;
    /// Deaths below 50 % moisture [1/d].
    dry_death_50_per_day: all, log;
    /// More deaths below 40 % moisture [1/d].
    dry_death_40_per_day: all, log;
    /// Deaths in bedding without air pores [1/d].
    airless_death_per_day: all, log;
    /// Deaths at the ends of the pH range [1/d].
    ph_death_per_day: all, log;
    /// Rise of that per pH beyond, on the log scale [1/pH].
    ph_death_slope_per_ph: all, log;
    /// Undissociated acids at which half the harm of a low pH is felt [meq/kg].
    sour_half_meq_per_kg: all, log;
    /// Share of the harm of a low pH without free acids [-].
    sour_floor: all, log;
    /// How much lower a pH is stood without free acids [pH].
    peat_shift_ph: all, plain;
    /// pH below which worms do nothing [pH].
    ph_low: all, fixed;
    /// pH from which on they do all [pH].
    ph_full_low: all, plain;
    /// pH up to which they do all [pH].
    ph_full_high: all, plain;
    /// pH above which worms do nothing [pH].
    ph_high: all, fixed;
    /// Water of the soils in which doses were given [L/kg].
    soil_water_l_per_kg: all, fixed;
    /// NH4OH at which half die in 28 days [mg/g].
    ammonia_death_mg_per_g: all, log;
    /// Power of that [-].
    ammonia_death_power: all, log;
    /// NH4OH at which half the young come [mg/g].
    ammonia_breeding_mg_per_g: all, log;
    /// NH4OH that half the worms avoid [mg/g].
    ammonia_avoid_mg_per_g: all, log;
    /// NH4OH at which half the worms would leave for no better place [mg/g].
    ammonia_leave_mg_per_g: all, log;
    /// Power of both [-].
    ammonia_avoid_power: all, log;
    /// NaCl in soil at which half die in 28 days [mg/kg].
    salt_death_mg_per_kg: all, fixed;
    /// NaCl in soil that half the worms avoid [mg/kg].
    salt_avoid_mg_per_kg: all, fixed;
    /// Power of avoiding salt [-].
    salt_avoid_power: all, log;
    /// Conductivity, 1:5, up to which salt does nothing [mS/cm].
    salt_ok_ms_per_cm: all, log;
    /// Salt that halves growth over salt that kills half in 28 days [-].
    salt_growth_over_death: all, fixed;
    /// Conductivity, 1:5, at which they lay half as much [mS/cm].
    salt_breeding_ms_per_cm: all, log;
    /// Power of that [-].
    salt_breeding_power: all, fixed;
    /// Conductivity, 1:5, at which half die in 28 days [mS/cm].
    salt_death_ms_per_cm: all, log;
    /// Power of deaths by salt [-].
    salt_death_power: all, log;
    /// Conductivity over the harmless one that half the worms avoid [mS/cm].
    salt_avoid_over_ok_ms_per_cm: all, log;
    /// Undissociated acids that half the worms avoid [meq/kg].
    sour_avoid_meq_per_kg: all, log;
    /// Moisture at which wetness halves growth [% of wet mass].
    wet_half_percent: all, plain;
    /// Steepness of that [% of wet mass].
    wet_slope_percent: all, fixed;
    /// Share of decay without oxygen from which on worms do less [0 to 1].
    airless_from: all, plain;
    /// Air-filled porosity at which worms do nothing [-].
    air_low: all, fixed;
    /// Air-filled porosity from which on they do all [-].
    air_full: all, plain;
    /// Share leaving per day when all want to and can [1/d].
    leaving_per_day: all, log;
    /// Urge to wander in the first night of a new bin [-].
    wandering: all, plain;
    /// Time in which that wears off [d].
    wandering_days: all, log;
    /// Oxygen used at 20 °C [µL/g/h].
    oxygen_ul_per_g_hour: all, log;
    /// Respiration per 10 K [-].
    respiration_q10: all, log;
    /// Carbon dioxide given off per oxygen used [mol/mol].
    respiratory_quotient: all, fixed;
    /// Heat per oxygen used [kJ/g].
    heat_kj_per_g_oxygen: all, fixed;
    /// Worms per kg fresh substrate from which on they hinder each other [1/kg].
    density_solo_worms_per_kg: all, fixed;
    /// Power of greatest mass against density, manure and paper [-].
    density_power: all, log;
    /// The same on very rich food [-].
    density_power_rich: all, fixed;
}

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

    /// Keeps drawn numbers in the order they must have and works out what
    /// follows from them.
    fn settled(mut self) -> Self {
        self.growth_fall_celsius = self.growth_fall_celsius.max(25.0);
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
        self.peat_shift_ph = self.peat_shift_ph.max(0.0);
        self.dry_share = self.dry_share.clamp(0.05, 0.4);
        let reference = self.reference_celsius;
        self.grow_at_reference = warmth::growth(&self, reference).max(1e-3);
        self.breed_at_reference = warmth::breeding(&self, reference).max(1e-3);
        let by_law = 1.0 / warmth::development_per_day_by_law(&self, reference).max(1e-6);
        self.incubation_factor = self.incubation_days / by_law;
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::SeedableRng;

    #[test]
    fn names_are_read_back() {
        for s in Species::ALL {
            assert_eq!(Species::parse(s.name()), Some(s));
        }
        assert_eq!(
            Species::parse("eisenia_andrei"),
            Some(Species::EiseniaFetida)
        );
        assert_eq!(Species::parse("lumbricus"), None);
    }

    #[test]
    fn the_tables_hold_every_species_whole() {
        let tables = Tables::load().unwrap();
        for s in Species::ALL {
            let v = Vital::of(&tables, s).unwrap();
            assert!(v.hatchlings() > 0.3 && v.hatchlings() < 5.0, "{s:?}");
            assert!(v.adult_g > v.premature_g * v.adult_g / 0.715);
        }
        let v = Vital::of(&tables, Species::EiseniaFetida).unwrap();
        assert!((v.hatchlings() - 2.625).abs() < 0.01);
        // 38.8 g in 8 L, 15 cm deep.
        let floor = 0.008 / v.box_depth_m;
        assert!((v.crowd_half_kg_m2 * 1000.0 * floor - 38.8).abs() < 1e-9);
    }

    #[test]
    fn draws_repeat_and_spread() {
        let tables = Tables::load().unwrap();
        let ranges = VitalRanges::of(&tables, Species::EiseniaFetida).unwrap();
        let draw = |seed| ranges.draw(&mut ChaCha8Rng::seed_from_u64(seed));
        assert_eq!(draw(1), draw(1));
        assert_ne!(draw(1), draw(2));
        let inside = (0..1000)
            .filter(|&s| (0.84..=1.25).contains(&draw(s).young_per_adult_day))
            .count();
        assert!((870..=930).contains(&inside), "{inside}");
    }
}
