//! What a keeper has in the shed.

use crate::measure::Amount;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A material the keeper has, with their own measurements of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ShedItem {
    /// Key of the material in the tables this item is.
    pub material: String,
    /// What the keeper calls it; empty for the table's name.
    #[serde(default)]
    pub called: String,
    /// How much there is; `None` for "plenty" or not known.
    #[serde(default)]
    pub available: Option<Amount>,
    /// In the shed at all.
    #[serde(default = "yes")]
    pub have: bool,
    /// The keeper's own values, by table property name (`ph`,
    /// `moisture_percent`, `grams_per_cup`, `neutralising_percent`, ...).
    #[serde(default)]
    pub own: BTreeMap<String, f64>,
}

fn yes() -> bool {
    true
}
