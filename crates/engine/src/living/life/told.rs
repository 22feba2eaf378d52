//! What a step tells of itself.

use crate::living::airless::Airless;
use crate::living::heat::Zones;
use serde::{Deserialize, Serialize};

/// What the last step tells to whoever looks: signs, estimates, pages. No process
/// reads it, and a bin from which it is taken goes on as before.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Told {
    /// Zones, mean of the step [°C].
    pub zones: Zones,
    /// Share of decay without air in its last part.
    pub airless: Airless,
    /// Share of worms dying per day in its last part [1/d].
    pub dying: f64,
    /// Urge to leave for what is in the bin, in its last part [0 to 1].
    pub driven: f64,
}
