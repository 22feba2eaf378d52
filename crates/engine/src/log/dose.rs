//! Liming and acidifying materials given, and the tests that go before.

use crate::measure::Amount;
use serde::{Deserialize, Serialize};

/// A liming or acidifying material given to a bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Dose {
    /// Key of the material.
    pub material: String,
    /// How much.
    pub amount: Amount,
    /// How it was given.
    #[serde(default)]
    pub how: Applied,
}

/// How a dose was given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Applied {
    /// Dusted on and mixed through the bedding.
    #[default]
    MixedIn,
    /// Dusted on the surface and left.
    OnTop,
    /// Stirred in water and poured, solids and all.
    PouredSlurry,
    /// Steeped, strained, and the clear liquid poured.
    PouredLiquor,
}

/// A jar test: small weighed lots of one bedding, different lime, one wait.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JarTest {
    /// Wet bedding in each jar [g].
    pub wet_bedding_grams: f64,
    /// Key of the liming material.
    pub material: String,
    /// Hours between mixing and reading [h].
    pub hours: f64,
    /// Key of the instrument.
    pub instrument: String,
    /// The jars.
    pub jars: Vec<Jar>,
}

/// One jar.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Jar {
    /// Liming material in the jar [g].
    pub grams: f64,
    /// pH read at the end.
    pub ph: f64,
}

/// A half-and-half tray test: suspect bedding on one side, trusted on the other.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TrayTest {
    /// Worms put on the line.
    pub worms: u32,
    /// Worms found in the suspect half.
    pub in_suspect: u32,
    /// Worms found in the trusted half.
    pub in_trusted: u32,
    /// Dead or missing.
    pub dead_or_missing: u32,
    /// How long it ran [h].
    pub hours: f64,
}
