//! Numbers of the living bin that are the same in every possible bin, each a row
//! of `living.csv`.

use crate::table::{TableError, Tables};

macro_rules! constants {
    ($($(#[$doc:meta])* $field:ident: $subject:literal, $property:literal;)*) => {
        /// Numbers that are the same in every possible bin.
        #[derive(Debug, Clone, Copy, PartialEq)]
        pub struct Constants {
            $($(#[$doc])* pub $field: f64,)*
        }

        impl Constants {
            pub(super) fn load(tables: &Tables) -> Result<Self, TableError> {
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
    /// Frozen through: nothing rots below [°C].
    frozen_stops: "decay", "frozen_stops_celsius";
    /// Kelvin over which decay comes back from that [K].
    thaw_kelvin: "decay", "thaw_kelvin";
    /// So near to where decay stops the middle sets how fast a bed rots [K].
    near_stop_kelvin: "decay", "near_stop_kelvin";
    /// Most microbes that can be made of what they eat [kg/kg].
    microbe_most_of_mass: "decay", "microbe_most_of_mass";
    /// Most carbon in what goes in [kg/kg organic matter].
    most_carbon: "decay", "most_carbon";
    /// Most nitrogen in it [kg/kg organic matter].
    most_nitrogen: "decay", "most_nitrogen";
    /// Most acid that can be made of what ferments, of its mass and of its
    /// carbon [0 to 1].
    acid_most_of_matter: "acid", "most_of_matter";
    /// Sourest a pocket of food gets [pH].
    pocket_least_ph: "acid", "pocket_least_ph";
    /// Saturated lime water [pH].
    lime_water_ph: "acid", "lime_water_ph";
    /// Best temperature of nitrifiers [°C].
    nitrify_best_celsius: "nitrogen", "nitrify_best_celsius";
    /// They stop [°C].
    nitrify_stops_celsius: "nitrogen", "nitrify_stops_celsius";
    /// Organic share of the castings whose holding is in the tables [0 to 1].
    castings_organic: "water", "castings_hold_organic_share";
    /// A first drop shows so far under what is held [% of wet mass].
    drop_under: "water", "drop_under_percent";
    /// Where a bed stands that drained for days [% of wet mass under what it holds].
    drained_under: "water", "drained_under_percent";
    /// Driest at which it can [% of wet mass].
    drop_least: "water", "drop_least_percent";
    /// Wettest at which none need show yet [% of wet mass].
    drop_most: "water", "drop_most_percent";
    /// Resistance from which on a lid holds vapour as a tight one [s/m].
    condensing_lid: "water", "condensing_lid_s_per_m";
    /// Vapour over the bed by what air at the lid can hold from which on the lid
    /// gets wet [-].
    condensing_from: "water", "condensing_from";
    /// How much more of it wets the lid all over [-].
    condensing_width: "water", "condensing_width";
    /// Q10 of the heat of worms [-].
    worms_q10: "heat", "worms_q10";
    /// It rises to this temperature [°C].
    worms_best_celsius: "heat", "worms_best_celsius";
    /// Dead worms make none from here on [°C].
    worms_stop_celsius: "heat", "worms_stop_celsius";
    /// How far the core stands above the bed once steady, against how far the bed
    /// stands above the air [-].
    core_share: "heat", "core_share";
    /// How far the edge stands under the bed, against the same [-].
    edge_share: "heat", "edge_share";
    /// Share of the water frozen, or still to thaw, at which the core too stands
    /// at 0 °C [-].
    even_ice: "heat", "even_ice_share";
    /// Most a pocket may be warmer than the core around it [K].
    pocket_most_rise: "heat", "pocket_most_rise_kelvin";
    /// Time of the warmest air, from midnight [share of the day].
    warmest_day_share: "heat", "warmest_day_share";
    /// Heat held by air and walls [kJ/K].
    least_heat: "heat", "least_kj_per_k";
    /// Share of a bed above liquid under which worms are crowded out of its air
    /// [0 to 1].
    crowded_out: "air", "crowded_out_share";
    /// Air-filled porosity at which `air_drawn` is told [-].
    drawn_at: "air", "drawn_at_share";
    /// Dryness of an open top by that of a vented one, which is a third of it [-].
    top_open_times: "bed", "top_open_times";
    /// Above this chalk comes out as fast as carbonate goes in, and the bed's is
    /// no longer open to its air [pH].
    bicarbonate_most_ph: "salt", "bicarbonate_most_ph";
    /// Volume of a wet pocket of food per dry matter that rots fast, three fifths
    /// of what food is [L/kg].
    pocket_litres: "food", "pocket_litres_per_kg";
    /// Pocket for which the half thickness is the drawn one [L].
    pocket_usual: "food", "pocket_usual_litres";
    /// Dry matter of a pocket by what rots fast of it [kg/kg].
    pocket_dry: "food", "pocket_dry_per_labile";
    /// Water of a pocket by what rots fast of it [kg/kg].
    pocket_water: "food", "pocket_water_per_labile";
    /// Moisture half way to which a pocket in dry bedding is [% of wet mass].
    pocket_moisture: "food", "pocket_moisture_percent";
    /// Share of the bed from which on worms cannot keep out of a pocket [0 to 1].
    pocket_met_from: "food", "pocket_met_from";
    /// Share more at which they meet it whole [0 to 1].
    pocket_met_width: "food", "pocket_met_width";
    /// How fast scraps lose their look by rotting at 20 °C [1/d].
    seen_fades: "food", "seen_fades_per_day";
    /// Share of their appetite that worms take of food that can still be told
    /// [0 to 1].
    seen_eaten: "food", "seen_eaten_share";
    /// Most of what is left that worms make unrecognisable in a day [1/d].
    seen_eaten_most: "food", "seen_eaten_most_per_day";
    /// pH of food of which nobody lists it.
    unlisted_food_ph: "food", "unlisted_ph";
    /// Degradable share of food of which nobody lists it [0 to 1].
    unlisted_degradable: "food", "unlisted_degradable";
    /// High by low of an amount that was weighed [-].
    weighed_within: "food", "weighed_within";
    /// Share of what comes as castings that worms need not work again [0 to 1].
    castings_worked: "castings", "worked_share";
    /// Food taken in for each part of tissue made [kg/kg].
    eaten_per_grown: "worms", "eaten_per_grown";
    /// How much of slow matter worms take up against microbes and labile matter
    /// [-].
    slow_reach: "worms", "slow_reach";
}
