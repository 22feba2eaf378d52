//! What one part of a step leaves to the next, besides what lies in the bin.

use crate::living::airless::Airless;
use crate::living::heat::Zones;
use serde::{Deserialize, Serialize};

/// Where the last part left off: state, as much as the pools are. Without it the
/// next part would go another way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Carried {
    /// Air at the bin [°C].
    pub air_celsius: f64,
    /// Zones, mean of the last part [°C].
    pub ends: Zones,
    /// How much warmer than the bed its core is [K].
    pub core_excess: f64,
    /// How much warmer than the core a pocket of food is [K].
    pub pocket_rise: f64,
    /// Heat made [W]: what the next part's warmth is foretold from.
    pub watts: f64,
    /// Heat made in the pocket of food, of what would rot there a day at 20 °C,
    /// were it at 20 °C [W d/kg].
    pub pocket_heat: f64,
    /// Share of decay without air.
    pub airless: Airless,
    /// How far decay goes for the nitrogen that microbes found [0 to 1].
    pub nitrogen: f64,
    /// What worms would eat, dry [kg/d]; that of the last where none are left.
    pub appetite_kg: f64,
    /// Ammonium that worms give off [mol/d]: what the next part foresees of it.
    pub excretes: f64,
    /// Urge to leave [0 to 1]; that of the last worms where none are left.
    pub urge: f64,
}

impl Default for Carried {
    fn default() -> Self {
        Self {
            air_celsius: 0.0,
            ends: Zones::default(),
            core_excess: 0.0,
            pocket_rise: 0.0,
            watts: 0.0,
            pocket_heat: 0.0,
            airless: Airless::default(),
            nitrogen: 1.0,
            appetite_kg: 0.0,
            excretes: 0.0,
            urge: 0.0,
        }
    }
}
