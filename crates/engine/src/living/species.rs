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
    /// Temperature at which half die in `heat_half_days` [°C].
    heat_death_celsius: own, plain;
    /// Temperature below which cold kills [°C].
    cold_death_celsius: own, plain;
    /// Von Bertalanffy rate at 25 °C on good manure [1/d].
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
    /// Most of a full appetite that it takes to keep a worm's mass [0 to 1].
    maintenance_most_share: all, fixed;
    /// Share of the nitrogen eaten that worms take up [0 to 1].
    nitrogen_taken_share: all, plain;
    /// Nitrogen that keeps a worm's mass at 25 °C [mg N/g fresh worm/d].
    nitrogen_kept_mg_per_g_day: all, log;
    /// Mass lost per day without food at 25 °C [1/d].
    shrink_per_day: all, log;
    /// Deaths in good conditions [1/d].
    death_per_day: all, log;
    /// Days in which half die at `heat_death_celsius` [d].
    heat_half_days: all, fixed;
    /// Kelvin in which deaths by heat double [K].
    heat_doubling_kelvin: all, log;
    /// So far under `heat_death_celsius` warmth begins to kill [K].
    heat_from_kelvin: all, fixed;
    /// So far under `heat_death_celsius` all want to leave [K].
    heat_urge_under_kelvin: all, fixed;
    /// Kelvin over which that rises [K].
    heat_urge_width_kelvin: all, fixed;
    /// Degrees below freezing at which half die in `freeze_half_days` [K].
    freeze_half_kelvin: all, plain;
    /// Days in which half die there [d].
    freeze_half_days: all, fixed;
    /// Rise of deaths by frost per kelvin, on the log scale [1/K].
    freeze_slope_per_k: all, log;
    /// Deaths per degree below `cold_death_celsius` [1/K/d].
    chill_death_per_k_day: all, log;
    /// Moisture below which bedding draws water from a worm [% of wet mass].
    dry_from_percent: all, plain;
    /// Weight lost per percent drier [-].
    dry_lost_per_percent: all, log;
    /// Share of its weight that a worm can lose and live [0 to 1].
    dry_deadly_share: all, plain;
    /// Deaths at that loss [1/d].
    dry_death_per_day: all, log;
    /// Power of deaths by drought against the loss [-].
    dry_death_power: all, fixed;
    /// Days in which half die without oxygen at 20 °C [d].
    airless_half_days: all, log;
    /// Kelvin colder in which they take twice as long [K].
    airless_doubling_kelvin: all, log;
    /// pH at which half die in a day without organic acids [pH].
    acid_one_day_ph: all, plain;
    /// Decades of time per pH, for acid and for base [1/pH].
    acid_slope_per_ph: all, fixed;
    /// So far above `acid_one_day_ph` all want to leave [pH].
    acid_urge_over_ph: all, plain;
    /// pH over which that rises [pH].
    acid_urge_width_ph: all, log;
    /// Undissociated organic acids at which half die in a day [mmol/kg water].
    organic_acid_one_day_mmol_per_kg: all, log;
    /// Undissociated organic acids at which half want to leave [mmol/kg water].
    sour_avoid_mmol_per_kg: all, log;
    /// Undissociated organic acids that halve growth and laying [mmol/kg water].
    sour_half_mmol_per_kg: all, log;
    /// pH at which half die in a day of base [pH].
    alkaline_one_day_ph: all, plain;
    /// So far under `alkaline_one_day_ph` all want to leave [pH].
    alkaline_urge_under_ph: all, plain;
    /// pH over which that rises [pH].
    alkaline_urge_width_ph: all, log;
    /// pH below which worms do nothing [pH].
    ph_low: all, fixed;
    /// pH from which on they do all [pH].
    ph_full_low: all, plain;
    /// pH up to which they do all [pH].
    ph_full_high: all, plain;
    /// pH above which worms do nothing [pH].
    ph_high: all, fixed;
    /// pH above which fewer cocoons are laid [pH].
    laying_falls_from_ph: all, fixed;
    /// Share fewer per pH [1/pH].
    laying_fall_per_ph: all, log;
    /// Water of the soils in which doses were given [L/kg].
    soil_water_l_per_kg: all, fixed;
    /// pH of the soils in which NH4OH was given.
    ammonia_trial_ph: all, fixed;
    /// NH4OH that harms nobody [mg/g].
    ammonia_harmless_mg_per_g: all, log;
    /// Deaths by the square of what is over that [1/d per (mg/g)²].
    ammonia_death_per_day: all, log;
    /// NH4OH at which half the young come [mg/g].
    ammonia_breeding_mg_per_g: all, log;
    /// Power of that [-].
    ammonia_breeding_power: all, log;
    /// NH4OH that half the worms avoid [mg/g].
    ammonia_avoid_mg_per_g: all, log;
    /// NH4OH at which half the worms would leave for no better place [mg/g].
    ammonia_leave_mg_per_g: all, log;
    /// Power of both [-].
    ammonia_avoid_power: all, log;
    /// Conductivity of table salt in water [mS/cm per mmol/kg].
    salt_ms_per_cm_per_mmol: all, fixed;
    /// Table salt as hard on worms as other salts of the same conductivity
    /// [0 to 1].
    salt_mild_share: all, fixed;
    /// Table salt in the water at which half die in 28 days [mmol/kg].
    salt_death_mmol_per_kg: all, log;
    /// Power of deaths by salt [-].
    salt_death_power: all, log;
    /// Salt that halves growth over salt that kills half in 28 days [-].
    salt_growth_over_death: all, fixed;
    /// Table salt in the water at which they lay half as much [mmol/kg].
    salt_breeding_mmol_per_kg: all, log;
    /// Power of that [-].
    salt_breeding_power: all, fixed;
    /// Table salt in the water that half the worms avoid [mmol/kg].
    salt_avoid_mmol_per_kg: all, log;
    /// Power of avoiding salt [-].
    salt_avoid_power: all, log;
    /// Table salt at which half the worms would leave for no better place
    /// [mmol/kg water].
    salt_leave_mmol_per_kg: all, log;
    /// Power of that [-].
    salt_leave_power: all, fixed;
    /// So much drier than the mean is the driest place they choose [% of wet mass].
    drier_reach_percent: all, fixed;
    /// So much wetter than the mean is the wettest [% of wet mass].
    wetter_reach_percent: all, plain;
    /// Share of the worms on walls and lid when all want out [0 to 1].
    wall_most_share: all, plain;
    /// Urge from which on worms climb [-].
    wall_urge_from: all, plain;
    /// Urge at which as many climb as will [-].
    wall_urge_full: all, plain;
    /// Ammonia on the walls over that in the bedding [0 to 1].
    wall_ammonia_share: all, log;
    /// Moisture of the bedding over which walls are dry [% of wet mass].
    wall_dry_percent: all, fixed;
    /// Moisture of the bedding from which on walls are wet [% of wet mass].
    wall_wet_from_percent: all, fixed;
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
