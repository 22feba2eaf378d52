//! The words for what eyes, nose and hands say.

use serde::{Deserialize, Serialize};

/// Words for what eyes, nose and hands say. Fixed and short.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Word {
    /// Squeeze: dusty, will not ball.
    SqueezeDusty,
    /// Squeeze: weak ball, no water.
    SqueezeWeak,
    /// Squeeze: a drop or two.
    SqueezeDrops,
    /// Squeeze: several drops.
    SqueezeSeveral,
    /// Squeeze: short trickle.
    SqueezeTrickle,
    /// Squeeze: stream, or drips unsqueezed.
    SqueezeStream,
    /// Smell: earthy.
    SmellEarthy,
    /// Smell: sour or vinegary.
    SmellSour,
    /// Smell: rotten.
    SmellRotten,
    /// Smell: ammonia, sharp.
    SmellAmmonia,
    /// Worms are spread through the bedding.
    WormsSpread,
    /// Worms climb the walls or sit under the lid.
    WormsClimbing,
    /// Worms ball up.
    WormsBalled,
    /// Worms gather at the edges or bottom.
    WormsAtEdge,
    /// Worms leave; found outside the bin.
    WormsLeft,
    /// None out at night.
    WormsStrayNone,
    /// A few out at night.
    WormsStrayFew,
    /// Many out at night.
    WormsStrayMany,
    /// Worms plump and lively.
    WormsPlump,
    /// Worms thin, pale or slow.
    WormsThin,
    /// Dead worms seen.
    WormsDead,
    /// Last food gone.
    FoodGone,
    /// About half the last food left.
    FoodHalf,
    /// Most of the last food left.
    FoodMost,
    /// Droplets on walls or lid.
    Condensation,
    /// Liquid standing in the bin.
    Pooling,
    /// White mould.
    Mould,
    /// Many mites.
    Mites,
    /// Many white potworms.
    Potworms,
    /// Flies or larvae.
    Flies,
    /// Feels warm.
    FeelsWarm,
    /// Feels cold.
    FeelsCold,
}

impl Word {
    /// All of them, in the order of the list.
    pub const ALL: [Self; 32] = [
        Self::SqueezeDusty,
        Self::SqueezeWeak,
        Self::SqueezeDrops,
        Self::SqueezeSeveral,
        Self::SqueezeTrickle,
        Self::SqueezeStream,
        Self::SmellEarthy,
        Self::SmellSour,
        Self::SmellRotten,
        Self::SmellAmmonia,
        Self::WormsSpread,
        Self::WormsClimbing,
        Self::WormsBalled,
        Self::WormsAtEdge,
        Self::WormsLeft,
        Self::WormsStrayNone,
        Self::WormsStrayFew,
        Self::WormsStrayMany,
        Self::WormsPlump,
        Self::WormsThin,
        Self::WormsDead,
        Self::FoodGone,
        Self::FoodHalf,
        Self::FoodMost,
        Self::Condensation,
        Self::Pooling,
        Self::Mould,
        Self::Mites,
        Self::Potworms,
        Self::Flies,
        Self::FeelsWarm,
        Self::FeelsCold,
    ];
}
