//! The books of one possible bin.

use serde::{Deserialize, Serialize};

/// What went in and out since the start, so that the books can be closed.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Books {
    /// Organic matter put in, worms' included [kg].
    pub organic_in: f64,
    /// Organic matter burnt [kg].
    pub burnt: f64,
    /// Organic matter taken or gone out [kg].
    pub organic_out: f64,
    /// Carbon put in [kg].
    pub carbon_in: f64,
    /// Carbon gone as carbon dioxide [kg].
    pub carbon_air: f64,
    /// Carbon taken or gone out [kg].
    pub carbon_out: f64,
    /// Nitrogen put in [kg].
    pub nitrogen_in: f64,
    /// Nitrogen gone to the air [kg].
    pub nitrogen_air: f64,
    /// Nitrogen drained, taken or gone out [kg].
    pub nitrogen_out: f64,
    /// Water put in [kg].
    pub water_in: f64,
    /// Water made by decay [kg].
    pub water_made: f64,
    /// Water evaporated [kg].
    pub evaporated: f64,
    /// Water drained or taken out [kg].
    pub water_out: f64,
    /// Ash and minerals put in [kg].
    pub ash_in: f64,
    /// Ash and minerals taken out [kg].
    pub ash_out: f64,
    /// Base posted to the bed by decay and microbes [mol_c].
    pub base_posted: f64,
    /// Of it by ash of what rotted: cations set free [mol_c].
    pub cations: f64,
    /// Ammonium less nitrate and acids that went out with matter or liquid
    /// [mol_c].
    pub ions_out: f64,
    /// Heat made by decay and worms [kJ].
    pub heat_made: f64,
    /// Heat that came with what was put in, less what went out with matter [kJ].
    pub heat_with_matter: f64,
    /// Heat passed out through the walls [kJ].
    pub heat_passed: f64,
    /// Heat taken by vapour [kJ].
    pub heat_vapour: f64,
    /// Worms dead.
    pub worms_died: f64,
    /// Worms gone out.
    pub worms_left: f64,
}
