//! How the last step of a bin went.

use crate::living::heat::Zones;
use crate::living::life::LastDay;

/// How the last step went: what signs are read from, and what the next step
/// starts from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lately {
    /// Share of decay without air in the bed [0 to 1].
    pub airless_bed: f64,
    /// The same in what of it lies above standing liquid [0 to 1].
    pub airless_above: f64,
    /// The same in the pocket of food [0 to 1].
    pub airless_pocket: f64,
    /// So much came in or went out that how the last step went tells nothing of
    /// the next.
    pub changed: bool,
    /// Zones, mean of the step [°C].
    pub zones: Zones,
    /// Zones in its last part, from which the next goes on [°C].
    pub ends: Zones,
    /// Warmth of the last day.
    pub day: LastDay,
    /// How much warmer than the core a pocket of food is [K].
    pub pocket_rise: f64,
    /// How much warmer than the bed its core is [K].
    pub core_excess: f64,
    /// Room at the bin [°C].
    pub air_celsius: f64,
    /// How fast the bed warms itself above its air [K/d]; 0 when it does not.
    pub warming: f64,
    /// Heat made in the last part of the step [W].
    pub watts: f64,
    /// Share of the water that evaporates [1/d].
    pub drying: f64,
    /// Heat made in the pocket of food, of what would rot there a day at 20 °C,
    /// were it at 20 °C [W d/kg].
    pub pocket_heat: f64,
    /// How far microbes found the nitrogen they wanted [0 to 1].
    pub nitrogen: f64,
    /// What worms would eat, dry [kg/d].
    pub appetite_kg: f64,
    /// Ammonium that worms give off [mol/d].
    pub excretes: f64,
    /// Urge to leave [0 to 1].
    pub urge: f64,
    /// How fast it rose through the last step [1/d].
    pub urge_rise: f64,
    /// Share of worms dying per day [1/d].
    pub dying: f64,
    /// Share of worms leaving per day [1/d].
    pub leaving: f64,
    /// Worms gone out since the start.
    pub left: f64,
    /// Worms dead since the start.
    pub died: f64,
}

impl Default for Lately {
    fn default() -> Self {
        Self {
            airless_bed: 0.0,
            airless_above: 0.0,
            airless_pocket: 0.0,
            changed: true,
            zones: Zones::default(),
            ends: Zones::default(),
            day: LastDay::default(),
            pocket_rise: 0.0,
            core_excess: 0.0,
            air_celsius: 0.0,
            warming: 0.0,
            watts: 0.0,
            drying: 0.0,
            pocket_heat: 0.0,
            nitrogen: 1.0,
            appetite_kg: 0.0,
            excretes: 0.0,
            urge: 0.0,
            urge_rise: 0.0,
            dying: 0.0,
            leaving: 0.0,
            left: 0.0,
            died: 0.0,
        }
    }
}
