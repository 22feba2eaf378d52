//! Measured values: what, where and by which instrument.

use serde::{Deserialize, Serialize};

/// A measured value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What was measured.
    pub what: Measured,
    /// One value a spot, in the unit of `what`.
    pub spots: Vec<f64>,
    /// Key of the instrument or method in the instruments table.
    pub instrument: String,
    /// Where in the bin.
    #[serde(default)]
    pub place: Place,
    /// Free text.
    #[serde(default)]
    pub text: String,
    /// The keeper was asked about an unlikely value and said it stands.
    #[serde(default)]
    pub confirmed: bool,
}

/// What a reading measures, with its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Measured {
    /// pH.
    Ph,
    /// Temperature in the bedding [°C].
    BeddingCelsius,
    /// Temperature of the room or air [°C].
    AirCelsius,
    /// Salt, as electrical conductivity [mS/cm].
    EcMsCm,
    /// Moisture [% of wet mass].
    MoisturePercent,
    /// Gross mass of the bin [kg].
    BinKg,
}

/// Where in the bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// Several places, spread.
    #[default]
    Spread,
    /// Top few centimetres.
    Top,
    /// Middle.
    Middle,
    /// Bottom.
    Bottom,
    /// At the wall.
    Edge,
    /// Under or beside food.
    Food,
}
