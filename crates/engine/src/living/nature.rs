//! What one possible bin is like: the numbers nobody can know of a bin
//! beforehand, drawn from their ranges, and those that are the same in all.

use crate::bed::draw::normal;
use crate::bed::product::Ranged;
use crate::chemistry::pore::Pore;
use crate::living::home::Home;
use crate::living::nitrogen::ammonium_shares;
use crate::living::rot::{Rates, Warmth};
use crate::living::salt;
use crate::measure::Packing;
use crate::table::{TableError, Tables};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeMap;

macro_rules! natures {
    ($($(#[$doc:meta])* $field:ident: $subject:literal, $property:literal;)*) => {
        /// The uncertain numbers of one possible bin.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct Nature {
            $($(#[$doc])* pub $field: f64,)*
            /// Heat passing the walls [W/m²/K].
            pub wall_w_m2_k: f64,
            /// Resistance of the lid to vapour [s/m].
            pub lid_s_per_m: f64,
            /// Share of the air that passes the lid [0 to 1].
            pub lid_air: f64,
        }

        /// The ranges they are drawn from.
        #[derive(Debug, Clone, PartialEq)]
        struct Ranges {
            $($field: Ranged,)*
        }

        impl Ranges {
            fn load(tables: &Tables) -> Result<Self, TableError> {
                Ok(Self { $($field: Ranged::of(tables, "living", $subject, $property)?,)* })
            }

            fn usual(&self, home: &Home) -> Nature {
                Nature {
                    $($field: self.$field.value,)*
                    wall_w_m2_k: home.wall_w_m2_k.value,
                    lid_s_per_m: home.lid_s_per_m.value,
                    lid_air: home.lid_air.value,
                }
            }

            fn draw(&self, home: &Home, g: &mut ChaCha8Rng) -> Nature {
                Nature {
                    $($field: drawn(&self.$field, g),)*
                    wall_w_m2_k: home.wall_w_m2_k.draw_log(g),
                    lid_s_per_m: home.lid_s_per_m.draw(g).max(0.0),
                    lid_air: home.lid_air.draw(g).clamp(0.05, 1.0),
                }
            }
        }

        impl Nature {
            /// Every number with its name, in the order of the fields.
            #[must_use]
            pub fn list(&self) -> Vec<(&'static str, f64)> {
                vec![
                    $((stringify!($field), self.$field),)*
                    ("wall_w_m2_k", self.wall_w_m2_k),
                    ("lid_s_per_m", self.lid_s_per_m),
                    ("lid_air", self.lid_air),
                ]
            }

            /// Moves every number a little, by `share` of its range, as a copy
            /// of a possible bin goes its own way.
            pub fn jitter(&mut self, priors: &Priors, share: f64, g: &mut ChaCha8Rng) {
                $(nudge(&mut self.$field, &priors.ranges.$field, share, g);)*
            }
        }
    };
}

natures! {
    /// How fast this bin rots against the table [-].
    decay_scale: "decay", "scale";
    /// How much worms hasten decay [-].
    worm_effect: "decay", "worm_effect";
    /// Share of decayed carbon that microbes make into themselves [0 to 1].
    microbe_yield: "decay", "microbe_yield";
    /// Microbes that die [1/d].
    microbe_death: "decay", "microbe_death_per_day";
    /// Share of the carbon of dead microbes that becomes humus [0 to 1].
    humus_share: "decay", "humus_share";
    /// Acid of fermented matter [mol/kg].
    acid_per_vs: "acid", "per_vs_airless";
    /// Share of fresh food that ferments even with air [0 to 1].
    acid_with_air: "acid", "fermented_with_air";
    /// Acid burnt again [1/d].
    acid_eaten: "acid", "eaten_per_day";
    /// Acid seeping from the food into the bed [1/d].
    acid_leaves: "acid", "leaves_pocket_per_day";
    /// Buffer of the food itself [mol/kg/pH].
    food_buffer: "acid", "food_buffer";
    /// Nitrification [1/d].
    nitrify: "nitrogen", "nitrify_per_day";
    /// Loss of free ammonia [1/d].
    volatilise: "nitrogen", "volatilise_per_day";
    /// Loss of nitrate without air [1/d].
    denitrify: "nitrogen", "denitrify_per_day";
    /// Share of that where there is air [0 to 1].
    denitrify_with_air: "nitrogen", "denitrify_with_air";
    /// Evaporation against the law [-].
    evaporation: "water", "evaporation_scale";
    /// Relative humidity of the room [0 to 1].
    humidity: "water", "room_humidity";
    /// Draining [d].
    drain_days: "water", "drain_days";
    /// Water castings hold [kg/kg].
    castings_hold: "water", "castings_hold";
    /// Heat exchange against the law [-].
    exchange: "heat", "exchange_scale";
    /// Conductivity of the bed [W/m/K].
    bed_w_m_k: "heat", "bed_w_m_k";
    /// Half thickness of a pocket of food [m].
    pocket_half_m: "heat", "pocket_half_m";
    /// Where the bin stands against the room [°C].
    room_offset: "heat", "room_offset_celsius";
    /// How far air must seep, of the height of the bed [-].
    air_path: "air", "path_share";
    /// Air a warm bed draws in [m/d/K].
    air_drawn: "air", "drawn_m_per_day_kelvin";
    /// Air-filled share of the volume of a drained bed [0 to 1].
    drained_air: "air", "drained_share";
    /// Share of the air that reaches the food [0 to 1].
    pocket_air: "air", "pocket_share";
    /// Volume against the law [-].
    stands: "bed", "stands_scale";
    /// Settling against the law [-].
    settles: "bed", "settles_scale";
    /// Ash alkalinity that appears [-].
    alkalinity: "bed", "alkalinity_released";
    /// Dryness of the top [share].
    top_dryness: "bed", "top_dryness";
    /// Salts of food against the table [-].
    salt: "salt", "castings_gain";
    /// Food quality for worms, kappa [-].
    food_quality: "worms", "food_quality";
    /// How heavy this keeper's measures are [-].
    measured_feed: "worms", "measured_feed";
    /// Cast made against appetite [-].
    turnover: "worms", "turnover";
}

/// A draw on the log scale where the range is one of a positive factor, plain
/// where it spans nought.
fn drawn(range: &Ranged, g: &mut ChaCha8Rng) -> f64 {
    if range.low > 0.0 {
        range.draw_log(g)
    } else {
        range.draw(g)
    }
}

fn nudge(value: &mut f64, range: &Ranged, share: f64, g: &mut ChaCha8Rng) {
    if range.low > 0.0 {
        let width = (range.high / range.low).ln() / 3.29;
        *value *= (share * width * normal(g)).exp();
        *value = value.clamp(
            range.low * range.low / range.value,
            range.high * range.high / range.value,
        );
    } else {
        *value += share * (range.high - range.low) / 3.29 * normal(g);
    }
}

macro_rules! constants {
    ($($(#[$doc:meta])* $field:ident: $subject:literal, $property:literal;)*) => {
        /// Numbers that are the same in every possible bin.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct Constants {
            $($(#[$doc])* pub $field: f64,)*
        }

        impl Constants {
            fn load(tables: &Tables) -> Result<Self, TableError> {
                Ok(Self { $($field: tables.value("living", $subject, $property)?,)* })
            }

            /// Every number with its name, in the order of the fields.
            #[must_use]
            pub fn list(&self) -> Vec<(&'static str, f64)> {
                vec![$((stringify!($field), self.$field)),*]
            }
        }
    };
}

constants! {
    /// Q10 of decay [-].
    q10: "decay", "q10";
    /// Best temperature of decay [°C].
    best_celsius: "decay", "best_celsius";
    /// Decay stops [°C].
    stops_celsius: "decay", "stops_celsius";
    /// Decay stops below [% of wet mass].
    dry_stop: "decay", "dry_stop_percent";
    /// Decay is full above [% of wet mass].
    wet_enough: "decay", "wet_enough_percent";
    /// Rate without air against with [0 to 1].
    airless_floor: "decay", "airless_floor";
    /// Stocking at which the worm effect is full [kg/m²].
    worm_reference: "decay", "worm_reference_kg_m2";
    /// Decay of humus [1/d].
    humus_per_day: "decay", "humus_per_day";
    /// Carbon to nitrogen of microbes [kg/kg].
    microbe_cn: "decay", "microbe_carbon_nitrogen";
    /// Carbon of microbes [kg/kg].
    microbe_carbon: "decay", "microbe_carbon";
    /// Least share of decayed carbon microbes can live on growing [0 to 1].
    microbe_least_yield: "decay", "microbe_least_yield";
    /// How fast microbes get at the nitrogen dissolved in the bed [1/d].
    nitrogen_taken_up: "decay", "nitrogen_taken_up_per_day";
    /// Carbon to nitrogen of humus [kg/kg].
    humus_cn: "decay", "humus_carbon_nitrogen";
    /// Carbon of humus [kg/kg].
    humus_carbon: "decay", "humus_carbon";
    /// Oxygen per organic matter burnt [kg/kg].
    oxygen_per_vs: "decay", "oxygen_per_vs";
    /// Heat per oxygen [kJ/g].
    heat_per_oxygen: "decay", "heat_kj_per_g_oxygen";
    /// Water made per organic matter burnt [kg/kg].
    water_per_vs: "decay", "water_per_vs";
    /// Rate when no nitrogen is to be had [0 to 1].
    nitrogen_floor: "decay", "nitrogen_short_floor";
    /// Carbon of the acids [kg/mol].
    acid_carbon: "acid", "carbon_per_mol";
    /// Strength of the acids: acetic 4.76, lactic 3.86.
    acid_pka: "acid", "pka";
    /// Acid not dissociated in the food that halves its fermenting [mol/L].
    pickles_mol_per_l: "acid", "pickles_mol_per_l";
    /// Mass of the acids [kg/mol].
    acid_mass: "acid", "mass_per_mol";
    /// Share of the ammonium that stands in the water and not on sites [0 to 1].
    ammonium_dissolved: "nitrogen", "ammonium_dissolved";
    /// Nitrification stops below this pH.
    nitrify_stops: "nitrogen", "nitrify_stops_ph";
    /// Nitrification is full above this pH.
    nitrify_full: "nitrogen", "nitrify_full_ph";
    /// Free ammonia that halves nitrification [mg N/kg dry].
    nitrify_ammonia: "nitrogen", "nitrify_half_ammonia_mg_per_kg";
    /// Salt that halves nitrification, 1:5 extract [mS/cm].
    nitrify_salt: "nitrogen", "nitrify_half_salt_ms_per_cm";
    /// Nitrogen [mol/kg].
    mol_per_kg: "nitrogen", "mol_per_kg";
    /// Vapour leaving a surface into still air [m/s].
    surface_m_per_s: "water", "surface_m_per_s";
    /// Bedding holds its water back below [% of wet mass].
    bound_below: "water", "bound_below_percent";
    /// Moisture scale of vapour over dry bedding [% of wet mass].
    sorption: "water", "sorption_percent";
    /// Share of free water that stands at the bottom of a sealed bin.
    sealed_share: "water", "sealed_share";
    /// By which power of what raw matter holds more its castings do [-].
    castings_of_raw: "water", "castings_of_raw";
    /// Water held by the mineral matter of castings [kg/kg].
    mineral_castings_hold: "water", "mineral_castings_hold";
    /// Water held by material of which nobody lists it [kg/kg].
    unlisted_hold: "water", "unlisted_hold";
    /// Water held by a mineral of which nobody lists it [kg/kg].
    mineral_hold: "water", "mineral_hold";
    /// Volume of a mineral of which nobody lists it [L/kg].
    mineral_litres: "bed", "mineral_l_per_kg";
    /// Mineral matter up to so much of the organic is as in manure, by which
    /// moistures were measured [kg/kg].
    usual_mineral: "bed", "usual_mineral";
    /// Share of more mineral matter that counts in moisture [0 to 1].
    mineral_counts: "bed", "mineral_counts";
    /// Heat of dry matter [kJ/kg/K].
    dry_heat: "heat", "dry_heat_kj_per_kg_k";
    /// Heat of water [kJ/kg/K].
    water_heat: "heat", "water_heat_kj_per_kg_k";
    /// Heat of ice [kJ/kg/K].
    ice_heat: "heat", "ice_heat_kj_per_kg_k";
    /// Melting [kJ/kg].
    melt: "heat", "melt_kj_per_kg";
    /// Evaporating [kJ/kg].
    evaporate: "heat", "evaporate_kj_per_kg";
    /// Usual day's swing of a room [°C].
    usual_swing: "heat", "usual_swing_celsius";
    /// Heat of worms [W/kg at 20 °C].
    worm_watts: "heat", "worm_w_per_kg";
    /// Diffusion of oxygen in free air [m²/d].
    diffusion: "air", "diffusion_m2_per_day";
    /// Height beyond which a bed breathes no worse [m].
    most_height_m: "air", "most_height_m";
    /// Least way for air to seep [m].
    least_path_m: "air", "least_path_m";
    /// Oxygen in air [kg/m³].
    oxygen: "air", "oxygen_kg_m3";
    /// How much faster a bed settles with worms in it [-].
    settles_with_worms: "bed", "settles_faster_with_worms";
    /// Share of its settling that a bed keeps when it is turned [0 to 1].
    fluffed_keeps: "bed", "fluffed_keeps";
    /// Conductivity of a salt in a 1:5 extract [mS/cm kg/mol_c].
    anion_ec: "salt", "anion_ms_kg_per_mol";
    /// Salts of food that are chloride and sulphate, as a share of its
    /// potassium [0 to 1]: the rest are salts of organic acids.
    mineral_salt: "salt", "mineral_share";
    /// The same of dung, over its conductivity [0 to 1].
    mineral_salt_dung: "salt", "mineral_share_dung";
    /// Conductivity of a 1:5 extract per percent of potassium [mS/cm].
    potassium_ec: "salt", "potassium_ms_per_percent";
    /// Dry matter of worms [kg/kg fresh].
    worm_dry: "worms", "dry_share";
    /// Carbon of worms [kg/kg dry].
    worm_carbon: "worms", "carbon";
    /// Nitrogen of worms [kg/kg dry].
    worm_nitrogen: "worms", "nitrogen";
    /// Share of what rots that feeds worms on the way [-].
    food_of_decay: "worms", "food_of_decay";
    /// Share of the spread of food quality that manure does not have [0 to 1].
    manure_known: "worms", "manure_known";
    /// Wandering of water [log per root day].
    water_noise: "noise", "water_per_root_day";
    /// Wandering of worms [log per root day].
    worm_noise: "noise", "worms_per_root_day";
    /// Wandering of the room [°C per root day].
    room_noise: "noise", "room_celsius_per_root_day";
}

/// All numbers of the living bin, loaded once.
#[derive(Debug, Clone, PartialEq)]
pub struct Priors {
    ranges: Ranges,
    /// The same in every possible bin.
    pub constants: Constants,
    /// How each kind of material rots.
    pub rates: Rates,
    /// How decay goes with warmth.
    pub decays: Warmth,
    /// How nitrifiers go with warmth: best at 33 °C, nothing from 45 °C.
    pub nitrifies: Warmth,
    /// Pore water open to a usual bed's carbon dioxide.
    pub open_water: Pore,
    /// Bicarbonate of it at pH 7 [mol/kg].
    pub bicarbonate_at_7: f64,
    /// Carbon dioxide of an extract over that of a bed [-].
    pub extract_co2: f64,
    /// Carbon dioxide of a bed without air over that of a usual one [-].
    pub airless_co2: f64,
    /// Table salt in feeds that hold some, by key [mol/kg dry].
    pub table_salt: BTreeMap<String, f64>,
    /// Share of the nitrogen of a material that comes as ammonium, by key [0 to 1].
    pub ammonium: BTreeMap<String, f64>,
    /// How castings pack.
    pub castings: Packing,
    /// How rotted food packs: as finished compost.
    pub rotted: Packing,
}

impl Priors {
    /// From the tables.
    ///
    /// # Errors
    /// [`TableError`] when a number is missing.
    pub fn load(tables: &Tables) -> Result<Self, TableError> {
        let constants = Constants::load(tables)?;
        let c = &constants;
        let packing = |key| Packing::in_tables(tables, key);
        let open_water = salt::open_water(tables)?;
        Ok(Self {
            ranges: Ranges::load(tables)?,
            decays: Warmth::new(c.q10, c.best_celsius, c.stops_celsius),
            nitrifies: Warmth::new(c.q10, 33.0, 45.0),
            constants,
            rates: Rates::load(tables)?,
            open_water,
            bicarbonate_at_7: open_water.charge(7.0),
            extract_co2: salt::over_usual(tables, "extract")?,
            airless_co2: salt::over_usual(tables, "airless_bedding")?,
            table_salt: salt::table_salt(tables)?,
            ammonium: ammonium_shares(tables)?,
            castings: packing("vermicompost")?,
            rotted: packing("kitchen_compost_finished")?,
        })
    }

    /// The most likely bin.
    #[must_use]
    pub fn usual(&self, home: &Home) -> Nature {
        self.ranges.usual(home)
    }

    /// One possible bin.
    pub fn draw(&self, home: &Home, g: &mut ChaCha8Rng) -> Nature {
        self.ranges.draw(home, g)
    }
}
