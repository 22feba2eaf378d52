//! A bin, as a keeper describes it.

use serde::{Deserialize, Serialize};

/// A bin: one container of bedding and worms.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BinDescription {
    /// What the keeper calls it.
    pub name: String,
    /// Inner length [cm].
    pub length_cm: f64,
    /// Inner width [cm].
    pub width_cm: f64,
    /// Inner depth [cm].
    pub depth_cm: f64,
    /// Depth of bedding [cm]; `None` when not measured.
    #[serde(default)]
    pub bedding_depth_cm: Option<f64>,
    /// What the walls are made of.
    #[serde(default)]
    pub walls: Walls,
    /// Lid.
    #[serde(default)]
    pub lid: Lid,
    /// Whether liquid can drain out.
    #[serde(default)]
    pub drains: bool,
    /// Where it stands.
    #[serde(default)]
    pub place: String,
    /// Put away: no longer on the shelf.
    #[serde(default)]
    pub retired: bool,
}

/// Wall material.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Walls {
    /// Plastic.
    #[default]
    Plastic,
    /// Wood.
    Wood,
    /// Foam box.
    Foam,
    /// Metal.
    Metal,
    /// Fabric bag.
    Fabric,
    /// Masonry or in the ground.
    Masonry,
}

/// Lid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Lid {
    /// No lid.
    Open,
    /// Loose or with holes.
    #[default]
    Vented,
    /// Tight.
    Tight,
    /// Cloth, card or felt on the bedding.
    Cover,
}
