//! What one possible bin is like: the numbers nobody can know of a bin
//! beforehand, drawn from their ranges, and those that are the same in all.

use crate::bed::draw::Chance;
use crate::bed::product::Ranged;
use crate::bed::risk::Solids;
use crate::chemistry::pore::Pore;
pub use crate::living::constants::Constants;
use crate::living::home::Home;
use crate::living::nitrogen::ammonium_shares;
use crate::living::rot::{Frost, Rates, Warmth};
use crate::living::salt;
use crate::measure::Packing;
use crate::table::{TableError, Tables};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

macro_rules! natures {
    ($($(#[$doc:meta])* $field:ident: $subject:literal, $property:literal;)*) => {
        /// The uncertain numbers of one possible bin.
        #[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
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

            fn draw(&self, home: &Home, g: &mut dyn Chance) -> Nature {
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
fn drawn(range: &Ranged, g: &mut dyn Chance) -> f64 {
    if range.low > 0.0 {
        range.draw_log(g)
    } else {
        range.draw(g)
    }
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
    /// How nitrifiers go with warmth.
    pub nitrifies: Warmth,
    /// How the warmth worms give off goes with that of the bed.
    pub worms_warm: Warmth,
    /// Densities of what has no pores.
    pub solids: Solids,
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
        let frost = Frost {
            stops: c.frozen_stops,
            thaw_kelvin: c.thaw_kelvin,
        };
        let warmth = |q10, best, stops| Warmth::new(q10, best, stops, frost);
        let packing = |key| Packing::in_tables(tables, key);
        let open_water = salt::open_water(tables)?;
        Ok(Self {
            ranges: Ranges::load(tables)?,
            decays: warmth(c.q10, c.best_celsius, c.stops_celsius),
            nitrifies: warmth(c.q10, c.nitrify_best_celsius, c.nitrify_stops_celsius),
            worms_warm: warmth(c.worms_q10, c.worms_best_celsius, c.worms_stop_celsius),
            solids: Solids::from_tables(tables)?,
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
    pub fn draw(&self, home: &Home, g: &mut dyn Chance) -> Nature {
        self.ranges.draw(home, g)
    }
}
